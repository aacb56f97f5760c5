"""Layouts written after the program, to look for what it reads wrongly; some of them it did at first."""

from layout_kit import FTLB, grid, inch, layout, metric, rows, sheet
from openpyxl import Workbook

FM = "final make-up"
HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)"]
FIELDS = {
    "A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None), "E": ("studs", None),
    "F": ("torque", "lbf·ft"),
}  # fmt: skip
NAMES = ["joint", "operation", "method", "thread", "studs", "torque"]


def line(tag: str, torque: float = 400) -> list[object]:
    """A row of the list as it is typed."""
    return [tag, FM, "hydraulic", "1", 8, torque]


def read(number: int, tag: str, torque: float = 400) -> list[object]:
    """That row as it must be read, with its number."""
    return [number, tag, FM, "hydraulic", inch(1, 8), 8, torque * FTLB]


@layout(sheet="Joints", heading_row=2, fields=FIELDS, rows=rows(NAMES, 0, [read(3, "A-1"), read(4, "A-2")]))
def labels_and_values_right_above(book: Workbook) -> None:
    above = ["Previous rev:", 7, "Date:", "3 May", "Checked by:", "planner"]
    grid(sheet(book, "Joints"), 1, [above, HEAD, line("A-1"), line("A-2")])


@layout(
    sheet="Joints", heading_row=1, fields=FIELDS, rows=rows(NAMES, 0, [read(3, "A-1"), read(4, "A-2")]),
    said={"numbering_row": [2]},
)  # fmt: skip
def columns_numbered_below_their_names(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [HEAD, ["(1)", "(2)", "(3)", "(4)", "(5)", "(6)"], line("A-1"), line("A-2")])


@layout(
    sheet="Joints", heading_row=3,
    fields={**FIELDS, "F": ("torque", "N·m")},
    rows=rows(NAMES, 4, [["A-1", FM, "hydraulic", metric(24, 3), 8, 400.0]]),
)  # fmt: skip
def three_levels_of_headings(book: Workbook) -> None:
    ws = sheet(book, "Joints")
    grid(ws, 1, [
        ["Joint", "Operation", "Method", "Bolting", None, "Tightening"],
        [None, None, None, "Studs", None, "Target"],
        [None, None, None, "Size", "Qty", "Torque (Nm)"],
        ["A-1", FM, "hydraulic", "M24", 8, 400],
    ])  # fmt: skip
    for area in ("A1:A3", "B1:B3", "C1:C3", "D1:E1", "D2:E2"):
        ws.merge_cells(area)


@layout(
    sheet="Joints", heading_row=1, fields=FIELDS,
    rows=rows(NAMES, 0, [read(2, "Total condenser 1"), read(3, "TOTAL-2"), read(5, "A-3")]),
    said={"total_row": [4, 6]},
)  # fmt: skip
def tags_that_begin_like_a_total(book: Workbook) -> None:
    total = ["Total", None, None, None, 16, None]
    grid(sheet(book, "Joints"), 1, [HEAD, line("Total condenser 1"), line("TOTAL-2"), total, line("A-3"), total])


@layout(
    sheet="Joints", heading_row=1,
    fields={**FIELDS, "D": ("thread", "in"), "F": ("torque", "N·m")},
    rows=rows(NAMES, 2, [["A-1", FM, "hydraulic", inch(1, 8), 8, 400.0]]),
    deserves={("field", "B"), ("field", "C"), ("field", "E"), ("field", "")},
    answers={"A": "joint", "B": "operation", "C": "method", "E": "studs"},
)  # fmt: skip
def headings_with_explanations(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        ["Joint tag as per P&ID", "Operation (break / make-up)", "Method (T = torque, H = hand)", "Stud size (inch)",
         "Studs (number of)", "Torque (Nm) see note 1"],
        ["A-1", FM, "hydraulic", "1", 8, 400],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=1, fields=FIELDS,
    rows=rows(NAMES, 0, [read(2, "A-1"), read(3, "A-2")]),
    said={"dittos": ["Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)"]},
)  # fmt: skip
def ditto_marks_stand_for_the_value_above(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [HEAD, line("A-1"), ["A-2", '"', '"', '"', '"', '"']])


@layout(
    sheet="Joints", heading_row=1, fields=FIELDS, rows=rows(NAMES, 0, [read(2, "A-1"), read(3, "A-2")]),
    said={"other_table": [5, 6]},
)  # fmt: skip
def a_small_table_of_wrenches_below(book: Workbook) -> None:
    small = [["Wrench", "Size", "Qty", "Torque (ft-lb)"], ["HW-1", "1 in", "two", "2 to 4"]]
    grid(sheet(book, "Joints"), 1, [HEAD, line("A-1"), line("A-2"), [], *small])


@layout(sheet="Joints", heading_row=1, fields=FIELDS, rows=rows(NAMES, 0, [read(2, "A-1"), read(3, "A-2")]))
def a_record_of_last_time_in_another_sheet(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [HEAD, line("A-1"), line("A-2")])
    grid(sheet(book, "Record 2024"), 1, [
        ["Joint", "Operation", "Method", "Torque (ft-lb)", "Wrench", "Done by"],
        ["A-1", FM, "hydraulic", 380, "HW-1", "-"],
    ])  # fmt: skip


@layout(
    sheet="Joints", heading_row=1,
    fields={"A": ("joint", None), "B": ("operation", None), "C": ("method", None), "D": ("thread", None),
            "E": ("studs", None)},
    rows=rows(NAMES[:5], 2, [["A-1", FM, "hydraulic", inch(1, 8), 8], ["A-2", FM, "hydraulic", inch(1, 8), 8]]),
)  # fmt: skip
def torques_of_the_passes_are_no_target(book: Workbook) -> None:
    grid(sheet(book, "Joints"), 1, [
        [*HEAD[:5], "Torque 30% (ft-lb)", "60 % (ft-lb)", "Max torque (ft-lb)", "Torque (as left)", "Torque (old)"],
        [*line("A-1", 120), 240, 500, 398, 410], [*line("A-2", 120), 240, 500, 399, 410],
    ])  # fmt: skip
