"""A planner's joint list as it stands in a workbook: sheet, heading row, columns, joints, and where each came from."""

import gc
import re
import sys
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from addin.cells.numbers import Cell, plain_text
from addin.reading.answer_sheet import AnswerSheet
from addin.reading.answered import lay_over
from addin.reading.code_tables import code_tables, under_codes
from addin.reading.column import Column, letter
from addin.reading.columns import understand
from addin.reading.compared import compared
from addin.reading.evidence import some_of
from addin.reading.finder import FoundList, find_list, likely_rows, texts_above, texts_below
from addin.reading.flange_rows import NO_STANDARD
from addin.reading.heads import ASK_WORTHY, CALCULATING, Head
from addin.reading.held_rows import WAITS, waiting
from addin.reading.joint_rows import JointRows, read_constant, read_rows
from addin.reading.judgement import NO_DAYS
from addin.reading.limits_beside import against_bounds
from addin.reading.list_doubts import TWO_IN_A_ROW, area_of_heading
from addin.reading.list_rows import ListRows, RowReader, listed_rows
from addin.reading.lists_below import is_of_joints, joint_rows_of, laid_under, lists_below, table_rows
from addin.reading.notes import Notes, read_notes
from addin.reading.own_columns import OwnColumns
from addin.reading.recalculated import differences
from addin.reading.understood import (
    ASKED,
    BY_THE_BOOK,
    CHECKED,
    LIST_SHEET,
    NONE,
    NOT_USED,
    PITCH,
    PROPOSED,
    SURE,
    Answers,
    CheckedColumn,
    ColumnReading,
    OpenQuestion,
    RowsLeftOut,
    UnderstoodList,
    WholeListFact,
    shown_name,
)
from addin.reading.units_beside import each_with_units, units_beside
from addin.reading.values import SpreadValues, bare_metric, spread
from addin.workbooks.addresses import address, letters
from addin.workbooks.cell_comments import cell_comments
from addin.workbooks.package import Package, WorkbookError, open_package
from addin.workbooks.shared_texts import READER_FAULTS
from addin.workbooks.sheet_part import SheetScan, Tell
from addin.workbooks.value_book import ValueBook
from calc.findings import CAUTION, Finding, InputError
from calc.hardware.threads import parse, pitch_stated
from calc.plan.joints import NUMBER_COLUMNS
from calc.plan.remarks import in_service


@dataclass(frozen=True)
class SaidOfList:
    """Something to know about the reading that is no fault: kind, rows or columns it is about, and the sentence."""

    kind: str
    places: tuple[int | str, ...]
    text: str


@dataclass(frozen=True, eq=False)
class JointList:
    """A list as read. `numbers` are the sheet's row numbers, one for each joint; `first_free` the first free column.

    `questions` must be answered before anything is planned; `said` is what to know. `own` are our columns where the
    workbook has been planned before; by row `own_keys` is what the first of them says, `own_cards` the card, `own_values`
    all of them; `own_strays` are cells of them (row, column) in rows that the first does not name. `shown` are the first cells of
    each column as they stand, `cells` the rows of the joints; `stated` is what was given for rows that do not say.
    """

    package: Package
    scan: SheetScan
    sheet: str
    heading_row: int
    columns: tuple[Column, ...]
    rows: JointRows
    numbers: tuple[int, ...]
    first_free: int
    understood: UnderstoodList
    heads: tuple[Head, ...] = ()
    questions: tuple[OpenQuestion, ...] = ()
    said: tuple[SaidOfList, ...] = ()
    own: OwnColumns | None = None
    own_keys: Mapping[int, str] = field(default_factory=dict)
    own_cards: Mapping[int, str] = field(default_factory=dict)
    own_values: Mapping[int, tuple[Cell, ...]] = field(default_factory=dict)
    own_strays: tuple[tuple[int, int], ...] = ()
    shown: Mapping[int, tuple[Cell, ...]] = field(default_factory=dict)
    key_columns: tuple[int | None, int | None] = (None, None)
    """Numbers of the columns whose cells say the tag and the operation of every row to the letter."""
    answered: AnswerSheet | None = None
    given: Answers | None = None
    stated: Mapping[str, str] = field(default_factory=dict)
    checked: tuple[CheckedColumn, ...] = ()
    cells: Sequence[Sequence[Cell]] = ()
    accepted: tuple[str, ...] = ()
    """What was taken as proposed, without anybody having looked; a plan of it is a draft."""
    moved: Mapping[int, Mapping[int, int]] = field(default_factory=dict)
    """Rows of lists below the first: row -> column (from 0) -> where its cell stands in the sheet."""

    def place(self, finding: Finding) -> str:
        """The cell, or the row, that a finding is about: "Joints!F12"."""
        row = self.numbers[finding.row]
        if finding.code in WAITS:  # whichever column says so
            return f"{self.sheet}!{finding.facts['column'] or 'row '}{row}"
        column = next((c for c in self.columns if c.field == finding.quantity), None)
        if column is None:
            return f"{self.sheet}!row {row}"
        return f"{self.sheet}!{address(row, self.moved.get(row, {}).get(column.place, column.place) + 1)}"


