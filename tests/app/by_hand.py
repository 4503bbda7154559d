"""A plan made by hand, and the hands of a user: what the window's tests are made of.

The planner answers at once with a small report whose numbers follow the job, so that the window is
tested apart from the physics. Sittings on the real pipeline are in their own file.
"""

from __future__ import annotations

from decimal import Decimal
from types import SimpleNamespace

import numpy as np
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtWidgets import QApplication

from core.errors import Finding, PlanError, Severity
from core.explained import Explained, Input, Origin
from core.job.job import DrawingFile, Job
from core.layout.records import Copy, SheetLayout
from core.quote.drafts import Group
from core.quote.price import Price, PriceLine
from core.report.records import (
    Answer,
    Band,
    ContourReport,
    DrawingReport,
    Limit,
    PassReport,
    Report,
    SentencePart,
    Spread,
    State,
    Thin,
    Totals,
    Trace,
    worst,
)


def limit(name, label, actual, bound, unit, *, lower=False):
    ratio = 1.0 - (bound / actual if lower else actual / bound)
    state = State.OUTSIDE if ratio < 0 else State.TIGHT if ratio < 0.1 else State.GOOD
    inputs = (
        Input("n", "spindle speed", 18000.0, "rpm", Origin.DEFAULT, "75 % of the balanced speed"),
        Input("f_z", "chip load reached", actual, unit, Origin.COMPUTED, "feed_per_tooth_reached"),
    )
    explained = Explained(
        name, label, actual, unit, f"{name[0]} = n f_z", inputs, bound, "0.05 to 0.5 mm"
    )
    return Limit(name, label, actual, bound, unit, ratio, state, lambda: explained)


def price_by_hand():
    """Return a price of one line."""
    amount = Decimal("7.50")
    explained = Explained("machine", "machine", 7.5, "EUR", "T = t m / 60")
    machine = PriceLine("machine", amount, "minutes x rate", Group.MACHINE, explained)
    tax = PriceLine("VAT", Decimal("1.50"), "20 % on 7.50", Group.TAX, explained)
    return Price((machine,), amount, amount, "EUR", amount, tax, Decimal("9.00"))


def ring(x, y, width, height, count=120):
    """Return `count` points round a rectangle, closed."""
    corners = np.array([(x, y), (x, y + height), (x + width, y + height), (x + width, y), (x, y)])
    way = np.linspace(0.0, 4.0, count)
    return np.column_stack([np.interp(way, range(5), corners[:, axis]) for axis in (0, 1)])


def made_pass(step, job, points, material_c=145.0):
    speed = job.spindle_speed_rpm or 18000.0
    load = job.feed_per_tooth_mm or 0.19
    reached = load * (0.55 + 0.45 * np.abs(np.cos(np.linspace(0.0, 9.0, len(points)))))
    hot = 60.0 + speed / 300.0
    chip = float(reached.min())
    reached_number = Explained(
        "feed_per_tooth_reached", "actual chip load", chip, "mm", "f_z = v_f / (n z)"
    )
    return PassReport(
        step=step,
        cutter="t1_rougher_6",
        cutter_name="6 mm, one edge",
        z_top_mm=job.thickness_mm,
        z_bottom_mm=0.5,
        wall_stock_mm=0.5 if job.wall_stock_mm is None else job.wall_stock_mm,
        floor_stock_mm=0.5 if job.floor_stock_mm is None else job.floor_stock_mm,
        engagement=(),
        direction="climb",
        spindle_speed_rpm=speed,
        feed_per_tooth_mm=load,
        feed_speed_mm_min=speed * load,
        binding_limit="maker",
        path_length_mm=900.0,
        time_s=900.0 / (speed * load) * 60.0,
        feed_per_tooth_reached_mm=Spread(chip, float(reached.mean()), load),
        chip_thickness_mm=Spread(chip, float(reached.mean()), load),
        thin=Thin(0.15, 12.0, 18.0, (float(points[0, 0]), float(points[0, 1]))),
        power_w=120.0,
        lateral_force_n=30.0,
        wall_error_mm=0.02,
        feed_mark_um=2.0,
        chip_temperature_c=hot,
        wall_temperature_c=hot - 10.0,
        wall_hottest_at_mm=(float(points[1, 0]), float(points[1, 1])),
        cutter_temperature_c=hot - 20.0,
        heat_margin_k=Band(material_c - hot - 20, material_c - hot, material_c - hot + 20),
        p_hot=0.1,
        calibrated=False,
        heat_cause="thin chip",
        limits=(
            limit("heat", "heat of the wall", hot, material_c, "°C"),
            limit("rubbing", "rubbing", chip, 0.15, "mm", lower=True),
            limit("power", "spindle power", 120.0, 1500.0, "W"),
        ),
        reasons=lambda: (reached_number,),
        trace=Trace(
            xy_mm=points,
            time_s=np.linspace(0, 10, len(points)),
            speed_mm_min=reached * speed,
            feed_per_tooth_mm=reached,
            chip_mm=reached,
            wall_c=np.linspace(20.0, hot, len(points)),
        ),
    )


class HandPasses(tuple):
    """Passes that know their time and worst state, as those of a report do."""

    __slots__ = ()

    @property
    def time_s(self):
        return sum(p.time_s for p in self)

    @property
    def state(self):
        return worst(p.state for p in self)


