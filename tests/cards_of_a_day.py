"""Three hundred joints of one day for three crews, from the list to the printed pages, each page read back.

`python tests/cards_of_a_day.py FOLDER [JOINTS] [PAPER]` plans an invented list of one, two and four wrenches, joints by
hand, break-outs and retightenings with 4 to 120 studs, packs it by crew, prints the cards through LibreOffice, and
checks on the pages themselves: two pages a card, pressures, order, cautions and stop lines on the first, the mark of
the first card of every file read back by a library that did not make it. It prints what it counted.
"""

import datetime
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import zxingcpp
from click.testing import CliRunner, Result

sys.path.insert(0, str(Path(__file__).parent))  # pytest, looking for doctests, imports this file by its path

from record_story import MAKE, SAMPLES, make_book  # noqa: E402

from addin.cards.issue import CARD_PARTS  # noqa: E402
from addin.cli import main  # noqa: E402

DAY = datetime.date(2026, 10, 12)
CREWS = ("A", "B", "C")
COPIED = "E-1204-N1", MAKE
FOUR = {"Wrench": "HW-3, HW-4, HW-13, HW-14", "Wrenches together": 4}
# row of the sample list, and what differs
KINDS: tuple[tuple[tuple[str, str], dict[str, Any]], ...] = (
    (("V-1101-N1", MAKE), {}),
    (("V-1101-N3", MAKE), {}),
    (("V-502-N1", MAKE), {}),
    (("C-1301-SUC", MAKE), {}),
    (("V-1101-MH", "break"), {}),
    (("E-1204-GF", MAKE), {**FOUR, "Studs": 40}),
    (("V-1101-N7", MAKE), {"Studs": 4}),
    (("E-1204-CH", MAKE), {}),
    (("E-1205-FH", MAKE), {}),
    (("T-1401-BTM", "retighten"), {}),
    (("T-1401-HF", MAKE), {}),
    (("E-1204-GF", MAKE), {"Studs": 72}),
    (("V-1302-MH", MAKE), {}),
    (("E-1204-GF", MAKE), {**FOUR, "Studs": 84}),
    (("T-1401-HF", MAKE), {"Studs": 100}),
    (("V-1101-N3", MAKE), {"Studs": 8}),
    (("T-1401-HF", MAKE), {"Studs": 120, "Wrench": "HW-3, HW-4", "Wrenches together": 2}),
    (("P-1601A-DIS", MAKE), {}),
    (("E-1204-GF", MAKE), {"Studs": 36, "Order": "groups of 3", "Wrench": None, "Wrenches together": None}),
    (("V-1101-MH", "break"), {"Studs": 44}),
)  # fmt: skip


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


def make_list(path: Path, joints: int) -> None:
    """The list: copies of rows of the sample list under tags of their own, all of one day."""
    book = openpyxl.load_workbook(SAMPLES / "drigrauvex-joints.xlsx")
    sheet = book["Joints"]
    head = [cell.value for cell in sheet[5]]
    rows = {(row[0], row[1]): row for row in sheet.iter_rows(min_row=6, values_only=True) if row[0]}
    sheet.delete_rows(6, sheet.max_row)
    more = ("Crew", "Shift", "Work sequence", "Work order", "Hold point", "Witness point")
    for column, name in enumerate(more, len(head) + 1):
        sheet.cell(5, column).value = name
    for number in range(joints):
        key, changes = KINDS[number % len(KINDS)]
        row = dict(zip(head, rows[key], strict=True)) | changes
        row |= {"Joint": f"J-{number + 1:03d}", "Job date": DAY}
        row |= {"Crew": CREWS[number % len(CREWS)], "Shift": "day", "Work sequence": number // len(CREWS) + 1}
        row |= {"Work order": f"WO-{4000 + number}", "Hold point": "3" if number % 40 == 0 else None}
        row |= {"Witness point": "all" if number % 50 == 7 else None}
        for column, name in enumerate([*head, *more], 1):
            sheet.cell(6 + number, column).value = row[name]
    for name in book.sheetnames:
        if name != "Joints":
            del book[name]
    book.save(path)


def day(out: Path, joints: int = 300, paper: str = "A4") -> list[str]:
    """The whole of it; gives lines to print. Raises AssertionError where a page is not as it must be."""
    out.mkdir(parents=True, exist_ok=True)
    make_list(out / "day.xlsx", joints)
    make_book(out / "book.xlsx")
    planned = run("plan", out / "day.xlsx", "--wrenches", out / "book.xlsx", "--out", out / "plan",
                  "--breakout-factor", 1.5, "--overwrite")  # fmt: skip
    assert f"{joints} rows: {joints} planned" in planned.output, planned.output
    whole = run("pack", out / "plan" / "day-plan.json", "--out", out / "pack", "--by", "crew", "--overwrite")
    assert f"{joints} cards, 0 rows without a card, 0 refused" in whole.output, whole.output
    cards_alone = [word for part in CARD_PARTS for word in ("--only", part)]
    packed = run("pack", out / "plan" / "day-plan.json", "--out", out / paper, "--by", "crew", "--paper", paper,
                 "--pdf", "--overwrite", *cards_alone)  # fmt: skip
    lines = [line for line in planned.output.splitlines() if "planned" in line]
    cards = 0
    for pdf in sorted((out / paper).rglob("*cards*.pdf")):
        counted, said = pages(pdf)
        cards += counted
        lines.append(said)
    assert cards == joints, f"{cards} cards on paper of {joints}\n{packed.output}"
    return [*lines, packed.output]


def pages(pdf: Path) -> tuple[int, str]:
    """Cards of a file, with what each says on its first page; the mark of the first read back."""
    text = subprocess.run(["pdftotext", "-layout", pdf, "-"], check=True, capture_output=True, text=True).stdout
    sheets = [page for page in text.split("\f") if page.strip()]
    heads = [at for at, page in enumerate(sheets) if re.search(r"page 1 of 2\b", page)]
    for at in heads:
        first, second = sheets[at], sheets[at + 1] if at + 1 < len(sheets) else ""
        tag = re.findall(r"\bJ-\d{3}\b", first)[0]
        assert all(words in second for words in ("page 2 of 2", tag)), f"{pdf.name}, {tag}: no second page"
        for words in ("TO SET", "STOP, ", "Before and while working"):
            assert words.casefold() in first.casefold(), f"{pdf.name}, {tag}: '{words}' not on page 1"
    marks = read_marks(pdf, heads[0] + 1) if heads else []
    return len(heads), f"{pdf.parent.name}/{pdf.name}: {len(sheets)} pages, {len(heads)} cards, first mark {marks}"


def read_marks(pdf: Path, page: int) -> list[str]:
    """The marks on a page, as another library reads them off its picture."""
    shown = pdf.with_suffix("")
    drawn = ["pdftoppm", "-r", "200", "-gray", "-f", str(page), "-l", str(page), "-singlefile", pdf, shown]
    subprocess.run(drawn, check=True)
    kind, size, most, pixels = shown.with_suffix(".pgm").read_bytes().split(b"\n", 3)
    shown.with_suffix(".pgm").unlink()
    width, height = map(int, size.split())
    return [found.text for found in zxingcpp.read_barcodes(np.frombuffer(pixels, np.uint8).reshape(height, width))]


if __name__ == "__main__":
    print(*day(Path(sys.argv[1]), *map(int, sys.argv[2:3]), *sys.argv[3:4]), sep="\n")
