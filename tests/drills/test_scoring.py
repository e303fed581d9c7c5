"""Scores of whole drills, worked by hand, and what the debrief says of them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.drills.debrief import debrief
from advisor.drills.replay import expert, reviews, whole
from advisor.drills.scenario import scenario_from
from advisor.drills.scoring import score
from advisor.drills.session import DrillSession
from advisor.errors import AdvisorError
from advisor.knowledge.load import load
from advisor.report.drilldebrief import debrief_data, debrief_report
from advisor.report.screen import plain_lines
from tests.drills.stage import BEGUN, ENDED, TEXT, played, scenario, started


def test_everything_right_is_all_of_it_but_for_confidence():
    """The advisor's own questions, the right names, 80 % sure: only calibration misses .04."""
    path = expert(load(), scenario())
    result = score(played(ask=tuple(s.finding for s in path.steps)))
    assert result.parts == {
        "verdict": 1,
        "cause": 1,
        "stage": 1,
        "remedy": 1,
        "dose": 1,
        "safety": 1,
        "economy": 1,
        "calibration": pytest.approx(1 - 0.2**2),
    }
    assert result.score == pytest.approx(1 - 0.05 * 0.04)
    assert result.minutes_used == pytest.approx(result.minutes_best)
    assert not result.safety_missed
    assert not result.closed_early
    assert all(result.skills.values())
    assert result.lines


def test_a_wrong_cause_by_hand():
    """Look-alike at another stage: cause .25, no stage, economy at most .25, Brier of .9 wrong."""
    result = score(played(causes=("bed-not-formed",), confidence=0.9))
    assert result.parts["cause"] == 0.25
    assert result.parts["stage"] == 0
    assert result.parts["economy"] <= 0.25
    assert result.parts["calibration"] == pytest.approx(1 - 0.81)
    assert not result.skills["find:acid"]


def test_a_safety_miss_stands_beside_the_score():
    """However good the rest, what protects a person is listed."""
    path = tuple(s.finding for s in expert(load(), scenario()).steps)
    result = score(played(ask=path, say=()))
    assert result.safety_missed == ("contains-milk",)
    assert not result.skills["say:contains-milk"]
    assert result.score == pytest.approx(1 - 0.10 - 0.05 * 0.04)
    report = debrief_report(debrief(played(say=())))
    assert report.blocks[0].heading == "SAFETY MISSED"
    assert report.tone == "stop"


def test_a_dangerous_sentence_is_a_safety_miss_too():
    """To call it dairy free is listed, although what had to be said was said as well."""
    result = score(played(say=("contains-milk", "wrong-1")))
    assert len(result.safety_missed) == 1
    assert "dairy free" in result.safety_missed[0]
    assert result.parts["safety"] == 0.5


def test_a_true_but_needless_caution_costs_nothing():
    """What the batch does give a reason for is not false, although it was not asked for."""
    assert score(played(say=("contains-milk", "keep-cold"))).parts["safety"] == 1
    assert score(played(say=("contains-milk", "egg"))).parts["safety"] == 0.5


def test_a_guess_is_named_too_early():
    """Right without a question asked: no economy, and it is said."""
    result = score(played(ask=()))
    assert result.closed_early
    assert result.parts["economy"] == 0
    assert result.parts["cause"] == 1


def test_the_dose_of_a_wrong_remedy_is_worth_nothing():
    """Twelve millilitres of the wrong thing are not right."""
    parts = score(played(remedy="throw-away-and-clean")).parts
    assert parts["remedy"] == parts["dose"] == 0


def test_no_confidence_stated_does_not_pay():
    """To leave it out is no better than to be wrong about it."""
    assert score(played(confidence=None)).parts["calibration"] == 0


def test_votes_of_a_panel_take_the_place_of_one_right_answer():
    """Three of a panel of ten chose the accepted twin where six chose the first: .5."""
    votes = "{acid-short-casein-left: 6, acid-swamped: 3, mould-film: 0}"
    text = TEXT.replace("solution:\n", f"solution:\n  panel: {{cause: {votes}}}\n")
    session = DrillSession(load(), scenario_from(text, "x.yaml"), BEGUN)
    for cause, earned in (("acid-short-casein-left", 1), ("acid-swamped", 0.5), ("mould-film", 0)):
        done = session.name("cause", [cause], "", 0.5).treat().say().finish(ENDED)
        assert score(done).parts["cause"] == earned


def test_an_unfinished_drill_has_no_score():
    """There is nothing to score before the end."""
    with pytest.raises(AdvisorError, match="not over"):
        score(started())


