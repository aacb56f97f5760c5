"""The order picture: plain DrawingML, every stud once, in its place."""

import math
from xml.etree import ElementTree

import pytest

from addin.cards.stud_circle import EVERY_OTHER, MOST_NUMBERED, WITH_MOVES, start_angle, stud_circle
from addin.forms.tokens import PictureArea

A = "{http://schemas.openxmlformats.org/drawingml/2006/main}"
XDR = "{http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing}"
AREA = PictureArea(0, 0, 0, 0, 80 * 36000, 80 * 36000)
SIDE = AREA.width - 4 * 12700  # two points free on every side
COUNTS = (4, 5, 8, 12, 16, 20, 24, 28, 36, 44, 64, 72)


def drawn(order, **more):
    return ElementTree.fromstring(stud_circle(order, **more)(AREA, 7))


def boxes(root, name):
    """Middle and size of the shapes of one name. [EMU]"""
    found = []
    for shape in root.iter(f"{XDR}sp"):
        if shape.find(f"{XDR}nvSpPr/{XDR}cNvPr").get("name") != name:
            continue
        off, ext = shape.find(f".//{A}off"), shape.find(f".//{A}ext")
        width, height = int(ext.get("cx")), int(ext.get("cy"))
        text = "".join(item.text for item in shape.iter(f"{A}t"))
        found.append((int(off.get("x")) + width / 2, int(off.get("y")) + height / 2, width, height, text))
    return found


@pytest.mark.parametrize("count", COUNTS)
def test_every_stud_and_every_move_is_written_once(count):
    order = [[stud] for stud in range(count, 0, -1)]

    labels = sorted(text for *_, text in boxes(drawn(order), "label"))
    step = 1 if count <= EVERY_OTHER else 2
    numbers = [str(number) for number in range(1, count + 1, step)]
    moves = [f"{number}." for number in numbers] if count <= WITH_MOVES else []
    assert labels == sorted([*numbers, *moves, "clockwise"])


@pytest.mark.parametrize("count", COUNTS)
def test_circles_do_not_touch_and_stay_inside(count):
    root = drawn([[stud] for stud in range(1, count + 1)])
    circles = [box for box in boxes(root, "circle") if box[2] < AREA.width / 3]

    assert len(circles) == count
    for (x, y, size, _, _), (right, below, *_rest) in zip(circles, circles[1:], strict=False):
        assert math.hypot(x - right, y - below) > size
    for x, y, width, height, _ in circles + boxes(root, "label"):
        assert width / 2 <= x + 1
        assert height / 2 <= y + 1
        assert x + width / 2 <= SIDE + 1
        assert y + height / 2 <= SIDE + 1


@pytest.mark.parametrize("count", COUNTS)
def test_numbers_can_be_read(count):
    """No number below 9 points, which is 7 on a card printed at four fifths of its size."""
    root = drawn([[stud] for stud in range(1, count + 1)])
    sizes = {True: [], False: []}
    for run in root.iter(f"{A}r"):
        properties = run.find(f"{A}rPr")
        sizes[properties.get("b") == "1"].append(int(properties.get("sz")) / 100)

    assert min(sizes[True]) >= 9
    assert min(sizes[False]) >= 9


@pytest.mark.parametrize(
    ("words", "angle"), [("12 o'clock", 0), ("3 o’clock seen from the pump", 90), (None, 0), ("marked", 0)]
)
def test_stud_1_stands_where_the_list_says(words, angle):
    assert start_angle(words) == angle

    root = drawn([[1], [3], [2], [4]], stud_1=words)
    x, y, *_ = next(box for box in boxes(root, "label") if box[4] == "1")
    middle = SIDE / 2
    assert math.degrees(math.atan2(x - middle, middle - y)) % 360 == pytest.approx(angle, abs=0.1)


def test_numbers_run_clockwise():
    x, y, *_ = next(box for box in boxes(drawn([[1], [3], [2], [4]]), "label") if box[4] == "2")

    assert x > SIDE * 0.7
    assert y == pytest.approx(SIDE / 2, abs=2)


def test_studs_tightened_together_carry_one_move():
    labels = [text for *_, text in boxes(drawn([[1, 3], [2, 4]]), "label")]

    assert sorted(text for text in labels if text.endswith(".")) == ["1.", "1.", "2.", "2."]


def test_too_many_studs_are_dots_with_every_fourth_numbered():
    count = MOST_NUMBERED + 8
    labels = [text for *_, text in boxes(drawn([[stud] for stud in range(1, count + 1)]), "label")]

    assert sorted(map(int, set(labels) - {"clockwise"})) == list(range(1, count + 1, 4))
    assert WITH_MOVES < MOST_NUMBERED
