"""Laws of the core: they hold for any answers, in any order, told once or twice or undone."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.consult import Consultation
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN
from tests.smallbase import small_base

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.reasoning.infer import Inference

_ANSWERS: dict[str, st.SearchStrategy[Any]] = {
    "cloudy": st.sampled_from(["yes", "no"]),
    "bitter": st.sampled_from(["yes", "no"]),
    "gassy": st.sampled_from(["yes", "no"]),
    "operation": st.sampled_from(["strip", "fat-wash", "several"]),
    "curd": st.sampled_from(["firm", "weak", "none"]),
    "drink_volume": st.floats(1, 20000) | st.sampled_from(["about 1 L", "20 oz", "700 to 800 ml"]),
    "milk_volume": st.floats(1, 20000) | st.sampled_from(["1/2 L", "8 oz"]),
    "milk_kind": st.sampled_from(["whole", "skim"]),
    "mix_reading": st.floats(1, 40000) | st.sampled_from(["1500 ml", "about 1.5 L"]),
    "temperature": st.floats(-10, 100) | st.sampled_from(["about 40 C", "140 F", "35 to 45 C"]),
    "drop_test": st.sampled_from(["flakes", "clear"]),
}
_told = st.fixed_dictionaries(
    {}, optional={k: s | st.sampled_from([UNKNOWN, NOT_NOW]) for k, s in _ANSWERS.items()}
)
_quiet = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def begun() -> Consultation:
    return Consultation(small_base(), backend="reference")


def told(answers: dict[str, Any]) -> Consultation:
    made = begun()
    for name, raw in answers.items():
        made = made.tell(name, raw)
    return made


def same(one: Inference, two: Inference) -> bool:
    """Whether two inferences say the same, whatever order their parts were met in."""
    return (
        one.standing == two.standing
        and one.run == two.run
        and one.entries == two.entries
        and one.footing == two.footing
        and one.facts.figures == two.facts.figures
        and one.verdicts == two.verdicts
        and one.cautions == two.cautions
        and one.suggestions == two.suggestions
        and {k: set(v) for k, v in one.explains.items()}
        == {k: set(v) for k, v in two.explains.items()}
        and set(one.unexplained) == set(two.unexplained)
        and set(one.sets) == set(two.sets)
    )


@_quiet
@given(_told, st.randoms())
def test_the_order_of_answers_does_not_matter(answers: dict[str, Any], rng: Any) -> None:
    """The same answers in another order lead to the same inference and the same advice."""
    shuffled = list(answers.items())
    rng.shuffle(shuffled)
    one, two = told(answers), told(dict(shuffled))
    assert same(one.inference, two.inference)
    assert one.advice == two.advice
    assert one.candidates == two.candidates


@_quiet
@given(_told, st.sampled_from(sorted(_ANSWERS)), st.data())
def test_undo_equals_never_told(answers: dict[str, Any], name: str, data: st.DataObject) -> None:
    """After undo the consultation and what follows from it are as if nothing had been said."""
    before = told(answers)
    after = before.tell(name, data.draw(_ANSWERS[name])).undo()
    assert after == before
    assert same(after.inference, before.inference)


@_quiet
@given(_told)
def test_telling_twice_equals_once(answers: dict[str, Any]) -> None:
    """Saying everything again changes nothing."""
    once = told(answers)
    twice = once
    for name, raw in answers.items():
        twice = twice.tell(name, raw)
    assert dict(twice.answers) == dict(once.answers)
    assert same(twice.inference, once.inference)


@_quiet
@given(_told, st.sampled_from(sorted(_ANSWERS)), st.data())
def test_the_last_word_counts(answers: dict[str, Any], name: str, data: st.DataObject) -> None:
    """Answering again replaces the answer, as if the first had never been given."""
    first, second = data.draw(_ANSWERS[name]), data.draw(_ANSWERS[name])
    others = {k: v for k, v in answers.items() if k != name}
    changed = told({**others, name: first}).tell(name, second)
    assert same(changed.inference, told({**others, name: second}).inference)


@_quiet
@given(
    _told, st.lists(st.sampled_from(["add-acid", "chill-and-filter", "cooler-next"]), max_size=3)
)
def test_probabilities_sum_to_one(answers: dict[str, Any], tried: list[str]) -> None:
    """Whatever is told and tried, the causes' probabilities sum to one and are proper numbers."""
    made = told(answers)
    for remedy in tried:
        made = made.failed(remedy)
    standing = made.inference.standing
    assert math.isclose(math.fsum(standing.values()), 1.0, abs_tol=1e-9)
    assert all(0.0 <= p <= 1.0 for p in standing.values())
    assert set(standing) == {*small_base().causes, "not-listed"}


@_quiet
@given(_told, st.lists(st.sampled_from(["cloudy", "bitter", "gassy"]), unique=True), st.booleans())
def test_saving_and_reading_gives_the_same(
    tmp_path: Path, answers: dict[str, Any], symptoms: list[str], listed: bool
) -> None:
    """A consultation that was saved and read again infers and advises the same."""
    made = begun().tell_symptoms(symptoms) if listed else begun()
    for name, raw in answers.items():
        made = made.tell(name, raw)
    if made.contradictions():
        return
    made.save(tmp_path / "case.yaml")
    again = Consultation.from_case(small_base(), tmp_path / "case.yaml", backend="reference")
    assert same(again.inference, made.inference)
    assert again.advice == made.advice
    assert again.symptoms_listed == made.symptoms_listed


@_quiet
@given(_told, st.sampled_from(["add-acid", "chill-and-filter"]))
def test_a_failure_never_makes_its_cause_likelier(answers: dict[str, Any], remedy: str) -> None:
    """A remedy that failed never raises the share of the causes that it surely cures."""
    before, after = told(answers), told(answers).failed(remedy)
    cures = small_base().remedies[remedy].cures
    best = max(cures, key=lambda c: cures[c])
    assert after.inference.standing[best] <= before.inference.standing[best] + 1e-12
