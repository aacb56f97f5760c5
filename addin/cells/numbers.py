"""One cell of text or number -> a number in SI, or the fact of what is wrong with it."""

import datetime
import math
import re
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from calc.findings import InputError, stop
from calc.quantities import QUANTITIES
from calc.units import factor, symbol, to_si

Cell = Any
"""A cell as a host delivers it: float, int, str, bool, None, date, Decimal, or an error code."""

ERROR_CODES = {
    -2146828288 + number: text
    for number, text in {
        2000: "#NULL!", 2007: "#DIV/0!", 2015: "#VALUE!", 2023: "#REF!", 2029: "#NAME?", 2036: "#NUM!", 2042: "#N/A",
        2043: "#GETTING_DATA", 2045: "#SPILL!", 2046: "#CONNECT!", 2047: "#BLOCKED!", 2048: "#UNKNOWN!",
        2049: "#FIELD!", 2050: "#CALC!", 2051: "#BUSY!", 2052: "#PYTHON!", 2222: "#EXTERNAL!",
    }.items()
}  # fmt: skip
"""Error cells as COM delivers them: 0x800A0000 plus the number of the error."""

_ERROR_TEXT = re.compile(r"#[A-Z][A-Z0-9_/]*[!?]?|Err:\d{3}")
_NUMBER = re.compile(r"(?P<number>[+-]?(?:[0-9][0-9'’ ]*(?:[.,][0-9]+)*|[.,][0-9]+))\s*(?P<unit>\D.*)?", re.DOTALL)
_PLAIN = re.compile(r"\s*[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)\s*")
_ODD_FORM = re.compile(r"[+-]?[0-9.,]+(?:_[0-9]|[eE][+-]?[0-9])")
_TWO_WAYS = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")
_LEAST_PERCENT = {"tolerance": 0.1, "uncertainty": 0.25}  # where small numbers are usual; a fraction would be too much
_BLANK_WORDS = frozenset(("-", "–", "—", "n/a", "na", "tbc", "tbd", "none", "nil", "?"))
_LONGEST_BLANK = max(map(len, _BLANK_WORDS))


def error_text(value: Cell) -> str | None:
    """The name of an error cell ("#N/A"), None for any other value.

    >>> error_text(-2146826246), error_text("#DIV/0!"), error_text("HW-1")
    ('#N/A', '#DIV/0!', None)
    """
    if isinstance(value, str):
        text = value.strip()
        return text if text.startswith(("#", "Err:")) and _ERROR_TEXT.fullmatch(text) else None
    if isinstance(value, (int, float)) and not isinstance(value, bool) and -2146828288 <= value <= -2146820000:
        return ERROR_CODES.get(int(value), "an error")
    return None


def is_blank(value: Cell) -> bool:
    """Whether a cell holds nothing: empty, or only white space."""
    return value is None or (isinstance(value, str) and not value.strip())


def used_rows(rows: Sequence[Sequence[Cell]]) -> Sequence[Sequence[Cell]]:
    """Rows up to the last one that holds something: a whole column may be given.

    >>> used_rows([["a", None], [None, 1], [None, ""]])
    [['a', None], [None, 1]]
    """
    last = max((i for i, row in enumerate(rows) if any(not is_blank(cell) for cell in row)), default=-1)
    return rows[: last + 1]


def plain_text(value: Cell) -> str:
    """A text cell without stray spaces; a whole number as a person writes it.

    >>> plain_text("  HW-1\\u00a0"), plain_text(12.0), plain_text(None)
    ('HW-1', '12', '')
    """
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        value = int(value)
    return " ".join(str(value).split())


