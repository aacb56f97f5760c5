"""The record sheet that we ship, typed into: its texts and headings without its looks and its other sheets."""

from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl

from addin.records.record_fields import HEADINGS
from addin.shipped import template


@cache
def _texts() -> tuple[tuple[Any, ...], ...]:
    """What stands on the sheet down to its headings, read once."""
    rows = list(openpyxl.load_workbook(template("record sheet"))["Records"].iter_rows(max_row=20, values_only=True))
    return tuple(rows[: 1 + next(number for number, row in enumerate(rows) if row[0] == "Joint")])


def typed_records(path: Path, rows: Iterable[Mapping[str, Any]]) -> Path:
    """A workbook of these rows, each by field or heading: a text stays one, whatever it begins with."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Records"
    texts = _texts()
    for line in texts:
        sheet.append(line)
    columns = {heading: column for column, heading in enumerate(texts[-1], 1)}
    for number, row in enumerate(rows, len(texts) + 1):
        for name, value in row.items():
            cell = sheet.cell(number, columns[HEADINGS.get(name, name.capitalize())])
            cell.value = value
            if isinstance(value, str):
                cell.data_type = "s"
    book.save(path)
    return path
