from __future__ import annotations

import math

import numpy as np
import pytest

from core.heat import PassHeat, assess, state_word
from core.job import Air
from core.library.records import Helix, Material
from core.motion.move import move
from core.plan.records import Pass
from tests.core.heat.cards import (
    ACRYLIC,
    MACHINE,
    ROOM_C,
    UNKNOWN,
    arc,
    corner,
    cut_pass,
    line,
    mounted,
    rounded,
)

FINISH = ((6.0, 0.0, 0.5),)
SLOT = ((6.0, 0.0, 6.0),)
SKIM = ((6.0, 0.5, 0.5), (0.5, 0.0, 6.0))


def heat_of(cut: Pass, air: Air = Air.BLAST, material: Material = ACRYLIC) -> PassHeat:
    (heat,) = assess([cut], move([cut], MACHINE), material, MACHINE, air, thickness_mm=6.0)
    assert heat is not None
    return heat


def test_a_material_without_coefficients_is_not_modelled() -> None:
    cut = cut_pass(line(50.0))
    heat = assess(
        [cut, cut], move([cut, cut], MACHINE), UNKNOWN, MACHINE, Air.BLAST, thickness_mm=6
    )
    assert list(heat) == [None, None]


def test_no_passes_no_heat() -> None:
    nothing = move([cut_pass(line(5.0))], MACHINE)
    assert not assess([], nothing, ACRYLIC, MACHINE, Air.BLAST, thickness_mm=6.0)


def test_the_margin_is_that_of_the_hottest() -> None:
    heat = heat_of(cut_pass(line(200.0), SLOT))
    margins = {
        "chip": 120.0 - heat.chip_c,
        "wall": 105.0 - heat.wall_c,
        "cutter": 105.0 - heat.cutter_c,
    }
    assert heat.margin_k.nominal == pytest.approx(min(margins.values()), abs=1e-9)
    assert heat.hottest == min(margins, key=margins.__getitem__)


def test_the_stop_in_an_inside_corner_is_found_and_named() -> None:
    heat = heat_of(cut_pass(corner(30.0, math.pi / 2), FINISH, wall_side=-1))
    assert heat.hottest == "wall"
    assert heat.cause == "the stop in the corner"
    assert heat.wall_hottest_at_mm == pytest.approx((30.0, 0.0), abs=0.2)


def test_a_mitred_outside_corner_stops_off_the_wall() -> None:
    inside = heat_of(cut_pass(corner(30.0, math.pi / 2), FINISH, wall_side=-1))
    outside = heat_of(cut_pass(corner(30.0, math.pi / 2), FINISH, wall_side=1))
    assert outside.wall_c < inside.wall_c - 40.0
    assert outside.wall_along_c.min() == ROOM_C


def test_a_corner_rolled_round_stays_on_the_tip_and_is_hot() -> None:
    rolled = heat_of(cut_pass(rounded(20.0, 3.0, math.pi / 2), FINISH, wall_side=1))
    wide = heat_of(cut_pass(rounded(20.0, 8.0, math.pi / 2), FINISH, wall_side=1))
    assert rolled.wall_c > wide.wall_c + 40.0
    assert rolled.cause == "rolling about the corner"


def test_a_hole_heats_its_wall_more_than_a_straight_cut() -> None:
    hole = heat_of(cut_pass(arc(2.0, 2 * math.pi), FINISH, wall_side=-1))
    straight = heat_of(cut_pass(line(60.0), FINISH))
    assert hole.wall_c > straight.wall_c + 2.0


def test_the_skim_counts_both_bands() -> None:
    skim = heat_of(cut_pass(line(200.0), SKIM))
    wall_only = heat_of(cut_pass(line(200.0), ((6.0, 0.5, 0.5),)))
    assert skim.edge_w > wall_only.edge_w + 2.0
    assert skim.contact_w_k > wall_only.contact_w_k


def test_which_wall_a_pass_leaves_is_said() -> None:
    assert heat_of(cut_pass(line(50.0))).final_wall
    assert not heat_of(cut_pass(line(50.0), wall_stock_mm=0.5)).final_wall


@pytest.mark.parametrize(
    ("hot", "air", "cause"),
    [
        (cut_pass(line(900.0)), Air.NONE, "no air on the cutter"),
        (cut_pass(line(900.0), cutter=mounted(metres_cut=2000.0)), Air.BLAST, "worn edge"),
        (cut_pass(line(900.0), feed_per_tooth_mm=0.02), Air.BLAST, "thin chip"),
        (cut_pass(line(900.0), feed_per_tooth_mm=0.9), Air.BLAST, "packed slot"),
        (
            cut_pass(line(900.0), cutter=mounted(helix=Helix.DOWNSHEAR)),
            Air.SUCTION,
            "suction without an air blast",
        ),
    ],
)
def test_the_cause_is_what_helps_most_when_taken_away(hot: Pass, air: Air, cause: str) -> None:
    assert heat_of(hot, air).cause == cause


def test_a_comfortable_pass_names_no_cause() -> None:
    heat = heat_of(cut_pass(line(60.0), FINISH))
    assert state_word(heat.p_hot) == "good"
    assert heat.cause is None


def test_the_band_holds_the_nominal_margin() -> None:
    band = heat_of(cut_pass(line(60.0), FINISH)).margin_k
    assert band.low < band.nominal < band.high


def test_the_same_job_gives_the_same_numbers() -> None:
    first, again = (heat_of(cut_pass(line(60.0), SLOT)) for _ in range(2))
    assert first.p_hot == again.p_hot
    assert first.margin_k == again.margin_k


def test_many_passes_at_once_are_as_each_alone() -> None:
    cuts = [
        cut_pass(corner(30.0, math.pi / 2), FINISH, cutter=mounted("a")),
        cut_pass(arc(2.0, 2 * math.pi), SKIM, cutter=mounted("b")),
        cut_pass(line(40.0), SLOT, cutter=mounted("c")),
    ]
    together = assess(cuts, move(cuts, MACHINE), ACRYLIC, MACHINE, Air.BLAST, thickness_mm=6.0)
    for cut, heat in zip(cuts, together, strict=True):
        alone = heat_of(cut)
        assert heat is not None
        assert heat.wall_c == pytest.approx(alone.wall_c, abs=1e-6)
        assert heat.chip_c == pytest.approx(alone.chip_c, abs=1e-6)
        assert heat.cutter_c == pytest.approx(alone.cutter_c, abs=1e-6)
        assert heat.p_hot == alone.p_hot
        np.testing.assert_allclose(heat.wall_along_c, alone.wall_along_c, atol=1e-6)


def test_a_cutter_warms_from_pass_to_pass_and_cools_in_between() -> None:
    cuts = [cut_pass(line(200.0), SLOT) for _ in range(3)]
    motion = move(cuts, MACHINE)

    def cutter_c(idle_s: float) -> list[float]:
        heats = assess(
            cuts, motion, ACRYLIC, MACHINE, Air.BLAST, thickness_mm=6.0, idle_s=[idle_s] * 3
        )
        return [heat.cutter_c for heat in heats if heat is not None]

    quick, slow = cutter_c(0.0), cutter_c(60.0)
    assert quick[0] < quick[1] < quick[2]
    assert slow[2] == pytest.approx(slow[0], abs=0.1)
    assert slow[0] == pytest.approx(quick[0], abs=1e-9)
