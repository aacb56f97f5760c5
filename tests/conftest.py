"""Workers for a whole run, one office process for each, and counts of published values compared, shown at the end."""

import contextlib
import gc
import os
import sys
from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from unittest import mock

import openpyxl
import pytest
from hypothesis import HealthCheck, settings
from openpyxl.reader import strings
from openpyxl.worksheet import _reader
from openpyxl.worksheet.merge import MergedCellRange

from addin import tasks
from addin.hosts.libreoffice.office import Office
from addin.hosts.libreoffice.places import NoOfficeError

sys.path.insert(0, str(Path(__file__).parent))  # helpers of the tests are imported by their names

if os.environ.pop("PYTHONDONTWRITEBYTECODE", None):
    # Nothing compiled into the tree is what was asked. Workers and commands of a run would each compile all of it
    # again, which is half of the time of a short command; so it is kept beside what pytest keeps.
    _compiled = Path(__file__).parents[1] / ".pytest_cache/compiled"
    if not _compiled.exists():  # libraries have theirs beside them
        for _found in (place for path in sys.path if "site-packages" in path for place in Path(path).rglob("*.pyc")):
            _link = _compiled / _found.relative_to(_found.anchor).parent.parent / _found.name
            with contextlib.suppress(OSError):
                _link.parent.mkdir(parents=True, exist_ok=True)
                os.link(_found, _link)
    os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix = str(_compiled)
    sys.dont_write_bytecode = False

# no deadlines: a busy machine is no fault; a run of CI tries the same examples each time
_ANY_MACHINE = settings(
    deadline=None, suppress_health_check=[HealthCheck.too_slow], max_examples=40, derandomize="CI" in os.environ
)
settings.register_profile("usual", _ANY_MACHINE)
settings.register_profile("sweeps", _ANY_MACHINE, max_examples=500, derandomize=False)

_load_workbook = openpyxl.load_workbook


def _read_back(*given: Any, **more: Any) -> openpyxl.Workbook:
    """A workbook read by a test: without the borders that openpyxl works out for every merged cell, nine tenths of the
    time of reading a card, and with texts of cells joined and not taken apart; no test looks at their looks. What the
    program reads it reads as ever.
    """
    if sys._getframe(1).f_globals.get("__name__", "").startswith("addin."):
        if given and isinstance(given[0], Path) and given[0].is_file() and more == {"data_only": True}:
            return _values_of(given[0].read_bytes())  # what is only looked at: a job reads its workbook again and again
        return _load_workbook(*given, **more)
    with (
        mock.patch.multiple(MergedCellRange, format=mock.DEFAULT, _get_borders=mock.DEFAULT),
        mock.patch.object(_reader, "Text", SimpleNamespace(from_tree=_text)),
        mock.patch.object(strings, "Text", SimpleNamespace(from_tree=_text)),
    ):
        return _load_workbook(*given, **more)


@lru_cache(maxsize=4)
def _values_of(content: bytes) -> openpyxl.Workbook:
    return _load_workbook(BytesIO(content), data_only=True)


def _text(element: Any) -> SimpleNamespace:
    """The text of a cell that carries it itself: what openpyxl makes of its parts, plain or formatted."""
    space = element.tag.rpartition("}")[0] + "}"
    parts = [element.find(f"{space}t"), *element.findall(f"{space}r/{space}t")]
    return SimpleNamespace(content="".join(part.text or "" for part in parts if part is not None))


openpyxl.load_workbook = _read_back

# A plan lets go of the workbook it has read; what the tests hold beside it would be looked through with every plan.
tasks.gc = SimpleNamespace(collect=lambda: 0)  # type: ignore[assignment]

collect_ignore = ["ordinary_office.py"]  # runs in LibreOffice's own Python

_LONGEST = {
    f"test_{name}.py": place
    for place, name in enumerate(
        ("calc", "job", "record_command", "cli", "calls_interaction", "rows_and_answers", "pack_command", "valid_cards",
         "record_sheet", "still_open", "console", "cli_lists", "excel", "several_lists", "depth_of_plan", "done_work",
         "plain_lists", "issue", "gate", "working", "choice", "settings", "reading", "interaction_of_plan", "feedback",
         "working_sheet", "package", "full_disk", "bad_input", "what_was_taken", "language", "damage", "since",
         "state_and_quality", "fidelity", "second_plan", "rules", "kill")
    )
}  # fmt: skip
"""Test files by their time, the longest first; with the first come all that work in LibreOffice."""
_IN_OFFICE = {
    f"test_{name}.py"
    for name in ("calc", "calc_menu", "card_mark", "documents", "frozen", "libreoffice_install", "plain", "recalc",
                 "samples_in_hosts", "secluded", "sheets", "starter")
}  # fmt: skip
"""Those that work in LibreOffice, started once for all of them."""

