"""Seeded single edits to a proven program: what changes the motion is caught, nothing else is.

Two hundred here; `python tests/core/handover/edit_many.py 2000` makes as many as are asked for,
over the sample jobs too.
"""

import random

import pytest
from handed import only_text, small_work
from mutate import edited
from oracle import CHANGED, SAME, verdict

from core.handover.proof import prove

EDITS, BATCHES = 200, 8


@pytest.fixture(scope="module")
def proven():
    work = small_work()
    text = only_text(work)
    assert prove(work, text).holds
    return work, text


@pytest.mark.parametrize("batch", range(BATCHES))
def test_every_edit_that_changes_the_motion_is_caught_and_no_other(proven, batch):
    work, text = proven
    chance = random.Random(batch)
    for _ in range(EDITS // BATCHES):
        after, kind = edited(text, chance)
        did = verdict(text, after)
        if did != CHANGED and did != SAME:
            continue
        holds = prove(work, after).holds
        assert holds == (did == SAME), (kind, did, _difference(text, after))


def _difference(before, after):
    old, new = before.splitlines(), after.splitlines()
    return [(a, b) for a, b in zip(old, new, strict=False) if a != b][:2]


def test_the_edits_are_of_every_kind_and_most_of_them_matter(proven):
    _, text = proven
    chance = random.Random(0)
    seen = [
        (kind, verdict(text, after)) for after, kind in (edited(text, chance) for _ in range(90))
    ]
    assert len({kind for kind, _ in seen}) == 13
    assert sum(did == CHANGED for _, did in seen) > 50
    assert sum(did == SAME for _, did in seen) > 8
