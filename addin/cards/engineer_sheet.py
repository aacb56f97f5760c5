"""The engineer's workbook from a plan's JSON: what each stud of a joint keeps, a sheet per joint. Never for a crew."""

import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, BinaryIO

from addin.cards.engineer_chart import Course, draw
from addin.cells.words import figure
from addin.forms.sheet_names import sheet_names
from addin.plan.file import Plan
from addin.plan.record import PlanHead
from addin.plan.record_joint import JointEntry
from addin.workbooks.new_file import write_new

HEAD = "For the responsible engineer; not a joint card, nothing here is set by a crew"
WIDTHS = (9, 13, 13, 13, 13, 13, 14, 21, 16)
NOTHING = "-"
_LONG = 48
_LAST = len(WIDTHS)
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
_DIGITS = 4


def joints_of(plan: Plan) -> list[JointEntry]:
    """The joints of a plan whose interaction was worked out."""
    return [joint for joint in plan.joints if joint.interaction and joint.interaction.passes]


def write_engineer_book(
    plan: Plan,
    target: Path,
    *,
    progress: Callable[[int, int], None] | None = None,
) -> int:
    """Write the workbook, a sheet per joint, and say how many there are; none are written when there are none.

    Raises WorkbookError when the target cannot be written.
    """
    chosen = joints_of(plan)
    if not chosen:
        return 0
    from openpyxl import Workbook  # about 0.15 s: only when a workbook is written

    book = Workbook()
    book.remove(book.worksheets[0])
    names = sheet_names([(joint.joint, joint.operation) for joint in chosen])
    for number, (joint, name) in enumerate(zip(chosen, names, strict=True), start=1):
        _Sheet(book.create_sheet(name), plan.head, joint).write()
        if progress:
            progress(number, len(chosen))

    def save(file: BinaryIO) -> None:
        book.save(file)

    write_new(target, save)
    return len(chosen)


