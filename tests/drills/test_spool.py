"""Results of finished drills: kept, read back the same, and handed on whole."""

from __future__ import annotations

import json
import threading
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.drills.scoring import score
from advisor.drills.session import EXAM
from advisor.drills.spool import Spool, data_of_result, result_of
from advisor.errors import AdvisorError
from tests.drills.stage import BEGUN, played

RESULT = score(played())


def test_a_result_comes_back_as_it_was(tmp_path):
    """Every field, through the file."""
    spool = Spool(tmp_path / "deep" / "results.jsonl")
    spool.save(RESULT)
    assert spool.read() == ((RESULT,), 0)
    assert result_of(json.loads(json.dumps(data_of_result(RESULT)))) == RESULT


def test_reading_an_empty_spool_makes_no_file(tmp_path):
    """To look costs nothing."""
    spool = Spool(tmp_path / "results.jsonl")
    assert spool.read() == ((), 0)
    assert not spool.path.exists()


def test_a_cut_line_costs_only_itself(tmp_path):
    """What was cut off by a kill is counted, and what comes after is whole."""
    spool = Spool(tmp_path / "results.jsonl")
    spool.save(RESULT)
    with spool.path.open("ab") as file:
        file.write(b'{"version": 1, "scenario": "x')
    later = replace(RESULT, started=BEGUN + timedelta(hours=1))
    spool.save(later)
    assert spool.read() == ((RESULT, later), 1)


def test_a_corrected_exam_sheet_is_kept_beside_the_first(tmp_path):
    """Practice stands once; an exam that is gathered again stands again only when it changed."""
    spool = Spool(tmp_path / "results.jsonl")
    spool.save(RESULT)
    spool.save(replace(RESULT, score=0.1))
    assert len(spool.read()[0]) == 1
    exam = replace(RESULT, mode=EXAM)
    for each in (exam, exam, replace(exam, score=0.5)):
        spool.save(each)
    assert len(spool.read()[0]) == 3


class _Sink:
    def __init__(self, fail_at: int = -1) -> None:
        self.kept: list[object] = []
        self.fail_at = fail_at

    def save(self, result: object) -> None:
        if len(self.kept) == self.fail_at:
            raise AdvisorError("sink", "the disk is full")
        self.kept.append(result)


def test_draining_hands_everything_on_and_sets_rubbish_aside(tmp_path):
    """The file is empty after, and a line that is no result is beside it."""
    spool, sink = Spool(tmp_path / "results.jsonl"), _Sink()
    spool.save(RESULT)
    with spool.path.open("ab") as file:
        file.write(b"rubbish\n")
    assert spool.drain(sink) == 1
    assert sink.kept == [RESULT]
    assert spool.read() == ((), 0)
    assert (tmp_path / "results.jsonl.set-aside").read_text() == "rubbish\n"
    assert spool.drain(sink) == 0


def test_a_sink_that_fails_costs_nothing(tmp_path):
    """What could not be handed on is still there."""
    spool = Spool(tmp_path / "results.jsonl")
    rows = [replace(RESULT, started=BEGUN + timedelta(hours=n)) for n in range(3)]
    for row in rows:
        spool.save(row)
    with pytest.raises(AdvisorError, match="disk is full"):
        spool.drain(_Sink(fail_at=1))
    assert spool.read() == (tuple(rows), 0)


def test_many_at_once_lose_nothing(tmp_path):
    """Eight threads that finish drills at the same time leave every result, whole."""
    path = tmp_path / "results.jsonl"

    def save(worker: int) -> None:
        for n in range(5):
            Spool(path).save(replace(RESULT, learner=f"w{worker}", scenario=f"s{n}"))

    threads = [threading.Thread(target=save, args=(n,)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    results, wrong = Spool(path).read()
    assert wrong == 0
    assert len({(r.learner, r.scenario) for r in results}) == len(results) == 40


_ANYTHING = st.none() | st.text() | st.floats()


@given(st.dictionaries(st.sampled_from([*data_of_result(RESULT)]), _ANYTHING))
def test_no_line_can_do_harm(changes):
    """Whatever stands in a line, it is a result or a sentence that says it is none."""
    try:
        made = result_of({**data_of_result(RESULT), **changes})
    except AdvisorError:
        return
    assert result_of(data_of_result(made)) == made
