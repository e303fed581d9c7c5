"""Kill a writer at random moments and count what was lost: ``python -m tests.store.kills URL N``.

A key that the writer printed was committed; it must be there afterwards.
"""

from __future__ import annotations

import random
import subprocess
import sys
import time
from pathlib import Path

from advisor.store import open_store

ROOT = Path(__file__).parents[2]


def kill_and_count(url: str, times: int, seed: int = 1) -> tuple[int, int, int]:
    """(committed and said, lost, notices of damage) after killing ``times`` writers."""
    random_ = random.Random(seed)
    said: list[str] = []
    notices = 0
    for _ in range(times):
        writer = subprocess.Popen(
            [sys.executable, "-m", "tests.store.writer", url, str(len(said))],
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )
        assert writer.stdout is not None
        first = writer.stdout.readline()
        time.sleep(random_.uniform(0.0, 0.06))
        writer.kill()
        rest = writer.stdout.read()
        writer.wait()
        writer.stdout.close()
        whole = (first + rest).split("\n")[:-1]  # a line without its end was not said
        said += whole
        with open_store(url) as store:
            kept = {a.key for a in store.attempts()}
            notices += len(store.notices)
        # The one in flight may have been committed without being said: count on from there.
        said = sorted(set(said) | kept, key=lambda k: int(k[1:])) if set(said) <= kept else said
        lost = set(said) - kept
        if lost:
            return len(said), len(lost), notices
    return len(said), 0, notices


if __name__ == "__main__":
    print(*kill_and_count(sys.argv[1], int(sys.argv[2])))  # noqa: T201
