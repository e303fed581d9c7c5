"""Causes that bring on none of what was reported, and what that counts against them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pytest

from advisor.consult import Consultation
from advisor.knowledge.load import check_folders, load
from advisor.knowledge.words import NOT_LISTED, WEIGHTS
from advisor.reasoning.bystanders import BYSTANDER
from advisor.reasoning.contrast import Supposing
from advisor.reasoning.contrast.rather import rather
from advisor.reasoning.infer import engine_for
from advisor.reasoning.questions import candidates
from advisor.report.explain import how
from advisor.report.explanations import rather_data
from tests.reasoning.batches import inferred
from tests.smallbase import changed, checked, codes, write_small

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.knowledge.model import Base
    from advisor.reasoning.infer import Inference

NAMED = 'base: {name: invented small base, version: "1.0"}'
COUNTING = changed((NAMED, NAMED.replace("}", ", bystander: moderate}")))


@pytest.fixture(scope="module")
def counting(tmp_path_factory: pytest.TempPathFactory) -> Base:
    """The small base, in which being a bystander counts."""
    folder = write_small(tmp_path_factory.mktemp("counting"), COUNTING)
    base, problems = check_folders([folder])
    assert base is not None, problems
    return base


def bystanders(found: Inference) -> set[str]:
    return {e.cause for e in found.entries if e.line == BYSTANDER}


@pytest.mark.parametrize(
    ("told", "wanted"),
    [
        ({}, set()),
        ({"curd": "weak"}, set()),  # seen, but nobody complained of anything
        ({"cloudy": "no"}, set()),
        ({"cloudy": "yes"}, {"too-short", "gone-off"}),
        # Bitter is rarely of a warm mix, yet more often than by chance: it has a row for it.
        ({"bitter": "yes"}, {"too-mild", "gone-off"}),
        ({"cloudy": "yes", "bitter": "yes"}, {"gone-off"}),
        ({"cloudy": "yes", "bitter": "yes", "gassy": "yes"}, set()),
        ({"cloudy": "unknown", "gassy": "yes"}, {"too-mild", "too-warm", "too-short"}),
    ],
)
def test_who_brings_on_nothing_of_it(
    counting: Base, told: dict[str, Any], wanted: set[str]
) -> None:
    """A cause is a bystander while no row and no rule of its own speaks of any report."""
    found = inferred(counting, **told)
    assert bystanders(found) == wanted
    weights = {e.weight for e in found.entries if e.line == BYSTANDER}
    assert weights <= {-WEIGHTS["moderate"]}
    assert NOT_LISTED not in bystanders(found)


def test_it_is_one_likelihood_ratio_more(small: Base, counting: Base) -> None:
    """By Bayes' rule (Good 1950): odds against a cause that accounts for it fall by the ratio."""
    without, with_it = (inferred(b, cloudy="yes", curd="weak") for b in (small, counting))
    odds = [f.standing["too-short"] / f.standing["too-mild"] for f in (without, with_it)]
    assert 10 * math.log10(odds[1] / odds[0]) == pytest.approx(-5.0)
    assert math.fsum(with_it.standing.values()) == pytest.approx(1.0)


def test_a_base_that_does_not_say_so_counts_nothing(small: Base) -> None:
    """The word is the base's own; published examples are weighed without it."""
    assert small.bystander == 0.0
    assert bystanders(inferred(small, cloudy="yes")) == set()


@pytest.mark.parametrize(
    "told",
    [
        {},
        {"cloudy": "yes"},
        {"bitter": "yes", "curd": "weak", "operation": "strip"},
        {"cloudy": "yes", "drink_volume": 600, "milk_volume": 200, "milk_kind": "whole"},
    ],
)
def test_foretold_and_supposed_as_it_then_is(counting: Base, told: dict[str, Any]) -> None:
    """One report more makes others bystanders, or none: the look ahead knows it."""
    now = inferred(counting, **told)
    engine = engine_for(counting, "reference")
    supposing = Supposing(engine, now)
    reports = 0
    for candidate in candidates(engine, now):
        for possible in candidate.possible:
            then = inferred(counting, **{**told, candidate.finding: possible.value})
            assert possible.standing == pytest.approx(then.standing, abs=1e-9), candidate.finding
            quick = supposing.after(candidate.finding, possible.value)
            assert quick.standing == pytest.approx(then.standing, abs=1e-12)
            assert bystanders(quick) == bystanders(then)
            reports += possible.value == "yes"
    assert reports >= 2


def test_it_stands_in_the_ledger_and_in_the_comparison(counting: Base) -> None:
    """Nothing weighs in secret: how, and one rather than the other, both show it as judgement."""
    found = inferred(counting, cloudy="yes")
    engine = engine_for(counting, "reference")
    row = next(r for r in how(engine, found, "too-short")["ledger"] if r["line"] == BYSTANDER)
    assert row["title"] == "it brings on none of what was reported"
    assert row["weight"] == -5.0
    assert [s["ref"] for s in row["sources"]] == ["judgement"]
    found_apart = rather(Supposing(engine, found), "too-mild", "too-short")
    rows = {r.line: r.apart for r in found_apart.rows}
    assert rows[BYSTANDER] == pytest.approx(5.0)
    both = rather(Supposing(engine, found), "too-short", "gone-off")
    assert BYSTANDER not in {r.line for r in both.rows}


def test_of_two_it_is_said_of_the_one_it_speaks_for(counting: Base) -> None:
    """Among the reasons for a cause, never that "it" brings on nothing when the other is meant."""
    made = Consultation(counting, backend="reference").tell_symptoms(["cloudy"])
    data = rather_data(made, made.rather("too-mild", "too-short"))
    row = next(r for r in data["rows"] if r["line"] == BYSTANDER)
    assert row["title"] == "only this one brings on any of what was reported"
    assert row["apart"] == 5.0


def test_the_word_is_one_of_the_four(tmp_path: Path) -> None:
    """A word that is no weight is refused where it stands, with what was meant."""
    problems = checked(tmp_path, changed((NAMED, NAMED.replace("}", ", bystander: modrate}"))))
    assert codes(problems) == {"shape-word"}
    assert "moderate" in str(problems[0])


def test_the_shipped_knowledge_counts_it_and_stays_consistent() -> None:
    """On the shipped base: no named cause of a report is a bystander of that report."""
    base = load()
    assert base.bystander == -WEIGHTS["moderate"]
    made = Consultation(base, backend="reference").tell_symptoms(["cloud_at_filter"])
    out = bystanders(made.inference)
    assert len(out) > 100
    for cause in base.causes:
        shown = {
            e.line for e in made.inference.entries if e.cause == cause and e.weight >= 2.0
        }
        assert not (cause in out and "shows/cloud_at_filter=yes" in shown)
