"""Changes the program in many small ways, one at a time, and counts those that no test notices.

    python tests/mutants/run.py --of 500 --seed 1          a sample drawn by chance
    python tests/mutants/run.py --named                    the changes of `dangerous.py`, each once a silent danger
    python tests/mutants/run.py --root OTHER --of 200      another checkout, by the same script
    python tests/mutants/run.py --tests FILE ...           only these tests, without a map: for a few files of the program
    python tests/mutants/run.py --again RESULTS --sweeps   what survived elsewhere, here, by every test that runs it

First every test file runs once and is noted with the blocks of the program that each of its tests runs
(`OUT/map.pickle`, kept for later runs). Then each change is made in a process of its own, forked from one that has
imported everything but the program, and the tests that run its block are run, the quickest files first, until one
fails. What survives the first seconds is tried once more, after all others, with the rest of the tests that run it.
Results are added to `OUT/results-SEED.jsonl`; a run that is stopped goes on where it was. Tests that fail without any
change are left out by the map; with `--check` each test that noticed a change is run again without one, and what it
noticed alone does not count when it fails. Not for CI: it takes hours of a processor.
"""

import argparse
import contextlib
import functools
import gc
import importlib
import json
import os
import pickle
import random
import resource
import shutil
import signal
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass, field
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))
from changes import Change, changed_tree, changes_of
from dangerous import DANGEROUS
from seen import Block, Program, blocks_of, import_with_marks, module_of

ROOMS = ("calc", "addin/reading", "addin/wrenches", "addin/plan", "addin/records")
LEFT_OUT = ("/hosts/", "/attack/", "/speed/", "/planted/", "/slips/", "tests/lists/", "/mutants/", "test_kill", "starter",
            "test_samples", "excel", "office", "second_plan", "two_weeks", "record_story", "test_readme", "test_recalc")  # fmt: skip
"""Tests that start other programs or long runs: what they would notice of a change is not asked."""
PYTEST = ["-q", "-x", "-o", "addopts=", "--doctest-modules", "--import-mode=importlib", "-p", "no:cacheprovider",
          "-p", "no:xdist", "-p", "no:randomly", "--hypothesis-seed=1"]  # fmt: skip
FIRST, ALL = 10.0, 25.0
"""Seconds of the processor that tests of a change may take, at first and when it has survived."""
LISTS = "tests/addin/reading/test_kept_lists.py"
"""A sweep over the written lists: what survives in the reading is tried by it too."""
CHEAP = 0.05
"""Seconds: tests this short run along with those of their file that run the block, which may have made what they read."""


Chosen = tuple[float, str, set[str]]
"""Seconds, file and tests that run a change."""
Answer = dict[str, Any]
"""What became of a change."""


@dataclass
class FileOfTests:
    """What one file of tests does: of each test its seconds and the blocks it runs."""

    tests: list[tuple[str, float, frozenset[int]]] = field(default_factory=list)
    failed: set[str] = field(default_factory=set)


