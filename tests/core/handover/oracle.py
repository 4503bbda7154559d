"""What an edit did to a program, found without the program's own reader.

A small interpreter of its own, for the words of the light gantry alone, and a comparison move by
move: nothing here is shared with what it judges.
"""

import math
import re

import numpy as np

TOLERANCE_MM = 0.012
"""What must be caught: the proof's 0.01 mm and what rounding to the text's digits adds."""

CHORD_MM = 0.0005
"""How far the chords stay off an arc here."""

SAME, CHANGED, BETWEEN = "nothing changed", "changed", "less than the tolerance"

STATES = {
    "G71": "metric",
    "G17": "plane",
    "G90": "absolute",
    "G94": "per minute",
    "G40": "no offset",
    "G80": "no cycle",
    "G54": "zero",
}


ENDS = ("%", (("M2", 2.0),))
"""What may not be said twice."""


class UnreadableError(ValueError):
    pass


def interpreted(text):
    """Return moves (kind, start, end, centre, state) and everything else that is done."""
    moves, done = [], []
    here = (math.nan,) * 3
    feed = speed = tool = None
    air = False
    mode = None
    for raw in text.splitlines():
        line = raw.strip()
        if line == "%":
            done.append(("%", len(moves)))
            continue
        line = re.sub(r"\([^()]*\)", " ", line)
        words = re.findall(r"([A-Z]) *([+-]?(?:\d+(?:\.\d*)?|\.\d+))", line)
        left = re.sub(r"[A-Z] *[+-]?(?:\d+(?:\.\d*)?|\.\d+)", "", line)
        if left.strip():
            raise UnreadableError(raw)
        values = {}
        for letter, value in words:
            if letter == "N" and value == words[0][1]:
                continue
            number = float(value)
            name = f"{letter}{number:g}"
            if letter == "G" and number in (0, 1, 2, 3):
                if "mode" in values:
                    raise UnreadableError(raw)
                mode = values["mode"] = int(number)
            elif name == "G4" or letter == "M" or name in STATES:
                if name in values:
                    raise UnreadableError(raw)
                values[name] = number
            elif letter in "XYZIJFSTP":
                if letter in values:
                    raise UnreadableError(raw)
                values[letter] = number
            elif letter != "N":
                raise UnreadableError(raw)
        if not values:
            continue
        feed = values.pop("F", feed)
        tool = values.get("T", tool)
        speed = values.get("S", speed)
        air = True if "M8" in values else False if "M9" in values else air
        others = {k: v for k, v in values.items() if k not in ("X", "Y", "Z", "I", "J", "mode")}
        if others:
            done.append((tuple(sorted(others.items())), len(moves)))
        if any(axis in values for axis in "XYZIJ"):
            if mode is None:
                raise UnreadableError(raw)
            end = tuple(values.get(axis, old) for axis, old in zip("XYZ", here, strict=True))
            centre = None
            if mode in (2, 3):
                if "I" not in values or "J" not in values:
                    raise UnreadableError(raw)
                centre = (here[0] + values["I"], here[1] + values["J"])
            elif "I" in values or "J" in values:
                raise UnreadableError(raw)
            # what is on matters where something is cut
            state = (feed, speed, tool, air) if mode else None
            moves.append((mode, here, end, centre, state))
            here = end
    return moves, done


def verdict(before, after):
    """Return what an edit did: SAME, CHANGED, or BETWEEN."""
    if before == after:
        return SAME
    try:
        old, new = interpreted(before), interpreted(after)
    except UnreadableError:
        return CHANGED
    if old == new:
        return SAME
    events = _events(_once(old[1]), _once(new[1]), old[0], new[0])
    motion = _motion(old[0], new[0])
    if CHANGED in (events, motion):
        return CHANGED
    return SAME if events == motion == SAME else BETWEEN


def _once(done):
    """Leave out what is said twice in a row: to switch on what is on, or to wait twice.

    Settings in a row, and switches that turn off, stand in any order.
    """
    once = [x for k, x in enumerate(done) if k == 0 or x != done[k - 1] or x[0] in ENDS]
    kinds = [_any_order(what) for what, _ in once]
    out, begin = [], 0
    for k in range(1, len(once) + 1):
        if k == len(once) or kinds[k] != kinds[begin] or not kinds[k]:
            out += sorted(once[begin:k], key=repr)
            begin = k
    return out


def _any_order(what):
    names = set() if isinstance(what, str) else {name for name, _ in what}
    return next(
        (str(s) for s in (set(STATES), {"M5", "M9"}, {"G4", "P", "M8"}) if names and names <= s), ""
    )


def _events(old, new, moves, others):
    if [what for what, _ in old] == [what for what, _ in new]:
        shift = len(others) - len(moves)
        moved = {
            (a[1], b[1]) for a, b in zip(old, new, strict=True) if b[1] - a[1] not in (0, shift)
        }
        if not moved:
            return SAME
        # to switch something a rapid move earlier or later is neither motion nor a limit
        passed = [m for a, b in moved for m in others[min(a, b) : max(a, b)]]
        return CHANGED if any(m[0] for m in passed) else BETWEEN
    if len(old) != len(new):
        return CHANGED
    result = SAME
    for (a, _), (b, _) in zip(old, new, strict=True):
        if a == b:
            continue
        if isinstance(a, str) or isinstance(b, str) or [k for k, _ in a] != [k for k, _ in b]:
            return CHANGED
        for (name, one), (_, other) in zip(a, b, strict=True):
            if name == "P" and other >= one * 0.999:
                result = BETWEEN  # to wait longer is no fault
            elif one != other and not (name == "S" and abs(other / one - 1.0) < 2e-3):
                return CHANGED
            elif one != other:
                result = BETWEEN
    return result


