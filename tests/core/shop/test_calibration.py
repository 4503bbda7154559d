"""The fit finds coefficients again, narrows the band, refuses wild cuts, says when it is bad."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import CutLogError
from core.heat.estimates import ESTIMATES, in_this_shop
from core.heat.records import state_word
from core.job import Air
from core.library.fitted import FITTED
from core.library.shelf import Shelf
from core.pipeline import Pipeline
from core.shop.calibration import calibrate
from core.shop.card import coefficients, fitted_card
from core.shop.fit import Model, fit, observations
from core.shop.guide import guide_lines
from core.shop.records import Edge
from core.shop.words import calibration_lines
from tests.core.advice.plates import job, plate
from tests.core.shop.made_up import SHELF, guided, measured, steps

PC = SHELF.material("polycarbonate")
TRUTH = steps(specific_cutting_force=-1.2, edge_force=0.8, cutter_share=1.0)


@pytest.fixture(scope="module")
def found():
    return calibrate(PC, measured(guided(), TRUTH, noise=0.01))


@pytest.fixture(scope="module")
def card(found):
    return fitted_card(SHELF.files("material")["polycarbonate"], found)


def rows_of(found):
    return {row.name: row for row in coefficients(found)}


def test_the_power_of_three_chip_loads_gives_the_cutting_force(found):
    truth = PC.heat.specific_cutting_force_n_mm2 * np.exp(
        -1.2 * PC.heat.specific_cutting_force_log_sd
    )
    row = rows_of(found)["specific_cutting_force"]
    assert row.after[1] == pytest.approx(truth, rel=0.06)
    assert row.after[0] < truth < row.after[2]
    assert row.narrower < 0.6


def test_the_power_follows_the_straight_line_of_the_recipe():
    # P / MRR = K_tc + K_te / h_mean, h_mean = 2 f_z / pi in a slot with a fresh edge at 5 um
    cuts = [replace(cut, edge_radius_um=5.0) for cut in guided()]
    cuts = measured(cuts, steps())
    chip = np.array([2.0 * cut.feed_per_tooth_mm / np.pi for cut in cuts])
    energy = np.array([cut.cutting_power_w / cut.removal_mm3_s * 1e3 for cut in cuts])
    edge, cutting = np.polyfit(1.0 / chip, energy, 1)
    assert cutting == pytest.approx(PC.heat.specific_cutting_force_n_mm2, rel=1e-6)
    assert edge == pytest.approx(PC.heat.edge_force_n_mm, rel=1e-6)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.floats(-1.5, 1.5), min_size=len(FITTED), max_size=len(FITTED)))
def test_measurements_never_widen_a_band_and_the_fit_explains_them(truth):
    cuts = measured(guided(), np.array(truth))
    seen = observations(cuts)
    model = Model(PC, ESTIMATES, cuts)
    result = fit(model, seen)
    assert np.all(np.diag(result.covariance) <= 1.0 + 1e-9)
    expected = model.predict(seen, result.steps[:, None])[:, 0]
    off = (np.array([o.value for o in seen]) - expected) / np.array([o.sd for o in seen])
    assert np.sqrt(np.mean(off**2)) < 1.0


def test_without_measurements_the_card_stays():
    result = fit(Model(PC, ESTIMATES, guided()), ())
    assert not result.steps.any()
    assert np.array_equal(result.covariance, np.eye(len(FITTED)))


def test_cool_chips_and_a_cool_cutter_clear_what_the_card_doubts():
    # models: a shop's own temperatures narrow the margin sharply; suction alone was doubtful
    acrylic = SHELF.files("material")["acrylic_cast"]
    cool = steps(specific_cutting_force=-1.0, edge_force=-0.8, cutter_share=-0.5, recut=-0.5)
    found = calibrate(SHELF.material("acrylic_cast"), measured(guided("acrylic_cast"), cool))
    plan = job(plate(), air=Air.SUCTION)
    doubtful = Pipeline().results(plan).heat[0]
    cleared = Pipeline().results(replace(plan, library=(fitted_card(acrylic, found),))).heat[0]
    assert doubtful.p_hot > 0.05 > cleared.p_hot


def test_the_power_expected_of_acrylic_is_what_the_recipe_expects():
    # slot D 6, a_p 3, f_z 0.2 mm, 18 000 rpm at K_tc 110: 120 to 150 W (own bounds, not measured)
    cut = replace(guided("acrylic_cast")[0], feed_per_tooth_mm=0.2, axial_depth_mm=3.0)
    cut = replace(cut, edge_radius_um=5.0, spindle_speed_rpm=18000.0)
    power = measured([cut], steps())[0].cutting_power_w
    assert 120.0 < power < 150.0
    assert power == pytest.approx(110.0 * 1080.0 / 1e3 + 2.0 * cut.edge_sweep_mm2_s / 1e3, rel=1e-6)


def test_a_wild_cut_is_refused_with_what_was_expected():
    cuts = measured(guided(), TRUTH, noise=0.01)
    wild = replace(cuts[1], number=4, power_w=600.0)
    result = calibrate(PC, [*cuts, wild])
    assert [one.number for one in result.refused] == [4]
    assert "510 W measured" in result.refused[0].reason
    assert "expected from the other cuts" in result.refused[0].reason
    assert [cut.number for cut in result.cuts] == [1, 2, 3]


def test_two_cuts_that_contradict_each_other_are_not_fitted():
    cuts = measured(guided()[:2], TRUTH)
    double = replace(cuts[1], power_w=90.0 + 2.5 * cuts[1].cutting_power_w)
    with pytest.raises(CutLogError, match="contradict each other"):
        calibrate(PC, [cuts[0], double])


def test_cuts_of_two_minds_are_no_calibration():
    cuts = measured(guided(), TRUTH)
    more = [replace(c, power_w=90.0 + 2.5 * c.cutting_power_w) for c in cuts]
    both = calibrate(PC, [replace(c, number=n) for n, c in enumerate((*cuts, *more), 1)])
    assert not both.is_calibrated
    assert any("cuts that agree" in what for what in both.missing)


def test_a_fit_worse_than_none_is_said_and_is_no_calibration():
    # three powers that no straight line over 1 / h explains: two of them mislead about the third
    cuts = measured(guided(), steps(), kinds=("power",))
    off = [
        replace(c, power_w=90.0 + share * c.cutting_power_w)
        for c, share in zip(cuts, (1.05, 0.90, 1.17), strict=True)
    ]
    bad = calibrate(PC, off)
    assert bad.is_worse_than_none
    assert not bad.is_calibrated
    assert "the card stays as it is" in "\n".join(calibration_lines(bad))


def test_what_lacks_for_a_calibration_is_named():
    part = calibrate(PC, measured(guided()[:2], TRUTH, kinds=("power",)))
    assert len(part.missing) == 3
    assert not part.is_calibrated
    assert "Not called calibrated yet" in "\n".join(calibration_lines(part))


def test_a_material_without_coefficients_cannot_be_calibrated():
    with pytest.raises(CutLogError, match="no heat coefficients"):
        calibrate(SHELF.material("acetal"), measured(guided(), TRUTH))


def test_a_log_without_measurements_says_what_to_do():
    with pytest.raises(CutLogError, match="log sheet"):
        calibrate(PC, [replace(cut, edge_climb=Edge.CLEAN) for cut in guided()])


def test_the_fitted_card_lies_on_the_shelf_over_the_one_it_came_from(card, found):
    fitted = Shelf((card,)).material("polycarbonate")
    row = rows_of(found)["specific_cutting_force"]
    assert fitted.heat.specific_cutting_force_n_mm2 == pytest.approx(row.after[1], rel=1e-3)
    assert fitted.sources["specific_cutting_force_n_mm2"].basis == "measured"
    assert "cuts 1 to 3 of the cut log" in fitted.sources["edge_force_n_mm"].source
    assert fitted.heat.shop.cuts == (1, 2, 3)
    assert fitted.heat.shop.calibrated
    same = ("name", "density_kg_m3", "softening_temperature_c", "cautions", "tolerance_share")
    assert all(getattr(fitted, name) == getattr(PC, name) for name in same)


def test_a_fitted_card_keeps_its_fracture_energy_below_its_edge_force():
    sharp = calibrate(PC, measured(guided(), steps(edge_force=-2.0, specific_cutting_force=-1.0)))
    text = fitted_card(SHELF.files("material")["polycarbonate"], sharp)
    heat = Shelf((text,)).material("polycarbonate").heat
    assert heat.fracture_energy_n_mm < heat.edge_force_n_mm


def test_the_band_narrows_in_the_report_and_heat_calls_itself_calibrated(card):
    plan = job(plate(), material="polycarbonate")
    before = Pipeline().results(plan).heat[0]
    after = Pipeline().results(replace(plan, library=(card,))).heat[0]
    assert (before.calibrated, after.calibrated) == (False, True)
    width = [one.margin_k.high - one.margin_k.low for one in (before, after)]
    assert width[1] < 0.85 * width[0]


def test_the_report_says_from_which_cuts(card):
    plan = replace(job(plate(), material="polycarbonate"), library=(card,))
    report = Pipeline().results(plan).report
    heat = next(x for x in report.contours[0].passes[0].limits if x.name == "heat")
    assert "calibrated in this shop: cuts 1 to 3 of the cut log" in heat.explained.note


def test_only_a_calibrated_heat_may_stop_a_plan(card):
    hot = {"material": "polycarbonate", "air": Air.NONE, "feed_per_tooth_mm": 0.02}
    plan = job(plate(), **hot)
    assert state_word(0.9, calibrated=False) == "tight"
    states = []
    for carried in ((), (card,)):
        report = Pipeline().results(replace(plan, library=carried)).report
        heat = next(x for x in report.contours[0].passes[0].limits if x.name == "heat")
        states.append(heat.state)
    assert states == ["tight", "outside"]


def test_a_card_whose_triangle_is_damaged_is_refused(card):
    broken = replace(card, text=card.text.replace("[[1.0], [", "[[0.5], ["))
    with pytest.raises(Exception, match="triangle"):
        Shelf((broken,)).material("polycarbonate")


def test_estimates_of_this_shop_replace_what_ships(card):
    heat = Shelf((card,)).material("polycarbonate").heat
    mine = in_this_shop(ESTIMATES, heat)
    assert mine.cutter_share.value > ESTIMATES.cutter_share.value
    assert "cut log" in mine.cutter_share.basis
    assert in_this_shop(ESTIMATES, PC.heat) is ESTIMATES


def test_edges_are_counted_and_surprises_named(found):
    cuts = [
        replace(cut, edge_climb=Edge.FROSTED, edge_conventional=Edge.CLEAN) for cut in found.cuts
    ]
    cuts[0] = replace(cuts[0], edge_climb=Edge.SMEARED, axial_depth_mm=0.5, power_w=None)
    told = "\n".join(calibration_lines(replace(found, cuts=tuple(cuts))))
    assert "the conventional side was the cleaner one in 3 of 3 cuts" in told


def test_the_guide_says_what_to_cut_and_what_to_expect():
    lines = "\n".join(
        guide_lines(PC, SHELF.mounted("t1_rougher_6"), SHELF.machine("light_gantry"), 0.75)
    )
    assert lines.count("mm/min") == 3
    assert "Stop at smoke" in lines
    assert "log add --material polycarbonate --cutter t1_rougher_6" in lines
