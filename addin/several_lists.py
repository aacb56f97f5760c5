"""Several lists planned by one command: a process for each, as many at once as there are processors."""

import contextlib
import gc
import io
import multiprocessing
import os
import runpy
import signal
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from importlib import import_module
from multiprocessing.connection import wait
from pathlib import Path
from typing import Any

import msgspec

from addin.plan.record import TotalsEntry
from addin.workbooks.file_set import finish_sets, read_notes
from addin.workbooks.package import WorkbookError
from addin.workbooks.plain_file import scratch_folder
from addin.workbooks.plain_lists import TEXTS
from calc.findings import InputError
from calc.units import system

ENDINGS = (".xlsx", ".xlsm", ".ods", *TEXTS)
_QUESTIONS = "-questions.xlsx"
_CRASHED = 2
"""Exit code of a list whose process ended by itself."""


class _RowName(msgspec.Struct):
    """What names a row of a plan."""

    joint: str
    operation: str


_name = msgspec.json.Decoder(_RowName)


class ToldPlan(msgspec.Struct, frozen=True):
    """The counts of a plan, and joint and operation of each of its rows."""

    totals: TotalsEntry
    joints: list[tuple[str, str]]


@dataclass(frozen=True)
class PlannedFile:
    """What came of one list: folder of its results, exit code, what was said, and its counts where it is planned."""

    list_file: Path
    folder: Path
    code: int
    said: tuple[str, ...]
    told: ToldPlan | None


def tell(plan_file: Path, totals: TotalsEntry, path: Path) -> None:
    """Write what the process of one list tells the one that started it."""
    with plan_file.open("rb") as file:
        next(file)  # its head; a joint a line follows, as this very process has written and checked it
        rows = [_name.decode(line.rstrip(b",\n")) for line in file if line.startswith(b"{")]
    path.write_bytes(msgspec.json.encode(ToldPlan(totals, [(row.joint, row.operation) for row in rows])))


def lists_in(given: Sequence[Path], books: Sequence[Path], out: Path) -> dict[Path, Path]:
    """The lists that are meant, each with a folder of its own in `out`; of a folder, the workbooks and text files in it
    that are no wrench book given, no sheet of answers, and not written by this program.

    Raises WorkbookError for a folder without lists, and where two lists would get one folder.
    """
    found: list[Path] = []
    for path in given:
        if not path.is_dir():
            found.append(path)
            continue
        ours, known = read_notes(path), {book.resolve() for book in books}
        there = [
            each for each in sorted(path.iterdir())
            if each.suffix.lower() in ENDINGS and each.is_file() and not each.name.startswith((".", "~$"))
            and not each.name.endswith(_QUESTIONS) and each.name not in ours and each.resolve() not in known
        ]  # fmt: skip
        if not there:
            raise WorkbookError(f"{path}: holds no list to plan")
        found += there
    found = list(dict.fromkeys(found))
    names = Counter(path.stem.casefold() for path in found)
    for path in found:
        if names[path.stem.casefold()] > 1:
            raise WorkbookError(f"two of the lists are called {path.stem}: their results would mix; plan them apart")
    return {path: out / path.stem for path in found}


def plan_each(
    folders: dict[Path, Path], options: Sequence[str], told: Callable[[int, int], None] = lambda done, of: None, *,
    books: Sequence[Path] = (),
) -> list[PlannedFile]:  # fmt: skip
    """Plan each list into its folder with the same options of the command; in the order that was given.

    books : read once for all lists, where a process can hand on what it has in memory.

    Raises WorkbookError where it is interrupted, with what is written and what is not.
    """
    begun = time.time() - 1  # disks round
    found: dict[Path, PlannedFile] = {}
    waiting = list(enumerate(folders))
    running: dict[Any, tuple[Any, int, Path]] = {}
    processes: Any = multiprocessing.get_context("fork" if _FORKS else "spawn")
    if _FORKS:
        _make_ready(books)
    with scratch_folder("tautsheet-") as counts, _interrupts() as asked:
        try:
            while waiting or running:
                while waiting and len(running) < _processors():
                    number, path = waiting.pop(0)
                    words = ["plan", "--out", folders[path], "--told", counts / f"{number}.json", *options, "--", path]
                    process = processes.Process(target=_run, args=([*map(str, words)], counts / f"{number}.txt"))
                    process.start()
                    running[process.sentinel] = process, number, path
                for sentinel in wait(list(running)):
                    process, number, path = running.pop(sentinel)
                    process.join()
                    found[path] = _come_of(path, folders[path], process.exitcode, counts / f"{number}")
                    told(len(found), len(folders))
                if asked:
                    raise KeyboardInterrupt
        except KeyboardInterrupt:
            for process, *_ in running.values():
                process.terminate()
            raise WorkbookError(_interrupted(folders, begun, [process for process, *_ in running.values()])) from None
    return [found[path] for path in folders]


