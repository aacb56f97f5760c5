"""Three hundred joints for three crews, from record sheets to the hand-over, one in twenty not as planned.

`python tests/record_story.py FOLDER [JOINTS]` plans an invented list, prints its record sheets, types into them what a
crew would type, takes them back, compares every joint with what must come of it, counts the cells that were typed, and
prints the hand-over to PDF. One, two and four wrenches, joints by hand and break-outs are among them.
"""

import datetime
import sys
from pathlib import Path
from typing import Any

import openpyxl
from click.testing import CliRunner, Result

sys.path.insert(0, str(Path(__file__).parent))  # pytest, looking for doctests, imports this file by its path

from addin.cli import main  # noqa: E402
from addin.records.record_fields import HEADINGS  # noqa: E402
from addin.shipped import folder  # noqa: E402
from calc.review.as_tightened import AGREES, OPEN, PART, REVIEW, TO_COMPLETE  # noqa: E402

SAMPLES = folder("samples")
MAKE = "final make-up"
CREWS = ("A", "B", "C")
FIRST = datetime.date(2026, 10, 5)
# kind: the row of the sample list it is a copy of, what differs, and how many of twenty joints
KINDS: dict[str, tuple[tuple[str, str], dict[str, Any], int]] = {
    "one wrench": (("V-1101-N1", MAKE), {}, 8),
    "one wrench, bar": (("V-502-N1", MAKE), {}, 2),
    "two wrenches": (("C-1301-SUC", MAKE), {}, 3),
    "four wrenches": (("E-1204-GF", MAKE), {"Wrench": "HW-3, HW-4, HW-13, HW-14", "Wrenches together": 4}, 1),
    "by hand": (("V-1101-N3", MAKE), {}, 5),
    "break-out": (("V-1101-MH", "break"), {}, 1),
}
# what a crew types where a joint did not go as planned: kind, cells, what must come of it
EXCEPTIONS: tuple[tuple[str, dict[str, Any], str], ...] = (
    ("one wrench", {"done": "as planned", "wrench": "HW-8", "gauge": "G-1", "link": "2 in socket"}, REVIEW),
    ("one wrench", {"done": "as planned", "passes": "1-2"}, PART),
    ("one wrench", {"done": "as planned", "lubricant": "L-10"}, REVIEW),
    ("one wrench", {"done": "as planned", "studs_left": "7"}, REVIEW),
    ("one wrench", {"done": "as planned", "grade_found": "B16"}, REVIEW),
    ("one wrench", {"done": "as planned", "card": "1C04-77AB"}, REVIEW),
    ("one wrench", {}, OPEN),
    ("one wrench, bar", {"done": "as planned", "pump": "P-77"}, REVIEW),
    ("two wrenches", {"done": "as planned", "wrench": "HW-3, HW-4", "pressure": "{one}, {one}"}, AGREES),
    ("two wrenches", {"done": "as planned", "wrench": "HW-3"}, REVIEW),
    ("four wrenches", {"done": "as planned", "remarks": "one hose changed"}, AGREES),
    ("by hand", {"done": "as planned", "wrench": "HT-9"}, REVIEW),
    ("by hand", {"done": "as planned", "torque": 150, "torque_unit": "lbf·ft"}, REVIEW),
    ("by hand", {"done": "as planned", "witness": "W. Itness"}, AGREES),
    ("break-out", {"done": "as planned", "pressure": 9000, "pressure_unit": "psi"}, REVIEW),
)  # fmt: skip


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


