"""The record sheet: a row for each joint and operation of a crew's day, with what is planned; exceptions are typed.

The blank form among the templates and the filled sheets of a pack are made here.
"""

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from addin.cells.words import figure, printed
from addin.plan.entries import Amount
from addin.plan.file import Plan
from addin.plan.hand_wrench import hand_tools
from addin.plan.record import PlanHead, plan_id
from addin.plan.record_joint import JointEntry
from addin.records.handover_sheet import PAPERS
from addin.records.record_fields import AS_PLANNED, FIELDS, HEADINGS, RecordField
from addin.records.record_rows import DATE_LABEL, NAME_LABEL, PLAN_LABEL
from addin.shipped import program
from addin.workbooks.new_file import check_target, write_new
from addin.workbooks.row_by_row import cell_text
from calc.plan.joints import OPERATIONS
from calc.units import kinds_of

PLANNED = {"Studs": 6.5, "Planned torque": 12, "Planned wrench": 15, "Planned pressure": 13}
"""Columns of what is planned, with their widths; they are read by people alone."""
SCANS = "Scans"
_INK, _LINE, _HERE = "FF1F2A30", "FFB9C2C6", "FFF6F1E2"
_BLANK, _SCANNED, _MOST_NAMED = 8, 200, 250
_MARKED = ("scan", "done")
_PRINTED = "remarks"
"""Last column that is printed: the boxes behind it stand on the cards."""

HOW = (
    f"One word for every joint that was done: '{AS_PLANNED}' in its row where all went as its card says, or a scan of"
    " its card. An empty row was not done. More cells only where something differs.",
    "Your name and the day once, above; a row's own go before them. Passes that differ: a row more below, 'differs',"
    " the passes, and what was used. Nothing that is blank is taken as planned unless the row says so.",
)


@dataclass(frozen=True)
class RecordSheet:
    """One sheet: its name, title, the plan it is for ("" for a blank form), rows by heading, and rows left blank."""

    name: str
    title: str
    plan: str
    rows: Sequence[Mapping[str, Any]]
    blank: int = _BLANK


def record_row(joint: JointEntry, head: PlanHead) -> dict[str, Any]:
    """The row of a joint as it is printed: what names it, its card, and what is planned."""
    named = dict.fromkeys(tool.name for tool in hand_tools(joint, head).values() if tool)
    wrenches = [tool.wrench for tool in joint.tools] or [*named] or ["by hand"]
    settings = [tool.setpoint for tool in joint.wrenches]
    torque, pressure = joint.torque, " + ".join(dict.fromkeys(_shown(each) for each in settings if each))
    if joint.breakout:
        torque, pressure = joint.breakout.expected, f"up to {_shown(joint.breakout.highest_pressure)}"
    return {
        "Joint": joint.joint, "Operation": joint.operation, HEADINGS["card"]: joint.card, "Studs": joint.studs,
        "Planned torque": _shown(torque), "Planned wrench": " + ".join(wrenches), "Planned pressure": pressure or None,
    }  # fmt: skip


def _shown(amount: Amount | None) -> str:
    if amount is None:
        return ""
    exact = kinds_of(amount.unit) != ("torque",)
    return f"{figure(amount.value if exact else printed(amount.value))} {amount.unit}"


def sheets_of(plan: Plan, joints: Sequence[JointEntry]) -> list[RecordSheet]:
    """The record sheets of some joints of a plan: one for each crew and day."""
    number = f"{plan_id(plan.head.checksum)}, {plan.head.list_file}, sheet {plan.head.sheet}"
    groups: dict[tuple[str, str], list[JointEntry]] = {}
    for joint in joints:
        groups.setdefault((joint.date or "~", joint.crew or ""), []).append(joint)
    found = []
    for (day, crew), mine in sorted(groups.items()):
        who = f"crew {crew}" if crew else "crew not stated"
        when = "day not stated" if day == "~" else day
        rows = [record_row(joint, plan.head) for joint in mine]
        found.append(RecordSheet(f"{day.replace('~', 'no day')} {crew}".strip(), f"{who}, {when}", number, rows))
    return found


