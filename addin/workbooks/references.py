"""What a formula refers to: cells, columns, names, tables; enough to tell whether it depends on some of them."""

import re
from bisect import bisect_left
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from addin.workbooks.addresses import COLUMNS, ROWS, Area, column_number

_REFERENCE = re.compile(
    r"(?<![\w.$\]'!])"
    r"(?:(?P<sheet>'(?:[^']|'')+'|[^\W\d][\w.]*(?::[^\W\d][\w.]*)?)!)?"
    r"(?:(?P<c1>\$?[A-Za-z]{1,3})(?P<r1>\$?[0-9]{1,7})(?::(?P<c2>\$?[A-Za-z]{1,3})(?P<r2>\$?[0-9]{1,7}))?"
    r"|(?P<c3>\$?[A-Za-z]{1,3}):(?P<c4>\$?[A-Za-z]{1,3})|(?P<r3>\$?[0-9]{1,7}):(?P<r4>\$?[0-9]{1,7}))"
    r"(?![\w(.!\[])"
)
_STRING = re.compile(r'"(?:[^"]|"")*"')
_WORD = re.compile(r"[^\W\d][\w.\\]*")
_INDIRECT = re.compile(r"\bINDIRECT\(\s*\"((?:[^\"]|\"\")*)\"", re.IGNORECASE)
_COMPUTED = re.compile(r"\bINDIRECT\(\s*(?!\"[^\"]*\"\s*[,)])|\b(OFFSET)\(", re.IGNORECASE)


@dataclass(frozen=True)
class TableColumns:
    """A table: its sheet, its range, and the names of its columns from left to right."""

    sheet: str
    area: Area
    columns: Sequence[str]


class Touched:
    """The cells that something depends on, and names that stand for some of them; sheets by their names, folded."""

    def __init__(self, sheets: Sequence[str], tables: Mapping[str, TableColumns]) -> None:
        self.sheets = [name.casefold() for name in sheets]
        self.tables = {name.casefold(): table for name, table in tables.items()}
        self.names: set[str] = set()
        self.areas: dict[str, list[Area]] = {}
        self._cells: dict[str, dict[int, set[int]]] = {}
        self._rising: dict[tuple[str, int], list[int]] = {}

    def add_area(self, sheet: str, area: Area) -> None:
        """Put in a range."""
        self.areas.setdefault(sheet.casefold(), []).append(area)

    def add_cell(self, sheet: str, row: int, column: int) -> None:
        """Put in one cell."""
        self._cells.setdefault(sheet.casefold(), {}).setdefault(column, set()).add(row)
        self._rising.pop((sheet.casefold(), column), None)

    def meets(self, sheet: str, area: Area) -> bool:
        """Whether a range has one of the cells in it."""
        folded = sheet.casefold()
        if any(_meet(each, area) for each in self.areas.get(folded, ())):
            return True
        columns = self._cells.get(folded)
        if not columns:
            return False
        wanted: Collection[int] = range(area.left, area.right + 1) if area.right - area.left < len(columns) else columns
        return any(
            self._in_column(folded, column, area)
            for column in wanted
            if area.left <= column <= area.right and column in columns
        )

    def _in_column(self, sheet: str, column: int, area: Area) -> bool:
        rows = self._cells[sheet][column]
        if area.top == area.bottom:
            return area.top in rows
        if (sheet, column) not in self._rising:
            self._rising[sheet, column] = sorted(rows)
        rising = self._rising[sheet, column]
        place = bisect_left(rising, area.top)
        return place < len(rising) and rising[place] <= area.bottom

    def by(self, formula: str, sheet: str, shift: tuple[int, int] = (0, 0)) -> bool:
        """Whether a formula on a sheet depends on one of the cells; `shift` moves what it names without a $."""
        text = _STRING.sub('""', formula) if '"' in formula else formula
        for where, area in references(text, shift):
            if any(self.meets(name, area) for name in self._sheets(where, sheet)):
                return True
        if '"' in formula:
            for found in _INDIRECT.finditer(formula):
                for where, area in references(found[1].replace('""', '"')):
                    if any(self.meets(name, area) for name in self._sheets(where, sheet)):
                        return True
        if self.names or self.tables:
            for word in _WORD.finditer(text):
                name = word[0].casefold()
                if name in self.names and text[word.end() : word.end() + 1] != "(":
                    return True
                if name in self.tables and self._in_table(self.tables[name], text[word.end() :]):
                    return True
        return False

    def unseen(self, formula: str, sheet: str, listed: str) -> bool:
        """Whether a formula of another sheet may reach the sheet `listed` by an address that it computes."""
        found = _COMPUTED.search(formula)
        if found is None or not found[1]:
            return found is not None
        return any(
            listed.casefold() in map(str.casefold, self._sheets(where, sheet)) for where, _ in references(formula)
        )

    def _sheets(self, where: str, sheet: str) -> Sequence[str]:
        if not where:
            return (sheet,)
        if "[" in where:
            return ()  # another workbook
        first, _, last = where.casefold().partition(":")
        if last and first in self.sheets and last in self.sheets:
            one, other = sorted((self.sheets.index(first), self.sheets.index(last)))
            return self.sheets[one : other + 1]
        return (where,)

    def _in_table(self, table: TableColumns, rest: str) -> bool:
        """Whether what is named of a table (what follows its name) has one of the cells in it."""
        if not rest.startswith("["):
            return self.meets(table.sheet, table.area)
        inner = rest[1 : _closing(rest)]
        parts = re.findall(r"\[((?:[^\[\]']|'.)*)\]", inner) if "[" in inner else [inner]
        names = [re.sub(r"'(.)", r"\1", part).casefold() for part in parts if not part.startswith("#")]
        known = [name.casefold() for name in table.columns]
        places = [known.index(name) for name in names if name in known]
        if not names:
            return self.meets(table.sheet, table.area)
        if len(places) < len(names):
            return True  # a column that is not known: better one too many
        if ":" in inner and len(places) == 2:
            places = list(range(min(places), max(places) + 1))
        return any(
            self.meets(
                table.sheet,
                Area(table.area.top, table.area.left + place, table.area.bottom, table.area.left + place),
            )
            for place in places
        )


