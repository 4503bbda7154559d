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

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]


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


def mitred(rings: Rings, joints: Joints) -> Rings:
    """Return offset rings with mitres in the place of the arcs that roll all about a corner.

    Lines are lengthened to the tip; arcs go on along their tangent.
    """
    joint = np.maximum(-1 - rings.source, 0)
    whole = (rings.source < 0) & (span(joints.end[joint] - rings.start) <= GONE_MM)
    whole &= span(joints.start[joints.after[joint]] - rings.end) <= GONE_MM
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
