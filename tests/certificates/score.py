"""How a program reads calibration tables as laboratories send them: `python tests/certificates/score.py [PYTHON]`.

PYTHON is the interpreter of any checkout of this program (this one's where nothing is said), so that two versions can
be compared. Each table in `tables/` is handed over as cells; with `--csv` it is written as a CSV file and goes through
the `tautsheet` command beside that interpreter, with `--sheets` it is pasted into a wrench sheet. Nothing of the
program is imported here: what is judged is the torque it answers at every pressure of the table, between them and
beyond the ends, and the sentences it gives.
"""

import argparse
import csv
import datetime
import json
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

TABLES = Path(__file__).parent / "tables"

# by definition: 1 lbf = 4.4482216152605 N, 1 in = 25.4 mm, 1 kgf = 9.80665 N
_LBF, _KGF, _INCH = 4.4482216152605, 9.80665, 0.0254
PASCAL = {"psi": _LBF / _INCH**2, "bar": 1e5, "MPa": 1e6, "kPa": 1e3, "kgf/cm2": _KGF * 1e4}
NEWTON_METRE = {
    "lbf.ft": _LBF * _INCH * 12,
    "lbf.in": _LBF * _INCH,
    "N.m": 1.0,
    "kN.m": 1e3,
    "daN.m": 10.0,
    "kgf.m": _KGF,
    "kgf.cm": _KGF / 100,
}

# what runs in the other interpreter: cells and pressures in, findings and torques out, a line of JSON each
ADAPTER = """
import importlib, json, sys
try:
    gate, registry = (importlib.import_module(f"addin.functions.{name}") for name in ("gate", "registry"))
except ImportError:  # as the rooms were called before
    gate, registry = (importlib.import_module(f"addin.worksheet.{name}") for name in ("cell", "functions"))
answer, BY_NAME = gate.answer, registry.BY_NAME
for line in sys.stdin:
    rows, pressures = json.loads(line)
    findings = answer(BY_NAME["table_findings"], [rows])
    torques = answer(BY_NAME["torque_at_pressure"], [[[p] for p in pressures], rows, "US"])
    cells = [row[0] for row in torques] if isinstance(torques, list) else [torques] * len(pressures)
    print(json.dumps([findings if isinstance(findings, list) else [[findings]], cells]), flush=True)
"""

# the same for the command: its arguments in, what it prints out
COMMANDS = """
import contextlib, io, json, sys
from addin.cli import main
for line in sys.stdin:
    sys.argv, said = ["tautsheet", *json.loads(line)], io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said), contextlib.suppress(SystemExit):
        main()
    print(json.dumps(said.getvalue().strip()), flush=True)
"""

# the same for wrench sheets: a book and pressures [Pa] in, findings and torques [lbf·ft] out
SHEETS = """
import importlib, importlib.util, json, math, sys
from pathlib import Path
from calc.units import system
from calc.wrench.calibration import torque_at
room = "addin.wrenches" if importlib.util.find_spec("addin.wrenches") else "addin.workbooks"
cells = "addin.cells" if importlib.util.find_spec("addin.cells") else "addin.worksheet"
words = importlib.import_module(f"{cells}.words")
read = importlib.import_module(f"{room}.wrench_book").read_wrench_book
for line in sys.stdin:
    path, pressures = json.loads(line)
    try:
        book = read(Path(path), system("US"))
    except Exception as error:
        print(json.dumps([[["stop", str(error)]], ["STOP"] * len(pressures)]), flush=True)
        continue
    said = [[f.level, words.line(f, system("US"))] for f in book.findings]
    curve = book.wrenches[0].curve if book.wrenches and not book.wrenches[0].faults else None
    torques = [float(torque_at(curve, p)) if curve is not None else math.nan for p in pressures]
    print(json.dumps([said, ["STOP" if math.isnan(t) else t / 1.3558179483314004 for t in torques]]), flush=True)
"""


@dataclass(frozen=True)
class Table:
    """One file: its cells, and what a careful engineer reads in them."""

    name: str
    kind: str
    cells: list[list[Any]]
    truth: dict[str, Any]
    tolerance: float

    @property
    def points(self) -> list[tuple[float, float]]:
        """Pressures [psi] and torques [lbf·ft], rising; none where a person must choose."""
        if self.kind != "plain":
            return []
        pressure = PASCAL[self.truth["pressure unit"]] / PASCAL["psi"]
        torque = NEWTON_METRE[self.truth["torque unit"]] / NEWTON_METRE["lbf.ft"]
        return [(p * pressure, t * torque) for p, t in self.truth["points"]]