_COUNTS = pytest.StashKey[dict[str, str]]()
_BY_BASIS = pytest.StashKey[Counter[str]]()


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--sweeps", action="store_true", help="also the long cases marked `sweep`, and sweeps whole")


@pytest.hookimpl(hookwrapper=True)
def pytest_collect_file(file_path: Path) -> Iterator[None]:
    """Of the files under tests only those that have an example are looked through for examples."""
    outcome: Any = yield
    if file_path.suffix == ".py" and ">>>" not in file_path.read_text(encoding="utf-8"):
        outcome.force_result([each for each in outcome.get_result() if type(each).__name__ != "DoctestModule"])


def pytest_configure(config: pytest.Config) -> None:
    settings.load_profile("sweeps" if config.option.sweeps else "usual")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Long cases that repeat, larger, what a short one asserts are run on request; the longest files come first, so
    that no worker begins one when the others end.
    """
    items.sort(key=lambda item: _LONGEST.get(item.path.name, len(_LONGEST)))
    if not config.option.sweeps:
        long = [item for item in items if item.get_closest_marker("sweep")]
        config.hook.pytest_deselected(items=long)
        items[:] = [item for item in items if item not in set(long)]


def pytest_collection_finish(session: pytest.Session) -> None:
    """What thousands of tests consist of stays to the end: nobody looks again and again whether it is garbage."""
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)  # what is new is looked through less often too


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown(item: pytest.Item, nextitem: pytest.Item | None) -> None:
    """The same of what a file of tests has left behind: a plan looks through all there is, several times a test."""
    if nextitem is None or nextitem.path != item.path:
        gc.collect()
        gc.freeze()


@pytest.fixture
def sweeps(request: pytest.FixtureRequest) -> bool:
    """Whether sweeps are asked for whole; otherwise a seeded part of them is run."""
    return bool(request.config.option.sweeps)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """A file stays on one worker, and all that work in LibreOffice on the same one, which starts it once."""
    from xdist.scheduler import LoadFileScheduling

    class OneOffice(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            file = super()._split_scope(nodeid)
            return "office" if file.rpartition("/")[2] in _IN_OFFICE else file

        def mark_test_complete(self, node: Any, item_index: int, duration: float = 0) -> None:
            """What is done is not counted again with every test that ends."""
            nodeid = self.registered_collections[node][item_index]
            del self.assigned_work[node][self._split_scope(nodeid)][nodeid]
            self._reschedule(node)

    return OneOffice(config, log) if config.getoption("dist") == "loadfile" else None


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """No workers where single files or tests are asked for: they would take longer to start than most files to run."""
    asked = config.option.file_or_dir
    single = asked and all("::" in name or name.endswith(".py") for name in asked)
    if single or config.option.keyword or config.option.collectonly or config.getoption("lf", default=False):
        return 0
    return None


@pytest.fixture(scope="session")
def office() -> Iterator[Office]:
    """LibreOffice, started once by each worker that has a test for it; what needs it is skipped where there is none."""
    try:
        running = Office()
    except NoOfficeError as error:
        pytest.skip(f"needs LibreOffice: {error}")
    with running:
        yield running


@pytest.fixture(scope="session")
def published_counts(request: pytest.FixtureRequest) -> dict[str, str]:
    """One line per published table: how many rows and values were compared, and what was left out."""
    return request.config.stash.setdefault(_COUNTS, {})


@pytest.fixture(scope="session")
def by_basis(request: pytest.FixtureRequest) -> Counter[str]:
    """How many of the values compared were read in a copy, are by formula or definition, or from memory."""
    return request.config.stash.setdefault(_BY_BASIS, Counter())


def pytest_sessionfinish(session: pytest.Session) -> None:
    """A worker hands its counts over."""
    if hasattr(session.config, "workeroutput"):
        stash = session.config.stash
        session.config.workeroutput["published"] = [stash.get(_COUNTS, {}), dict(stash.get(_BY_BASIS, {}))]


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    """Takes them from a worker that has ended."""
    counts, bases = getattr(node, "workeroutput", {}).get("published", ({}, {}))
    node.config.stash.setdefault(_COUNTS, {}).update(counts)
    node.config.stash.setdefault(_BY_BASIS, Counter()).update(bases)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    counts = config.stash.get(_COUNTS, {})
    if counts:
        terminalreporter.section("published values")
        for name in sorted(counts):
            terminalreporter.write_line(f"{name:30} {counts[name]}")
        bases = config.stash.get(_BY_BASIS, Counter())
        total = ", ".join(f"{bases[basis]} {basis}" for basis in sorted(bases, key=lambda basis: -bases[basis]))
        terminalreporter.write_line(f"{'all tables':30} {bases.total()} values: {total}")
