"""The files of a record: workbooks, text files of scanned keys, folders of both."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from addin.cells.dates import read_work_day
from addin.cells.headings import plain_words
from addin.cells.words import line
from addin.plan.record import PlanHead
from addin.records.known_cards import Known
from addin.records.record_cells import NAN, Values
from addin.records.record_fields import BY_NAME, CardKey, card_key
from addin.records.record_rows import (
    DATE_LABEL,
    NAME_LABEL,
    NO_COLUMNS,
    RecordEntry,
    Records,
    Refused,
    TheirColumns,
    read_records,
)
from addin.workbooks.file_set import sha256
from addin.workbooks.package import WorkbookError
from addin.workbooks.plain_file import read_plain
from calc.findings import InputError, stop
from calc.units import system

_UNITS = system("US")
KEY_FILES = (".txt", ".csv")
"""Endings of text files of scanned keys."""
RECORD_FILES = (".xlsx", ".xlsm", *KEY_FILES)
_LONGEST = 4 * 2**20


def read_file(
    path: Path, into: Records, listed: PlanHead | None = None, known: Known | None = None,
    columns: TheirColumns = NO_COLUMNS,
) -> None:  # fmt: skip
    """Read one file: a text of scanned keys, or a workbook. Raises WorkbookError as `read_records` does."""
    if path.suffix.lower() in KEY_FILES:
        read_keys(path, into)
    else:
        read_records(path, into, listed, known, columns)


def read_keys(path: Path, into: Records) -> None:
    """A key a line; lines "name: ..." and "date: ..." count for the lines below them. Raises WorkbookError."""
    content = read_plain(path, _LONGEST)
    into.files.append((path.name, sha256(path)))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise WorkbookError(f"{path.name}: is no text of scanned keys (not UTF-8)") from error
    by, day, keys = "", NAN, 0
    for number, each in enumerate(text.splitlines(), 1):
        said = each.strip().strip('"').strip(";,").strip()
        place = f"{path.name}, line {number}"
        if not said or said.startswith("#"):
            continue
        label, colon, rest = said.partition(":")
        word = plain_words(label)
        try:
            if colon and word in ("name", "by", plain_words(NAME_LABEL)):
                by = " ".join(rest.split())
            elif colon and word == plain_words(DATE_LABEL):
                day = read_work_day(rest.strip(), "date_of_work")
            elif (key := card_key(said)) is None:
                raise stop("record_key", "", text=said)
            else:
                keys += 1
                into.entries.append(_scanned(key, by, day, place))
        except InputError as error:
            found = Refused(f"{place}: {line(error.finding, system('US'))}", place)
            into.refused.append(found)
            day = NAN if word == plain_words(DATE_LABEL) else day
    if not keys and not any(item.place.startswith(f"{path.name}, line ") for item in into.refused):
        raise WorkbookError(f"{path.name}: holds no scanned key like TAG|operation|7F3A-91C2")


def _scanned(key: CardKey, by: str, day: float, place: str) -> RecordEntry:
    return RecordEntry(
        joint=key.joint, operation=key.operation, whole=True, as_planned=True, passes=(), values=Values(day=day),
        own={}, card=key.card, lubricant="", lubricant_same=True, batch="", by=by, remarks="", row=place,
        places={"joint": place, "passes": place},
    )  # fmt: skip


def record_files(paths: Sequence[Path]) -> list[Path]:
    """Files of records; a folder stands for every workbook and text file in it. Raises WorkbookError for none."""
    found: list[Path] = []
    for path in paths:
        if not path.is_dir():
            found.append(path)
            continue
        inside = [
            each for each in sorted(path.rglob("*"))
            if each.is_file() and each.suffix.lower() in RECORD_FILES and not each.name.startswith((".", "~$"))
        ]  # fmt: skip
        if not inside:
            raise WorkbookError(f"{path}: holds no record, neither a workbook nor a text file of scanned keys")
        found += inside
    return found


def their_columns(given: Mapping[str, str]) -> TheirColumns:
    """Columns of the planner's own, heading to field; "done: WORD" is a column of states whose WORD means 'as planned'.

    Raises WorkbookError for a field that a record has not.

    >>> their_columns({"Date done": "date", "Status": "done: complete"}).as_planned
    frozenset({'complete'})
    """
    fields, words = {}, set()
    for heading, said in given.items():
        name, _, word = said.partition(":")
        name = name.strip().replace(" ", "_")
        if name not in BY_NAME:
            known = ", ".join(BY_NAME)
            raise WorkbookError(f"column '{heading}': a record has no field '{name}'; it has {known}")
        if name == "done" and word.strip():
            words.add(plain_words(word))
        fields[plain_words(heading)] = name
    return TheirColumns(fields, frozenset(words))
