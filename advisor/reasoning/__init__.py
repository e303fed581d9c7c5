"""From answers to standings, the next question, and the advice."""

from __future__ import annotations

__all__ = ["MOST_QUESTIONS"]

# Questions about the cause unless somebody asks for fewer or more. Half of all batches need four;
# one in eight is still open after twelve, one in sixteen after these.
MOST_QUESTIONS = 16
