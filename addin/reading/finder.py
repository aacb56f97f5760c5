"""Which sheet of a workbook holds the joint list, and where on it the list stands."""

import itertools
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from addin.cells.numbers import Cell, is_blank, plain_text
from addin.reading.code_tables import are_codes
from addin.reading.heads import Head
from addin.reading.own_columns import ANSWERS_MARK, OwnColumns, find_own
from addin.reading.place import CORE, HEADINGS_WITHIN, STUDS, Place, holds_values, names, place, place_by_cells, text_of
from addin.reading.spellings import spelled, unaccented
from addin.reading.understood import heading_key
from addin.workbooks.addresses import Area
from addin.workbooks.cell_values import SheetCells, read_values
from addin.workbooks.package import Package, WorkbookError
from addin.workbooks.sheet_part import SheetScan, Tell


@dataclass(frozen=True, eq=False)
class FoundList:
    """A list's place: `heading_row` is the last row of names (from 1), `body` the first row below names and units.

    `heads`: the planner's headings, without ours; `beside`: other sheets with headings of joints that are not the list;
    `hidden`: those of them that are not shown.
    """

    sheet: str
    cells: SheetCells
    place: Place
    heads: tuple[Head, ...]
    own: OwnColumns | None
    beside: tuple[str, ...] = ()
    hidden: tuple[str, ...] = ()
    alike: tuple[str, ...] = ()
    """Sheets that look like the list too, where the likeliest was taken."""
    likely: str = ""
    """Why this one is the likeliest of them."""
    moved: Mapping[int, Mapping[int, int]] = field(default_factory=dict)
    """Rows of lists below the first: row -> column of the first list (from 0) -> where its cell stands."""

    def stands_at(self, row: int, at: int) -> int:
        """Where the cell of a row under a column stands in the sheet, from 0."""
        return self.moved[row].get(at, at) if row in self.moved else at

    @property
    def scan(self) -> SheetScan:
        """The scan of the sheet."""
        return self.cells.scan

    @property
    def heading_row(self) -> int:
        """The last row of names, counted from 1."""
        return self.place.body - self.units

    @property
    def units(self) -> int:
        """Rows of units below the names."""
        return 1 if any(head.unit for head in self.place.heads) else 0

    @property
    def body(self) -> int:
        """The first row below the headings, counted from 1."""
        return self.place.body + 1

    @property
    def heading_rows(self) -> tuple[int, ...]:
        """All rows of headings, counted from 1."""
        return tuple(range(self.place.top + 1, self.place.body + 1))


_MARK_AT = 7


def find_list(
    package: Package,
    book: Any,
    sheet: str | None,
    known: Collection[str] = (),
    likelier: str = "",
    tell: Tell | None = None,
) -> FoundList:
    """Find the list: the sheet and row whose headings name most of what a joint has.

    `known` are the headings of answers for the sheet (as `heading_key` writes them). Where several sheets look like a list
    and `sheet` does not say which, the likeliest is taken and the others are `alike`: that with most rows, of those the
    last, or the one that is said to be `likelier`.

    Raises WorkbookError when there is none on a sheet that is shown.
    """
    sheets = [each for each in package.sheets if each.kind == "worksheet"]
    if sheet is not None:
        chosen = package.sheet(sheet).name  # raises with the names there are
        sheets = [each for each in sheets if each.name == chosen]
    shown = {each.name for each in sheets if sheet is not None or each.state == "visible"}
    found: dict[str, Place] = {}
    for each in sheets:
        rows = list(book[each.name].iter_rows(max_row=HEADINGS_WITHIN))
        if rows and len(rows[0]) > _MARK_AT and rows[0][_MARK_AT] == ANSWERS_MARK:
            continue  # our sheet of answers is no list
        at = place(rows, (), known if len(sheets) == 1 else ())
        if at is not None:
            found[each.name] = at
    if not found:
        for each in sheets:
            if each.name in shown and (at := place_by_cells(list(book[each.name].iter_rows(max_row=HEADINGS_WITHIN)))):
                found[each.name] = at
    hidden = tuple(name for name in found if name not in shown)
    found = {name: at for name, at in found.items() if name in shown}
    where = f"{package.path.name}, sheet {sheet}" if sheet else package.path.name
    if not found and hidden:
        raise WorkbookError(
            f"{where}: no joint list on a sheet that is shown; hidden: {', '.join(hidden)}. Show it, or name it with"
            " --sheet"
        )
    if not found:
        raise WorkbookError(
            f"{where}: no joint list found: none of the first {HEADINGS_WITHIN} rows has headings such as Joint, Stud size,"
            " No. of studs and Torque"
        )
    lists = (
        [name for name, at in found.items() if at.named & STUDS]
        or [name for name, at in found.items() if at.named & CORE]
        or list(found)
    )
    alike: tuple[str, ...] = ()
    why = ""
    if (
        len(lists) > 1
        and len(
            planned := [name for name in lists if find_own(found[name].heads, f"{package.path.name}, sheet {name}")]
        )
        == 1
    ):
        lists = planned  # a planned copy: our columns stand beside the list
    if len(lists) > 1:
        current = [name for name in lists if not _superseded(book[name], name)]
        rivals = current if 0 < len(current) < len(lists) else lists
        likely = (
            likelier if likelier in lists else max(rivals, key=lambda name: (_filled(book[name]), lists.index(name)))
        )
        if likely == likelier:
            why = "for which the answers were made"
        elif len(rivals) < len(lists) and len(rivals) == 1:
            why = "the only one that does not say it is superseded"
        else:
            why = _why_likely(likely, rivals, book)
        alike = tuple(name for name in lists if name != likely)
        lists = [likely]
    name = lists[0]
    cells = read_values(package, book, name, tell)
    tops = [cells.rows.get(number, []) for number in range(1, HEADINGS_WITHIN + 2)]
    there = place(tops, cells.scan.merged, known) or place_by_cells(tops, cells.scan.merged) or found[name]
    there = _above_its_codes(tops, there, cells.scan.merged, known)
    own = find_own(there.heads, f"{package.path.name}, sheet {name}, row {there.body}")
    ours = {column - 1 for column in own.places.values()} if own else set()
    theirs = tuple(head for head in there.heads if head.at not in ours)
    return FoundList(
        name, cells, there, theirs, own, tuple(other for other in found if other != name), hidden, alike, why
    )


