"""What was understood of a list, as typed records: columns, whole-list facts, values, rows left out, questions.

A record says what was read, how sure that is and why, in words; it holds no cell object and opens no file. Fields are
named as in the table of fields ("nut_factor"); `shown_name` gives the name that a person reads ("nut factor").

The answers of a person come back as `Answers`, keyed by heading text, so that they outlive a moved column and a new
revision. `SURE` is used; `PROPOSED` is used once a person has looked; `ASKED` has no likeliest reading, or one thing
about it (its unit, the area of a stress) only a person can say; `CHECKED` is compared with the plan and never used;
`NOT_USED` is shown with its reason.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

State = Literal["sure", "proposed", "asked", "checked against", "not used"]
SURE: State = "sure"
PROPOSED: State = "proposed"
ASKED: State = "asked"
CHECKED: State = "checked against"
NOT_USED: State = "not used"
PITCH = "pitch"
"""The companion of a thread: its pitch or threads per inch, in a column of its own."""
BY_THE_BOOK = "by the book"
"""A method for rows that state none: hydraulic or hand by what the wrench book can do."""
LIST_SHEET = "sheet"
"""Which of several sheets that look alike is the list."""
NONE = "none"
"""What an answer says of a column that holds no field."""

Kind = Literal["field", "unit", "twice", "whole list", "value", "new", "gone", "unsigned"]
"""What a question is about: which field a column is, its unit, which of two columns, a fact of all rows, a value."""


def shown_name(field: str) -> str:
    """A field as a person reads it; the area of a stress is told from the plant's.

    >>> shown_name("nut_factor"), shown_name("area"), shown_name("at_once")
    ('nut factor', 'stress area', 'wrenches together')
    """
    return "wrenches together" if field == "at_once" else stored_name(field)


def stored_name(field: str) -> str:
    """A field as scripts read it, and as older answers name it.

    >>> stored_name("at_once")
    'at once'
    """
    return {"area": "stress area", "pitch": "thread"}.get(field, field.replace("_", " "))


def heading_key(heading: str) -> str:
    """A heading as it is compared: capitals and stray spaces do not count.

    >>> heading_key(" Stud  Size ")
    'stud size'
    """
    return " ".join(heading.casefold().split())


def nth_key(key: str, number: int) -> str:
    """The key of a heading that stands for the n-th time in a list.

    >>> nth_key("unit", 1), nth_key("unit", 2)
    ('unit', 'unit [2]')
    """
    return key if number == 1 else f"{key} [{number}]"


def first_key(key: str) -> str:
    """The key without its number."""
    return re.sub(r" \[\d+\]$", "", key)


@dataclass(frozen=True)
class ColumnReading:
    """One column: its place (from 0), its heading with what stands above it and its unit row, and what it was taken as.

    `field`: the field in use (sure), proposed first (proposed) or compared (checked against); None for no field.
    `unit`: unit of its bare numbers as a symbol of ours; None where cells carry it, or it has none, or it is not known.
    `unit_open`: its numbers need a unit that neither heading, cells nor notes state. `candidates`: the readings that
    are possible, likeliest first. `also`: further fields in the same cells ("20 x M36"). `why`: one sentence.
    `values`: first values as they stand. `area_open`: a stress whose area
    nothing states. `unit_doubt`: "doubled" (two units stand in its heading) or "unclear" (what
    stands there may be several units). `confirmed`: the law of thread, load and torque agrees with its numbers. `answered`: who confirmed it, "" while it is the program's own reading.
    """

    at: int
    heading: str
    field: str | None
    unit: str | None
    state: State
    candidates: tuple[str, ...] = ()
    why: str = ""
    also: tuple[str, ...] = ()
    values: tuple[str, ...] = ()
    unit_open: bool = False
    unit_doubt: str = ""
    area_open: bool = False
    confirmed: bool = False
    answered: str = ""

    @property
    def used(self) -> bool:
        """Whether its cells are read into a field."""
        return self.state == SURE and self.field is not None and self.field != PITCH


@dataclass(frozen=True)
class WholeListFact:
    """What holds for every row that does not say otherwise: a field, its value as text ("" unknown), how sure, why.

    `candidates`: values to choose from, likeliest first.
    """

    field: str
    value: str
    state: State
    why: str = ""
    candidates: tuple[str, ...] = ()


@dataclass(frozen=True)
class ValueMeaning:
    """A value that many cells hold and that needs a meaning: operation codes, methods, grades, series, ditto marks.

    `text` as it stands, `count` rows that have it, `meaning` the likeliest ("" none), `candidates` the choices.
    `column` is the heading that it stands under.
    """

    field: str
    column: str
    text: str
    count: int
    meaning: str
    state: State
    candidates: tuple[str, ...] = ()
    why: str = ""


@dataclass(frozen=True)
class RowsLeftOut:
    """Rows of the sheet that are not planned as joints: kind ("total_row", "waits", ...), rows, reason, their text."""

    kind: str
    rows: tuple[int, ...]
    why: str
    text: str = ""


@dataclass(frozen=True)
class WaitingRow:
    """A joint that waits: its row, joint, operation, and the words that say so ("HOLD", "see mfr")."""

    row: int
    joint: str
    operation: str
    words: str


@dataclass(frozen=True)
class OpenQuestion:
    """Something that only a person can say: kind, letters of the column ("" for the list), field or value, sentence.

    `blocks`: nothing of the list can be planned before it is answered (a calculating column, or a fact that all rows
    need); otherwise only the rows concerned wait.
    """

    kind: Kind
    column: str
    about: str
    text: str
    blocks: bool = True


@dataclass(frozen=True)
class UnderstoodList:
    """One list of a sheet: where it stands, and all that was understood of it. Rows are the sheet's row numbers."""

    sheet: str
    heading_rows: tuple[int, ...]
    joint_rows: tuple[int, ...]
    columns: tuple[ColumnReading, ...]
    whole: tuple[WholeListFact, ...] = ()
    meanings: tuple[ValueMeaning, ...] = ()
    left_out: tuple[RowsLeftOut, ...] = ()
    waiting: tuple[WaitingRow, ...] = ()
    questions: tuple[OpenQuestion, ...] = ()

    def column_of(self, field: str) -> ColumnReading | None:
        """The column in use for a field, or None."""
        return next((each for each in self.columns if each.used and each.field == field), None)

    def fact(self, field: str) -> WholeListFact | None:
        """What holds for the whole list, or None."""
        return next((each for each in self.whole if each.field == field), None)


