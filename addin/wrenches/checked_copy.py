"""The checked copy of a wrench book: findings beside their rows, certificates against the days of the jobs, curves.

The copy is for reading; what holds stays in the book itself.
"""

import datetime
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

from addin.cells.words import amount, day, figure, line
from addin.workbooks.new_file import write_new
from addin.wrenches.certificate_chart import add_chart
from addin.wrenches.copy_losses import copy_losses
from addin.wrenches.hand_tools import HOSE
from addin.wrenches.wrench_book import WrenchBook
from addin.wrenches.wrench_sheet import WrenchSheet
from calc.findings import CAUTION, STOP, Finding
from calc.units import System, system
from calc.wrench.choice import Wrench
from calc.wrench.ratings import torque_at_rating

CHECKED, CURVES = "Checked", "Curves"
FILLS = {STOP: "F4C7C3", CAUTION: "FCE8B2", "note": "E8EEF1"}
_FOR_READING = "For reading: correct the book itself, and plan with it."
_WIDE = (20, 20, 24, 13, 25, 34, 27, 24, 18)


@dataclass(frozen=True)
class Days:
    """First and last day of the jobs, and whether they were given; else both are today."""

    first: float
    last: float
    given: bool = True

    @staticmethod
    def today() -> "Days":
        """Today."""
        now = float(datetime.date.today().toordinal())
        return Days(now, now, given=False)

    def words(self) -> str:
        """The days as people write them."""
        if self.first == self.last:
            return day(self.first) if self.given else f"today, {day(self.first)}"
        return f"{day(self.first)} to {day(self.last)}"


def certificate_on(days: Days, calibrated: float, valid_until: float) -> str:
    """What a certificate says of the days of the jobs.

    >>> d = Days(739000.0, 739010.0)
    >>> certificate_on(d, 738900.0, 739200.0), certificate_on(d, 738900.0, 739005.0)
    ('valid on all days', 'ends on 2024-04-29, before the jobs do')
    """
    if math.isnan(valid_until):
        return "its last day is not stated"
    if valid_until < days.first:
        return f"not valid: ended on {day(valid_until)}"
    if calibrated > days.last:
        return f"not yet valid: from {day(calibrated)}"
    if calibrated > days.first:
        return f"begins on {day(calibrated)}, after the jobs do"
    if valid_until < days.last:
        return f"ends on {day(valid_until)}, before the jobs do"
    return "valid on all days" if days.last > days.first else "valid"


def units_of(sheet: WrenchSheet | None) -> System:
    """The units of a wrench sheet; those it does not name are SI."""
    own = dict(sheet.units) if sheet else {}
    if sheet and sheet.table is not None:
        own["torque"] = sheet.table.torque_unit
    own.pop("table_torque", None)
    return System("wrench book", tuple({**dict(system("SI").symbols), **own}.items()))


def write_checked(book: WrenchBook, source: Path, target: Path, days: Days) -> list[str]:
    """Write the checked copy of one file of a book; gives what of the file the copy could not take over.

    Raises WorkbookError when it cannot be written.
    """
    import openpyxl

    copy = openpyxl.load_workbook(source, keep_links=False)
    mine = [finding for finding in book.findings if source.name in str(finding.facts["file"]).split(", ")]
    for name in copy.sheetnames:
        told = [finding for finding in mine if finding.facts["sheet"] == name]
        if told and hasattr(copy[name], "cell"):
            _beside(copy[name], told, units_of(book.sheets.get((source.name, name))))
    _overview(copy.create_sheet(_free(copy, CHECKED), 0), book, source, days, mine)
    _curves(copy, book, source)
    copy.active = 0
    for sheet in copy.worksheets:
        sheet.sheet_view.tabSelected = sheet is copy.worksheets[0]
    whole = BytesIO()
    copy.save(whole)
    lost = copy_losses(source, BytesIO(whole.getvalue()))
    if lost:
        text = f"{_FOR_READING} Not in this copy, but in the book: {', '.join(lost)}."
        _put(copy.worksheets[0], 3, 1, text, fill=FILLS["note"])
        whole = BytesIO()
        copy.save(whole)
    write_new(target, lambda file: file.writelines((whole.getvalue(),)))
    return lost


def _free(copy: Any, name: str) -> str:
    number, free = 1, name
    while free in copy.sheetnames:
        number += 1
        free = f"{name} {number}"
    return free


def _put(sheet: Any, row: int, column: int, value: object, *, bold: bool = False, fill: str = "") -> None:
    """A value in a cell; a text that begins like a formula stays a text."""
    from openpyxl.styles import Alignment, Font, PatternFill

    cell = sheet.cell(row, column, value)
    if isinstance(value, str):
        cell.data_type = "s"
    cell.font = Font(bold=bold)
    cell.alignment = Alignment(wrap_text=True, vertical="top")
    if fill:
        cell.fill = PatternFill("solid", fgColor=fill)


