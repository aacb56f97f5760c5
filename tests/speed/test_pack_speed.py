"""500 joint cards in one workbook against copying the template sheet with openpyxl, in one run.

The copy leaves out pictures, print set-up and conditional formats and fills no more than the cells with tokens, so it
does less. Peak memory is measured in a process of its own.
"""

import re
import subprocess
import sys
import time
from pathlib import Path

from openpyxl import load_workbook

from addin.cards.sheets import write_pack
from addin.plan.file import entry_line, write_plan
from addin.shipped import template

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests"))
import small_plans  # noqa: E402

CARDS = 500
MIB = 1024  # of what the system reports, in KiB

_MEMORY = """
import resource, sys
from pathlib import Path
from addin.cards.sheets import write_pack
from addin.plan.file import read_plan
write_pack(read_plan(Path(sys.argv[1])), Path(sys.argv[2]), Path(sys.argv[3]))
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def plan_of_many():
    counts = (8, 12, 16, 20, 24, 28, 36, 44, 64)
    rows = [small_plans.joint(f"E-{1000 + number}", studs=counts[number % len(counts)]) for number in range(CARDS)]
    return small_plans.plan(*rows), template("joint card")


def copy_with_openpyxl(template, target):
    book = load_workbook(template)
    sheet = book.worksheets[0]
    tokens = [cell for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str) and "{{" in cell.value]
    for number in range(CARDS):
        copy = book.copy_worksheet(sheet)
        copy.title = f"E-{1000 + number}"
        for cell in tokens:
            copy[cell.coordinate].value = re.sub(r"\{\{[^{}]*\}\}", f"value {number}", cell.value)
    book.save(target)


def test_500_cards(tmp_path, capsys):
    plan, form = plan_of_many()
    # first, since a new process starts with the peak of the one that made it
    write_plan(plan.head, map(entry_line, plan.joints), tmp_path / "plan.json")
    files = [str(tmp_path / "plan.json"), str(form), str(tmp_path / "measured.xlsx")]
    run = subprocess.run([sys.executable, "-c", _MEMORY, *files], check=True, capture_output=True, text=True, cwd=ROOT)
    peak = int(run.stdout) / MIB
    start = time.perf_counter()
    report = write_pack(plan, form, tmp_path / "cards.xlsx")
    ours = time.perf_counter() - start
    start = time.perf_counter()
    copy_with_openpyxl(form, tmp_path / "copied.xlsx")
    theirs = time.perf_counter() - start
    size = (tmp_path / "cards.xlsx").stat().st_size / 2**20

    with capsys.disabled():
        print(f"\n{CARDS} cards: {ours:.2f} s, {peak:.0f} MiB at most, file {size:.1f} MiB")
        print(f"openpyxl copies: {theirs:.2f} s, {theirs / ours:.1f} times as long")
    assert len(report.cards) == CARDS
    assert theirs / ours > 10
    assert peak < 200
