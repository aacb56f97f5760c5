"""Damaged, truncated and retyped files, held against the commands: one line and an exit code, never a traceback.

    python tests/attack/damage.py [COUNT] [SEED]

COUNT files (1,000) are made from the samples and the templates, as many of each kind (plans, answers in a workbook of
their own and inside a planned copy, templates, tables, records, lists, lists as text, forms of one joint, the workbook
of a job, what it remembers), and given to the command that reads them. What the program may not do: raise, print
several lines for a refusal, or write beside a refused input. Every file that breaks this is kept and named.
"""

import csv
import io
import json
import random
import re
import shutil
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
from click.testing import CliRunner

ROOT = Path(__file__).resolve().parents[2]
SAMPLES, TEMPLATES = ROOT / "samples", ROOT / "templates"
LIST, BOOK = SAMPLES / "drigrauvex-joints.xlsx", SAMPLES / "drigrauvex-wrenches.xlsx"
RECORDS, TABLE = SAMPLES / "drigrauvex-records.xlsx", SAMPLES / "HW-3-calibration.csv"
CARD = TEMPLATES / "joint card.xlsx"

REFUSALS = ("tautsheet: ", "not written: ", "STOP: ")
ATTRIBUTES = ("", "-1", "99999999999", "abc", "1e9", "NaN", "1_0", "A1:ZZZ9", "\u0663", "&#65;", "9" * 5000, "0.5")


def damaged(content: bytes, draw: random.Random) -> bytes:
    """Bytes cut short, changed, doubled, taken out or put in somewhere."""
    if not content:
        return b"\0"
    at, more = draw.randrange(len(content)), draw.randrange(1, 40)
    way = draw.randrange(6)
    if way == 0:
        return content[:at]
    if way == 1:
        return content[:at] + bytes([draw.randrange(256)]) + content[at + 1 :]
    if way == 2:
        return content[:at] + content[at + more :]
    if way == 3:
        return content[: at + more] + content[at:]
    if way == 4:
        return content[:at] + draw.randbytes(more) + content[at:]
    return content[:at] + draw.choice([b"\xff\xfe", b"\0", b"\xed\xa0\x80", b'"', b"<", b"&x;"]) + content[at:]


def retyped_part(content: bytes, draw: random.Random) -> bytes:
    """An XML part with one attribute or text of another kind, or one tag left out."""
    spots = list(re.finditer(rb'(?<=")[^"<>]*(?=")|(?<=>)[^<>]+(?=<)|<[^<>]+/>', content))
    if not spots:
        return damaged(content, draw)
    spot = draw.choice(spots)
    new = b"" if spot[0].startswith(b"<") else draw.choice(ATTRIBUTES).encode()
    return content[: spot.start()] + new + content[spot.end() :]


def spoilt_book(path: Path, draw: random.Random) -> bytes:
    """A workbook damaged as a file, or in one of its parts."""
    if draw.random() < 0.15:
        return damaged(path.read_bytes(), draw)
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    name = draw.choice(sorted(name for name in parts if name.endswith((".xml", ".rels"))))
    if draw.random() < 0.1:
        del parts[name]
    else:
        parts[name] = draw.choice([damaged, retyped_part, retyped_part])(parts[name], draw)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return out.getvalue()


def spoilt_table(content: bytes, draw: random.Random) -> bytes:
    """A CSV table that is damaged, has an endless field, or numbers in odd forms."""
    way = draw.randrange(4)
    if way == 0:
        return content + b'\n"' + b"9" * 200_000 + b'",1\n'
    if way == 1:
        numbers = list(re.finditer(rb"\d+", content))
        spot = draw.choice(numbers)
        odd = draw.choice([b"1e3", b"1_000", "１０".encode(), b"inf", b"nan", b"9" * 400, b"-", b""])
        return content[: spot.start()] + odd + content[spot.end() :]
    return damaged(content, draw)


def _few(path: Path, changes: dict[str, object]) -> Path:
    """Two joints, one of them with something changed."""
    row: dict[str, object] = {
        "Joint": "P-1", "Operation": "final make-up", "Method": "hydraulic", "Stud size": "1 1/4-8 UN", "Studs": 16,
        "Torque (ft-lb)": 700, "Nut factor": 0.16, "Job date": "2026-10-12", "Remarks": "",
    }  # fmt: skip
    book = openpyxl.Workbook()
    for values in (list(row), list(row.values()), list({**row, **changes, "Joint": "P-2"}.values())):
        book.active.append(values)  # type: ignore[union-attr]
    book.save(path)
    return path


