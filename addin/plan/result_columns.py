"""The planned workbook: the list as it was, and our columns to the right of it."""

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from pathlib import Path

from addin.plan.checked_columns import Compared
from addin.plan.entries import Amount
from addin.plan.record import DRAFT, PlanHead, StageEntry
from addin.plan.record_joint import STOPPED, JointEntry
from addin.reading.joint_list import JointList
from addin.reading.list_rows import listed_rows
from addin.reading.own_columns import FIRST, row_key
from addin.workbooks.addresses import COLUMNS, Area, column_number, letters
from addin.workbooks.cell_text import shortened
from addin.workbooks.conditional import Mark, columns_said, runs
from addin.workbooks.extension import NOT_USED, PARTS
from addin.workbooks.package import WorkbookError
from addin.workbooks.sheet_look import Beside
from addin.workbooks.sheet_part import Tell
from addin.workbooks.sheet_patch import CellsByRow
from addin.workbooks.styles_part import Highlight
from addin.workbooks.writeback import NOT_AVAILABLE, OutCell, OutColumn, Style, Value, WriteReport, write_columns
from calc.procedure.passes import RETIGHTEN

_HEAD = Style(bold=True, wrap=True, fill=True)
_TEXT = Style()
_RUNS_ON = Style(left=True)
_MESSAGE = "Message"
"""The last of our columns: rows keep the planner's height, so a long sentence runs on to the right."""
_KEPT = 2048
"""Plans of joints whose cells are kept."""
_OFF_BY = "Off by, column "
_EXACT = ("Pressure to set", "Pass ")
"""Beginnings of headings of settings: they are shown with every decimal they have."""


_NONE = "–"
"""Where a number is not there and the row says once why: a text, so that nothing calculates with it."""
_BROKEN_OUT = "break-out"
"""Where a pressure to set would stand in a row that is broken out: its card has the steps."""
_MARKS = (
    ('LEFT(${status},7)="stopped"', Highlight(fill="9C1C1C", ink="FFFFFF", bold=True)),
    ('RIGHT(${status},14)="to be reviewed"', Highlight(fill="D9822B", ink="000000", bold=True)),
    ('RIGHT(${status},7)="caution"', Highlight(fill="F2C14E", ink="000000", bold=True)),
    ('OR(${status}="other method",${status}="break-out not planned")', Highlight(ink="6B6B6B", italic=True)),
)
"""Conditional formats of the status: dark, middle and light in print without colours too."""

_OUT = OutCell(None)
_LOUD = Highlight(fill="7A0050", ink="FFFFFF", bold=True)

_TOOLS = (("Wrench", "wrench"), ("Link or socket", "link"), ("Gauge", "gauge"))


