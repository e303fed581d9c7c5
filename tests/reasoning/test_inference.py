"""From answers to standings: tables, rules, conclusions, explanations and failures."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest

from advisor.chain import available
from advisor.knowledge.conditions import InRange
from advisor.knowledge.words import NOT_LISTED
from advisor.reasoning.answers import read_answer
from advisor.reasoning.evidence import figure_order
from advisor.reasoning.infer import infer
from tests.reasoning.batches import answers, inferred
from tests.reasoning.networks import naive_posterior
from tests.smallbase import changed, checked, codes, load_small, write_small

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.knowledge.model import Base

VOLUMES = {"drink_volume": "600 ml", "milk_volume": "200 ml", "milk_kind": "whole"}


def test_nothing_told_leaves_the_priors(small: Base) -> None:
    """Without an answer every cause stands at its prior, and something not listed at one in 20."""
    found = inferred(small)
    assert found.standing[NOT_LISTED] == pytest.approx(0.05)
    assert found.ranked[0] == "too-mild"
    assert not any(found.spoken_for(cause) for cause in found.standing)
    assert found.sets == ()


def test_standing_is_naive_bayes_on_the_weights_that_count(small: Base) -> None:
    """pgmpy gives the same posterior on the priors and the weights of the lines that fired."""
    found = inferred(small, cloudy="yes", bitter="no", curd="weak", temperature=45)
    names = sorted(small.priors)
    prior = [10 ** (small.priors[n] / 10) for n in names]
    prior = [p / sum(prior) for p in prior]
    lines = sorted({e.line for e in found.entries if e.counted})
    under = []
    for line in lines:
        weight = {e.cause: e.weight for e in found.entries if e.line == line and e.counted}
        ratio = [10 ** (weight.get(n, 0.0) / 10) for n in names]
        under.append([r / (2 * max(ratio)) for r in ratio])
    assert len(lines) >= 5
    wanted = naive_posterior(prior, under)
    assert [found.standing[n] for n in names] == pytest.approx(wanted, abs=1e-9)


def test_every_backend_infers_the_same(small: Base) -> None:
    """Durable-rules and the reference chain lead to equal standings, ledgers and cautions."""
    if "durable-rules" not in available():
        pytest.skip("durable-rules is not there for this Python")
    given = answers(small, cloudy="yes", curd="weak", temperature="65", gassy="no", **VOLUMES)
    one = infer(small, given, backend="durable-rules")
    two = infer(small, given, backend="reference")
    assert (one.backend, two.backend) == ("durable-rules", "reference")
    for part in ("standing", "entries", "run", "cautions", "explains", "sets", "sureness"):
        assert getattr(one, part) == getattr(two, part)


def test_conclusions_feed_other_rules(small: Base) -> None:
    """A conclusion fires the next rule, whose effects reach ledger, cautions and remedies."""
    found = inferred(small, curd="weak", **VOLUMES)
    fired = {f.rule for f in found.run.firings}
    assert {"weak-curd-means-mild", "casein-haze-not-warm"} <= fired
    assert found.cautions == {"has-milk": ("casein-haze-not-warm",)}
    assert found.suggestions == {"add-acid": ("casein-haze-not-warm",)}
    doubt = [e for e in found.ledger("too-warm") if e.line == "casein-haze-not-warm"]
    assert doubt[0].weight < 0


def test_a_conclusion_stands_as_well_as_what_it_rests_on(small: Base) -> None:
    """What follows from a calculated figure counts for as little more as the figure itself."""
    found = inferred(small, curd="weak", **VOLUMES)
    first = found.sureness["weak-curd-means-mild"]
    assert first == pytest.approx(0.85)
    assert found.sureness["casein-haze-not-warm"] == pytest.approx(first)


def test_of_a_group_only_the_strongest_counts(small: Base) -> None:
    """Two rules on the same warmth count once, by the stronger; the other is shown uncounted."""
    found = inferred(small, temperature=70)
    marks = {e.line: e.counted for e in found.ledger("too-warm")}
    assert marks == {"very-warm-mix": True, "warm-mix": False}
    assert found.sums["too-warm"] == pytest.approx(10.0)


def test_a_reading_replaces_the_calculation(small: Base) -> None:
    """A measured value stands in place of the calculated figure, as measured and in full weight."""
    calculated = inferred(small, curd="weak", **VOLUMES)
    figure = calculated.facts.figures["mix_volume"]
    assert figure.basis == "calculated"
    assert figure.value == pytest.approx(796, rel=0.01)  # 600 + 200 less some contraction
    measured = inferred(small, curd="weak", mix_reading="1 L", **VOLUMES)
    figure = measured.facts.figures["mix_volume"]
    assert (figure.basis, figure.value) == ("measured", 1000.0)
    weight = {
        found: next(e.weight for e in run.ledger("too-mild") if e.line == "weak-curd-means-mild")
        for found, run in (("calculated", calculated), ("measured", measured))
    }
    assert weight == {"calculated": pytest.approx(8.5), "measured": pytest.approx(10.0)}
    large = inferred(small, curd="weak", mix_reading="2 L", **VOLUMES)
    assert "weak-curd-means-mild" not in {f.rule for f in large.run.firings}


def test_a_figure_needs_its_inputs(small: Base) -> None:
    """A figure whose needed input is missing or unknown is not worked out, and nothing breaks."""
    for kind in ({}, {"milk_kind": "unknown"}, {"milk_kind": "not now"}):
        found = inferred(small, drink_volume=600, milk_volume=200, **kind)
        assert "mix_volume" not in found.facts.figures
        assert found.facts.failed == {}


def test_something_not_listed_rises_when_everything_is_doubted(small: Base) -> None:
    """When each cause is spoken against, the unlisted one comes first."""
    found = inferred(small, operation="fat-wash", cloudy="yes", gassy="no", curd="firm")
    doubted = inferred(
        small,
        operation="fat-wash",
        cloudy="no",
        gassy="no",
        bitter="yes",
        tried=("chill-and-filter", "cooler-next", "cleaner-next"),
    )
    assert doubted.standing[NOT_LISTED] > found.standing[NOT_LISTED]
    assert doubted.ranked[0] == NOT_LISTED


def test_explaining_sets_cover_what_was_found(small: Base) -> None:
    """One cause that explains everything is a set of its own; else small sets do it together."""
    one = inferred(small, cloudy="yes")
    assert one.reported == ("cloudy",)
    assert [s.causes for s in one.sets][:2] == [("too-mild",), ("too-warm",)]
    two = inferred(small, cloudy="yes", bitter="yes")
    assert ("too-warm",) in [s.causes for s in two.sets]
    assert {frozenset(s.causes) for s in two.sets} == {
        frozenset({"too-warm"}),
        frozenset({"too-mild", "too-short"}),
    }
    for explained in two.sets:
        covered = {f for c in explained.causes for f in two.explains[c]}
        assert covered == set(two.reported)


def test_what_nothing_explains_is_listed(tmp_path: Path) -> None:
    """A symptom that no cause shows is listed as unexplained."""
    extra = (
        "findings:\n  - {id: glows, label: it glows, ask: Does it glow?, kind: yes-no,"
        " group: symptom}\n"
    )
    folder = write_small(tmp_path / "b", changed(more=extra))
    from advisor.knowledge.load import check_folders

    base, problems = check_folders([folder])
    assert codes(problems) <= {"finding-unused"}
    assert base is not None
    found = inferred(base, glows="yes", cloudy="yes")
    assert found.unexplained == ("glows",)
    assert inferred(base, glows="no", cloudy="yes").unexplained == ()


def test_a_failed_remedy_speaks_against_its_causes(small: Base) -> None:
    """A remedy that did not help lowers what it would have cured, by the chance that it fails."""
    before = inferred(small, cloudy="yes")
    after = inferred(small, cloudy="yes", tried=("add-acid", "add-acid"))
    entry = next(e for e in after.ledger("too-mild") if e.line == "tried/add-acid")
    assert entry.weight == pytest.approx(10 * math.log10(0.2))
    assert after.standing["too-mild"] < before.standing["too-mild"]
    assert sum(e.line == "tried/add-acid" for e in after.entries) == 1


def test_an_assumed_answer_counts_for_less(small: Base) -> None:
    """The absence of a symptom that was not picked weighs about a third of one that was denied."""
    told = infer(small, answers(small, cloudy="no"), backend="reference")
    assumed = dict([read_answer(small, "cloudy", "no", assumed=True)])
    less = infer(small, assumed, backend="reference")
    assert less.sums["too-mild"] == pytest.approx(0.35 * told.sums["too-mild"])


def test_an_amount_as_vague_as_its_wording(small: Base) -> None:
    """A number at a threshold within its interval counts for nothing, one well inside in full."""
    vague = inferred(small, temperature="30 to 50")
    exact = inferred(small, temperature="40")
    assert vague.sums.get("too-warm", 0.0) == pytest.approx(0.0, abs=1e-9)
    assert exact.sums["too-warm"] == pytest.approx(5.0)
    assert inferred(small, temperature="50 to 58").sums["too-warm"] == pytest.approx(5.0, abs=0.02)


def test_a_base_where_figures_feed_each_other_in_a_circle(tmp_path: Path) -> None:
    """A circle of figures is a fault of the base, and even so never runs for ever."""
    circle = (
        "figures:\n  - {id: round, label: round, calculation: batch.mix_volume, needs: [round],\n"
        "     inputs: {drink_ml: round, milk_ml: milk_volume, milk_kind: milk_kind}}\n"
    )
    assert codes(checked(tmp_path / "a", changed(more=circle))) >= {"figure-circular"}
    from advisor.knowledge.load import check_folders

    base, _ = check_folders([tmp_path / "a"])
    assert base is not None
    assert set(figure_order(base)) == {"mix_volume", "round"}
    assert "round" not in inferred(base, **VOLUMES).facts.figures


def test_limits_of_the_engine_are_the_thresholds_of_the_rules(tmp_path: Path) -> None:
    """The engine knows each number that a rule compares with, so that it can ask in bands."""
    from advisor.reasoning.infer import Engine

    base = load_small(tmp_path / "b")
    engine = Engine(base, "reference")
    assert engine.limits == {"mix_volume": {1500.0}, "temperature": {5.0, 40.0, 60.0, 80.0}}
    assert all(
        isinstance(t, InRange) or t.key not in engine.limits
        for line in base.lines
        for option in line.when
        for t in option
    )