def number_text(text: str, name: str) -> float:
    """A number typed as text, with thousands separators or a decimal comma where nothing else it can be.

    Raises InputError `number_ambiguous` for a lone comma or point before exactly three digits, `not_a_number`.

    >>> number_text("1,250.5", "torque"), number_text("12,5", "torque"), number_text("1 250", "torque")
    (1250.5, 12.5, 1250.0)
    """
    plain = re.sub(r"(?<=\d)['’ ](?=\d{3}(?:\D|$))", "", text.strip())
    if re.search(r"['’ ]", plain):
        raise stop("not_a_number", name, text=text)
    commas, dots = plain.count(","), plain.count(".")
    if commas and dots:
        decimal = "," if plain.rfind(",") > plain.rfind(".") else "."
        other = "." if decimal == "," else ","
        whole = plain.split(decimal)[0]
        if plain.count(decimal) > 1 or not re.fullmatch(rf"[+-]?\d{{1,3}}(?:\{other}\d{{3}})+", whole):
            raise stop("not_a_number", name, text=text)
        plain = plain.replace(other, "").replace(decimal, ".")
    elif commas > 1 or dots > 1:
        mark = "," if commas else "."
        if not re.fullmatch(rf"[+-]?\d{{1,3}}(?:\{mark}\d{{3}})+", plain):
            raise stop("not_a_number", name, text=text)
        plain = plain.replace(mark, "")
    elif _TWO_WAYS.fullmatch(plain):
        whole = plain.replace(",", "").replace(".", "")
        raise stop("number_ambiguous", name, text=text, ways=(f"{float(plain.replace(',', '.')):g}", whole))
    return float(plain.replace(",", "."))


def _one_way(text: str, name: str, scale: float) -> float:
    """A number typed as text; one that may be read in two ways is what the range of its quantity leaves, if one.

    >>> _one_way("2.375", "across_flats", 0.0254), _one_way("52.500", "stress", 6894.757)
    (2.375, 52500.0)
    """
    try:
        return number_text(text, name)
    except InputError as error:
        quantity = QUANTITIES.get(name)
        if error.finding.code != "number_ambiguous" or quantity is None:
            raise
        plain = text.strip().replace(",", ".")
        ways = [
            way for way in (float(plain), float(plain.replace(".", ""))) if quantity.low <= way * scale <= quantity.high
        ]
        if len(ways) != 1:
            raise
        return ways[0]


def typed_number(text: str) -> float | None:
    """A number that a program or a person has typed as plain digits; None for any other text.

    >>> typed_number("-12.5"), typed_number("1e3"), typed_number("1_000"), typed_number("inf"), typed_number("１０")
    (-12.5, None, None, None, None)
    """
    return float(text) if _PLAIN.fullmatch(text) else None


def odd_form(text: str) -> bool:
    """Whether a text is a number in a form that programs read and people do not write: 1e3, 1_000, full-width digits.

    >>> [odd_form(text) for text in ("1e3", "1_000", "１０００ psi", "1000 mm²", "10.9 ASTM")]
    [True, True, True, False, False]
    """
    return bool(_ODD_FORM.match(text.strip())) or any(sign.isdecimal() and not sign.isascii() for sign in text)


def split_number(text: str) -> tuple[str, str | None] | None:
    """A text that begins with a number, as number and unit texts; None when it does not.

    >>> split_number("940 ft-lb"), split_number("52.5ksi"), split_number("HW-1")
    (('940', 'ft-lb'), ('52.5', 'ksi'), None)
    """
    match = _NUMBER.fullmatch(" ".join(text.replace("\u00a0", " ").split()))
    if not match:
        return None
    return match["number"].strip(), (match["unit"] or "").strip() or None


_FRACTION = re.compile(
    r"(?:(?P<whole>\d{1,2})(?:\s+|\s*-\s*))?(?P<over>\d{1,2})\s*/\s*(?P<under>2|4|8|16|32|64)\s*(?:\"|''|in\.?|inch(?:es)?)?",
    re.IGNORECASE,
)


def inch_fraction(text: str) -> float | None:
    """A length written as inches and a fraction of one, None for any other text.

    >>> inch_fraction("1 13/16"), inch_fraction('1-7/8"'), inch_fraction("15/16 in"), inch_fraction("9/8")
    (1.8125, 1.875, 0.9375, None)
    """
    match = _FRACTION.fullmatch(plain_text(text))
    if match is None or int(match["over"]) >= int(match["under"]):
        return None
    return int(match["whole"] or 0) + int(match["over"]) / int(match["under"])


