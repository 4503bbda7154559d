"""Many seeded single edits to proven programs.

`python tests/core/handover/edit_many.py 2000 [SEED]`: over the small plate and every sample job,
with the words of the light gantry. Prints what was found, and ends with 1 if an edit that changes
the motion was not caught, or one that changes nothing was.
"""

import random
import sys
import time
from collections import Counter
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent.parent.parent)]

from handed import SAMPLES, only_text, sample_work, small_work  # noqa: E402
from mutate import edited  # noqa: E402
from oracle import CHANGED, SAME, verdict  # noqa: E402

from core.handover.proof import prove  # noqa: E402


def main(count, seed):
    works = [small_work(), *(sample_work(path) for path in SAMPLES)]
    programs = [(work, only_text(work)) for work in works]
    assert all(prove(work, text).holds for work, text in programs)
    chance, begun = random.Random(seed), time.perf_counter()
    seen, wrong = Counter(), []
    for _ in range(count):
        # half of the edits go to the small plate: it has every kind of line
        work, text = programs[chance.choice([0, 0, 0, *range(1, len(programs))])]
        after, kind = edited(text, chance)
        did = verdict(text, after)
        holds = prove(work, after).holds
        seen[kind, did, holds] += 1
        if (did == CHANGED and holds) or (did == SAME and not holds):
            wrong.append((kind, did, difference(text, after)))
    for (kind, did, holds), number in sorted(seen.items()):
        print(f"{number:5d}  {kind:24s} {did:26s} {'proven' if holds else 'caught'}")  # noqa: T201
    print(f"{count} edits in {time.perf_counter() - begun:.0f} s, {len(wrong)} judged wrongly")  # noqa: T201
    for one in wrong:
        print(one)  # noqa: T201
    return 1 if wrong else 0


def difference(before, after):
    old, new = before.splitlines(), after.splitlines()
    return next((p for p in zip(old, new, strict=False) if p[0] != p[1]), None)


if __name__ == "__main__":
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    sys.exit(main(number, int(sys.argv[2]) if len(sys.argv) > 2 else 0))
