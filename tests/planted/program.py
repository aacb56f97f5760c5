"""Running the program that is judged: real workbooks in, its plan file and what it says out.

Nothing of it is imported here: a process of the given interpreter reads command lines and answers with what they print.
"""

import json
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import xlsxwriter
from books import FTLB, PSI, Book, write_book
from plant import Row, Style

UNITS = {"lbf·ft": FTLB, "N·m": 1.0, "kN·m": 1e3, "psi": PSI, "bar": 1e5, "MPa": 1e6, "in": 0.0254, "mm": 1e-3}
COMMANDS = """
import contextlib, io, json, os, sys
from addin.cli import main
for line in sys.stdin:
    sys.argv, said = ["tautsheet", *json.loads(line)], io.StringIO()
    try:
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            main()
    except SystemExit:
        pass
    except BaseException as error:
        said.write(f"CRASH {type(error).__name__}: {error}")
    try:
        print(json.dumps(said.getvalue()), flush=True)
    except BrokenPipeError:  # nobody listens any more
        os._exit(0)
"""
# what is rightly said of a row in which nothing is wrong; new words of a program that only inform belong here
ROUTINE = re.compile(
    r"by other means|below the lowest certified point|break-out|retighten|preload and limits not known|re-used studs|"
    r"column .* is not used|by its class it may be wrong|the gauge's marks put the torque|reaches \d+ % of .*yield at|"
    r"the yield of .* is from memory|state the stud.s yield strength with its source|^Open first|"
    r"^out/list-planned\.xlsx and list-plan\.json",
    re.I,
)


@dataclass
class Stale:
    """A formula with the value that was stored before its inputs changed."""

    formula: str
    stored: float


@dataclass
class Percent:
    """A number in a cell that is formatted as a percentage."""

    value: float


@dataclass
class Outcome:
    """What the program made of one row: torques [N·m] the crew's settings truly give, and what it says."""

    status: str
    torque: float | None
    delivered: list[float]
    wrenches: set[str]  # their names, and each with its link as "name/link"
    said: list[str] = field(default_factory=list)

    @property
    def sets(self) -> list[float]:
        """Torques that come from the row's card, none where it was stopped."""
        return self.delivered or ([self.torque] if self.torque else [])


@dataclass
class Run:
    """One plan: outcomes by number of the row, what was said of no row in particular, or why nothing was planned."""

    rows: dict[int, Outcome]
    general: list[str]
    refused: bool = False


def write_list(rows: list[Row], style: Style, path: Path, headings: list[tuple[str, str]] | None = None) -> int:
    """The list as a workbook; answers with the row number of the first joint."""
    out = xlsxwriter.Workbook(path, {"strings_to_formulas": False, "default_date_format": "yyyy-mm-dd"})
    sheet, percent = out.add_worksheet("Joints"), out.add_format({"num_format": "0%"})
    for n in range(style.titles):
        sheet.write(n, 0, ["Outage 2026, joints to be opened and closed", "Invented plant", "Revision B"][n])
    columns = headings or style.headings
    if any(isinstance(cell, Stale) for row in rows for cell in row.values()):
        out.set_calc_mode("manual")
    sheet.write_row(style.titles, 0, [heading for heading, _ in columns])
    first = style.titles + 1
    for n, row in enumerate(rows):
        for at, (_, name) in enumerate(columns):
            cell = row.get(name)
            if isinstance(cell, Stale):
                sheet.write_formula(first + n, at, cell.formula, None, cell.stored)
            elif isinstance(cell, Percent):
                sheet.write_number(first + n, at, cell.value, percent)
            elif isinstance(cell, str):
                sheet.write_string(first + n, at, cell)
            elif cell is not None:
                sheet.write(first + n, at, cell)
    out.close()
    return first + 1


def _si(quantity: dict[str, Any] | None) -> float | None:
    return None if quantity is None else quantity["value"] * UNITS[quantity["unit"]]