def _closing(text: str) -> int:
    """Where the bracket that a text begins with is closed."""
    depth = 0
    for place, sign in enumerate(text):
        depth += (sign == "[") - (sign == "]")
        if not depth:
            return place
    return len(text)


def _meet(one: Area, other: Area) -> bool:
    across = one.left <= other.right and one.right >= other.left
    return across and one.top <= other.bottom and one.bottom >= other.top


def references(text: str, shift: tuple[int, int] = (0, 0)) -> Iterator[tuple[str, Area]]:
    """Sheet ("" where none is named) and range of each reference of a formula without its texts.

    >>> [(sheet, str(area)) for sheet, area in references("SUM('Crew board'!$A$2:B7)+AE5*LOG10(X)")]
    [('Crew board', 'A2:B7'), ('', 'AE5')]
    >>> [str(area) for _, area in references("B2+$B2+B$2", (3, 1))]
    ['C5', 'B5', 'C2']
    """
    for found in _REFERENCE.finditer(text):
        given = found.groupdict()
        sheet = given["sheet"] or ""
        if sheet.startswith("'"):
            sheet = sheet[1:-1].replace("''", "'")
        c1, r1 = given["c1"] or given["c3"], given["r1"] or given["r3"]
        c2, r2 = given["c2"] or given["c4"] or c1, given["r2"] or given["r4"] or r1
        left, right = (_place(c, shift[1], column_number) for c in (c1, c2)) if c1 and c2 else (1, COLUMNS)
        top, bottom = (_place(r, shift[0], int) for r in (r1, r2)) if r1 and r2 else (1, ROWS)
        if left <= COLUMNS and right <= COLUMNS and top <= ROWS and bottom <= ROWS:
            yield sheet, Area(min(top, bottom), min(left, right), max(top, bottom), max(left, right))


def _place(text: str, by: int, number: Callable[[str], int]) -> int:
    place = number(text.lstrip("$"))
    return place if text.startswith("$") else max(1, place + by)