def arguments() -> argparse.Namespace:
    """What is asked on the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--root", type=Path, default=Path(__file__).resolve().parents[2])
    parser.add_argument("--out", type=Path, default=Path("/tmp/mutants"))
    parser.add_argument("--of", type=int, default=500, help="changes in the sample")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--only", nargs="*", default=[], metavar="FILE:NUMBER", help="these changes, shown with output")
    parser.add_argument("--in-files", nargs="*", default=[], metavar="FILE", help="sample from these files alone")
    parser.add_argument("--named", action="store_true", help="the changes of dangerous.py")
    parser.add_argument("--tests", nargs="*", default=[], metavar="FILE", help="these tests alone, without a map")
    parser.add_argument("--again", type=Path, metavar="RESULTS", help="the changes that survived an earlier run")
    parser.add_argument("--seconds", type=float, default=ALL, help="of the processor that the second round may take")
    parser.add_argument("--map", action="store_true", help="only note which tests run what")
    parser.add_argument("--sweeps", action="store_true", help="long cases too, for those that survive all others")
    parser.add_argument("--check", action="store_true", help="run what noticed a change again, without any change")
    return parser.parse_args()


def program_files(root: Path) -> list[str]:
    """Every file of the program."""
    return [str(path.relative_to(root)) for room in ("calc", "addin") for path in sorted((root / room).rglob("*.py"))
            if "inside" not in path.parts]  # fmt: skip


def test_files(root: Path) -> list[str]:
    """Files with tests, and files of the program with examples."""
    tests = sorted((root / "tests").rglob("test_*.py"))
    own = [path for file in program_files(root) if ">>>" in (path := root / file).read_text(encoding="utf-8")]
    names = [str(path.relative_to(root)) for path in [*tests, *own]]
    return [name for name in names if not any(word in name for word in LEFT_OUT)]


# -- a process for each -------------------------------------------------------------------------------------------------


def forked(work: Callable[[], Any], seconds: float) -> Any:
    """What `work` gives back in a process of its own; None where that ends without an answer or takes too long."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        os.close(reading)
        os.setpgid(0, 0)
        with contextlib.suppress(BaseException):
            limit = int(seconds) + 10
            resource.setrlimit(resource.RLIMIT_CPU, (limit, limit))
            resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
            answer = pickle.dumps(work())
            with os.fdopen(writing, "wb") as pipe:
                pipe.write(answer)
        os._exit(0)
    os.close(writing)
    signal.signal(signal.SIGALRM, lambda *_: os.killpg(child, signal.SIGKILL))
    signal.alarm(int(seconds) * 12 + 60)  # of the clock: a busy machine may be slow
    with os.fdopen(reading, "rb") as pipe:
        answer = pipe.read()
    signal.alarm(0)
    os.waitpid(child, 0)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    return pickle.loads(answer) if answer else None


def in_workers(items: list[Any], workers: int, work: Callable[[Any], Any]) -> None:
    """Each worker takes the next item; `work` keeps its own results."""
    reading, writing = os.pipe()
    feeding = os.fork()
    if not feeding:
        os.close(reading)
        with contextlib.suppress(BrokenPipeError):
            for at in range(len(items)):
                os.write(writing, at.to_bytes(4, "little"))
        os._exit(0)
    os.close(writing)
    children = [feeding]
    for _ in range(workers):
        child = os.fork()
        if not child:
            while number := os.read(reading, 4):
                work(items[int.from_bytes(number, "little")])
            os._exit(0)
        children.append(child)
    os.close(reading)
    for child in children:
        os.waitpid(child, 0)


def warm(root: Path) -> None:
    """Everything but the program and its tests, imported once."""
    os.chdir(root)
    sys.path.insert(0, str(root))
    sys.dont_write_bytecode = False
    for name in ("numpy", "scipy.optimize", "scipy.interpolate", "pint", "openpyxl", "xlsxwriter", "hypothesis", "msgspec",
                 "pytest", "_pytest.doctest", "_pytest.assertion.rewrite", "click", "segno", "pydoc", "doctest"):  # fmt: skip
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
    import pint

    pint.UnitRegistry()


