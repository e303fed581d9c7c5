"""What to ask next, what each answer would change, and when to stop."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pytest

from advisor.reasoning.infer import Engine, engine_for
from advisor.reasoning.questions import candidates, stop_reason
from tests.reasoning.batches import answers, inferred
from tests.smallbase import changed, checked

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.knowledge.model import Base
    from advisor.reasoning.infer import Inference
    from advisor.reasoning.questions import Candidate

VOLUMES: dict[str, Any] = {"drink_volume": "600 ml", "milk_volume": "200 ml", "milk_kind": "whole"}


def asked(base: Base, found: Inference) -> tuple[Candidate, ...]:
    return candidates(engine_for(base, "reference"), found)


def test_the_most_told_a_minute_comes_first(small: Base) -> None:
    """Questions are ordered by what they are expected to tell for each minute they cost."""
    found = asked(small, inferred(small, cloudy="yes", operation="strip"))
    assert len(found) >= 4
    scores = [c.score for c in found]
    assert scores == sorted(scores, reverse=True)
    assert all(c.gain >= 0 and math.isfinite(c.score) for c in found)


@pytest.mark.parametrize(
    "told",
    [
        {},
        {"cloudy": "yes", "operation": "strip"},
        {"cloudy": "yes", "curd": "weak", "operation": "strip", **VOLUMES},
        {"bitter": "yes", "temperature": "about 50", "curd": "weak", "operation": "several"},
        {"curd": "weak", "mix_reading": "unknown", "cloudy": "no", **VOLUMES},
    ],
)
def test_looking_ahead_is_what_then_happens(small: Base, told: dict[str, Any]) -> None:
    """For every question and answer, the standing foretold is the standing once it is given."""
    now = inferred(small, **told)
    found = asked(small, now)
    assert found
    for candidate in found:
        assert math.fsum(p.chance for p in candidate.possible) == pytest.approx(1.0)
        for possible in candidate.possible:
            given: dict[str, Any] = {**told, candidate.finding: possible.value}
            then = inferred(small, **given)
            assert possible.standing == pytest.approx(then.standing, abs=1e-9), candidate.finding


def test_a_reading_is_worth_asking_where_the_calculation_is_in_doubt(small: Base) -> None:
    """A reading that would replace a calculation is foretold without the calculation's weight."""
    told = {"curd": "weak", "cloudy": "yes", **VOLUMES}
    reading = next(c for c in asked(small, inferred(small, **told)) if c.finding == "mix_reading")
    small_mix, large_mix = reading.possible
    assert small_mix.standing["too-mild"] > large_mix.standing["too-mild"]


def test_questions_keep_to_their_condition(small: Base) -> None:
    """A question with ``ask_when`` waits until its condition holds."""
    without = {c.finding for c in asked(small, inferred(small, cloudy="yes"))}
    strip = {c.finding for c in asked(small, inferred(small, cloudy="yes", operation="strip"))}
    other = {c.finding for c in asked(small, inferred(small, cloudy="yes", operation="fat-wash"))}
    assert "curd" not in without
    assert "curd" in strip
    assert "curd" not in other


@pytest.mark.parametrize("answer", ["unknown", "not-now", "?", "weak"])
def test_what_was_asked_is_not_asked_again(small: Base, answer: str) -> None:
    """An answer, "don't know" and "can't do this now" all take the question off the list."""
    found = asked(small, inferred(small, cloudy="yes", operation="strip", curd=answer))
    assert "curd" not in {c.finding for c in found}


def test_what_rules_alone_conclude_is_never_asked(small: Base) -> None:
    """Derived findings and the verdict are no questions."""
    assert not {"haze_kind", "verdict"} & {c.finding for c in asked(small, inferred(small))}


TWIN = """\
findings:
  - {id: twin, label: the same again, ask: The same?, kind: choice, group: seen,
     choices: [{value: flakes, label: flakes, usual: 0.3},
               {value: clear, label: clear, usual: 0.7}]}
checks:
  - id: twin-look
    title: Twin
    finding: twin
    level: LEVEL
    minutes: 1
    wait: 5
    how: Look.
    outcomes:
      - {is: flakes, says: as before, raises: {too-mild: strong}, lowers: {too-warm: slight}}
      - {is: clear, says: as before, lowers: {too-mild: moderate}}
    source: [judgement]
"""


