"""Spellings of units, their factors to SI, and the two systems a caller may name ("US", "SI").

A user's text is looked up in our own table, never handed to a unit library: there `Nm` may be a textile unit and
`ft-lb` an error. The common units have exact factors (NIST SP 811; tests compare them with pint); the rare ones have
an expression that we wrote, worked out by pint when one of them is first used.
"""

import re
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.findings import stop
from calc.quantities import INCH, LBF, LBF_FT, PSI, settle, short

KGF = 9.80665

# kind: {symbol shown: (factor to SI, spellings after `_key`)}; the symbol itself is always a spelling
_EXACT: dict[str, dict[str, tuple[float, str]]] = {
    "length": {
        "in": (INCH, 'in inch inches "'),
        "mm": (1e-3, "mm millimetre millimetres millimeter millimeters"),
        "cm": (1e-2, "cm"),
        "ft": (0.3048, "foot feet"),
        "metre": (1.0, "metres meter meters"),  # a bare m may be metre, mile or minute: it must be spelled out
    },
    "area": {
        "in²": (INCH * INCH, "in2 sqin squareinch"),
        "mm²": (1e-6, "mm2 sqmm"),
        "cm²": (1e-4, "cm2 sqcm"),
    },
    "force": {
        "lbf": (LBF, "lbf lbsf"),
        "kip": (1000 * LBF, "kip kips klbf"),
        "N": (1.0, "n newton newtons"),
        "kN": (1e3, "kn"),
        "daN": (10.0, "dan"),
        "kgf": (KGF, "kgf kp"),
        "tf": (1000 * KGF, "tf tonnef metrictonf tonneforce"),
    },
    "torque": {
        "lbf·ft": (
            LBF_FT,
            "lbfft ftlbf lbft ftlb ft/lb ft/lbs ftlbs lbsft ft# ft#s footpounds footpound poundfeet poundfoot ftlbsf",
        ),
        "lbf·in": (
            LBF_FT / 12,
            "lbfin inlbf lbin inlb inlbs inchlb inchlbs inchlbf lbsin inchpounds inchpound poundinches",
        ),
        "N·m": (1.0, "nm newtonmetre newtonmetres newtonmeter newtonmeters"),
        "kN·m": (1e3, "knm"),
        "N·mm": (1e-3, "nmm"),
        "daN·m": (10.0, "danm mdan"),
        "kgf·m": (KGF, "kgfm kgm mkg mkgf kpm mkp"),
        "kgf·cm": (KGF / 100, "kgfcm kgcm cmkgf cmkg kpcm"),
    },
    "pressure": {
        "psi": (PSI, "psi psig lbf/in2 lb/in2 lbs/in2"),
        "ksi": (1000 * PSI, "ksi kpsi psix1000 psi1000 x1000psi"),
        "bar": (1e5, "bar bars barg"),
        "MPa": (1e6, "mpa mpag n/mm2"),
        "kPa": (1e3, "kpa kpag"),
        "GPa": (1e9, "gpa"),
        "Pa": (1.0, "pa"),
        "kgf/mm²": (KGF * 1e6, "kgf/mm2 kg/mm2 kgfmm2 kgmm2 kp/mm2"),
        "kgf/cm²": (KGF * 1e4, "kgf/cm2 kg/cm2 kgcm2 kgfcm2 kp/cm2"),
    },
    "temperature": {"°F": (1.0, "°f f degf fahrenheit"), "°C": (1.0, "°c c degc celsius")},
    "stiffness": {
        "kN/mm": (1e6, "kn/mm"),
        "N/mm": (1e3, "n/mm"),
        "lbf/in": (LBF / INCH, "lbf/in lb/in lbs/in"),
    },
    "percent": {"%": (0.01, "% percent pct")},
    "angle": {"°": (np.pi / 180, "° deg degree degrees"), "rad": (1.0, "rad")},
    "time": {"min": (60.0, "min minute minutes"), "s": (1.0, "s sec seconds"), "h": (3600.0, "h hr hour hours")},
    "volume": {"in³": (INCH**3, "in3 cuin"), "cm³": (1e-6, "cm3 cc"), "L": (1e-3, "l litre liter")},
    "flow": {"L/min": (1e-3 / 60, "l/min lpm"), "in³/min": (INCH**3 / 60, "in3/min cuin/min")},
}
_EXACT["stress"] = _EXACT["design_pressure"] = _EXACT["pressure"]

