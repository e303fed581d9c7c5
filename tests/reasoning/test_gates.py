"""What could end it before any cause is asked first where a hazard is plausible."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from advisor.consult import Consultation
from advisor.knowledge.load import check_folders
from advisor.reasoning.gates import hazard
from advisor.reasoning.infer import engine_for
from advisor.reasoning.questions import candidates, stop_reason
from advisor.report.explain import why, why_lines
from tests.reasoning.batches import inferred
from tests.smallbase import changed, checked

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.knowledge.model import Base

# A worry, and three ways in which it ends: on one answer, on two, and through a conclusion.
WORRY = """\
findings:
  - {id: worried, label: a worry, ask: Worried?, kind: yes-no, group: symptom, usual: 0.02}
  - {id: bulging, label: a bulge, ask: Does it bulge?, kind: yes-no, group: storage, usual: 0.02}
  - {id: hours, label: hours warm, ask: How long?, kind: quantity, group: storage, unit: h,
     range: [0, 1000]}
  - {id: strength, label: strength, ask: How strong?, kind: quantity, group: batch, unit: "%vol",
     range: [0, 96]}
  - {id: feeble, label: a weak drink, ask: Weak?, kind: yes-no, group: derived, asked: false,
     usual: 0.2}
causes:
  - id: stood-warm
    title: It stood warm
    stage: storage
    prior: sometimes
    operations: [strip, fat-wash]
    because: Things grow in the warm.
    shows: {worried: always}
    source: [judgement]
rules:
  - id: a-bulge-is-growth
    title: A bulge
    stage: storage
    when: {bulging: yes}
    then: {verdict: discard}
    because: Invented.
    source: [judgement]
    examples:
      - {given: {bulging: yes}, fires: true}
      - {given: {bulging: no}, fires: false}
  - id: feeble-by-strength
    title: Weak
    stage: storage
    when: {strength: {below: 10}}
    then: {conclude: {feeble: yes}}
    because: Invented.
    source: [judgement]
    examples:
      - {given: {strength: 5}, fires: true}
      - {given: {strength: 10}, fires: false}
  - id: feeble-and-warm
    title: Weak and warm
    stage: storage
    when: {all: [{feeble: yes}, {hours: {above: 4}}]}
    then: {verdict: discard, suspect: {stood-warm: strong}}
    because: Invented.
    source: [judgement]
    examples:
      - {given: {feeble: yes, hours: 5}, fires: true}
      - {given: {feeble: yes, hours: 4}, fires: false}
remedies:
  - id: keep-it-cooler
    title: Keep it cooler
    for: next-batch
    stage: storage
    cures: {stood-warm: usually}
    do: Keep it cool.
    minutes: 1
    source: [judgement]
