"""One small drawing of ours for each pitfall of real files: units, layers, blocks, damage, size."""

from __future__ import annotations

import io
import math
from itertools import pairwise

import ezdxf
import numpy as np
import pytest
from ezdxf.addons import r12writer

from core.drawing import open_drawing_file, read_drawing
from core.errors import DrawingError
from core.job.job import DrawingFile


def plate(space, width=120.0, height=80.0, hole=6.6, step=20.0):
    space.add_lwpolyline([(0, 0), (width, 0), (width, height), (0, height)], close=True)
    for x, y in ((step, step), (width - step, step), (step, height - step)):
        space.add_circle((x, y), hole / 2.0)


# 1: units


def test_a_missing_unit_is_guessed_with_a_reason_and_asked(drawn):
    read = drawn(lambda doc: plate(doc.modelspace()), insunits=None)
    assert read.drawing.unit.mm_per_unit == 1.0
    assert read.drawing.unit.origin == "guess"
    assert "ø 6.6 mm" in read.drawing.unit.reason
    assert "unit-missing" in read.asked()


def test_a_drawing_in_inch_without_a_unit_is_known_by_its_holes_and_round_numbers(drawn):
    read = drawn(lambda doc: plate(doc.modelspace(), 16.1417, 7.874, 0.25, 0.75), insunits=None)
    assert read.drawing.unit.mm_per_unit == 25.4


def test_a_stated_unit_that_makes_every_hole_a_porthole_is_overruled_and_asked(drawn):
    read = drawn(lambda doc: plate(doc.modelspace()), insunits=1, measurement=0)
    assert read.drawing.unit.mm_per_unit == 1.0
    assert "unit-doubtful" in read.asked()


def test_a_stated_unit_that_fits_is_believed(drawn):
    read = drawn(lambda doc: plate(doc.modelspace(), 6.0, 4.0, 0.25, 1.0), insunits=1)
    assert (read.drawing.unit.mm_per_unit, read.drawing.unit.origin) == (25.4, "header")
    assert "though its defaults are metric" in read.finding("unit-doubtful").message


def test_the_unit_given_by_the_user_ends_the_question(drawn):
    read = drawn(lambda doc: plate(doc.modelspace()), insunits=None).again(mm_per_unit=10.0)
    assert read.contours.size_mm == pytest.approx((1200.0, 800.0))
    assert "unit-missing" not in read.codes()


def test_a_file_without_header_is_not_taken_for_metres():
    stream = io.StringIO()
    with r12writer(stream) as dxf:
        for corner, following in pairwise([(0, 0), (90, 0), (90, 60), (0, 60), (0, 0)]):
            dxf.add_line(corner, following)
    assert "HEADER" not in stream.getvalue()
    drawing = read_drawing(DrawingFile("bare.dxf", stream.getvalue().encode()))
    assert (drawing.unit.mm_per_unit, drawing.unit.origin) == (1.0, "guess")


@pytest.mark.parametrize(("width", "asks"), [(18_000.0, True), (2.0, True), (600.0, False)])
def test_a_size_that_no_sheet_or_cutter_fits_is_asked_about(drawn, width, asks):
    square = [(0, 0), (width, 0), (width, width), (0, width)]
    read = drawn(lambda doc: doc.modelspace().add_lwpolyline(square, close=True))
    assert ("size-doubtful" in read.again(mm_per_unit=1.0).asked()) is asks


# 6: splines


def test_a_spline_that_is_an_arc_becomes_one_arc_with_its_radius(drawn):
    arc = ezdxf.math.ConstructionArc((10, 20), 30, 15, 100)
    curve = ezdxf.math.rational_bspline_from_arc(arc.center, 30, 15, 100)
    read = drawn(lambda doc: doc.modelspace().add_spline().apply_construction_tool(curve))
    assert len(read.drawing.segments) == 1
    assert read.drawing.segments.radius_mm[0] == pytest.approx(30.0, abs=1e-4)


