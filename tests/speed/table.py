"""One table of what the commands cost: work, peer, ours, ratio, goal, met. `python tests/speed/table.py [LINE ...]`.

Processor seconds and peak memory of processes of their own, ratios within one run; compiled modules are kept in a
folder of this run, as an installed copy has them. LINE is one of: call, plan, rows, lists, pages, record, long.
TAUTSHEET_SPEED_ROWS (20,000 where nothing is said) are the rows of the list that is planned, TAUTSHEET_SPEED_JOINTS
(5,000) those recorded, TAUTSHEET_SPEED_LONG (100,000) those of lists and plans too long to be in memory.
"""

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import openpyxl

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(Path(__file__).parent)]

from many_joints import make_plan, make_records  # noqa: E402
from plan_speed import BOOK, make_list  # noqa: E402

from addin.plan.file import read_plan  # noqa: E402
from addin.records.record_fields import HEADINGS  # noqa: E402

ROWS = int(os.environ.get("TAUTSHEET_SPEED_ROWS", "20000"))
JOINTS = int(os.environ.get("TAUTSHEET_SPEED_JOINTS", "5000"))
LONG = int(os.environ.get("TAUTSHEET_SPEED_LONG", "100000"))
LOAD_AND_SAVE = "import sys, openpyxl; openpyxl.load_workbook(sys.argv[1]).save(sys.argv[2])"
RUN = """
import resource, subprocess, sys, time
begun = time.perf_counter()
done = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL)
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, time.perf_counter() - begun, done.returncode)
"""
Line = tuple[str, str, str, str, float, float]


