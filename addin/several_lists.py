"""Several lists planned by one command: a process for each, as many at once as there are processors."""

import os
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from pathlib import Path

import msgspec

from addin.plan.record import TotalsEntry
from addin.workbooks.file_set import finish_sets, read_notes
from addin.workbooks.package import WorkbookError
from addin.workbooks.plain_file import scratch_folder
from addin.workbooks.plain_lists import TEXTS

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
    folders: dict[Path, Path], options: Sequence[str], told: Callable[[int, int], None] = lambda done, of: None
) -> list[PlannedFile]:
    """Plan each list into its folder with the same options of the command; in the order that was given.

    Raises WorkbookError where it is interrupted, with what is written and what is not.
    """
    begun = time.time() - 1  # disks round
    found: dict[Path, PlannedFile] = {}
    running: list[subprocess.Popen[str]] = []
    with scratch_folder("tautsheet-") as counts:

        def one(number: int, path: Path) -> PlannedFile:
            counted = counts / f"{number}.json"
            command: list[str | Path] = [
                sys.executable,
                "-P",
                "-m",
                "addin",
                "plan",
                "--out",
                folders[path],
                "--told",
                counted,
            ]
            process = subprocess.Popen(
                [*command, *options, "--", path],
                stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, encoding="utf-8",
                errors="replace", env=os.environ | {"PYTHONIOENCODING": "utf-8"},
            )  # fmt: skip
            running.append(process)
            said = process.communicate()[0].splitlines()
            code = process.returncode if 0 <= process.returncode <= _CRASHED else _CRASHED
            if code != process.returncode:
                ended = f"tautsheet: {path.name}: its process ended with {process.returncode}"
                said.append(f"{ended}; see what stands in {folders[path]}")
            plan = msgspec.json.decode(counted.read_bytes(), type=ToldPlan) if counted.is_file() else None
            return PlannedFile(path, folders[path], code, tuple(said), plan)

        pool = ThreadPoolExecutor(min(_processors(), len(folders)))
        try:
            waiting = {pool.submit(one, number, path): path for number, path in enumerate(folders)}
            for done in as_completed(waiting):
                found[waiting[done]] = done.result()
                told(len(found), len(folders))
        except KeyboardInterrupt:
            pool.shutdown(wait=False, cancel_futures=True)
            for process in running:
                process.terminate()
            pool.shutdown()
            raise WorkbookError(_interrupted(folders, begun)) from None
        finally:
            pool.shutdown(cancel_futures=True)
    return [found[path] for path in folders]


def _interrupted(folders: dict[Path, Path], begun: float) -> str:
    """What stands in the folders now that every process has ended."""
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
