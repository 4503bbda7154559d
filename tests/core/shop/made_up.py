"""Test cuts made up from known coefficients, to see whether the fit finds them again."""

from dataclasses import replace

import numpy as np

from core.heat.estimates import ESTIMATES
from core.library.fitted import FITTED
from core.library.shelf import Shelf
from core.shop.fit import Model, Observation
from core.shop.guide import guided_cuts

SHELF = Shelf()
ROOM_C, IDLE_W = 21.0, 90.0


def steps(**truth):
    """Return standard deviations away from the card, by the names of coefficients."""
    return np.array([float(truth.get(name, 0.0)) for name in FITTED])


def guided(material="polycarbonate", cutter="t1_rougher_6"):
    """Return the guided cuts, nothing measured."""
    machine = SHELF.machine("light_gantry")
    return guided_cuts(SHELF.material(material), SHELF.mounted(cutter), machine, 0.75)


def measured(cuts, truth, noise=0.0, seed=1, kinds=("power", "chip", "cutter")):
    """Return cuts with what a shop would read whose coefficients are `truth` from the card."""
    model = Model(SHELF.material(cuts[0].material), ESTIMATES, cuts)
    rng = np.random.default_rng(seed)
    out = []
    for place, cut in enumerate(cuts):
        seen = [Observation(place, kind, 0.0, 1.0) for kind in ("power", "chip", "cutter")]
        power, chip, cutter = model.predict(seen, truth[:, None])[:, 0]
        off = 1.0 + noise * rng.standard_normal(3)
        reading = {
            "power": {"idle_power_w": IDLE_W, "power_w": IDLE_W + power * off[0]},
            "chip": {"chip_c": ROOM_C + chip * off[1]},
            "cutter": {"cutter_c": ROOM_C + cutter * off[2]},
        }
        fields = {name: value for kind in kinds for name, value in reading[kind].items()}
        day = f"2026-03-{place + 1:02d}"
        out.append(replace(cut, made_on=day, room_c=ROOM_C, number=place + 1, **fields))
    return out
