"""Units: factors against an independent library, spellings, and the trip through a user's unit and back."""

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import units
from calc.findings import InputError
from calc.quantities import settle, short

# our symbol: the same unit spelled out for the library
PINT = {
    "length": {"in": "inch", "mm": "millimeter", "cm": "centimeter", "metre": "meter", "ft": "foot"},
    "area": {"in²": "inch**2", "mm²": "millimeter**2", "cm²": "centimeter**2"},
    "force": {"lbf": "force_pound", "kip": "1000*force_pound", "N": "newton", "kN": "kilonewton", "daN": "decanewton",
              "kgf": "force_kilogram", "tf": "1000*force_kilogram",
              "tonf (long)": "force_long_ton", "tonf (short)": "force_ton"},
    "stiffness": {"N/mm": "newton/millimeter", "kN/mm": "kilonewton/millimeter", "lbf/in": "force_pound/inch"},
    "torque": {"lbf·ft": "force_pound*foot", "lbf·in": "force_pound*inch", "N·m": "newton*meter",
               "kN·m": "kilonewton*meter", "kgf·m": "force_kilogram*meter", "daN·m": "decanewton*meter",
               "N·mm": "newton*millimeter", "kgf·cm": "force_kilogram*centimeter", "ozf·in": "force_ounce*inch",
               "N·cm": "newton*centimeter"},
    "pressure": {"psi": "force_pound/inch**2", "ksi": "1000*force_pound/inch**2", "bar": "bar", "MPa": "megapascal",
                 "kPa": "kilopascal", "GPa": "gigapascal", "Pa": "pascal", "kgf/cm²": "force_kilogram/centimeter**2",
                 "atm": "standard_atmosphere", "kgf/mm²": "force_kilogram/millimeter**2",
                 "tonf (long)/in²": "force_long_ton/inch**2", "tonf (short)/in²": "force_ton/inch**2"},
    "percent": {"%": "0.01"},
    "angle": {"°": "degree", "rad": "radian"},
    "time": {"min": "minute", "s": "second", "h": "hour"},
    "volume": {"in³": "inch**3", "cm³": "centimeter**3", "L": "liter"},
    "flow": {"L/min": "liter/minute", "in³/min": "inch**3/minute"},
}  # fmt: skip
PINT["stress"] = PINT["design_pressure"] = PINT["pressure"]
REGISTRY = pint.UnitRegistry()
SCALED = sorted((kind, symbol) for kind in units.kinds() if kind != "temperature" for symbol in units.known(kind))


@pytest.mark.parametrize(("kind", "symbol"), SCALED)
def test_factor_agrees_with_an_independent_library(kind: str, symbol: str) -> None:
    theirs = REGISTRY(PINT[kind][symbol])
    theirs = theirs.to_base_units().magnitude if hasattr(theirs, "to_base_units") else theirs

    assert units.factor(kind, symbol) == pytest.approx(theirs, rel=1e-14)


@pytest.mark.parametrize(
    ("spelling", "kind", "symbol"),
    [
        ("ft-lb", "torque", "lbf·ft"), ("ft.lbs", "torque", "lbf·ft"), ("lb-ft", "torque", "lbf·ft"),
        ("Ft Lbs", "torque", "lbf·ft"), ("FT-LBF", "torque", "lbf·ft"), ("foot-pounds", "torque", "lbf·ft"),
        ("in-lb", "torque", "lbf·in"), ("Nm", "torque", "N·m"), ("N.m", "torque", "N·m"), ("N·m", "torque", "N·m"),
        ("N*m", "torque", "N·m"), ("kNm", "torque", "kN·m"), ("kgm", "torque", "kgf·m"), ("kgf.m", "torque", "kgf·m"),
        ("m·kg", "torque", "kgf·m"), ("kg/cm2", "pressure", "kgf/cm²"), ("kg/cm²", "pressure", "kgf/cm²"),
        ("PSIG", "pressure", "psi"), ("bar(g)", "pressure", "bar"), ("N/mm²", "stress", "MPa"),
        ("ksi", "stress", "ksi"), ("metres", "length", "metre"),
        ('"', "length", "in"), ("mm", "length", "mm"), ("sq in", "area", "in²"), ("deg C", "temperature", "°C"),
        ("%", "percent", "%"), ("Long Ton", "force", "tonf (long)"),
    ],
)  # fmt: skip
def test_spellings_of_the_trade(spelling: str, kind: str, symbol: str) -> None:
    assert units.symbol(kind, spelling) == symbol


@pytest.mark.parametrize(
    ("kind", "spelling", "code"),
    [
        ("torque", "psi", "unit_wrong_kind"), ("pressure", "lbf·ft", "unit_wrong_kind"),
        ("force", "kg", "unit_unknown"),
        ("torque", "", "unit_unknown"), ("torque", "furlong", "unit_unknown"), ("length", "m", "unit_unknown"),
        ("torque", "ton", "unit_unknown"),
    ],
)  # fmt: skip
def test_a_wrong_unit_is_refused_with_the_known_ones(kind: str, spelling: str, code: str) -> None:
    with pytest.raises(InputError) as caught:
        units.factor(kind, spelling)

    assert caught.value.finding.code == code
    assert caught.value.finding.facts["known"] == units.known(kind)


