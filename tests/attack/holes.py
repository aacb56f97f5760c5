"""Holes that were found by attack, replayed through the command line of any version of the program.

    python tests/attack/holes.py PATH/TO/tautsheet [WORD...]

One line for each hole: "held" or "open", its name, and what was seen. With words, only those whose name has one.
A new attack is one function marked `@attack("name")` that gets a `Field` and gives "" when the program held, else
what went wrong. Attacks use the command only, so that they run on every version.
"""

import io
import json
import os
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
SAMPLES, CARD = ROOT / "samples", ROOT / "templates" / "joint card.xlsx"
LIST, BOOK = SAMPLES / "drigrauvex-joints.xlsx", SAMPLES / "drigrauvex-wrenches.xlsx"
TABLE = SAMPLES / "HW-3-calibration.csv"
SHEET = "xl/worksheets/sheet1.xml"


class Seen(NamedTuple):
    """What a run of the command gave. peak [bytes], seconds of the wall."""

    code: int
    text: str
    peak: float
    seconds: float

    @property
    def crashed(self) -> str:
        """What a crash looks like, "" for an orderly end."""
        if self.code not in (0, 1, 2):
            return f"exit {self.code}: {self.text[-120:]!r}"
        found = re.search(r"Traceback|fault of the program[^\n]*", self.text)
        return f"{found[0]}: {self.text.strip().splitlines()[-1][:120]}" if found else ""


class Field:
    """A folder of its own for each attack, and the command."""

    def __init__(self, command: Path, folder: Path) -> None:
        self.command, self.folder, self.out = command, folder, folder / "out"

    def run(self, *arguments: object, wait: float = 120, memory: int = 4 << 30, **environment: str) -> Seen:
        """Run the command; a run that does not end is killed and has the code -9."""

        def bound() -> None:
            resource.setrlimit(resource.RLIMIT_AS, (memory, memory))

        begun = time.monotonic()
        said = self.folder / "said.txt"
        words = [os.fsencode(str(argument)) for argument in arguments]
        with said.open("wb") as file:
            process = subprocess.Popen(
                [str(self.command), *words], stdin=subprocess.DEVNULL, stdout=file, stderr=file, cwd=self.folder,
                env={**os.environ, **environment}, preexec_fn=bound,
            )  # fmt: skip
            pid = 0
            while not pid and time.monotonic() - begun < wait:
                pid, status, used = os.wait4(process.pid, os.WNOHANG)
                time.sleep(0.02)
            if not pid:
                process.kill()
                _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        text = said.read_bytes().decode(errors="replace")
        return Seen(process.returncode, text, used.ru_maxrss * 1024.0, time.monotonic() - begun)

    def plan(self, path: Path = LIST, *more: object, **options: object) -> Seen:
        """Plan a list."""
        return self.run("plan", path, "--wrenches", BOOK, "--out", self.out, *more, **options)  # type: ignore[arg-type]

    def changed(self, source: Path, name: str, **parts: Callable[[bytes], bytes]) -> Path:
        """A copy of a workbook in which a part (by the last word of its name) is made anew."""
        content = io.BytesIO()
        with zipfile.ZipFile(source) as old, zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as new:
            for each in old.namelist():
                make = parts.get(Path(each).stem.replace("[", "").replace("]", ""), bytes)
                new.writestr(each, make(old.read(each)))
        path = self.folder / name
        path.write_bytes(content.getvalue())
        return path

    def listed(self, rows: list[list[object]], name: str = "list.xlsx", state: str = "visible") -> Path:
        """A list of these rows below the usual headings."""
        import openpyxl

        book = openpyxl.Workbook()
        sheet = book.active
        sheet.title = "Joints"
        sheet.append(["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)", "Nut factor"])
        for row in rows:
            sheet.append(row)
        if state != "visible":
            book.create_sheet("Notes")["A1"] = "see the other sheet"
            book.active = 1
            sheet.sheet_state = state
        book.save(self.folder / name)
        return self.folder / name

    def answers(self, fact: str, value: str) -> tuple[str, Path]:
        """Option and file of answers for the sample list that state a fact of the whole list: a workbook, once JSON."""
        import openpyxl

        path = self.folder / "answers.xlsx"
        self.run("columns", LIST, "--out", path)
        if path.exists() and zipfile.is_zipfile(path):
            book = openpyxl.load_workbook(path)
            sheet = book["Answers"]
            sheet["B3"], sheet["D3"] = "R. Planner", "2026-09-01"
            row = next(each for each in range(5, sheet.max_row + 1) if "what else" in str(sheet.cell(each, 6).value))
            sheet.cell(row, 1).value, sheet.cell(row, 4).value = fact, "answer to change"
            book.save(path)
            return "--answers", self.changed(path, "odd answers.xlsx", sheet1=_put(value), sharedStrings=_put(value))
        path.unlink(missing_ok=True)
        old = self.folder / "map.json"
        self.run("columns", LIST, "--out", old)
        content = json.loads(old.read_text())
        content["whole list"][fact] = int(value) if value.isdecimal() else value
        old.write_text(json.dumps(content))
        return "--map", old


