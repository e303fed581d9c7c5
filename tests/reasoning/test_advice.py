"""From an inference to advice: which verdict comes first, and remedies in which order."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from advisor.knowledge.load import check_folders
from advisor.reasoning.advise import Advice, advise
from advisor.reasoning.infer import engine_for
from tests.reasoning.batches import inferred
from tests.smallbase import changed, checked, codes

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.knowledge.model import Base

VOLUMES: dict[str, Any] = {"drink_volume": "600 ml", "milk_volume": "200 ml", "milk_kind": "whole"}
HOT: dict[str, Any] = {"temperature": 90, "cloudy": "yes"}
COLD: dict[str, Any] = {"temperature": 3, "curd": "firm"}


def advised(base: Base, *, tried: tuple[str, ...] = (), **raw: object) -> Advice:
    return advise(engine_for(base, "reference"), inferred(base, tried=tried, **raw))


@pytest.mark.parametrize(
    ("told", "kind"),
    [
        ({"gassy": "yes", **HOT}, "discard"),
        ({"gassy": "yes", **COLD, "cloudy": "yes"}, "discard"),
        (HOT, "stop"),
        (COLD, "nothing-wrong"),
        ({"cloudy": "yes", "operation": "strip", "curd": "none"}, "cause"),
        ({}, "open"),
        ({"cloudy": "no"}, "open"),
    ],
)
def test_which_verdict_comes_first(small: Base, told: dict[str, Any], kind: str) -> None:
    """Discard before stop, stop before nothing wrong, that before a cause; else it is open."""
    assert advised(small, **told).verdict.kind == kind


FINE = "when: {all: [{temperature: {below: 5}}, {curd: firm}]}\n    then: {verdict: nothing-wrong}"
BITTER: dict[str, Any] = {**COLD, "bitter": "yes", "cloudy": "no", "operation": "strip"}


def of_bitter(folder: Path, then: str = "verdict: nothing-wrong") -> Base:
    """The small base, in which *nothing is wrong* is said of bitterness as well."""
    rule = (
        "when: {all: [{temperature: {below: 5}}, {curd: firm}, {any: [{bitter: yes}, "
        f"{{bitter: missing}}]}}]}}\n    then: {{{then}}}"
    )
    assert codes(checked(folder, changed((FINE, rule)))) == set()
    base, _ = check_folders([folder])
    assert base is not None
    return base


def test_a_sure_cause_comes_before_nothing_wrong(tmp_path: Path) -> None:
    """Nothing is wrong does not hide a cause that is as good as certain."""
    base = of_bitter(tmp_path)
    assert advised(base, **BITTER).verdict.kind == "nothing-wrong"
    sure = advised(base, **BITTER, tried=("chill-and-filter", "cooler-next"))
    assert (sure.verdict.kind, sure.verdict.cause) == ("cause", "too-short")


def test_a_cause_that_the_rule_doubts_has_been_heard(tmp_path: Path) -> None:
    """The rule has weighed the cause that it speaks against, so that cause cannot undo it."""
    base = of_bitter(tmp_path, "verdict: nothing-wrong, doubt: {too-short: slight}")
    found = advised(base, **BITTER, tried=("chill-and-filter", "cooler-next"))
    assert found.verdict.kind == "nothing-wrong"


def test_nothing_is_wrong_only_where_it_answers_all_that_was_reported(small: Base) -> None:
    """A batch that is cold and firm may still be bitter; the rule says nothing of that."""
    assert advised(small, **{**BITTER, "bitter": "no"}).verdict.kind == "nothing-wrong"
    assert advised(small, **BITTER).verdict.kind != "nothing-wrong"


def test_a_drink_to_discard_has_no_remedy(small: Base) -> None:
    """Nobody is told how to save, or what else might be wrong with, a drink that must go."""
    found = advised(small, gassy="yes", cloudy="yes", curd="weak")
    assert (found.this_batch, found.next_batch, found.alternatives) == ((), (), ())
    assert found.verdict.because == ("gas-is-growth",)
    assert "keep-cold" in found.cautions


def test_remedies_come_by_chance_over_effort(small: Base) -> None:
    """The first remedy has the best chance of cure for its effort."""
    found = advised(small, cloudy="yes", operation="strip", curd="weak")
    first, second = found.this_batch[:2]
    assert first.remedy.id == "add-acid"
    assert first.chance / first.cost > second.chance / second.cost
    assert all(r.remedy.of == "this-batch" for r in found.this_batch)
    assert all(r.remedy.of == "next-batch" for r in found.next_batch)
    assert found.next_batch[0].remedy.id == "more-acid-next"


GIVEN_UP = """\
remedies:
  - {id: throw-it-out, title: Throw it out, for: this-batch, stage: storage, loses_batch: true,
     cures: {too-mild: usually, too-warm: usually}, do: Throw it out., minutes: 1,
     source: [practice]}
  - {id: pour-it-off, title: Pour it off, for: this-batch, stage: storage, loses_batch: true,
     cures: {gone-off: always}, do: Pour it off., minutes: 1, source: [practice]}