def _motion(old, new):
    """Compare the ways first, then what was in force along those that are the same."""
    first, last = _alike(old, new)
    a, b = old[first : len(old) - last], new[first : len(new) - last]
    pairs = [*zip(old[:first], new[:first], strict=True)]
    pairs += zip(old[len(old) - last :], new[len(new) - last :], strict=True)
    if len(a) == len(b):
        pairs += zip(a, b, strict=True)
    state = max((_state_gap(x, y) for x, y in pairs), default=0.0)
    if state > 1.0:
        return CHANGED
    gap = 0.0
    if a or b:
        # what is run rapidly and what is cut are two things, even along one line
        for rapid in (True, False):
            one, other = ([m for m in part if (m[0] == 0) == rapid] for part in (a, b))
            gap = max(gap, _gap(one, other))
    if gap > TOLERANCE_MM:
        return CHANGED
    return SAME if gap == 0.0 and state == 0.0 else BETWEEN


def _gap(one, other):
    """Return how far two chains stray from each other."""
    if not one or not other:
        lost = [m for m in (*one, *other) if m[1] != m[2] or m[3] is not None]
        return math.inf if lost else 0.0
    if not (_known(one) and _known(other)):
        return math.inf
    return max(_stray(one, other), _stray(other, one))


def _known(moves):
    """Tell whether nothing is cut from or to a place that is not known."""
    return all(x == x for m in moves if m[0] for place in m[1:3] for x in place)


def _alike(old, new):
    """Return how many moves run the same way from the beginning, and from the end."""
    one, other = [m[:4] for m in old], [m[:4] for m in new]
    most = min(len(one), len(other))
    first = next((k for k in range(most) if one[k] != other[k]), most)
    left = most - first
    last = next((k for k in range(left) if one[-1 - k] != other[-1 - k]), left)
    return first, last


def _state_gap(x, y):
    """Return how far feed and the rest differ; 1 is the least that must be caught."""
    if x[4] is None or y[4] is None:
        return 0.0 if x[4] is y[4] else math.inf
    (feed_a, speed_a, *rest_a), (feed_b, speed_b, *rest_b) = x[4], y[4]
    if rest_a != rest_b:
        return math.inf
    gap = 0.0
    if feed_a != feed_b:
        gap = abs(feed_a - feed_b) / (0.002 * feed_a + 0.3) if feed_a and feed_b else math.inf
    if speed_a != speed_b:
        gap = max(gap, abs(speed_b / speed_a - 1.0) / 2e-3) if speed_a and speed_b else math.inf
    return gap


def _chords(moves):
    points = []
    for kind, start, end, centre, _ in moves:
        if kind in (2, 3):
            points.append(_arc(kind, start, end, centre))
        else:
            known = tuple(e if s != s else s for s, e in zip(start, end, strict=True))
            points.append(np.array([known, end]))
    ways = np.concatenate([np.stack([p[:-1], p[1:]], axis=1) for p in points])
    return np.nan_to_num(ways, nan=-9999.0)


def _arc(kind, start, end, centre):
    a0 = math.atan2(start[1] - centre[1], start[0] - centre[0])
    a1 = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turn = (a1 - a0) % (2.0 * math.pi) if kind == 3 else -((a0 - a1) % (2.0 * math.pi))
    if math.dist(start[:2], end[:2]) < 1e-9:
        turn = math.copysign(2.0 * math.pi, turn if turn else (1.0 if kind == 3 else -1.0))
    r0, r1 = math.dist(start[:2], centre), math.dist(end[:2], centre)
    step = 2.0 * math.acos(1.0 - min(CHORD_MM / max(r0, r1, 1e-9), 1.0))
    share = np.linspace(0.0, 1.0, int(abs(turn) / step) + 2)
    radius = r0 + (r1 - r0) * share
    angle = a0 + turn * share
    z = start[2] + (end[2] - start[2]) * share
    return np.column_stack(
        [centre[0] + radius * np.cos(angle), centre[1] + radius * np.sin(angle), z]
    )


def _stray(one, other):
    """Return how far the places of one chain lie from another at the most."""
    ways, targets = _chords(one), _chords(other)
    points = np.concatenate([ways[:, 0], ways[:, 1], ways.mean(axis=1)])
    begin, delta = targets[:, 0], targets[:, 1] - targets[:, 0]
    square = np.maximum((delta**2).sum(axis=1), 1e-30)
    worst = 0.0
    count = max(len(points) // 100, 1)
    for at in (points[k::count] for k in range(count)):
        share = np.clip(((at[:, None] - begin) * delta).sum(axis=2) / square, 0.0, 1.0)
        foot = begin + delta * share[:, :, None]
        gap = np.sqrt(((at[:, None] - foot) ** 2).sum(axis=2)).min(axis=1)
        worst = max(worst, float(gap.max()))
        if worst > TOLERANCE_MM:
            break
    return worst if worst > 1e-6 else 0.0
