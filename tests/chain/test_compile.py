"""Choosing a backend, and refusing what no backend can run."""

from __future__ import annotations

import subprocess
import sys
from types import ModuleType
from typing import TYPE_CHECKING

import pytest

from advisor.chain import BACKENDS, ChainRule, Fact, available, compile_chain
from advisor.chain.durable import load_engine
from advisor.errors import AdvisorError
from advisor.knowledge.conditions import InRange, Is, Known
from tests.chain.marks import BACKENDS_HERE, needs_durable

if TYPE_CHECKING:
    from collections.abc import Iterator

_RULES = [ChainRule("r", ((Known("x"),),), (Fact("y", "yes"),))]


@pytest.fixture(params=[None, ModuleType("durable.engine")], ids=["absent", "not-the-right-one"])
def no_durable(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """An interpreter where durable-rules does not load, as on Python 3.13."""
    load_engine.cache_clear()
    monkeypatch.setitem(sys.modules, "durable", ModuleType("durable"))
    monkeypatch.setitem(sys.modules, "durable.engine", request.param)
    yield
    load_engine.cache_clear()


def test_without_durable_rules_the_default_is_the_reference(no_durable: None) -> None:
    """The default still runs, says which backend it is and why."""
    assert available() == ("reference",)
    chain = compile_chain(_RULES)
    assert chain.name == "reference"
    assert "durable-rules cannot be loaded here" in chain.note
    assert [f.rule for f in chain.run([Fact("x", "a")]).firings] == ["r"]


def test_without_durable_rules_asking_for_it_is_an_error(no_durable: None) -> None:
    """A backend that was asked for by name is not replaced by another."""
    with pytest.raises(AdvisorError) as caught:
        compile_chain(_RULES, "durable-rules")
    assert caught.value.code == "engine-not-loaded"
    assert "reference backend" in caught.value.hint


@needs_durable
def test_with_durable_rules_the_default_is_durable_rules() -> None:
    """Where it loads, it runs, and there is nothing to remark."""
    chain = compile_chain(_RULES)
    assert (chain.name, chain.note) == ("durable-rules", "")
    assert available() == ("durable-rules", "reference")


@pytest.mark.parametrize("backend", BACKENDS_HERE)
def test_every_chain_offers_its_rules_on_the_reference_backend(backend: str) -> None:
    """Looking ahead works whichever backend runs."""
    chain = compile_chain(_RULES, backend)
    assert chain.reference.name == "reference"
    assert chain.reference.run([Fact("x", "a")]) == chain.run([Fact("x", "a")])


def test_an_unknown_backend_is_refused_with_the_nearest_names() -> None:
    """A slip of the pen gets a suggestion; anything else gets the list."""
    with pytest.raises(AdvisorError, match="did you mean durable-rules") as caught:
        compile_chain(_RULES, "durable")
    assert caught.value.code == "unknown-backend"
    with pytest.raises(AdvisorError) as caught:
        compile_chain(_RULES, "zzz")
    assert all(name in caught.value.hint for name in BACKENDS)


def test_the_reference_backend_does_not_load_durable_rules() -> None:
    """A start on the reference backend does not pay for importing the other one."""
    code = (
        "import sys, advisor.chain as c; c.compile_chain([], 'reference'); "
        "sys.exit(any(name.startswith('durable') for name in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize("backend", BACKENDS_HERE)
@pytest.mark.parametrize(
    ("fact", "said"),
    [
        (Fact("x"), "x has no value"),
        (Fact("x", "a", 1.0), "both the word 'a' and the number 1.0"),
        (Fact("x", number=float("nan")), "nan, which is not a finite number"),
        (Fact("x", number=float("-inf")), "-inf, which is not a finite number"),
        (Fact("x", number=10**400), "not a finite number"),
        (Fact("x", word=5), "5, which is not a word"),  # type: ignore[arg-type]
    ],
    ids=["empty", "both", "nan", "inf", "beyond-float", "not-text"],
)
def test_malformed_facts_are_refused(backend: str, fact: Fact, said: str) -> None:
    """A fact is one word or one finite number, given or concluded."""
    with pytest.raises(AdvisorError, match="x") as caught:
        compile_chain(_RULES, backend).run([fact])
    assert said in caught.value.message
    assert caught.value.code == "fact-malformed"
    with pytest.raises(AdvisorError) as caught:
        compile_chain([ChainRule("culprit", ((Known("a"),),), (fact,))], backend)
    assert caught.value.where.name == "culprit"


@pytest.mark.parametrize("backend", BACKENDS_HERE)
def test_two_rules_of_one_name_are_refused(backend: str) -> None:
    """A firing names its rule, so names must differ."""
    with pytest.raises(AdvisorError, match="two rules are called r"):
        compile_chain([*_RULES, ChainRule("r", ((Is("x", ("a",)),),))], backend)


@pytest.mark.parametrize("end", [float("nan"), float("inf"), -float("inf")])
def test_a_range_needs_finite_limits(end: float) -> None:
    """An infinite or undefined limit is refused; an open end is written as none."""
    with pytest.raises(AdvisorError, match="range of x has the limit"):
        compile_chain([ChainRule("r", ((InRange("x", end),),))], "reference")


def test_all_problems_are_told_at_once() -> None:
    """Two mistakes in one base are one error that names both."""
    rules = [*_RULES, *_RULES, ChainRule("s", ((InRange("x", float("inf")),),))]
    with pytest.raises(AdvisorError, match="two rules are called r") as caught:
        compile_chain(rules, "reference")
    assert "has the limit inf" in str(caught.value)
