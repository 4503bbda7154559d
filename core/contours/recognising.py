"""From loose segments to contours: gather ends, clean, chain, mend, nest, name, ask."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.contours.chaining import chained, entity_loops
from core.contours.nodes import nodes_of
from core.contours.records import Contour, Contours, Kind
from core.contours.rings import even_odd_area_mm2, nesting
from core.contours.shapes import form_of, names_of
from core.contours.wires import Wires, duplicates, paths_of, specks
from core.geometry.path import Segments
from core.job.job import Task

if TYPE_CHECKING:
    from core.drawing.records import Drawing
    from core.geometry.path import Path
    from core.job.job import DrawingFile


def find_contours(drawing: Drawing, file: DrawingFile, index: int = 0) -> Contours:
    """Return the contours of a drawing.

    Parameters
    ----------
    drawing : Drawing
        As read.
    file : DrawingFile
        The user's choices: layers left out, repairs refused, tasks by hand.
    index : int
        Number of the drawing in the job, for the findings.
    """
    wires = _wires(drawing, file)
    kept = ~specks(wires)
    own = entity_loops(wires, kept)
    loose = kept.copy()
    for run in own:
        loose[np.array(run) >> 1] = False
    loose &= ~duplicates(wires, loose)
    runs = chained(wires.node, np.flatnonzero(loose))
    closed = own + runs.loops
    rings = [p if p.area_mm2 > 0 else p.reversed() for p in paths_of(wires, closed, True)]
    opens = paths_of(wires, runs.opens, False)
    nest = nesting(rings)
    kinds = [Kind.OUTER if d == 0 else Kind.HOLE if d % 2 else Kind.ISLAND for d in nest.depth]
    forms = [form_of(r) for r in rings]
    names = names_of(kinds, forms)
    tasks = {Kind.OUTER: Task.OUTSIDE, Kind.HOLE: Task.INSIDE, Kind.ISLAND: Task.NONE}
    chosen = {c.contour_id: c.task for c in file.contours if c.task is not None}
    contours = []
    for k, ring in enumerate(rings):
        layer = drawing.layers[wires.layer[closed[k][0] >> 1]].name
        diameter = forms[k].sides_mm[0] if forms[k].shape == "circle" else None
        parent = int(nest.parent[k]) + 1 if nest.parent[k] >= 0 else None
        contours.append(
            Contour(
                k + 1,
                ring,
                kinds[k],
                parent,
                int(nest.depth[k]),
                layer,
                names[k],
                forms[k].shape,
                diameter,
                chosen.get(k + 1, tasks[kinds[k]]),
            )
        )
    for run, path in zip(runs.opens, opens):
        k = len(contours)
        layer = drawing.layers[wires.layer[run[0] >> 1]].name
        contours.append(
            Contour(
                k + 1,
                path,
                Kind.OPEN,
                None,
                0,
                layer,
                f"Open line {k}",
                "other",
                None,
                chosen.get(k + 1, Task.NONE),
            )
        )
    bounds = wires.segments.bounds_mm if len(wires) else (0.0, 0.0, 0.0, 0.0)
    return Contours(
        tuple(contours),
        (),
        bounds,
        (bounds[2] - bounds[0], bounds[3] - bounds[1]),
        int((nest.depth % 2 == 0).sum()),
        int((nest.depth % 2 == 1).sum()),
        len(opens),
        even_odd_area_mm2(rings, nest.depth),
        (),
    )


def _wires(drawing: Drawing, file: DrawingFile) -> Wires:
    off = {name.lower() for name in file.layers_left_out}
    cut = np.array(
        [not (la.left_out or la.name.lower() in off) for la in drawing.layers], dtype=bool
    )
    which = np.flatnonzero(cut[drawing.layer_index]) if len(cut) else np.zeros(0, dtype=np.intp)
    seg = drawing.segments
    chosen = Segments(seg.start[which], seg.end[which], seg.bulge[which])
    ends = np.stack([chosen.start, chosen.end], axis=1).reshape(-1, 2)
    return Wires(chosen, nodes_of(ends), drawing.layer_index[which], drawing.entity_index[which])
