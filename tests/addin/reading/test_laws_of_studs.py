"""How the laws take the size of a stud: exact where its thread is known, by its diameter else.

Tensile stress areas: M24x3 353 mm², M33x3.5 694 mm² (ISO 898-1:2013 Table 4, from memory); that of a diameter alone is
within 5 % of that of its coarse thread (judgement, no source).
"""

import math
from pathlib import Path

import pytest
from few_lines import columns, read_lines

from addin.reading.physics import stud_sizes


def test_a_known_thread_has_its_own_area_and_an_unknown_pitch_that_of_its_diameter() -> None:
    found = stud_sizes(["M24x3", "M24", "M33x9"], None)

    assert found.diameter == pytest.approx([0.024, 0.024, 0.033])
    assert found.tensile[:2] == pytest.approx([353e-6, 353e-6], rel=2e-3)
    assert found.tensile[2] == pytest.approx(694e-6, rel=0.05)  # M33x3.5, the coarse one


@pytest.mark.parametrize(
    ("cell", "unit", "diameter"),
    [
        (24, None, 0.024),  # whole and above 4: no inches
        ("24", None, 0.024),
        (4.5, None, 4.5 * 0.0254),
        (2, None, 2 * 0.0254),
        (2, "mm", 0.002),
        ("7/8", "mm", 0.875 * 0.0254),  # a fraction: the unit is that of the length beside it
        ("many", None, math.nan),
    ],
)
def test_a_bare_number_is_in_mm_where_it_can_be_no_inches(cell: object, unit: str | None, diameter: float) -> None:
    assert stud_sizes([cell], unit).diameter == pytest.approx([diameter], nan_ok=True)


def test_a_torque_that_suits_no_stud_is_told_with_the_unit_of_the_column_or_none(tmp_path: Path) -> None:
    """84 N·m on M130 is a hundredth of what such a stud bears."""
    rows = [[f"V-{i}", "M130x6", 12, "84 N·m"] for i in range(3)]
    read = read_lines(tmp_path, [["Joint", "Stud size", "Studs", "Torque"], *rows])
    assert columns(read)["Torque"].why.endswith("; but torque does not suit these studs")
    read = read_lines(tmp_path, [["Joint", "Stud size", "Studs", "Torque (N·m)"], *([*row[:3], 84] for row in rows)])
    assert columns(read)["Torque (N·m)"].why.endswith("; but torque in N·m does not suit these studs")
