"""Names of nuts as people write them; the pairings are compared in `printed_hardware.py`."""

import pytest

from calc.findings import InputError
from calc.hardware import nut_grades


@pytest.mark.parametrize(
    ("text", "stud", "name"),
    [
        ("A194 2H", "", "A194 2H"),
        ("ASTM A194 Gr.2HM", "", "A194 2HM"),
        ("SA-194 8MA", "", "A194 8M"),
        ("2H heavy hex nuts", "", "A194 2H"),
        ("Gr 4", "A320 L7", "A194 4"),
        ("8", "A193 B8 class 1", "A194 8"),
        ("8", "ISO 898-1 8.8", "ISO 898-2 8"),
        ("ISO 898-2 class 10", "", "ISO 898-2 10"),
        ("EN ISO 898-2 - 12", "", "ISO 898-2 12"),
    ],
)
def test_names(text: str, stud: str, name: str) -> None:
    assert nut_grades.nut_name(text, stud) == name


@pytest.mark.parametrize(
    ("text", "code"), [("8", "nut_of_standards"), ("brass", "nut_unknown"), ("2HX", "nut_unknown")]
)
def test_names_that_are_not_taken(text: str, code: str) -> None:
    with pytest.raises(InputError) as caught:
        nut_grades.nut_name(text)
    assert caught.value.finding.code == code
