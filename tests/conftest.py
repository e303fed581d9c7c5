"""What several rooms of tests share."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.smallbase import small_base

if TYPE_CHECKING:
    from advisor.knowledge.model import Base


@pytest.fixture(scope="session")
def small() -> Base:
    """The small invented base."""
    return small_base()