class Results:
    """Collects what stands beside each row, joint by joint.

    A stopped row has #N/A for every number; a number that is not there for another reason has a dash, or the reason, as
    text, never a blank that counts as 0. Passes at full torque have the setpoint and no column of their own.
    """

    def __init__(self, head: PlanHead, compared: Sequence[Compared] = ()) -> None:
        self._head, self._compared, self._rows = head, compared, 0
        headings = [FIRST, "Status", "Card", "Preload", "Preload unit", "Torque", "Torque unit"]
        headings += ["Wrench", "Link or socket", "Gauge", "Pressure to set", "Pressure unit", "Torque at that pressure"]
        headings += [*(_heading(stage) for stage in head.stages if stage.below_full or stage.raised)]
        headings += [*(each.name for each in compared), _MESSAGE]
        self._columns: dict[str, list[Value]] = {heading: [] for heading in headings}
        own = {FIRST, "Status", "Card", _MESSAGE, *(each.name for each in compared)}
        self._alike = [(heading, column) for heading, column in self._columns.items() if heading not in own]
        """Columns whose cells are those of any joint with the same plan."""
        self._known: dict[Hashable, list[Value]] = {}
        self._texts: dict[Value, Value] = {}
        """Texts that stand in many rows, kept once."""

    def add(self, joint: JointEntry) -> None:
        """The cells of one joint."""
        columns, once = self._columns, self._texts.setdefault
        columns[FIRST].append(row_key(joint.joint, joint.operation))
        columns["Card"].append(joint.card)
        status = _status(joint, draft=self._head.draft is not None)
        message = "; ".join([f"{f.level}: {f.text}" for f in joint.findings]) or None
        columns["Status"].append(once(status, status))
        columns[_MESSAGE].append(once(message, message))
        for each in self._compared:
            percent = each.percent[self._rows]
            columns[each.name].append(_NONE if percent is None else percent)
        self._rows += 1
        key = _plan_of(joint)
        cells = self._known.get(key)
        if cells is None:
            if len(self._known) >= _KEPT:
                self._known.clear()
            found = [once(value, value) if type(value) is str else value for value in self._cells(joint)]
            cells = self._known[key] = found
        for (_, column), value in zip(self._alike, cells, strict=True):
            column.append(value)

    def _cells(self, joint: JointEntry) -> Iterator[Value]:
        """The cells that any joint with the same plan has."""
        row: dict[str, Value] = {}
        nothing = None if joint.planned else NOT_AVAILABLE if joint.status == STOPPED else _NONE
        if joint.breakout:
            row = {heading: getattr(joint.breakout.tool, name) for heading, name in _TOOLS}
            row["Pressure to set"], nothing = _BROKEN_OUT, _NONE
        elif joint.planned:
            row = self._planned(joint)
        for heading, _ in self._alike:
            yield row.get(heading) if heading in row or heading.endswith(" unit") else nothing

    def _planned(self, joint: JointEntry) -> dict[str, Value]:
        wrenches = joint.wrenches
        row: dict[str, Value] = {}
        for heading, name in _TOOLS:
            row[heading] = " + ".join(dict.fromkeys(getattr(each, name) for each in wrenches)) or _NONE
        if not wrenches:
            row["Wrench"] = "by hand"
        row["Preload"], row["Preload unit"] = _split(joint.preload, joint.preload_note or "not known")
        row["Torque"], row["Torque unit"] = _split(joint.torque, "")
        row["Pressure to set"], row["Pressure unit"] = _set([each.setpoint for each in wrenches], _NONE)
        row["Torque at that pressure"] = _set([each.torque_at_setpoint for each in wrenches], _NONE)[0]
        below = [stage for stage in self._head.stages_of(joint) if stage.own_torque(joint)]
        for k, (stage, own) in enumerate(zip(below, joint.passes, strict=True)):
            other = "other means" if wrenches else f"torque {own.torque.value:.0f} {own.torque.unit}"
            row[_heading(stage)] = _set([each.passes[k].pressure for each in wrenches], other)[0]
        for stage in self._head.stages:
            if stage.raised and joint.operation != RETIGHTEN:
                row.setdefault(_heading(stage), row["Pressure to set"])
            elif stage.below_full:
                row.setdefault(_heading(stage), _NONE)
        return row

    def keys(self) -> list[str]:
        """What our first column says of each row."""
        return [str(key) for key in self._columns[FIRST]]

    def cards(self) -> list[str | None]:
        """The card of each row."""
        return [str(card) if card else None for card in self._columns["Card"]]

    def told(self, name: str, i: int) -> tuple[bool, Value]:
        """Whether there is a column of that name, and what it says of row i."""
        column = self._columns.get(name)
        return (True, column[i]) if column else (False, None)

    def changed(self, joint_list: JointList) -> list[int]:
        """Rows of a list planned before whose card is not the one that stood beside them."""
        cards = dict(zip(joint_list.numbers, self._columns["Card"], strict=True))
        return [row for row, card in joint_list.own_cards.items() if row in cards and cards[row] != card]

    def columns(self, heading_row: int, numbers: Sequence[int]) -> list[tuple[str, Mapping[int, OutCell], float]]:
        """Name, cells by row and width of each column; a unit that all rows share joins a heading."""
        shared = {}
        for name in ("Preload", "Torque", "Pressure"):
            units = {unit for unit in self._columns[f"{name} unit"] if unit}
            if len(units) <= 1:
                shared[name] = units.pop() if units else ""
                del self._columns[f"{name} unit"]
        out: list[tuple[str, Mapping[int, OutCell], float]] = []
        places = {row: place for place, row in enumerate((heading_row, *numbers))}
        for heading, cells in self._columns.items():
            unit = shared.get("Pressure" if heading.startswith("Pass ") else heading.split(" ")[0], "")
            unit = "%" if heading.startswith(_OFF_BY) else unit
            title = f"{heading} ({unit})" if unit and heading != "Pressure unit" else heading
            words = _RUNS_ON if heading == _MESSAGE else _TEXT
            made: dict[Value, OutCell] = dict.fromkeys(cells, _OUT)  # most texts of a column stand in many rows
            found = [cell for cell in made if isinstance(cell, (int, float))]
            style = Style(_format(found, exact=heading.startswith(_EXACT)))
            for value in made:
                shown = shortened(value) if isinstance(value, str) else value
                made[value] = OutCell(shown, style if isinstance(value, (int, float)) else words)
            below = [OutCell(title, _HEAD), *map(made.__getitem__, cells)]
            by_row = CellsByRow(places, below)
            longest = max((len(cell) for cell in made if isinstance(cell, str)), default=0)
            out.append((heading, by_row, 60.0 if heading == _MESSAGE else min(max(10.0, longest + 2.0), 40.0)))
        return out


