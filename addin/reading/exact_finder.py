"""Where in a workbook the joint list is: the sheet, the rows of its headings, and what each heading says."""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from addin.cells.numbers import Cell, is_blank
from addin.reading.exact_columns import (
    SEPARATOR,
    Column,
    Head,
    fields_named,
    fields_offered,
    is_heading,
    is_unit,
    understand,
)
from addin.reading.own_columns import OwnColumns, find_own
from addin.workbooks.addresses import Area
from addin.workbooks.cell_values import SheetCells, read_values
from addin.workbooks.package import Package, WorkbookError
from addin.workbooks.sheet_part import SheetScan

HEADINGS_WITHIN = 60
"""The heading row of a list stands within the first rows of its sheet."""
FIELDS_NEEDED = 4
"""Fewer known headings than this, one of a stud or a target among them, do not make a list."""
_LOOK_ON = 15
_LONGEST = 80
_STUDS = frozenset(("thread", "studs", "size"))
_CORE = _STUDS | {"stress", "percent", "load", "torque"}

Rows = Sequence[Sequence[Cell]]
Judge = Callable[[Sequence[Head]], set[str]]
"""Says which fields a row of headings holds: the row with most is the list's."""


@dataclass(frozen=True, eq=False)
class FoundList:
    """A list's place: `heading_row` is the last row of names, `body` the first row below names and units.

    `beside`: other sheets with headings of joints that are not the list; `hidden`: those of them that are not shown.
    """

    sheet: str
    cells: SheetCells
    heading_row: int
    body: int
    heads: tuple[Head, ...]
    columns: tuple[Column, ...]
    own: OwnColumns | None
    beside: tuple[str, ...] = ()
    hidden: tuple[str, ...] = ()

    @property
    def scan(self) -> SheetScan:
        """The scan of the sheet."""
        return self.cells.scan


def find_list(package: Package, book: Any, sheet: str | None, known: Collection[str] = ()) -> FoundList:
    """Find the list: the row whose texts, with what stands above them, name most fields.

    Where no row does, that which may mean most is taken, and its questions tell. `known` are the headings of a map of
    the sheet (as `heading_key` writes them): the row that has most of them is the list's, whatever they say.

    Raises WorkbookError when there is none on a sheet that is shown, or when several sheets look like one and `sheet`
    says not which.
    """
    sheets = [each for each in package.sheets if each.kind == "worksheet"]
    if sheet is not None:
        chosen = package.sheet(sheet).name  # raises with the names there are
        sheets = [each for each in sheets if each.name == chosen]
    shown = {each.name for each in sheets if sheet is not None or each.state == "visible"}
    tops = {}
    for each in sheets:
        tops[each.name] = list(book[each.name].iter_rows(max_row=HEADINGS_WITHIN))
    if known and len(tops) == 1:
        ((name, rows),) = tops.items()
        cells = read_values(package, book, name)
        there = [len(_keys(_names(rows, at, cells.scan.merged, name)[0]) & set(known)) for at in range(len(rows))]
        if there and 2 * max(there) >= len(known):
            return _found(package, cells, rows, there.index(max(there)))
    found: dict[str, tuple[int, set[str]]] = {}
    for judge in (fields_named, fields_offered):
        best = {name: _best(rows, range(len(rows)), (), judge) for name, rows in tops.items()}
        found = {n: (at, fields) for n, (at, fields) in best.items() if len(fields) >= FIELDS_NEEDED and fields & _CORE}
        if found.keys() & shown:
            break
    hidden = tuple(name for name in found if name not in shown)
    found = {name: place for name, place in found.items() if name in shown}
    where = f"{package.path.name}, sheet {sheet}" if sheet else package.path.name
    if not found and hidden:
        raise WorkbookError(
            f"{where}: no joint list on a sheet that is shown; hidden: {', '.join(hidden)}. Show it, or name it with"
            " --sheet"
        )
    if not found:
        raise WorkbookError(
            f"{where}: no joint list found: no row has {FIELDS_NEEDED} known headings such as Joint, Operation, Method,"
            " Stud size, Studs"
        )
    lists = [name for name, (_, fields) in found.items() if fields & _STUDS] or list(found)
    if len(lists) > 1:
        raise WorkbookError(
            f"{where}: several sheets look like joint lists ({', '.join(lists)}); say which with --sheet"
        )
    name = lists[0]
    rows, at = tops[name], found[name][0]
    cells = read_values(package, book, name)
    at, _ = _best(rows, range(max(0, at - 1), min(len(rows), at + 2)), cells.scan.merged, judge)
    return replace(_found(package, cells, rows, at, tuple(other for other in found if other != name)), hidden=hidden)


def _keys(heads: Iterable[Head]) -> set[str]:
    return {heading_key(head.shown) for head in heads}