# kind: {symbol shown: (expression for pint, spellings)}
_BY_PINT: dict[str, dict[str, tuple[str, str]]] = {
    "torque": {"ozf·in": ("force_ounce * inch", "ozfin inozf ozin inoz"), "N·cm": ("newton * centimeter", "ncm")},
    "pressure": {
        "atm": ("atm", "atm"),  # a bare tonf/in² is no unit: 2240 lbf in some lists, 2000 lbf in others
        "tonf (long)/in²": ("force_long_ton / inch ** 2", "longton/in2 longtonf/in2"),
        "tonf (short)/in²": ("force_ton / inch ** 2", "shortton/in2 shorttonf/in2"),
    },
    "force": {"tonf (long)": ("force_long_ton", "longton longtonf"), "tonf (short)": ("force_ton", "shorttonf")},
}
_BY_PINT["stress"] = _BY_PINT["design_pressure"] = _BY_PINT["pressure"]

_SYSTEMS = {
    "US": {"length": "in", "area": "in²", "force": "lbf", "torque": "lbf·ft", "pressure": "psi", "stress": "psi",
           "design_pressure": "psi", "temperature": "°F", "stiffness": "lbf/in"},
    "SI": {"length": "mm", "area": "mm²", "force": "kN", "torque": "N·m", "pressure": "bar", "stress": "MPa",
           "design_pressure": "bar", "temperature": "°C", "stiffness": "kN/mm"},
}  # fmt: skip
_EITHER = {"percent": "%", "angle": "°", "time": "min", "volume": "cm³", "flow": "L/min"}


def _key(spelling: str) -> str:
    text = spelling.strip().lower().replace("²", "2").replace("³", "3").replace("º", "°").replace("''", '"')
    return re.sub(r"[\s.\-·⋅•*×_^()\[\]–]+", "", text)


@cache
def _spellings(kind: str) -> dict[str, str]:
    table = {}
    for symbol, (_, names) in [*_EXACT.get(kind, {}).items(), *_BY_PINT.get(kind, {}).items()]:
        table[_key(symbol)] = symbol
        table.update({_key(name): symbol for name in names.split()})
    return table


def kinds() -> tuple[str, ...]:
    """Every kind of unit that has spellings."""
    return tuple(_EXACT)


def known(kind: str) -> tuple[str, ...]:
    """The units of one kind as they are shown to a user.

    >>> known("torque")[:3]
    ('lbf·ft', 'lbf·in', 'N·m')
    """
    return (*_EXACT.get(kind, {}), *_BY_PINT.get(kind, {}))


@cache
def symbol(kind: str, spelling: str) -> str:
    """The unit that a spelling stands for, as it is shown.

    Raises InputError `unit_unknown`, or `unit_wrong_kind` when it is a unit of something else.

    >>> symbol("torque", "ft-lbs"), symbol("torque", "Nm"), symbol("pressure", "kg/cm2")
    ('lbf·ft', 'N·m', 'kgf/cm²')
    """
    found = _spellings(kind).get(_key(spelling))
    if found is not None:
        return found
    others = [other for other in _EXACT if _key(spelling) in _spellings(other)]
    code = "unit_wrong_kind" if others else "unit_unknown"
    raise stop(code, kind, text=spelling, kind=kind, known=known(kind), other=others[0] if others else None)


