"""A sheet of answers after it was used: each line says who signed it, and the place to sign is free again."""

from pathlib import Path

from addin.reading.answer_sheet import SHEET, AnswerSheet, as_written

_ANSWER, _UNIT, _STATE, _BY, _WRITTEN = 4, 5, 7, 8, 9


def write_signed(answers: AnswerSheet, target: Path) -> None:
    """Write a sheet of answers anew with its signature beside each line that it covers, and none at its head.

    What is changed later is then open until somebody signs again, as in a planned copy.
    """
    import openpyxl
    from openpyxl.styles import PatternFill

    if answers.path is None:
        return
    book = openpyxl.load_workbook(answers.path)
    page = book[next(name for name in book.sheetnames if name.casefold() == SHEET.casefold())]
    for line in (*answers.columns, *answers.whole, *answers.values, *answers.waiting):
        if line.by or not line.answer:
            continue
        texts = {_STATE: "confirmed", _BY: answers.by, _WRITTEN: as_written(line.answer, line.unit)}
        for column, text in texts.items():
            page.cell(line.row, column, text).data_type = "s"  # never a formula
        for column in (_ANSWER, _UNIT, _STATE):
            page.cell(line.row, column).fill = PatternFill()
    page["B3"] = page["D3"] = None
    book.save(target)