def test_a_spline_that_is_straight_becomes_one_line(drawn):
    points = [(0, 0), (10, 5), (20, 10), (30, 15), (60, 30)]
    read = drawn(lambda doc: doc.modelspace().add_open_spline(points))
    assert len(read.drawing.segments) == 1
    assert not read.drawing.segments.is_arc.any()


@pytest.mark.parametrize("degree", [2, 3, 5])
def test_a_free_spline_becomes_arcs_that_stray_no_more_than_is_said(drawn, degree):
    points = [(0, 0), (30, 60), (60, -40), (90, 50), (120, 0), (150, 70), (170, 20)]
    curve = ezdxf.math.BSpline(points, order=degree + 1)
    read = drawn(lambda doc: doc.modelspace().add_spline().apply_construction_tool(curve))
    flat = read.contours.contours[0].path.flattened(1e-5)
    begin, end = flat[:-1], flat[1:]
    for point in curve.approximate(400):
        way = end - begin
        share = (((point.x, point.y) - begin) * way).sum(axis=1) / (way**2).sum(axis=1)
        foot = begin + np.clip(share, 0.0, 1.0)[:, None] * way
        assert np.hypot(*((point.x, point.y) - foot).T).min() <= 0.005
    assert "0.005 mm allowed" in read.finding("flattened-spline").message
    assert len(read.drawing.segments) <= 120


def test_an_ellipse_keeps_its_area_and_has_no_kinks(drawn):
    read = drawn(lambda doc: doc.modelspace().add_ellipse((50, 50), (40, 0), 0.4))
    ring = read.contours.contours[0].path
    assert ring.area_mm2 == pytest.approx(math.pi * 40.0 * 16.0, rel=5e-4)
    seg = ring.segments
    arrives = seg.heading_rad + seg.sweep_rad
    turn = np.angle(np.exp(1j * (np.roll(seg.heading_rad, -1) - arrives)))
    assert np.abs(turn).max() < 1e-3


# 7: hidden layers


@pytest.mark.parametrize("hide", ["freeze", "off"])
def test_what_a_hidden_layer_holds_is_left_out_and_listed(drawn, hide):
    def artist(doc):
        getattr(doc.layers.add("Construction"), hide)()
        plate(doc.modelspace())
        doc.modelspace().add_circle((60, 40), 30, dxfattribs={"layer": "CONSTRUCTION"})

    read = drawn(artist)
    assert read.counts() == (1, 3, 0)
    assert [name.lower() for name in read.drawing.frozen_layers] == ["construction"]
    assert "frozen-layer" in read.codes()


def test_even_layer_0_may_be_frozen(drawn):
    def artist(doc):
        doc.layers.get("0").freeze()
        doc.modelspace().add_circle((0, 0), 30)
        doc.modelspace().add_circle((0, 0), 20, dxfattribs={"layer": "cut"})

    assert drawn(artist).counts() == (1, 0, 0)


# 8: blocks


def test_nested_mirrored_turned_and_stretched_blocks_land_where_they_are_shown(drawn):
    def artist(doc):
        inner = doc.blocks.new("INNER", base_point=(1, 0))
        inner.add_line((1, 0), (11, 0))
        inner.add_arc((1, 0), 10, 0, 90)
        outer = doc.blocks.new("OUTER")
        outer.add_blockref("INNER", (5, 0), {"xscale": -2, "yscale": 2})
        doc.modelspace().add_blockref("OUTER", (100, 50), {"rotation": 90})

    seg = drawn(artist).drawing.segments
    assert seg.bounds_mm == pytest.approx((80.0, 35.0, 100.0, 55.0))
    assert seg.radius_mm[seg.is_arc] == pytest.approx([20.0])


def test_a_circle_in_a_stretched_block_becomes_an_ellipse(drawn):
    def artist(doc):
        doc.blocks.new("ROUND").add_circle((0, 0), 10)
        doc.modelspace().add_blockref("ROUND", (0, 0), {"xscale": 3, "yscale": 1})

    read = drawn(artist)
    assert read.contours.size_mm == pytest.approx((60.0, 20.0), abs=0.01)
    assert read.contours.area_mm2 == pytest.approx(math.pi * 300.0, rel=5e-4)