def _put(value: str) -> Callable[[bytes], bytes]:
    return lambda part: part.replace(b"answer to change", value.encode("utf-8", "surrogatepass"))


ATTACKS: list[tuple[str, Callable[[Field], str]]] = []


def attack(name: str) -> Callable[[Callable[[Field], str]], Callable[[Field], str]]:
    """Enter an attack in the list."""

    def enter(function: Callable[[Field], str]) -> Callable[[Field], str]:
        ATTACKS.append((name, function))
        return function

    return enter


def refused(seen: Seen, *words: str, most: float = 400e6) -> str:
    """ "" when a run ended with one clear line that has these words, at once and without much memory."""
    if fault := seen.crashed:
        return fault
    if seen.peak > most:
        return f"{seen.peak / 1e6:.0f} MB"
    missing = [word for word in words if word not in seen.text]
    return f"exit {seen.code}, says {seen.text.strip()[-120:]!r}" if missing or seen.code != 2 else ""


JOINT = ["final make-up", "hydraulic", "1 1/4", 16, 700, 0.16]


# --- the gate and the readers ---------------------------------------------------------------------------------------


@attack("gate: a DTD behind 256 KiB of blanks")
def _(field: Field) -> str:
    bomb = b'<!DOCTYPE a [<!ENTITY b "' + b"x" * 2000 + b'">]><a>' + b"&b;" * 50_000 + b"</a>"
    path = field.changed(LIST, "list.xlsx", core=lambda _: b" " * 300_000 + bomb)
    return refused(field.run("columns", path), "list.xlsx: part docProps/core.xml")


@attack("gate: one part under two sheets")
def _(field: Field) -> str:
    def twice(part: bytes) -> bytes:
        first = re.search(rb"<sheet [^>]*/>", part)
        assert first
        again = re.sub(rb'sheetId="\d+"', b'sheetId="99"', re.sub(rb' name="[^"]*"', b' name="Again"', first[0]))
        return part.replace(first[0], first[0] + again)

    return refused(field.run("columns", field.changed(LIST, "list.xlsx", workbook=twice)), "are one part")


@attack("rows: 8,000 rows of one tag")
def _(field: Field) -> str:
    # the others stand among them: a column with one value alone is no column of tags, and the list would be asked about
    tags = [f"J-{number}" if number % 5 == 4 else "TBA" for number in range(10_000)]
    seen = field.plan(field.listed([[tag, *JOINT] for tag in tags]))
    if fault := seen.crashed:
        return fault
    if seen.peak > 400e6 or seen.code == 2 or "and 7,996 more" not in seen.text:
        return f"{seen.peak / 1e6:.0f} MB, {seen.seconds:.0f} s, exit {seen.code}: {seen.text.strip()[-100:]!r}"
    return ""


@attack("cells: one text of 40,000 characters")
def _(field: Field) -> str:
    path = field.listed([["P-1", *JOINT], ["LONG", *JOINT]])
    long = b">" + b"x" * 40_000 + b"<"
    path = field.changed(path, "long.xlsx", sharedStrings=lambda part: part.replace(b">LONG<", long))
    seen = field.plan(path)
    return seen.crashed or ("" if seen.code == 1 else f"exit {seen.code}: {seen.text.strip()[-120:]!r}")


@attack("answers: a number of 400 digits")
def _(field: Field) -> str:
    option, path = field.answers("torque", "1" + "0" * 400)
    return refused(field.run("columns", LIST, option, path), path.name)


@attack("answers: a lone surrogate")
def _(field: Field) -> str:
    option, path = field.answers("lubricant", "\ud800")
    return refused(field.plan(LIST, option, path), path.name)


@attack("answers: a terminal escape")
def _(field: Field) -> str:
    option, path = field.answers("lubricant", "\x9b2J\x1b[2J")
    seen = field.run("columns", LIST, option, path)
    return "escape on the screen" if "\x9b" in seen.text or "\x1b[2J" in seen.text else seen.crashed


@attack("table: a CSV field of 200,000 characters")
def _(field: Field) -> str:
    path = field.folder / "table.csv"
    path.write_bytes(TABLE.read_bytes() + b'"' + b"9" * 200_000 + b'",1\n')
    return refused(field.run("call", "setpoint", 900, path, "US"), "table.csv")


@attack("template: the first sheet named in single quotes")
def _(field: Field) -> str:
    field.plan()
    path = field.changed(CARD, "card.xlsx", workbook=lambda part: part.replace(b'r:id="rId1"', b"r:id='rId1'"))
    return refused(field.run("pack", next(field.out.glob("*-plan.json")), "--out", field.out, "--only", "cards",
                             "--template", path, "--overwrite"), "card.xlsx")  # fmt: skip


@attack("template: a column of minus a hundred milliards")
def _(field: Field) -> str:
    field.plan()
    path = field.changed(CARD, "card.xlsx", sheet1=lambda part: part.replace(b' min="1"', b' min="-99999999999"', 1))
    plan = next(field.out.glob("*-plan.json"))
    return refused(field.run("pack", plan, "--out", field.out, "--only", "cards", "--template", path, "--overwrite",
                             wait=30), "card.xlsx")  # fmt: skip