def _above_its_codes(
    tops: Sequence[Sequence[Cell]], there: Place, merged: Sequence[Area], known: Collection[str]
) -> Place:  # fmt: skip
    """The place of a list whose codes are explained in a table below it, where that table has more of a list."""
    above = place(tops[: there.top], merged, known) or _names_joints(tops[: there.top])
    if above is None or "joint" not in above.named:
        return there
    rows = list(itertools.takewhile(lambda row: not all(is_blank(cell) for cell in row), tops[there.body :]))
    return above if are_codes(rows, above.heads, tops[above.body : there.top]) else there


def _names_joints(tops: Sequence[Sequence[Cell]]) -> Place | None:
    """The first row of headings that name a joint, though nothing of its studs: those stand by code."""
    for number, row in enumerate(tops):
        heads = tuple(Head(at, text_of(cell)) for at, cell in enumerate(row) if text_of(cell))
        if len(heads) > 1 and "joint" in (named := names(heads)):
            return Place(number, number, number + 1, heads, named)
    return None


_NO_MORE = re.compile(
    r"superseded|obsolete|\bvoid\b|replaced by|ungultig|uberholt|ueberholt|ungueltig|veraltet|ersetzt durch|annule|perime|remplace par|obsoleto"
    r"|anulad|sustituid|substituid|superat|sostituit|vervallen|vervangen door|ersatt av|utgatt|erstattet a[vf]|utgar|zastapion|nieaktual|neplatn|nahrazen"
    r"|\b(?:old|alt|ancien|antiguo|vecchio|oud|gammal|gammel|stary)\b",
)


_OF_A_COLUMN = re.compile(r"\b(?:spalten?|columns?|colonnes?|columnas?|colunas?|colonn[ae]|kolom|kolumn|kolonne)\b")


def _superseded(sheet: Any, name: str) -> bool:
    """Whether the name of a sheet, or a line above its list, says that it holds no more."""
    rows = [list(row) for row in sheet.iter_rows(max_row=_TITLE_ROWS)]
    texts = [name, *(text for row in rows if len(texts := _texts(row)) <= _TITLE_TEXTS for text in texts)]
    return any(_NO_MORE.search(said) and not _OF_A_COLUMN.search(said) for said in map(unaccented, texts))


_TITLE_ROWS, _TITLE_TEXTS = 6, 3


def _why_likely(likely: str, lists: Sequence[str], book: Any) -> str:
    """Why one of several sheets alike is the likeliest: it has the most rows, or is the last of those that have."""
    rows = {name: _filled(book[name]) for name in lists}
    alike = [name for name in lists if rows[name] == rows[likely]]
    return "which has the most rows" if len(alike) == 1 else f"the last of {len(alike)} with as many rows"