# --- answers ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class ColumnAnswer:
    """A column as a person has it: a field, `NONE`, or `CHECKED` with the field it is compared with; and its unit.

    `proposal`: it comes from another list and only changes what is proposed.
    """

    field: str
    unit: str = ""
    checked: bool = False
    proposal: bool = False


@dataclass(frozen=True)
class Answers:
    """What a person has answered and signed: by heading, for the whole list, by value and by row.

    columns : heading key -> answer (`heading_key`); whole : field -> value as a cell would hold it; meanings :
    (field, value as it stands, casefolded) -> meaning; freed : (joint, operation, words) of rows that waited and wait
    no longer; by : who confirmed, with the date, shown as the reason. `accept` takes the proposals as they stand.
    `sheet` : the sheet they belong to, "" for any. `standard_flange_studs` : the standard
    by which rows without studs have those of the flange of their size and class, "" for none.
    """

    columns: Mapping[str, ColumnAnswer] = field(default_factory=dict)
    whole: Mapping[str, str | float] = field(default_factory=dict)
    meanings: Mapping[tuple[str, str], str] = field(default_factory=dict)
    freed: frozenset[tuple[str, str, str]] = frozenset()
    by: str = ""
    accept: bool = False
    sheet: str = ""
    standard_flange_studs: str = ""


@dataclass(frozen=True, eq=False)
class CheckedColumn:
    """Targets of the planner that do not govern: heading, field, unit of bare numbers, values in SI (NaN none) a row; `unread`
    are cells that can be read in two ways, or in none.
    """

    heading: str
    field: str
    unit: str | None
    values: tuple[float, ...]
    unread: tuple[str, ...] = ()
