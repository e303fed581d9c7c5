"""Nothing is lost: kills at any moment, two at once, half lines and rubbish."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.drills.events import Asked, data_of, event_of
from advisor.drills.journal import Journal, unfinished
from advisor.drills.scoring import score
from advisor.drills.spool import Spool
from advisor.errors import AdvisorError
from advisor.knowledge.load import load
from tests.drills.stage import ENDED, played, started

ROOT = Path(__file__).parent.parent.parent


def finish(folder: Path, spool: Spool) -> int:
    """What the command does when it starts: results of drills that are over are kept."""
    kept, _ = unfinished(folder)
    for each in kept:
        if each.over:
            journal, session = Journal.open(each.path, load())
            spool.save(score(session))
            journal.done()
    return sum(not each.over for each in kept)


def test_a_drill_goes_on_where_it_was_left(tmp_path):
    """Whoever comes back finds every step, with the answers that were given."""
    session = started(seed=5)
    journal = Journal.begin(tmp_path, session)
    for name in ("acid_drop", "strip_ph", "strip_ph"):
        session = session.ask(name)
        journal.keep(session.events[-1])
    journal.close()
    (kept,), aside = unfinished(tmp_path)
    assert aside == []
    assert (kept.title, kept.learner, kept.over) == (session.scenario.title, "Ann", False)
    again, resumed = Journal.open(kept.path, load())
    assert resumed.events == session.events
    assert resumed.minutes == session.minutes
    assert resumed.consultation().answers == session.consultation().answers
    assert resumed.ask("strip_ph").steps[-1] == session.ask("strip_ph").steps[-1]
    again.done()
    assert unfinished(tmp_path) == ([], [])


def test_a_half_written_step_was_never_taken(tmp_path):
    """A line without its end is dropped, and what comes after it is whole."""
    session = started().ask("acid_drop")
    journal = Journal.begin(tmp_path, session)
    journal.close()
    with journal.path.open("ab") as file:
        file.write(b'{"event": "asked", "finding": "strip_')
    again, resumed = Journal.open(journal.path, load())
    assert resumed.events == session.events
    further = resumed.ask("curd_feel")
    again.keep(further.events[-1])
    again.close()
    _, last = Journal.open(journal.path, load())
    assert last.events == further.events


def test_a_drill_that_is_open_cannot_be_opened_twice(tmp_path):
    """The second window is told, and the first loses nothing."""
    journal = Journal.begin(tmp_path, started())
    with pytest.raises(AdvisorError, match="another window"):
        Journal.open(journal.path, load())
    journal.close()
    Journal.open(journal.path, load())[0].close()


def test_two_drills_of_one_second_have_journals_of_their_own(tmp_path):
    """The same scenario begun twice at once is two drills."""
    one, two = Journal.begin(tmp_path, started()), Journal.begin(tmp_path, started())
    assert one.path != two.path
    one.keep(started().ask("acid_drop").events[-1])
    two.keep(started().ask("strip_ph").events[-1])
    one.close()
    two.close()
    found = [Journal.open(k.path, load())[1].steps[0].finding for k in unfinished(tmp_path)[0]]
    assert sorted(found) == ["acid_drop", "strip_ph"]


@pytest.mark.parametrize(
    "raw",
    [b"", b"\x00" * 100, b"not json\n", b"[]\n", b"{}\n", b'{"curdwise-drill": 1}\n',
     b'{"curdwise-drill": 99}\n', b'{"curdwise-drill": 1, "title": "x", "learner": "a", '
     b'"mode": "practice", "started": "yesterday"}\n'],
)  # fmt: skip
def test_rubbish_is_set_aside_and_said_so(tmp_path, raw):
    """A file that is no journal hinders nobody and is not deleted."""
    path = tmp_path / "20260105-100000-x.jsonl"
    path.write_bytes(raw)
    good = Journal.begin(tmp_path, started())
    good.close()
    kept, aside = unfinished(tmp_path)
    assert [k.path for k in kept] == [good.path]
    assert [a.name for a in aside] == [path.name + ".set-aside"]
    assert aside[0].read_bytes() == raw
    assert unfinished(tmp_path)[1] == []
    path.write_bytes(b"more " + raw)  # one of the same name later on does not take its place
    (second,) = unfinished(tmp_path)[1]
    assert second.read_bytes() == b"more " + raw
    assert aside[0].read_bytes() == raw


@settings(max_examples=200, deadline=None)
@given(st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(
        st.sampled_from(["event", "finding", "answer", "minutes", "at", "causes", "verdict"]),
        inner, max_size=5),
))  # fmt: skip
def test_no_line_of_a_journal_can_do_harm(data):
    """Whatever JSON stands in a line, it is a step or a sentence that says it is none."""
    try:
        event = event_of(data)
    except AdvisorError:
        return
    assert event_of(json.loads(json.dumps(data_of(event)))) == event


@given(st.text(), st.one_of(st.text(), st.floats(-1e6, 1e6)), st.floats(0, 1e6))
def test_a_step_comes_back_as_it_was(finding, answer, minutes):
    """What is written is read as the same."""
    event = Asked(finding, answer, minutes, minutes, 0.0, 0.0)
    assert event_of(json.loads(json.dumps(data_of(event)))) == event


def test_a_changed_scenario_is_not_gone_on_with(tmp_path):
    """A journal whose scenario is no longer the one it began with says so."""
    journal = Journal.begin(tmp_path, started())
    journal.close()
    text = journal.path.read_text()
    journal.path.write_text(text.replace("acid_drop: flakes", "acid_drop: nothing"))
    with pytest.raises(AdvisorError, match="no longer the same"):
        Journal.open(journal.path, load())


def test_a_result_that_is_saved_twice_stands_once(tmp_path):
    """A kill between keeping the result and dropping the journal leaves one result."""
    spool = Spool(tmp_path / "results.jsonl")
    journal = Journal.begin(tmp_path / "drills", played())
    journal.close()
    spool.save(score(played()))  # killed here: the journal is still there
    assert finish(tmp_path / "drills", spool) == 0
    assert len(spool.read()[0]) == 1


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "killpg"), reason="kills as POSIX does")
def test_no_finished_drill_is_lost_by_kills(tmp_path):
    """Two players are killed at random moments, again and again; every drill that was finished
    has its result, once, and every journal can be read."""
    folder, spool = tmp_path / "drills", tmp_path / "results.jsonl"
    rng = random.Random(7)
    finished: set[tuple[str, int]] = set()
    for turn in range(3):
        players = [
            subprocess.Popen(
                [sys.executable, "-m", "tests.drills.player", folder, spool, f"{who}{turn}"],
                stdout=subprocess.PIPE,
                text=True,
                cwd=ROOT,
                env={**os.environ, "PYTHONPATH": str(ROOT)},
            )
            for who in ("ann", "bob")
        ]
        for player in players:
            assert player.stdout is not None
            assert player.stdout.readline() == "ready\n"
        time.sleep(rng.uniform(0.1, 0.8))
        for player, who in zip(players, ("ann", "bob"), strict=True):
            player.kill()
            out, _ = player.communicate(timeout=60)
            for line in out.splitlines():
                if line.startswith("finished "):
                    finished.add((f"{who}{turn}", int(line.split()[1])))
    unfinished_before, aside = unfinished(folder)
    assert aside == []
    for kept in unfinished_before:
        journal, session = Journal.open(kept.path, load())
        assert session.phase in ("asking", "treating", "saying", "ending", "over")
        journal.close()
    finish(folder, Spool(spool))
    results, wrong = Spool(spool).read()
    keys = [(r.learner, round((r.started - played().started).total_seconds())) for r in results]
    assert len(keys) == len(set(keys)), "a result stands twice"
    assert finished <= set(keys), "a finished drill was lost"
    assert len(finished) > 10
    assert wrong <= 6  # at most the line that each kill cut off
    assert finish(folder, Spool(spool)) == len([k for k in unfinished(folder)[0] if not k.over])
    assert played().started < ENDED