def _form(path: Path) -> Path:
    """The form of one joint, filled in and released."""
    typed = {"Joint": "P-9", "Operation": "final make-up", "Method": "hand", "Stud size": "M20", "Studs": 8,
             "Grade": "A193 B7", "Nut series": "ISO 4032", "Torque": "200 N·m", "Nut factor": 0.16,
             "Job date": "2026-10-12", "Released by": "A. Example", "Released on": "2026-10-11"}  # fmt: skip
    if not path.exists():
        book = openpyxl.load_workbook(TEMPLATES / "one joint.xlsx")
        for cells in book.active.iter_rows(min_row=4):  # type: ignore[union-attr]
            cells[1].value = typed.get(str(cells[0].value))  # type: ignore[assignment]
        book.save(path)
    return path


class Trial:
    """A folder with a plan and a sheet of answers of the samples, in which files are tried."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.runner, self.faults = folder, CliRunner(), 0
        self.out = folder / "out"
        code, text = self.run("plan", LIST, "--wrenches", BOOK, "--out", folder / "plan")
        assert code in (0, 1), text
        self.plan = next((folder / "plan").glob("*-plan.json"))
        self.answers = folder / "whole.xlsx"
        self.run("columns", LIST, "--out", self.answers)
        few = _few(folder / "few.xlsx", {"Remarks": "HOLD"})
        self.run("plan", few, "--wrenches", BOOK, "--out", folder / "few")
        self.copy = folder / "few" / "few-planned.xlsx"
        self.text = folder / "few.csv"
        with self.text.open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows(openpyxl.load_workbook(few).active.iter_rows(values_only=True))  # type: ignore[union-attr]
        self.job = folder / "job"
        self.job.mkdir()
        shutil.copy(few, self.job)
        shutil.copy(BOOK, self.job)
        self.run("job", self.job, "--new")
        self.run("job", self.job)
        self.card = (
            "--only",
            "cards",
            "--joint",
            next(j["joint"] for j in json.loads(self.plan.read_text())["joints"] if j.get("card")),
        )

    def run(self, *arguments: object) -> tuple[int, str]:
        """Exit code and everything printed; an exception that is no exit passes through."""
        from addin.cli import main

        result = self.runner.invoke(main, [str(argument) for argument in arguments])
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result.exit_code, result.output

    def kinds(self) -> dict[str, Callable[[random.Random], tuple[Path, tuple[object, ...]]]]:
        """For each kind of file: make one, and the command that reads it."""
        return {"plan": self._plan, "answers": self._answers, "template": self._template, "table": self._table,
                "record": self._record,
                "list": self._list, "copy": self._copy, "text": self._text, "form": self._form, "job": self._job,
                "job's memory": self._memory}  # fmt: skip

    def _put(self, name: str, content: bytes) -> Path:
        path = self.folder / name
        path.write_bytes(content)
        return path

    def _plan(self, draw: random.Random) -> tuple[Path, tuple[object, ...]]:
        path = self._put("spoilt-plan.json", damaged(self.plan.read_bytes(), draw))
        if draw.random() < 0.5:
            return path, ("pack", path, "--out", self.out, *self.card)
        return path, ("record", path, RECORDS, "--out", self.out)

    def _answers(self, draw: random.Random) -> tuple[Path, tuple[object, ...]]:
        path = self._put("answers.xlsx", spoilt_book(self.answers, draw))
        if draw.random() < 0.5:
            return path, ("columns", LIST, "--answers", path)
        return path, ("plan", LIST, "--wrenches", BOOK, "--out", self.out, "--answers", path)

    def _template(self, draw: random.Random) -> tuple[Path, tuple[object, ...]]:
        path = self._put("template.xlsx", spoilt_book(CARD, draw))
        return path, ("pack", self.plan, "--out", self.out, *self.card, "--template", path)

    def _table(self, draw: random.Random) -> tuple[Path, tuple[object, ...]]:
        path = self._put("table.csv", spoilt_table(TABLE.read_bytes(), draw))
        return path, ("call", "setpoint", 900, path, "US")

    def _record(self, draw: random.Random) -> tuple[Path, tuple[object, ...]]:
        path = self._put("records.xlsx", spoilt_book(RECORDS, draw))
        return path, ("record", self.plan, path, "--out", self.out)

    def _list(self, draw: random.Random) -> tuple[Path, tuple[object, ...]]:
        if draw.random() < 0.3:
            path = self._put("book.xlsx", spoilt_book(BOOK, draw))
            return path, ("plan", LIST, "--wrenches", path, "--out", self.out)
        path = self._put("list.xlsx", spoilt_book(LIST, draw))
        if draw.random() < 0.5:
            return path, ("columns", path)
        return path, ("plan", path, "--wrenches", BOOK, "--out", self.out)

    def _copy(self, draw: random.Random) -> tuple[Path, tuple[object, ...]]:
        path = self._put("copy.xlsx", spoilt_book(self.copy, draw))
        return path, ("plan", path, "--wrenches", BOOK, "--out", self.out)

    def _text(self, draw: random.Random) -> tuple[Path, tuple[object, ...]]:
        path = self._put("list.csv", spoilt_table(self.text.read_bytes(), draw))
        return path, ("plan", path, "--wrenches", BOOK, "--out", self.out)

    def _form(self, draw: random.Random) -> tuple[Path, tuple[object, ...]]:
        form = _form(self.folder / "whole form.xlsx")
        path = self._put("form.xlsx", spoilt_book(form, draw))
        return path, ("card", path, "--wrenches", BOOK, "--out", self.out)

    def _in_job(self, name: str, content: bytes) -> tuple[Path, tuple[object, ...]]:
        job = self.folder / "spoilt job"
        shutil.rmtree(job, ignore_errors=True)
        shutil.copytree(self.job, job)
        (job / name).write_bytes(content)
        return job / "few.xlsx", ("job", job)

    def _job(self, draw: random.Random) -> tuple[Path, tuple[object, ...]]:
        return self._in_job("job.xlsx", spoilt_book(self.job / "job.xlsx", draw))

    def _memory(self, draw: random.Random) -> tuple[Path, tuple[object, ...]]:
        name = draw.choice([".tautsheet-job.json", "issue 001/issue.json", "issue 001/few-plan.json"])
        return self._in_job(name, damaged((self.job / name).read_bytes(), draw))

    def fault(self, kind: str, draw: random.Random) -> str:
        """Make one file, try it; "" when it was held, else what went wrong."""
        path, command = self.kinds()[kind](draw)
        if self.out.exists():
            shutil.rmtree(self.out)
        before = path.read_bytes()
        try:
            code, text = self.run(*command)
        except Exception as error:  # any at all is a fault
            said = f"{type(error).__name__}: {error}"[:200]
        else:
            refusals = [
                line for line in text.splitlines() if line.startswith(("tautsheet: ", "not written: ", "STOP: "))
            ]
            left = [each.name for each in self.out.glob("[!.]*") if not each.name.endswith("-questions.xlsx")]
            if code not in (0, 1, 2) or "Traceback" in text or "fault of the program" in text:
                said = f"exit {code}: {text[-300:]!r}"
            elif code == 2 and not kind.startswith("job") and (len(refusals) != 1 or left):
                said = f"exit 2 with {len(refusals)} lines of refusal and {left} written: {text[:200]!r}"
            elif "\x1b" in text or any(sign in text for sign in ("\x9b", "\x07")):
                said = "control characters on the screen"
            elif path.read_bytes() != before:
                said = "the input was changed"
            else:
                return ""
        self.faults += 1
        kept = self.folder / f"fault-{self.faults} {path.name}"
        shutil.copy(path, kept)
        return f"{kind}: {said} ({' '.join(map(str, command[:1]))}, {kept})"


def main() -> int:
    """Try COUNT files and say what was not held."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    trial = Trial(Path(tempfile.mkdtemp(prefix="tautsheet-damage-")))
    kinds, begun = list(trial.kinds()), time.process_time()
    found: list[str] = []
    for number in range(count):
        if said := trial.fault(kinds[number % len(kinds)], random.Random(f"{seed} {number}")):
            found.append(said)
            print(f"open {number} {said}", flush=True)
    print(f"{count} files, {len(found)} not held, {time.process_time() - begun:.0f} s of processor")
    if not found:
        shutil.rmtree(trial.folder)
    return int(bool(found))


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    sys.exit(main())
