"""Nesting: what it must keep to, seen by an independent check on the exact outlines."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from core.layout.nest import first_layout, nest
from core.layout.nest_bitmap import BitmapFiller
from core.layout.nest_cells import covered, stances
from core.layout.nest_check import collisions
from core.layout.nest_records import NestTask, Pinned, RackSheet, Turns
from core.layout.nest_rectangles import FITS, BoxFiller
from core.layout.nest_search import SORTS, lay_out, sorted_order
from core.layout.records import PlacedPart
from core.library.records import SheetStock
from tests.core.layout.independent import overlaps
from tests.core.layout.seeded import SHEET, part, seeded_task, spent_length_mm

SMALL = SheetStock("small", "sheet 1000 x 600", (1000.0, 600.0), 10.0, 10.0)
SQUARE = [(0, 0), (100, 0), (100, 100), (0, 100)]


def task(*parts, sheet=SMALL, count=None, **more):
    numbered = tuple(replace(p, contour_id=n) for n, p in enumerate(parts, start=1))
    return NestTask(numbered, (RackSheet(sheet, count),), kerf_mm=6.0, **more)


def rectangle(width, height, **more):
    return part([(0, 0), (width, 0), (width, height), (0, height)], **more)


def placed(nesting):
    return [p for sheet in nesting.sheets for p in sheet.parts for _ in range(sheet.repeat)]


@pytest.mark.parametrize("seed", range(60))
def test_no_two_parts_of_a_layout_come_too_close(seed):
    asked = seeded_task(20 + seed % 40, seed)
    assert not overlaps(asked, first_layout(asked))


@pytest.mark.parametrize("fit", FITS)
@pytest.mark.parametrize("sort", SORTS)
def test_no_two_boxes_come_too_close(fit, sort):
    asked = seeded_task(30, 7)
    found = lay_out(asked, BoxFiller(asked, fit), sorted_order(asked, sort))
    for pattern in found.patterns:
        assert not collisions(asked, SHEET, pattern.placed)


def test_the_independent_check_sees_parts_that_overlap():
    asked = task(rectangle(100, 100, quantity=2))
    layout = first_layout(asked)
    sheet = replace(layout.sheets[0], parts=layout.sheets[0].parts[:1] * 2)
    assert overlaps(asked, replace(layout, sheets=(sheet,)))


def test_the_best_layout_is_never_worse_than_the_first():
    asked = seeded_task(20, 12)
    best = nest(asked, work=400)
    assert spent_length_mm(best) <= spent_length_mm(first_layout(asked))
    assert not overlaps(asked, best)


def test_the_same_task_gives_the_same_layout():
    assert nest(seeded_task(12, 3), work=100) == nest(seeded_task(12, 3), work=100)


def test_all_that_is_asked_for_is_placed_once():
    asked = seeded_task(40, 4)
    assert sorted(p.contour_id for p in placed(first_layout(asked))) == list(range(1, 41))


def test_ten_thousand_copies_are_sheets_that_repeat():
    layout = first_layout(task(rectangle(200, 100, quantity=10_001)))
    assert len(placed(layout)) == 10_001
    assert len(layout.sheets) == 2
    assert layout.sheets[0].repeat > 300


def test_a_sheet_takes_as_many_as_its_margins_and_spacing_let():
    # 1000 - 2 (10 + 6) = 968 along, 568 across; 100 + 16 a part: 8 by 5 and no more
    layout = first_layout(task(rectangle(100, 100, quantity=41)))
    assert [len(s.parts) for s in layout.sheets] == [40, 1]


def test_no_layout_is_below_its_lower_bound():
    for seed in range(8):
        layout = first_layout(seeded_task(30, seed))
        spent = spent_length_mm(layout) * SHEET.size_mm[1]
        assert layout.bound_mm2 <= spent


def test_a_part_larger_than_every_sheet_is_named():
    layout = first_layout(task(rectangle(1200, 700), rectangle(100, 100)))
    assert layout.unplaced == ((0, 1),)
    (finding,) = layout.findings
    assert finding.code == "larger-than-sheet"
    assert "1200.0 x 700.0 mm" in finding.message
    assert len(placed(layout)) == 1


def test_an_empty_rack_is_told_apart_from_a_part_that_is_too_large():
    layout = first_layout(task(rectangle(900, 500, quantity=3), count=2))
    assert [f.code for f in layout.findings] == ["rack-empty"]
    assert layout.sheet_count == 2


@pytest.mark.parametrize(
    ("turns", "fits"),
    [(Turns.NONE, 0), (Turns.HALF, 0), (Turns.QUARTER, 1), (Turns.FREE, 1)],
)
def test_a_part_is_turned_only_as_it_may_be(turns, fits):
    layout = first_layout(task(rectangle(300, 800, turns=turns)))
    assert len(placed(layout)) == fits


def test_a_free_part_may_lie_askew():
    # a bar drawn at 30 degrees, too tall for the sheet in any quarter turn
    bar = shapely.affinity.rotate(shapely.box(0, 0, 900, 60), 50, origin=(0, 0))
    corners = list(bar.exterior.coords)[:-1]
    assert not placed(first_layout(task(part(corners, turns=Turns.QUARTER))))
    (one,) = placed(first_layout(task(part(corners, turns=Turns.FREE))))
    assert one.turn_deg % 90.0 == pytest.approx(40.0)


LEFT_L = [(0, 0), (400, 0), (400, 80), (80, 80), (80, 520), (0, 520)]


@pytest.mark.parametrize("allowed", [False, True])
def test_a_part_is_mirrored_only_where_it_may_be(allowed):
    corner = replace(task(part(LEFT_L, turns=Turns.NONE, may_mirror=allowed)))
    # a clamp where the upright of the L would stand leaves room for its mirror image alone
    asked = replace(corner, zones_mm=((0.0, 300.0, 560.0, 600.0),))
    found = placed(first_layout(asked))
    assert [p.mirrored for p in found] == [True, False][: len(found)] if allowed else True
    assert allowed or not any(p.mirrored for p in found)


def test_a_mirrored_part_is_where_its_record_says():
    stance = next(s for s in stances(part(LEFT_L, may_mirror=True), 5, 5, False) if s.mirrored)
    shape = shapely.affinity.scale(shapely.Polygon(LEFT_L), -1, 1, origin=(0, 0))
    low = shape.buffer(5, join_style="mitre").bounds[:2]
    assert stance.origin_mm == pytest.approx((-low[0], -low[1]))


def test_nothing_lies_in_a_zone_of_a_clamp():
    zone = (0.0, 0.0, 300.0, 200.0)
    asked = task(rectangle(100, 100, quantity=30), zones_mm=(zone,))
    for p in placed(nest(asked, work=100)):
        assert asked.outline(p).distance(shapely.box(*zone)) >= 16.0 - 1e-6


RING = np.array([(0, 0), (500, 0), (500, 500), (0, 500)], float)
WINDOW = np.array([(60, 60), (440, 60), (440, 440), (60, 440)], float)


@pytest.mark.parametrize(("allowed", "sheets"), [(True, 1), (False, 2)])
def test_a_part_lies_inside_another_only_where_it_may(allowed, sheets):
    frame = replace(part(SQUARE), rings_mm=(RING, WINDOW))
    tight = SheetStock("tight", "sheet 540 x 540", (540.0, 540.0), 10.0, 10.0)
    layout = first_layout(task(frame, rectangle(300, 300), sheet=tight, in_holes=allowed))
    assert layout.sheet_count == sheets
    assert all(
        not collisions(
            task(frame, rectangle(300, 300), sheet=tight, in_holes=allowed), tight, s.parts
        )
        for s in layout.sheets
    )


def test_the_offcut_of_the_rack_is_used_before_a_whole_sheet():
    offcut = RackSheet(SMALL, count=1, weight=0.5)
    whole = RackSheet(SheetStock("whole", "whole", (2000.0, 1000.0), 10.0, 10.0))
    asked = replace(task(rectangle(400, 300, quantity=2)), rack=(whole, offcut))
    assert [s.stock.key for s in first_layout(asked).sheets] == ["small"]


def test_the_rest_goes_on_the_cheapest_sheet_that_takes_it():
    whole = RackSheet(SheetStock("whole", "whole", (2000.0, 1000.0), 10.0, 10.0))
    asked = replace(task(rectangle(400, 300, quantity=14)), rack=(whole, RackSheet(SMALL)))
    layout = first_layout(asked)
    assert [s.stock.key for s in layout.sheets] == ["whole", "small"]
    assert len(placed(layout)) == 14


def test_a_strip_worth_keeping_is_an_offcut():
    layout = first_layout(task(rectangle(300, 500), sheet=SMALL, least_offcut_mm=(500.0, 300.0)))
    ((x0, y0, x1, y1),) = layout.sheets[0].offcuts_mm
    assert (x0, y0, x1, y1) == pytest.approx((300 + 16 + 6, 0.0, 1000.0, 600.0), abs=0.2)


def test_used_share_counts_no_offcut():
    layout = first_layout(task(rectangle(300, 500), least_offcut_mm=(500.0, 300.0)))
    ((x0, _, _, _),) = layout.sheets[0].offcuts_mm
    assert layout.used_ratio == pytest.approx(300 * 500 / (x0 * 600))


def pinned_at(x, y, turn_deg=0.0):
    return Pinned(0, PlacedPart(0, 1, (x, y), turn_deg))


def test_a_pinned_part_stays_and_the_rest_lies_round_it():
    asked = task(rectangle(200, 200, quantity=6), pinned=(pinned_at(400.0, 200.0),))
    layout = nest(asked, work=50)
    assert PlacedPart(0, 1, (400.0, 200.0)) in layout.sheets[0].parts
    assert len(placed(layout)) == 6
    assert not layout.findings
    assert not collisions(asked, SMALL, layout.sheets[0].parts)


def test_a_part_pinned_over_the_edge_is_told():
    layout = first_layout(task(rectangle(200, 200), pinned=(pinned_at(-50.0, 200.0),)))
    assert [f.code for f in layout.findings] == ["part-off-sheet"]


def test_two_parts_pinned_too_close_are_told_with_their_distance():
    both = (pinned_at(100.0, 100.0), pinned_at(305.0, 100.0))
    layout = first_layout(task(rectangle(200, 200, quantity=2), pinned=both))
    (finding,) = layout.findings
    assert finding.code == "parts-too-close"
    assert "5.00 mm apart and need 16 mm" in finding.message


def test_whoever_has_enough_gets_the_best_so_far():
    told = []
    layout = nest(seeded_task(20, 1), progress=told.append, enough=lambda: len(told) >= 2)
    assert len(told) == 2
    assert len(placed(layout)) == 20


def test_each_better_layout_is_told_and_the_last_is_the_result():
    told = []
    layout = nest(seeded_task(20, 12), better=told.append, work=400)
    assert told[-1] == layout
    lengths = [spent_length_mm(t) for t in told]
    assert lengths == sorted(lengths, reverse=True)


@given(
    st.lists(
        st.tuples(st.floats(0, 200, width=32), st.floats(0, 150, width=32)), min_size=3, max_size=9
    )
)
@settings(max_examples=60, deadline=None)
def test_a_footprint_covers_every_cell_that_its_shape_touches(points):
    hull = shapely.convex_hull(shapely.MultiPoint(points))
    if hull.geom_type != "Polygon" or hull.area < 10.0:
        return
    x0, y0, _, _ = hull.bounds
    ring = np.asarray(hull.exterior.coords) - (x0, y0)
    cells = covered((ring,), 10.0)
    shape = shapely.Polygon(ring)
    for column in range(cells.shape[0]):
        for row in range(cells.shape[1]):
            cell = shapely.box(10 * column, 10 * row, 10 * column + 10, 10 * row + 10)
            shared = cell.intersection(shape).area
            assert cells[column, row] or shared < 1e-3


def test_a_footprint_does_not_cover_what_it_leaves_free():
    ring = np.array([(0, 0), (100, 0), (100, 30), (30, 30), (30, 100), (0, 100), (0, 0)], float)
    assert covered((ring,), 10.0).sum() == 30 + 3 * 7


def test_a_disc_wastes_less_as_a_shape_than_as_a_box():
    turn = np.linspace(0, 2 * math.pi, 64, endpoint=False)
    disc = part([(100 * math.cos(t), 100 * math.sin(t)) for t in turn], quantity=40)
    asked = task(disc, sheet=SHEET)
    shapes = lay_out(asked, BitmapFiller(asked, 100_000), sorted_order(asked, "area"))
    boxes = lay_out(asked, BoxFiller(asked, "leftmost"), sorted_order(asked, "area"))
    assert shapes.spent_mm2 < boxes.spent_mm2
