"""The map says what the pipeline says, cell by cell, and names what binds."""

from dataclasses import replace

import numpy as np
import pytest

from core.advice.map import settings_map
from core.advice.map_cut import cut_of_pass, straight_slot
from core.job import Air
from core.library.shelf import Shelf
from core.pipeline import Pipeline
from core.plan import choose
from tests.core.advice.plates import job, plate

PLATE = plate((60.0, 60.0, 9.0), (200.0, 100.0, 30.0), line_mm=1500.0)
SETTINGS = [(9000.0, 0.18), (14000.0, 0.12), (18000.0, 0.24), (21000.0, 0.2), (17000.0, 0.31)]
SHARED = [
    *("balance", "maker_speed", "spindle_high", "spindle_low", "chip_packing"),
    *("rubbing", "spindle_power", "bending", "hold_down"),
]
CHANGES = [
    {},
    {"material": "polycarbonate", "air": Air.SUCTION},
    {"material": "hdpe", "thickness_mm": 10.0, "rough_cutter": "t8_two_edge_6"},
    {"machine": "heavy_gantry", "holder": "collet_30k", "air": Air.NONE},
]


def planned(**choices):
    return Pipeline().results(job(PLATE, **choices))


def of_kind(results, kind):
    """Return the index of the first pass on a straight line, round a hole, or of a skim of one."""
    for index, one in enumerate(results.plan.passes):
        path = one.toolpath
        found = {"line": path.wall_side == 0, "hole": path.wall_inside}[kind.split()[0]]
        if found and (path.step.name == "skim" or "skim" not in kind):
            return index
    raise AssertionError(kind)


def report_of(results, index):
    """Return the report of a pass by its index in the plan."""
    for contour in results.report.contours:
        if index in contour.passes.indices:
            return contour.passes[contour.passes.indices.index(index)]
    raise AssertionError(index)


def margins_at(results, index, speed, feed):
    """Return the margins by name that a map of one cell gives."""
    found = settings_map(cut_of_pass(results, index), np.array([speed]), np.array([feed])).margins
    return {one.name: float(np.squeeze(one.margin_ratio)) for one in found}


@pytest.mark.parametrize("kind", ["line", "hole", "hole skim"])
@pytest.mark.parametrize(("speed", "feed"), SETTINGS)
@pytest.mark.parametrize("change", CHANGES, ids=lambda change: " ".join(map(str, change.values())))
def test_limits_of_the_map_are_those_of_the_pipeline(kind, speed, feed, change):
    results = planned(spindle_speed_rpm=speed, feed_per_tooth_mm=feed, **change)
    index = of_kind(results, kind)
    one = results.plan.passes[index]
    limits = {limit.name: limit for limit in report_of(results, index).limits}
    margins = margins_at(results, index, speed, one.feed_per_tooth_mm)
    # forces come from straight lines between nodes when there are many chip loads
    for name in set(SHARED) & set(limits):
        assert margins[name] == pytest.approx(limits[name].margin_ratio, abs=2e-3), name


@pytest.mark.parametrize(("speed", "feed"), SETTINGS)
@pytest.mark.parametrize("change", CHANGES, ids=lambda change: " ".join(map(str, change.values())))
def test_heat_on_a_long_line_is_that_of_the_pipeline(speed, feed, change):
    results = planned(spindle_speed_rpm=speed, feed_per_tooth_mm=feed, **change)
    index = of_kind(results, "line")
    one, chosen = report_of(results, index), results.chosen
    feed = results.plan.passes[index].feed_per_tooth_mm
    middle = one.trace.wall_c[len(one.trace.wall_c) // 2]
    soft = chosen.material.softening_temperature_c
    cases = {
        "chip": (one.chip_temperature_c, chosen.material.heat.chip_softening_temperature_c),
        "wall": (middle, soft),
        "cutter": (one.cutter_temperature_c, soft),
    }
    hottest = min(cases, key=lambda part: cases[part][1] - cases[part][0])
    at, limit = cases[hottest]
    ratio = margins_at(results, index, speed, feed)["heat"]
    # the cutter of a pass of seconds is not quite as warm as the one of the map
    assert ratio <= 1.0 - at / limit + 2e-3
    if hottest != "cutter":
        assert ratio == pytest.approx(1.0 - at / limit, abs=2e-3)


def test_the_forces_between_the_nodes_are_right():
    results = planned()
    index = of_kind(results, "hole skim")
    table = settings_map(cut_of_pass(results, index))
    row = table.cell(18000.0, 0.2)[0]
    column = 77
    alone = margins_at(
        results, index, table.spindle_speed_rpm[row], table.feed_per_tooth_mm[column]
    )
    for one in table.margins:
        cell = np.broadcast_to(one.margin_ratio, table.worst_ratio.shape)[row, column]
        assert cell == pytest.approx(alone[one.name], abs=0.01), one.name


def test_the_binding_limit_of_a_cell_is_the_one_with_the_least_margin():
    table = settings_map(cut_of_pass(planned(), 0))
    every = np.array(
        [np.broadcast_to(m.margin_ratio, table.worst_ratio.shape) for m in table.margins]
    )
    assert np.array_equal(table.worst_ratio, every.min(axis=0))
    assert np.array_equal(
        np.take_along_axis(every, table.binding[None].astype(int), 0)[0], table.worst_ratio
    )


def test_a_map_is_hatched_outside_the_makers_range():
    table = settings_map(cut_of_pass(planned(), of_kind(planned(), "line")))
    inside = ~table.hatched[0]
    loads = table.feed_per_tooth_mm[inside]
    assert table.from_maker
    assert loads.min() >= table.maker_low_mm
    assert loads.max() <= table.maker_high_mm


def test_a_small_hole_is_hatched_where_the_machine_cannot_reach_the_range():
    results = planned()
    table = settings_map(cut_of_pass(results, of_kind(results, "hole")))
    row, column = table.cell(20000.0, (table.maker_low_mm + table.maker_high_mm) / 2.0)
    slow = table.cell(5000.0, 0.0)[0]
    assert table.hatched[row, column]
    assert not table.hatched[slow, column]


def test_a_straight_slot_needs_no_drawing():
    chosen = choose(replace(job(PLATE), drawings=()), Shelf())
    table = settings_map(straight_slot(chosen, chosen.cutting.rough, 6.0))
    row, column = table.cell(17000.0, 0.22)
    assert table.worst_ratio[row, column] > 0.0
    assert table.binding_label(*table.cell(23000.0, 0.22)) == "balance of the holder"


def test_without_coefficients_the_map_knows_no_heat_and_no_force():
    chosen = choose(replace(job(PLATE, material="acetal"), drawings=()), Shelf())
    names = {m.name for m in settings_map(straight_slot(chosen, chosen.cutting.rough, 6.0)).margins}
    assert "chip_packing" in names
    assert not {"heat", "spindle_power", "bending"} & names
