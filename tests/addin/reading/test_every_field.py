"""Every number of a list is read from a heading with its own name and unit; stud temperatures are never left aside."""

import math
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from addin.reading.fields import BY_NAME, FIELDS
from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.understood import shown_name
from calc.quantities import QUANTITIES
from calc.units import from_si, system

BASE = ["Joint", "Operation", "Method", "Stud size", "Studs", "Grade"]
NUMBERS = [each.name for each in FIELDS if each.kind and each.cells not in ("date", "thread")]
ASKS = {"stress": "area", "across_flats": "size of the nut", "percent": "of what"}
"""What needs more than its own name, as other tests say."""


def read(folder: Path, heading: str, cells: list[Any]) -> JointList:
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.append([*BASE, heading])
    for at, cell in enumerate(cells):
        sheet.append([f"F-{at}", "final make-up", "hydraulic", "1 1/2-8 UN", 24, "A193 B7", cell])
    book.save(folder / "list.xlsx")
    return read_joint_list(folder / "list.xlsx")


@pytest.mark.parametrize("units", ["US", "SI"])
@pytest.mark.parametrize("name", [name for name in NUMBERS if name not in ASKS and name != "studs"])
def test_a_number_is_read_from_its_own_name_with_a_unit(tmp_path: Path, name: str, units: str) -> None:
    """The middle of its range, so that no value contradicts the heading."""
    quantity = QUANTITIES[BY_NAME[name].cells]
    plain = quantity.kind in ("number", "count", "percent")
    unit = "%" if quantity.kind == "percent" else None if plain else system(units).symbol(quantity.kind)
    middle = math.sqrt(quantity.low * quantity.high) if quantity.low > 0 else (quantity.low + quantity.high) / 2
    value = 100 * middle if unit == "%" else middle if plain else float(from_si(middle, quantity.kind, unit))
    cell = 2 if quantity.kind == "count" else float(f"{value:.3g}")
    found = read(tmp_path, f"{shown_name(name)} ({unit})" if unit else shown_name(name), [cell] * 6)

    reading = found.understood.columns[-1]
    assert (reading.field, reading.state) == (name, "sure")


@pytest.mark.parametrize(
    ("heading", "kelvin"),
    [
        ("Stud temperature (°C)", [293.15, 333.15]),
        ("Bolt temp. (°F)", [266.48, 288.71]),
        ("Temperature of studs °C", [293.15, 333.15]),
        ("Stud temp at tightening (deg C)", [293.15, 333.15]),
    ],
)
def test_the_temperature_of_studs_is_read(tmp_path: Path, heading: str, kelvin: list[float]) -> None:
    found = read(tmp_path, heading, [20, 60])

    assert found.rows.joints.stud_temperature.tolist() == pytest.approx(kelvin, abs=0.01)


@pytest.mark.parametrize("heading", ["Stud temperature", "Bolt temperature (C)"])
def test_a_temperature_of_studs_without_a_unit_is_asked_about(tmp_path: Path, heading: str) -> None:
    """Left aside it would let a hot stud be planned cold."""
    (question,) = read(tmp_path, heading, [20, 60]).questions

    assert question.text.startswith(f"column G '{heading}': is taken as stud temperature, but no unit of it is known: ")
    assert question.text.endswith(
        "its unit stands neither in the heading, nor in the cells, nor in a note; which unit?"
    )


@pytest.mark.parametrize(
    "heading", ["Design temperature (°C)", "Operating temp (°C)", "Temp (°C)", "Flange temperature °C"]
)
def test_another_temperature_is_none_of_the_studs(tmp_path: Path, heading: str) -> None:
    found = read(tmp_path, heading, [20, 60])

    assert found.understood.columns[-1].field is None
    assert found.questions == ()
