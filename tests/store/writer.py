"""Save attempts one after the other and say each key once it is saved; made to be killed.

``python -m tests.store.writer URL FIRST`` writes until it dies.
"""

from __future__ import annotations

import sys
from datetime import UTC, datetime

from advisor.store import Attempt, open_store


def attempt(key: str, learner: str = "Ann", group: str = "Tuesday") -> Attempt:
    """An attempt of no meaning."""
    return Attempt(
        key=key,
        learner=learner,
        group=group,
        scenario="invented",
        mode="practice",
        finished=datetime.now(UTC),
        score=0.5,
        record={"key": key, "text": "x" * 500},
    )


def main(url: str, first: int) -> None:
    """Write until killed."""
    store = open_store(url)
    for number in range(first, first + 100_000):
        store.save([attempt(f"k{number}")])
        sys.stdout.write(f"k{number}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