def test_a_scale_of_0_in_z_does_no_harm(drawn):
    def artist(doc):
        doc.blocks.new("HOLE").add_circle((0, 0), 3)
        doc.blocks.new("ROW").add_blockref("HOLE", (5, 0), {"zscale": 0})
        doc.modelspace().add_blockref("ROW", (0, 0), {"zscale": 0})

    assert drawn(artist).counts() == (1, 0, 0)


def test_an_array_of_blocks_gives_every_copy(drawn):
    def artist(doc):
        doc.blocks.new("HOLE").add_circle((0, 0), 3)
        array = {"row_count": 2, "column_count": 4, "row_spacing": 30, "column_spacing": 20}
        doc.modelspace().add_blockref("HOLE", (0, 0), {**array, "rotation": 90})

    read = drawn(artist)
    assert read.counts()[0] == 8
    assert read.contours.bounds_mm == pytest.approx((-33.0, -3.0, 3.0, 63.0))


def test_what_lies_on_layer_0_of_a_block_takes_the_layer_of_its_place(drawn):
    def artist(doc):
        block = doc.blocks.new("MIXED")
        block.add_circle((0, 0), 3)
        block.add_circle((20, 0), 3, dxfattribs={"layer": "own"})
        doc.modelspace().add_blockref("MIXED", (0, 0), dxfattribs={"layer": "holes"})

    assert {contour.layer for contour in drawn(artist).contours.contours} == {"holes", "own"}


def _array(doc, rows, columns):
    doc.blocks.new("HOLE").add_circle((0, 0), 3)
    doc.modelspace().add_circle((0, 0), 50)
    asked = {"row_count": rows, "column_count": columns, "row_spacing": 9, "column_spacing": 9}
    doc.modelspace().add_blockref("HOLE", (0, 0), asked)


def _chain(doc, depth):
    doc.modelspace().add_circle((0, 0), 50)
    for k in range(depth):
        block = doc.blocks.new(f"B{k}")
        block.add_line((0, 0), (1, 0))
        block.add_blockref(f"B{k + 1}", (1, 1))
    doc.blocks.new(f"B{depth}").add_circle((0, 0), 1)
    doc.modelspace().add_blockref("B0", (0, 0))


def _doubling(doc, depth):
    doc.modelspace().add_circle((0, 0), 50)
    for k in range(depth):
        block = doc.blocks.new(f"B{k}")
        block.add_blockref(f"B{k + 1}", (1, 1))
        block.add_blockref(f"B{k + 1}", (2, 1))
    doc.blocks.new(f"B{depth}").add_circle((0, 0), 1)
    doc.modelspace().add_blockref("B0", (0, 0))


def _cycle(doc):
    doc.modelspace().add_circle((0, 0), 50)
    doc.blocks.new("A").add_blockref("B", (1, 1))
    doc.blocks.new("B").add_blockref("A", (1, 1))
    doc.modelspace().add_blockref("A", (0, 0))


@pytest.mark.parametrize(
    "artist",
    [
        lambda doc: _array(doc, 31_000, 32_000),
        lambda doc: _chain(doc, 2_000),
        lambda doc: _doubling(doc, 60),
        _cycle,
    ],
    ids=["10^9 copies", "nested deep", "doubled at each level", "cyclic"],
)
def test_blocks_beyond_all_bounds_are_left_out_and_told(drawn, artist):
    read = drawn(artist)
    assert "block-bound" in read.asked()
    assert read.counts()[0] >= 1


# 9: extrusion