def heading_key(heading: str) -> str:
    """A heading as it is compared: capitals and stray spaces do not count."""
    return " ".join(heading.casefold().split())


def _best(rows: Rows, places: Iterable[int], merged: Sequence[Area], judge: Judge) -> tuple[int, set[str]]:
    """The first of the rows that name most fields (of those, the one with most headings), and those fields."""
    at, fields, wide, until = 0, set[str](), 0, len(rows)
    for i in places:
        if i >= until:
            break
        if sum(is_heading(cell) for cell in rows[i]) < 2:
            continue
        heads = _heads(rows, i, merged)
        named = judge(heads)
        if len(named) > len(fields) or (len(named) == len(fields) and len(heads) > wide):
            at, fields, wide = i, named, len(heads)
        if len(fields) >= FIELDS_NEEDED:
            until = min(until, at + _LOOK_ON)
    return at, fields


def _found(package: Package, cells: SheetCells, rows: Rows, at: int, beside: tuple[str, ...] = ()) -> FoundList:
    """The list whose names stand in a row."""
    name = cells.scan.sheet.name
    heads, own, has_units = _names(rows, at, cells.scan.merged, f"{package.path.name}, sheet {name}, row {at + 1}")
    return FoundList(name, cells, at + 1, at + 2 + has_units, heads, understand(heads), own, beside)


def _names(rows: Rows, at: int, merged: Sequence[Area], where: str) -> tuple[tuple[Head, ...], OwnColumns | None, bool]:
    """The planner's headings of a row with their units, our columns in it, and whether a row of units is below."""
    heads = _heads(rows, at, merged)
    own = find_own(heads, where)
    ours = {column - 1 for column in own.places.values()} if own else set()
    below = rows[at + 1] if at + 1 < len(rows) else ()
    units = {k: str(cell).strip() for k, cell in enumerate(below) if not is_blank(cell) and k not in ours}
    has_units = _is_unit_row([below[k] for k in units])
    theirs = [head for head in heads if head.at not in ours]
    if has_units:
        theirs = [replace(head, unit=units.get(head.at, "")) for head in theirs]
    return tuple(theirs), own, has_units


def _is_unit_row(cells: Sequence[Cell]) -> bool:
    """Whether a row below the names holds nothing but units, one of them known."""
    if not all(isinstance(cell, str) for cell in cells):
        return False
    kinds = [is_unit(cell) for cell in cells]
    return None not in kinds and True in kinds


def _heads(rows: Rows, at: int, merged: Sequence[Area]) -> list[Head]:
    """The headings of a row, each with what stands above it where that is part of the headings too."""
    above, spanned = _above(rows, at, merged)
    heads = []
    for k in range(max(len(rows[at]), max(above, default=-1) + 1)):
        cell = rows[at][k] if k < len(rows[at]) else None
        text = _text(cell)
        if text:
            heads.append(Head(k, text, above.get(k, ""), k in spanned))
        elif k in above and is_blank(cell) and k not in spanned:
            heads.append(Head(k, above[k]))
    return heads


def _text(cell: Cell) -> str:
    return " ".join(cell.replace("\u00a0", " ").split()) if is_heading(cell) and len(cell) < _LONGEST else ""


def _above(rows: Rows, at: int, merged: Sequence[Area]) -> tuple[dict[int, str], set[int]]:
    """Texts above a row that belong to its headings, by column, and the columns that share one of them.

    A title, alone in its row or nearly so, does not belong to them.
    """
    if at == 0:
        return {}, set()
    texts = {k: text for k, cell in enumerate(rows[at - 1]) if (text := _text(cell))}
    if any(text.endswith(":") for text in texts.values()) or len(texts) < sum(not is_blank(c) for c in rows[at - 1]):
        return {}, set()  # labels and their values
    own = {k for k, cell in enumerate(rows[at]) if _text(cell)}
    wide = [each for each in merged if each.top <= at <= each.bottom and each.left < each.right]
    wide = [each for each in wide if each.left - 1 in texts and each.bottom == at]
    tall = [each for each in merged if each.bottom == at + 1 and each.top <= at and each.left == each.right]
    if not (len(texts) >= 3 or len(wide) >= 2 or (wide and tall)):
        return {}, set()
    spanned = set()
    for each in wide:
        for k in range(each.left - 1, each.right):
            texts[k] = texts[each.left - 1]
            spanned.add(k)
    if spanned:  # groups of groups
        higher, wider = _above(rows, at - 1, merged)
        for k in spanned & wider:
            texts[k] = f"{higher[k]}{SEPARATOR}{texts[k]}"
    for each in tall:  # a name merged downwards may begin two rows above
        top = rows[each.top - 1][each.left - 1] if each.left <= len(rows[each.top - 1]) else None
        if (text := _text(top)) and each.left - 1 not in own:
            texts[each.left - 1] = text
    return texts, spanned