def read_joint_list(
    path: Path,
    sheet: str | None = None,
    answers: AnswerSheet | Answers | None = None,
    known: Mapping[str, Collection[str]] | None = None,
    *,
    accept: bool = False,
    stated: Mapping[str, str] | None = None,
    recalculated: Path | None = None,
    tell: Tell | None = None,
) -> JointList:
    """Read a joint list behind the gate; the workbook is only read. `answers` are a sheet of answers or answers that
    belong to it, `known` the names of the wrench book by field; `accept` takes what is proposed as it stands. `stated` holds
    for every row that does not say otherwise; `recalculated` is a copy that was calculated anew, to be compared with. `tell` is told now and then
    how many rows of the sheet are read.

    Raises WorkbookError for what concerns the file, the answers or the list as a whole; faults of rows go with their row.
    """
    package = open_package(Path(path))
    try:
        with uncollected():
            return _read(
                package, ValueBook(package), sheet, answers, known or {}, accept, stated or {}, recalculated, tell
            )
    except READER_FAULTS as error:
        raise _unreadable(package, error) from error


@contextmanager
def uncollected() -> Iterator[None]:
    """Many small objects and hardly a cycle: looking for cycles takes a tenth of the time of a long list."""
    before = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if before:
            gc.enable()


def _read(
    package: Package, book: Any, sheet: str | None, answers: AnswerSheet | Answers | None,
    known: Mapping[str, Collection[str]], accept: bool, stated: Mapping[str, str], recalculated: Path | None = None,
    tell: Tell | None = None,
) -> JointList:  # fmt: skip
    signed = answers if isinstance(answers, AnswerSheet) else None
    name = signed.file if signed else "answers"
    known_heads = signed.headings() if signed else ()
    settled, likelier = (sheet, "") if sheet else _sheet_of(answers, package)
    found = find_list(package, book, settled, known_heads, likelier, tell)
    where = f"{package.path.name}, sheet {found.sheet}"
    whole_sheet = found
    found, lower, others = lists_below(found)
    likely = likely_rows(found)
    below = [texts_below(found, likely), *(texts_below(each, likely_rows(each)) for each in lower)]
    notes = read_notes(
        texts_above(found), [line for lines in below for line in lines], [found.sheet, package.path.stem]
    )
    cells = [found.cells.rows[number] for number in some_of(likely, _LOOKED_AT)]
    coded = code_tables(found.heads, cells, _below(found, likely), notes)
    parts = [(each, understand(each.heads, joint_rows_of(each), notes, known)) for each in lower]
    parts = [(each, theirs) for each, theirs in parts if is_of_joints(theirs)]
    tables = [*(row for row in others if row not in coded.rows), *(each.place.top + 1 for each in lower)]
    aside = table_rows(whole_sheet, tables, [each for each, _ in parts])
    if aside.intersection(likely):
        likely = [number for number in likely if number not in aside]
        cells = [found.cells.rows[number] for number in some_of(likely, _LOOKED_AT)]
    if coded.rows:
        likely = [number for number in likely if number not in coded.rows]
        cells = [found.cells.rows[number] for number in likely[:: max(1, len(likely) // _LOOKED_AT)]]
    hidden = {head.at for head in found.heads if found.scan.column_hidden(head.at + 1)}
    understood = under_codes(understand(found.heads, cells, notes, known, hidden=hidden), coded)
    lower = tuple(each for each, _ in parts)
    if lower:
        first = min(each.place.top + 1 for each in lower)
        rows_now = {
            number: row for number, row in whole_sheet.cells.rows.items() if number not in aside and number < first
        }
        found, understood = laid_under(replace(whole_sheet, heads=found.heads), rows_now, understood, parts)
        cells = [*cells, *(found.cells.rows[n] for each in lower for n in likely_rows(each))]
    else:
        found = whole_sheet
    given = answers if isinstance(answers, Answers) else None
    theirs = signed is not None and signed.belongs_to([head.shown for head in found.heads], cells)
    same_file = signed is not None and signed.list_name == package.path.name
    if signed is not None and (theirs or same_file):
        signed.check_sheet(package)
    elif signed is not None and settled and not sheet and len(package.sheets) > 1:
        return _read(package, book, sheet, signed.of_any_sheet(), known, accept, stated, recalculated, tell)
    if signed is not None:
        given = signed.answers(same=theirs)
    if accept:
        given = replace(given or Answers(), accept=True)
    if stated:
        given = replace(given or Answers(), whole={**(given.whole if given else {}), **stated})
    readings, asked = lay_over(understood, given, name)
    accept_all = given is not None and given.accept
    accepted = [
        f"column {letter(r.at)} '{r.heading}' as {shown_name(r.field or '')}" for r in readings if r.state == PROPOSED
    ]
    if found.alike:
        accepted.insert(0, f"sheet '{found.sheet}', the likeliest beside {', '.join(found.alike)}")
    if accept_all:
        readings = tuple(_accepted(reading) for reading in readings)
    whole, facts = _whole(readings, notes, given)
    if product := _product(readings, facts, [*texts_above(found), *texts_below(found, likely)], known):
        whole = (*whole, product)
        if accept_all:
            facts["lubricant"] = product.value
            accepted.append(f"the lubricant {product.value}")
    for name, value in facts.items():
        if given and (meaning := given.meanings.get((name, str(value).casefold()))):
            facts[name] = meaning  # a word of title or notes that a person has told
    if found.alike and not accept_all:
        rivals = " and ".join(f"'{name}'" for name in found.alike)
        why = f"{rivals} look{'s' if len(found.alike) == 1 else ''} like a joint list too; '{found.sheet}' is the likeliest, {found.likely}"
        whole = (WholeListFact(LIST_SHEET, found.sheet, PROPOSED, why, (found.sheet, *found.alike)), *whole)
        asked = [OpenQuestion("whole list", "", LIST_SHEET, f"which sheet is planned: {why}", True), *asked]
    elif given and LIST_SHEET in given.whole:
        whole = (WholeListFact(LIST_SHEET, found.sheet, SURE, _by(given)), *whole)
    rows = ListRows()
    if any(reading.field for reading in readings):
        placed = [_placed(reading) for reading in readings if reading.field != PITCH]
        rows = RowReader(where, found, placed, coded.rows, aside).read()
    if not rows.numbers:
        raise WorkbookError(f"{where}: no rows below the headings in row {found.heading_row}")
    wide = max(head.at for head in found.heads) + 1
    columns = tuple(_column(reading) for reading in readings)
    beside = units_beside(found.heads, cells)
    joint_rows = each_with_units(rows.cells, beside) if beside else rows.cells
    made = spread(
        readings, columns, joint_rows, wide, notes.legends, given.meanings if given else {}, accept=accept_all,
        range_at=notes.range_at, coded=coded.meant,
    )  # fmt: skip
    several = [Finding("several_joints", "joint", {"text": text}, row=i) for i, text in made.several.items()]
    several += [Finding("mark_in_doubt", name, {"text": text}, row=i) for i, (name, text) in made.in_doubt.items()]
    comments = _comments(package, found, rows)
    above = {number: rows.texts[number] for number in rows.left_out.get("group_row", ()) if number in rows.texts}
    freed = given.freed if given else frozenset[tuple[str, str, str]]()
    by_book = {"method": BY_THE_BOOK} if given and given.whole.get("method") == BY_THE_BOOK else {}
    waits, faults = waiting(
        readings,
        rows.cells,
        rows.numbers,
        made.rows,
        made.columns,
        notes.legends,
        comments,
        above,
        by_book | facts,
        freed,
    )
    readings = _that_hold(readings, faults)
    faults = [*faults, *several, *against_bounds(found.heads, readings, rows.cells, understood)]
    bare = bare_metric(made.columns, made.rows, coarse=False)
    coarse = given is not None and str(given.whole.get("pitch", "")).casefold() == "coarse"
    if bare and accept_all and not coarse:
        accepted.append(f"the coarse pitch for {', '.join(bare)}")
    if coarse or accept_all:
        bare_metric(made.columns, made.rows, coarse=True)
    elif bare:
        sizes = ", ".join(f"{size} ({count} row{'' if count == 1 else 's'})" for size, count in bare.items())
        why = f"no pitch stands with {sizes}: the coarse one, or a pitch of 3 mm?"
        whole = (*whole, WholeListFact("pitch", "coarse", PROPOSED, why, ("coarse",)))
        asked = [*asked, OpenQuestion("whole list", "", "pitch", f"whole list: thread pitch: {why}", False)]
    accepted += [f"'{each.text}' under '{each.column}' as {each.meaning}" for each in made.meanings if each.meaning]
    checked = compared(readings, made.columns, made.rows, facts)
    columns = made.columns
    if recalculated:
        faults = [*faults, *differences(recalculated, found.sheet, columns, rows.numbers, rows.cells)]
    else:
        faults = [*faults, *_maybe_old(package, found, columns, rows)]
    if phrase := _work_in_service(notes.lines):
        faults = [
            *faults,
            *(Finding("list_in_service", "remarks", {"text": phrase}, row=i) for i in range(len(made.rows))),
        ]
    read = read_rows(
        columns,
        made.rows,
        comments=comments,
        faults=faults,
        stale=rows.stale,
        as_percent=rows.as_percent,
        constants=facts,
        stated=stated,
        standard_flanges=_standard(given),
    )
    told = {question.column for question in asked}
    told_of_all = {each for each in facts if each not in stated or each in _NEEDED_OF_ALL}  # a row's word may go before
    asked = [
        *asked,
        *(_not_signed(signed, stated) if signed is not None and theirs else ()),
        *(q for q in _about_columns(readings, told_of_all) if q.column not in told or not q.column),
        *_about_list(readings, whole, given),
    ]
    scan = found.scan
    left_out = tuple(
        RowsLeftOut(kind, tuple(numbers), kind.replace("_", " ")) for kind, numbers in rows.left_out.items()
    )
    result = UnderstoodList(
        found.sheet, (*found.heading_rows, *(row for each in lower for row in each.heading_rows)), tuple(rows.numbers), readings, whole, made.meanings, left_out, tuple(waits), tuple(asked)
    )  # fmt: skip
    return JointList(
        package=package,
        scan=scan,
        sheet=found.sheet,
        heading_row=found.heading_row,
        columns=columns,
        rows=read,
        numbers=tuple(rows.numbers),
        first_free=max([scan.used.right if scan.used else 0, *scan.last_columns]) + 1,
        heads=found.heads,
        questions=tuple(asked),
        said=(
            *_said(found, columns, rows, {*facts, *(given.whole if given else ())}, readings),
            *_told(made),
            *_taken_for_studs(read),
            *_lower_lists(lower, rows.numbers),
        ),
        own=found.own,
        own_keys=rows.own_keys,
        own_cards=rows.own_cards,
        own_values=rows.own_values,
        key_columns=_key_columns(found, columns, rows, read, {} if beside else made.typed),
        own_strays=tuple(rows.own_strays),
        shown=_shown(found),
        answered=signed,
        given=given,
        stated=stated,
        understood=result,
        checked=checked,
        cells=rows.cells,
        accepted=tuple(accepted) if accept_all else (),
        moved=found.moved,
    )


def _below(found: FoundList, likely: Sequence[int]) -> dict[int, list[Cell]]:
    """The rows from the middle of the likely joints on, by number: tables of codes stand among or below the last."""
    start = likely[len(likely) // 2] if likely else found.body
    last = found.cells.rows.last
    return {n: row for n in range(max(start, last - _TABLES_WITHIN), last + 1) if (row := found.cells.rows.get(n))}


_TABLES_WITHIN = 150
"""Rows from the end of the sheet within which tables of codes are looked for."""


def _that_hold(readings: tuple[ColumnReading, ...], faults: Sequence[Finding]) -> tuple[ColumnReading, ...]:
    """The columns with the number of their cells by which rows wait, whatever else the column is."""
    cells = Counter(str(fault.facts["column"]) for fault in faults)
    return tuple(
        replace(each, why=f"{each.why}; {count} of its cells make{'s' * (count == 1)} the row wait")
        if (count := cells[letter(each.at)])
        else each
        for each in readings
    )


def _comments(package: Package, found: FoundList, rows: ListRows) -> list[str]:
    """The comments of the cells of each row; those of our own columns do not count."""
    ours = set(found.own.places.values()) if found.own else set()
    texts: dict[int, list[str]] = {}
    for (row, column), text in cell_comments(package, found.scan.sheet).items():
        if column not in ours and text:
            texts.setdefault(row, []).append(text)
    return ["; ".join(texts.get(number, ())) for number in rows.numbers]


def _maybe_old(package: Package, found: FoundList, columns: tuple[Column, ...], rows: ListRows) -> list[Finding]:
    """Cautions for formulas whose stored values may be older than what they are made of."""
    if not found.cells.formulas:
        return []
    why = "manual" if package.calculation == "manual" else "on opening"
    return [
        Finding("formula_maybe_old", column.field, {"why": why}, CAUTION, i)
        for column in columns
        if column.field in CALCULATING or column.field in NUMBER_COLUMNS
        for i, number in enumerate(rows.numbers)
        if (number, found.stands_at(number, column.at) + 1) in found.cells.formulas and (i, column.at) not in rows.stale
    ]  # fmt: skip


def _key_columns(
    found: FoundList, columns: Collection[Column], rows: ListRows, read: JointRows, typed: Mapping[int, list[Cell]]
) -> tuple[int | None, int | None]:
    """The columns that say tag and operation as they are understood; a blank cell says nothing else."""
    places: list[int | None] = [None, None]
    for k, (field_, texts) in enumerate((("joint", read.joints.joint), ("operation", read.joints.operation))):
        column = next((c for c in columns if c.field == field_), None)
        if column is None or any(found.stands_at(row, column.at) != column.at for row in found.moved):
            continue
        at = column.at
        cells: Iterable[Cell] = typed.get(at, ())
        if rows.cells.other or at not in typed:  # the cells of the sheet itself, merged ones once
            all_rows = found.cells.rows.several(rows.numbers)
            cells = (row[at] if at < len(row) else None for row in all_rows)
        same = all(
            cell is None or cell == said or plain_text(cell) == said for cell, said in zip(cells, texts, strict=True)
        )
        places[k] = at + 1 if same else None
    return places[0], places[1]


def _sheet_of(answers: AnswerSheet | Answers | None, package: Package) -> tuple[str | None, str]:
    """The sheet that the answers are for, where the workbook has it and it is settled, and the likelier one."""
    if isinstance(answers, AnswerSheet):
        return answers.sheet_of_list(package)
    name = str(answers.whole.get(LIST_SHEET, answers.sheet)).casefold() if answers else ""
    return next((each.name for each in package.sheets if each.name.casefold() == name), None), ""


def _accepted(reading: ColumnReading) -> ColumnReading:
    """A proposal taken as it stands."""
    return (
        replace(reading, state=SURE, why=f"taken as proposed: {reading.why}") if reading.state == PROPOSED else reading
    )


def _column(reading: ColumnReading) -> Column:
    """A column as it is read: one that is not sure has no field; one whose unit alone is open stops its bare numbers."""
    field = (
        reading.field if reading.used or (reading.state == ASKED and (reading.unit_open or reading.area_open)) else None
    )
    return Column(reading.at, reading.heading, field, reading.unit if field else None, reading.state)


def _placed(reading: ColumnReading) -> Column:
    """A column for telling rows of joints from others: what is proposed counts there too."""
    return Column(
        reading.at, reading.heading, reading.field if reading.state != NOT_USED else None, reading.unit, reading.state
    )


_LOOKED_AT = 1000
"""Rows that the columns are judged by, from every part of the list."""
_SETTINGS = ("scheme", "at_once", "date", "pitch", LIST_SHEET)
"""What holds for rows that do not say otherwise, and so is no constant of every row."""
_NEEDED_OF_ALL = ("operation", "method")
_CHOICES = {"operation": ("final make-up", "test make-up", "break", "retighten"), "method": ("hydraulic", "hand", "other"),
            "area": ("tensile", "root B1.1", "root ISO")}  # fmt: skip


def _whole(
    readings: tuple[ColumnReading, ...], notes: Notes, given: Answers | None
) -> tuple[tuple[WholeListFact, ...], dict[str, Cell]]:
    """What holds for the whole list: as answered, or as title and notes state it. Facts in use stand in the dict."""
    taken = {reading.field for reading in readings if reading.field and reading.state not in (NOT_USED, CHECKED)}
    answered = {name: value for name, value in (given.whole if given else {}).items() if name not in _SETTINGS}
    facts: dict[str, Cell] = {name: value for name, value in answered.items() if value != BY_THE_BOOK}
    whole = [WholeListFact(name, str(value), SURE, _by(given)) for name, value in answered.items()]
    stress = any(reading.field == "stress" and reading.state != NOT_USED for reading in readings)
    for name, stated in _stated(readings, notes).items():
        if name in taken or name in facts or (name == "area" and not stress) or name == "percent":
            continue
        value, why = stated
        if not _holds(name, value):
            whole.append(WholeListFact(name, "", ASKED, why, _CHOICES.get(name, ())))
            continue
        whole.append(WholeListFact(name, value, SURE, why))
        facts[name] = value
    if "area" not in {*facts, *taken, *(fact.field for fact in whole)} and any(map(_area_open, readings)):
        why = "a stress stands in the list, and on which area stands nowhere"
        whole.append(WholeListFact("area", "", ASKED, why, _CHOICES["area"]))
    for name in _NEEDED_OF_ALL:
        if name not in taken and name not in facts and name not in answered:
            whole.append(
                WholeListFact(
                    name, "", ASKED, "neither a column, nor title, file name or notes state it", _CHOICES[name]
                )
            )
    return tuple(whole), facts


def _product(
    readings: tuple[ColumnReading, ...], facts: Mapping[str, Cell], texts: Sequence[Sequence[str]],
    known: Mapping[str, Collection[str]],
) -> WholeListFact | None:  # fmt: skip
    """The one lubricant of the wrench book that title or notes name, where nothing in the list states friction."""
    friction = {"lubricant", "nut_factor", "thread_friction"}
    if friction & {*facts, *(reading.field for reading in readings if reading.state not in (NOT_USED, CHECKED))}:
        return None
    said = {
        name: text
        for name in known.get("lubricant", ())
        for row in texts
        for text in row
        if len(name) > 2 and re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", text, re.IGNORECASE)
    }
    if len(said) != 1:
        return None
    ((name, text),) = said.items()
    why = f"it is a lubricant of the wrench book, and the list says '{_cut(text)}'"
    return WholeListFact("lubricant", name, PROPOSED, why, (name,))


def _area_open(reading: ColumnReading) -> bool:
    """Whether it is a stress in use, whoever said so, of which nothing says the area."""
    return reading.area_open and reading.field == "stress" and reading.state in (SURE, ASKED)


def _standard(given: Answers | None) -> str:
    """The standard of the flanges that a person has named, "" for none."""
    named = given.standard_flange_studs if given is not None else ""
    return "" if named == NO_STANDARD else named


def _holds(name: str, value: str) -> bool:
    """Whether something is stated, and can be read."""
    try:
        read_constant(name, value)
    except InputError:
        return False
    return bool(value)


def _told(made: SpreadValues) -> list[SaidOfList]:
    """What was done to cells: dittos followed, tags joined."""
    said = []
    if made.dittos:
        text = "; ".join(f"{count} in '{heading}'" for heading, count in made.dittos.items())
        said.append(
            SaidOfList("dittos", tuple(made.dittos), f"cells that say 'as above' have the value above them: {text}")
        )
    if made.marks:
        said.append(SaidOfList("marks", (), "; ".join(made.marks)))
    if made.together:
        said.append(SaidOfList("tags_joined", (), made.together))
    return said


def _lower_lists(lower: Sequence[FoundList], numbers: Sequence[int]) -> list[SaidOfList]:
    """What was read by headings of its own, further down on the sheet."""
    if not lower:
        return []
    said = []
    for each, after in zip(lower, [*(other.place.top + 1 for other in lower[1:]), sys.maxsize], strict=True):
        mine = [number for number in numbers if each.body <= number < after]
        rows = "1 row of joints is" if len(mine) == 1 else f"{len(mine)} rows of joints are"
        text = f"another list stands below, with headings of its own in row {each.heading_row}: {rows} read by them"
        said.append(SaidOfList("list_below", (each.heading_row,), text))
    return said


def _by(given: Answers | None) -> str:
    return f"confirmed by {given.by}" if given and given.by else "as answered"


def _stated(readings: tuple[ColumnReading, ...], notes: Notes) -> dict[str, tuple[str, str]]:
    """Facts of title, notes and headings, each with the words that state it."""
    found = {name: (fact.value, f"stated: '{_cut(fact.words)}'") for name, fact in notes.facts.items()}
    for reading in readings:
        if area := area_of_heading(reading.heading) if reading.field in ("stress", "load", None) else "":
            why = f"the heading '{_cut(reading.heading)}' says so"
            other = found.setdefault("area", (area, why))
            if other[0] != area:
                found["area"] = ("", f"{why}, but {other[1]}: which one applies?")
    if "area" in found and found["area"][0] == "root":
        threads = [text for r in readings if r.field == "thread" for text in r.values]
        inch = bool(threads) and not any(text.strip().upper().startswith("M") for text in threads)
        found["area"] = ("root B1.1" if inch else "root", found["area"][1])
    return found


def _cut(text: str, most: int = 70) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _not_signed(answers: AnswerSheet, stated: Collection[str]) -> list[OpenQuestion]:
    """Answers that somebody typed and nobody has signed: they are not used, and not passed over in silence either."""
    ours, rows = answers.not_signed(stated)
    found = []
    for cells, blocks in ((ours, True), (rows, False)):
        if cells:
            named = ", ".join(cells[:3]) + (f" and {len(cells) - 3} more" if len(cells) > 3 else "")
            text = (
                f"{answers.file}: is not signed: type who looked at it and the date in B3 and D3; typed since it was"
                f" written or signed, and not used: {named}"
            )
            found.append(OpenQuestion("unsigned", "", "answers", text, blocks))
    return found


def _about_columns(readings: tuple[ColumnReading, ...], facts: Collection[str]) -> list[OpenQuestion]:
    """The questions about columns: what a column is, its unit, which of two counts."""
    asked = []
    doubled = [reading for reading in readings if reading.state == ASKED and TWO_IN_A_ROW in reading.why]
    if doubled:
        where = f"columns {letter(doubled[0].at)} to {letter(doubled[-1].at)}"
        text = f"{where}: {doubled[0].why}, or answer 'not used' for the columns of one of them"
        asked.append(OpenQuestion("field", letter(doubled[0].at), str(doubled[0].field), text))
    for reading in readings:
        if reading in doubled:
            continue
        area_open = _area_open(reading) and "area" not in facts
        if reading.field is None or reading.field in facts:
            continue
        if not area_open and (reading.state not in (PROPOSED, ASKED) or _area_open(reading)):
            continue
        where = f"column {letter(reading.at)} '{reading.heading}'"
        names = ["not used" if name == NONE else shown_name(name) for name in reading.candidates] or [
            shown_name(reading.field)
        ]
        if area_open:
            text = f"{where}: is taken as stress, but on which area, tensile or root, stands nowhere"
            asked.append(OpenQuestion("whole list", letter(reading.at), "area", text))
        elif reading.unit_open:
            text = f"{where}: is taken as {shown_name(reading.field)}, but no unit of it is known: {reading.why}; which unit?"
            asked.append(OpenQuestion("unit", letter(reading.at), reading.field, text, reading.field in ASK_WORTHY))
        else:
            text = f"{where}: may be {' or '.join(names)} ({reading.why})"
            asked.append(OpenQuestion("field", letter(reading.at), reading.field, text, reading.field in CALCULATING))
    if not any(reading.field == "joint" and reading.state != NOT_USED for reading in readings):
        asked.append(
            OpenQuestion("field", "", "joint", "no column names the joints: which column is the tag of the joint?")
        )
    return asked


def _about_list(
    readings: tuple[ColumnReading, ...], whole: tuple[WholeListFact, ...], given: Answers | None
) -> list[OpenQuestion]:
    """The questions about what all rows need and none states."""
    asked = []
    for fact in whole:
        if fact.state == ASKED and fact.field in _NEEDED_OF_ALL:
            choices = ", ".join(fact.candidates)
            text = f"whole list: {shown_name(fact.field)} stands in no column and is not stated: which of {choices}?"
            asked.append(OpenQuestion("whole list", "", fact.field, text))
    return asked


def _shown(found: FoundList, rows: int = 40, wanted: int = 3) -> dict[int, tuple[Cell, ...]]:
    """The first few values below each heading, for the user to compare with."""
    values: dict[int, list[Cell]] = {head.at: [] for head in found.heads}
    for number in range(found.body, found.body + rows + 1):
        row = found.cells.rows.get(number, [])
        for at, known in values.items():
            if at < len(row) and row[at] is not None and len(known) < wanted:
                known.append(row[at])
    return {at: tuple(known) for at, known in values.items()}


_NEEDED = ("operation", "method", "thread", "studs")
"""Fields without which no row is planned."""


_GENERAL = re.compile(
    r"\b(?:requires?|needs?|only|see|procedure|permit|unless|separate|if|where|instead|excluded|out of scope)\b",
    re.IGNORECASE,
)
"""Words by which a line of a title or note is a rule for such work and no order to do it."""


def _work_in_service(lines: Sequence[str]) -> str:
    """The words of title or notes that order work on lines in service, "" where none do."""
    found = [phrase for line in lines if not _GENERAL.search(line) for phrase, stops in [in_service(line)] if stops]
    return found[0] if found else ""


def _taken_for_studs(read: JointRows) -> list[SaidOfList]:
    """Pitch and size of the nut that no row of a kind states and that are taken as usual: one sentence for the list."""
    taken: dict[str, int] = {}
    kinds = {text: _metric_and_pitch(text) for text in set(read.joints.thread)}
    for row, (text, series) in enumerate(zip(read.joints.thread, read.joints.nut_series, strict=True)):
        kind = kinds[text]
        if kind is None:
            continue
        metric, stated = kind
        if not stated:
            words = "coarse pitch to M27" if metric else "UNC to 1 in, 8 threads per inch above"
            taken[words] = taken.get(words, 0) + 1
        if not metric and not series and not read.joints.across_flats[row] > 0:
            taken["heavy hex nuts on inch studs"] = taken.get("heavy hex nuts on inch studs", 0) + 1
    if not taken:
        return []
    each = "; ".join(f"{words} ({count} row{'s' * (count != 1)})" for words, count in taken.items())
    return [SaidOfList("taken_for_studs", (), f"taken where the list does not say: {each}")]


def _metric_and_pitch(text: str) -> tuple[bool, bool] | None:
    """Whether a thread is metric, and whether it states its pitch; None for what is no thread."""
    try:
        return (bool(parse(text).metric), pitch_stated(text)) if text else None
    except InputError:
        return None


def _words_on_columns(
    columns: Sequence[Column], understood: Sequence[ColumnReading], area_known: bool
) -> list[SaidOfList]:  # fmt: skip
    """What a planner would not expect of a column that is read: limits on an area nobody named, weeks that are no days."""
    said = []
    limits = [c for c in columns if c.field in ("stud_maximum", "stud_minimum") and c.unit not in _FORCE_UNITS]
    bare = [c for c in limits if area_of_heading(c.heading) != "root"]
    if bare and not area_known:
        names = " and ".join(f"'{c.heading}'" for c in bare)
        text = f"{names}: taken as stress on the root area (ASME B1.1), for neither heading nor notes name the area"
        said.append(SaidOfList("area_of_limits", tuple(letter(c.at) for c in bare), text))
    for reading in understood:
        if reading.state == NOT_USED and NO_DAYS in reading.why:
            text = f"'{reading.heading}' {NO_DAYS}: no row has its own date by it"
            said.append(SaidOfList("weeks", (letter(reading.at),), text))
    return said


_FORCE_UNITS = frozenset(("kN", "N", "lbf", "kip", "tf", "kgf", "daN"))


def _said(
    found: FoundList,
    columns: tuple[Column, ...],
    rows: ListRows,
    elsewhere: Collection[str],
    understood: Sequence[ColumnReading],
) -> list[SaidOfList]:
    scan, out = found.scan, rows.left_out
    said = []
    taken = {column.field for column in columns if column.field} | set(elsewhere)
    sentences = {
        "numbering_row": "row {} below the headings only numbers the columns",
        "headings_repeated": "the headings stand again in row {}",
        "group_row": "row {} has one text only and is taken as a heading of joints, not as a joint",
        "total_row": "row {} is a total and not read",
        "other_table": "row {} below the list stands under headings of its own that name no joint, and is not read",
        "code_table": "row {} is a table of codes: what they stand for is read in the rows that use them",
        "row_without_tag": "row {} names no joint, thread or target, and is not read",
        "notes_below": "row {} below the list is taken as notes and not read",
    }
    for kind, sentence in sentences.items():
        if numbers := out.get(kind):
            texts = "; ".join(f"'{rows.texts[n]}'" for n in numbers[:6] if n in rows.texts)
            text = sentence.format(listed_rows(numbers)) + (f": {texts}" if texts else "")
            said.append(SaidOfList(kind, tuple(numbers), text))
    hidden = [number for number in rows.numbers if number in scan.hidden_rows]
    if hidden:
        text = f"hidden rows are read like the others: {listed_rows(hidden)}"
        said.append(SaidOfList("rows_hidden", tuple(hidden), text))
    names = [letters(c.place + 1) for c in columns if c.field and scan.column_hidden(c.place + 1)]
    if names:
        said.append(
            SaidOfList("columns_hidden", tuple(names), f"hidden columns are read like the others: {', '.join(names)}")
        )
    said += _words_on_columns(columns, understood, "area" in elsewhere)
    if without := [name for name in _NEEDED if name not in taken]:
        unused = [f"'{column.heading}'" for column in columns if column.field is None]
        text = f"no column is understood as {', '.join(without)}; not used: {', '.join(unused) or 'no other column'}"
        text += ". The sheet of answers may give a column its field, or all rows one value"
        said.append(SaidOfList("fields_missing", tuple(without), text))
    if found.beside:
        text = f"sheet {found.sheet} is taken as the list; joints stand also in {', '.join(found.beside)}"
        said.append(SaidOfList("sheets_beside", found.beside, text))
    if found.hidden:
        text = f"sheet {found.sheet} is taken as the list; hidden sheets that look like one are not read: "
        said.append(SaidOfList("sheets_hidden", found.hidden, text + ", ".join(found.hidden)))
    if found.scan.sheet.state != "visible":
        said.append(SaidOfList("sheet_hidden", (found.sheet,), f"the list stands on the hidden sheet {found.sheet}"))
    return said


def _unreadable(package: Package, error: Exception) -> WorkbookError:
    return WorkbookError(f"{package.path.name}: cannot be read as a workbook ({type(error).__name__}: {error})")