def test_information_is_how_many_times_likelier_the_truth_became():
    """The bits of a step are the logarithm of the true causes' standing after over before."""
    session = played()
    steps = reviews(session)
    for index, step in enumerate(steps):
        before = session.consultation(index).inference.standing
        after = session.consultation(index + 1).inference.standing
        right = scenario().right
        ratio = sum(after[c] for c in right) / sum(before[c] for c in right)
        assert step.bits == pytest.approx(math.log2(ratio))
        assert step.best_expected >= 0
    first = session.consultation(0).inference.standing
    last = session.consultation().inference.standing
    right = scenario().right
    gained = math.log2(sum(last[c] for c in right) / sum(first[c] for c in right))
    assert sum(step.bits for step in steps) == pytest.approx(gained)


def test_the_advisors_own_question_is_the_best_one():
    """Whoever asks what the advisor would have asked is measured against himself."""
    path = expert(load(), scenario())
    first = reviews(played(ask=(path.steps[0].finding,)))[0]
    assert first.best_finding == first.finding
    assert first.best_bits == pytest.approx(first.bits)
    assert first.best_expected == pytest.approx(first.expected) == pytest.approx(
        path.steps[0].expected
    )


def test_the_debrief_explains_a_wrong_cause():
    """The misconception, the check that tells, and what in this batch speaks against it."""
    told = debrief(played(causes=("bed-not-formed",)))
    wrong = told.overlooked[0]
    assert wrong.text == "Only the first spoonfuls would be cloudy."
    assert wrong.check == "paper-test"
    assert wrong.against
    assert all(reason.weight < 0 for reason in wrong.against)
    text = "\n".join(plain_lines(debrief_report(told)))
    for heading in (
        "WHAT IT WAS",
        "WHY NOT",
        "WHAT TO DO ABOUT IT",
        "WHAT EACH STEP TOLD",
        "WHAT THE ADVISOR WOULD HAVE ASKED",
        "WHAT MUST BE SAID",
        "YOUR SCORE",
    ):
        assert heading in text
    assert "{" not in text
    assert all(len(line) <= 80 for line in text.splitlines())


def test_everything_in_the_debrief_has_its_source():
    """No reason is given without saying who says so."""
    told = debrief(played())
    reasons = [r for _, rows in told.worked.reasons for r in rows]
    assert reasons
    assert all(r.source for r in reasons)
    data = debrief_data(told)
    assert data["version"] == 1
    assert all(r["source"] for r in data["reasons"]["acid-short-casein-left"])


def test_the_whole_truth_knows_what_is_hidden():
    """Everything that the batch can answer is asked, and nothing that it cannot."""
    answers = whole(load(), scenario()).answers
    assert answers["curd_feel"].value == "soft-web"
    assert answers["cloud_on_chill"].value == "yes"
    assert "torch" not in answers


_CAUSES = st.lists(
    st.sampled_from(["acid-short-casein-left", "acid-swamped", "bed-not-formed", "mould-film"]),
    max_size=2,
    unique=True,
)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.sampled_from(["acid_drop", "strip_ph", "torch", "smell_kind", "curd_feel"]),
             max_size=3, unique=True),
    _CAUSES,
    st.sampled_from(["cause", "discard", "stop", "nothing-wrong"]),
    st.one_of(st.none(), st.floats(0, 1)),
    st.sampled_from(["", "add-acid-in-steps", "dose-acid-by-the-milk", "throw-away-and-clean"]),
    st.sampled_from(["", "12 ml", "1 l", "0.5 g"]),
    st.lists(st.sampled_from(["contains-milk", "egg", "wrong-1", "keep-cold"]), unique=True),
)  # fmt: skip
def test_whatever_is_answered_the_score_is_a_share(ask, causes, verdict, p, remedy, dose, say):
    """Every part and the score lie from 0 to 1, and a missing safety statement is always listed."""
    result = score(played(tuple(ask), tuple(causes), verdict, p, remedy, dose, tuple(say)))
    assert 0 <= result.score <= 1
    assert all(0 <= value <= 1 for value in result.parts.values())
    assert ("contains-milk" in result.safety_missed) == ("contains-milk" not in say)
    assert any("dairy free" in m for m in result.safety_missed) == ("wrong-1" in say)


def test_more_right_parts_never_lower_the_score():
    """From all wrong to all right, one thing at a time."""
    path = tuple(s.finding for s in expert(load(), scenario()).steps)
    asked = {"ask": path, "confidence": 0.5}
    wrong = {"causes": ("mould-film",), "verdict": "discard", "remedy": "", "dose": "", "say": ()}
    right = {
        "verdict": "cause",
        "causes": ("acid-short-casein-left",),
        "remedy": "add-acid-in-steps",
        "dose": "12 ml",
        "say": ("contains-milk",),
    }
    answers = dict(wrong)
    last = score(played(**asked, **answers)).score
    for part, value in right.items():
        answers[part] = value
        now = score(played(**asked, **answers)).score
        assert now > last, part
        last = now
