"""What several rooms of tests share."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.smallbase import load_small

if TYPE_CHECKING:
    from advisor.knowledge.model import Base


@pytest.fixture(scope="session")
def small(tmp_path_factory: pytest.TempPathFactory) -> Base:
    """The small invented base."""
    return load_small(tmp_path_factory.mktemp("small") / "base")