@pytest.mark.parametrize(
    ("level", "first"), [("look", True), ("taste", True), ("new-batch", False)]
)
def test_a_look_comes_before_a_measurement(tmp_path: Path, level: str, first: bool) -> None:
    """Of two checks that tell the same, looking and tasting come before measuring."""
    from advisor.knowledge.load import check_folders

    assert checked(tmp_path, changed(more=TWIN.replace("LEVEL", level))) == []
    base, _ = check_folders([tmp_path])
    assert base is not None
    found = [c.finding for c in asked(base, inferred(base, cloudy="yes", operation="strip"))]
    assert (found.index("twin") < found.index("drop_test")) is first


# When to stop.


def stopped(base: Base, found: Inference, asked_so_far: int = 0, limit: int = 12) -> str:
    engine = engine_for(base, "reference")
    reason = stop_reason(engine, found, asked_so_far, limit, asked(base, found))
    return reason.code if reason else ""


def test_it_stops_at_the_limit(small: Base) -> None:
    """No more questions than the user allowed."""
    found = inferred(small, cloudy="yes", operation="strip")
    assert stopped(small, found) == ""
    assert stopped(small, found, 3, 3) == "limit"


@pytest.mark.parametrize(
    "told", [{"gassy": "yes"}, {"temperature": 90, "cloudy": "yes"}], ids=["discard", "stop"]
)
def test_it_stops_when_the_verdict_stands(small: Base, told: dict[str, Any]) -> None:
    """Once a drink must be discarded or stopped, no cause matters and nothing is asked."""
    assert stopped(small, inferred(small, **told)) == "verdict"


def test_it_stops_when_nothing_is_left(small: Base) -> None:
    """With every question answered or declined there is nothing left to ask."""
    everything = {f.id: "unknown" for f in small.findings.values() if f.asked}
    assert stopped(small, inferred(small, **everything)) == "nothing-left"


def test_it_stops_when_it_is_sure(small: Base) -> None:
    """When the first cause stands high and no likely answer would change what to do, it is sure."""
    found = inferred(small, operation="strip", cloudy="yes", drop_test="flakes")
    assert found.standing["too-mild"] > 0.9
    assert asked(small, found)
    assert stopped(small, found) == "sure"


def test_it_goes_on_while_an_answer_could_change_what_to_do(small: Base) -> None:
    """With two causes close together there is still something worth asking."""
    found = inferred(small, operation="strip", cloudy="yes", temperature=45)
    assert found.standing["too-mild"] < 0.9
    assert stopped(small, found) == ""


def test_it_stops_when_nothing_is_worth_its_minutes(small: Base) -> None:
    """When what is left tells too little for its minutes, the matter is settled."""
    found = inferred(small, cloudy="yes", operation="strip")
    cheap = asked(small, found)
    poor = tuple(
        type(c)(c.finding, c.check, 0.0, c.minutes, c.wait, 0.0, c.possible) for c in cheap
    )
    reason = stop_reason(engine_for(small, "reference"), found, 0, 12, poor)
    assert reason is not None
    assert reason.code == "settled"


def test_a_broken_wait_is_never_a_free_question(small: Base) -> None:
    """Effort counts: a check costs its minutes and part of its waiting."""
    found = {c.finding: c for c in asked(small, inferred(small, cloudy="yes", operation="strip"))}
    drop = found["drop_test"]
    assert (drop.check, drop.minutes, drop.wait) == ("drop-test", 1.0, 5.0)
    assert drop.score < drop.gain / drop.minutes


def test_candidates_do_not_change_the_inference(small: Base) -> None:
    """Looking ahead leaves the inference as it was."""
    engine = Engine(small, "reference")
    given = answers(small, cloudy="yes", operation="strip")
    before = engine.infer(given)
    candidates(engine, before)
    assert engine.infer(given).standing == before.standing