def write_planned(
    joint_list: JointList, results: Results, target: Path, *, at: str | None = None, extend: bool = False,
    more: Sequence[str] = (), phases: Callable[[str], Tell] | None = None,
) -> WriteReport:  # fmt: skip
    """Write a copy of the list's workbook with the results beside the list, or from column `at` on.

    In a workbook that has been planned before, our columns are brought up to date where they stand, and cells of ours
    that have no result any more are emptied. With `extend` filter, table and print area of the list reach over them.

    Raises WorkbookError as `write_columns` does.
    """
    columns = results.columns(joint_list.heading_row, joint_list.numbers)
    cells = _placed(joint_list, columns, at)
    empty = _headed(joint_list, cells, more)
    source, again = joint_list.package.path, joint_list.own is not None
    report = write_columns(
        source,
        joint_list.sheet,
        [*cells, *empty],
        target,
        replace=again,
        scan=joint_list.scan,
        beside=_beside(joint_list, cells, extend=extend),
        package=joint_list.package,
        phases=phases,
    )
    placed = columns_said(sorted(column_number(column.letter) for column in cells))
    ends = [text for text in report.warnings if text.endswith(PARTS)]
    report.warnings = [text for text in report.warnings if text not in ends]
    report.where = "; ".join([f"results stand on sheet {joint_list.sheet} in {placed}", *ends])
    if changed := results.changed(joint_list):
        report.warnings.append(
            f"rows whose card is another than the one that stood there: {listed_rows(changed)} ({len(changed)} of"
            f" {len(joint_list.own_cards)}); see that you meant every one of them"
        )
    return report


def _headed(joint_list: JointList, columns: Sequence[OutColumn], headings: Sequence[str]) -> list[OutColumn]:
    """Columns that have a heading and nothing else, behind all that is there; none where one of them stands already:
    they are whoever fills them's from then on.
    """
    if any(head.text in headings for head in joint_list.heads):
        return []
    free = max([joint_list.first_free - 1, *(column_number(column.letter) for column in columns)]) + 1
    if headings and free + len(headings) > COLUMNS + 1:
        raise WorkbookError(
            f"{joint_list.package.path.name}, sheet {joint_list.sheet}: {len(headings)} columns for records do not fit"
            f" to the right of column {letters(free - 1)}"
        )
    row = joint_list.heading_row
    return [OutColumn(letters(free + k), {row: OutCell(text, _HEAD)}, 12.0) for k, text in enumerate(headings)]


def _beside(joint_list: JointList, columns: Sequence[OutColumn], *, extend: bool) -> Beside | None:
    """The planner's column that ours look like: the nearest with a heading, to the left where there is one."""
    places = [column_number(column.letter) for column in columns]
    heads = [head.at + 1 for head in joint_list.heads]
    if not heads:
        return None
    left = [column for column in heads if column < min(places)]
    numbers = joint_list.numbers
    top, bottom = joint_list.heading_row + 1, numbers[-1]
    rows = set(range(top, bottom + 1)) - set(numbers) if bottom - top < 2 * len(numbers) + 1000 else set()
    rows |= set(joint_list.understood.heading_rows)
    status = next(c.letter for c in columns if c.cells.get(joint_list.heading_row, OutCell(None)).value == "Status")
    area = Area(top, column_number(status), bottom, column_number(status))
    marks = [Mark(area, formula.format(status=f"{status}{top}"), look) for formula, look in _MARKS]
    marks = [*_apart(joint_list, columns, top, bottom), *marks]
    return Beside(max(left) if left else min(heads), joint_list.heading_row, sorted(rows), marks, extend)


def _apart(joint_list: JointList, columns: Sequence[OutColumn], top: int, bottom: int) -> list[Mark]:
    """Our columns turn loud in the planner's program where the first of them names another joint than the row does."""
    tag, operation = joint_list.key_columns
    heads = {column.letter: column.cells.get(joint_list.heading_row, OutCell(None)).value for column in columns}
    first = next(letter for letter, head in heads.items() if head == FIRST)
    if tag is None:
        return []
    key, cell = f"${first}{top}", f"${letters(tag)}{top}"
    differs = f'LEFT({key},LEN({cell})+3)<>{cell}&" | "'
    if operation is not None:
        differs = f'{key}<>{cell}&" | "&${letters(operation)}{top}'
    ours = runs(sorted(column_number(letter) for letter, head in heads.items() if head is not None))
    formula = f'AND({key}<>"",{cell}<>"",{differs})'
    return [Mark(Area(top, left, bottom, right), formula, _LOUD) for left, right in ours]


