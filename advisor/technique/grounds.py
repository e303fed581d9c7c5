"""What a reason rests on, in words: answers and figures, what is brought, and what it costs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.chain.port import Fact
from advisor.knowledge.model import Citation
from advisor.knowledge.words import BROUGHT
from advisor.reasoning.evidence import holds
from advisor.technique.choice import Reason
from advisor.technique.effects import cost_per_litre
from advisor.technique.lines import brings_of

if TYPE_CHECKING:
    from advisor.chain.port import Firing
    from advisor.knowledge.model import Base, Technique
    from advisor.technique.brief import Brief

__all__ = ["DOES_SAID", "brought", "cost_reason", "over_cost", "rests_on"]

DOES_SAID = {
    "much": "Does a lot to make it",
    "some": "Helps to make it",
    "a-little": "Does a little to make it",
    "nothing": "Does nothing to make it",
    "against": "Works against making it",
}


def rests_on(seen: Base, firing: Firing) -> tuple[tuple[str, str], ...]:
    found = []
    for test, fact in firing.supports:
        about = seen.findings.get(test.key) or seen.figures.get(test.key)
        label = about.label if about is not None else test.key
        found.append((label, _said(seen, fact)))
    return tuple(found)


def _said(seen: Base, fact: Fact | None) -> str:
    if fact is None:
        return "not said"
    if fact.number is not None:
        from advisor.quantities import UNITS, say

        about = seen.findings.get(fact.key) or seen.figures.get(fact.key)
        unit = about.unit if about is not None else ""
        if unit == "pH":
            return f"pH {fact.number:.1f}"
        if unit == "ratio":  # a share of what is needed, not a mixing ratio
            return f"{fact.number:.2g} times"
        return say(fact.number, unit) if unit in UNITS else f"{fact.number:.3g} {unit}".rstrip()
    finding = seen.findings.get(fact.key)
    choices = finding.choices if finding is not None else ()
    return next((c.label for c in choices if c.value == fact.word), str(fact.word))


def brought(technique: Technique, brief: Brief) -> tuple[str, ...]:
    """What it brings with these answers. What cannot be ruled out counts as brought."""
    by_key: dict[str, list[Fact]] = {}
    for key, answer in brief.answers.items():
        if isinstance(answer.value, str):
            by_key[key] = [Fact(key, answer.value)]
        elif answer.value is not None:
            by_key[key] = [Fact(key, number=answer.value)]
        else:
            by_key[key] = [Fact(key, answer.status)]
    found = [b.what for b in brings_of(technique) if not b.when or holds(b.when, by_key)]
    return tuple(word for word in BROUGHT if word in found)


def over_cost(technique: Technique, brief: Brief) -> str:
    """``sure`` when it costs too much however it turns out, ``likely`` when it probably does."""
    limit, cost = brief.number("cost_limit"), cost_per_litre(technique, brief)
    if limit is None or cost is None:
        return ""
    return "sure" if cost.low > limit else "likely" if cost.value > limit else ""


def cost_reason(technique: Technique, brief: Brief, weight: float) -> Reason:
    cost, limit = cost_per_litre(technique, brief), brief.number("cost_limit")
    value = cost.value if cost is not None else 0.0
    return Reason(
        f"cost/{technique.id}",
        f"the drink alone comes to about {value:.3g} a litre, over the {limit:.3g} you allow",
        "What curd, fat and filters keep has been paid for; milk, fat and labour come on top.",
        weight,
        (Citation("judgement"),),
    )
