"""The lists of a job planned one after the other: a process for each costs more than these short lists."""

import os
from collections.abc import Iterator

import pytest


@pytest.fixture(scope="package", autouse=True)
def one_after_the_other() -> Iterator[None]:
    """`test_job` plans two side by side, a process each, as a job does."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "cpu_count", lambda: 1)
        yield
