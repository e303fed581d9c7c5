"""A learner in a process of its own, who is killed while playing: ``test_journal`` starts it.

Plays one drill after the other from the journal folder and the spool given, and says on standard
output what is on the disk before it goes on.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from advisor.drills.journal import Journal
from advisor.drills.scoring import score
from advisor.drills.spool import Spool
from tests.drills.stage import BEGUN, played

__all__ = ["main"]


def main() -> None:
    """Play until killed: ``player.py FOLDER SPOOL LEARNER``. What is answered never changes, so
    that nearly all of the time is spent writing."""
    folder, spool, learner = Path(sys.argv[1]), Spool(Path(sys.argv[2])), sys.argv[3]
    done = played()
    result = score(done)
    print("ready", flush=True)  # noqa: T201
    for number in range(100_000):
        begun = BEGUN + timedelta(seconds=number)
        journal = Journal.begin(folder, replace(done, learner=learner, started=begun, events=()))
        for event in done.events:
            journal.keep(event)
        print(f"finished {number}", flush=True)  # noqa: T201
        spool.save(replace(result, learner=learner, started=begun))
        journal.done()


if __name__ == "__main__":
    main()