def quiet(place: Path | None) -> None:
    """What tests print goes to a file."""
    to = os.open(place or os.devnull, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(to, 1)
    os.dup2(to, 2)


# -- which tests run what -----------------------------------------------------------------------------------------------


class Loop:
    """Hands the collected tests to `work` in place of running them one after the other."""

    def __init__(self, work: Callable[[Any], None]) -> None:
        self.work = work

    def pytest_configure(self) -> None:
        """Files named on the command line are imported by pytest in its own way, unless ours comes first."""
        sys.meta_path.sort(key=lambda finder: not isinstance(finder, Program))

    def pytest_runtestloop(self, session: Any) -> bool:
        self.work(session)
        return True


def collected(files: list[str], work: Callable[[Any], None]) -> None:
    """Imports program and tests once, then works with the tests."""
    import pytest

    pytest.main([*PYTEST, "--continue-on-collection-errors", *files], plugins=[Loop(work)])


def run_tests(session: Any, items: list[Any], after: Callable[[Any, list[str]], bool]) -> None:
    """Runs some tests of the session in this process; ends where `after` a test says so with what failed."""
    import pytest

    base = Path(f"/tmp/mutants-{os.getpid()}")
    base.mkdir()
    session.config._tmp_path_factory._basetemp = base
    failed: list[str] = []

    class Failing:
        def pytest_runtest_logreport(self, report: Any) -> None:
            if report.failed:
                failed.append(report.nodeid)

    session.config.pluginmanager.register(Failing())
    try:
        for at, item in enumerate(items):
            following = items[at + 1] if at + 1 < len(items) else None
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if after(item, failed):
                break
    except (pytest.exit.Exception, KeyboardInterrupt):
        failed.append("exit")
    finally:
        shutil.rmtree(base, ignore_errors=True)


def by_files(items: list[Any]) -> dict[str, list[Any]]:
    """Tests by their file, in its order."""
    found: dict[str, list[Any]] = defaultdict(list)
    for item in items:
        found[item.nodeid.split("::")[0]].append(item)
    return found


def noted(session: Any, items: list[Any], seen: bytearray) -> FileOfTests:
    """One file of tests, run with marks."""
    made = FileOfTests()
    seen[:] = bytes(len(seen))
    last = time.process_time()

    def after(item: Any, failed: list[str]) -> bool:
        nonlocal last
        now = time.process_time()
        made.tests.append((item.nodeid, now - last, frozenset(at for at, one in enumerate(seen) if one)))
        seen[:] = bytes(len(seen))
        made.failed |= set(failed)
        last = time.process_time()
        return False

    run_tests(session, items, after)
    return made


def make_map(root: Path, out: Path, workers: int) -> None:
    """Notes every file of tests that is not noted yet, and which blocks run when program and tests are imported."""
    kept = out / "map"
    kept.mkdir(parents=True, exist_ok=True)
    renumber(root, kept)
    seen = import_with_marks(root, program_files(root))

    def work(session: Any) -> None:
        (kept / "imported.pickle").write_bytes(pickle.dumps(frozenset(at for at, one in enumerate(seen) if one)))
        files = by_files(session.items)
        gc.collect()
        gc.freeze()

        def note(file: str) -> None:
            made = forked(lambda: noted(session, files[file], seen), 400.0)
            place_of(kept, file).write_bytes(pickle.dumps(made))
            said = (
                f"{len(made.tests)} tests, {sum(each[1] for each in made.tests):.1f} s"
                if made
                else "left out: too long"
            )
            print(
                f"{file}: {said}{f', failed: {made.failed}' if made and made.failed else ''}",
                file=sys.__stderr__,
                flush=True,
            )

        in_workers([file for file in files if not place_of(kept, file).exists()], workers, note)
        (kept / "whole").touch()

    collected(test_files(root), work)


def renumber(root: Path, kept: Path) -> None:
    """What is kept of an earlier state of the program, by the blocks of today; those that are gone are left out."""
    names = [name for *_, name in blocks_of(root, program_files(root))]
    known = kept / "blocks.json"
    before = json.loads(known.read_text()) if known.exists() else names
    if before != names:
        now = {name: at for at, name in enumerate(names)}
        there = [now.get(name) for name in before]
        for place in kept.glob("*.pickle"):
            made = pickle.loads(place.read_bytes())
            if isinstance(made, FileOfTests):
                made.tests = [(name, seconds, frozenset(block for at in seen if (block := there[at]) is not None))
                              for name, seconds, seen in made.tests]  # fmt: skip
                place.write_bytes(pickle.dumps(made))
    known.write_text(json.dumps(names))


def place_of(kept: Path, file: str) -> Path:
    """Where a file of tests is noted."""
    return kept / (file.replace("/", "~") + ".pickle")


def kept_map(root: Path, out: Path) -> tuple[dict[str, FileOfTests], frozenset[int]]:
    """The map of files that ended, and the blocks that importing runs."""
    kept = out / "map"
    renumber(root, kept)
    found = {file: pickle.loads(place_of(kept, file).read_bytes())
             for file in test_files(root) if place_of(kept, file).exists()}  # fmt: skip
    return ({file: made for file, made in found.items() if made is not None and made.tests},
            pickle.loads((kept / "imported.pickle").read_bytes()))  # fmt: skip


# -- one change ---------------------------------------------------------------------------------------------------------


def block_at(blocks: dict[str, list[tuple[int, int, int]]], change: Change) -> int | None:
    """The innermost block of a line; None for what runs when the file is imported."""
    inside = [(end - start, at) for start, end, at in blocks.get(change.file, []) if start <= change.line <= end]
    return min(inside)[1] if inside else None


def tests_of(made: dict[str, FileOfTests], block: int | None, blocks: list[Block], change: Change) -> list[Chosen]:
    """Seconds, file and tests that run a block: the file's own examples and tests first, its room's, the quickest."""
    own = {at for at, (file, *_) in enumerate(blocks) if file == change.file}  # for what runs when it is imported
    if not any(own & seen for each in made.values() for _, _, seen in each.tests):
        return near_tests(made, change)
    found = []
    for file, each in made.items():
        hits = [(at, seconds) for at, (_, seconds, seen) in enumerate(each.tests)
                if (block in seen if block is not None else not own.isdisjoint(seen))]  # fmt: skip
        if not hits:
            continue
        chosen = {at for at, _ in hits} | {at for at, (_, seconds, _) in enumerate(each.tests)
                                           if at >= hits[0][0] and seconds < CHEAP}  # fmt: skip
        names = {each.tests[at][0] for at in chosen} - each.failed
        seconds = sum(each.tests[at][1] for at in chosen)
        stem, room = Path(change.file).stem, f"/{Path(change.file).parent.name}/"
        near = file == change.file or Path(file).stem == f"test_{stem}" and room in file
        found.append((seconds / (100 if near else 20 if room in file else 1), (seconds, file, names)))
    return [each for _, each in sorted(found, key=lambda item: (item[0], item[1][1]))]


def near_tests(made: dict[str, FileOfTests], change: Change) -> list[Chosen]:
    """Tests of the same room and of sentences, where no test is noted for a whole file: it was imported without marks."""
    room = "/".join(change.file.split("/")[:-1])
    found = []
    for file, each in made.items():
        if file == change.file or file.startswith(f"tests/{room}/") or "test_sentences" in file:
            seconds = sum(seconds for _, seconds, _ in each.tests)
            names = {name for name, _, _ in each.tests} - each.failed
            found.append((seconds / (10 if file == change.file or room in file else 1), file, names))
    return sorted(found, key=lambda item: item[:2])


class Choosing:
    """For a process of its own: keeps the chosen tests and ends at the first that fails or when its time is over."""

    def __init__(self, chosen: list[Chosen], seconds: float) -> None:
        self.names = set().union(*(names for _, _, names in chosen))
        self.until, self.killer, self.run, self.over = time.process_time() + seconds, "", 0, False

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        items[:] = [item for item in items if not self.names or item.nodeid in self.names]

    def pytest_collectreport(self, report: Any) -> None:
        if report.failed:
            self.killer = f"collecting {report.nodeid}"

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed and not self.killer:
            self.killer = report.nodeid

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        if time.process_time() > self.until:
            import pytest

            self.over = True
            pytest.exit("time is over", returncode=0)
        self.run += 1


def tried_anew(
    root: Path, change: Change, code: Callable[[str], CodeType], chosen: list[Chosen], seconds: float
) -> Answer:
    """One change in a process that has not yet imported the program: for what runs when it is imported."""
    import pytest

    sys.meta_path.insert(0, Program(root, {change.file: code}))
    try:
        importlib.import_module(module_of(change.file))
    except BaseException as error:
        return {"killer": f"import: {error!r}"[:200], "tests": 0, "whole": True}
    base = Path(f"/tmp/mutants-{os.getpid()}")
    choosing = Choosing(chosen, seconds)
    try:
        pytest.main([*PYTEST, f"--basetemp={base}", *(file for _, file, _ in chosen)], plugins=[choosing])
    finally:
        shutil.rmtree(base, ignore_errors=True)
    return {"killer": choosing.killer, "tests": choosing.run, "whole": not choosing.over}


Key = tuple[str, str, int]


def functions_by_code(root: Path) -> dict[Key, list[FunctionType]]:
    """Every function of the program that lives in this process."""
    found: dict[Key, list[FunctionType]] = defaultdict(list)
    gc.unfreeze()  # what was set aside for good is not listed
    for each in gc.get_objects():
        if isinstance(each, FunctionType) and each.__code__.co_filename.startswith(str(root)):
            found[key_of(each.__code__)].append(each)
    return found


def key_of(code: CodeType) -> Key:
    """What tells the code of a function."""
    return code.co_filename, code.co_qualname, code.co_firstlineno


def changed_function(
    module: CodeType, line: int, known: dict[Key, list[FunctionType]]
) -> tuple[list[FunctionType], CodeType] | None:
    """The outermost living functions around a line of the changed code."""
    for code in [const for const in module.co_consts if isinstance(const, CodeType)]:
        lines = [at for _, _, at in code.co_lines() if at is not None]
        inner = list(_within(code))
        lines += [at for each in inner for _, _, at in each.co_lines() if at is not None]
        if lines and min(lines) <= line <= max(lines):
            if key_of(code) in known:
                return known[key_of(code)], code
            return changed_function(code, line, known)
    return None


def _within(code: CodeType) -> Iterator[CodeType]:
    for const in code.co_consts:
        if isinstance(const, CodeType):
            yield const
            yield from _within(const)


def tried_here(session: Any, items: dict[str, Any], caches: list[Any], target: tuple[list[FunctionType], CodeType],
               chosen: list[Chosen], seconds: float) -> Answer:  # fmt: skip
    """One change of a function in this process, a fork of one that has imported everything."""
    functions, code = target
    for function in functions:
        function.__code__ = code
    for cache in caches:
        cache.cache_clear()
    until, ran, over, killer = time.process_time() + seconds, 0, False, ""

    def after(item: Any, failed: list[str]) -> bool:
        nonlocal ran, over, killer
        ran, over = ran + 1, time.process_time() > until
        killer = failed[0] if failed else ""
        return bool(failed) or over

    of_file = by_files(list(items.values()))
    wanted = [item for _, file, names in chosen for item in of_file[file] if not names or item.nodeid in names]
    run_tests(session, wanted, after)
    return {"killer": killer, "tests": ran, "whole": not over or ran == len(wanted)}


def parts_of(chosen: list[Chosen]) -> tuple[list[Chosen], list[Chosen]]:
    """Tests of the first seconds, and the rest."""
    first: list[Chosen] = []
    used = 0.0
    for each in chosen:
        if first and used + each[0] > FIRST:
            break
        first.append(each)
        used += each[0]
    return first, chosen[len(first) :]


def verdict(
    chosen: list[Chosen], tried: Callable[[list[Chosen], float], Answer], before: Answer | None = None
) -> Answer:
    """Killed by which test, survived, or run by no test at all; `before` is what the first seconds have shown."""
    begun = time.time()
    if not chosen:
        return {"status": "survived", "killer": "", "tests": 0, "why": "no test runs it", "seconds": 0, "whole": True}
    first, rest = parts_of(chosen)
    part, seconds = (first, FIRST) if before is None else (rest if before["ended"] else chosen, SECOND[0])
    answer = forked(lambda: tried(part, seconds), 3 * seconds)
    answer = answer or {"killer": "did not end", "tests": 0, "whole": True}
    answer["ended"] = answer["whole"]
    answer["whole"] = answer["whole"] and (before is not None or not rest)
    if before is not None:
        answer["tests"] += before["tests"]
        answer["last"] = True
    return {"status": "killed" if answer["killer"] else "survived", **answer, "seconds": round(time.time() - begun, 1)}


SECOND = [ALL]
"""Seconds of the second round as asked for."""


def results_in(place: Path) -> dict[str, dict[str, Any]]:
    """The last answer of each change."""
    lines = place.read_text().splitlines() if place.exists() else []
    return {f"{each['file']}:{each['number']}": each for each in map(json.loads, lines)}


def open_in(place: Path) -> dict[str, dict[str, Any]]:
    """Changes that have survived the first seconds, and no more was tried."""
    return {name: each for name, each in results_in(place).items()
            if each["status"] == "survived" and not each["whole"] and not each.get("last")}  # fmt: skip


def code_of(root: Path, change: Change) -> Callable[[str], CodeType]:
    """The program's code with one change."""

    def make(file: str) -> CodeType:
        source = (root / file).read_text(encoding="utf-8")
        if change.number < 0:
            assert source.count(change.before) == 1, (
                f"{change.name}: its text stands {source.count(change.before)} times"
            )
            return compile(source.replace(change.before, change.after), str(root / file), "exec", dont_inherit=True)
        return compile(changed_tree(source, change.number), str(root / file), "exec", dont_inherit=True)

    return make


def sample(root: Path, of: int, seed: int, only_files: list[str]) -> list[Change]:
    """Changes drawn by chance; constants, a third of all places and mostly words of one table, are a sixth."""
    rooms = [room for room in ROOMS if (root / room).is_dir()]
    files = only_files or [file for file in program_files(root) if any(file.startswith(f"{room}/") for room in rooms)]
    found = [change for file in files for change in changes_of(root, file)]
    drawn = random.Random(seed)
    constants = [change for change in found if change.kind == "constant"]
    others = [change for change in found if change.kind != "constant"]
    drawn.shuffle(constants)
    drawn.shuffle(others)
    return [*others[: of - of // 6], *constants[: of // 6]]


def report(results: list[dict[str, Any]]) -> Iterator[str]:
    """Counts by room and kind, then each that survived."""
    survived = [each for each in results if each["status"] == "survived"]
    yield f"{len(survived)} of {len(results)} survived"
    for title, key in (
        ("room", lambda each: "/".join(each["file"].split("/")[:2])),
        ("kind", lambda each: each["kind"]),
    ):
        all_of, left = Counter(map(key, results)), Counter(map(key, survived))
        yield f"by {title}: " + ", ".join(f"{name} {left[name]} of {all_of[name]}" for name in sorted(all_of))
    for each in sorted(survived, key=lambda each: (each["file"], each["line"])):
        yield f"{each['file']}:{each['line']} [{each['file']}:{each['number']}] {each['kind']}: {each['before']}  ->  {each['after']} {each.get('why', '')}"


def main() -> None:
    """Makes the map, tries the changes, prints the counts."""
    given = arguments()
    root, out = given.root.resolve(), given.out.resolve()
    PYTEST.extend(["--sweeps"] if given.sweeps else [])
    SECOND[0] = given.seconds
    out.mkdir(parents=True, exist_ok=True)
    warm(root)
    if not given.tests and not (out / "map" / "whole").exists():
        mapping = os.fork()
        if not mapping:
            quiet(out / "map.log")
            make_map(root, out, given.workers)
            os._exit(0)
        os.waitpid(mapping, 0)
    if given.map:
        return
    changes, results = asked(given, root, out)
    blocks = blocks_of(root, program_files(root))
    made, imported = ({}, frozenset()) if given.tests else kept_map(root, out)
    by_file: dict[str, list[tuple[int, int, int]]] = defaultdict(list)
    for at, (file, start, end, _) in enumerate(blocks):
        by_file[file].append((start, end, at))
    if given.check:
        check(root, given, out, results)
        return
    known = results_in(results).keys() - open_in(results).keys()
    todo = [(change, block_at(by_file, change)) for change in changes if change.name not in known]
    if given.tests:
        chosen: dict[str, list[Chosen]] = {
            change.name: [(0.0, file, set()) for file in given.tests] for change, _ in todo
        }
    else:
        chosen = {change.name: tests_of(made, block, blocks, change) for change, block in todo}
        for change, _ in todo:
            if given.sweeps and change.file.startswith("addin/reading/") and (root / LISTS).exists():
                chosen[change.name].append((12.0, LISTS, set()))

    def keep(change: Change, answer: Answer) -> None:
        with results.open("a") as file:
            file.write(json.dumps(asdict(change) | answer) + "\n")
        said = f"{answer['status']:9} {change.name} {change.kind}: {change.before[:60]!r} by {answer['killer']} ({answer['seconds']} s)"
        print(said, file=sys.__stderr__, flush=True)

    quick = [change for change, block in todo if block is not None and block not in imported]
    slow = [change for change, block in todo if block is None or block in imported]
    left = out / "left.txt"
    left.unlink(missing_ok=True)
    if quick:
        here = os.fork()
        if not here:
            quiet(None)
            collected(
                given.tests or test_files(root),
                lambda session: in_functions(session, root, quick, chosen, given.workers, keep, left, results),
            )
            os._exit(0)
        os.waitpid(here, 0)
    more = set(left.read_text().split()) if left.exists() else set()
    slow += [change for change in quick if change.name in more]

    def anew(change: Change) -> None:
        quiet(None)
        code = code_of(root, change)
        before = open_in(results).get(change.name)
        keep(
            change,
            verdict(chosen[change.name], lambda part, seconds: tried_anew(root, change, code, part, seconds), before),
        )

    in_workers([each for each in slow if each.name not in results_in(results)], given.workers, anew)
    in_workers([each for each in slow if each.name in open_in(results)], given.workers, anew)
    names = {change.name for change in changes}
    for line in report([each for name, each in results_in(results).items() if name in names]):
        print(line)


def in_functions(session: Any, root: Path, changes: list[Change], chosen: dict[str, list[Chosen]], workers: int,
                 keep: Callable[[Change, Answer], None], left: Path, results: Path) -> None:  # fmt: skip
    """Changes inside functions; those whose function does not live here are left for a process of their own."""
    items = {item.nodeid: item for item in session.items}
    known = functions_by_code(root)
    caches = [each for each in gc.get_objects() if isinstance(each, functools._lru_cache_wrapper)
              and getattr(each, "__module__", "").split(".")[0] in ("calc", "addin")]  # fmt: skip
    gc.collect()
    gc.freeze()

    def work(change: Change) -> None:
        target = changed_function(code_of(root, change)(change.file), change.line, known)
        if target is None:
            with left.open("a") as file:
                file.write(change.name + "\n")
            return
        before = open_in(results).get(change.name)
        tried = functools.partial(tried_here, session, items, caches, target)
        keep(change, verdict(chosen[change.name], tried, before))

    in_workers([each for each in changes if each.name not in results_in(results)], workers, work)
    in_workers([each for each in changes if each.name in open_in(results)], workers, work)


def check(root: Path, given: argparse.Namespace, out: Path, results: Path) -> None:
    """Runs each test that noticed a change again, without any; says which fail, and what they noticed."""
    noticed = defaultdict(list)
    for name, each in results_in(results).items():
        if "::" in each["killer"] and not each["killer"].startswith("collecting"):
            noticed[each["killer"]].append(name)
    said = out / "check.txt"
    said.write_text("")

    def work(session: Any) -> None:
        items = {item.nodeid: item for item in session.items}

        def again(killer: str) -> None:
            answer = forked(
                lambda: tried_here(
                    session, items, [], ([], code_of_nothing), [(0.0, killer.split("::")[0], {killer})], ALL
                ),
                ALL,
            )
            if answer is None or answer["killer"] or not answer["tests"]:
                with said.open("a") as file:
                    file.write(f"{killer} fails without any change: {', '.join(noticed[killer])}\n")

        in_workers(sorted(noticed), given.workers, again)

    here = os.fork()
    if not here:
        quiet(None)
        collected(given.tests or test_files(root), work)
        os._exit(0)
    os.waitpid(here, 0)
    print(said.read_text() or f"{len(noticed)} tests noticed changes; without one each passes")


code_of_nothing = compile("", "nothing", "exec")


def asked(given: argparse.Namespace, root: Path, out: Path) -> tuple[list[Change], Path]:
    """The changes to try, and where their results are kept."""
    if given.named:
        found = []
        for at, (what, file, before, after) in enumerate(DANGEROUS):
            source = (root / file).read_text(encoding="utf-8")
            line = source[: source.find(before)].count("\n") + before.rstrip().count("\n") + 1
            found.append(Change(file, -1 - at, line, what, before, after))
        (out / "named.jsonl").unlink(missing_ok=True)
        return found, out / "named.jsonl"
    if given.only:
        wanted = defaultdict(set)
        for name in given.only:
            file, number = name.rsplit(":", 1)
            wanted[file].add(int(number))
        (out / "only.jsonl").unlink(missing_ok=True)
        return [
            each for file in wanted for each in changes_of(root, file) if each.number in wanted[file]
        ], out / "only.jsonl"
    if given.again:
        return [here for each in results_in(given.again).values() if each["status"] == "survived"
                and (here := _same_change(root, each))], out / "again.jsonl"  # fmt: skip
    kept = out / f"sample-{given.seed}-{given.of}.json"
    if not kept.exists():
        kept.write_text(json.dumps([asdict(each) for each in sample(root, given.of, given.seed, given.in_files)]))
    return [Change(**each) for each in json.loads(kept.read_text())], out / f"results-{given.seed}.jsonl"


def _same_change(root: Path, earlier: dict[str, Any]) -> Change | None:
    """A change of another state of the program as it is here: the same text, the nearest by its number."""
    if not (root / earlier["file"]).exists():
        return None
    same = [each for each in changes_of(root, earlier["file"])
            if (each.kind, each.before, each.after) == (earlier["kind"], earlier["before"], earlier["after"])]  # fmt: skip
    return min(same, key=lambda each: abs(each.number - earlier["number"]), default=None)


if __name__ == "__main__":
    main()
