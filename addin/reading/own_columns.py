"""The columns that we write beside a list, and how they are recognised when a planned workbook is read again."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from addin.cells.numbers import Cell
from addin.reading.heads import Head
from addin.workbooks.addresses import letters
from addin.workbooks.cell_text import shortened
from addin.workbooks.extension import NOT_USED
from addin.workbooks.package import WorkbookError
from calc.plan.joints import OPERATIONS

ANSWERS_MARK = "sheet of answers 1"
"""What stands in H1 of our sheet of answers, in a workbook of its own or among the sheets of a list."""
FIRST = "Joint | operation"
"""Heading of our first column: it repeats what names a row, so that rows sorted apart are seen."""

OPEN = "operation open"
"""What stands there for the operation of a row whose own is not known yet."""

NAMES = (
    FIRST, "Status", "Message", "Card", "Preload", "Preload unit", "Torque", "Torque unit", "Wrench", "Link or socket",
    "Gauge", "Pressure to set", "Pressure unit", "Torque at that pressure",
)  # fmt: skip
"""Headings before those of the passes; a unit in brackets may follow."""
_PASS = re.compile(r"Pass \d+: [\d.]+ % pressure")
_OFF = re.compile(r"Off by, column [A-Z]{1,3}")
_UNIT = re.compile(r" \([^()]*\)$")
_CUT = re.compile(r"… \(cut, [\d,]+ characters\)$")
_NEEDED = 3
_ALWAYS = tuple(name for name in NAMES if not name.endswith(" unit"))
"""Names that every planned list has."""
_TELLING = ("Link or socket", "Pressure to set", "Torque at that pressure")


def name_of(heading: str) -> str | None:
    """The name of one of our columns without its unit, None for any other heading.

    >>> name_of("Pressure to set (psi)"), name_of("Pass 2: 60 % pressure (psi)"), name_of("Torque date")
    ('Pressure to set', 'Pass 2: 60 % pressure', None)
    """
    name = _UNIT.sub("", heading)
    return name if name in NAMES or _PASS.fullmatch(name) or _OFF.fullmatch(name) else None


def row_key(joint: str, operation: str) -> str:
    """What our first column says of a row; a word that is no operation yet is answered later, and the row is the same.

    >>> row_key("P-101 N1", "break"), row_key("P-101 N1", "BOLT UP")
    ('P-101 N1 | break', 'P-101 N1 | operation open')
    """
    return shortened(f"{joint} | {operation if operation in OPERATIONS else OPEN}")


def is_key(cell: object) -> bool:
    """Whether a cell says what our first column says of a row: a tag and an operation.

    >>> is_key("P-101 N1 | final make-up"), is_key("call the shift lead"), is_key("A | B"), is_key(None)
    (True, False, False, False)
    """
    if not isinstance(cell, str):
        return False
    tag, _, operation = cell.rpartition(" | ")
    return bool(tag and operation in (*OPERATIONS, OPEN)) or bool(_CUT.search(cell))


@dataclass(frozen=True)
class OwnColumns:
    """Our columns as found: name -> column number, the first of them leftmost."""

    places: Mapping[str, int]

    @property
    def first(self) -> int:
        """Number of the column that repeats joint and operation."""
        return self.places[FIRST]

    def of(self, row: Sequence[Cell]) -> tuple[Cell, ...]:
        """The cells of a row in our columns, from left to right."""
        wide = len(row)
        return tuple(row[column - 1] if column <= wide else None for column in sorted(self.places.values()))


class OwnValues(Mapping[int, tuple[Cell, ...]]):
    """The cells in our columns of rows that our first column names, by row number."""

    def __init__(self, own: OwnColumns, rows: Mapping[int, Sequence[Cell]], keys: Mapping[int, str]) -> None:
        self._own, self._rows, self._keys = own, rows, keys

    def __getitem__(self, number: int) -> tuple[Cell, ...]:
        if number not in self._keys:
            raise KeyError(number)
        return self._own.of(self._rows[number])

    def __iter__(self) -> Iterator[int]:
        return iter(self._keys)

    def __len__(self) -> int:
        return len(self._keys)


def find_own(heads: Sequence[Head], where: str) -> OwnColumns | None:
    """Our columns among the headings: our first heading, and behind it those that are ours, each once.

    Raises WorkbookError when a heading of ours is gone, was changed, or stands twice: what stands below it would be
    taken for the planner's, and old pressures would go on.
    """
    heads = sorted(heads, key=lambda head: head.at)
    first = [head for head in heads if head.text == FIRST]
    if not first:
        _check_headless(heads, where)
        return None
    if len(first) > 1:
        groups = " and ".join(letters(head.at + 1) for head in first)
        raise WorkbookError(f"{where}: our column '{FIRST}' stands twice ({groups}); delete one group of results")
    found: dict[str, list[int]] = {}
    for head in heads:
        name = name_of(head.text)
        if head.at >= first[0].at and name is not None:
            found.setdefault(name, []).append(head.at + 1)
    places = {name: columns[0] for name, columns in found.items()}
    if len(places) <= _NEEDED:
        return None
    for name, columns in found.items():
        if len(columns) > 1:
            twice = " and ".join(map(letters, columns))
            raise WorkbookError(
                f"{where}: our heading '{name}' stands twice ({twice}); delete the column that is not ours, or give it"
                " another heading"
            )
    _check_renamed(heads, places, where)
    return OwnColumns(places)


def _check_headless(heads: Sequence[Head], where: str) -> None:
    """Refuse our columns without their first heading: nothing tells then which rows they speak of."""
    ours = [head for head in heads if name_of(head.text)]
    names = {str(name_of(head.text)) for head in ours}
    if len(names & set(_ALWAYS)) < 6 or not names >= set(_TELLING):
        return
    at = next(k for k, head in enumerate(ours) if name_of(head.text) == _TELLING[0])
    seen: set[str | None] = set()
    while at and (ours[at - 1].at == ours[at].at - 1) and name_of(ours[at - 1].text) not in seen:
        seen.add(name_of(ours[at].text))
        at -= 1
    left, right = letters(ours[at].at + 1), letters(ours[-1].at + 1)
    raise WorkbookError(
        f"{where}: columns {left} to {right} are results of an earlier plan, but the heading '{FIRST}' of their first"
        f" column is gone: type it back (it stood left of {left}), or delete these columns, and plan again"
    )


def _check_renamed(heads: Sequence[Head], places: Mapping[str, int], where: str) -> None:
    """Refuse headings among ours that are no longer what we wrote."""
    begin, end = places[FIRST], max(places.values())
    there = {head.at + 1: head.text for head in heads}
    missing = [name for name in _ALWAYS if name not in places]
    odd = [
        c
        for c in range(begin, end + 1)
        if c in there and c not in places.values() and not there[c].startswith(NOT_USED)
    ]
    if missing:
        odd += [end + 1] if end + 1 in there and "Message" in missing else []
        empty = [c for c in range(begin, end + 1) if c not in there]
        if odd or empty:
            name, column = missing[0], (odd or empty)[0]
            found = f"stands '{there[column]}'" if odd else "stands no heading"
            raise WorkbookError(
                f"{where}: our heading '{name}' is gone, and in {letters(column)} among our columns {found}: type"
                f" '{name}' back there, or move a column of yours out of ours, and plan again"
            )
    elif "Message" in places and (
        passes := [c for c in odd if places["Torque at that pressure"] < c < places["Message"]]
    ):
        column = passes[0]
        raise WorkbookError(
            f"{where}: in {letters(column)} '{there[column]}' stands among the passes of our columns: type back the"
            " heading that was written there (such as 'Pass 1: 30 % pressure'), or move a column of yours out of ours,"
            " and plan again"
        )