class Runs:
    """Runs commands with compiled modules in one folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        kept = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
        self.environment = kept | {"PYTHONPYCACHEPREFIX": str(folder / "compiled"), "PYTHONPATH": str(ROOT)}

    def cost(self, *command: object, times: int = 1) -> tuple[float, float, float]:
        """Processor seconds, peak memory [MB] and seconds of a command, the best of a few runs."""
        found = []
        for _ in range(times):
            done = subprocess.run(
                [sys.executable, "-c", RUN, *map(str, command)], env=self.environment, capture_output=True, text=True,
                check=True,
            )  # fmt: skip
            seconds, memory, wall, code = map(float, done.stdout.split())
            assert code < 2, done.stderr
            found.append((seconds, memory, wall))
        return min(found)

    def ours(self, *words: object, times: int = 1) -> tuple[float, float, float]:
        """The same of one of our commands."""
        return self.cost(sys.executable, "-P", "-m", "addin", *words, times=times)

    def plan(self, path: Path, out: Path) -> tuple[float, float, float]:
        """The same of planning a list."""
        return self.ours("plan", path, "--wrenches", BOOK, "--out", out)


def call(runs: Runs) -> Iterator[Line]:
    """One worksheet function on the command line."""
    command = ("call", "torque_from_preload", "45000", "1 1/4", "0.15", "US")
    runs.ours(*command)
    ours, peer = [], []
    for _ in range(9):  # in turns
        peer.append(runs.cost(sys.executable, "-c", "import numpy")[0])
        ours.append(runs.ours(*command)[0])
    yield "tautsheet call", "import numpy", f"{min(ours):.2f} s", f"{min(peer):.2f} s", min(ours) / min(peer), 1.5


def plan(runs: Runs) -> Iterator[Line]:
    """A long list."""
    path, what = runs.folder / "long.xlsx", f"{ROWS:,} rows x 40"
    make_list(path, ROWS)
    peer = runs.cost(sys.executable, "-c", LOAD_AND_SAVE, path, runs.folder / "copy.xlsx")
    ours = runs.plan(path, runs.folder / "long")
    yield f"plan {what}", "openpyxl load + save", f"{ours[0]:.1f} s", f"{peer[0]:.1f} s", ours[0] / peer[0], 0.6
    yield f"memory of it, {what}", "400 MB", f"{ours[1]:.0f} MB", "400 MB", ours[1] / 400, 1.0


def rows(runs: Runs) -> Iterator[Line]:
    """Memory of a list of TAUTSHEET_SPEED_LONG rows (100,000), planned, and its planned copy planned again."""
    path, what = runs.folder / "longest.xlsx", f"{LONG:,} rows x 40"
    make_list(path, LONG)
    first = runs.plan(path, runs.folder / "first plan")
    again = runs.plan(runs.folder / "first plan" / "longest-planned.xlsx", runs.folder / "second plan")
    for name, (seconds, memory, _) in (("planned", first), ("planned again", again)):
        work = f"{what} {name} ({seconds:.0f} s)"
        yield work, "400 MB", f"{memory:.0f} MB", "400 MB", memory / 400, 1.0


def lists(runs: Runs) -> Iterator[Line]:
    """Eight lists at the same time, in seconds of the clock: only a quiet machine shows them."""
    paths = [runs.folder / f"L{number}.xlsx" for number in range(8)]
    for path in paths:
        make_list(path, 1_000)
    runs.plan(paths[0], runs.folder / "first")
    each = [runs.plan(path, runs.folder / "one" / path.stem) for path in paths]
    together = runs.ours("plan", *paths, "--wrenches", BOOK, "--out", runs.folder / "together")
    cores = len(os.sched_getaffinity(0))
    for at, what, goal in ((2, f"{cores} processors", 0.6), (0, "processor seconds", 1.0)):
        one = sum(found[at] for found in each)
        seconds = f"{together[at]:.1f} s", f"{one:.1f} s"
        yield f"eight lists, {what}", "one after the other", *seconds, together[at] / one, goal


def pages(runs: Runs) -> Iterator[Line]:
    """Working pages beside the cards of the same joints: what one more of each costs."""
    cost = {}
    for count in (100, 400):
        make_plan(runs.folder / f"{count}-plan.json", count)
        for part in ("cards", "working"):
            out = runs.folder / f"{part}-{count}"
            cost[part, count] = runs.ours(
                "pack", runs.folder / f"{count}-plan.json", "--only", part, "--out", out, "--overwrite", times=3
            )[0]
    card, page = ((cost[part, 400] - cost[part, 100]) / 300 for part in ("cards", "working"))
    yield "a working page", "a card", f"{1000 * page:.1f} ms", f"{1000 * card:.1f} ms", page / card, 2.0


def long(runs: Runs) -> Iterator[Line]:
    """A plan of LONG joints: the pack of one crew, a comparison, the records of all."""
    plan, records = runs.folder / "long-plan.json", runs.folder / "long-records.xlsx"
    make_plan(plan, LONG)
    make_records(plan, records)
    commands = {
        "pack of one crew": ("pack", plan, "--crew", "Crew 1", "--out", runs.folder / "crew"),
        "comparison with an older plan": ("pack", plan, "--since", plan, "--out", runs.folder / "since"),
        "record + hand-over": ("record", plan, records, "--out", runs.folder / "recorded"),
    }
    for name, command in commands.items():
        seconds, memory, _ = runs.ours(*command)
        what = f"{name}, {LONG:,} joints, {seconds:.0f} s"
        yield what, "400 MB", f"{memory:.0f} MB", "400 MB", memory / 400, 1.0


def record(runs: Runs) -> Iterator[Line]:
    """As-tightened values of a whole list, and its hand-over."""
    path, out = runs.folder / "joints.xlsx", runs.folder / "joints"
    make_list(path, JOINTS)
    runs.plan(path, out)
    book = openpyxl.Workbook()
    book.active.append(["Joint", "Operation", *(HEADINGS[name] for name in ("card", "done", "by", "date"))])

    for joint in read_plan(out / "joints-plan.json").joints:
        if joint.card:
            book.active.append([joint.joint, joint.operation, joint.card, "as planned", "A. Crew", joint.date])
    book.save(runs.folder / "records.xlsx")
    ours = runs.ours("record", out / "joints-plan.json", runs.folder / "records.xlsx", "--out", out)
    peer = runs.cost(sys.executable, "-c", LOAD_AND_SAVE, out / "joints-hand-over.xlsx", runs.folder / "copy.xlsx")
    what = f"record + hand-over, {JOINTS:,} joints"
    yield what, "openpyxl load + save of it", f"{ours[0]:.1f} s", f"{peer[0]:.1f} s", ours[0] / peer[0], 1.5
    yield "memory of it", "400 MB", f"{ours[1]:.0f} MB", "400 MB", ours[1] / 400, 1.0


LINES = {"call": call, "plan": plan, "rows": rows, "lists": lists, "pages": pages, "record": record, "long": long}


def main() -> None:
    print("| work | peer | ours | peer's | ratio | goal | met |\n|---|---|---|---|---|---|---|")
    with tempfile.TemporaryDirectory() as name:
        for each in sys.argv[1:] or LINES:
            for work, peer, ours, theirs, ratio, goal in LINES[each](Runs(Path(name))):
                met = "yes" if ratio <= goal else "no"
                print(f"| {work} | {peer} | {ours} | {theirs} | {ratio:.2f} | {goal:g} | {met} |", flush=True)


if __name__ == "__main__":
    main()
