"""The direct offset: the moved pieces of a whole job, trimmed and joined into rings.

Nothing here knows whether the rings collide; `moved` says which hold a piece that its neighbours
consumed, and `core.geometry.offset` proves the rest.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.geometry.carriers import span
from core.geometry.joints import GONE_MM, Joints
from core.geometry.rings import Rings
from core.geometry.simple import meeting_pieces

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Index = NDArray[np.intp]


def moved(joints: Joints) -> tuple[Rings, Bools]:
    """Join the moved pieces, every convex joint rolled.

    Returns
    -------
    rings : Rings
        The moved rings, nothing proven.
    turned : bool array of shape (r,)
        Rings that hold a piece which turned over, or neighbours that no longer meet.
    """
    source = joints.source
    start, end, bulge, over = joints.trimmed()
    turned = np.bincount(source.ring[over], minlength=len(source)) > 0
    arc = np.flatnonzero(joints.convex)
    # in two slots: the piece, and the arc about the corner behind it
    piece = np.arange(len(bulge))
    starts, ends = np.stack([start, joints.end], axis=1), np.stack([end, end], axis=1)
    ends[arc, 1] = joints.start[source.after[arc]]
    bulges = np.column_stack([bulge, np.tan(joints.turn / 4.0)])
    keep = np.column_stack([span(end - start) > GONE_MM, joints.convex]).ravel()
    label = np.column_stack([piece, -1 - piece]).ravel()
    pieces = starts.reshape(-1, 2), ends.reshape(-1, 2), bulges.ravel(), label
    return Rings(*pieces, 2 * source.first, source.origin).kept(keep), turned


def mitred(rings: Rings, joints: Joints, left_out: Index | None = None) -> Rings:
    """Return offset rings with mitres in the place of the arcs that roll all about a corner.

    Lines are lengthened to the tip; arcs go on along their tangent. Joints whose numbers are in
    `left_out` stay rolled.
    """
    joint = np.maximum(-1 - rings.source, 0)
    whole = _whole_corners(rings, joints)
    if left_out is not None:
        whole &= ~np.isin(joint, left_out)
    which = np.flatnonzero(whole)
    leave, join = joints.mitres(joint[which])
    # in three slots: along the tangent, or another piece; across; along the next tangent
    starts, ends = np.stack([rings.start] * 3, axis=1), np.stack([rings.end] * 3, axis=1)
    ends[which, 0], starts[which, 1], ends[which, 1], starts[which, 2] = leave, leave, join, join
    bulges = np.zeros((len(whole), 3))
    bulges[:, 0] = np.where(whole, 0.0, rings.bulge)
    before, after = rings.before[which], rings.after[which]
    straight = ~whole & (rings.bulge == 0.0)
    into, out = straight[before], straight[after]
    ends[before[into], 0], starts[which[into], 0] = leave[into], leave[into]
    starts[after[out], 0], ends[which[out], 2] = join[out], join[out]
    keep = np.column_stack([np.ones(len(whole), dtype=bool), whole, whole])
    keep &= span(ends - starts) > GONE_MM
    pieces = starts.reshape(-1, 2), ends.reshape(-1, 2), bulges.ravel(), np.repeat(rings.source, 3)
    return Rings(*pieces, 3 * rings.first, rings.origin).kept(keep.ravel())


def _whole_corners(rings: Rings, joints: Joints) -> Bools:
    """Whether each piece is an arc that rolls all about its corner, shape (m,)."""
    joint = np.maximum(-1 - rings.source, 0)
    whole: Bools = (rings.source < 0) & (span(joints.end[joint] - rings.start) <= GONE_MM)
    whole &= span(joints.start[joints.after[joint]] - rings.end) <= GONE_MM
    return whole


def tipped(rings: Rings, joints: Joints, group: Index) -> tuple[Rings, Bools]:
    """Mitre every corner that has room for it.

    Parameters
    ----------
    rings : Rings
        Offset rings, simple, with rolled corners.
    joints : Joints
        What they stem from.
    group : int array of shape (r,)
        Rings of one group must not meet each other either.

    Returns
    -------
    rings : Rings
        The rings, simple.
    rolled : bool array of shape (r,)
        Rings that hold a corner which stayed rolled, its mitre having met another piece.
    """
    source, before = rings.source, joints.source.before
    left_out = np.zeros(0, dtype=np.intp)
    while True:
        tips = mitred(rings, joints, left_out)
        met = tips.source[meeting_pieces(tips, group)]
        if not len(met):
            break
        # a mitre is made of pieces of its own, and of the lines on either side that it lengthens
        beside = met[met >= 0]
        corners = np.concatenate([left_out, -1 - met[met < 0], beside, before[beside]])
        fresh = np.unique(corners)
        left_out = fresh if len(fresh) > len(left_out) else np.arange(len(before))
    rolled = _whole_corners(rings, joints) & np.isin(-1 - source, left_out)
    return tips, np.bincount(rings.ring[rolled], minlength=len(rings)) > 0
