"""The setup sheet's tables: cutters, passes, order of work, test cut."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from app.printing.content import Column, Row, Table
from app.printing.setup_words import numbers_of
from core.report.pass_text import alike_contours, bare_name
from core.units import MINUS, UnitSystem, duration, in_system, number, show

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.layout.records import OrderLine
    from core.library.records import MountedCutter
    from core.pipeline import Results
    from core.report.records import PassReport


def used_cutters(results: Results) -> tuple[MountedCutter, ...]:
    """Return the cutters that the order of work uses, in its order."""
    passes = results.plan.passes
    used = (passes[line.pass_index].toolpath.mounted for line in results.order.lines)
    return tuple({mounted.key: mounted for mounted in used}.values())


def cutter_table(results: Results, system: UnitSystem) -> Table:
    """Return the mounted cutters with stick-out and wear."""
    columns = (
        Column("Tool", 0.8),
        Column("Cutter", 4.2),
        Column("Diameter", 2.2),
        Column("Edges", 1.0, True),
        Column("Stick-out", 1.6, True),
        Column("Cut so far", 2.6, True),
        Column("Holder", 3.4),
        Column("Use", 2.0),
    )
    rows = tuple(
        Row(
            (
                f"T{one.tool_number}",
                one.cutter.name,
                show(one.diameter_mm, "mm", system)
                + (" measured" if one.measured_diameter_mm else " nominal"),
                f"{one.cutter.tooth_count}",
                show(one.stick_out_mm, "mm", system),
                _wear(one, system),
                one.holder.name,
                "finish only" if one.finish_only else "any",
            )
        )
        for one in used_cutters(results)
    )
    return Table("Mounted cutters, in the order in which they are used", columns, rows)


def _wear(one: MountedCutter, system: UnitSystem) -> str:
    cut = show(one.metres_cut, "m", system)
    life = one.cutter.edge_life_m
    return f"{cut} of {show(life, 'm', system)}" if life else cut


def pass_table(results: Results, system: UnitSystem) -> Table:
    """Return the passes, contours that are cut the same in one."""
    feed = in_system(1.0, "mm/min", system)[1]
    length = in_system(1.0, "mm", system)[1]
    columns = (
        Column("No", 1.2),
        Column("Contour", 2.6),
        Column("Pass", 1.2),
        Column("Tool", 0.8),
        Column("rpm", 1.4, True),
        Column(f"Feed {feed}", 1.5, True),
        Column(f"z {length}", 1.2, True),
        Column("Direction", 2.3),
        Column(f"Chip load {length}, set / actual (5 %)", 3.8, True),
        Column("Heat margin K", 3.3, True),
        Column("Time", 1.9, True),
    )
    tools = {one.key: f"T{one.tool_number}" for one in used_cutters(results)}
    rows = []
    for group in alike_contours(results.report):
        for k, one in enumerate(group[0].passes):
            first = (numbers_of(group), bare_name(group[0].name)) if k == 0 else ("", "")
            rows.append(Row((*first, *_pass(one, tools, system)), one.state.value, begins=k == 0))
    return Table("Passes, contour by contour; times are for one of each", columns, tuple(rows))


def _pass(one: PassReport, tools: dict[str, str], system: UnitSystem) -> tuple[str, ...]:
    def told(value: float, unit: str, decimals: int) -> str:
        return number(in_system(value, unit, system)[0], decimals)

    fine = 4 if system is UnitSystem.INCH else 3
    reached = one.feed_per_tooth_reached_mm
    chip_load = "{} / {} ({})".format(
        *(told(v, "mm", fine) for v in (one.feed_per_tooth_mm, reached.mean, reached.p5))
    )
    return (
        one.step,
        tools.get(one.cutter, one.cutter_name),
        number(one.spindle_speed_rpm, 0),
        told(one.feed_speed_mm_min, "mm/min", 1 if system is UnitSystem.INCH else 0),
        told(one.z_bottom_mm, "mm", fine - 1),
        one.direction or "",
        chip_load,
        _margin(one),
        duration(one.time_s),
    )


def _margin(one: PassReport) -> str:
    margin = one.heat_margin_k
    if margin is None:
        return "not modelled"
    text = f"{margin.nominal:+.0f} ({margin.low:+.0f} to {margin.high:+.0f})"
    return text.replace("-", MINUS)


RUNS_A_ROW = 8
"""Runs of one copy and pass told in a row of the order of work."""


def order_table(results: Results) -> Table:
    """Return the order of work: with each cutter and speed, copy after copy, pass after pass."""
    columns = (
        Column("", 0.7, True),
        Column("Sheet", 0.9),
        Column("Tool", 0.9),
        Column("rpm", 1.3, True),
        Column("Contours in this order, by copy and pass", 13.0),
    )
    rows: list[Row] = []
    for (sheet, tool, speed), runs in groupby(_runs(results), lambda run: run[:3]):
        told = [run[3] for run in runs]
        for first in range(0, len(told), RUNS_A_ROW):
            cells = (f"{len(rows) + 1}", f"{sheet + 1}", f"T{tool}", number(speed, 0))
            part = " · ".join(told[first : first + RUNS_A_ROW])
            rows.append(Row((*cells, part), begins=first == 0))
    return Table("From the first cut to the last", columns, tuple(rows))


def _runs(results: Results) -> Iterator[tuple[int, int, float, str]]:
    """Yield sheet, tool, speed, and the contours that one pass cuts of one copy in a row."""
    passes = results.plan.passes

    def run(line: OrderLine) -> tuple[int, int, float, str, int]:
        one = passes[line.pass_index]
        tool, step = one.toolpath.mounted.tool_number, one.toolpath.step.name
        return line.sheet, tool, one.spindle_speed_rpm, step, line.copy

    for (sheet, tool, speed, step, copy), lines in groupby(results.order.lines, run):
        ids = dict.fromkeys(passes[line.pass_index].toolpath.contour_id for line in lines)
        yield sheet, tool, speed, f"copy {copy + 1} {step}: {', '.join(map(str, ids))}"


def test_cut_table(results: Results, system: UnitSystem) -> Table:
    """Return each setting of the job once, with room for what was seen."""
    feed = in_system(1.0, "mm/min", system)[1]
    columns = (
        Column("Tool", 1.0),
        Column("Pass", 1.4),
        Column("rpm", 1.4, True),
        Column(f"Feed {feed}", 2.2, True),
        Column("Chip load", 1.8, True),
        Column("Depth", 1.6, True),
        Column("Chip seen", 2.6),
        Column("Wall seen", 2.6),
        Column("Spindle load", 2.0),
    )
    tools = {one.key: f"T{one.tool_number}" for one in used_cutters(results)}
    rows = {}
    for contour in results.report.contours:
        for one in contour.passes:
            cells = (
                tools.get(one.cutter, ""),
                one.step,
                number(one.spindle_speed_rpm, 0),
                number(in_system(one.feed_speed_mm_min, "mm/min", system)[0], 0),
                show(one.feed_per_tooth_mm, "mm", system),
                show(one.z_top_mm - max(one.z_bottom_mm, 0.0), "mm", system),
            )
            rows[cells] = Row((*cells, "", "", ""))
    return Table("Settings of this job, each once", columns, tuple(rows.values()))