def _placed(
    joint_list: JointList, columns: list[tuple[str, Mapping[int, OutCell], float]], at: str | None
) -> list[OutColumn]:
    """The columns at their places: to the right of all that is there, where the user says, or where ours stand."""
    own, free = joint_list.own, joint_list.first_free
    if own is None:
        free = column_number(at) if at else free
        if free + len(columns) > COLUMNS + 1:
            where = f"{joint_list.package.path.name}, sheet {joint_list.sheet}"
            raise WorkbookError(
                f"{where}: {len(columns)} columns of results do not fit to the right of column {letters(free - 1)}, for"
                f" the sheet ends at {letters(COLUMNS)}; name the first of {len(columns)} empty columns with"
                " --results-at"
            )
        return [OutColumn(letters(free + k), cells, width) for k, (_, cells, width) in enumerate(columns)]
    if at and column_number(at) != own.first:
        raise WorkbookError(
            f"{joint_list.package.path.name}, sheet {joint_list.sheet}: results stand from column {letters(own.first)}"
            f" on already; leave {at} out, or delete our columns and plan again"
        )
    former = set(own.places.values())
    if former == set(range(own.first, free)):  # nothing of the planner's stands between or behind them
        places = {name: own.first + k for k, (name, _, _) in enumerate(columns)}
    else:
        places = {name: own.places[name] for name, _, _ in columns if name in own.places}
        new = [name for name, _, _ in columns if name not in own.places]
        places |= {name: free + k for k, name in enumerate(new)}
    rows = set(joint_list.own_keys)
    gone = rows - set(joint_list.numbers)
    out = []
    for name, cells, width in columns:
        emptied = dict.fromkeys(gone, OutCell(None, _TEXT)) if places[name] in former else {}
        out.append(
            OutColumn(
                letters(places[name]),
                {**emptied, **cells} if emptied else cells,
                width if places[name] not in former else None,
            )
        )
    heading_row = joint_list.heading_row
    tables = [table.area for table in joint_list.scan.tables if table.area.top == heading_row]
    for number, column in enumerate(sorted(former - set(places.values())), 1):
        empty = dict.fromkeys([heading_row, *rows], OutCell(None))
        if any(area.holds(heading_row, column) for area in tables):  # a table has no column without a heading
            empty[heading_row] = OutCell(NOT_USED if number == 1 else f"{NOT_USED} {number}", _HEAD)
        out.append(OutColumn(letters(column), empty))
    return out


def _plan_of(joint: JointEntry) -> Hashable:
    """Everything of an entry that its numbers and tools beside the list come from."""
    return (
        joint.status, joint.operation, joint.studs, joint.preload, joint.preload_note, joint.torque, joint.wrenches,
        joint.passes, joint.raised, joint.breakout and joint.breakout.tool,
    )  # fmt: skip


def _status(joint: JointEntry, *, draft: bool = False) -> str:
    """What stands in the status: cautions are told there too, and that the plan is a draft."""
    careful = joint.planned and any(finding.level == "caution" for finding in joint.findings)
    status = f"{joint.said_status}, caution" if careful and not joint.to_review else joint.said_status
    if not draft:
        return status
    return f"{status}, {DRAFT}" if joint.status == STOPPED else f"{DRAFT}, {status}"  # the marks look at its ends


def _heading(stage: StageEntry) -> str:
    return f"Pass {stage.number}: {stage.percent:g} % pressure"


def _split(item: Amount | None, missing: str) -> tuple[Value, Value]:
    return (item.value, item.unit) if item else (missing, None)


def _set(items: Sequence[Amount | None], missing: str) -> tuple[Value, Value]:
    """What is set on one wrench; on several with different settings all of them as text, in the wrenches' order."""
    values = [item.value if item else None for item in items]
    unit = next((item.unit for item in items if item), None)
    if not items or all(value is None for value in values):
        return missing, None
    if len(set(values)) == 1:
        return values[0], unit
    same = len({item.unit for item in items if item}) == 1
    shown = ["" if item is None else f"{item.value:.6g}" + ("" if same else f" {item.unit}") for item in items]
    return " + ".join(text or missing for text in shown), unit


def _format(values: Sequence[float], *, exact: bool) -> str:
    """A number format that shows what is set: a setting with every decimal it has, the others to the unit or tenth."""
    if not exact:
        return "0" if all(value >= 100 for value in values) else "0.0"
    decimals = next((d for d in range(4) if all(abs(round(v, d) - v) <= 1e-9 * v for v in values)), 4)
    return f"0.{'0' * decimals}" if decimals else "0"
