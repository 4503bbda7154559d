"""Damaged drawings: whatever is done to a file, only the program's own errors come out."""

from __future__ import annotations

from tests.bad_drawings.mutate import drawings, failures, outcome


def test_the_drawings_that_mutants_are_made_of_are_sound():
    assert {outcome(content) for content in drawings()} == {"read"}


def test_300_mutants_end_in_a_drawing_or_in_one_clear_line():
    wrong, ended = failures(300)
    assert wrong == []
    assert ended["read"] > 50