@pytest.mark.parametrize("name", ["", "metric", "US SI psi", "USA"])
def test_there_is_no_default_system(name: str) -> None:
    with pytest.raises(InputError):
        units.system(name)


def test_every_symbol_of_a_system_is_a_unit_of_its_kind() -> None:
    for name in ("US", "SI", "US bar", "SI psi", "us", "SI kg/cm2"):
        for kind, symbol in units.system(name).symbols:
            assert units.symbol(kind, symbol) == symbol


@given(st.sampled_from(SCALED), st.floats(1e-3, 1e7))
def test_a_number_shown_and_read_again_is_the_same_bits(unit: tuple[str, str], value: float) -> None:
    kind, symbol = unit
    inside = units.to_si(value, kind, symbol)

    assert units.to_si(units.from_si(inside, kind, symbol), kind, symbol) == inside


@given(st.sampled_from(SCALED), st.integers(1, 10**7))
def test_a_whole_number_comes_back_as_typed(unit: tuple[str, str], value: int) -> None:
    kind, symbol = unit

    assert units.from_si(units.to_si(value, kind, symbol), kind, symbol) == value


@given(st.lists(st.floats(1e-3, 1e7), min_size=1, max_size=20), st.sampled_from(SCALED))
def test_a_column_gives_the_bits_of_each_value(values: list[float], unit: tuple[str, str]) -> None:
    column = units.from_si(units.to_si(values, *unit), *unit)

    assert all(column == [float(units.from_si(units.to_si(value, *unit), *unit)) for value in values])


@pytest.mark.parametrize(
    ("noisy", "shown"),
    [
        (624.9999999999911, 625.0),
        (0.1 + 0.2, 0.3),
        (1e-5 / 3, 3.333333333333e-06),
        (-1234567.89012345678, -1234567.890123),
        (9.99999999999999e5, 1e6),
        (12345678901234567.0, 12345678901230000.0),
        (0.0, 0.0),
        (5e-300, 5e-300),
        (1e300, 1e300),
    ],
)
def test_thirteen_digits_are_shown(noisy: float, shown: float) -> None:
    assert float(short(noisy)) == shown


@given(st.floats(1e-8, 1e20), st.sampled_from((-1, 1)))
def test_short_is_the_nearest_number_of_thirteen_digits(value: float, sign: int) -> None:
    """Against Python's own conversion to decimal; a tie between two may go either way."""
    got = float(short(sign * value))

    assert float(f"{got:.13g}") == got
    assert abs(got - sign * value) <= 0.5000001 * 10.0 ** (np.floor(np.log10(value)) - 12)


@given(st.sampled_from(SCALED), st.floats(1e-3, 1e7))
def test_a_link_is_what_the_next_cell_reads(unit: tuple[str, str], value: float) -> None:
    """A number settled in a unit is the number that is shown in it and read again."""
    scale = units.factor(*unit)

    assert float(settle(value, scale)) == float(units.to_si(units.from_si(value, *unit), *unit))


@given(st.floats(-100, 1000))
def test_temperature_both_ways(value: float) -> None:
    for symbol in ("°F", "°C"):
        assert float(units.from_si(units.to_si(value, "temperature", symbol), "temperature", symbol)) == pytest.approx(
            value, abs=1e-9
        )
    assert float(units.kelvin(32.0, "°F")) == pytest.approx(273.15)
    assert float(units.kelvin(-40.0, "°F")) == pytest.approx(float(units.kelvin(-40.0, "°C")))


@given(st.floats(1e-12, 1e12))
def test_settling_twice_changes_nothing_and_moves_less_than_a_last_digit(value: float) -> None:
    once = settle(value)

    assert settle(once) == once
    assert abs(float(once) - value) <= 1.5e-14 * value
    assert np.isnan(settle(np.nan))


@pytest.mark.parametrize("text", ["tsi", "tonf/in²", "tons/in2", "ton/sq.in"])
def test_a_ton_to_the_inch_without_its_kind_is_no_unit(text: str) -> None:
    with pytest.raises(InputError):
        units.symbol("stress", text)


@given(st.lists(st.one_of(st.floats(), st.floats(1e-12, 1e23)), min_size=2, max_size=20))
def test_one_number_is_rounded_to_the_bits_it_has_in_a_column(numbers: list[float]) -> None:
    for rounded in (short, settle):
        column = rounded(np.array(numbers))
        alone = [rounded(number) for number in numbers]
        assert all(np.shape(each) == () for each in alone)
        assert np.array(alone).tobytes() == column.tobytes()
        assert rounded([numbers[0]]).tobytes() == column[:1].tobytes()
