"""The columns that we write beside a list, and how they are recognised when a planned workbook is read again."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from addin.reading.heads import Head
from addin.workbooks.addresses import letters
from addin.workbooks.cell_text import shortened
from addin.workbooks.package import WorkbookError

ANSWERS_MARK = "sheet of answers 1"
"""What stands in H1 of our sheet of answers, in a workbook of its own or among the sheets of a list."""
FIRST = "Joint | operation"
"""Heading of our first column: it repeats what names a row, so that rows sorted apart are seen."""

NAMES = (
    FIRST, "Status", "Message", "Card", "Preload", "Preload unit", "Torque", "Torque unit", "Wrench", "Link or socket",
    "Gauge", "Pressure to set", "Pressure unit", "Torque at that pressure",
)  # fmt: skip
"""Headings before those of the passes; a unit in brackets may follow."""
_PASS = re.compile(r"Pass \d+: [\d.]+ % pressure")
_UNIT = re.compile(r" \([^()]*\)$")
_NEEDED = 3


def name_of(heading: str) -> str | None:
    """The name of one of our columns without its unit, None for any other heading.

    >>> name_of("Pressure to set (psi)"), name_of("Pass 2: 60 % pressure (psi)"), name_of("Torque date")
    ('Pressure to set', 'Pass 2: 60 % pressure', None)
    """
    name = _UNIT.sub("", heading)
    return name if name in NAMES or _PASS.fullmatch(name) else None


def row_key(joint: str, operation: str) -> str:
    """What our first column says of a row."""
    return shortened(f"{joint} | {operation}")


@dataclass(frozen=True)
class OwnColumns:
    """Our columns as found: name -> column number, the first of them leftmost."""

    places: Mapping[str, int]

    @property
    def first(self) -> int:
        """Number of the column that repeats joint and operation."""
        return self.places[FIRST]


def find_own(heads: Sequence[Head], where: str) -> OwnColumns | None:
    """Our columns among the headings: our first heading, and behind it those that are ours, each once.

    Raises WorkbookError when our first heading stands twice.
    """
    first = [head for head in heads if head.text == FIRST]
    if not first:
        return None
    if len(first) > 1:
        columns = " and ".join(letters(head.at + 1) for head in first)
        raise WorkbookError(f"{where}: our column '{FIRST}' stands twice ({columns}); delete one group of results")
    places: dict[str, int] = {}
    for head in sorted(heads, key=lambda head: head.at):
        name = name_of(head.text)
        if head.at >= first[0].at and name is not None:
            places.setdefault(name, head.at + 1)
    return OwnColumns(places) if len(places) > _NEEDED else None