def write_record_sheets(
    plan: Plan, joints: Sequence[JointEntry], target: Path, *, paper: str | None = None,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> int:  # fmt: skip
    """Write the record sheets of some joints into one workbook, with a sheet for scans behind them; gives their number.

    Raises WorkbookError.
    """
    from openpyxl import Workbook

    check_target(target)
    book: Any = Workbook()
    book.properties.creator = program()
    style, taken = SheetStyle(book), {SCANS.casefold()}
    sheets = sheets_of(plan, joints)
    for at, each in enumerate(sheets):
        page = book.active if at == 0 else book.create_sheet()
        page.title = _free(each.name, taken)
        fill(page, each, style, plan.head, paper or "A4")
        tell(at + 1, len(sheets))
    fill_scans(book.create_sheet(SCANS), sheets[0].plan if sheets else "", style, paper or "A4")
    write_new(target, book.save)
    return len(sheets)


def _free(name: str, taken: set[str]) -> str:
    """A name of a sheet that no other has."""
    plain = re.sub(r"[\[\]:*?/\\]|^'|'$", "_", name)[:31] or "record"
    found, number = plain, 1
    while found.casefold() in taken:
        number += 1
        found = f"{plain[: 31 - len(str(number)) - 1]} {number}"
    taken.add(found.casefold())
    return found


class SheetStyle:
    """Looks that cells share."""

    def __init__(self, book: Any) -> None:
        from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Side

        line = Side(style="thin", color=_LINE)
        border = Border(left=line, right=line, top=line, bottom=line)
        here = PatternFill("solid", start_color=_HERE, end_color=_HERE)
        middle = Alignment(vertical="center")
        self.title = Font("Arial", size=14, bold=True)
        self.small, self.label = Font("Arial", size=9, italic=True), Font("Arial", size=10, bold=True)
        made: dict[str, dict[str, Any]] = {
            "head": {"font": Font("Arial", size=9, bold=True, color="FFFFFFFF"), "border": border,
                     "fill": PatternFill("solid", start_color=_INK, end_color=_INK),
                     "alignment": Alignment(wrap_text=True, vertical="center", horizontal="center")},
            "plain": {"font": Font("Arial", size=9), "border": border, "alignment": middle},
            "text": {"font": Font("Arial", size=9), "border": border, "alignment": middle, "number_format": "@"},
            "day": {"font": Font("Arial", size=9), "border": border, "alignment": middle,
                    "number_format": "yyyy-mm-dd"},
            "here": {"font": Font("Arial", size=9), "border": border, "alignment": middle, "fill": here},
            "scan": {"font": Font("Arial", size=9), "border": border, "alignment": middle, "fill": here,
                     "number_format": "@"},
        }  # fmt: skip
        for name, looks in made.items():
            book.add_named_style(NamedStyle(f"record {name}", **looks))

    def of(self, field: RecordField | None) -> str:
        """The style of a cell of a field, or of what is planned."""
        if field is None:
            return "record text"
        if field.name in _MARKED:
            return "record scan" if field.text else "record here"
        return "record day" if field.name == "date" else "record text" if field.text else "record plain"


def fill(page: Any, sheet: RecordSheet, style: SheetStyle, head: PlanHead | None, paper: str) -> int:
    """Fill one sheet; gives the row of its headings."""
    from openpyxl.comments import Comment
    from openpyxl.utils import get_column_letter

    by_heading = {field.heading: field for field in FIELDS}
    planned = PLANNED if head else {}
    card = by_heading[HEADINGS["card"]]
    columns: dict[str, float] = {"Joint": 15, "Operation": 13, card.heading: card.width, **planned}
    columns |= {field.heading: field.width for field in FIELDS if field.name != "card"}
    row = _above(page, sheet.title, sheet.plan, style)
    _headings(page, row, columns)
    if head is None:  # a form that is filled by hand throughout
        for column, name in enumerate(columns, 1):
            text = by_heading[name].help if name in by_heading else f"{name} as on the card."
            note = Comment(text, "tautsheet")
            note.width, note.height = 280, 34 + 17 * (len(text) * 7 // 280 + 1)
            page.cell(row, column).comment = note
    last = row + len(sheet.rows) + sheet.blank
    shown = [by_heading.get(name) for name in columns]
    for number in range(row + 1, last + 1):
        values = sheet.rows[number - row - 1] if number - row <= len(sheet.rows) else {}
        for column, (name, field) in enumerate(zip(columns, shown, strict=True), 1):
            cell = page.cell(number, column)
            cell.style = style.of(field)
            if (value := values.get(name)) is not None:
                _put(cell, value)
    _drop_downs(page, list(columns), row, last, head)
    page.freeze_panes = page.cell(row + 1, 3)
    wide = list(columns).index(HEADINGS[_PRINTED]) + 1
    page.auto_filter.ref = f"A{row}:{get_column_letter(len(columns))}{last}"
    _print(page, f"A1:{get_column_letter(wide)}{last}", row, paper, 3)
    return row


def fill_scans(page: Any, plan: str, style: SheetStyle, paper: str) -> None:
    """A sheet for scans, one below the other, whichever joint they are of."""
    row = _above(page, "Scans of cards, in any order", plan, style)
    _headings(page, row, {HEADINGS["scan"]: 60.0})
    for number in range(row + 1, row + 1 + _SCANNED):
        page.cell(number, 1).style = "record scan"
    page.freeze_panes = page.cell(row + 1, 1)
    _print(page, f"A1:D{row + _SCANNED}", row, paper, 1)


def _above(page: Any, title: str, plan: str, style: SheetStyle) -> int:
    """Title, plan, name and day, and how it is filled; gives the row for the headings."""
    _put(page.cell(1, 1), title)
    page.cell(1, 1).font = style.title
    labels: list[tuple[str, str | None]] = [(PLAN_LABEL, plan)] if plan else []
    labels += [(NAME_LABEL, None), (DATE_LABEL, None)]
    row = 2
    for label, value in labels:
        _put(page.cell(row, 1), label)
        page.cell(row, 1).font = style.label
        cell = page.cell(row, 2)
        if value is None:
            page.merge_cells(start_row=row, end_row=row, start_column=2, end_column=3)
            for each in (cell, page.cell(row, 3)):
                each.style = "record here"
            cell.number_format = "yyyy-mm-dd" if label == DATE_LABEL else "@"
        else:
            _put(cell, value)
        row += 1
    for text in HOW:
        _put(page.cell(row, 1), text)
        page.cell(row, 1).font = style.small
        row += 1
    return row + 1


def _headings(page: Any, row: int, columns: Mapping[str, float]) -> None:
    from openpyxl.utils import get_column_letter

    for column, (name, width) in enumerate(columns.items(), 1):
        cell = page.cell(row, column)
        _put(cell, name)
        cell.style = "record head"
        page.column_dimensions[get_column_letter(column)].width = width
    page.row_dimensions[row].height = 40


def _drop_downs(page: Any, names: Sequence[str], row: int, last: int, head: PlanHead | None) -> None:
    """Lists to choose from: fixed words are held to, names are a help only, for several may stand in a cell."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    fixed = {"Operation": OPERATIONS, **{field.heading: field.choices for field in FIELDS if field.choices}}
    helps: dict[str, Sequence[str]] = {}
    if head is not None:
        hand = [tool.name for tool in head.equipment if tool.kind == "hand torque wrench"]
        helps = {
            HEADINGS["wrench"]: [*(each.name for each in head.wrenches), *hand],
            HEADINGS["gauge"]: [each.name for each in head.gauges],
            HEADINGS["lubricant"]: [AS_PLANNED, *(each.product for each in head.lubricants)],
        }
    for name, words in {**fixed, **helps}.items():
        text = ",".join(words)
        if not words or len(text) > _MOST_NAMED or any("," in word or '"' in word for word in words):
            continue
        rule = DataValidation(type="list", formula1=f'"{text}"', allow_blank=True)
        rule.errorTitle, rule.error = name[:32], "Not in the list of this column."
        rule.showErrorMessage = name in fixed
        page.add_data_validation(rule)
        letter = get_column_letter(names.index(name) + 1)
        rule.add(f"{letter}{row + 1}:{letter}{last}")


def _print(page: Any, area: str, row: int, paper: str, wide: int) -> None:
    page.page_setup.orientation, page.page_setup.paperSize = "landscape", PAPERS[paper]
    page.page_setup.fitToWidth, page.page_setup.fitToHeight = wide, 0
    page.page_setup.pageOrder = "overThenDown"
    page.sheet_properties.pageSetUpPr.fitToPage = True
    page.page_margins.left = page.page_margins.right = 0.4
    page.page_margins.top, page.page_margins.bottom = 0.5, 0.6
    page.print_title_rows, page.print_title_cols = f"{row}:{row}", "A:B" if wide > 1 else None
    page.print_area = area
    page.oddFooter.left.text, page.oddFooter.right.text = "&F, &A", "Page &P of &N"


def _put(cell: Any, value: Any) -> None:
    """Set a cell: text stays text whatever it begins with, cut with a mark where it is too long for a cell; a number
    that is not there is left empty.
    """
    if isinstance(value, str):
        cell.value = cell_text(value)
        cell.data_type = "s"
        if value.startswith(("=", "+", "-", "@")):
            cell.quotePrefix = True
    elif not (isinstance(value, float) and math.isnan(value)):
        cell.value = value