def test_an_extrusion_of_minus_z_mirrors_circles_arcs_and_polylines(drawn):
    down = {"extrusion": (0, 0, -1)}

    def artist(doc):
        space = doc.modelspace()
        space.add_circle((-30, 20), 5, dxfattribs=down)
        space.add_arc((-60, 20), 10, 0, 90, dxfattribs=down)
        space.add_lwpolyline([(-90, 0, 0.5), (-80, 0, 0)], format="xyb", dxfattribs=down)

    seg = drawn(artist).drawing.segments
    assert seg.bounds_mm == pytest.approx((25.0, -2.5, 90.0, 30.0))
    assert seg.start[2] == pytest.approx((50.0 + 0.0, 20.0), abs=1e-9)
    assert seg.bulge[2] < 0.0


# 11: layers


def test_a_layer_switched_off_by_the_user_is_not_cut_but_still_listed(drawn):
    def artist(doc):
        plate(doc.modelspace())
        doc.modelspace().add_circle((60, 40), 10, dxfattribs={"layer": "etch"})

    read = drawn(artist).again(layers_left_out=frozenset({"Etch"}))
    assert read.counts() == (1, 3, 0)
    assert [la.left_out for la in read.drawing.layers if la.name == "etch"] == [True]


# 14: arcs


def test_a_circle_keeps_its_area_to_the_last_digit(drawn):
    read = drawn(lambda doc: doc.modelspace().add_circle((7, 9), 12.5))
    assert read.contours.area_mm2 == pytest.approx(math.pi * 12.5**2, rel=1e-12)


@pytest.mark.parametrize("bulge", [0.2, -0.7, 1.0, 3.0, -2.5])
def test_bulges_stay_arcs_of_their_radius_and_sense(drawn, bulge):
    points = [(0, 0, bulge), (10, 0, 0)]
    read = drawn(lambda doc: doc.modelspace().add_lwpolyline(points, format="xyb"))
    seg = read.drawing.segments
    assert seg.radius_mm == pytest.approx(10.0 * (1 + bulge**2) / (4 * abs(bulge)))
    assert seg.sweep_rad.sum() == pytest.approx(4.0 * math.atan(bulge))


# 15: closed splines


def test_closed_splines_whose_ends_nearly_meet_do_not_vanish(drawn):
    def artist(doc):
        for k in range(18):
            angles = np.linspace(0.0, 2.0 * math.pi - 2e-4, 12)
            points = [(60 * k + 20 * math.cos(a), 12 * math.sin(a)) for a in angles]
            doc.modelspace().add_open_spline(ezdxf.math.fit_points_to_cad_cv(points).control_points)

    assert drawn(artist).counts() == (18, 0, 0)


# 16: damage


SOUND = "0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n"
LINE = "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n50\n21\n0\n"


def test_a_file_that_the_strict_loader_refuses_is_mended_and_told():
    damaged = LINE.replace("10\n0\n20\n0\n", "10\n0\n30\n0\n20\n0\n")
    drawing = read_drawing(DrawingFile("old.dxf", SOUND.format(LINE + damaged).encode()))
    assert len(drawing.segments) >= 1
    assert "damaged-file" in {finding.code for finding in drawing.findings}


def test_binary_files_are_read_as_text_files_are():
    document = ezdxf.new("R2000", units=4)
    plate(document.modelspace())
    stream = io.BytesIO()
    document.write(stream, fmt="bin")
    drawing = read_drawing(DrawingFile("binary.dxf", stream.getvalue()))
    assert len(drawing.segments) == 4 + 6
    assert drawing.unit.origin == "header"


@pytest.mark.parametrize(
    ("version", "encoding"), [("R2000", "cp1251"), ("R2000", "cp932"), ("R2010", "utf-8")]
)
def test_layer_names_are_read_in_the_file_s_own_code_page(version, encoding):
    document = ezdxf.new(version)
    document.encoding = encoding if version == "R2000" else "cp1252"
    name = {"cp1251": "Контур", "cp932": "外形", "utf-8": "Ösenlöcher"}[encoding]
    document.layers.add(name)
    document.modelspace().add_circle((0, 0), 20, dxfattribs={"layer": name})
    stream = io.StringIO()
    document.write(stream)
    drawing = read_drawing(DrawingFile("code.dxf", stream.getvalue().encode(encoding)))
    assert [layer.name for layer in drawing.layers] == [name]


