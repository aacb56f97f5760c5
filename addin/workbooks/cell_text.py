"""One value as the markup of one cell, and back."""

import math
import re
from dataclasses import dataclass
from enum import Enum
from numbers import Real
from typing import Any

from addin.workbooks.markup import unescape
from addin.workbooks.styles_part import Style

TEXT_LIMIT = 32_767
"""Most characters in a cell."""
NUMBER_LIMIT = 9.99999999999999e307
"""Largest number a cell holds."""


class NotAvailable(Enum):
    """The type of `NOT_AVAILABLE`."""

    NOT_AVAILABLE = "#N/A"


NOT_AVAILABLE = NotAvailable.NOT_AVAILABLE
"""Written as a real #N/A error, so that whatever is calculated from the cell shows it too."""

Value = str | float | int | NotAvailable | None


@dataclass(frozen=True, slots=True)
class OutCell:
    """One cell to write. None (or empty text) leaves the cell empty, with its style."""

    value: Value
    style: Style = Style()


class CellValueError(Exception):
    """A value cannot stand in a cell; the message goes on from the cell's name."""


_FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_SPACED = re.compile(r"\s\s|[\n\t]")
_ESCAPED = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
_UNESCAPE = re.compile(r"_x([0-9A-Fa-f]{4})_")


def shortened(text: str, limit: int = TEXT_LIMIT) -> str:
    """A text that fits a cell: cut with a mark that says how long it was.

    >>> shortened("a b c d e f g h i j k l m n o p q r s t u v w x y z", 40)
    'a b c d e f g h i … (cut, 51 characters)'
    >>> shortened("P-101A", 40)
    'P-101A'
    """
    if 2 * len(text) <= limit:  # a character is one unit or two
        return text
    whole = text.encode("utf-16-le", "surrogatepass")
    if len(whole) <= 2 * limit:
        return text
    mark = f"… (cut, {len(whole) // 2:,} characters)"
    kept = whole[: 2 * max(0, limit - len(mark))].decode("utf-16-le", "ignore")
    return kept.rstrip() + (" " if kept[-1:] == " " else "") + mark


def unescaped(text: str) -> str:
    """The text that a part spells with escapes for signs which XML does not keep.

    >>> unescaped("Torque_x000D_"), unescaped("_x005F_x000D_")
    ('Torque\\r', '_x000D_')
    """
    return _UNESCAPE.sub(_sign, text) if "_x" in text else text


def _sign(found: re.Match[str]) -> str:
    """The sign of an escape; one that no text holds stays as it is spelled."""
    sign = chr(int(found[1], 16))
    return found[0] if _FORBIDDEN.match(sign) else sign


def cell_tail(prefix: bytes, style: int | None, value: Value) -> bytes:
    """What follows a cell's name in its markup; the same for every cell of that value and style.

    Text is an inline string, whatever it begins with, and never a formula.

    Raises CellValueError for what a cell cannot hold.

    >>> cell_tail(b"", 7, "=1+1 & more ")
    b' s="7" t="inlineStr"><is><t xml:space="preserve">=1+1 &amp; more </t></is></c>'
    >>> cell_tail(b"x:", None, 265.5)
    b'><x:v>265.5</x:v></x:c>'
    """
    p, look = prefix.decode(), f' s="{style}"' if style is not None else ""
    value = plain_value(value)
    if value is None:
        return f"{look}/>".encode()
    if value is NOT_AVAILABLE:
        return f'{look} t="e"><{p}v>#N/A</{p}v></{p}c>'.encode()
    if isinstance(value, str):
        space = ' xml:space="preserve"' if value != value.strip() or _SPACED.search(value) else ""
        return f'{look} t="inlineStr"><{p}is><{p}t{space}>{_escape(value)}</{p}t></{p}is></{p}c>'.encode()
    return f"{look}><{p}v>{value!r}</{p}v></{p}c>".encode()


def plain_value(value: Any) -> Value:
    """The value as it will be read again; raises CellValueError for what a cell cannot hold."""
    if type(value) is float and -NUMBER_LIMIT <= value <= NUMBER_LIMIT:  # usual cells, taken without detours
        return int(value) if value.is_integer() and abs(value) < 2**53 else value
    if type(value) is str and value and value.isascii() and value.isprintable() and len(value) <= TEXT_LIMIT:
        return value
    if value is None or value is NOT_AVAILABLE or (isinstance(value, str) and not value):
        return None if isinstance(value, str) else value
    if isinstance(value, str):
        length = len(value.encode("utf-16-le", "surrogatepass")) // 2
        if length > TEXT_LIMIT:
            raise CellValueError(f"the text has {length} characters, a cell holds {TEXT_LIMIT}")
        found = _FORBIDDEN.search(value)
        if found:
            raise CellValueError(f"the text has a control character (code {ord(found[0])}), which a cell cannot hold")
        return str(value)
    if isinstance(value, bool) or not isinstance(value, Real):
        raise CellValueError(f"a value of type {type(value).__name__} cannot be written")
    number = float(value)
    if not math.isfinite(number) or abs(number) > NUMBER_LIMIT:
        raise CellValueError(f"{number} is no number that a cell can hold")
    if number.is_integer() and abs(number) < 2**53:
        return int(number)
    if not isinstance(value, float) and number != value:
        raise CellValueError(f"{value} has more digits than a cell holds")
    return number


def _escape(text: str) -> str:
    text = (_ESCAPED.sub("_x005F_", text) if "_x" in text else text).replace("\r", "_x000D_")
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


_OURS = re.compile(
    rb'<(?:[^\s/<>]+:)?c r="[A-Z]+[0-9]+"(?: s="([0-9]+)")?(?: t="([A-Za-z]+)")?(?:/>|>'
    rb'(?:<[^\s/<>]+>)?<[^\s/<>]+(?: xml:space="preserve")?>([^<]*)</[^\s<>]+>(?:</[^\s<>]+>)?</[^\s<>]+>)'
)


def read_cell(element: bytes) -> tuple[Value, int | None] | None:
    """Value and style index of a cell whose markup ends with a `cell_tail`; None for a cell in any other form.

    >>> read_cell(b'<c r="K2"' + cell_tail(b"", 7, " =1+1"))
    (' =1+1', 7)
    """
    found = _OURS.fullmatch(element)
    if found is None:
        return None
    style = int(found[1]) if found[1] else None
    if found[3] is None:
        return None, style
    text = unescape(found[3].decode("utf-8"))
    if found[2] == b"inlineStr":
        return unescaped(text), style
    if found[2] == b"e":
        return (NOT_AVAILABLE if text == NOT_AVAILABLE.value else text), style
    number = float(text)
    return (int(number) if number.is_integer() and abs(number) < 2**53 else number), style
