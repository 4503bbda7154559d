"""Seeded single edits to a program, as a slip of the hand would make them."""

import re


def edited(text, random):
    """Return the text with one edit, and what was done."""
    lines = text.splitlines()
    for _ in range(100):
        kind = random.choice(list(EDITS))
        made = EDITS[kind](list(lines), random)
        if made is not None and made != lines:
            return "\n".join(made) + "\n", kind
    raise AssertionError("no edit could be made")


def _spot(lines, random, pattern):
    """Return a random match of a pattern in a random line, or None."""
    found = [(k, m) for k, line in enumerate(lines) for m in re.finditer(pattern, line)]
    return random.choice(found) if found else None


def _replaced(lines, spot, text):
    k, match = spot
    lines[k] = lines[k][: match.start()] + text + lines[k][match.end() :]
    return lines


def a_digit(lines, random):
    spot = _spot(lines, random, r"\d")
    return _replaced(lines, spot, random.choice("0123456789"))


def a_digit_of_a_place(lines, random):
    spot = _spot(lines, random, r"(?<=[XYZIJ])-?\d+\.\d+")
    if spot is None:
        return None
    text = spot[1].group()
    at = random.choice([k for k, c in enumerate(text) if c.isdigit()])
    return _replaced(lines, spot, text[:at] + random.choice("0123456789") + text[at + 1 :])


def a_line_dropped(lines, random):
    del lines[random.randrange(len(lines))]
    return lines


def a_line_twice(lines, random):
    k = random.randrange(len(lines))
    lines.insert(k, lines[k])
    return lines


def lines_swapped(lines, random):
    k = random.randrange(len(lines) - 1)
    lines[k], lines[k + 1] = lines[k + 1], lines[k]
    return lines


def an_arc_the_other_way(lines, random):
    spot = _spot(lines, random, r"\bG[23]\b")
    return spot and _replaced(lines, spot, {"G2": "G3", "G3": "G2"}[spot[1].group()])


def a_sign_lost(lines, random):
    spot = _spot(lines, random, r"(?<=[XYZIJ])-")
    return spot and _replaced(lines, spot, "")


def a_sign_gained(lines, random):
    spot = _spot(lines, random, r"(?<=[XYZIJ])(?=\d)")
    return spot and _replaced(lines, spot, "-")


def another_unit(lines, random):
    spot = _spot(lines, random, r"\bG71\b")
    return spot and _replaced(lines, spot, "G70")


def no_spindle_start(lines, random):
    spot = _spot(lines, random, r"S\d+ M3")
    if spot is None:
        return None
    del lines[spot[0]]
    return lines


def a_word_dropped(lines, random):
    spot = _spot(lines, random, r"(?<=[ \d])[A-Z]-?[\d.]+ ?")
    return spot and _replaced(lines, spot, "")


def a_point_lost(lines, random):
    spot = _spot(lines, random, r"\.")
    return _replaced(lines, spot, "")


def a_rapid_that_cuts(lines, random):
    spot = _spot(lines, random, r"\bG[01]\b")
    return _replaced(lines, spot, {"G0": "G1", "G1": "G0"}[spot[1].group()])


EDITS = {
    f.__name__: f
    for f in (
        *(a_digit, a_digit_of_a_place, a_line_dropped, a_line_twice, lines_swapped),
        *(an_arc_the_other_way, a_sign_lost, a_sign_gained, another_unit, no_spindle_start),
        *(a_word_dropped, a_point_lost, a_rapid_that_cuts),
    )
}