def _beside(sheet: Any, told: Sequence[Finding], units: System) -> None:
    """The findings in the first free column, each in its row; those about the whole sheet in the first row."""
    from openpyxl.utils import coordinate_to_tuple, get_column_letter

    column = sheet.max_column + 2
    rows: dict[int, list[Finding]] = {}
    for finding in told:
        row = coordinate_to_tuple(finding.facts["cell"])[0] if finding.facts["cell"] else 1
        rows.setdefault(row, []).append(finding)
    for row, findings in rows.items():
        ordered = sorted(findings, key=lambda finding: list(FILLS).index(finding.level))
        said = "\n".join(f"{_level(finding.level)}{_words(finding, units)}" for finding in ordered)
        _put(sheet, row, column, said, fill=FILLS[ordered[0].level])
    sheet.column_dimensions[get_column_letter(column)].width = 90
    _one_page_wide(sheet, landscape=True)
    for row, findings in rows.items():  # nothing above may hide a line of it
        lines = sum(1 + len(_words(finding, units)) // 95 for finding in findings)
        if lines > 1:
            sheet.row_dimensions[row].height = max(sheet.row_dimensions[row].height or 15, 15 * lines)


def _level(level: str) -> str:
    return {STOP: "STOP: ", CAUTION: "CAUTION: "}.get(level, "note: ")


def _words(finding: Finding, units: System) -> str:
    where = str(finding.facts.get("place") or "")
    return line(finding, units).removeprefix(f"{where}: ")


# --- the first sheet ------------------------------------------------------------------------------------------------


def _overview(sheet: Any, book: WrenchBook, source: Path, days: Days, mine: Sequence[Finding]) -> None:
    stops, cautions = (sum(finding.level == level for finding in mine) for level in (STOP, CAUTION))
    _put(sheet, 1, 1, f"Checked copy of {source.name}", bold=True)
    _put(
        sheet,
        2,
        1,
        f"Days of the jobs: {days.words()}. Stops: {stops}, cautions: {cautions}; each stands beside its row.",
    )
    _put(
        sheet,
        3,
        1,
        _FOR_READING,
    )
    for row in (1, 2, 3):
        sheet.merge_cells(start_row=row, start_column=1, end_row=row, end_column=8)
    row = _wrenches(sheet, 5, book, source, days, mine)
    row = _gauges(sheet, row + 1, book, days)
    row = _equipment(sheet, row + 1, book, days)
    elsewhere = [finding for finding in mine if not finding.facts["sheet"]]
    for finding in elsewhere:
        row += 1
        _put(sheet, row, 1, _level(finding.level) + _words(finding, system("SI")), fill=FILLS[finding.level])
    for column, width in enumerate(_WIDE, start=1):
        sheet.column_dimensions["ABCDEFGHI"[column - 1]].width = width
    for number in range(5, row + 1):
        texts = [(str(sheet.cell(number, column).value or ""), width) for column, width in enumerate(_WIDE, start=1)]
        sheet.row_dimensions[number].height = 15 * max(
            math.ceil(len(text) * 1.12 / width) or 1 for text, width in texts
        )
    sheet.freeze_panes = "B5"
    _one_page_wide(sheet, landscape=True)


def _one_page_wide(sheet: Any, *, landscape: bool) -> None:
    sheet.page_setup.orientation = "landscape" if landscape else "portrait"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = sheet.sheet_properties.pageSetUpPr or _fit()
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_margins.left = sheet.page_margins.right = 0.4


def _fit() -> Any:
    from openpyxl.worksheet.properties import PageSetupProperties

    return PageSetupProperties()


_HEAD = ("Wrench", "Sheet", "Certificate", "Valid until", "On the days of the jobs", "Table", "At the rated pressure",
         "Links", "Findings")  # fmt: skip


def _wrenches(sheet: Any, row: int, book: WrenchBook, source: Path, days: Days, mine: Sequence[Finding]) -> int:
    for column, text in enumerate(_HEAD, start=1):
        _put(sheet, row, column, text, bold=True, fill="D9E2E7")
    by_sheet = {key[1]: each for key, each in book.sheets.items() if key[0] == source.name}
    for wrench in book.wrenches:
        where = book.sources["wrench", wrench.name]
        read = by_sheet.get(where.sheet)
        if read is None or read.wrench is None or read.wrench.name.casefold() != wrench.tool.casefold():
            continue
        row += 1
        told = [finding for finding in mine if finding.facts["sheet"] == where.sheet]
        for column, (value, fill) in enumerate(_cells(wrench, read, where.sheet, where.words, days, told), start=1):
            _put(sheet, row, column, value, fill=fill)
    return row


def _cells(
    wrench: Wrench, read: WrenchSheet, name: str, words: Mapping[str, str], days: Days, told: Sequence[Finding]
) -> list[tuple[object, str]]:
    units, table = units_of(read), read.table
    levels = [finding.level for finding in told]
    counts = [f"{many} {word}{'s' * (many > 1)}" for word in (STOP, CAUTION, "note") if (many := levels.count(word))]
    counted = (", ".join(counts) or "none", FILLS[next(level for level in FILLS if level in levels)] if levels else "")
    says = certificate_on(days, wrench.calibrated, wrench.valid_until)
    if (resting := wrench.out_of_service) and resting[0] <= days.last and days.first <= resting[1]:
        says += "; out of service in these days"
    fine = says.startswith("valid") and "out of service" not in says
    certificate = f"{words.get('certificate') or 'number not stated'}, calibrated {day(wrench.calibrated)}"
    cells: list[tuple[object, str]] = [
        (wrench.name, FILLS[STOP] if wrench.faults else ""), (name, ""), (certificate, ""),
        (day(wrench.valid_until), ""), (says, "" if fine else FILLS[CAUTION]),
    ]  # fmt: skip
    if table is None:
        return [*cells, ("no table that can be read", FILLS[STOP]), ("", ""), ("", ""), counted]
    p, t = table.pressure, table.torque
    low, high = (amount(float(p[i]), "pressure", units) for i in (0, -1))
    least, most = (amount(float(t[i]), "torque", units) for i in (0, -1))
    about = amount(float(torque_at_rating(p, t, wrench.rated_pressure)), "torque", units, digits=4)
    rated = amount(wrench.rated_torque, "torque", units) if not math.isnan(wrench.rated_torque) else "not stated"
    links = ", ".join(f"{k.name}{f' × {figure(k.factor)}' if k.factor != 1 else ''}" for k in wrench.links)
    return [*cells, (f"{len(p)} rows, {low} to {high}, {least} to {most}", ""),
            (f"about {about}; rated torque {rated}", ""), (links or "none", "" if links else FILLS[STOP]),
            counted]  # fmt: skip


def _gauges(sheet: Any, row: int, book: WrenchBook, days: Days) -> int:
    head = ("Gauge", "Unit", "Certificate", "Valid until", "On the days of the jobs")
    return _rows(sheet, row, head, [
        (gauge.name, book.sources["gauge", gauge.name].units["pressure"],
         book.sources["gauge", gauge.name].words.get("certificate") or "not stated", gauge.calibrated,
         gauge.valid_until)
        for gauge in book.gauges.values()
    ], days)  # fmt: skip


def _equipment(sheet: Any, row: int, book: WrenchBook, days: Days) -> int:
    head = ("Other tool", "Kind", "Certificate", "Valid until", "On the days of the jobs")
    tools = [(tool.name, tool.kind, tool.words.get("certificate") or "not stated", tool.calibrated, tool.valid_until)
             for tool in book.equipment]  # fmt: skip
    return _rows(sheet, row, head, tools, days) if tools else row


def _rows(sheet: Any, row: int, head: Sequence[str], tools: Sequence[tuple[Any, ...]], days: Days) -> int:
    for column, text in enumerate(head, start=1):
        _put(sheet, row, column, text, bold=True, fill="D9E2E7")
    for name, kind, certificate, calibrated, until in tools:
        row += 1
        says = certificate_on(days, calibrated, until)
        needless = math.isnan(until) and kind not in (HOSE,) and "not stated" in says
        for column, value in enumerate((name, kind, certificate, day(until), says), start=1):
            odd = column == 5 and not says.startswith("valid") and not needless
            _put(sheet, row, column, value, fill=FILLS[CAUTION] if odd else "")
    return row


# --- the curves -----------------------------------------------------------------------------------------------------


def _curves(copy: Any, book: WrenchBook, source: Path) -> None:
    """A sheet with the points of each table and its chart; odd points stand out."""
    read = [(name, sheet) for (file, name), sheet in book.sheets.items() if file == source.name and sheet.table]
    if not read:
        return
    from openpyxl.worksheet.pagebreak import Break

    page = copy.create_sheet(_free(copy, CURVES), 1)
    row = 1
    for number, (name, sheet) in enumerate(read, start=1):
        table = sheet.table
        if table is None:
            continue
        odd = {finding.row for finding in table.findings if finding.code == "table_off_line"}
        wrench = sheet.wrench.name if sheet.wrench else name
        row = add_chart(page, row, f"{wrench} (sheet {name})", table, odd)
        if number % 3 == 0:
            page.row_breaks.append(Break(id=row - 1))
    _one_page_wide(page, landscape=False)
