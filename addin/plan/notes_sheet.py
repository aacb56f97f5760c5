"""The sheet of notes in a planned copy: counts, settings, reading, and every finding with a link to its cell."""

from collections.abc import Iterable, Iterator
from typing import Any

from addin.plan.counts import PlanCounts
from addin.plan.record import JointEntry, PlanHead

SHEET = "Notes of the plan"
_WIDTHS = (12, 90, 26, 34)
_LINKED = 20_000
"""Most lines of findings: each has a link."""


class PlanNotes:
    """Collects what the sheet says, joint by joint."""

    def __init__(self) -> None:
        self._findings: dict[tuple[str, str, str], list[tuple[str, str]]] = {}
        self._counts = PlanCounts()

    def add(self, joint: JointEntry) -> None:
        """One joint."""
        for finding in joint.findings:
            places = self._findings.setdefault((finding.level, finding.code, finding.text), [])
            places.append((finding.place or "", f"{joint.joint} | {joint.operation}"))
        self._counts.add(joint)

    def sheet(self, head: PlanHead, where: str) -> Any:
        """The sheet, as one of openpyxl; `where` says where the results stand."""
        import openpyxl
        from openpyxl.styles import Alignment, Font
        from openpyxl.worksheet.hyperlink import Hyperlink

        sheet = openpyxl.Workbook().worksheets[0]
        sheet.title = SHEET
        for letter, width in zip("ABCD", _WIDTHS, strict=True):
            sheet.column_dimensions[letter].width = width
        for number, (bold, line) in enumerate(self._lines(head, where), 1):
            for column, value in enumerate(line, 1):
                cell = sheet.cell(number, column)
                cell.value = value
                if isinstance(value, str):
                    cell.data_type = "s"  # never a formula
                cell.font, cell.alignment = Font(bold=bold), Alignment(wrap_text=column == 2, vertical="top")
                if column == 3 and not bold and (target := _target(str(value or ""))):
                    cell.hyperlink = Hyperlink(ref=cell.coordinate, location=target)
        return sheet

    def _lines(self, head: PlanHead, where: str) -> Iterator[tuple[bool, tuple[Any, ...]]]:
        yield True, (f"Notes of the plan of {head.list_file}, sheet {head.sheet}",)
        yield False, ("", f"{head.program}; {where}")
        for name, counts in self._counts.rows.items():
            yield True, (f"By {name}", None, "rows")
            for each, count in sorted(counts.items()):
                yield False, ("", each, count)
        yield True, ("By hours", None, "hours")
        for day, hours in sorted(self._counts.hours["day"].items()):
            yield False, ("", day, round(hours, 1))
        yield False, ("", "planned rows whose time is not known", self._counts.untimed)
        yield True, ("Settings",)
        for field in head.settings.__struct_fields__:
            value = getattr(head.settings, field)
            if isinstance(value, (str, int, float)):
                yield False, ("", field.replace("_", " "), value)
        yield True, ("Reading", "heading", "column", "understood as")
        for column in head.columns:
            unit = f", {column.unit}" if column.unit else ""
            yield False, ("", column.heading, column.column, f"{column.field or 'not used'}{unit}")
        for text in head.reading:
            yield False, ("", text)
        yield True, ("Findings", "what, grouped by cause", "cell", "joint | operation")
        yield from ((False, line) for line in self._found())

    def _found(self) -> Iterable[tuple[Any, ...]]:
        keys = sorted(self._findings, key=lambda key: (key[0] != "stop", key[1], -len(self._findings[key])))
        lines = [
            (level if not at else "", text if not at else "", *place)
            for level, code, text in keys
            for at, place in enumerate(self._findings[level, code, text])
        ]
        more = len(lines) - _LINKED
        return [*lines[:_LINKED], ("", f"and {more:,} more")] if more > 0 else lines


def _target(place: str) -> str:
    """A place as a link names it; "Joints!row 7" leads to the first cell of that row."""
    sheet, mark, cell = place.rpartition("!")
    cell = f"A{cell[4:]}" if cell.startswith("row ") else cell
    quoted = sheet.replace("'", "''")
    return f"'{quoted}'!{cell}" if mark and cell.isalnum() else ""