def made_report(job, rings, findings):
    contours = []
    for number, points in enumerate(rings, 1):
        passes = HandPasses(made_pass(step, job, points) for step in ("rough", "skim"))
        kind = "outer" if number == 1 else "hole"
        contours.append(
            ContourReport(
                id=number,
                drawing=0,
                name="panel" if number == 1 else f"window {number}",
                kind=kind,
                parent=None if number == 1 else 1,
                depth=int(number > 1),
                task="outside" if number == 1 else "inside",
                length_mm=900.0,
                area_mm2=5e4,
                min_radius_mm=5.0,
                unreached_mm2=0.0,
                outline_mm=points,
                passes=passes,
                hold_down_ratio=None,
                findings=(),
            )
        )
    states = [p.state for c in contours for p in c.passes]
    outside, tight = states.count(State.OUTSIDE), states.count(State.TIGHT)
    cutting = sum(c.time_s for c in contours) * job.quantity
    drawing = DrawingReport(
        file=job.drawings[0].name,
        dxf_version="AC1027",
        mm_per_unit=1.0,
        unit_origin="header",
        unit_reason="",
        size_mm=(300.0, 200.0),
        bounds_mm=(0.0, 0.0, 300.0, 200.0),
        outer_contours=1,
        holes=len(rings) - 1,
        open_chains=0,
        area_mm2=5e4,
        left_out=(),
        frozen_layers=(),
        layers=(),
        findings=(),
    )
    words = [
        ("Cut ", ""),
        (str(job.quantity), "quantity"),
        (" of ", ""),
        (job.name or "a part", "name"),
        (" from ", ""),
        (job.material, "material"),
        (", ", ""),
        (f"{job.thickness_mm:g} mm", "thickness_mm"),
        (", on ", ""),
        (job.sheet, "sheet"),
        (". Rough with ", ""),
        (job.rough_cutter, "rough_cutter"),
        (" leaving ", ""),
        (f"{0.5 if job.wall_stock_mm is None else job.wall_stock_mm:g} mm", "wall_stock_mm"),
        (" on the wall; run the spindle at ", ""),
        (f"{job.spindle_speed_rpm or 18000:g} rpm", "spindle_speed_rpm"),
        (", with ", ""),
        (job.air.value, "air"),
        (".", ""),
    ]
    return Report(
        sentence_parts=tuple(SentencePart(text, field) for text, field in words),
        choices=(),
        drawings=(drawing,),
        contours=tuple(contours),
        sheets=(SheetLayout((400.0, 300.0), (Copy(0, (20.0, 20.0)),)),),
        order=(),
        totals=Totals(cutting, 2.0, 3.0, 0.0, 9.0, cutting + 14.0, 1200.0, 1800.0),
        price=price_by_hand(),
        answer=Answer("no" if outside else "tight" if tight else "yes", outside, tight, (0, 0)),
        findings=findings,
        cautions=("Wear eye protection.",),
    )


FINDINGS = (
    Finding("thin", Severity.NOTE, "A gap of 0.02 mm was closed.", (0.0, 200.0), True, 1),
    Finding(
        "loose", Severity.OUTSIDE, "The window comes free and may fly.", (90.0, 80.0), False, 2
    ),
    Finding("skin", Severity.TIGHT, "The skin is thinner than the sheet's tolerance."),
)


class HandPlanner:
    """Plans by hand: the same rings for every job; a thickness of 13 mm cannot be planned."""

    def __init__(self, rings=None):
        self.rings = rings or (ring(0, 0, 300, 200), ring(80, 60, 60, 40), ring(200, 60, 40, 40))
        self.runs = 0
        self.fails_with = None

    def results(self, job, *, progress=None, cancelled=None):
        self.runs += 1
        if self.fails_with is not None:
            raise self.fails_with
        if job.thickness_mm == 13.0:
            raise PlanError("no cutter on the rack reaches through 13 mm")
        if progress is not None:
            progress(0.5)
        return SimpleNamespace(report=made_report(job, self.rings, FINDINGS))


def job_by_hand(**changes):
    return Job(name="bakery window", drawings=(DrawingFile("window.dxf", b"0"),), **changes)


def open_and_wait(qtbot, window, path):
    """Open a file and wait until it is there; what went wrong is told, not waited for."""
    window.files.open(path)
    settled(qtbot, window)
    assert window.desk.document.job.drawings, window.notice.text.text()


def settled(qtbot, window):
    """Wait until nothing is being computed."""
    workers = (window.files.worker, window.desk.document.worker, window.trial.worker)
    qtbot.waitUntil(lambda: not any(worker.is_busy for worker in workers), timeout=20_000)
    drain()


def press(qtbot, window, name):
    """Press the keys of an action on whatever has the focus."""
    keys = window.actions_by_name[name].shortcut()[0]
    target = QApplication.focusWidget() or window
    qtbot.keyClick(target, keys.key(), keys.keyboardModifiers())


def type_text(qtbot, field, text, key=Qt.Key.Key_Return):
    """Type over what a field holds and press a key."""
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    if key is not None:
        qtbot.keyClick(field, key)


def drain():
    """Let deferred deletions and queued signals happen."""
    for _ in range(3):
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        QCoreApplication.processEvents()
