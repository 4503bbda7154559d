"""What moves the price, and how wide it is: against sums worked out by hand."""

from decimal import Decimal

import pytest

from core.quote.spread import exact_per_part, price_range, slopes
from tests.core.quote.by_hand import SHELF, case

ON_TOP = Decimal("1.12") * Decimal("1.25")
"""Overhead and mark-up on every cent of cost."""


def by_lever(found):
    return {one.lever: one for one in found}


def test_ten_per_cent_on_the_sheet_moves_the_price_by_its_share():
    # (568.875 - 18.50) x 10 % on 25 pieces, with overhead and mark-up
    slope = by_lever(slopes(case(), most=10))["sheet_price"]
    expected = Decimal("550.375") / 10 / 25 * ON_TOP
    assert slope.per_part == pytest.approx(expected, abs=Decimal("0.005"))


def test_a_longer_life_of_the_cutters_makes_it_cheaper():
    # wear comes to 7.9857 in all; 10 % more life leaves 1 / 1.1 of it
    slope = by_lever(slopes(case(), most=10))["edge_life"]
    expected = -Decimal("7.9857") * (1 - 1 / Decimal("1.1")) / 25 * ON_TOP
    assert slope.per_part == pytest.approx(expected, abs=Decimal("0.005"))


def test_the_three_that_move_most_come_first():
    found = slopes(case())
    assert len(found) == 3
    assert found[0].lever == "sheet_price"
    assert [abs(s.per_part) for s in found] == sorted(abs(s.per_part) for s in found)[::-1]


def test_the_range_takes_each_uncertain_input_to_its_ends():
    causes = by_lever(price_range(case()).causes)
    # set-up 20 to 50 min in place of 25, the first part's 10 min as they are: -5 and +25 min
    minute = Decimal("39.00") / 60 / 25 * ON_TOP
    assert causes["setup_time"].low == pytest.approx(-5 * minute, abs=Decimal("0.005"))
    assert causes["setup_time"].high == pytest.approx(25 * minute, abs=Decimal("0.005"))
    # jerk makes 5400 s into 5670 s: 5 % of 87.00, and never less than the time of the plan
    assert causes["machine_time"].low == 0
    more = Decimal("87.00") * Decimal("0.05") / 25 * ON_TOP
    assert causes["machine_time"].high == pytest.approx(more, abs=Decimal("0.005"))


def test_the_range_adds_its_causes_as_squares():
    found = price_range(case())
    now = exact_per_part(case())
    wide = sum(cause.high**2 for cause in found.causes).sqrt()
    assert found.high - now == pytest.approx(wide, abs=Decimal("0.02"))
    assert found.low < now < found.high


def test_the_widest_cause_comes_first():
    widths = [cause.high - cause.low for cause in price_range(case()).causes]
    assert widths == sorted(widths, reverse=True)


def test_a_life_that_nobody_knows_the_band_of_is_no_cause():
    assert "edge_life" not in by_lever(price_range(case()).causes)
    cast = price_range(case(material=SHELF.material("acrylic_cast")))
    # shorter life costs more than longer life saves
    cause = by_lever(cast.causes)["edge_life"]
    assert cause.high > -cause.low > 0
