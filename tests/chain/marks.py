"""Marks for tests that need an engine which is not installed everywhere."""

from __future__ import annotations

from importlib.util import find_spec

import pytest

from advisor.chain import available

__all__ = ["BACKENDS_HERE", "needs_clips", "needs_durable"]

BACKENDS_HERE = available()

needs_durable = pytest.mark.skipif(
    "durable-rules" not in BACKENDS_HERE, reason="durable-rules cannot be loaded here"
)
needs_clips = pytest.mark.skipif(find_spec("clips") is None, reason="clipspy is not installed")