"""


@pytest.fixture(scope="module")
def worrying(tmp_path_factory: pytest.TempPathFactory) -> Base:
    folder: Path = tmp_path_factory.mktemp("worrying")
    problems = checked(folder, changed(more=WORRY))
    assert problems == [], problems
    base, _ = check_folders([folder])
    assert base is not None
    return base


def first_asked(base: Base, **told: object) -> list[str]:
    """The questions that go before all others, in their order."""
    engine = engine_for(base, "reference")
    found = candidates(engine, inferred(base, **told))
    gated = [c.finding for c in found if c.gate]
    assert [c.finding for c in found[: len(gated)]] == gated
    return gated


def test_a_worry_is_asked_after_before_any_cause(worrying: Base) -> None:
    """Once a hazard is plausible, what could end in a discard goes before everything else."""
    gated = first_asked(worrying, worried="yes", operation="strip")
    assert "bulging" in gated
    assert "drop_test" not in gated


def test_without_a_sign_of_a_hazard_nothing_is_put_first(worrying: Base) -> None:
    """A cloudy drink is not asked for a bulge first: the causes come by what they tell."""
    engine = engine_for(worrying, "reference")
    cloudy = inferred(worrying, cloudy="yes", worried="no", operation="strip")
    assert hazard(engine, cloudy) < 0.15
    assert first_asked(worrying, cloudy="yes", worried="no", operation="strip") == []


def test_an_alarm_is_heard_though_the_hazard_stands_low(tmp_path: Path) -> None:
    """What was reported because of a hazard is asked after, however sure another cause is."""
    rests = WORRY.replace("when: {bulging: yes}", "when: {all: [{worried: yes}, {bulging: yes}]}")
    rests = rests.replace("{given: {bulging: ", "{given: {worried: yes, bulging: ")
    files = changed(more=rests)
    assert checked(tmp_path, files) == []
    base, _ = check_folders([tmp_path])
    assert base is not None
    engine = engine_for(base, "reference")
    told = {"operation": "strip", "cloudy": "yes", "curd": "weak", "drop_test": "flakes"}
    tried = ("keep-it-cooler",)
    worried = inferred(base, tried=tried, worried="yes", **told)
    assert hazard(engine, worried) < 0.15
    assert "bulging" in [c.finding for c in candidates(engine, worried) if c.gate]
    calm = inferred(base, tried=tried, worried="no", **told)
    assert "bulging" not in [c.finding for c in candidates(engine, calm) if c.gate]


def test_an_alarm_is_heard_through_the_causes_that_would_explain_it(worrying: Base) -> None:
    """The rule need not name the report: it speaks for a cause that would explain it."""
    told: dict[str, object] = {"cloudy": "yes", "curd": "weak", "drop_test": "flakes"}
    engine = engine_for(worrying, "reference")
    tried = ("keep-it-cooler",)
    worried = inferred(worrying, tried=tried, worried="yes", operation="strip", **told)
    assert hazard(engine, worried) < 0.15
    gated = [c.finding for c in candidates(engine, worried) if c.gate]
    assert {"hours", "strength"} <= set(gated)
    calm = inferred(worrying, tried=tried, worried="no", operation="strip", **told)
    assert [c.finding for c in candidates(engine, calm) if c.gate] == []


def test_a_rare_ingredient_is_a_sign_in_itself(tmp_path: Path) -> None:
    """What few batches hold, and a discard rests on, is followed up without any report."""
    egg = WORRY.replace(
        "causes:\n",
        "  - {id: egg, label: egg in it, ask: Egg?, kind: yes-no, group: batch, usual: 0.02}\n"
        "  - {id: ice, label: ice in it, ask: Ice?, kind: yes-no, group: batch, usual: 0.5}\n"
        "causes:\n",
        1,
    )
    held = "{any: [{egg: yes}, {ice: yes}]}"
    egg = egg.replace("when: {bulging: yes}", f"when: {{all: [{held}, {{bulging: yes}}]}}")
    egg = egg.replace("{given: {bulging: yes}", "{given: {egg: yes, bulging: yes}")
    egg = egg.replace("{given: {bulging: no}", "{given: {ice: yes, bulging: no}")
    assert checked(tmp_path, changed(more=egg)) == []
    base, _ = check_folders([tmp_path])
    assert base is not None
    told = {"cloudy": "yes", "worried": "no", "operation": "strip"}
    assert "bulging" in first_asked(base, egg="yes", **told)
    assert "bulging" not in first_asked(base, egg="no", **told)
    assert "bulging" not in first_asked(base, ice="yes", **told)


def test_the_hazard_is_what_stands_for_it(worrying: Base) -> None:
    """It is the standing, all together, of the causes that a discard or a stop suspects."""
    engine = engine_for(worrying, "reference")
    found = inferred(worrying, worried="yes", operation="strip")
    assert hazard(engine, found) == pytest.approx(found.standing["stood-warm"])


def test_a_conclusion_is_asked_for_by_what_it_rests_on(worrying: Base) -> None:
    """Where a rule needs what only rules conclude, the question behind it is asked."""
    assert {"strength", "hours"} <= set(first_asked(worrying, worried="yes", operation="strip"))
    gated = first_asked(worrying, worried="yes", operation="strip", strength=5)
    assert "hours" in gated
    assert "strength" not in gated


@pytest.mark.parametrize(
    ("told", "gone"),
    [({"strength": 40}, "hours"), ({"hours": 1}, "strength"), ({"bulging": "no"}, "bulging"),
     ({"bulging": "unknown"}, "bulging")],
)  # fmt: skip
def test_a_rule_that_has_failed_asks_for_nothing(
    worrying: Base, told: dict[str, object], gone: str
) -> None:
    """What was answered, or could no longer end it, is not put first."""
    assert gone not in first_asked(worrying, worried="yes", operation="strip", **told)


def test_it_does_not_stop_before_that_is_asked(worrying: Base) -> None:
    """However sure the cause is, questions go on until no verdict is left open."""
    engine = engine_for(worrying, "reference")
    told: dict[str, object] = {"worried": "yes", "operation": "strip", "drop_test": "flakes"}
    now = inferred(worrying, **told)
    assert stop_reason(engine, now, 0, 12, candidates(engine, now)) is None
    reason = stop_reason(engine, now, 12, 12, candidates(engine, now))
    assert reason is not None
    assert reason.code == "limit"


def test_a_stop_waits_for_a_plausible_discard(worrying: Base) -> None:
    """What may have to be thrown away is asked after first: what a stop asks can be put right."""
    engine = engine_for(worrying, "reference")
    told: dict[str, object] = {"cloudy": "yes", "temperature": 90, "operation": "fat-wash"}
    now = inferred(worrying, worried="yes", **told)
    assert set(now.verdicts) == {"stop"}
    assert {"bulging", "hours"} <= set(first_asked(worrying, worried="yes", **told))
    assert stop_reason(engine, now, 0, 12, candidates(engine, now)) is None
    at_the_limit = stop_reason(engine, now, 12, 12, candidates(engine, now))
    assert at_the_limit is not None
    assert at_the_limit.code == "verdict"
    for answers in ({"bulging": "no", "gassy": "no", "hours": 1}, {"bulging": "yes"}):
        then = inferred(worrying, worried="yes", **told, **answers)
        reason = stop_reason(engine, then, 0, 12, candidates(engine, then))
        assert reason is not None
        assert reason.code == "verdict"


def test_a_stop_without_a_sign_of_a_discard_ends_it(worrying: Base) -> None:
    """Nobody who has to stop at once is asked for a bulge that nothing speaks for."""
    engine = engine_for(worrying, "reference")
    now = inferred(worrying, worried="no", cloudy="yes", temperature=90, operation="fat-wash")
    assert set(now.verdicts) == {"stop"}
    reason = stop_reason(engine, now, 0, 12, candidates(engine, now))
    assert reason is not None
    assert reason.code == "verdict"


def test_an_unnamed_symptom_may_be_asked_for_once(worrying: Base) -> None:
    """A symptom that was only taken to be absent may come up; told, it does not again."""
    base = worrying
    now = Consultation(base, backend="reference").tell_symptoms(["cloudy"])
    now = now.tell("operation", "strip").tell("curd", "weak")
    before = {c.finding: c for c in now.candidates}
    assert "cloudy" not in before
    told = now.tell("bitter", "no").tell("gassy", "no").tell("worried", "no")
    assert not {"bitter", "gassy", "worried"} & {c.finding for c in told.candidates}


def test_what_an_unnamed_symptom_would_do_is_what_it_does(worrying: Base) -> None:
    """The standing foretold for a symptom told at last is the standing once it is told."""
    now = Consultation(worrying, backend="reference").tell_symptoms(["gassy"])
    now = now.tell("operation", "strip")
    found = [c for c in now.candidates if worrying.findings[c.finding].symptom]
    assert found
    for candidate in found:
        for possible in candidate.possible:
            then = now.tell(candidate.finding, possible.value)
            assert possible.standing == pytest.approx(then.inference.standing, abs=1e-9)


def test_whoever_asks_why_is_told_of_the_hazard(worrying: Base) -> None:
    """The reason for such a question is what it may end in, not how many bits it tells."""
    consultation = Consultation(worrying).tell_symptoms(["worried"])
    first = consultation.candidates[0]
    reasons = why(consultation.engine, consultation.inference, first)
    assert reasons["stop_or_discard_chance"] > 0
    text = " ".join(why_lines(reasons))
    assert "thrown away" in text
    assert "bits" not in text