@attack("temporary folder: not there")
def _(field: Field) -> str:
    seen = field.plan(LIST, TMPDIR=str(field.folder / "none"), HOME=str(field.folder))
    return seen.crashed


@attack("files: a named pipe as answers")
def _(field: Field) -> str:
    os.mkfifo(field.folder / "pipe")
    option, _ = field.answers("lubricant", "L-20")
    return refused(field.run("columns", LIST, option, field.folder / "pipe", wait=60), "no plain file")


@attack("files: a named pipe as table")
def _(field: Field) -> str:
    os.mkfifo(field.folder / "pipe")
    return refused(field.run("call", "setpoint", 900, field.folder / "pipe", "US", wait=60), "no plain file")


@attack("files: an endless device as table")
def _(field: Field) -> str:
    return refused(field.run("call", "setpoint", 900, "/dev/zero", "US", wait=60, memory=2 << 30), "no plain file")


@attack("list: only on a hidden sheet")
def _(field: Field) -> str:
    return refused(field.run("columns", field.listed([["P-1", *JOINT]], state="hidden")), "Joints")


@attack("cards: a folder that is a link")
def _(field: Field) -> str:
    field.plan()
    plan, other = next(field.out.glob("*-plan.json")), field.folder / "elsewhere"
    other.mkdir()
    (field.out / f"{plan.name.removesuffix('-plan.json')}-cards").symlink_to(other)
    seen = field.run("pack", plan, "--out", field.out, "--only", "cards", "--one-file-per-joint")
    written = len(list(other.iterdir()))
    return f"{written} files written through the link" if written else seen.crashed


@attack("log: readable by others")
def _(field: Field) -> str:
    shared = Path(tempfile.gettempdir()) / "tautsheet-errors.log"
    before = shared.stat().st_mtime if shared.exists() else 0.0
    field.run("call", "unit_convert", "inf", "N", "kN", XDG_STATE_HOME=str(field.folder))
    seen = field.run("call", "unit_convert", "1e309", "N", "kN", XDG_STATE_HOME=str(field.folder))
    return (
        "the log stands in the common folder" if shared.exists() and shared.stat().st_mtime > before else seen.crashed
    )


@attack("numbers: 1_000, full-width digits and 1e3 as text")
def _(field: Field) -> str:
    taken = []
    for text in ("1_000", "１０００", "1e3"):
        seen = field.run("call", "unit_convert", text, "N", "kN")
        if "STOP" not in seen.text:
            taken.append(f"{text} gives {seen.text.strip()}")
        path = field.listed([["P-1", *JOINT[:4], text, 0.16]])
        shutil.rmtree(field.out, ignore_errors=True)
        if "1 planned" in field.plan(path).text:
            taken.append(f"{text} in a cell is planned")
    return "; ".join(taken)


def macros_of_the_addin(field: Field) -> str:
    """The macros of Excel's add-in file as `tautsheet excel` writes it."""
    from oletools.olevba import VBA_Parser

    field.run("excel", "--folder", field.out)
    parser = VBA_Parser(str(field.out / "tautsheet.xlam"))
    return "\n".join(str(code).replace("\r\n", "\n") for *_, code in parser.extract_macros())


@attack("excel: cells reach more than the functions")
def public_macros(field: Field) -> str:
    code = macros_of_the_addin(field)
    seen = set(re.findall(r"(?m)^ *(?:Public +)?(?:Function|Sub|Property \w+|Declare \w+ Function) +(\w+)", code))
    more = seen - set(re.findall(r'CallUDF\("[\w.]+", "(\w+)"', code))
    return f"{len(more)} more, {', '.join(sorted(more)[:4])}" if more else ""


@attack("excel: a workbook's name in a command line")
def name_in_a_command(field: Field) -> str:
    code = macros_of_the_addin(field)
    return "; ".join(
        word for word in ("ActiveWorkbook.FullName", "cmd.exe", "ExpandEnvironmentStrings") if word in code
    )


def main() -> int:
    """Run the attacks and say what was open."""
    command, words = Path(sys.argv[1]).absolute(), sys.argv[2:]
    chosen = [(name, run) for name, run in ATTACKS if not words or any(word in name for word in words)]
    opened = 0
    for name, run in chosen:
        folder = Path(tempfile.mkdtemp(prefix="tautsheet-holes-"))
        try:
            said = run(Field(command, folder))
        except Exception as error:  # an attack that cannot be made has shown nothing
            said = f"not shown: {type(error).__name__}: {error}"
        finally:
            shutil.rmtree(folder, ignore_errors=True)
        opened += bool(said)
        print(f"{'open' if said else 'held'}  {name}{f': {said}' if said else ''}", flush=True)
    print(f"{len(chosen) - opened} of {len(chosen)} held")
    return int(opened > 0)


if __name__ == "__main__":
    sys.exit(main())
