"""Results go into the store and out, a class is reported on truly, and the next drill fits."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from advisor.drills.classreport import report_on
from advisor.drills.nextup import exercises, next_up
from advisor.drills.progress import Progress, key_of
from advisor.drills.scenario import read_scenario
from advisor.drills.spool import Drained, SheetResults, Spool, data_of_result
from advisor.knowledge.load import load
from advisor.store import open_store
from tests.drills.results import DAY0, result

DRILLS = Path(__file__).parents[2] / "scenarios_demo" / "drills"


@pytest.fixture(scope="module")
def base():
    return load()


@pytest.fixture
def progress(tmp_path):
    with open_store(str(tmp_path / "p.sqlite3")) as store:
        yield Progress(store)


def test_a_result_comes_back_as_it_was(progress):
    """Nothing of a result is lost in the store."""
    made = result(safety_missed=("contains-milk",), parts={"cause": 0.25, "verdict": 1.0})
    progress.save(made)
    assert progress.results() == (made,)
    assert progress.results(learner="Bo") == ()


def test_a_spool_is_moved_once(progress, tmp_path):
    """What a drill left behind is taken into the store, and only once."""
    spool = Spool(tmp_path / "spool.jsonl")
    for n in range(3):
        spool.save(result(day=n))
    assert progress.take(spool).taken == 3
    assert progress.take(spool).taken == 0
    assert len(progress.results()) == 3


def test_a_corrected_exam_sheet_counts_once(progress):
    """An exam gathered again replaces the first; a practice drill stays as it was finished."""
    sheet = result(mode="exam", score=0.4)
    assert progress.save_all([sheet, result(day=1)]) == 2
    assert progress.save_all([replace(sheet, score=0.8), replace(result(day=1), score=0.1)]) == 1
    assert [r.score for r in progress.results()] == [0.8, 1.0]


@pytest.mark.parametrize(
    ("learner", "group", "kept"),
    [
        (" Ann\tB ", "Tues\tday", ("Ann B", "Tues day")),
        ("Ann\nB", "", ("Ann B", "")),
        ("Zoe\u0308", "\u00a0", ("Zo\u00eb", "")),
    ],
)
def test_a_name_that_was_kept_as_it_came_is_tidied(progress, tmp_path, learner, group, kept):
    """Results that an earlier program left behind go in, under the name that was meant."""
    spool = Spool(tmp_path / "spool.jsonl")
    spool.save(result(learner, group=group))
    assert progress.take(spool) == Drained(1)
    assert [(r.learner, r.group) for r in progress.results()] == [kept]


@pytest.mark.parametrize("learner", ["   ", "x" * 201, "Ann\x1b[31m", "A\u202enn", "\ud800"])
def test_an_odd_name_stops_nobody_else(progress, tmp_path, learner):
    """It is set aside and named; whoever comes after it is taken, now and later."""
    spool = Spool(tmp_path / "spool.jsonl")
    line = json.dumps(data_of_result(result(learner)))
    spool.path.write_text(line + "\n")
    spool.save(result("Bo"))
    done = progress.take(spool)
    assert done.taken == 1
    assert "the name of the learner" in done.notices[0]
    assert "\x1b" not in "".join(done.notices)
    assert spool.aside.read_text() == line + "\n"
    assert [r.learner for r in progress.results()] == ["Bo"]
    assert progress.take(spool) == Drained(0)


def test_a_long_drill_name_is_kept_whole(progress):
    """What it is found by is short; the result is what it was."""
    made = result(scenario="x" * 250 + "\n")
    progress.save(made)
    assert progress.results() == (made,)


def test_a_corrected_sheet_leaves_one_person(progress, tmp_path):
    """The name, then the class, then a drill less: what the sheet gives now is all there is."""
    spool = Spool(tmp_path / "spool.jsonl")

    def gathered(learner, group, *drills, file="f"):
        own = [result(learner, d, group=group, mode="exam") for d in drills]
        spool.save_sheet(SheetResults("e1", file, tuple(own)))
        return progress.take(spool)

    progress.save(result("Ann", "s1", group="Monday", mode="exam"))  # gathered by an older program
    progress.save(result("Ann", "s1", 1, group="Monday"))
    gathered("Bo", "Monday", "s1", file="other")
    assert gathered("Ann", "Monday", "s1", "s2", "s3").notices == ()
    assert len(progress.results(learner="Ann")) == 4
    assert "Ann (Monday) made way" in gathered("Anna", "Monday", "s1", "s2", "s3").notices[0]
    gathered("Anna", "Friday", "s1", "s2", "s3")
    gathered("Anna", "Friday", "s1", "s3")
    assert [(p.name, p.group, p.attempts) for p in progress.store.learners()] == [
        ("Anna", "Friday", 2),
        ("Ann", "Monday", 1),  # what she practised
        ("Bo", "Monday", 1),
    ]
    gathered("Anna", "Friday", "s1", "s2", file="renamed")
    assert sorted(r.scenario for r in progress.results(learner="Anna")) == ["s1", "s2", "s3"]


def test_a_key_names_one_drill_of_one_person():
    """Who, what and when make the key; what came of it does not."""
    assert key_of(result()) == key_of(result(score=0.1, named_cause="x"))
    others = [result("Bo"), result(scenario="s2"), result(day=1), result(group="B"), result(seed=2)]
    assert len({key_of(r) for r in [result(), *others]}) == 6


def test_a_report_adds_up(base):
    """Two learners by hand: shares, confusions, safety, confidence."""
    wrong = {
        "named_cause": "bed-not-formed",
        "named_stage": "separation",
        "parts": {"verdict": 1.0, "cause": 0.25, "stage": 0.0},
        "score": 0.3,
        "skills": {"find:acid": False},
        "safety_missed": ("contains-milk",),
        "closed_early": True,
    }
    done = [
        result("Ann", "s1", 0),
        result("Ann", "s2", 1),
        result("Bo", "s1", 0, **wrong),
        result("Bo", "s2", 1, confidence=0.4),
    ]
    report = report_on(base, done, DAY0 + timedelta(days=2), group="Tuesday")
    ann, bo = report.learners
    assert (ann.cause, bo.cause) == (1.0, 0.5)
    assert (bo.stage, bo.closed_early, bo.safety_missed) == (0.5, 1, ("contains-milk",))
    assert ann.brier == pytest.approx(0.01)
    assert bo.brier == pytest.approx((0.81 + 0.36) / 2)
    (acid,) = report.stages
    assert (acid.of, acid.drills, acid.cause) == ("acid", 4, 0.75)
    # Wilson interval of 3 in 4, by the formula of Newcombe 1998: .3006 to .9544.
    assert (acid.low, acid.high) == pytest.approx((0.3006, 0.9544), abs=5e-4)
    (row,) = report.confusions
    assert (row.true, row.named, row.times, row.same_stage) == (
        "acid-short-casein-left", "bed-not-formed", 1, False,
    )  # fmt: skip
    (missed,) = report.missed
    assert (missed.statement, missed.times, missed.learners) == ("contains-milk", 1, ("Bo",))
    low, high = report.confidence
    assert (low.answers, low.right) == (1, 1.0)
    assert (high.answers, high.right) == (3, pytest.approx(2 / 3))


def test_a_safety_miss_stands_however_good_the_scores(base):
    """Ninety-nine perfect drills do not hide one missed allergen."""
    done = [result(day=n, scenario=f"s{n}") for n in range(99)]
    done.append(result(day=99, scenario="last", safety_missed=("contains-milk",)))
    report = report_on(base, done, DAY0)
    assert report.missed[0].statement == "contains-milk"
    assert report.learners[0].safety_missed == ("contains-milk",)


def test_rules_that_no_drill_met_are_named(base):
    """A rule is met when a drill's answers fired it; tables are no rules."""
    some = next(iter(base.rules))
    report = report_on(base, [result(lines=(some, "shows/cloud_at_filter=yes"))], DAY0)
    assert some not in report.unexercised
    assert len(report.unexercised) == report.rules - 1


