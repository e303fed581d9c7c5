"""A house file laid over the small base, checked as the command does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.cli.knowledge.check import check_all
from advisor.knowledge import load as loading
from tests.smallbase import write_small

if TYPE_CHECKING:
    from pathlib import Path

    import pytest

    from advisor.errors import Problem

__all__ = ["laid_over_small"]


def laid_over_small(
    folder: Path, monkeypatch: pytest.MonkeyPatch, text: str
) -> tuple[list[Problem], list[str]]:
    """What a check finds when the text is laid over the small base, and the lines of the text."""
    shipped = folder / "shipped"
    if not shipped.exists():
        write_small(shipped)
    monkeypatch.setattr(loading, "shipped_folder", lambda: shipped)
    house = write_small(folder / "house", {"house.yaml": text})
    return check_all([house])[1], text.splitlines()