"""


def more_remedies(folder: Path, more: str) -> Base:
    """The small base with further remedies."""
    assert codes(checked(folder, changed(more=more))) == set()
    base, _ = check_folders([folder])
    assert base is not None
    return base


def test_what_treats_the_verdict_comes_before_what_is_quick(tmp_path: Path) -> None:
    """A remedy changes the drink: one for a less likely cause waits, however little it takes."""
    base = more_remedies(
        tmp_path,
        "remedies:\n  - {id: a-quick-one, title: A quick one, for: this-batch, stage: chill, "
        "cures: {too-warm: usually}, do: Do it., minutes: 0, source: [practice]}\n",
    )
    found = advised(base, cloudy="yes", operation="strip", curd="weak")
    assert found.verdict.cause == "too-mild"
    assert [r.remedy.id for r in found.this_batch][:2] == ["add-acid", "chill-and-filter"]
    quick = next(r for r in found.this_batch if r.remedy.id == "a-quick-one")
    assert quick.chance / quick.cost > found.this_batch[0].chance / found.this_batch[0].cost
    assert (found.this_batch[0].treats, quick.treats) == ("too-mild", "too-warm")


def test_the_batch_is_saved_before_it_is_given_up(tmp_path: Path) -> None:
    """Throwing it out cures everything in a minute, and is offered last all the same."""
    found = advised(more_remedies(tmp_path, GIVEN_UP), cloudy="yes", operation="strip")
    ids = [r.remedy.id for r in found.this_batch]
    assert ids[0] == "add-acid"
    named = [r.remedy.id for r in found.this_batch if "too-mild" in r.remedy.cures]
    assert named[-1] == "throw-it-out"


def test_what_treats_nothing_of_what_was_reported_is_not_offered(small: Base) -> None:
    """A bitter drink is not passed through fresh curd because of a cause of something else."""
    found = advised(small, cloudy="yes", bitter="no", operation="strip", curd="weak")
    assert "second-pass" not in [r.remedy.id for r in found.this_batch]


def test_a_cause_that_would_end_the_batch_is_named_beforehand(tmp_path: Path) -> None:
    """Two complaints: one is put right only after the other is known not to be growth."""
    base = more_remedies(tmp_path, GIVEN_UP)
    engine = engine_for(base, "reference")
    inference = inferred(base, cloudy="yes", operation="strip")
    held = replace(
        inference,
        standing={**inference.standing, "gone-off": 0.2},
        explains={**inference.explains, "gone-off": ("cloudy",)},
    )
    assert advise(engine, inference).hold_for == ()
    assert advise(engine, held).hold_for == (("gone-off", 0.2),)
    assert advise(engine, replace(held, explains=inference.explains)).hold_for == ()


def test_nothing_is_saved_where_nothing_is_wrong(small: Base) -> None:
    """Leave it be is followed by no remedy but what the rule itself suggests."""
    found = advised(small, **COLD, cloudy="no")
    assert found.verdict.kind == "nothing-wrong"
    assert (found.this_batch, found.next_batch) == ((), ())


def test_an_open_verdict_changes_no_drink(small: Base) -> None:
    """While every cause is unlikely a remedy is not offered; once one is likely it is."""
    found = advised(small, operation="strip")
    assert found.verdict.kind == "open"
    assert all(r.chance >= 0.1 for r in (*found.this_batch, *found.next_batch))
    assert advised(small, cloudy="yes", operation="strip").this_batch


def test_a_stop_still_tells_the_fault(small: Base) -> None:
    """What stops the batch is not what was complained of; that is wanted for the next one."""
    found = advised(small, temperature=90, cloudy="yes", curd="weak", operation="strip")
    assert (found.verdict.kind, found.verdict.cause) == ("stop", "")
    assert found.fault == "too-warm"
    assert [r.remedy.id for r in found.next_batch] == ["cooler-next"]
    duties = ("label", "storage", "service")
    assert not [r for r in found.this_batch if r.remedy.stage not in duties]
    assert advised(small, gassy="yes", cloudy="yes", curd="weak").fault == ""  # a discard


def test_what_stops_a_batch_is_no_fault_apart_from_that() -> None:
    """Milk is in a drink sold as free of it: that is the stop, and not something beside it."""
    from pathlib import Path

    from advisor.consult import Consultation
    from advisor.knowledge.load import load

    case = Path(__file__).parents[2] / "scenarios_demo" / "15-clear-so-dairy-free.yaml"
    found = Consultation.from_case(load(), case).advice
    assert (found.verdict.kind, found.fault, found.next_batch) == ("stop", "", ())


def test_remedies_are_ordered_again_after_a_failure(small: Base) -> None:
    """A remedy that failed is gone, and what it would have cured stands lower."""
    told: dict[str, Any] = {"cloudy": "yes", "operation": "strip", "temperature": 45}
    before = advised(small, **told)
    after = advised(small, **told, tried=("add-acid",))
    assert before.this_batch[0].remedy.id == "add-acid"
    assert "add-acid" not in [r.remedy.id for r in after.this_batch]
    assert after.this_batch[0].remedy.id == "chill-and-filter"
    assert after.this_batch[0].chance > before.this_batch[1].chance


def test_a_remedy_keeps_to_its_condition(small: Base) -> None:
    """A remedy with a condition is offered only where the condition holds."""
    strip = advised(small, bitter="yes", operation="strip")
    assert "second-pass" in [r.remedy.id for r in strip.this_batch]
    unknown = advised(small, bitter="yes")
    assert "second-pass" not in [r.remedy.id for r in unknown.this_batch]


def test_cautions_come_gravest_first(small: Base) -> None:
    """Stop comes before warn, warn before note."""
    found = advised(small, gassy="yes", curd="weak", drop_test="flakes", **VOLUMES)
    assert found.cautions == ("has-milk", "keep-cold", "just-so-you-know")


def test_an_alternative_names_the_check_that_tells(small: Base) -> None:
    """Another cause that still stands comes with the check that tells the two apart."""
    found = advised(small, cloudy="yes", operation="strip", curd="weak")
    other = next(a for a in found.alternatives if a.cause == "too-warm")
    assert (other.check, other.finding) == ("drop-test", "drop_test")
    assert "drop of acid" in other.tell


def test_what_the_verdict_rests_on(small: Base) -> None:
    """The findings behind the verdict are told by their footing, through concluded ones."""
    found = advised(small, cloudy="yes", operation="strip", curd="weak", **VOLUMES)
    assert found.rests_on["calculated"] == ("mix_volume",)
    assert set(found.rests_on["told"]) == {"cloudy", "curd"}
    read = advised(small, cloudy="yes", curd="weak", mix_reading="1 L")
    assert read.rests_on["measured"] == ("mix_volume",)


def test_how_much_rests_on_practice(small: Base) -> None:
    """The share of weight without a publication lies between nothing and one."""
    book = advised(small, cloudy="yes", operation="strip", curd="weak")
    assert book.verdict.cause == "too-mild"
    assert book.practice_share == 0.0  # its tables cite a publication
    practice = advised(small, temperature=65, cloudy="yes", operation="fat-wash")
    assert practice.verdict.cause == "too-warm"
    assert practice.practice_share == 1.0
