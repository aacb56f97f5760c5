"""Facts of findings as they are kept beside their sentence."""

from addin.cells.words import facts_in_units
from calc.findings import Finding
from calc.units import system


def test_facts_of_an_odd_certificate_are_kept() -> None:
    odd = Finding("table_rated_torque", "table", {"torque": 2.0})

    assert facts_in_units(Finding("certificate_doubt", "wrench", {"doubt": odd, "wrench": "HW-1"}), system("SI")) == {
        "doubt": {"code": "table_rated_torque", "facts": {"torque": {"value": 2.0, "unit": "N·m"}}},
        "wrench": "HW-1",
    }
