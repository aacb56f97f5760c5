"""Two banners over the same columns: a row holds two joints, and neither is planned before somebody parts them."""

from pathlib import Path

import openpyxl

from addin.reading.joint_list import read_joint_list


def test_it_is_asked_and_none_of_the_columns_is_taken(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append(["Joint", "Operation", "Method", "Inlet flange", None, None, "Outlet flange", None, None])
    sheet.append([None, None, None, *["Thread", "Qty", "Torque (N·m)"] * 2])
    for area in ("A1:A2", "B1:B2", "C1:C2", "D1:F1", "G1:I1"):
        sheet.merge_cells(area)
    for number in range(6):
        sheet.append([f"P-{number}", "final make-up", "hand", "M20", 8, 250, "M24", 12, 400])
    book.save(tmp_path / "list.xlsx")

    read = read_joint_list(tmp_path / "list.xlsx")

    assert [question.text for question in read.questions] == [
        "columns D to I: 'Inlet flange' and 'Outlet flange' stand over the same columns: each row holds two joints; "
        "give each a row of its own, or answer 'not used' for the columns of one of them"
    ]
    assert [each.state for each in read.understood.columns[3:]] == ["asked"] * 6
