"""*How*: the ledger of a cause and the tree of rules under it, down to answers and sources.

*Why this question*: what it would tell, what it costs, and what each answer would change.

The trees are data first; ``lines`` renders any of them as indented text.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.knowledge.words import NOT_LISTED, weight_word
from advisor.quantities import say
from advisor.report.cite import citation_data
from advisor.report.reasons import behind

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from advisor.chain.port import Fact
    from advisor.knowledge.conditions import Test
    from advisor.knowledge.model import Base, Line
    from advisor.reasoning.infer import Engine, Inference
    from advisor.reasoning.ledger import Entry
    from advisor.reasoning.questions import Candidate

__all__ = [
    "how",
    "how_lines",
    "ledger",
    "percent",
    "rule_lines",
    "rule_tree",
    "short",
    "title_of",
    "why",
    "why_lines",
]

_DEEPEST = 6


def title_of(base: Base, cause: str) -> str:
    """A cause in words; the reserved one too."""
    return "something not listed here" if cause == NOT_LISTED else base.causes[cause].title


def ledger(engine: Engine, inference: Inference, cause: str) -> list[dict[str, Any]]:
    """The signed list behind a cause's standing."""
    rows: list[dict[str, Any]] = [
        {
            "line": "prior",
            "title": "how often it is met",
            "weight": round(engine.base.priors[cause], 2),
            "full_weight": round(engine.base.priors[cause], 2),
            "word": weight_word(engine.base.priors[cause]),
            "counted": True,
            "because": "",
            "sources": [{"ref": "judgement", "text": "our judgement"}],
        }
    ]
    rows.extend(_row(engine, entry) for entry in inference.ledger(cause))
    return rows


def _row(engine: Engine, entry: Entry) -> dict[str, Any]:
    base = engine.base
    line = engine.lines.get(entry.line)
    cause = base.causes.get(entry.cause)
    reason = behind(engine, entry.line)
    because, cited = reason.because, reason.source
    if line is not None and line.origin == "shows" and cause is not None:
        because, cited = cause.because, cause.source
    return {
        "line": entry.line,
        "title": reason.title,
        "weight": round(entry.weight, 2),
        "full_weight": round(entry.full, 2),
        "word": weight_word(entry.weight),
        "counted": entry.counted,
        "because": because,
        "sources": [citation_data(base, c) for c in cited],
    }


def how(engine: Engine, inference: Inference, cause: str) -> dict[str, Any]:
    """The whole derivation of a cause's standing, or of a verdict's rules, as a tree."""
    rules = [e.line for e in inference.ledger(cause) if e.counted and e.line in engine.lines]
    return {
        "cause": cause,
        "title": title_of(engine.base, cause),
        "probability": round(inference.standing.get(cause, 0.0), 4),
        "ledger": ledger(engine, inference, cause),
        "rules": [_rule(engine, inference, rule, 0) for rule in rules],
    }


def rule_tree(engine: Engine, inference: Inference, rules: Sequence[str]) -> list[dict[str, Any]]:
    """The derivation of some rules' firing."""
    return [_rule(engine, inference, rule, 0) for rule in rules]


def _rule(engine: Engine, inference: Inference, rule: str, depth: int) -> dict[str, Any]:
    line: Line = engine.lines[rule]
    firing = next(f for f in inference.run.firings if f.rule == rule)
    return {
        "line": rule,
        "title": line.title,
        "origin": line.origin,
        "at": str(line.place),
        "because": line.because,
        "reliance": round(inference.sureness.get(rule, 1.0), 3),
        "sources": [citation_data(engine.base, c) for c in line.source],
        "rests_on": [
            _support(engine, inference, test, fact, depth) for test, fact in firing.supports
        ],
    }


def _support(
    engine: Engine, inference: Inference, test: Test, fact: Fact | None, depth: int
) -> dict[str, Any]:
    node: dict[str, Any] = {"test": str(test)}
    if fact is None:
        node["found"] = "nothing is known of it"
        return node
    base = engine.base
    footing = inference.footing.get(fact)
    node["key"] = fact.key
    node["basis"] = footing.basis if footing else "told"
    figure = inference.facts.figures.get(fact.key)
    if fact.word is not None:
        finding = base.findings.get(fact.key)
        label = (
            next((c.label for c in finding.choices if c.value == fact.word), fact.word)
            if finding
            else fact.word
        )
        node["found"] = label
    else:
        unit = base.figures[fact.key].unit if figure else base.findings[fact.key].unit
        low, high = (footing.low, footing.high) if footing else (None, None)
        node["found"] = say(fact.number or 0.0, unit, low=low, high=high)
    if figure is not None:
        from advisor.science.registry import get

        calc = get(base.figures[fact.key].calculation)
        node["figure"] = {
            "calculation": calc.id,
            "formula": calc.formula,
            "source": calc.source,
            "inputs": dict(figure.inputs),
        }
    elif node["basis"] == "concluded" and depth < _DEEPEST:
        node["concluded_by"] = [
            _rule(engine, inference, other.rule, depth + 1)
            for other in inference.run.firings
            if any(
                e.kind == "conclude" and e.target == fact.key and e.word == fact.word
                for e in engine.lines[other.rule].effects
            )
        ]
    return node


