"""Human mistakes planted in right lists and books: `python tests/planted/run.py [PYTHON] [--cases N] [--jobs N]`.

PYTHON is the interpreter of any checkout of this program, so that two versions can be compared. Invented plants in 18
styles of list are planned as they are; then the same workbooks with one mistake in some rows of the list (about one row
in ten, each of another kind), in a column, in the wrench book or in a setting. A case is one row the mistake touches:
stopped, or planned with settings that truly give so much more or less torque than the right ones, with or without a
caution of its own that names the thing. Classes marked "nothing" cannot be seen in list or book. Not part of the test
run; 100,000 cases take some 40 minutes of one core, 20 with `--jobs 2`. With `--keep FOLDER` every plant's findings are
kept in a file of its own, with the commit that was judged: a run that is ended goes on where it was, and the table is
that of all files in the folder.
"""

import argparse
import contextlib
import json
import multiprocessing
import random
import re
import signal
import subprocess
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from book_mistakes import BOOK, SETTINGS, WHOLE, BookCase
from books import Book, make_book
from case import MISTAKES, Case, Words
from plant import STYLES, Plant, make_plant
from program import ROUTINE, Outcome, Program, Run

ROWS, PLANTED, VERSIONS = 600, 60, 5
BOOK_ROWS, BOOK_RUNS, BOOK_CASES = 80, 16, 16
CLASSES = {**MISTAKES, **WHOLE, **BOOK, **{name: (None, words, shown) for name, (_, words, shown) in SETTINGS.items()}}


@dataclass
class Tally:
    """What became of the cases of one class."""

    cases: int = 0
    stopped: int = 0
    named: int = 0
    silent: int = 0
    off5: int = 0  # silent, torque more than 5 % off
    off20: int = 0
    worst: float = 0.0
    example: str = ""
    beside: Counter[str] = field(default_factory=Counter)  # what else was said, without naming the thing

    def count(self, other: "Tally") -> None:
        """Takes another tally's counts in."""
        for part in ("cases", "stopped", "named", "silent", "off5", "off20"):
            setattr(self, part, getattr(self, part) + getattr(other, part))
        self.beside.update(other.beside)


