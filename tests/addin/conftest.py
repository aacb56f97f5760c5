"""What tests of cards, packs and records share: rows of a small list, and the plan that the planner makes of them."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import small_plans
import worked_out

from addin.shipped import template as shipped


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that all workers of a run have together."""
    own = tmp_path_factory.getbasetemp()
    return own.parent if "PYTEST_XDIST_WORKER" in os.environ else own


@pytest.fixture(scope="module")
def worked_out_once(shared: Path) -> Iterator[None]:
    """What takes a model is worked out once for each input, whoever asks."""
    kept = shared / "worked out"
    kept.mkdir(exist_ok=True)
    with worked_out.once(kept):
        yield


@pytest.fixture
def template() -> Path:
    return shipped("joint card")


@pytest.fixture
def joint() -> Any:
    return small_plans.joint


@pytest.fixture
def hand() -> Any:
    return small_plans.hand


@pytest.fixture
def plan() -> Any:
    return small_plans.plan


@pytest.fixture
def several() -> Any:
    return small_plans.several
