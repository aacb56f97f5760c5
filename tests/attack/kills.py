"""Kills each command that writes, at many moments, and looks whether its set of files is the old one or the new one.

    python tests/attack/kills.py [KILLS[/SEED[/MINUTES]]] [COMMAND ...]

Half of the kills hit a change of the disk (each kind of them that Python announces), half a moment of the clock. Every
run starts from a whole old set; after the kill the inputs must be as they were, and once the folder is looked at again,
the set must be the old one, byte for byte, or a new one in which no old file stands, with nothing hidden left over.
Of a job the old issue must stay as it was and a new one be whole as soon as it is seen; the next run must then bring
the job to where a run without a kill brings it. Needs a POSIX system.
"""

import hashlib
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
import zipfile
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path

import openpyxl

from addin.cli import main
from addin.job.book import HEAD
from addin.job.book import NAME as JOB
from addin.job.state import ISSUE, STATE, read_state
from addin.plan.file import read_plan
from addin.shipped import folder
from addin.workbooks.file_set import NOTES, finish_sets, read_notes

SAMPLES = folder("samples")
BOOK, RECORDS = SAMPLES / "drigrauvex-wrenches.xlsx", SAMPLES / "drigrauvex-records.xlsx"
JOBS = ("job", "job, released")
CHANGES = ("os.rename", "os.link", "os.mkdir", "os.remove", "open", "os.rmdir", "shutil.rmtree", "os.truncate")