def make_list(path: Path, joints: int) -> dict[tuple[str, str], str]:
    """The list: copies of rows of the sample list under tags of their own; gives the kind of each joint."""
    book = openpyxl.load_workbook(SAMPLES / "drigrauvex-joints.xlsx")
    sheet = book["Joints"]
    head = [cell.value for cell in sheet[5]]
    rows = {(row[0], row[1]): row for row in sheet.iter_rows(min_row=6, values_only=True) if row[0]}
    sheet.delete_rows(6, sheet.max_row)
    crew = len(head) + 1
    sheet.cell(5, crew).value = "Crew"
    cycle = [kind for kind, (_, _, count) in KINDS.items() for _ in range(count)]
    found = {}
    for number in range(joints):
        kind = cycle[number % len(cycle)]
        key, changes, _ = KINDS[kind]
        row = dict(zip(head, rows[key], strict=True)) | changes
        row |= {"Joint": f"J-{number + 1:03d}", "Job date": FIRST + datetime.timedelta(days=number // 60)}
        for column, name in enumerate(head, 1):
            sheet.cell(6 + number, column).value = row[name]
        sheet.cell(6 + number, crew).value = CREWS[number % len(CREWS)]
        found[row["Joint"], str(row["Operation"])] = kind
    for name in book.sheetnames:
        if name != "Joints":
            del book[name]
    book.save(path)
    return found


def make_book(path: Path) -> None:
    """The wrench book: two wrenches more for four at once, and a hand torque wrench."""
    book = openpyxl.load_workbook(SAMPLES / "drigrauvex-wrenches.xlsx")
    for name in ("HW-3", "HW-4"):
        copy = book.copy_worksheet(book[name])
        other = f"HW-1{name[-1]}"
        copy.title = copy["B1"].value = other
        for row in range(1, copy.max_row + 1):
            if copy.cell(row, 1).value in ("Serial number", "Certificate"):
                copy.cell(row, 2).value = f"{copy.cell(row, 2).value}-X"
    page = book.create_sheet("Hand torque wrenches")
    page.append(["Hand torque wrench", "From (ft-lb)", "To (ft-lb)", "Resolution (ft-lb)", "Serial number",
                 "Certificate", "Calibrated on", "Valid until"])  # fmt: skip
    page.append(["HT-1", 20, 250, 1, "HT-26-1", "DX-26-301", datetime.date(2026, 6, 1), datetime.date(2027, 5, 31)])
    book.save(path)


def type_records(path: Path, kinds: dict[tuple[str, str], str]) -> tuple[int, dict[tuple[str, str], str]]:
    """Type what crews type; gives the count of cells and what must come of each joint."""
    book = openpyxl.load_workbook(path)
    left = list(EXCEPTIONS)
    expected = {}
    count = 0
    for page in book.worksheets:
        if page.title == "Scans":
            continue
        head = next(row for row in range(1, 20) if page.cell(row, 1).value == "Joint")
        names = {page.cell(head, column).value: column for column in range(1, page.max_column + 1)}
        labels = {page.cell(row, 1).value: row for row in range(1, head)}
        page.cell(labels["Done by"], 2).value = f"Leader of {page.title[-1]}"
        page.cell(labels["Date"], 2).value = datetime.date.fromisoformat(page.title[:10])
        count += 2
        for row in range(head + 1, page.max_row + 1):
            key = page.cell(row, 1).value, page.cell(row, 2).value
            if key not in kinds:
                continue
            odd = next((each for each in left if each[0] == kinds[key]), None)
            cells, expected[key] = ({"done": "as planned"}, AGREES) if odd is None else odd[1:]
            if odd is not None:
                left.remove(odd)
            planned = str(page.cell(row, names["Planned pressure"]).value or "")
            for field, value in cells.items():
                typed = value.replace("{one}", planned) if isinstance(value, str) else value
                page.cell(row, names[HEADINGS[field]]).value = typed
                count += 1
    book.save(path)
    assert not left, f"no joint for {left}"
    return count, expected


def story(out: Path, joints: int = 300, *, pdf: bool = True) -> list[str]:
    """The whole of it; gives lines to print. Raises AssertionError where a joint is not what it must be."""
    out.mkdir(parents=True, exist_ok=True)
    kinds = make_list(out / "story.xlsx", joints)
    make_book(out / "book.xlsx")
    planned = run("plan", out / "story.xlsx", "--wrenches", out / "book.xlsx", "--out", out, "--breakout-factor", 1.5,
                  "--overwrite")  # fmt: skip
    assert f"{joints} rows: {joints} planned" in planned.output, planned.output
    packed = run("pack", out / "story-plan.json", "--out", out, "--only", "record", "--overwrite")
    assert packed.exit_code == 0, packed.output
    sheets = out / "story-record-sheets.xlsx"
    count, expected = type_records(sheets, kinds)
    more = ["--pdf"] if pdf else []
    recorded = run(
        "record", out / "story-plan.json", sheets, "--out", out / "handed", "--overwrite", "--list",
        out / "story.xlsx", "--csv", *more, "--project", "Autumn outage", "--site", "Drigrauvex",
    )  # fmt: skip
    page = openpyxl.load_workbook(out / "handed" / "story-hand-over.xlsx")["Joints"]
    rows = list(page.iter_rows(values_only=True))
    at = rows[0].index("Status")
    found = {(row[0], row[1]): row[at] for row in rows[1:]}
    wrong = {key: (found[key], status) for key, status in expected.items() if found[key] != status}
    assert not wrong, f"{wrong}\n{recorded.output}"
    assert "NOT READ" not in recorded.output, recorded.output
    assert TO_COMPLETE not in found.values()
    states = {status: sum(each == status for each in found.values()) for status in sorted(set(found.values()))}
    return [
        f"{joints} joints, {len(CREWS)} crews, {len(EXCEPTIONS)} of them not as planned",
        *(f"  {kind}: {sum(each == kind for each in kinds.values())}" for kind in KINDS),
        f"cells typed: {count}, {count / joints:.2f} a joint; joint, operation, card, word, day, name: {6 * joints}",
        *(f"  {status}: {number}" for status, number in states.items()),
        recorded.output.splitlines()[-1],
    ]


if __name__ == "__main__":
    print("\n".join(story(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 300)))
