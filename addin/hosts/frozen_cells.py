"""Formulas of ours in the parts of an .xlsx turned into values; every other byte of a part stays.

Cells of a shared formula and of an array go together. A defined name that calls one of our functions counts as ours
wherever a formula uses it.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from xml.sax.saxutils import escape

from addin.hosts.libreoffice.formula_names import rename
from addin.hosts.libreoffice.names import FULL
from addin.workbooks.addresses import area, column_number, letters
from addin.workbooks.markup import Markup, attributes, unescape

Place = tuple[int, int]
"""Row and column, from 1."""
Shown = tuple[str, object]
"""What a cell shows: "number", "text", "error" or "", and the content."""

_ROW = re.compile(rb"<row\b([^>]*?)(?:/>|>(.*?)</row>)", re.DOTALL)
_CELL = re.compile(rb"<c\b([^>]*?)(?:/>|>(.*?)</c>)", re.DOTALL)
_FORMULA = re.compile(rb"<f\b([^>]*?)(?:/>|>([^<]*)</f>)")
_VALUE = re.compile(rb"<v\b[^>]*>([^<]*)</v>")
_DATA = re.compile(rb"<sheetData\s*/>|<sheetData\b[^>]*>.*?</sheetData>", re.DOTALL)
_ADDRESS = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_ERRORS = ("#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A")
_MARK = dict.fromkeys((*FULL, *(full.lower() for full in FULL.values())), "\0")


@dataclass(frozen=True)
class Found:
    """A cell with a value of ours: its formula, "" in the rest of an array, and what the file says that it shows."""

    formula: str
    saved: Shown


def is_ours(formula: str, names: Iterable[str] = ()) -> bool:
    """Whether a formula calls a function of ours, or uses one of these defined names.

    >>> is_ours("IF(A1>0,unit_convert(A1,B1,C1),0)"), is_ours('"unit_convert(" & A1'), is_ours("K*2", ["K"])
    (True, False, True)
    """
    return "\0" in _marked(formula) or any(
        re.search(rf"(?<![\w.\\]){re.escape(name)}(?![\w.(])", _without_texts(formula), re.IGNORECASE) for name in names
    )


@lru_cache(4096)
def _marked(formula: str) -> str:
    return rename(formula.replace('"', "&quot;"), _MARK)


@lru_cache(4096)
def _without_texts(formula: str) -> str:
    return re.sub(r'"[^"]*"', '""', formula)


def place(address: str) -> Place:
    """Row and column of an address.

    >>> place("C12")
    (12, 3)
    """
    found = _ADDRESS.fullmatch(address)
    if found is None:
        raise ValueError(f"{address!r} is no cell")
    return int(found[2]), column_number(found[1])


def find(part: bytes, names: Iterable[str] = ()) -> dict[Place, Found]:
    """Cells of a sheet's part whose value is ours, in the order of the sheet.

    Raises MarkupError when the part is not well-formed, ValueError when it is written in a way that is not read here.
    """
    names = tuple(names)
    markup = Markup(part)
    if markup.prefix:
        raise ValueError("its tags have a prefix; open and save it once in a spreadsheet program")
    cells: dict[Place, Found] = {}
    shared, covered = set(), []
    held: dict[str, list[Place]] = {}
    for row in _ROW.finditer(markup.plain):
        for cell in _CELL.finditer(row[2] or b""):
            head, inside = attributes(cell[1]), cell[2] or b""
            if "r" not in head:
                raise ValueError("its cells have no addresses; open and save it once in a spreadsheet program")
            where = place(head["r"])
            formula = _FORMULA.search(inside)
            text = unescape((formula[2] or b"").decode("utf-8")) if formula else ""
            found = Found(text, _saved(head.get("t", "n"), inside))
            cells[where] = found
            if formula is None:
                continue
            kind = attributes(formula[1])
            if kind.get("t") == "shared":
                held.setdefault(kind["si"], []).append(where)
            if is_ours(text, names):
                if kind.get("t") == "shared":
                    shared.add(kind["si"])
                elif kind.get("t") == "array" and (over := area(kind.get("ref", ""))):
                    covered.append(over)
                if alone := area(head["r"]):
                    covered.append(alone)
    wanted = {where for number in shared for where in held[number]}
    for over in covered:
        wanted |= {
            (row, column) for row in range(over.top, over.bottom + 1) for column in range(over.left, over.right + 1)
        }
    return {where: cells.get(where, Found("", ("", ""))) for where in sorted(wanted)}


def _saved(kind: str, inside: bytes) -> Shown:
    """What the file says that a formula shows; shared texts, which no formula has, are left open."""
    value = _VALUE.search(inside)
    if value is None or kind == "s" or (not value[1] and kind != "str"):
        return "", ""
    text = unescape(value[1].decode("utf-8"))
    if kind == "n":
        return "number", float(text)
    return ("error" if kind == "e" else "text"), text


def freeze(part: bytes, values: Mapping[Place, Shown]) -> bytes:
    """A sheet's part with these values in the place of formulas; cells that are not there are put in."""
    plain = Markup(part).plain
    data = _DATA.search(plain)
    if data is None:
        return part
    left: dict[int, dict[int, Shown]] = {}
    for (row, column), shown in values.items():
        left.setdefault(row, {})[column] = shown
    result, at, expected = [part[: data.start()] + b"<sheetData>"], 0, 0
    for row_found in _ROW.finditer(plain, data.start(), data.end()):
        number = int(attributes(row_found[1]).get("r", expected + 1))
        for earlier in sorted(each for each in left if each < number):
            result.append(_row(b' r="%d"' % earlier, [], left.pop(earlier)))
        if number in left:
            cells = [(place(attributes(cell[1])["r"])[1], cell) for cell in _CELL.finditer(row_found[2] or b"")]
            result.append(_row(row_found[1], cells, left.pop(number)))
        else:
            result.append(part[row_found.start() : row_found.end()])
        at, expected = row_found.end(), number
    result += [_row(b' r="%d"' % later, [], left[later]) for later in sorted(left)]
    return b"".join([*result, b"</sheetData>", part[data.end() :]]) if at or values else part


def _row(head: bytes, cells: list[tuple[int, re.Match[bytes]]], values: Mapping[int, Shown]) -> bytes:
    number = int(attributes(head)["r"])
    made = {column: cell[0] for column, cell in cells}
    heads = {column: cell[1] for column, cell in cells}
    for column, shown in values.items():
        made[column] = _cell(heads.get(column, b' r="%s%d"' % (letters(column).encode(), number)), shown)
    return b"<row%s>%s</row>" % (head.rstrip(), b"".join(made[column] for column in sorted(made)))


def _cell(head: bytes, shown: Shown) -> bytes:
    """A cell with a value: its address and its look stay."""
    head = re.sub(rb"""\s+(?:t|cm)\s*=\s*(?:"[^"]*"|'[^']*')""", b"", head.rstrip())
    kind, content = shown
    if kind == "number":
        return b"<c%s><v>%s</v></c>" % (head, repr(float(str(content))).removesuffix(".0").encode())
    if kind == "error":
        return b'<c%s t="e"><v>%s</v></c>' % (head, str(content if content in _ERRORS else "#N/A").encode())
    text = escape(str(content)).encode("utf-8")
    return b'<c%s t="inlineStr"><is><t xml:space="preserve">%s</t></is></c>' % (head, text)