def kinds_of(spelling: str) -> tuple[str, ...]:
    """All kinds that know a spelling; empty when none does.

    >>> kinds_of("psi")
    ('pressure', 'stress', 'design_pressure')
    """
    return tuple(kind for kind in _EXACT if _key(spelling) in _spellings(kind))


@cache
def factor(kind: str, spelling: str) -> float:
    """Factor from a unit to SI (temperature excepted: see `kelvin`).

    >>> factor("torque", "ft-lb"), factor("pressure", "bar")
    (1.3558179483314003, 100000.0)
    """
    name = symbol(kind, spelling)
    if name in _EXACT.get(kind, {}):
        return _EXACT[kind][name][0]
    import pint  # about 0.6 s with its registry: only when a rare unit is met

    quantity = pint.UnitRegistry().Quantity(1.0, _BY_PINT[kind][name][0]).to_base_units()
    return float(quantity.magnitude)


def kelvin(value: ArrayLike, spelling: str) -> NDArray[np.float64]:
    """Temperature in kelvin from °F or °C.

    >>> float(kelvin(100.0, "°C"))
    373.15
    """
    number = np.asarray(value, dtype=float)
    return (number + 459.67) / 1.8 if symbol("temperature", spelling) == "°F" else number + 273.15


def from_kelvin(value: ArrayLike, spelling: str) -> NDArray[np.float64]:
    """Temperature in °F or °C from kelvin.

    >>> float(from_kelvin(373.15, "°F"))
    212.0
    """
    number = np.asarray(value, dtype=float)
    return number * 1.8 - 459.67 if symbol("temperature", spelling) == "°F" else number - 273.15


def to_si(value: ArrayLike, kind: str, spelling: str) -> NDArray[np.float64]:
    """A number in a named unit, of 13 digits, in SI and settled (`quantities.short` and `settle`).

    >>> float(to_si(100.0, "torque", "lbf·ft"))
    135.58179483314
    """
    if kind == "temperature":
        return settle(kelvin(value, spelling))
    with np.errstate(over="ignore"):  # beyond every range; refused as infinite
        return settle(short(value) * factor(kind, spelling))


def from_si(value: ArrayLike, kind: str, spelling: str) -> NDArray[np.float64]:
    """A number in SI in a named unit, of 13 digits: 940 lbf·ft comes back as 940, and no noise of last bits is shown.

    What `to_si` makes of it is the same number again where it was read, or settled in that unit (`quantities.settle`).

    >>> float(from_si(to_si(940.0, "torque", "lbf·ft"), "torque", "lbf·ft"))
    940.0
    """
    if kind == "temperature":
        return short(from_kelvin(value, spelling))
    return short(np.asarray(value, dtype=float) / factor(kind, spelling))


@dataclass(frozen=True)
class System:
    """The units of one caller: a symbol for each kind."""

    name: str
    symbols: tuple[tuple[str, str], ...]

    def __hash__(self) -> int:
        return hash(self.name)  # asked for in every row; of one name there are one or two

    def symbol(self, kind: str) -> str:
        """Unit of a kind, as shown; empty for plain numbers and counts."""
        return self._table.get(kind, "")

    @cached_property
    def _table(self) -> dict[str, str]:
        return {**_EITHER, **dict(self.symbols)}


@cache
def system(name: str) -> System:
    """The system a text names: "US" or "SI", with another pump gauge if it says so ("US bar", "SI psi").

    Raises InputError `units_unknown`; there is no default.

    >>> system("US").symbol("pressure"), system("US bar").symbol("pressure"), system("SI").symbol("torque")
    ('psi', 'bar', 'N·m')
    """
    words = name.split()
    if not 1 <= len(words) <= 2 or words[0].upper() not in _SYSTEMS:
        raise stop("units_unknown", "units", text=name)
    symbols = dict(_SYSTEMS[words[0].upper()])
    if len(words) == 2:
        symbols["pressure"] = symbol("pressure", words[1])
    return System(" ".join([words[0].upper(), *words[1:]]), tuple(symbols.items()))