def read(path: Path) -> Table:
    """A table's file."""
    data = json.loads(path.read_text(encoding="utf-8"))
    return Table(path.stem, data["kind"], data["cells"], data["truth"], data.get("tolerance per cent", 1.0))


def inside(table: Table) -> list[tuple[float, float]]:
    """Pressures within the table with their torques: every point and every middle; the ends a hair within."""
    points = table.points
    middles = [((a + c) / 2, (b + d) / 2) for (a, b), (c, d) in pairwise(points)]
    ends = [(points[0][0] * 1.0001, points[0][1]), (points[-1][0] * 0.9999, points[-1][1])]
    return sorted([*points[1:-1], *middles, *ends])


def outside(table: Table) -> list[float]:
    """Pressures at which nothing was measured: below the lowest point and above the highest."""
    return [table.points[0][0] * 0.8, table.points[-1][0] * 1.05]


def probes(table: Table) -> list[float]:
    """Pressures [psi] asked for: known ones of a plain table, a wide net where a person must choose."""
    if table.kind == "plain":
        return [p for p, _ in inside(table)] + outside(table)
    return [*(p * 10.0 for p in (5, 9, 14, 20, 31, 45, 60)), *range(850, 10200, 425)]


def by_cells(python: Path, tables: list[Table]) -> Iterator[tuple[list[Any], list[Any]]]:
    """Findings and torques through the registry of that interpreter."""
    lines = "".join(json.dumps([table.cells, probes(table)]) + "\n" for table in tables)
    with tempfile.TemporaryDirectory() as folder:
        run = subprocess.run([python, "-c", ADAPTER], input=lines, capture_output=True, text=True, cwd=folder)
    if run.returncode:
        sys.exit(run.stderr)
    for line in run.stdout.splitlines():
        findings, torques = json.loads(line)
        yield findings, torques


def by_csv(python: Path, tables: list[Table]) -> Iterator[tuple[list[Any], list[Any]]]:
    """Findings and torques through the command, each table a CSV file, all in one process."""
    with tempfile.TemporaryDirectory() as folder:
        calls: list[list[str]] = []
        for at, table in enumerate(tables):
            path = str(Path(folder) / f"{at}.csv")
            with open(path, "w", encoding="utf-8", newline="") as file:
                csv.writer(file).writerows(table.cells)
            calls.append(["call", "table_findings", path])
            calls += [["call", "torque_at_pressure", repr(p), path, "US"] for p in probes(table)]
        lines = "".join(json.dumps(call) + "\n" for call in calls)
        run = subprocess.run([python, "-c", COMMANDS], input=lines, capture_output=True, text=True, cwd=folder)
    if run.returncode:
        sys.exit(run.stderr)
    said = iter(json.loads(line) for line in run.stdout.splitlines())
    for table in tables:
        yield [line.split("\t") for line in next(said).splitlines()], [next(said) for _ in probes(table)]


def by_sheets(python: Path, tables: list[Table]) -> Iterator[tuple[list[Any], list[Any]]]:
    """Findings and torques through wrench sheets of a book, each table pasted below labels and links."""
    import xlsxwriter

    with tempfile.TemporaryDirectory() as folder:
        lines = []
        for at, table in enumerate(tables):
            path = Path(folder) / f"{at}.xlsx"
            book = xlsxwriter.Workbook(path, {"strings_to_formulas": False})
            sheet, day = book.add_worksheet("W-1"), book.add_format({"num_format": "yyyy-mm-dd"})
            top = table.points[-1][0] if table.points else 10_000.0
            labels: list[tuple[str, Any]] = [
                ("Wrench", "W-1"), ("Certificate", "C-1"), ("Calibrated on", datetime.date(2026, 1, 10)),
                ("Certificate valid until", datetime.date(2027, 1, 9)), ("Rated pressure (psi)", round(top)),
                ("Gauge", "G"),
            ]  # fmt: skip
            for row, (label, value) in enumerate(labels):
                sheet.write(row, 0, label)
                sheet.write(row, 1, value, day if isinstance(value, datetime.date) else None)
            sheet.write_row(7, 0, ["Link", "Across flats (mm)", "Torque factor"])
            sheet.write_row(8, 0, ["square", 60, 1])
            for row, cells in enumerate(table.cells, 10):
                for column, cell in enumerate(cells):
                    if cell is not None:
                        sheet.write(row, column, cell)
            gauges = book.add_worksheet("Gauges")
            gauges.write_row(0, 0, ["Gauge", "Unit", "Range", "Graduation", "Valid until"])
            gauges.write_row(1, 0, ["G", "bar", 1600, 10])
            gauges.write(1, 4, datetime.date(2027, 1, 9), day)
            book.close()
            lines.append(json.dumps([str(path), [p * PASCAL["psi"] for p in probes(table)]]) + "\n")
        run = subprocess.run([python, "-c", SHEETS], input="".join(lines), capture_output=True, text=True, cwd=folder)
    if run.returncode:
        sys.exit(run.stderr)
    for line in run.stdout.splitlines():
        findings, torques = json.loads(line)
        yield findings, torques


