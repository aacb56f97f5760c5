"""The state of each joint beside its row of the planner's list, by the same write-back as the results of a plan."""

import datetime
import math
from collections.abc import Mapping
from pathlib import Path

from addin.reading.joint_list import JointList
from addin.records.done_work import days_of
from addin.records.known_cards import Key, key_of
from addin.records.progress import RecordedRow, Report
from addin.records.record_fields import RESULT
from addin.workbooks.addresses import letters
from addin.workbooks.package import WorkbookError
from addin.workbooks.writeback import OutCell, OutColumn, Style, Value, WriteReport, write_columns
from calc.review.as_tightened import OPEN

HEADINGS = (RESULT, f"{RESULT}: next pass", f"{RESULT}: done on", f"{RESULT}: done by")
_HEAD, _TEXT = Style(bold=True, wrap=True, fill=True), Style()
_WIDTHS = (24.0, 12.0, 14.0, 20.0)


def write_states(report: Report, joint_list: JointList, rows: Mapping[Key, int], target: Path) -> WriteReport:
    """Write state, next pass, done on and done by beside the rows of a list; columns of an earlier run are renewed.

    rows : the row of each joint in the list as it is. Raises WorkbookError as `write_columns` does.
    """
    there = {head.text: head.at + 1 for head in joint_list.heads if head.text in HEADINGS}
    if there and set(there) != set(HEADINGS):
        raise WorkbookError(
            f"{joint_list.package.path.name}, sheet {joint_list.sheet}: of our columns {', '.join(HEADINGS)} only"
            f" {', '.join(there)} are left; delete them and record again"
        )
    free = joint_list.first_free
    at = [there.get(name, free + k) for k, name in enumerate(HEADINGS)]
    cells: list[dict[int, OutCell]] = [{joint_list.heading_row: OutCell(name, _HEAD)} for name in HEADINGS]
    if there:
        for column in cells:
            column |= {row: OutCell(None, _TEXT) for row in joint_list.numbers}
    for row in report.rows:
        place = rows.get(key_of(row.joint.joint, row.joint.operation))
        if place is not None:
            for column, value in zip(cells, _state(row), strict=True):
                column[place] = OutCell(value, _TEXT)
    columns = [
        OutColumn(letters(number), column, None if there else width)
        for number, column, width in zip(at, cells, _WIDTHS, strict=True)
    ]
    done = write_columns(
        joint_list.package.path, joint_list.sheet, columns, target, replace=bool(there), scan=joint_list.scan
    )
    done.where = f"states stand on sheet {joint_list.sheet} in {letters(min(at))}:{letters(max(at))}"
    return done


def _state(row: RecordedRow) -> tuple[Value, ...]:
    days = [item.day for item in row.passes if not math.isnan(item.day)] or days_of(row.entries)
    by = dict.fromkeys(each.by for each in row.entries if each.by)
    by |= dict.fromkeys(values.by for each in row.entries for values in each.own.values() if values.by)
    return (
        row.status, row.next_pass if row.status != OPEN else None,
        datetime.date.fromordinal(int(max(days))).isoformat() if days else None, ", ".join(by) or None,
    )  # fmt: skip
