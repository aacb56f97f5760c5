"""A small run of `tests/record_story.py`: every kind of joint and exception, from record sheets to the hand-over."""

from pathlib import Path

import openpyxl
from record_story import EXCEPTIONS, story


def test_sixty_joints_of_three_crews(tmp_path: Path) -> None:
    """Two cells a sheet (name, day), one a joint; the exceptions have cells of their own."""
    lines = story(tmp_path, 60, pdf=False)

    cells = 3 * 2 + (60 - len(EXCEPTIONS)) + sum(len(cells) for _, cells, _ in EXCEPTIONS)
    assert any(line.startswith(f"cells typed: {cells}, ") for line in lines)
    page = openpyxl.load_workbook(tmp_path / "handed" / "story-hand-over.xlsx")["Certificates"]
    said = {row[0]: (row[1], row[-1]) for row in page.iter_rows(values_only=True)}
    assert said["HT-1"] == ("hand torque wrench", "yes")
    assert said["HT-9"] == ("hand torque wrench", "not in the wrench book: not checked")
    assert said["HW-13"] == ("wrench", "yes")
    assert said["HW-8"][1] == "no: not on 2026-10-05"