def why(engine: Engine, inference: Inference, candidate: Candidate) -> dict[str, Any]:
    """Why a question is worth asking now."""
    base = engine.base
    leading = [
        {"cause": c, "title": title_of(base, c), "probability": round(inference.standing[c], 4)}
        for c in inference.ranked[:3]
    ]
    return {
        "finding": candidate.finding,
        "check": candidate.check,
        "gain_bits": round(candidate.gain, 4),
        "minutes": candidate.minutes,
        "wait_minutes": candidate.wait,
        "bits_per_minute": round(candidate.score, 4),
        "stop_or_discard_chance": round(candidate.gate, 4),
        "in_front": leading,
        "answers": [
            {
                "answer": p.answer,
                "value": p.value,
                "chance": round(p.chance, 4),
                "first": p.first,
                "first_title": title_of(base, p.first),
                "probability": round(p.standing[p.first], 4),
            }
            for p in candidate.possible
        ],
    }


def why_lines(reasons: dict[str, Any]) -> list[str]:
    """The same for a person."""
    front = [
        f"{short(c['title'])} ({percent(c['probability'])})"
        for c in reasons["in_front"]
        if c["probability"] >= 0.05
    ]
    lines = ["Still in front: " + "; ".join(front) + "." if front else "Nothing stands out yet."]
    width = max((len(a["answer"]) for a in reasons["answers"]), default=0)
    lines.extend(
        f"  {answer['answer']:<{min(width, 40)}}  would put first: {short(answer['first_title'])}"
        f" ({percent(answer['probability'])})"
        for answer in reasons["answers"]
    )
    if reasons["stop_or_discard_chance"]:
        lines.append(
            "It comes first because it may show that this must be thrown away or must not be"
            f" served ({percent(reasons['stop_or_discard_chance'])})."
        )
        return lines
    lines.append(
        f"It is expected to tell {reasons['gain_bits']:.2f} bits for"
        f" {reasons['minutes']:g} min of work"
        + (f" and {reasons['wait_minutes']:g} min of waiting" if reasons["wait_minutes"] else "")
        + "; nothing else tells more a minute."
    )
    return lines


def how_lines(tree: dict[str, Any]) -> Iterator[str]:
    """A derivation as indented text."""
    yield f"{tree['title']}  {percent(tree['probability'])}"
    for row in tree["ledger"]:
        mark = " " if row["counted"] else "("
        tail = "" if row["counted"] else "  not counted: a stronger one of its group speaks)"
        yield f"  {mark}{row['weight']:+6.1f} dB  {row['title']}{tail}"
        if row["sources"] and row["line"] != "prior":
            yield f"             {'; '.join(s['text'] for s in row['sources'])}"
    if tree["rules"]:
        yield "It rests on:"
        yield from rule_lines(tree["rules"])


def rule_lines(trees: Sequence[dict[str, Any]]) -> Iterator[str]:
    """The derivations of some rules as indented text."""
    for rule in trees:
        yield from _rule_lines(rule, 1)


def _rule_lines(rule: dict[str, Any], depth: int) -> Iterator[str]:
    pad = "  " * depth
    reliance = "" if rule["reliance"] >= 0.995 else f"  (relied on {percent(rule['reliance'])})"
    yield f"{pad}{rule['title']}{reliance}  [{rule['at']}]"
    for node in rule["rests_on"]:
        basis = f" ({node['basis']})" if "basis" in node else ""
        yield f"{pad}  {node['test']}: {node['found']}{basis}"
        if "figure" in node:
            made = node["figure"]
            inputs = ", ".join(f"{k} = {v}" for k, v in made["inputs"].items())
            yield f"{pad}    {made['formula']}"
            yield f"{pad}    from {inputs}"
            yield f"{pad}    {made['source']}"
        for inner in node.get("concluded_by", ()):
            yield from _rule_lines(inner, depth + 2)


def percent(probability: float) -> str:
    """A probability in whole hundredths, and never a 0 or 100 that it is not."""
    if 0 < probability < 0.01:
        return "under 1 %"
    if 0.99 < probability < 1:
        return "over 99 %"
    return f"{100 * probability:.0f} %"


def short(title: str) -> str:
    """The part of a title before its explanation, without a full stop."""
    return title.partition(":")[0].rstrip(".")