def number(cell: Any) -> float | None:
    """A torque, or None for a refusal."""
    try:
        return float(cell)
    except ValueError:
        return None


def lacking(table: Table, sentences: list[str], quoted: bool) -> list[list[str]]:
    """Key words that no sentence holds; unless quoted, words do not count that only repeat a heading of the table."""
    text = " ".join(sentences).lower()
    if not quoted:
        headings = {cell.lower() for row in table.cells for cell in row if isinstance(cell, str) and " " in cell}
        for heading in sorted(headings, key=len, reverse=True):
            text = text.replace(heading, " ")
    return [words for words in table.truth["key words"] if not any(word.lower() in text for word in words)]


def judge(table: Table, findings: list[Any], torques: list[Any]) -> tuple[str, str]:
    """The verdict on one table, and why."""
    said = [" ".join(str(part) for part in row if part) for row in findings]
    stops = [str(cell) for cell in torques if number(cell) is None]
    if table.kind != "plain":
        missing = lacking(table, [*said, *stops], quoted=True)
        if len(stops) < len(torques):
            return "wrongly read", f"{'nothing names' if missing else 'a caution names'} {table.truth['choice']}"
        why = next((line for line in [*said, *stops] if line), "")
        if missing:
            return "refused without the choice", why
        if lacking(table, [*said, *stops], quoted=False):
            return "refused, headings quoted only", why
        return "refused with the choice named", why
    known, beyond = inside(table), torques[-2:]
    answers = [number(cell) for cell in torques[: len(known)]]
    for (pressure, torque), answer in zip(known, answers, strict=True):
        if answer is not None and abs(answer / torque - 1) > table.tolerance / 100:
            return "wrongly read", f"{answer:.5g} instead of {torque:.5g} lbf·ft at {pressure:.5g} psi"
    if all(answer is None for answer in answers):
        return "refused", (said or stops)[0]
    for pressure, cell in zip(outside(table), beyond, strict=True):
        if number(cell) is not None:
            return "wrongly read", f"a torque at {pressure:.5g} psi, where nothing was measured"
    if None in answers:
        return "read in part", f"nothing at {known[answers.index(None)][0]:.5g} psi"
    cautions = [line for line in said if line.lower().startswith(("caution", "stop", "ask"))]
    return "read rightly", "; ".join(cautions)


def main() -> None:
    """Judges one interpreter's reading and prints a line for each table that is not read as it should be."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("python", nargs="?", type=Path, default=Path(sys.executable))
    parser.add_argument("--csv", action="store_true", help="through CSV files and the command")
    parser.add_argument("--sheets", action="store_true", help="pasted into wrench sheets of a book")
    parser.add_argument("--all", action="store_true", help="print every table")
    given = parser.parse_args()
    tables = [read(path) for path in sorted(TABLES.glob("*.json"))]
    tables.sort(key=lambda table: ("plain", "person", "trap").index(table.kind))
    counts: dict[str, Counter[str]] = {}
    good = {"read rightly", "refused with the choice named"}
    route = by_csv if given.csv else by_sheets if given.sheets else by_cells
    for table, (findings, torques) in zip(tables, route(given.python.absolute(), tables), strict=True):
        verdict, why = judge(table, findings, torques)
        counts.setdefault(table.kind, Counter())[verdict] += 1
        if given.all or verdict not in good or why and verdict == "read rightly":
            print(f"{table.kind:7} {table.name}: {verdict}{': ' if why else ''}{why}")
    for kind, verdicts in counts.items():
        print(f"{kind:7} {sum(verdicts.values()):3}: " + ", ".join(f"{n} {v}" for v, n in verdicts.most_common()))


if __name__ == "__main__":
    main()
