"""Laws of the contrasts: they hold for any answers, and for the shipped knowledge as well."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.consult import Consultation
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN
from advisor.knowledge.load import load
from advisor.reasoning.advise import advise
from advisor.reasoning.contrast import Supposing, gist_of
from tests.smallbase import small_base

if TYPE_CHECKING:
    from advisor.reasoning.contrast import Gist
    from advisor.reasoning.infer import Inference

_ANSWERS: dict[str, st.SearchStrategy[Any]] = {
    "cloudy": st.sampled_from(["yes", "no"]),
    "bitter": st.sampled_from(["yes", "no"]),
    "gassy": st.sampled_from(["yes", "no"]),
    "operation": st.sampled_from(["strip", "fat-wash", "several"]),
    "curd": st.sampled_from(["firm", "weak", "none"]),
    "drink_volume": st.floats(1, 20000) | st.sampled_from(["about 1 L", "700 to 800 ml"]),
    "milk_volume": st.floats(1, 20000) | st.sampled_from(["1/2 L", "8 oz"]),
    "milk_kind": st.sampled_from(["whole", "skim"]),
    "mix_reading": st.floats(1, 40000) | st.sampled_from(["1500 ml"]),
    "temperature": st.floats(-10, 100) | st.sampled_from(["about 40 C"]),
    "drop_test": st.sampled_from(["flakes", "clear"]),
}
_told = st.fixed_dictionaries(
    {}, optional={k: s | st.sampled_from([UNKNOWN, NOT_NOW]) for k, s in _ANSWERS.items()}
)
_tried = st.lists(st.sampled_from(["add-acid", "chill-and-filter"]), unique=True)
_listed = st.booleans()
_some = settings(max_examples=40, deadline=None)
_causes = st.sampled_from([*small_base().causes, "not-listed"])
DEMO = sorted((Path(__file__).parents[2] / "scenarios_demo").glob("*.yaml"))
FEW = [p for p in DEMO if p.stem[:2] in ("01", "03", "15", "16", "19")]


def told(answers: dict[str, Any], tried: list[str], listed: bool) -> Consultation:
    made = Consultation(small_base(), backend="reference")
    if listed:
        made = made.tell_symptoms(["cloudy"])
    for name, raw in answers.items():
        made = made.tell(name, raw)
    for remedy in tried:
        made = made.failed(remedy)
    return made


def gist(made: Consultation) -> Gist:
    return gist_of(made.engine, made.inference)


def agree(quick: Inference, whole: Inference) -> bool:
    """Whether two inferences stand and advise alike."""
    return (
        quick.standing == whole.standing
        and quick.sums == whole.sums
        and quick.entries == whole.entries
        and {k: set(v) for k, v in quick.explains.items()}
        == {k: set(v) for k, v in whole.explains.items()}
        and set(quick.unexplained) == set(whole.unexplained)
        and quick.verdicts == whole.verdicts
        and {k: set(v) for k, v in quick.suggestions.items()}
        == {k: set(v) for k, v in whole.suggestions.items()}
        and {k: set(v) for k, v in quick.cautions.items()}
        == {k: set(v) for k, v in whole.cautions.items()}
        and quick.run.facts == whole.run.facts
    )


@_some
@given(_told, _tried, _listed)
def test_supposing_an_answer_equals_telling_it(
    answers: dict[str, Any], tried: list[str], listed: bool
) -> None:
    """The quick look at an answer stands, advises and cautions as a whole inference does."""
    made = told(answers, tried, listed)
    supposing = Supposing(made.engine, made.inference)
    for finding in supposing.open_findings:
        for option in supposing.options(finding):
            after = made.tell(finding.id, option.value)
            quick = supposing.after(finding.id, option.value)
            assert agree(quick, after.inference), (finding.id, option.value)
            one, two = advise(made.engine, quick), advise(made.engine, after.inference)
            assert one.verdict == two.verdict
            assert one.this_batch == two.this_batch
            assert one.next_batch == two.next_batch
            assert set(one.cautions) == set(two.cautions)


@pytest.mark.parametrize("path", FEW, ids=lambda p: p.stem)
def test_supposing_on_the_shipped_knowledge_equals_telling(path: Path) -> None:
    """The same on a demo batch, for an answer of every question that is open."""
    made = Consultation.from_case(load(), path, backend="reference")
    supposing = Supposing(made.engine, made.inference)
    assert len(supposing.open_findings) > 20
    for place, finding in enumerate(supposing.open_findings):
        options = supposing.options(finding)
        if options:
            option = options[place % len(options)]
            after = made.tell(finding.id, option.value)
            assert agree(supposing.after(finding.id, option.value), after.inference), option


@_some
@given(_told, _tried, _listed)
def test_what_if_with_no_change_is_empty(
    answers: dict[str, Any], tried: list[str], listed: bool
) -> None:
    """Nothing supposed, or what was said already, changes nothing."""
    made = told(answers, tried, listed)
    assert made.what_if({}).empty
    again = made.what_if({k: v for k, v in answers.items() if k != "curd"})
    assert again.empty
    assert again.answers == ()


@_some
@given(_told, _tried, st.sampled_from(sorted(set(_ANSWERS) - {"curd"})), st.data())
def test_what_if_equals_telling(
    answers: dict[str, Any], tried: list[str], name: str, data: st.DataObject
) -> None:
    """The advice after a supposed answer is the advice after that answer."""
    # Without the curd, which is asked of a strip only and may be set aside.
    made = told({k: v for k, v in answers.items() if k != "curd"}, tried, listed=False)
    value = data.draw(_ANSWERS[name])
    after = made.tell(name, value)
    found = made.what_if({name: value})
    assert found.set_aside == ()
    assert found.before == gist(made)
    assert found.after == gist(after)
    one, two = made.inference.standing, after.inference.standing
    assert {m.cause for m in found.moved} == {c for c in one if abs(two[c] - one[c]) >= 0.01}


@settings(max_examples=25, deadline=None)
@given(_told, _tried, _listed)
def test_a_flip_does_what_it_says(answers: dict[str, Any], tried: list[str], listed: bool) -> None:
    """Each flip, really told, changes what it names to what it says; no other answer that is
    open changes anything."""
    made = told(answers, tried, listed)
    found = made.what_changes()
    assert found.now == gist(made)
    for flip in found.flips:
        after = gist(made.tell(flip.finding, flip.value))
        assert after == flip.after
        assert found.now.differs(after) == flip.changes != ()
        assert 0.0 <= flip.chance <= 1.0
    flips = {(f.finding, f.value) for f in found.flips}
    supposing = Supposing(made.engine, made.inference)
    for finding in supposing.open_findings:
        for option in supposing.options(finding):
            if (finding.id, option.value) not in flips:
                assert not found.now.differs(gist(made.tell(finding.id, option.value)))


@pytest.mark.parametrize("path", FEW, ids=lambda p: p.stem)
def test_a_flip_on_the_shipped_knowledge_does_what_it_says(path: Path) -> None:
    """The same on demo batches, and the flips of what was measured, told and assumed among them."""
    made = Consultation.from_case(load(), path, backend="reference")
    found = made.what_changes()
    assert found.tried > 150
    for flip in found.flips[:25]:
        assert gist(made.tell(flip.finding, flip.value)) == flip.after, flip


@_some
@given(_told, _tried, _listed, _causes, _causes)
def test_the_rows_of_rather_add_up(
    answers: dict[str, Any], tried: list[str], listed: bool, one: str, other: str
) -> None:
    """The rows add up to the difference of the ledgers, which is that of the standings' odds."""
    made = told(answers, tried, listed)
    found = made.rather(one, other)
    sides = []
    for cause in (one, other):
        counted = [e.weight for e in made.inference.ledger(cause) if e.counted]
        sides.append(made.base.priors[cause] + math.fsum(counted))
    assert math.isclose(found.apart, sides[0] - sides[1], abs_tol=1e-9)
    assert math.isclose(math.fsum(r.apart for r in found.rows), found.apart, abs_tol=1e-9)
    standing = made.inference.standing
    odds = 10.0 * math.log10(standing[one] / standing[other])
    assert math.isclose(odds, found.apart, abs_tol=1e-6)
    turned = {row.line: row.apart for row in made.rather(other, one).rows}
    assert turned == {row.line: -row.apart for row in found.rows}


@_some
@given(_told, _tried, _listed, _causes)
def test_why_not_tells_what_is_so(
    answers: dict[str, Any], tried: list[str], listed: bool, cause: str
) -> None:
    """The place is the rank; no line that it names fired, each for a test that is not met; an
    answer that is said to raise the cause does."""
    made = told(answers, tried, listed)
    found = made.why_not(cause)
    inference = made.inference
    assert inference.ranked[found.place - 1] == cause
    fired = {firing.rule for firing in inference.run.firings}
    for missed in (*found.missed, *found.waiting):
        assert missed.line not in fired
        assert {t.state for t in missed.tests} - {"holds"}
        for state in missed.tests:
            if state.state == "fails" and state.fact is not None:
                assert state.fact in inference.run.facts
    for each in found.could_raise:
        after = made.tell(each.finding, each.value).inference
        assert after.standing[cause] == each.probability > inference.standing[cause]
        assert each.first is (after.ranked[0] == cause)
    weights = [e.weight for e in (*found.weighs_for, *found.weighs_against)]
    assert math.isclose(math.fsum(weights), inference.sums.get(cause, 0.0), abs_tol=1e-9)