@pytest.mark.parametrize("name", ["A #1 ^plate (2).DXF", "ärmel.Dxf"])
def test_odd_names_and_suffixes_are_opened(tmp_path, name):
    (tmp_path / name).write_bytes(SOUND.format(LINE).encode())
    file = open_drawing_file(tmp_path / name)
    assert file.name == name
    assert len(read_drawing(file).segments) == 1


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b"\n \n", "is empty"),
        (b"Dear Tom,\nplease find the drawing attached.\n", "is no DXF"),
        (SOUND.format(LINE * 40).encode()[:600], "is cut off"),
        (b"AutoCAD Binary DXF\r\n\x1a\x00\x00SECTION\x00\x02ENT", "damaged beyond repair"),
    ],
    ids=["empty", "blank", "letter", "truncated", "truncated binary"],
)
def test_what_cannot_be_read_is_said_in_one_line_with_the_file_s_name(content, words):
    with pytest.raises(DrawingError, match=words) as caught:
        read_drawing(DrawingFile("x.dxf", content))
    assert str(caught.value).startswith("x.dxf: ")
    assert "\n" not in str(caught.value)


# 17: large drawings and far origins


def test_a_part_18_m_from_the_origin_keeps_its_measures(drawn):
    def artist(doc):
        space = doc.modelspace()
        for start, end in pairwise([(0, 0), (90, 0), (90, 60), (0, 60), (0, 0)]):
            space.add_line((start[0] + 18e3, start[1] + 28e3), (end[0] + 18e3, end[1] + 28e3))
        space.add_circle((18e3 + 20, 28e3 + 20), 4)

    read = drawn(artist)
    assert read.counts() == (1, 1, 0)
    assert read.contours.area_mm2 == pytest.approx(5400.0 - math.pi * 16.0, rel=1e-9)


def test_numbers_of_no_world_are_left_out_and_told():
    lost = LINE.replace("\n50\n", "\n1e300\n") + LINE.replace("\n50\n", "\nnan\n")
    drawing = read_drawing(DrawingFile("wild.dxf", SOUND.format(LINE + lost).encode()))
    assert len(drawing.segments) == 1
    assert "unknown-entity" in {finding.code for finding in drawing.findings}


def test_a_spline_with_too_many_points_is_left_out_and_told():
    head = (
        "0\nSPLINE\n100\nAcDbEntity\n8\n0\n100\nAcDbSpline\n70\n8\n71\n1\n72\n{}\n73\n{}\n74\n0\n"
    )
    count = 200_001
    knots = "".join(f"40\n{k}\n" for k in range(count + 2))
    points = "".join(f"10\n{k}\n20\n{k % 2}\n30\n0\n" for k in range(count))
    text = SOUND.format(LINE + head.format(count + 2, count) + knots + points)
    drawing = read_drawing(DrawingFile("long.dxf", text.encode()))
    assert len(drawing.segments) == 1
    assert "SPLINE" in next(f for f in drawing.findings if f.code == "unknown-entity").message


def test_text_dimensions_and_hatches_are_counted_and_unknown_types_told(drawn):
    def artist(doc):
        space = doc.modelspace()
        plate(space)
        space.add_text("6 mm clear")
        space.add_hatch()
        space.add_3dface([(0, 0), (5, 0), (5, 5), (0, 5)])

    read = drawn(artist)
    assert read.drawing.left_out == {"HATCH": 1, "TEXT": 1}
    assert "1 3DFACE" in read.finding("unknown-entity").message


def test_a_drawing_without_any_outline_says_what_it_holds(drawn):
    read = drawn(lambda doc: doc.modelspace().add_text("see sheet 2"))
    assert "1 TEXT" in read.finding("nothing-to-cut").message
    assert read.counts() == (0, 0, 0)
