"""Results of finished drills: kept, read back the same, and handed on whole."""

from __future__ import annotations

import json
import threading
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.drills.result import DrillResult
from advisor.drills.scoring import score
from advisor.drills.session import EXAM
from advisor.drills.spool import SheetResults, Spool, data_of_result, result_of
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

    def save(self, result: DrillResult) -> None:
        if len(self.kept) == self.fail_at:
            raise AdvisorError("sink", "the disk is full")
        if not result.learner.strip():
            raise AdvisorError("name", "the name of the learner is empty")
        self.kept.append(result)

    def save_sheet(self, sheet: SheetResults) -> tuple[DrillResult, ...]:
        gone = tuple(r for r in self.kept if isinstance(r, DrillResult) and r.learner == "Ann")
        self.kept.append(sheet)
        return gone


def test_draining_hands_everything_on_and_sets_rubbish_aside(tmp_path):
    """The file is empty after, and a line that is no result is beside it."""
    spool, sink = Spool(tmp_path / "results.jsonl"), _Sink()
    spool.save(RESULT)
    with spool.path.open("ab") as file:
        file.write(b"rubbish\n")
    done = spool.drain(sink)
    assert done.taken == 1
    assert "1 line" in done.notices[0]
    assert str(spool.aside) in done.notices[1]
    assert sink.kept == [RESULT]
    assert spool.read() == ((), 0)
    assert (tmp_path / "results.jsonl.set-aside").read_text() == "rubbish\n"
    assert spool.drain(sink).taken == 0


def test_a_sink_that_fails_costs_nothing(tmp_path):
    """What could not be handed on is still there."""
    spool = Spool(tmp_path / "results.jsonl")
    rows = [replace(RESULT, started=BEGUN + timedelta(hours=n)) for n in range(3)]
    for row in rows:
        spool.save(row)
    with pytest.raises(AdvisorError, match="disk is full"):
        spool.drain(_Sink(fail_at=1))
    assert spool.read() == (tuple(rows), 0)


def test_one_result_that_cannot_be_taken_keeps_no_other_back(tmp_path):
    """It is set aside, named, with what to do; mended and put back, it is taken."""
    spool, sink = Spool(tmp_path / "results.jsonl"), _Sink()
    bad = replace(RESULT, learner="   ")
    later = replace(RESULT, started=BEGUN + timedelta(hours=1))
    for row in (RESULT, bad, later):
        spool.save(row)
    done = spool.drain(sink)
    assert (sink.kept, done.taken) == ([RESULT, later], 2)
    assert "name of the learner is empty" in done.notices[0]
    assert "move it back to results.jsonl" in done.notices[0]
    line = spool.aside.read_text()
    assert result_of(json.loads(line)) == bad
    spool.path.write_text(line.replace('"   "', '"Bo"'))
    assert spool.drain(sink).taken == 1


SHEET = SheetResults("e1 2026", "f1", (replace(RESULT, mode=EXAM),))


def test_what_a_sheet_gives_comes_back_as_it_was_and_only_the_latest_counts(tmp_path):
    """Gathered again unchanged it stands once; with a drill less, the old one is gone."""
    spool = Spool(tmp_path / "results.jsonl")
    more = replace(SHEET, results=(*SHEET.results, replace(SHEET.results[0], scenario="other")))
    elsewhere = replace(more, file="f2")
    for each in (more, more, elsewhere, SHEET):
        spool.save_sheet(each)
    assert len(spool.path.read_text().splitlines()) == 3
    assert spool.read() == ((*elsewhere.results, *SHEET.results), 0)
    sink = _Sink()
    assert spool.drain(sink).taken == 3
    assert sink.kept == [elsewhere, SHEET]


def test_results_that_made_way_for_another_name_are_kept_and_told(tmp_path):
    """A name that was corrected; or one file used for two people: then nothing is lost."""
    spool, sink = Spool(tmp_path / "results.jsonl"), _Sink()
    spool.save(RESULT)
    spool.save_sheet(replace(SHEET, results=(replace(SHEET.results[0], learner="Anna"),)))
    done = spool.drain(sink)
    assert "was of Ann is now of Anna: 1 result of Ann made way" in done.notices[0]
    assert result_of(json.loads(spool.aside.read_text())) == RESULT
    assert spool.forget_aside("Bo", "") == 0
    assert spool.forget_aside("Ann", "") == 1
    assert spool.aside.read_text() == ""


def test_a_file_that_was_used_for_two_people_loses_neither(tmp_path):
    """Gathered for one and then for the other, before any store took it: the first is kept."""
    spool, sink = Spool(tmp_path / "results.jsonl"), _Sink()
    other = replace(SHEET, results=(replace(SHEET.results[0], learner="Bo"),))
    for each in (SHEET, replace(other, results=other.results * 2), other):
        spool.save_sheet(each)
    done = spool.drain(sink)
    assert (sink.kept, done.taken) == ([other], 1)
    assert "was of Ann is now of Bo: 1 result of Ann made way" in done.notices[0]
    (line,) = spool.aside.read_text().splitlines()
    spool.path.write_text(line + "\n")
    assert spool.read() == (SHEET.results, 0)


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