def sha(path: Path) -> str:
    """The hash of a file."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def seen(out: Path) -> dict[str, str]:
    """Every file of a folder that a person sees, with its hash; what is kept apart from the set."""
    paths = [path for path in sorted(out.rglob("*")) if path.is_file() and not path.name.startswith(".")]
    return {str(path.relative_to(out)): sha(path) for path in paths if ".tautsheet-" not in str(path.relative_to(out))}


def child(arguments: Sequence[str], prepare: Callable[[], None]) -> int:
    """Run a command in a child process that was prepared for its end; gives how it ended."""
    number = os.fork()
    if not number:
        quiet = os.open(os.devnull, os.O_WRONLY)
        for stream in (1, 2):
            os.dup2(quiet, stream)
        code = 99  # whatever comes, a child never goes on in what its parent does
        try:
            prepare()
            main(list(arguments))
        except SystemExit as done:
            code = int(done.code or 0)
        finally:
            os._exit(code)
    return os.waitpid(number, 0)[1]


def at_change(wanted: int, told: int = -1) -> Callable[[], None]:
    """Die at a change of the disk; tell how many there were where it is none of them."""

    def prepare() -> None:
        count = 0

        def counted(event: str, _given: object) -> None:
            nonlocal count
            if event in CHANGES:
                count += 1
                if told >= 0:
                    os.pwrite(told, str(count).encode().ljust(12), 0)
                if count == wanted:
                    os.kill(os.getpid(), signal.SIGKILL)

        sys.addaudithook(counted)

    return prepare


def at_time(seconds: float) -> Callable[[], None]:
    """Die after a time."""

    def prepare() -> None:
        signal.signal(signal.SIGALRM, lambda *_: os.kill(os.getpid(), signal.SIGKILL))
        signal.setitimer(signal.ITIMER_REAL, seconds)

    return prepare


def small_list(source: Path, target: Path, add: float) -> None:
    """Some rows of the sample list, the numbers of one column moved."""
    book = openpyxl.load_workbook(source)
    sheet = book["Joints"]
    sheet.delete_rows(10, 200)
    heading = next(cell for cell in sheet[5] if str(cell.value).startswith("Stress"))
    for row in range(6, 10):
        cell = sheet.cell(row, heading.column)
        if isinstance(cell.value, (int, float)):
            cell.value += add
    book.save(target)


class Command:
    """A command, how its old set is made, and its inputs."""

    def __init__(self, old: Sequence[str], new: Sequence[str], inputs: Sequence[Path]) -> None:
        self.old, self.new, self.inputs = old, new, inputs


def commands(work: Path) -> dict[str, Command]:
    """Each command with its inputs in a folder; OUT stands for the output folder."""
    for name, add in (("one", 0), ("two", 500)):
        (work / name).mkdir()
        small_list(SAMPLES / "drigrauvex-joints.xlsx", work / name / "L.xlsx", add)
    book = work / "book.xlsx"
    shutil.copy(BOOK, book)
    shutil.copy(RECORDS, work / "records.xlsx")
    for name in ("one", "two"):
        assert child(["plan", str(work / name / "L.xlsx"), "--wrenches", str(book), "--out", str(work / name)],
                     lambda: None) < 512  # fmt: skip
    lists = [work / name / "L.xlsx" for name in ("one", "two")]
    plans = [work / name / "L-plan.json" for name in ("one", "two")]
    plan = [["plan", str(path), "--wrenches", str(book), "--out", "OUT", "--pack", "--overwrite"] for path in lists]
    pack = [["pack", str(path), "--out", "OUT", "--overwrite"] for path in plans]
    some = [[*each, *(part for name in ("cards", "kit", "summary") for part in ("--only", name))] for each in pack]
    single = [[*each, "--one-file-per-joint", "--only", "cards"] for each in pack]
    record = [["record", str(path), str(work / "records.xlsx"), "--out", "OUT", "--overwrite"] for path in plans]
    columns = [["columns", str(path), "--out", "OUT/map.json"] for path in lists]
    excel = [["excel", "--folder", "OUT"], ["excel", "--folder", "OUT", "--on-opening"]]
    recalc = [["recalc", str(path), "--out", "OUT/copy.xlsx", "--pdf", "--overwrite"] for path in lists]
    return {
        "plan": Command(*plan, [*lists, book]),
        "pack": Command(*some, plans),
        "pack, single cards": Command(*single, plans),
        "record": Command(*record, [*plans, work / "records.xlsx"]),
        "columns": Command(*columns, lists),
        "excel": Command(*excel, []),
        "recalc": Command(*recalc, lists),
    }


def kill(name: str, command: Command, work: Path, kills: int, seed: int, end: float) -> Counter[str]:
    """Kill a command at many moments; counts how its sets were found."""
    base, out = work / f"{name} base", work / f"{name} out"
    base.mkdir()
    shutil.rmtree(out, ignore_errors=True)
    out.mkdir()
    old, new = ([part.replace("OUT", str(out)) for part in each] for each in (command.old, command.new))
    child(old, lambda: None)
    shutil.copytree(out, base, dirs_exist_ok=True)
    before, inputs = seen(base), {path: sha(path) for path in command.inputs}
    assert before, name
    with tempfile.TemporaryFile() as told:
        started = time.monotonic()
        child(new, at_change(0, told.fileno()))
        whole = time.monotonic() - started
        changes = int(os.pread(told.fileno(), 12, 0))
    differs = {item for item, digest in seen(out).items() if before.get(item) != digest}
    assert differs, f"{name}: the new set is the old one"
    found: Counter[str] = Counter()
    chance = random.Random(seed)
    first = max(1, changes - kills // 2) if changes > kills else 1
    for number in range(3 * kills):  # some runs are quicker than their moment
        if found["killed"] == kills or time.monotonic() > end:
            break
        shutil.rmtree(out)
        shutil.copytree(base, out)
        if found["killed"] < kills // 2:
            how = at_change(first + (number + seed) % (changes - first + 1))
        else:
            how = at_time(chance.uniform(0.3, 1.02) * whole)
        ended = child(new, how)
        found["killed" if os.WIFSIGNALED(ended) else "was quicker"] += 1
        found["to be finished by the next run"] += any(out.glob(".tautsheet-*.set/journal.json"))
        finish_sets(out)
        after = seen(out)
        assert {path: sha(path) for path in command.inputs} == inputs, f"{name}: an input has changed"
        assert not list(out.glob(".tautsheet-*.set")), f"{name}: a set is left over"
        if after == before:
            found["old set"] += 1
            continue
        found["new set"] += 1
        still = {item for item in differs if before.get(item) == after[item]}
        assert not still, f"{name}: old files beside new ones: {still}"
        notes = read_notes(out)
        assert {item: notes[item].sha256 for item in after if item in notes} == {
            item: digest for item, digest in after.items() if not item.startswith("kept")
        }, f"{name}: notes and files differ"
        for item in after:
            if item.endswith(".xlam"):
                assert zipfile.ZipFile(out / item).testzip() is None
            elif item.endswith(".xlsx"):
                openpyxl.load_workbook(out / item, read_only=True).close()
            elif item.endswith(".json"):
                json.loads((out / item).read_text(encoding="utf-8"))
    child(new, lambda: None)
    assert sorted(path.name for path in out.iterdir() if path.name.startswith(".")) == [NOTES], f"{name}: left over"
    return found


def begun_job(folder: Path, work: Path, *, released: bool) -> None:
    """A job with its first issue, whose list has changed since: where no release is asked printed, with records taken
    back; else with the release typed just now, so that one run honours it, plans, prints and takes the records.
    """
    folder.mkdir()
    shutil.copy(work / "one" / "L.xlsx", folder)
    shutil.copy(work / "book.xlsx", folder)
    child(["job", str(folder), "--new"], lambda: None)
    book = openpyxl.load_workbook(folder / JOB)
    for label, value in (("Parts of the pack", "cards"), *([] if released else [("No release asked", "the site")])):
        next(row for row in book["Job"].iter_rows() if str(row[0].value).startswith(label))[1].value = value
    book.save(folder / JOB)
    (folder / "records").mkdir()
    shutil.copy(RECORDS, folder / "records" / "records.xlsx")
    child(["job", str(folder)], lambda: None)
    if released:
        book = openpyxl.load_workbook(folder / JOB)
        sheet = book["Issues"]
        at = {cell.value: cell.column for cell in sheet[HEAD]}
        sheet.cell(HEAD + 1, at["Released by"]).value = "R. Engineer"
        sheet.cell(HEAD + 1, at["Released on"]).value = "2026-10-01"
        book.save(folder / JOB)
    shutil.copy(work / "two" / "L.xlsx", folder)


def ended_job(folder: Path) -> tuple[object, ...]:
    """What a job is at the end of a run, without times."""
    state = read_state(folder)
    files = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}
    for issue in state.issues:
        check_issue(folder / Path(issue.plan).parent)
    books = openpyxl.load_workbook(folder / JOB).sheetnames
    plans = {path.parent.name: sha(path) for path in folder.rglob("*-plan.json")}
    numbers = [(issue.number, issue.cards, issue.withdrawn) for issue in state.issues]
    said = {(each.about, each.text) for each in state.messages}
    printed = state.printed, state.cards_out, [(each.number, each.by) for each in state.releases]
    return files, books, plans, numbers, printed, bool(state.held), said, state.behind


def check_issue(issue: Path) -> None:
    """An issue that is seen is whole: the plan is as it was written, and the planned copy the one that it names."""
    assert (issue / ISSUE).is_file(), f"job: {issue.name} without its facts"
    plan = read_plan(issue / "L-plan.json")
    assert plan.head.planned_copy == sha(issue / "L-planned.xlsx"), f"job: {issue.name} is not one set"


def kill_job(work: Path, kills: int, seed: int, end: float, *, released: bool) -> Counter[str]:
    """Kill the runs of a job, and let the next run go on."""
    base, out = work / "job base", work / "job"
    begun_job(out, work, released=released)
    shutil.copytree(out, base)
    own = (JOB, STATE)
    before = {name: digest for name, digest in seen(base).items() if name not in own}
    with tempfile.TemporaryFile() as told:
        started = time.monotonic()
        child(["job", str(out)], at_change(0, told.fileno()))
        whole, changes = time.monotonic() - started, int(os.pread(told.fileno(), 12, 0))
    aim = ended_job(out)
    assert [number for number, *_ in aim[3]] == [1, 2], "job: a changed list is a new issue"  # type: ignore[attr-defined]
    found: Counter[str] = Counter()
    chance = random.Random(seed)
    for number in range(3 * kills):
        if found["killed"] == kills or time.monotonic() > end:
            break
        shutil.rmtree(out)
        shutil.copytree(base, out)
        early = found["killed"] < kills // 2
        how = at_change(1 + (seed + number * changes // (kills // 2 or 1)) % changes) if early else at_time(
            chance.uniform(0.2, 1.02) * whole)  # fmt: skip
        found["killed" if os.WIFSIGNALED(child(["job", str(out)], how)) else "was quicker"] += 1
        after = {name: digest for name, digest in seen(out).items() if name not in own}
        changed = [name for name in before if after.get(name) != before[name] and not name.startswith("hand-over")]
        assert not changed, f"job: changed by a run that was killed: {changed}"
        new = (out / "issue 002").exists()
        found["with the new issue" if new else "with the old issue"] += 1
        if new:
            check_issue(out / "issue 002")
        child(["job", str(out)], lambda: None)
        now = ended_job(out)
        assert now[:6] == aim[:6], f"job: the next run ends elsewhere: {now[:6]}, not {aim[:6]}"
        assert now[7] == aim[7], "job: the workbook stays behind"
    return found


def run(kills: int, seed: int, minutes: float, wanted: Sequence[str]) -> None:
    """Kill the commands wanted, or all that need no office program, and print what was found."""
    end = time.monotonic() + 60 * minutes
    with tempfile.TemporaryDirectory(prefix="tautsheet-kills-") as place:
        work = Path(place)
        every = commands(work)
        for name in wanted or [*(each for each in every if each != "recalc"), *JOBS]:
            if name in JOBS:
                found = kill_job(work, kills, seed, end, released=name != JOBS[0])
                for left in ("job", "job base"):
                    shutil.rmtree(work / left)
            else:
                found = kill(name, every[name], work, kills, seed, end)
            print(f"{name}: " + ", ".join(f"{count} {what}" for what, count in found.items()), flush=True)


if __name__ == "__main__":
    given = sys.argv[1].split("/") if len(sys.argv) > 1 else []
    number, drawn, lasting = (*given, *("200", "7", "inf")[len(given) :])
    run(int(number), int(drawn), float(lasting), sys.argv[2:])
