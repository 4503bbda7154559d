"""The `[nc]` part of a machine file: read, checked with paths, as the standard if left out."""

import pytest

from core.errors import LibraryError
from core.job.job import LibraryFile
from core.library.files import shipped
from core.library.nc_records import ArcStyle, DepthZero, NcSettings
from core.library.shelf import Shelf


def machine(nc):
    """Return the light gantry with another `[nc]` part."""
    text = shipped("machine")["light_gantry"].text
    body = text[: text.index("[nc]")] if "[nc]" in text else text
    return Shelf((LibraryFile("machine", "mine", body + nc),)).machine("mine")


def test_what_is_left_out_is_as_the_standard_has_it():
    assert machine("").nc == NcSettings()


def test_settings_and_words_are_read():
    nc = machine(
        '[nc]\ndepth_zero = "sheet_top"\narc_style = "radius"\ncrlf = true\n'
        'approach = { value = 0.1, unit = "in" }\n[nc.words]\nrapid = "G00"\nend = "M30"\n'
    ).nc
    assert nc.depth_zero is DepthZero.SHEET_TOP
    assert nc.arc_style is ArcStyle.RADIUS
    assert nc.crlf
    assert nc.approach_mm == pytest.approx(2.54)
    assert (nc.words.rapid, nc.words.end, nc.words.straight) == ("G00", "M30", "G1")


@pytest.mark.parametrize(
    ("nc", "said"),
    [
        ('[nc]\nlength_unit = "cm"\n', "mm or in is needed @ $.nc.length_unit"),
        ("[nc]\ndecimals = 2\n", "3 to 6 digits are needed @ $.nc.decimals"),
        ('[nc]\ndepth_zero = "floor"\n', "bed | sheet_top"),
        ("[nc]\nline_number_step = -1\n", "$.nc.line_number_step"),
        ("[nc]\nsurprise = 1\n", "unknown entries: surprise"),
        ('[nc.words]\nrapid = "fast"\n', "'fast' is no word"),
        ('[nc.words]\nrapid = ""\n', "the control must have such a word @ $.nc.words.rapid"),
        ('[nc.words]\nrapid = "G1"\n', "$.nc.words"),
        ('[nc.words]\ndwell_letter = "X"\n', "$.nc.words.dwell_letter"),
        ('[nc]\npark_x = { value = 1.0, unit = "mm" }\n', "park_x and park_y belong together"),
        ('[nc]\napproach = { value = 50.0, unit = "mm" }\n', "$.nc.approach.value"),
        ('[nc]\ncomment_begins = "//"\n', "one sign begins a comment"),
    ],
)
def test_each_fault_is_told_with_its_path(nc, said):
    with pytest.raises(LibraryError) as caught:
        machine(nc)
    assert said in str(caught.value)


@pytest.mark.parametrize("key", ["light_gantry", "heavy_gantry"])
def test_the_shipped_machines_say_what_the_standard_leaves_open(key):
    text = shipped("machine")[key].text
    part = text[text.index("[nc]") :]
    assert part.count("open in the standard") >= 3
    assert Shelf().machine(key).nc.words
