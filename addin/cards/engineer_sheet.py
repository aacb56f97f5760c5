"""The engineer's workbook from a plan's JSON: what each stud of a joint keeps, a sheet per joint. Never for a crew."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from addin.cards.engineer_chart import Course, columns_of, draw
from addin.cells.words import figure
from addin.forms.sheet_names import sheet_names
from addin.plan.file import Plan
from addin.plan.record import PlanHead
from addin.plan.record_joint import JointEntry
from addin.workbooks.row_by_row import RowBook, put, set_widths, write_rows

HEAD = "For the responsible engineer; not a joint card, nothing here is set by a crew"
WIDTHS = (9, 13, 13, 13, 13, 13, 14, 21, 16)
NOTHING = "-"
_LONG = 48
_LAST = len(WIDTHS)
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
    names = sheet_names([(joint.joint, joint.operation) for joint in chosen])

    def fill(book: RowBook) -> None:
        for number, (joint, name) in enumerate(zip(chosen, names, strict=True), start=1):
            _Sheet(book, name, plan.head, joint).write()
            if progress:
                progress(number, len(chosen))

    write_rows(target, "tautsheet", fill)
    return len(chosen)


class _Sheet:
    """Writes one sheet from the top down; `row` is the next free row. Its rows are kept until the sheet is whole: the
    table of the charts stands beside that of the studs.
    """

    def __init__(self, book: RowBook, name: str, plan: PlanHead, joint: JointEntry) -> None:
        assert joint.interaction is not None
        self.book, self.name, self.plan, self.joint, self.block = book, name, plan, joint, joint.interaction
        self.sheet = book.sheet(name)
        self.row = 1
        self.cells: dict[int, dict[int, tuple[Any, Any]]] = {}
        self.wide: dict[int, list[tuple[int, Any]]] = {}
        self.heights: dict[int, float] = {}

    def write(self) -> None:
        """The whole sheet: wording, passes, chart, studs, settings, inputs and assumptions."""
        self.head()
        self.passes()
        first = self.studs()
        self.chart(first)
        if self.block.settings:
            self.settings()
        self.inputs()
        self.page()
        self.flush()

    def flush(self) -> None:
        """All rows, each once, from above to below."""
        for row in sorted(self.cells):
            if row in self.heights:
                self.sheet.set_row(row - 1, self.heights[row])
            for first, look in self.wide.get(row, ()):
                self.sheet.merge_range(row - 1, first - 1, row - 1, _LAST - 1, "", look)
            for column, (value, look) in sorted(self.cells[row].items()):
                put(self.sheet, row, column, value, look)

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
        left, top = _LAST + 2, first - 1
        self.put(top - 1, left, f"Kept load after each pass, for the charts ({course.unit})", "bold")
        columns = columns_of(course)
        for column, (name, values) in enumerate(columns, start=left):
            self.put(top, column, name, "heading")
            for row, value in enumerate(values, start=top + 1):
                self.put(row, column, value)
        set_widths(self.sheet, [*WIDTHS, 13, 9, *[13] * (len(columns) - 1)])
        draw(self.book, self.sheet, self.name, course, left, top, (self.chart_row, self.circle_row))

    def settings(self) -> None:
        """Settings stud by stud, with what they are for, on a page of their own."""
        block, unit = self.block.settings, self.block.unit
        if block is None:
            return
        self.sheet.set_h_pagebreaks([self.row])
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
        sheet.print_area(0, 0, self.row - 1, _LAST - 1)
        sheet.set_portrait()
        sheet.fit_to_pages(1, 0)
        sheet.set_margins(left=0.5, right=0.5, top=0.5)
        sheet.set_footer(f"&L{HEAD}&R&P of &N")
        sheet.hide_gridlines(2)

    # --- pieces -----------------------------------------------------------------------------------------------------

    def table(self, title: str, heads: Sequence[str | None], rows: Sequence[Sequence[Any]]) -> None:
        """A title, headings and rows, with an empty row before."""
        self.row += 1
        self.line(title, "bold")
        wide = max((at for at, head in enumerate(heads, start=1) if head), default=1)
        for at in range(1, wide + 1):
            self.put(self.row, at, heads[at - 1] or "", "heading")
        self.heights[self.row] = 40 if any(len(head or "") > 26 for head in heads) else 27
        self.row += 1
        for row in rows:
            for at, value in enumerate(row, start=1):
                if value is not None:
                    self.put(self.row, at, value)
            if isinstance(row[-1], str) and len(row[-1]) > _LONG:  # wraps over the last columns
                self.over(len(row), row[-1], self.book.look(**_FONT, **_LEFT, indent=1, text_wrap=True))
                self.heights[self.row] = 27
            self.row += 1

    def line(self, text: str, style: str = "plain") -> None:
        """A text across the page, high enough for its length."""
        self.over(1, text, self.book.look(**_STYLES[style], valign="top", text_wrap=True))
        per_line = 90 if style == "title" else 125
        self.heights[self.row] = (18 if style == "title" else 13) * (1 + len(text) // per_line) + 2
        self.row += 1

    def over(self, first: int, text: str, look: Any) -> None:
        """A text over the columns from one on."""
        if first < _LAST:
            self.wide.setdefault(self.row, []).append((first, look))
        self.cells.setdefault(self.row, {})[first] = text, look

    def put(self, row: int, column: int, value: Any, style: str = "plain") -> None:
        """One cell; a text is a text even if it begins like a formula."""
        where: dict[str, Any]
        if style == "heading":
            where = {"valign": "top", "text_wrap": True, "align": "left" if column == 1 else "center"}
        elif isinstance(value, str) and value != NOTHING:
            where = _LEFT | ({"indent": 1} if column > 1 else {})
        else:
            where = {"align": "right", "valign": "top"}
            where |= {} if isinstance(value, str) else {"num_format": _format(value)}
        self.cells.setdefault(row, {})[column] = value, self.book.look(**_STYLES[style], **where)


_FONT = {"font_name": "Arial", "font_size": 10}
_LEFT: dict[str, Any] = {"align": "left", "valign": "top"}
_STYLES: dict[str, dict[str, Any]] = {
    "plain": _FONT,
    "bold": _FONT | {"bold": True},
    "title": {"font_name": "Arial", "font_size": 13, "bold": True},
    "warning": _FONT | {"bold": True, "font_color": "#B03A2E"},
    "heading": _FONT | {"bold": True, "bg_color": "#E4E9EE"},
    "boxed": _FONT | {"bg_color": "#FFF4D6", "border": 1, "border_color": "#C58B2A"},
}


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
