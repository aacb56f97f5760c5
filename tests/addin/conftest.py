"""What tests of cards, packs and records share: rows of a small list, and the plan that the planner makes of them."""

from pathlib import Path
from typing import Any

import pytest
import small_plans

from addin.shipped import template as shipped


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
