"""Speed and memory of planning, as ratios of processor time in one run: `python tests/speed/plan_speed.py [ROWS]`.

A list of ROWS x 40 columns (10,000 where nothing is said) is made from the sample joints, as a spreadsheet program
would store it. Compared are: planning alone
with openpyxl's load of that list, and the whole `plan` command with openpyxl's load + save of it.
"""

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import openpyxl
import xlsxwriter

from addin.reading.joint_list import read_joint_list
from addin.shipped import folder
from addin.wrenches.wrench_book import read_wrench_book
from calc.plan.joints import PlanSettings
from calc.plan.plan import plan_joints
from calc.units import system

SAMPLES = folder("samples")
BOOK = SAMPLES / "drigrauvex-wrenches.xlsx"
COLUMNS = 40

LOAD_AND_SAVE = """
import sys, openpyxl
book = openpyxl.load_workbook(sys.argv[1]); book.save(sys.argv[2])
"""


def make_list(path: Path, rows: int) -> None:
    """A list as planners have them: the sample's stress rows again and again, each with a tag of its own.

    It has the headings of the sample that most of these rows fill, and columns of the planner up to 40, all filled.
    """
    sample = list(openpyxl.load_workbook(SAMPLES / "drigrauvex-joints.xlsx")["Joints"].iter_rows(values_only=True))
    at = next(i for i, row in enumerate(sample) if row[0] == "Joint")
    stress = sample[at].index("Stress (psi)")
    body = [row for row in sample[at + 1 :] if isinstance(row[stress], int)]
    chosen = [k for k in range(len(sample[at])) if sum(row[k] is not None for row in body) > len(body) / 2]
    extra = COLUMNS - len(chosen)
    book = xlsxwriter.Workbook(path, {"strings_to_formulas": False, "default_date_format": "yyyy-mm-dd"})
    sheet = book.add_worksheet("Joints")
    sheet.write_row(0, 0, [*(sample[at][k] for k in chosen), *(f"Planner's column {k + 1}" for k in range(extra))])
    for number in range(rows):
        row = body[number % len(body)]
        own = [f"DWG-{number:05d}-{k}" if k % 3 else round(number * 1.37 + k, 2) for k in range(extra)]
        sheet.write_row(number + 1, 0, [f"{row[0]}-{number}", *(row[k] for k in chosen[1:]), *own])
    book.close()


def run(*command: str) -> tuple[float, float]:
    """Processor seconds and peak memory [MB] of a process of its own; other work on the machine does not count."""
    code = (
        "import resource, subprocess, sys; p = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL);"
        "r = resource.getrusage(resource.RUSAGE_CHILDREN);"
        "print(r.ru_utime + r.ru_stime, r.ru_maxrss); sys.exit(p.returncode == 2)"
    )
    done = subprocess.run([sys.executable, "-c", code, *command], capture_output=True, text=True, check=True)
    seconds, kilobytes = done.stdout.split()
    return float(seconds), int(kilobytes) / 1024


def main() -> None:
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    with tempfile.TemporaryDirectory() as folder_name:
        out = Path(folder_name)
        path = out / "list.xlsx"
        make_list(path, rows)
        start = time.process_time()
        openpyxl.load_workbook(path, read_only=False)
        load = time.process_time() - start
        book = read_wrench_book(BOOK, system("US"))
        joint_list = read_joint_list(path)
        times = []
        for _ in range(5):
            start = time.process_time()
            plan_joints(joint_list.rows.joints, book.wrenches, book.gauges, book.lubricants, PlanSettings())
            times.append(time.process_time() - start)
        planning = min(times)
        theirs, their_memory = run(sys.executable, "-c", LOAD_AND_SAVE, str(path), str(out / "copy.xlsx"))
        ours, our_memory = run(sys.executable, "-P", "-m", "addin", "plan", str(path), "--wrenches", str(BOOK), "--out",
                               str(out / "out"))  # fmt: skip
        assert list((out / "out").glob("*-planned.xlsx")), "the plan command wrote nothing"
    print(f"{rows} rows x {COLUMNS} columns; this process peaked at "
          f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")  # fmt: skip
    print(
        f"planning alone       {planning:7.2f} s   openpyxl load          {load:7.2f} s   ratio {planning / load:.3f}"
    )
    print(f"tautsheet plan       {ours:7.2f} s   openpyxl load + save   {theirs:7.2f} s   ratio {ours / theirs:.3f}")
    print(f"peak memory          {our_memory:7.0f} MB  openpyxl load + save   {their_memory:7.0f} MB")


if __name__ == "__main__":
    main()
