"""How many draws a heat margin needs, and how much the answer hangs on which draws they are.

Prints, over eight cuts and four materials, the greatest error of p_hot (and of that where p_hot is
below 0.1, near the bound between good and tight) and of the 5 % margin, against 200 000 random
draws sieved by the same anchors. For other numbers of draws, taken from the beginning of the
sequence as the product does, from its end, and at random. DRAWS of core.heat.risk keeps p_hot
within 0.04, and within 0.02 near the bound; twice as many cost twice the time and gain little.

Run: python tests/studies/heat_draws.py
"""

from __future__ import annotations

from unittest import mock

import numpy as np

from core.heat import risk as module
from core.heat.estimates import ESTIMATES
from core.heat.steady import steady_conditions
from tests.core.heat.cards import NEW, ROOM_C, sanity_cuts

CUTS = "ABCDEGNR"


def judged(coefficients, card):
    """Share that is hot and 5 % margin of each cut."""
    cuts = sanity_cuts(card)
    found = []
    for name in CUTS:
        margin = module.least_k(coefficients, steady_conditions(cuts[name], ESTIMATES, ROOM_C))
        found.append(((margin < 0.0).mean(), np.quantile(margin, 0.05)))
    return np.array(found)


def agreeing(card, count):
    """Coefficients drawn and the rows that agree with the anchors."""
    prior = module.drawn(card, ESTIMATES, count)
    agree = np.ones(count, bool)
    for cut, stays_cool in module.anchors(ESTIMATES):
        margin = module.least_k(prior, steady_conditions(cut, ESTIMATES, ROOM_C))
        agree &= (margin > 0.0) == stays_cool
    return prior, np.flatnonzero(agree)


def random_draws(count, dimensions):
    return np.random.default_rng(7).normal(size=(dimensions, count))


def main():
    truth, pool, noise = {}, {}, {}
    for name, card in NEW.items():
        pool[name] = agreeing(card, module.SIEVED)
        with mock.patch.object(module, "normal_draws", random_draws):
            prior, rows = noise[name] = agreeing(card, 200_000)
        truth[name] = judged(module._rows(prior, rows), card)
    print("draws  which       p_hot  where below 0.1   5 % margin")
    for draws in (64, 128, 256, 512, 1024):
        for label, source, part in (
            ("first", pool, slice(draws)),
            ("last", pool, slice(-draws, None)),
            ("random", noise, slice(draws)),
        ):
            error = [
                np.abs(judged(module._rows(prior, rows[part]), NEW[name]) - truth[name])
                for name, (prior, rows) in source.items()
            ]
            cool = [truth[name][:, 0] < 0.1 for name in source]
            near = [e[c, 0].max(initial=0.0) for e, c in zip(error, cool, strict=True)]
            share, low = np.max(error, axis=(0, 1))
            print(f"{draws:5d}  {label:10s}  {share:.3f}  {max(near):.3f}            {low:5.1f} K")


if __name__ == "__main__":
    main()