def refuse_kind(value: Cell, name: str) -> None:
    """Refuse what is no number at all: blanks, truth values, dates, currency, error cells, NaN and infinity."""
    if is_blank(value):
        raise stop("missing", name, known=())
    if isinstance(value, bool):
        raise stop("is_truth_value", name, text="TRUE" if value else "FALSE")
    if isinstance(value, (datetime.date, datetime.time, datetime.timedelta)):
        raise stop("is_date", name, text=str(value).removesuffix(" 00:00:00"))
    if isinstance(value, Decimal):
        raise stop("is_currency", name, text=str(value))
    if error := error_text(value):
        raise stop("error_cell", name, text=error)
    if isinstance(value, float) and not math.isfinite(value):
        raise stop("not_finite", name, text=str(value))
    if not isinstance(value, (int, float, str)):
        raise stop("not_a_number", name, text=str(value)[:60])


def read_number(value: Cell, name: str, unit: str | None, *, kind: str | None = None, ranged: bool = True) -> float:
    """A cell as the quantity `name`, in SI and settled.

    A plain number is in `unit`; a text may carry its own unit. Percentages are numbers like 50, and anything at or
    below 1.5 is refused as a cell formatted as %; a tolerance is read from 0.1 upwards.

    Raises InputError: `missing`, `is_truth_value`, `is_date`, `is_currency`, `error_cell`, `not_finite`,
    `not_a_number`, `number_form`, `number_ambiguous`, `unit_missing`, `unit_unknown`, `unit_wrong_kind`,
    `not_positive`, `percent_as_fraction`, `not_whole`, `out_of_range`.

    >>> read_number("52.5 ksi", "stress", "psi") == read_number(52500, "stress", "psi")
    True
    """
    refuse_kind(value, name)
    quantity = QUANTITIES.get(name)
    kind = kind or (quantity.kind if quantity else "number")
    number, own = float(value) if not isinstance(value, str) else math.nan, None
    if isinstance(value, str) and kind == "length" and (inches := inch_fraction(value)) is not None:
        if unit not in (None, "in"):
            raise stop("fraction_of_unit", name, text=plain_text(value), unit=unit)
        number, own = inches, "in"
    elif isinstance(value, str):
        parts = None if odd_form(value) else split_number(value)
        if parts is None:
            raise stop("number_form" if odd_form(value) else "not_a_number", name, text=plain_text(value))
        own = parts[1]
        number = _one_way(parts[0], name, _scale(kind, own or unit, name))
    if number <= 0:
        raise stop("not_positive", name, text=plain_text(value))
    if kind in ("number", "count"):
        if own is not None:
            raise stop("not_a_number", name, text=plain_text(value))
        if kind == "count" and number % 1:
            raise stop("not_whole", name, value=number)
        result = number
    else:
        if kind == "percent":
            if own is None and number <= 1.5 and number < _LEAST_PERCENT.get(name, number + 1):
                raise stop("percent_as_fraction", name, value=number)
            unit = "%"
        if own is not None:
            unit = _own_unit(kind, own, name)
        if unit is None:
            raise stop("unit_missing", name, text=plain_text(value), kind=kind)
        result = float(to_si(number, kind, unit))
    if ranged and quantity and not quantity.low <= result <= quantity.high:
        facts = {"value": result, "low": quantity.low, "high": quantity.high}
        raise stop("out_of_range", name, **facts, typed=number, unit=unit if kind not in ("number", "count") else None)
    return result


def _scale(kind: str, unit: str | None, name: str) -> float:
    """What one of a unit is in SI; 1 for a plain number, NaN, which no range holds, where the unit is not known yet."""
    if kind in ("number", "count"):
        return 1.0
    if kind == "percent":
        return 0.01
    if unit is None or kind == "temperature":
        return math.nan
    return factor(kind, _own_unit(kind, unit, name))


def _own_unit(kind: str, text: str, name: str) -> str:
    try:
        return symbol(kind, text)
    except InputError as error:
        raise stop(error.finding.code, name, **error.finding.facts) from None


def stands_for_nothing(value: Cell) -> bool:
    """Whether a person who typed this meant "nothing here": blank, a dash, n/a, TBC.

    >>> [stands_for_nothing(v) for v in ("-", "TBC", " ", 0.0, "0")]
    [True, True, True, False, False]
    """
    if not isinstance(value, str):
        return value is None
    text = value.strip()
    return not text or (len(text) <= _LONGEST_BLANK and text.lower() in _BLANK_WORDS)