@contextlib.contextmanager
def _interrupts() -> Iterator[list[int]]:
    """What interrupts came: raised where Python cleans up behind a process that ended, one would be lost."""
    asked: list[int] = []

    def note(number: int, _frame: object) -> None:
        asked.append(number)
        raise KeyboardInterrupt

    before = signal.getsignal(signal.SIGINT)
    if before is not signal.default_int_handler or threading.current_thread() is not threading.main_thread():
        yield asked
        return
    signal.signal(signal.SIGINT, note)
    try:
        yield asked
    finally:
        signal.signal(signal.SIGINT, before)


_FORKS = sys.platform == "linux"
"""Whether a process hands on to those it starts what it has read and imported."""
_NEEDED = ("addin.tasks", "addin.reports", "openpyxl")


def _make_ready(books: Sequence[Path]) -> None:
    """Import and read once what the process of every list needs; what is wrong with a book they say themselves."""
    for name in _NEEDED:
        import_module(name)
    from addin.wrenches.wrench_book import read_wrench_book

    with contextlib.suppress(WorkbookError, InputError, OSError):
        read_wrench_book(books, system("US"))
    gc.freeze()


def _run(words: list[str], said: Path) -> None:
    """Run the program in this process, which was started for it; what it says goes into a file."""
    with said.open("wb") as file, Path(os.devnull).open("rb") as nothing:
        os.dup2(nothing.fileno(), 0)
        for stream in (1, 2):
            os.dup2(file.fileno(), stream)
    sys.stdin = Path(os.devnull).open(encoding="utf-8")  # noqa: SIM115  as long as the process lives
    for name, stream in (("stdout", 1), ("stderr", 2)):
        bare = os.fdopen(stream, "wb", buffering=0, closefd=False)
        setattr(sys, name, io.TextIOWrapper(bare, encoding="utf-8", errors="replace", write_through=True))
    sys.argv[1:] = words
    runpy.run_module("addin", run_name="__main__")


def _come_of(path: Path, folder: Path, ended: int | None, counted: Path) -> PlannedFile:
    """What came of a list whose process has ended."""
    told, text = counted.with_suffix(".json"), counted.with_suffix(".txt")
    said = text.read_text(encoding="utf-8", errors="replace").splitlines() if text.is_file() else []
    code = ended if ended is not None and 0 <= ended <= _CRASHED else _CRASHED
    if code != ended:
        said.append(f"tautsheet: {path.name}: its process ended with {ended}; see what stands in {folder}")
    plan = msgspec.json.decode(told.read_bytes(), type=ToldPlan) if told.is_file() else None
    return PlannedFile(path, folder, code, tuple(said), plan)


def _interrupted(folders: dict[Path, Path], begun: float, processes: Sequence[Any]) -> str:
    """What stands in the folders once every process has ended."""
    for process in processes:
        process.join()
    written = []
    for path, folder in folders.items():
        finish_sets(folder)
        plan = folder / f"{path.stem.removesuffix('-planned')}-plan.json"
        if plan.is_file() and plan.stat().st_mtime >= begun:
            written.append(path.name)
    rest = [path.name for path in folders if path.name not in written]
    said = f"planned and written: {', '.join(written)}" if written else "no list is planned"
    return f"interrupted; {said}; not written: {', '.join(rest) or 'none'}"


def _processors() -> int:
    """Processors that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def sum_of(parts: Sequence[TotalsEntry]) -> TotalsEntry:
    """The counts of several lists together."""
    return TotalsEntry(**{
        name: sum(getattr(each, name) for each in parts) for name in TotalsEntry.__struct_fields__
    })  # fmt: skip
