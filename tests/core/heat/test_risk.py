from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.heat.estimates import ESTIMATES
from core.heat.records import OUTSIDE_ABOVE, TIGHT_ABOVE, state_word
from core.heat.risk import (
    DRAWS,
    Draws,
    anchors,
    drawn,
    draws_of,
    least_k,
    normal_draws,
    risk,
)
from core.heat.steady import SteadyCut, steady_conditions
from core.heat.temperatures import Conditions, nominal
from core.library.records import Material
from tests.core.heat.cards import ACRYLIC, GOOD, NEW, OLD, ROOM_C


def conditions(cut: SteadyCut) -> Conditions:
    one = replace(cut, feed_per_tooth_mm=np.atleast_1d(cut.feed_per_tooth_mm))
    return steady_conditions(one, ESTIMATES, ROOM_C)


def softer(card: Material, by_k: float) -> Material:
    """The same sheet with softening temperatures moved down."""
    assert card.heat is not None
    heat = replace(
        card.heat, chip_softening_temperature_c=card.heat.chip_softening_temperature_c - by_k
    )
    lower = card.softening_temperature_c - by_k
    return replace(card, softening_temperature_c=lower, heat=heat)


def test_draws_are_normal_and_apart_from_each_other():
    draws = normal_draws(4096, 13)
    assert np.abs(draws.mean(axis=1)).max() < 0.02
    assert np.abs(draws.std(axis=1) - 1.0).max() < 0.01
    assert np.abs(np.corrcoef(draws) - np.eye(13)).max() < 0.05


def test_draws_have_the_spread_of_the_card():
    prior = drawn(ACRYLIC, ESTIMATES, 4096)
    logs = np.log(np.asarray(prior.cutting_pa) / 110e6)
    assert logs.std() == pytest.approx(0.30, abs=0.01)
    assert np.median(logs) == pytest.approx(0.0, abs=0.01)
    assert np.asarray(prior.softening_c).std() == pytest.approx(6.0, abs=0.1)


def test_drawn_shares_of_the_edge_work_still_sum_to_one():
    prior = drawn(ACRYLIC, ESTIMATES, 512)
    total = prior.wall_share + prior.chip_share + prior.cutter_share
    np.testing.assert_allclose(total, 1.0, atol=1e-12)


@pytest.mark.parametrize("card", [*OLD.values(), *NEW.values()])
def test_kept_draws_agree_with_the_anchors(card):
    """By construction: calibration, not evidence."""
    draws = draws_of(card, ESTIMATES)
    assert draws.anchored
    for cut, stays_cool in anchors(ESTIMATES):
        margin = least_k(draws.coefficients, steady_conditions(cut, ESTIMATES, ROOM_C))
        assert margin.shape == (DRAWS,)
        assert ((margin > 0.0) == stays_cool).all()


def test_a_sheet_that_no_practice_can_cut_is_not_anchored():
    draws = draws_of(softer(ACRYLIC, 70.0), ESTIMATES)
    assert not draws.anchored
    assert np.asarray(draws.coefficients.cutting_pa).shape == (DRAWS,)


@pytest.mark.parametrize("name", NEW)
def test_p_hot_grows_as_the_softening_temperature_falls(name):
    """The draws are those of one card; only the softening moves."""
    card = NEW[name]
    draws = draws_of(card, ESTIMATES)
    state = conditions(replace(GOOD, feed_per_tooth_mm=0.10))
    shares = []
    for by_k in (-20.0, 0.0, 10.0, 20.0, 40.0, 80.0):
        c = draws.coefficients
        moved = replace(
            c, softening_c=c.softening_c - by_k, chip_softening_c=c.chip_softening_c - by_k
        )
        shares.append(float(risk(Draws(moved, True), state).p_hot[0]))
    assert shares == sorted(shares)
    assert shares[-1] > shares[0]


def test_the_band_brackets_the_share_that_is_hot():
    state = conditions(replace(GOOD, feed_per_tooth_mm=np.array([0.02, 0.05, 0.1, 0.33])))
    found = risk(draws_of(ACRYLIC, ESTIMATES), state)
    assert (found.low_k < found.high_k).all()
    assert (found.p_hot[:-1] >= found.p_hot[1:]).all()
    # a 5 % value below zero means more than 5 % are hot, and the other way round
    np.testing.assert_array_equal(found.low_k < 0.0, found.p_hot > 0.05)


def test_blocks_of_passes_do_not_change_the_answer():
    feeds = np.linspace(0.02, 0.4, 150)
    together = risk(
        draws_of(ACRYLIC, ESTIMATES), conditions(replace(GOOD, feed_per_tooth_mm=feeds))
    )
    alone = risk(
        draws_of(ACRYLIC, ESTIMATES), conditions(replace(GOOD, feed_per_tooth_mm=feeds[100]))
    )
    assert together.low_k[100] == alone.low_k[0]
    assert together.p_hot[100] == alone.p_hot[0]


def test_a_narrower_card_gives_a_narrower_band():
    assert ACRYLIC.heat is not None
    measured = replace(ACRYLIC.heat, specific_cutting_force_log_sd=0.03, edge_force_log_sd=0.05)
    known = replace(ACRYLIC, heat=measured)
    state = conditions(GOOD)
    wide = risk(draws_of(ACRYLIC, ESTIMATES), state)
    narrow = risk(draws_of(known, ESTIMATES), state)
    assert narrow.high_k[0] - narrow.low_k[0] < 0.8 * (wide.high_k[0] - wide.low_k[0])


def test_the_nominal_margin_is_one_of_the_prior():
    prior = drawn(ACRYLIC, ESTIMATES, 2048)
    margins = least_k(prior, steady_conditions(GOOD, ESTIMATES, ROOM_C))
    middle = float(least_k(nominal(ACRYLIC, ESTIMATES), steady_conditions(GOOD, ESTIMATES, ROOM_C)))
    assert margins.min() < middle < margins.max()


@pytest.mark.parametrize(
    ("p_hot", "calibrated", "word"),
    [
        (0.0, False, "good"),
        (TIGHT_ABOVE, True, "good"),
        (0.06, True, "tight"),
        (OUTSIDE_ABOVE, True, "tight"),
        (0.31, True, "outside"),
        (1.0, False, "tight"),
    ],
)
def test_states_of_the_heat_limit(p_hot, calibrated, word):
    assert state_word(p_hot, calibrated) == word


def test_passes_alike_but_for_the_warmth_of_their_cutter_are_judged_each_for_itself():
    feeds = np.full(3, 0.33)
    state = conditions(replace(GOOD, feed_per_tooth_mm=feeds))
    warmth = replace(state, warmed=np.array([0.0, 1.0, 4.0]))
    found = risk(draws_of(ACRYLIC, ESTIMATES), warmth)
    assert found.p_hot[0] <= found.p_hot[1] < found.p_hot[2]
    alone = risk(draws_of(ACRYLIC, ESTIMATES), conditions(GOOD))
    assert found.low_k[1] == alone.low_k[0]