class _Sheet:
    """Writes one sheet from the top down; `row` is the next free row."""

    def __init__(self, sheet: Any, plan: PlanHead, joint: JointEntry) -> None:
        assert joint.interaction is not None
        self.sheet, self.plan, self.joint, self.block = sheet, plan, joint, joint.interaction
        self.row = 1

    def write(self) -> None:
        """The whole sheet: wording, passes, chart, studs, settings, inputs and assumptions."""
        for at, width in enumerate(WIDTHS, start=1):
            self.sheet.column_dimensions[_letter(at)].width = width
        self.head()
        self.passes()
        first = self.studs()
        self.chart(first)
        if self.block.settings:
            self.settings()
        self.inputs()
        self.page()

    def head(self) -> None:
        """What joint, which plan, the target, and the wording that stands with every result."""
        joint, block = self.joint, self.block
        target, found = block.target, block.circular_passes
        assert target is not None
        assert found is not None
        self.line(f"{joint.joint} {joint.operation}: what each stud keeps after its neighbours are tightened", "title")
        self.line(HEAD, "bold")
        self.line(block.wording, "boxed")
        self.line(
            f"List {self.plan.list_file}, row {joint.row}; card {joint.card}; {self.plan.program}. "
            f"{joint.studs} studs {joint.thread}, target {_number(target.value)} {target.unit} each, "
            f"{block.at_once} together. Plan: {block.plan}."
        )
        wanted = (
            f"a coefficient of variation of at most {figure(found.variation_percent)} % and a mean of"
            f" {figure(found.mean_percent)} % of the target, without scatter"
        )
        count = f"more than {found.most}" if found.count is None else str(found.count)
        self.line(f"Recommended circular passes: {count}, to reach {wanted}; go on until no nut turns.", "bold")
        for text in block.cautions:
            self.line(text, "warning")
        self.line(block.band, "bold")
        self.line(block.scatter, "bold")
        uneven = max(p.uneven or 0.0 for p in block.passes)
        self.line(f"Largest difference of the gasket's closure round the joint: {_number(uneven)} {block.length_unit}.")
        for text in block.said:
            self.line(text)

    def passes(self) -> None:
        """A row for every pass."""
        unit = self.block.unit
        self.table(
            "After each pass, without scatter",
            ("Pass", "Pattern", "Setting (% of target)", "Moves so far", f"Mean kept ({unit})", f"Lowest kept ({unit})",
             "Coefficient of variation (%)", f"Highest momentary load ({unit})", f"Lowest, model band ({unit})"),
            [
                (p.number, p.pattern, p.percent, p.moves, p.mean, p.lowest, p.variation_percent,
                 p.highest, _span(p.lowest_low, p.lowest_high))
                for p in self.block.passes
            ],
        )  # fmt: skip

    def studs(self) -> int:
        """A row for every stud; returns the row of its headings."""
        unit, block = self.block.unit, self.block
        assert block.target is not None
        target = block.target.value
        self.row += 1
        self.line(f"Estimated kept load per stud after each pass, without scatter ({unit})", "bold")
        self.chart_row, self.circle_row = self.row, self.row + 18
        self.row += 40  # room for both charts
        first = self.row + 2  # an empty row and the title stand before it
        self.table(
            f"Each stud after the last pass, relaxed: estimated kept load, P5 to P95 of friction, model band ({unit})",
            ("Stud", "Estimated kept load", "P5", "P95", "Kept (% of target)", "Band low", "Band high"),
            [(s.stud, s.kept, s.p5, s.p95, 100 * s.kept / target, s.band_low, s.band_high) for s in block.studs],
        )
        return first

    def chart(self, first: int) -> None:
        """Kept load per stud after each pass with its band, along and as a circle, from a table at the right."""
        block = self.block
        assert block.target is not None
        course = Course(
            unit=block.unit,
            target=block.target.value,
            passes=tuple((f"pass {p.number}: {figure(p.percent)} % {p.pattern}", p.kept) for p in block.passes),
            low=[s.kept if s.band_low is None else s.band_low for s in block.studs],
            high=[s.kept if s.band_high is None else s.band_high for s in block.studs],
        )
        draw(
            self.sheet, course, left=_LAST + 2, top=first - 1, at=f"A{self.chart_row}", circle_at=f"A{self.circle_row}",
            put=self.put,
        )  # fmt: skip

    def settings(self) -> None:
        """Settings stud by stud, with what they are for, on a page of their own."""
        from openpyxl.worksheet.pagebreak import Break

        block, unit = self.block.settings, self.block.unit
        if block is None:
            return
        self.sheet.row_breaks.append(Break(id=self.row))
        pressure = block.pressure_unit
        heads = ["Stud", "Setting (% of target)", f"Setting ({unit})", f"Torque ({block.torque_unit})",
                 f"Pressure ({pressure})" if pressure else "Pressure", f"Kept after this pass ({unit})",
                 f"Kept after closing pass ({unit})", "Remark"]  # fmt: skip
        rows = [
            (s.stud, s.percent, s.load, s.torque, s.pressure if s.pressure is not None else NOTHING,
             s.kept, s.closing, s.remark)
            for s in block.studs
        ]  # fmt: skip
        self.table("Settings stud by stud for one full pass", heads, rows)
        highest, cap = _number(block.highest_percent), figure(block.cap_percent)
        self.line(
            f"After {block.after}; this pass in circular order; then a circular pass at 100 %. Highest momentary"
            f" load in this pass {highest} % of the target, cap {cap} %. A pressure stands only where one wrench pulls"
            " alone and its table holds the torque, on the marks of its gauge."
        )
        for text in block.said:
            self.line(text, "bold")

    def inputs(self) -> None:
        """What the list states, and what was assumed with its range and basis."""
        self.table(
            "Inputs from the list", ("Input", None, None, "Value", "Unit"),
            [(row.name, None, None, row.value, row.unit) for row in self.block.inputs],
        )  # fmt: skip
        self.table(
            "Assumed: not stated in the list", ("What", None, None, "Value", "Unit", "Range", None, "Basis"),
            [(row.name, None, None, row.value, row.unit, row.range, None, row.basis)
             for row in self.block.assumed],
        )  # fmt: skip

    def page(self) -> None:
        """Print area and page: the helper table of the chart stays off the paper."""
        sheet = self.sheet
        sheet.print_area = f"A1:{_letter(_LAST)}{self.row}"
        sheet.page_setup.orientation, sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = "portrait", 1, 0
        sheet.sheet_properties.pageSetUpPr.fitToPage = True
        sheet.page_margins.left = sheet.page_margins.right = sheet.page_margins.top = 0.5
        sheet.oddFooter.left.text, sheet.oddFooter.right.text = HEAD, "&P of &N"
        sheet.sheet_view.showGridLines = False

    # --- pieces -----------------------------------------------------------------------------------------------------

    def table(self, title: str, heads: Sequence[str | None], rows: Sequence[Sequence[Any]]) -> None:
        """A title, headings and rows, with an empty row before."""
        from openpyxl.styles import Alignment

        self.row += 1
        self.line(title, "bold")
        wide = max((at for at, head in enumerate(heads, start=1) if head), default=1)
        for at in range(1, wide + 1):
            self.put(self.row, at, heads[at - 1] or "", "heading")
        self.sheet.row_dimensions[self.row].height = 40 if any(len(head or "") > 26 for head in heads) else 27
        self.row += 1
        for row in rows:
            for at, value in enumerate(row, start=1):
                if value is not None:
                    self.put(self.row, at, value)
            if isinstance(row[-1], str) and len(row[-1]) > _LONG:  # wraps over the last columns
                self.sheet.merge_cells(start_row=self.row, end_row=self.row, start_column=len(row), end_column=_LAST)
                self.sheet.cell(self.row, len(row)).alignment = Alignment(
                    wrap_text=True, vertical="top", horizontal="left", indent=1
                )
                self.sheet.row_dimensions[self.row].height = 27
            self.row += 1

    def line(self, text: str, style: str = "plain") -> None:
        """A text across the page, high enough for its length."""
        from openpyxl.styles import Alignment

        self.sheet.merge_cells(start_row=self.row, end_row=self.row, start_column=1, end_column=_LAST)
        cell = self.put(self.row, 1, text, style)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        per_line = 90 if style == "title" else 125
        self.sheet.row_dimensions[self.row].height = (18 if style == "title" else 13) * (1 + len(text) // per_line) + 2
        self.row += 1

    def put(self, row: int, column: int, value: Any, style: str = "plain") -> Any:
        """One cell; a text is a text even if it begins like a formula."""
        from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

        cell = self.sheet.cell(row, column)
        if isinstance(value, str):
            cell.value = _CONTROL.sub(" ", value)
            cell.data_type = "s"
            left = value != NOTHING
            cell.alignment = Alignment(
                horizontal="left" if left else "right", vertical="top", indent=int(left and column > 1)
            )
        else:
            cell.value = value
            cell.number_format = _format(value)
            cell.alignment = Alignment(horizontal="right", vertical="top")
        size, bold, colour = {"title": (13, True, None), "warning": (10, True, "B03A2E")}.get(
            style, (10, style != "plain", None)
        )
        cell.font = Font(name="Arial", size=size, bold=bold and style != "boxed", color=colour)
        if style == "heading":
            cell.fill = PatternFill("solid", fgColor="E4E9EE")
            cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal="left" if column == 1 else "center")
        if style == "boxed":
            cell.fill = PatternFill("solid", fgColor="FFF4D6")
            edge = Side(style="thin", color="C58B2A")
            cell.border = Border(left=edge, right=edge, top=edge, bottom=edge)
        return cell


def _letter(at: int) -> str:
    from openpyxl.utils import get_column_letter

    return str(get_column_letter(at))


def _number(value: float) -> str:
    """A number as it is shown within a sentence."""
    return figure(float(f"{value:.{_DIGITS}g}"))


def _span(low: float | None, high: float | None) -> str:
    """Both ends of a band, or nothing where a plan of an earlier version has none."""
    return NOTHING if low is None or high is None else f"{_number(low)} to {_number(high)}"


def _format(value: Any) -> str:
    """A number format with about four digits; the value in the cell keeps all of its own."""
    if value is None or float(value).is_integer() or abs(value) >= 1000:
        return "0"
    if abs(value) >= 100:
        return "0.0"
    return "0.00" if abs(value) >= 1 else "0.0000"
