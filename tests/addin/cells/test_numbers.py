"""One cell to a number: what is read, what is refused, and never a number that could mean two things."""

import datetime
import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from addin.cells.numbers import error_text, number_text, read_number, stands_for_nothing
from addin.cells.words import line
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME
from calc.findings import InputError
from calc.units import factor, system

PSI = 6894.757293168361  # NIST SP 811, by formula


def code_of(value: object, name: str = "torque", unit: str | None = "N·m") -> str:
    with pytest.raises(InputError) as caught:
        read_number(value, name, unit)
    assert line(caught.value.finding, system("SI"))  # every refusal has its sentence
    return caught.value.finding.code


@pytest.mark.parametrize(
    ("value", "unit", "newton_metres"),
    [
        (940, "N·m", 940.0), (940.0, "lbf·ft", 940 * 1.3558179483314003), ("940", "N·m", 940.0),
        ("940 ft-lb", "N·m", 940 * 1.3558179483314003),
        ("940 ft.lbs", None, 940 * 1.3558179483314003),
        ("940 Nm", "lbf·ft", 940.0), ("0.94 kN.m", None, 940.0), ("100 kgm", None, 980.665),
        ("100kgf.m", None, 980.665),
        ("1 250 Nm", None, 1250.0), ("1'250 Nm", None, 1250.0), ("1,250.5 Nm", None, 1250.5),
        ("1.250,5 Nm", None, 1250.5),
        ("12,5 Nm", None, 12.5), ("1,250,000 in-lb", None, 1250000 * 1.3558179483314003 / 12),
        (" 940\u00a0N\u00b7m ", None, 940.0), ("+940 Nm", None, 940.0),
    ],
)  # fmt: skip
def test_what_is_read(value: object, unit: str | None, newton_metres: float) -> None:
    assert read_number(value, "torque", unit) == pytest.approx(newton_metres, rel=1e-13)


@pytest.mark.parametrize(
    ("value", "code"),
    [
        (None, "missing"), ("", "missing"), ("  \u00a0", "missing"), (True, "is_truth_value"),
        (False, "is_truth_value"),
        (datetime.datetime(2026, 3, 14), "is_date"), (datetime.date(2026, 3, 14), "is_date"),
        (datetime.time(8, 0), "is_date"), (Decimal("940"), "is_currency"), ("#N/A", "error_cell"),
        ("#DIV/0!", "error_cell"), ("#SPILL!", "error_cell"), ("Err:504", "error_cell"), (-2146826246, "error_cell"),
        (-2146826281.0, "error_cell"), (-2146826243, "error_cell"), (float("nan"), "not_finite"),
        (float("inf"), "not_finite"), ("abc", "not_a_number"), ("as per maker", "not_a_number"),
        ("94 0 94", "not_a_number"), ("9.500", "number_ambiguous"),
        ("1.2.3", "not_a_number"), ("9,500", "number_ambiguous"),
        ("9,500 Nm", "number_ambiguous"), (0, "not_positive"), (0.0, "not_positive"), (-5, "not_positive"),
        ("940 bananas", "unit_unknown"), ("940 lb", "unit_unknown"), ("940 m", "unit_unknown"),
        ("940 psi", "unit_wrong_kind"), (1e9, "out_of_range"), (1e-3, "out_of_range"), ([1], "not_a_number"),
        ("9.4e2 Nm", "number_form"), ("1e3", "number_form"), ("1_000", "number_form"), ("９４０ Nm", "number_form"),
        ("٩٤٠", "number_form"), ("inf", "not_a_number"), ("nan", "not_a_number"),
    ],
)  # fmt: skip
def test_what_is_refused(value: object, code: str) -> None:
    assert code_of(value) == code


def test_a_text_that_only_programs_read_as_a_number_is_refused_with_what_to_write() -> None:
    with pytest.raises(InputError) as caught:
        read_number("1e3", "torque", "N·m")

    assert line(caught.value.finding, system("SI")) == (
        "torque: '1e3' is a text that looks like a number; write it in plain digits, like 1250.5"
    )


@pytest.mark.parametrize("text", ["inf", "-infinity", "nan", "1e3", "1_000", "１０００", "٣"])
def test_such_a_text_is_no_plain_value_either(text: str) -> None:
    assert answer(BY_NAME["unit_convert"], [text, "N", "kN"]).startswith("STOP: value")


def test_no_unit_is_assumed() -> None:
    assert code_of(940, unit=None) == "unit_missing"
    assert code_of("940", unit=None) == "unit_missing"


def test_a_stress_in_the_wrong_unit_is_refused_with_the_likely_one() -> None:
    with pytest.raises(InputError) as caught:
        read_number(45, "stress", "psi")

    assert line(caught.value.finding, system("US")) == (
        "stress 45 psi is below 1000 psi; if ksi is meant, write '45 ksi'"
    )


