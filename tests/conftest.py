"""Counts of published values compared, shown at the end of a run."""

import pytest

_COUNTS = pytest.StashKey[dict[str, str]]()


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