def _filled(sheet: Any) -> int:
    """Rows of a sheet that hold something, as far as that is quickly counted."""
    return sum(any(cell is not None for cell in row) for row in sheet.iter_rows(max_row=2000))


def other_headings(row: Sequence[Cell], heads: dict[int, str]) -> bool:
    """Whether a row holds the headings of another list: texts only, four fields named, and not these headings again."""
    cells = {at: cell for at, cell in enumerate(row) if not is_blank(cell)}
    if len(cells) < 4 or not all(text_of(cell) for cell in cells.values()):
        return False
    if sum(_A_FIGURE.fullmatch(text_of(cell)) is not None for cell in cells.values()) > 1:
        return False  # a row of a list whose numbers are typed as texts
    if holds_values(row):
        return False
    same = sum(text_of(cell).casefold() == heads.get(at) for at, cell in cells.items())
    if same >= 0.6 * len(cells) and not other_units(cells, heads):  # our headings again, perhaps with another spelling
        return False
    named = {
        name for name in names([Head(at, text_of(cell)) for at, cell in cells.items()]) if not name.startswith("other")
    }
    return len(named) >= 4 and bool(named & CORE)


def other_units(cells: Mapping[int, Cell], heads: Mapping[int, str]) -> bool:
    """Whether headings that stand again name another unit than the first time: "Torque Nm" below "Torque lbf.ft"."""
    for at, cell in cells.items():
        text = text_of(cell).casefold()
        if text and at in heads and text != heads[at]:
            one, other = spelled(text).unit, spelled(heads[at]).unit
            if one is not None and other is not None and one.symbol != other.symbol:
                return True
    return False


_A_FIGURE = re.compile(r"[\d.,/\s\"'#x×-]*\d[\d.,/\s\"'#x×-]*|M\d.*")
_COUNTS = re.compile(r"\(?\d{1,2}\)?|\(?[a-z]\)?", re.IGNORECASE)


def keys(heads: Sequence[Head]) -> set[str]:
    """Headings as they are compared."""
    return {heading_key(head.shown) for head in heads}


def texts_above(found: FoundList) -> list[list[str]]:
    """The cells above the headings, row by row."""
    return [_texts(found.cells.rows.get(number, [])) for number in range(1, found.place.top + 1)]


def texts_below(found: FoundList, numbers: Sequence[int], most: int = 80) -> list[list[str]]:
    """The cells of rows below the headings that are no joints, row by row."""
    joints, last = set(numbers), found.cells.rows.last
    end = max(joints, default=found.body)
    rows = range(end + 1, min(last, end + most) + 1)
    return [texts for n in rows if (texts := _texts(found.cells.rows.get(n, [])))]


def _texts(row: Sequence[Cell]) -> list[str]:
    return [str(cell).strip() if isinstance(cell, str) else plain_text(cell) for cell in row if not is_blank(cell)]


def _filled_cells(found: FoundList) -> dict[int, int]:
    """How many of the planner's cells hold something, for each row below the headings that has any."""
    rows, places = found.cells.rows, [head.at for head in found.heads]
    if rows.widest <= len(places):
        return dict(rows.fullness(found.body))  # the planner's columns are all there are
    filled: dict[int, int] = {}
    for number, row in rows.starting_at(found.body):
        most = row if len(row) <= len(places) else [row[at] for at in places if at < len(row)]
        filled[number] = len(most) - most.count(None) - most.count("")
    return filled


def likely_rows(found: FoundList) -> list[int]:
    """Rows below the headings that are filled like most others: what the columns are judged by."""
    filled = _filled_cells(found)
    if not filled:
        return []
    usual = sorted(filled.values())[len(filled) // 2 :]
    least = max(2, 0.4 * usual[len(usual) // 2])
    heads = {head.at: head.text.casefold() for head in found.heads}
    rows: list[int] = []
    only_texts = frozenset(found.cells.rows.of_texts)
    for number, count in filled.items():
        texts = number in only_texts
        if count >= least and not texts and number != found.body:  # the usual row, at once
            rows.append(number)
            continue
        row = found.cells.rows[number]
        if rows and texts and other_headings(row, heads):
            break
        again = sum(at < len(row) and text_of(row[at]).casefold() == text for at, text in heads.items())
        counts = number == found.body and all(_COUNTS.fullmatch(plain_text(cell)) for cell in row if not is_blank(cell))
        if count >= least and again < 0.5 * count and not counts:
            rows.append(number)
    return rows