@pytest.fixture(scope="module")
def scenarios():
    return [read_scenario(path) for path in sorted(DRILLS.glob("*.yaml"))]


def test_the_first_drill_is_an_easy_one(base, scenarios):
    """Nobody starts with a hard one."""
    first = next_up(base, scenarios, [], DAY0)
    assert first.scenario.difficulty == "easy"
    assert next_up(base, [], [], DAY0) is None


def test_a_failed_skill_comes_back(base, scenarios):
    """What was not shown is practised next, in a scenario that exercises it and is not done."""
    done = next(s for s in scenarios if s.cause)
    skill = exercises(base, done)[0]
    failed = result(scenario=done.name, skills={skill: False}, score=0.2)
    following = next_up(base, scenarios, [failed], failed.finished + timedelta(hours=2))
    assert following.skill == skill
    assert skill in exercises(base, following.scenario)
    others = [s for s in scenarios if skill in exercises(base, s) and s.name != done.name]
    if others:
        assert following.scenario.name != done.name


def test_a_skill_never_met_comes_before_more_of_the_same(base, scenarios):
    """With nothing due, something new is set."""
    done = next(s for s in scenarios if s.cause)
    skills = dict.fromkeys(exercises(base, done), True)
    good = [result(scenario=done.name, day=d, skills=skills) for d in (0, 3, 14)]
    following = next_up(base, scenarios, good, good[-1].finished + timedelta(hours=1))
    assert following.new
    assert following.skill not in skills