@dataclass
class Report:
    """Everything one task found."""

    classes: dict[str, Tally] = field(default_factory=lambda: defaultdict(Tally))
    clean_rows: int = 0
    clean_cautions: Counter[str] = field(default_factory=Counter)
    clean_stopped: Counter[str] = field(default_factory=Counter)
    beside_rows: int = 0
    beside_cautions: Counter[str] = field(default_factory=Counter)
    beside_stopped: Counter[str] = field(default_factory=Counter)
    crashes: Counter[str] = field(default_factory=Counter)

    def add(self, other: "Report") -> None:
        """Takes another task's findings in."""
        for name, tally in other.classes.items():
            mine = self.classes[name]
            mine.count(tally)
            if tally.worst > mine.worst:
                mine.worst, mine.example = tally.worst, tally.example
        for name in ("clean_rows", "beside_rows"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        for name in ("clean_cautions", "clean_stopped", "beside_cautions", "beside_stopped", "crashes"):
            getattr(self, name).update(getattr(other, name))

    def keep(self, path: Path, commit: str) -> None:
        """Writes it to a file, whole or not at all."""
        part, classes = path.with_suffix(".part"), {name: vars(tally) for name, tally in self.classes.items()}
        part.write_text(json.dumps({"commit": commit, **vars(self), "classes": classes}), encoding="utf-8")
        part.replace(path)


def kept(path: Path) -> tuple[Report, str]:
    """A report from its file, and the commit that it judged."""
    data = json.loads(path.read_text(encoding="utf-8"))
    report, commit = Report(), data.pop("commit")
    for name, tally in data.pop("classes").items():
        report.classes[name] = Tally(**{**tally, "beside": Counter(tally["beside"])})
    for name, value in data.items():
        setattr(report, name, Counter(value) if isinstance(value, dict) else value)
    return report, commit


def blunt(line: str) -> str:
    """A sentence without its numbers and names, to count its kind."""
    words = line.split(": ", 2)[-1] if line.startswith(("CAUTION", "STOP")) else line
    return " ".join("#" if any(c.isdigit() for c in word) else word for word in words.split())[:110]


def warns(line: str) -> bool:
    """Whether a line asks for attention: not routine, not a note, not the count of rows, not the name of a file."""
    return not re.match(r"info|note|\d[\d,]* rows?:|\S+\.(xlsx|json)$", line, re.I) and not ROUTINE.search(line)


def new(outcome: Outcome, clean: Outcome | None) -> list[str]:
    """What is said of a row now and was not when all was right."""
    before = set(clean.said) if clean else set()
    return [line for line in outcome.said if line not in before and warns(line)]


def names(sentences: list[str], words: Words) -> bool:
    """Whether one sentence holds a word of each group."""
    return any(all(any(w.lower() in line.lower() for w in group) for group in words) for line in sentences)


def stopped(outcome: Outcome | None) -> bool:
    """Whether the crew gets no setting from this row."""
    return outcome is None or not outcome.sets


def off(outcome: Outcome, right: float) -> float:
    """Largest factor between the torque the settings truly give and the right one, less one."""
    if right <= 0:
        return float("inf")
    return max(max(torque / right, right / torque) for torque in outcome.sets) - 1


def score(tally: Tally, outcome: Outcome | None, said: list[str], words: Words, right: float, what: str) -> None:
    """Counts one case."""
    tally.cases += 1
    if stopped(outcome):
        tally.stopped += 1
        return
    assert outcome
    if names(said, words):
        tally.named += 1
        return
    tally.silent += 1
    tally.beside.update(blunt(line) for line in said)
    error = off(outcome, right)
    tally.off5 += error > 0.05
    tally.off20 += error > 0.20
    if tally.worst < error:
        tally.worst, tally.example = error, what


class Task:
    """One plant: planned as it is, then with mistakes."""

    def __init__(self, program: Program, seed: int) -> None:
        self.program, self.rng, self.report = program, random.Random(seed), Report()
        self.style = STYLES[seed % len(STYLES)]

    def plant(self, rows: int) -> tuple[Plant, Book, Run]:
        """A right plant with what the program makes of it."""
        plant = make_plant(self.rng, self.style, rows)
        book = make_book(self.rng, self.style.book, plant.products, self.style.friction)
        clean = self.plan(plant, plant.rows, book, book)
        if clean.refused:
            sys.exit(f"a right list is not planned ({self.style.name}): {clean.general[:3]}")
        for outcome in clean.rows.values():
            self.report.clean_rows += 1
            said = {blunt(line) for line in outcome.said if warns(line)}
            (self.report.clean_stopped if stopped(outcome) else self.report.clean_cautions).update(said)
        self.report.clean_cautions.update(blunt(line) for line in clean.general if warns(line))
        return plant, book, clean

    def plan(self, plant: Plant, rows, written: Book, true: Book, options=(), headings=None, what="") -> Run:  # noqa: ANN001
        """Plans, and notes a crash."""
        run = self.program.plan(rows, plant.style, written, true, list(options), headings)
        crashes = [blunt(line) for line in run.general if re.search("^CRASH|fault of the program|Traceback", line)]
        self.report.crashes.update(f"{line} ({what})" for line in crashes)
        return run

    def rows(self, plant: Plant, book: Book, clean: Run) -> None:
        """Mistakes in single rows, many in one list."""
        planned = [at for at, outcome in clean.rows.items() if not stopped(outcome)]
        places = self.rng.sample(planned, min(len(planned), 3 * PLANTED))
        planted: dict[int, tuple[str, dict]] = {}
        for name in self.rng.sample([*MISTAKES, *MISTAKES], 2 * len(MISTAKES)):
            for at in places[:6]:
                case = Case(self.rng, dict(plant.rows[at]), plant, at)
                if MISTAKES[name][0](case) is not False and case.row != plant.rows[at]:
                    planted[at] = (name, case.row)
                    places.remove(at)
                    break
            if len(planted) == PLANTED:
                break
        self._judge_rows(plant, book, clean, planted)

    def _judge_rows(self, plant: Plant, book: Book, clean: Run, planted: dict[int, tuple[str, dict]]) -> None:
        rows = [planted[at][1] if at in planted else row for at, row in enumerate(plant.rows)]
        run = self.plan(plant, rows, book, book, what=" + ".join(name for name, _ in planted.values())[:100])
        if run.refused and len(planted) > 1:  # one of them stopped the whole list: find it, judge the others without it
            half = list(planted.items())
            for part in (half[: len(half) // 2], half[len(half) // 2 :]):
                self._judge_rows(plant, book, clean, dict(part))
            return
        for at, (name, row) in planted.items():
            outcome, before = run.rows.get(at), clean.rows[at]
            right = row.get("_torque") or (before.torque or 0) * row.get("_right", 1)
            said = new(outcome, before) if outcome else []
            what = f"{plant.style.name}: {_difference(plant.rows[at], row)}"
            score(self.report.classes[name], outcome, said, MISTAKES[name][1], right, what)
        if run.refused:
            return
        tags = {row["joint"] for _, row in planted.values()}
        for at, outcome in run.rows.items():
            if at in planted or plant.rows[at]["joint"] in tags or stopped(clean.rows[at]):
                continue
            self.report.beside_rows += 1
            said = {blunt(line) for line in new(outcome, clean.rows[at])}
            (self.report.beside_stopped if stopped(outcome) else self.report.beside_cautions).update(said)

    def whole(self, plant: Plant, book: Book, clean: Run) -> None:
        """A mistake in the book, a column or a setting: its own run each."""
        used = Counter(name for outcome in clean.rows.values() for name in outcome.wrenches if "/" not in name)
        for name in self.rng.sample([*BOOK, *WHOLE, *SETTINGS], BOOK_RUNS):
            written, rows, options, headings = (
                book.copy(),
                [dict(row) for row in plant.rows],
                [],
                list(self.style.headings),
            )
            touched = None
            if name in BOOK:
                most = self.rng.choices(list(used), list(used.values()))[0]
                wrench = next(each for each in written.wrenches if each.name == most)
                touched = BOOK[name][0](BookCase(self.rng, written, wrench, plant))
                if touched is None and name.startswith(("table", "link", "wrench")) and "every" not in name:
                    touched = {most}
            elif name in WHOLE:
                touched = WHOLE[name][0](self.rng, plant, rows, headings)
            else:
                options = SETTINGS[name][0]
            if touched is False:
                continue
            run = self.plan(plant, rows, written, book, options, headings, name)
            planned = [at for at, outcome in clean.rows.items() if not stopped(outcome)]
            cases = [at for at in planned if touched is None or clean.rows[at].wrenches & touched]
            if rows != plant.rows:  # of a column only the rows whose cell is wrong
                cases = [at for at in cases if rows[at] != plant.rows[at]]
            general = [line for line in run.general if line not in clean.general and warns(line)]
            for at in self.rng.sample(cases, min(BOOK_CASES, len(cases))):
                outcome = run.rows.get(at)
                said = general + (new(outcome, clean.rows[at]) if outcome else [])
                right, tally = clean.rows[at].torque or 0, self.report.classes[name]
                score(tally, outcome, said, CLASSES[name][1], right, self.style.name)

    def do(self) -> Report:
        """All of it."""
        plant, book, clean = self.plant(ROWS)
        for _ in range(VERSIONS):
            self.rows(plant, book, clean)
        self.whole(*self.plant(BOOK_ROWS))
        return self.report


def _difference(right: dict, wrong: dict) -> str:
    keys = [key for key in wrong if wrong[key] != right.get(key) and not key.startswith("_")]
    return "; ".join(f"{key} {right.get(key)!r} -> {wrong[key]!r}" for key in keys)


PROGRAM: Program | None = None


def work(given: tuple[Path, bool, int, str, Path | None, str]) -> Report:
    """One task in a process that keeps its program running, or what it found when it ran before."""
    global PROGRAM
    python, own_process, seed, folder, keep, commit = given
    if keep and (keep / f"{seed}.json").exists():
        return kept(keep / f"{seed}.json")[0]
    if PROGRAM is None:
        PROGRAM = Program(python, Path(tempfile.mkdtemp(dir=folder)), own_process)
    report = Task(PROGRAM, seed).do()
    if keep:
        report.keep(keep / f"{seed}.json", commit)
    return report


def tasks(given: argparse.Namespace, folder: str) -> Iterator[Report]:
    """Reports without end, of one process or several."""
    python, jobs = given.python.absolute(), given.jobs
    commit = subprocess.run(
        ["git", "describe", "--always", "--dirty"], cwd=python.parent, capture_output=True, text=True
    ).stdout.strip()
    seeds = range(given.seed, given.seed + 10_000)
    numbers = ((python, given.own_process, n, folder, given.keep, commit) for n in seeds)
    if jobs == 1:
        yield from map(work, numbers)
        return
    with multiprocessing.Pool(jobs) as pool:
        yield from pool.imap_unordered(work, numbers)


def show(report: Report, also: bool) -> None:
    """The table by class and the totals; also what was said without naming the thing."""
    heads = " ".join(f"{head:>6}" for head in ("cases", "stop", "named", "silent", ">5 %", ">20 %", "worst"))
    print(f"{'class':66} {'seen in':8} {heads}")
    every, seen = Tally(), Tally()
    for name, (_, _, shown) in CLASSES.items():
        tally = report.classes[name]
        for total in (every, seen) if shown != "nothing" else (every,):
            total.count(tally)
        line(name, shown, tally)
        if tally.off20:
            print(f"    e.g. {tally.example}")
        for sentence, number in tally.beside.most_common(3 if also else 0):
            print(f"    {number:6} said, not naming it: {sentence}")
    line("all classes", "", every)
    line("without the classes that nothing shows", "", seen)
    for label, count, said, ended in (
        ("rows of right lists", report.clean_rows, report.clean_cautions, report.clean_stopped),
        ("right rows beside planted ones", report.beside_rows, report.beside_cautions, report.beside_stopped),
    ):
        print(
            f"{label}: {count}; cautions {sum(said.values())} ({100 * sum(said.values()) / max(count, 1):.2f} %)",
            end="",
        )
        print(f", stops {sum(ended.values())} ({100 * sum(ended.values()) / max(count, 1):.2f} %)")
        for kind, counter in (("caution", said), ("stop", ended)):
            for sentence, number in counter.most_common(12):
                print(f"    {number:6} {kind} {sentence}")
    for sentence, number in report.crashes.most_common():
        print(f"CRASH {number} {sentence}")


def line(name: str, shown: str, tally: Tally) -> None:
    """One line of the table."""
    share = [
        100 * part / max(tally.cases, 1) for part in (tally.stopped, tally.named, tally.silent, tally.off5, tally.off20)
    ]
    print(
        f"{name:66} {shown:8} {tally.cases:6} "
        + " ".join(f"{part:6.1f}" for part in share)
        + f" {tally.worst + 1:6.2f}"
    )


def main() -> None:
    """Runs tasks until there are cases enough."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("python", nargs="?", type=Path, default=Path(sys.executable))
    parser.add_argument("--cases", type=int, default=5000)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--own-process", action="store_true", help="the command in a process of its own each time")
    parser.add_argument("--said", action="store_true", help="print what is said that does not name the thing")
    parser.add_argument("--keep", type=Path, help="folder of what is found, plant by plant")
    parser.add_argument("--show", action="store_true", help="only the table of what --keep holds")
    given = parser.parse_args()
    if given.keep:
        given.keep.mkdir(parents=True, exist_ok=True)
    if given.show:
        return show_kept(given.keep, given.said)
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # also where a shell has it ignore SIGINT
    report = Report()
    with tempfile.TemporaryDirectory(prefix="planted-") as folder:
        with (
            contextlib.closing(tasks(given, folder)) as all_,
            contextlib.suppress(KeyboardInterrupt),  # what there is by then is shown
        ):
            for part in all_:
                report.add(part)
                if sum(tally.cases for tally in report.classes.values()) >= given.cases:
                    break
        if PROGRAM:
            PROGRAM.close()
    return show_kept(given.keep, given.said) if given.keep else show(report, given.said)


def show_kept(folder: Path, also: bool) -> None:
    """The table of all files of a folder, and the commits they judged."""
    report, commits = Report(), Counter[str]()
    for path in sorted(folder.glob("*.json")):
        part, commit = kept(path)
        report.add(part)
        commits[commit] += 1
    print("plants by commit:", ", ".join(f"{commit} {count}" for commit, count in commits.items()))
    show(report, also)


if __name__ == "__main__":
    main()