class Program:
    """One checkout's command."""

    def __init__(self, python: Path, folder: Path, own_process: bool = False) -> None:
        self.python, self.folder, self.own_process = python, folder, own_process
        self.worker: subprocess.Popen[str] | None = None

    def _say(self, arguments: list[str]) -> str:
        if self.own_process:
            done = subprocess.run(
                [self.python.parent / "tautsheet", *arguments], capture_output=True, text=True, cwd=self.folder
            )
            return done.stdout + done.stderr
        if self.worker is None or self.worker.poll() is not None:
            self.worker = subprocess.Popen(
                [self.python, "-c", COMMANDS], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=self.folder
            )
        assert self.worker.stdin
        assert self.worker.stdout
        self.worker.stdin.write(json.dumps(arguments) + "\n")
        self.worker.stdin.flush()
        line = self.worker.stdout.readline()
        if not line:
            sys.exit("the program's process ended")
        return str(json.loads(line))

    def close(self) -> None:
        """Ends the process."""
        if self.worker and self.worker.stdin:
            self.worker.stdin.close()
            self.worker.wait()

    def plan(
        self, rows: list[Row], style: Style, written: Book, true: Book, options: list[str], headings: Any = None
    ) -> Run:
        """Plans that list with that book; torques are judged with the true book."""
        first = write_list(rows, style, self.folder / "list.xlsx", headings)
        write_book(written, self.folder / "book.xlsx")
        shutil.rmtree(self.folder / "out", ignore_errors=True)
        result = self.folder / "out" / "list-plan.json"
        said = self._say(["plan", "list.xlsx", "--wrenches", "book.xlsx", "--out", "out", *options])
        lines = [line.strip() for line in said.splitlines() if line.strip()]
        if not result.exists():
            return Run({}, lines, refused=True)
        plan = json.loads(result.read_text(encoding="utf-8"))
        outcomes = {joint["row"] - first: _outcome(joint, true) for joint in plan["joints"]}
        tags = {str(row["joint"]): at for at, row in enumerate(rows)}
        general = []
        for line in lines:
            places = _rows_named(line, first)
            named = [
                at for at in places or (tags[w] for w in re.split(r"[ ,:;]+", line) if w in tags) if at in outcomes
            ]
            for at in named:
                if not any(text.split(": ", 1)[1] in line for text in outcomes[at].said):
                    outcomes[at].said.append(line)
            if not named:
                general.append(line)
        return Run(outcomes, general)


def _rows_named(line: str, first: int) -> set[int]:
    """Rows of the list that a line gives the place of: Joints!N12, row 12, rows 12, 40 and 77, rows 12 to 15."""
    found = [int(n) for n in re.findall(r"Joints!row (\d+)", line)]
    for part in re.findall(r"Joints!((?:(?:Joints!)?[A-Z]{1,3}\d+(?:, | and |-|:)?)+)", line):
        found += [int(n) for n in re.findall(r"\d+", part)]
        for low, high in re.findall(r"[A-Z](\d+)[-:][A-Z]{1,3}(\d+)", part):
            found += range(int(low), min(int(high), int(low) + 1000) + 1)
    for part in re.findall(r"\brows? ((?:\d+(?:, | and | to |-|–)?)+)", line):
        found += [int(n) for n in re.findall(r"\d+", part)]
        for low, high in re.findall(r"(\d+)(?: to |-|–)(\d+)", part):
            found += range(int(low), min(int(high), int(low) + 1000) + 1)
    return {n - first for n in found}


def _outcome(joint: dict[str, Any], true: Book) -> Outcome:
    across = _si(joint.get("across_flats"))
    delivered = []
    for each in joint.get("wrenches") or []:
        passes = [one["pressure"] for one in each.get("passes") or [] if one.get("pressure")]
        pressure = _si(each.get("setpoint") or (passes[-1] if passes else None))
        torque = None if pressure is None or across is None else true.torque(each["wrench"], pressure, across)
        if torque is not None:
            delivered.append(torque)
    said = [f"{finding['level']}: {finding['text']}" for finding in joint.get("findings") or []]
    used = joint.get("wrenches") or []
    wrenches = {each["wrench"] for each in used} | {f"{each['wrench']}/{each['link']}" for each in used}
    return Outcome(joint["status"], _si(joint.get("torque")), delivered, wrenches, said)
