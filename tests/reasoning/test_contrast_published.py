"""Without common practice: the advice when only what cites a publication may speak."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings

from advisor.consult import Consultation
from advisor.knowledge.load import check_folders
from advisor.knowledge.words import NOT_LISTED
from advisor.knowledge.yamlread import read_yaml
from advisor.reasoning.contrast import published_engine
from advisor.reasoning.contrast.gist import gist_of
from advisor.reasoning.infer import engine_for
from tests.reasoning.test_contrast_laws import _told, _tried, told
from tests.smallbase import FILES, write_small

if TYPE_CHECKING:
    from advisor.knowledge.model import Base

CLOUDY: dict[str, Any] = {"cloudy": "yes", "operation": "strip", "curd": "weak"}


def consulted(base: Base, **answers: object) -> Consultation:
    made = Consultation(base, backend="reference")
    for name, raw in answers.items():
        made = made.tell(name, raw)
    return made


def bare_files() -> dict[str, str]:
    """The small base's files with what cites no publication taken out by hand."""

    def published(record: dict[str, Any]) -> bool:
        return any(isinstance(s, dict) and "ref" in s for s in record["source"])

    files = dict(FILES)
    data = {name: read_yaml(text.encode(), name).data for name, text in FILES.items()}
    data["rules.yaml"]["rules"] = [r for r in data["rules.yaml"]["rules"] if published(r)]
    for cause in data["causes.yaml"]["causes"]:
        if not published(cause):
            cause["shows"] = {}
    for check in data["findings.yaml"]["checks"]:
        if not published(check):
            check["outcomes"] = []
    for name in ("rules.yaml", "causes.yaml", "findings.yaml"):
        files[name] = json.dumps(data[name])  # which is YAML as well
    return files


@pytest.fixture(scope="module")
def bare(tmp_path_factory: pytest.TempPathFactory) -> Base:
    """The small base without what rests on practice or judgement alone."""
    folder = tmp_path_factory.mktemp("bare")
    base, problems = check_folders([write_small(folder, bare_files())])
    assert base is not None, "\n".join(map(str, problems))
    return base


def test_it_equals_a_base_without_those_lines(small: Base, bare: Base) -> None:
    """What is left is what a base would hold whose author had struck those lines out."""
    kept = {
        line.id: {(e.kind, e.target, e.weight, e.word) for e in line.effects}
        for line in published_engine(engine_for(small, "reference")).base.lines
    }
    struck = {
        line.id: {(e.kind, e.target, e.weight, e.word) for e in line.effects}
        for line in bare.lines
    }
    assert kept == struck
    assert 0 < len(kept) < len(small.lines)


@settings(max_examples=40, deadline=None)
@given(_told, _tried)
def test_it_infers_as_that_base_does(
    bare: Base, answers: dict[str, Any], tried: list[str]
) -> None:
    """For any answers the standings, verdict and first remedy are those of the struck base."""
    made = told(answers, tried, listed=False)
    other = Consultation(bare, answers=made.answers, tried=made.tried, backend="reference")
    found = made.without_practice()
    assert found.before == gist_of(made.engine, made.inference)
    assert found.after == gist_of(other.engine, other.inference)
    one, two = made.inference.standing, other.inference.standing
    assert {m.cause: m.after for m in found.moved} == {
        cause: two[cause] for cause in one if abs(two[cause] - one[cause]) >= 0.01
    }


def test_a_table_goes_by_its_cause(small: Base) -> None:
    """What a cause shows is cited where the cause is: warmth here is practice, mildness a book."""
    lines = {line.id: line for line in published_engine(engine_for(small, "reference")).base.lines}
    targets = {e.target for e in lines["shows/cloudy=yes"].effects}
    assert targets == {"too-mild", NOT_LISTED}  # the reserved cause always speaks
    assert "shows/curd=weak" in lines
    assert not any(line.startswith("outcome/") for line in lines)  # the drop test is judgement
    assert "operation/fat-wash" in lines  # so by definition


def test_an_advice_that_stands(small: Base) -> None:
    """Too little acid rests on a book throughout: nothing of its weight is left out."""
    found = consulted(small, **CLOUDY).without_practice()
    assert (found.share, found.changes, found.left_out) == (0.0, (), ())
    assert found.before.cause == found.after.cause == "too-mild"
    assert found.remedies[0] == ("add-acid", False)  # the remedy itself is practice, and said so
    assert found.fired_cut == 1  # the cloud loses its say on warmth


def test_an_advice_that_falls(small: Base) -> None:
    """Warmth rests on practice throughout: without it too little acid comes first."""
    made = consulted(small, cloudy="yes", temperature=65)
    found = made.without_practice()
    assert found.before.cause == "too-warm"
    assert found.share == 1.0
    assert "cause" in found.changes
    left = {each.line: each.weight for each in found.left_out if each.cause == "too-warm"}
    assert left["very-warm-mix"] == 10.0
    assert set(left) == {"very-warm-mix", "shows/cloudy=yes", "fat-haze"}


def test_cautions_are_named_and_never_left_out(small: Base) -> None:
    """A caution that rests on practice alone is named as such, and still is in the advice."""
    made = consulted(
        small, **CLOUDY, drink_volume=600, milk_volume=200, milk_kind="whole", gassy="yes"
    )
    found = made.without_practice()
    assert found.cautions_unsourced == ("has-milk",)
    assert {"has-milk", "keep-cold"} <= set(made.advice.cautions)
    assert found.before.kind == found.after.kind == "discard"  # that rule cites a book


def test_the_engine_is_made_once(small: Base) -> None:
    """A second question of the same base costs no compiling."""
    engine = engine_for(small, "reference")
    assert published_engine(engine) is published_engine(engine)