def test_bar_is_never_offered_for_a_stress() -> None:
    """345 typed for 345 MPa in a column of psi: 345 bar would fit the range too, and is a tenth of what is meant."""
    with pytest.raises(InputError) as caught:
        read_number(345, "stress", "psi")

    assert line(caught.value.finding, system("US")).endswith("if MPa is meant, write '345 MPa'")


def test_a_pump_pressure_in_psi_is_no_pressure_in_bar() -> None:
    assert code_of(5000, "pump_pressure", "bar") == "out_of_range"


@pytest.mark.parametrize(
    ("value", "code"), [(0.5, "percent_as_fraction"), (1.5, "percent_as_fraction"), (101, "out_of_range")]
)
def test_per_cent_are_numbers_like_50(value: float, code: str) -> None:
    assert code_of(value, "percent", None) == code
    assert read_number(50, "percent", None) == 0.5
    assert read_number("50 %", "percent", None) == 0.5


def test_an_uncertainty_of_one_per_cent_is_usual_and_a_fraction_of_one_is_asked_about() -> None:
    assert read_number(1, "uncertainty", None) == pytest.approx(0.01)
    assert read_number(0.5, "uncertainty", None) == pytest.approx(0.005)
    assert code_of(0.015, "uncertainty", None) == code_of(0.2, "uncertainty", None) == "percent_as_fraction"


def test_counts_are_whole_and_bare() -> None:
    assert read_number(16.0, "studs", None) == 16
    assert code_of(16.5, "studs", None) == "not_whole"
    assert code_of("16 off", "studs", None) == "not_a_number"


@given(st.text())
def test_any_text_is_read_or_refused_in_one_line(text: str) -> None:
    try:
        value = read_number(text, "torque", "N·m")
    except InputError as error:
        said = line(error.finding, system("SI"))
        assert said
        assert "\n" not in said
    else:
        assert 5.0 <= value <= 200e3


@given(st.floats(5, 1e5), st.sampled_from(["N·m", "lbf·ft", "lbf·in", "kN·m", "kgf·m"]))
def test_a_number_with_its_unit_is_the_number_in_that_column(newton_metres: float, unit: str) -> None:
    typed = newton_metres / factor("torque", unit)

    try:
        in_column = read_number(typed, "torque", unit)
    except InputError:
        return  # a last bit below the range
    if re.fullmatch(r"\d{1,3}\.\d{3}", repr(typed)):
        return  # as text it may be thousands
    assert read_number(f"{typed!r} {unit}", "torque", "N·m") == in_column


@given(st.integers(1, 999), st.integers(0, 999))
def test_one_comma_before_three_digits_is_never_guessed(a: int, b: int) -> None:
    with pytest.raises(InputError, match="number_ambiguous"):
        number_text(f"{a},{b:03d}", "torque")


def test_error_cells_by_name() -> None:
    assert [error_text(v) for v in (-2146826288, -2146826259, -2146826242, "#N/A", "N/A", 5, None)] == [
        "#NULL!", "#NAME?", "#CONNECT!", "#N/A", None, None, None,
    ]  # fmt: skip


@pytest.mark.parametrize("value", ["-", "–", "n/a", "N/A", "TBC", "tbd", " ", None])
def test_words_that_mean_nothing_here(value: object) -> None:
    assert stands_for_nothing(value)


def test_a_range_that_leaves_one_reading_decides_and_the_sentence_shows_both_where_it_does_not() -> None:
    assert read_number("52.500", "stress", "psi") == pytest.approx(52500 * 6894.757293168361)
    assert read_number("2.375", "across_flats", "in") == pytest.approx(2.375 * 0.0254)
    assert read_number("2,375", "across_flats", "in") == pytest.approx(2.375 * 0.0254)
    with pytest.raises(InputError) as refused:
        read_number("9.500", "torque", "N·m")
    assert line(refused.value.finding, system("SI")) == (
        "torque '9.500' may be 9.5 or 9500: its mark may part thousands or decimals; type it as a number without one"
    )


@pytest.mark.parametrize(
    ("text", "unit", "inches"),
    [("1 13/16", "in", 1.8125), ('1-7/8"', None, 1.875), ("2-3/16 in", None, 2.1875), ("15/16", None, 0.9375)],
)
def test_a_width_in_fractions_of_an_inch(text: str, unit: str | None, inches: float) -> None:
    assert read_number(text, "across_flats", unit) == pytest.approx(inches * 0.0254)


def test_a_fraction_in_a_column_of_millimetres_is_refused() -> None:
    with pytest.raises(InputError) as refused:
        read_number("1 13/16", "across_flats", "mm")
    assert line(refused.value.finding, system("SI")) == (
        "nut across flats '1 13/16' is a fraction of an inch, but its column is in mm; write it in mm, or with its unit"
    )
