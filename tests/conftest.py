"""One office process for all tests, and counts of published values compared, shown at the end of a run."""

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from addin.hosts.libreoffice.office import Office
from addin.hosts.libreoffice.places import NoOfficeError

sys.path.insert(0, str(Path(__file__).parent))  # helpers of the tests are imported by their names

_COUNTS = pytest.StashKey[dict[str, str]]()


@pytest.fixture(scope="session")
def office() -> Iterator[Office]:
    """LibreOffice, started once; what needs it is skipped where there is none."""
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


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    counts = config.stash.get(_COUNTS, {})
    if counts:
        terminalreporter.section("published values")
        for name in sorted(counts):
            terminalreporter.write_line(f"{name:30} {counts[name]}")
