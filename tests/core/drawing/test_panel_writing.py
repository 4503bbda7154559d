"""Paths as a DXF: exact, reproducible, and read again as they were."""

import io
import math

import ezdxf
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.contours import find_contours
from core.drawing import read_drawing
from core.drawing.writing import Stroke, circle_of, dxf_bytes, layer_name
from core.geometry.path import Path, circle
from core.job import DrawingFile

LENGTHS = st.floats(-2000.0, 2000.0)


def entities(content):
    return list(ezdxf.read(io.StringIO(content.decode())).modelspace())


@given(st.lists(st.tuples(LENGTHS, LENGTHS, st.floats(-1.0, 1.0)), min_size=3, max_size=12))
def test_points_and_bulges_come_back_to_the_last_digit(corners):
    rows = np.array(corners)
    path = Path(rows[:, :2], rows[:-1, 2], closed=False)
    (line,) = entities(dxf_bytes([Stroke(path, "cut")]))
    assert not line.closed
    got = np.array(list(line.get_points("xyb")))
    assert np.array_equal(got[:, :2], path.points)
    assert np.array_equal(got[:-1, 2], path.bulges)


@given(LENGTHS, LENGTHS, st.floats(0.01, 1000.0))
def test_a_circle_becomes_a_circle(x, y, radius):
    (round_one,) = entities(dxf_bytes([Stroke(circle((x, y), radius), "holes")]))
    assert round_one.dxftype() == "CIRCLE"
    assert round_one.dxf.layer == "holes"
    assert round_one.dxf.radius == pytest.approx(radius, abs=1e-12 * 4000.0)
    assert tuple(round_one.dxf.center)[:2] == pytest.approx((x, y), abs=1e-12 * 4000.0)


@pytest.mark.parametrize(
    "path",
    [
        Path(np.array([[0, 0], [4, 0]]), np.array([1.0, 0.5])),
        Path(np.array([[0, 0], [4, 0], [2, 2]]), np.array([1.0, 0.4, 0.4])),
        Path(np.array([[0, 0], [4, 0]]), np.array([1.0, -1.0])),
        Path(np.array([[0, 0], [4, 0]]), np.array([1.0]), closed=False),
    ],
    ids=["a lens", "three arcs", "there and back", "half a circle"],
)
def test_what_is_no_circle_of_two_half_turns_is_none(path):
    assert circle_of(path) is None


def test_a_drawing_states_millimetres_and_is_read_without_a_question():
    square = Path(np.array([[0, 0], [200, 0], [200, 100], [0, 100]]), np.zeros(4))
    file = DrawingFile("square.dxf", dxf_bytes([Stroke(square, "outline")]))
    drawing = read_drawing(file)
    assert (drawing.unit.mm_per_unit, drawing.unit.origin) == (1.0, "header")
    assert drawing.findings == ()
    assert find_contours(drawing, file).area_mm2 == 20_000.0


def test_the_same_paths_give_the_same_bytes_and_leave_no_trace_of_the_trick():
    strokes = [Stroke(circle((1.0, 2.0), math.pi), "holes")]
    before = ezdxf.options.write_fixed_meta_data_for_testing
    assert dxf_bytes(strokes) == dxf_bytes(strokes)
    assert ezdxf.options.write_fixed_meta_data_for_testing == before


def test_each_layer_is_made_once_in_order_of_appearance():
    strokes = [Stroke(circle((0.0, 0.0), r), f"pass {r % 2}") for r in (1, 2, 3)]
    layers = ezdxf.read(io.StringIO(dxf_bytes(strokes).decode())).layers
    named = [la.dxf.name for la in layers if la.dxf.name.startswith("pass")]
    assert named == ["pass 1", "pass 0"]
    assert len({layers.get(name).color for name in named}) == 2


@pytest.mark.parametrize(
    ("text", "name"),
    [("1: rough", "1_ rough"), ("a\nb", "a_b"), (" ", "0"), ("é" * 300, "é" * 255)],
)
def test_a_layer_has_a_name_that_a_drawing_can_hold(text, name):
    assert layer_name(text) == name


def test_letters_of_any_alphabet_survive_in_a_layer_s_name():
    content = dxf_bytes([Stroke(circle((0.0, 0.0), 1.0), "Fräsen 切")])
    file = DrawingFile("x.dxf", content)
    assert read_drawing(file).layers[0].name == "Fräsen 切"


def test_a_path_of_one_point_draws_nothing():
    point = Path(np.array([[1.0, 1.0]]), np.zeros(0), closed=False)
    assert entities(dxf_bytes([Stroke(point)])) == []


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_what_is_no_number_is_refused(bad):
    with pytest.raises(ValueError, match="finite"):
        dxf_bytes([Stroke(circle((bad, 0.0), 1.0))])
