"""What people did to our columns since they were written, held against the plan that they were written from."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from addin.cells.numbers import Cell
from addin.plan.file import Plan, read_plan
from addin.plan.notes_sheet import SHEET as NOTES
from addin.plan.record import PlanHead
from addin.plan.result_columns import Results
from addin.plan.writer import program
from addin.reading.answer_sheet import CHOICES, SHEET, TAGS
from addin.reading.joint_list import JointList
from addin.reading.list_rows import listed_rows
from addin.reading.own_columns import FIRST, OwnColumns, is_key, name_of, row_key
from addin.workbooks.addresses import address
from addin.workbooks.cell_text import NOT_AVAILABLE, plain_value, shortened
from addin.workbooks.cell_values import read_values
from addin.workbooks.file_set import read_notes, sha256
from addin.workbooks.package import Package, WorkbookError, open_package
from addin.workbooks.value_book import ValueBook

OURS = (SHEET, CHOICES, TAGS, NOTES)
"""Sheets that a planned copy may have and the list has not."""
_SHOWN = 8
_LONGEST = 40


def check_rows(joint_list: JointList) -> None:
    """Refuse a planned list in which something of the planner's stands where results of a joint are to go.

    What is written below, above or between the joints is left alone.

    Raises WorkbookError that names the first such cell.
    """
    joints = set(joint_list.numbers)
    for row, column in joint_list.own_strays:
        if row in joints:
            where = f"{joint_list.package.path.name}, sheet {joint_list.sheet}, cell {address(row, column)}"
            raise WorkbookError(
                f"{where}: holds something that is not ours (our column '{FIRST}' names no joint in that row), and"
                f" results of row {row} are to go there: move it to another column, or delete it, and plan again"
            )


def rows_apart(joint_list: JointList, results: Results) -> list[str]:
    """A note where rows were sorted or moved apart from our columns, and every joint still has the card it had.

    Raises WorkbookError, naming rows, where a joint has another card: columns of the list may be mixed up too.
    """
    if joint_list.own is None:
        return []
    joints = joint_list.rows.joints
    keys = {n: row_key(joints.joint[i], joints.operation[i]) for i, n in enumerate(joint_list.numbers)}
    places = {key: n for n, key in keys.items()}
    apart = [n for n, ours in joint_list.own_keys.items() if ours != keys.get(n) and ours in places]
    if not apart:
        return []
    cards = dict(zip(keys.values(), results.cards(), strict=True))
    pairs = [(n, key, joint_list.own_cards.get(n)) for n, key in joint_list.own_keys.items() if key in places]
    other = [(n, key) for n, key, card in pairs if card != cards[key]]
    where = f"{joint_list.package.path.name}, sheet {joint_list.sheet}"
    if other:
        row = apart[0]
        now = places[joint_list.own_keys[row]]
        raise WorkbookError(
            f"{where}: rows were sorted or moved apart from our columns: row {row} of ours says "
            f"'{joint_list.own_keys[row]}', which stands in row {now} of the list ({len(apart)} such rows: "
            f"{listed_rows(apart)}); and {len(other)} joints have another card than the one that stood with them"
            f" ('{other[0][1]}' first), so the joints' own columns may be mixed up too: undo the sorting, or go back to"
            " the workbook as it was before; if only settings changed, plan once as before, then with the new ones"
        )
    return [
        f"rows of the list were sorted or moved apart from our columns ({listed_rows(apart)}); every joint has the card"
        " that stood with it, so our columns follow the list; --extend lets them be sorted together"
    ]


def rows_gone(joint_list: JointList) -> list[str]:
    """A note where joints are no longer in the list and our cells in their rows are emptied."""
    gone = sorted(set(joint_list.own_keys) - set(joint_list.numbers))
    rows = f"row{'s' if len(gone) > 1 else ''} {listed_rows(gone)}"
    text = f"joints that stood in {rows} are no longer in the list: our cells there are emptied"
    return [text] if gone else []


def plan_of(copy: Path) -> Plan | None:
    """The plan that a planned copy was written from, where it stands beside it and is known to be that one."""
    path = copy.with_name(f"{copy.stem.removesuffix('-planned')}-plan.json")
    try:
        note = read_notes(copy.parent).get(copy.name)
        if not path.is_file() or (note is not None and note.of != sha256(path)):
            return None
        plan = read_plan(path)
        return plan if note is not None or plan.head.planned_copy else None
    except (WorkbookError, OSError):
        return None


def edits_of(joint_list: JointList, plan: Plan) -> list[str]:
    """A note that names our cells that are no longer what was written; none where the list is not a planned copy."""
    if joint_list.own is None:
        return []
    if plan.head.planned_copy == joint_list.package.sha256:
        return []
    written = _Written(plan)
    changed = list(written.changed(joint_list.own, joint_list.own_keys, joint_list.own_values))
    text = f"cells of ours were changed since they were written, and are written again: {_listed(changed)}"
    return [text] if changed else []


def edits_in(copy: Path, list_file: Path, plan: Plan) -> str:
    """What was changed in a planned copy since it was written, as far as plan and list tell it; else ""."""
    try:
        package = open_package(copy)
        book = ValueBook(package)
        sheet = package.sheet(plan.head.sheet)
        cells = read_values(package, book, sheet.name).rows
        own = _own(cells.get(plan.head.heading_row, []))
        if own is None:
            return f"the heading '{FIRST}' is gone"
        first, *_ = sorted(own.places.values())
        keys = {n: str(row[first - 1]) for n, row in cells.items() if len(row) >= first and is_key(row[first - 1])}
        values = {n: own.of(cells[n]) for n in keys}
        changed = list(_Written(plan).changed(own, keys, values))
        ours = set(own.places.values())
        if plan.head.inputs.get(list_file.name) == sha256(list_file):
            changed += _theirs(package, open_package(list_file), sheet.name, ours)
    except (WorkbookError, OSError):
        return ""
    return _listed(changed) if changed else ""


class _Written:
    """What stood in our columns when a plan was written, by key and name of the column."""

    def __init__(self, plan: Plan) -> None:
        self.results = Results(plan.head)
        for joint in plan.joints:
            self.results.add(joint)
        self.rows = {key: i for i, key in enumerate(self.results.keys())}
        self.words = _same_words(plan.head)

    def changed(
        self, own: OwnColumns, keys: dict[int, str] | Any, values: dict[int, Sequence[Cell]] | Any
    ) -> Iterator[str]:
        """Each cell that holds something else, with both values."""
        columns = sorted(own.places.items(), key=lambda pair: pair[1])
        for number, key in keys.items():
            i = self.rows.get(key)
            if i is None:
                continue
            for (name, column), found in zip(columns, values[number], strict=True):
                told, value = self.results.told(name, i)
                if told and not _same(value, found) and (self.words or isinstance(value, (int, float))):
                    yield f"{address(number, column)} {_shown(found)} (written: {_shown(value)})"


def _same_words(head: PlanHead) -> bool:
    """Whether the plan was written by this version, whose sentences are known to the letter."""
    return head.program == program()


def _own(heads: Sequence[Cell]) -> OwnColumns | None:
    places: dict[str, int] = {}
    for at, text in enumerate(heads, 1):
        name = name_of(text) if isinstance(text, str) else None
        if name and (places or name == FIRST):
            places.setdefault(name, at)
    return OwnColumns(places) if FIRST in places else None


def _theirs(copy: Package, source: Package, listed: str, ours: set[int]) -> Iterator[str]:
    """Cells outside our columns whose values are not those of the list that was planned."""
    copied, original = ValueBook(copy), ValueBook(source)
    before = {sheet.name for sheet in source.sheets}
    for sheet in copy.sheets:
        if sheet.kind != "worksheet":
            continue
        if sheet.name in OURS:
            continue
        if sheet.name not in before:
            yield f"sheet '{sheet.name}' is new"
            continue
        now, then = (read_values(*pair, sheet.name).rows for pair in ((copy, copied), (source, original)))
        for number in sorted({*now, *then}):
            one, other = now.get(number, []), then.get(number, [])
            for at in range(max(len(one), len(other))):
                found, value = (row[at] if at < len(row) else None for row in (one, other))
                if not _same(value, found) and not (sheet.name == listed and at + 1 in ours):
                    yield f"{sheet.name}!{address(number, at + 1)} {_shown(found)} (was {_shown(value)})"


def _same(value: Any, found: Any) -> bool:
    if value is NOT_AVAILABLE:
        return bool(found == NOT_AVAILABLE.value)
    value = plain_value(shortened(value)) if isinstance(value, str) else value
    if isinstance(value, (int, float)) and isinstance(found, (int, float)):
        return abs(value - found) <= 1e-9 * max(abs(value), abs(found))
    return (value if value != "" else None) == (found if found != "" else None)


def _shown(value: Any) -> str:
    if value is None or value == "":
        return "empty"
    if value is NOT_AVAILABLE:
        return NOT_AVAILABLE.value
    if not isinstance(value, str):
        return f"{value:.10g}" if isinstance(value, float) else str(value)
    return f"'{value if len(value) <= _LONGEST else value[:_LONGEST].rstrip() + '…'}'"


def _listed(changed: Sequence[str]) -> str:
    more = f" and {len(changed) - _SHOWN} more" if len(changed) > _SHOWN else ""
    return "; ".join(changed[:_SHOWN]) + more
