"""Compile tables and rules into lines: one chain and one ledger for all evidence."""

from __future__ import annotations

import math
from collections import defaultdict
from typing import TYPE_CHECKING

from advisor.knowledge.conditions import Is
from advisor.knowledge.model import Effect, Line
from advisor.knowledge.words import (
    BASE_RATE,
    DISTANT,
    FREQUENCIES,
    NOT_LISTED,
    OPERATIONS,
    PRIORS,
    decibans,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.gather import Record
    from advisor.knowledge.model import Cause, Check, Finding, Rule

__all__ = ["base_rates", "compile_lines", "likelihoods", "priors"]

# The share of belief kept back at the start for a cause that nobody has written down.
_NOT_LISTED_SHARE = 0.05
# What such a cause shows: any symptom now and then, else it could never account for one.
_NOT_LISTED_SHOWS = "sometimes"
# A table word leaves at least this much for the answers it does not name.
_LEFT_OVER = 0.03
_NEGLIGIBLE = 0.3  # decibans: not worth a line in the ledger


def base_rates(findings: Mapping[str, Finding]) -> dict[str, dict[str, float]]:
    """For each finding in words: the share of each answer when the cause has no say in it."""
    rates = {}
    for key, finding in findings.items():
        if not finding.choices:
            continue
        if finding.choices[0].usual is not None:
            shares = {c.value: float(c.usual or 0.0) for c in finding.choices}
            total = sum(shares.values())
            rates[key] = {word: share / total for word, share in shares.items()}
        elif finding.kind == "yes-no":
            yes = BASE_RATE["symptom" if finding.symptom else "other"]
            rates[key] = {"yes": yes, "no": 1 - yes}
        else:
            even = 1 / len(finding.choices)
            rates[key] = {c.value: even for c in finding.choices}
    return rates


def likelihoods(shown: str | Mapping[str, str], rate: Mapping[str, float]) -> dict[str, float]:
    """The chance of each answer under a cause, from its table words.

    Answers that the table does not name share what is left in their usual
    proportions. Words that promise more than everything are scaled down together.
    """
    named = {"yes": shown} if isinstance(shown, str) else shown
    chance = {word: FREQUENCIES[frequency] for word, frequency in named.items()}
    others = {word: share for word, share in rate.items() if word not in chance}
    most = 1.0 - _LEFT_OVER if others else 1.0
    total = sum(chance.values())
    if total > most or not others:
        chance = {word: value * most / total for word, value in chance.items()}
    left = 1.0 - sum(chance.values())
    outside = sum(others.values())
    for word, share in others.items():
        chance[word] = left * share / outside
    return chance


def priors(causes: Mapping[str, Cause]) -> dict[str, float]:
    """Prior standing of each cause in decibans, with the reserved one."""
    standing = {key: PRIORS[cause.prior] for key, cause in causes.items()}
    total = sum(10 ** (value / 10) for value in standing.values()) or 1.0
    share = _NOT_LISTED_SHARE
    standing[NOT_LISTED] = decibans(total * share / (1 - share))
    return standing


def compile_lines(
    findings: Mapping[str, Finding],
    causes: Mapping[str, Cause],
    cause_records: Mapping[str, Record],
    checks: Mapping[str, Check],
    rules: Mapping[str, Rule],
) -> tuple[Line, ...]:
    """Every line of the base: rules as written, then tables, then operations."""
    rates = base_rates(findings)
    return (
        *_rule_lines(rules),
        *_shows_lines(findings, causes, cause_records, rates, checks),
        *_outcome_lines(checks),
        *_operation_lines(findings, causes),
    )


def _rule_lines(rules: Mapping[str, Rule]) -> list[Line]:
    return [
        Line(
            id=rule.id,
            title=rule.title,
            origin="rule",
            when=rule.when,
            effects=rule.effects,
            group=rule.group,
            because=rule.because,
            source=rule.source,
            place=rule.place,
        )
        for rule in rules.values()
    ]


def _shows_lines(
    findings: Mapping[str, Finding],
    causes: Mapping[str, Cause],
    records: Mapping[str, Record],
    rates: Mapping[str, Mapping[str, float]],
    checks: Mapping[str, Check],
) -> list[Line]:
    # A row and an outcome for the same answer must not count twice.
    groups = {check.finding: check.group for check in checks.values() if check.group}
    weights: dict[tuple[str, str], dict[str, float]] = defaultdict(dict)
    for key in causes:
        for finding, shown in records[key].data["shows"].items():
            rate = rates[finding]
            for word, chance in likelihoods(shown, rate).items():
                weights[finding, word][key] = decibans(chance / rate[word])
    for finding, about in findings.items():
        if about.symptom:
            for word, chance in likelihoods(_NOT_LISTED_SHOWS, rates[finding]).items():
                weights[finding, word][NOT_LISTED] = decibans(chance / rates[finding][word])
    lines = []
    for (finding, word), by_cause in weights.items():
        effects = tuple(
            Effect("suspect" if weight > 0 else "doubt", cause, round(weight, 2))
            for cause, weight in by_cause.items()
            if math.fabs(weight) >= _NEGLIGIBLE
        )
        if effects:
            lines.append(
                Line(
                    id=f"shows/{finding}={word}",
                    title=f"{findings[finding].label}: {_label(findings[finding], word)}",
                    origin="shows",
                    when=((Is(finding, (word,)),),),
                    effects=effects,
                    group=groups.get(finding, f"finding/{finding}"),
                    because="",
                    source=(),
                    place=findings[finding].place,
                )
            )
    return lines


def _outcome_lines(checks: Mapping[str, Check]) -> list[Line]:
    lines = []
    for check in checks.values():
        for number, outcome in enumerate(check.outcomes, 1):
            effects = (
                *(Effect("suspect", c, w) for c, w in outcome.raises.items()),
                *(Effect("doubt", c, -w) for c, w in outcome.lowers.items()),
                *(Effect("caution", c) for c in check.caution),
            )
            if effects:
                lines.append(
                    Line(
                        id=f"outcome/{check.id}/{number}",
                        title=f"{check.title}: {outcome.says}",
                        origin="outcome",
                        when=((outcome.test,),),
                        effects=effects,
                        # The same answer of the same finding must not count twice, so a check
                        # without a group of its own shares the finding's.
                        group=check.group or f"finding/{check.finding}",
                        because=outcome.says,
                        source=check.source,
                        place=check.place,
                    )
                )
    return lines


def _operation_lines(findings: Mapping[str, Finding], causes: Mapping[str, Cause]) -> list[Line]:
    asked = findings.get("operation")
    if asked is None:
        return []
    lines = []
    for operation in OPERATIONS:
        if operation not in asked.words:
            continue
        effects = tuple(
            Effect("doubt", key, DISTANT)
            for key, cause in causes.items()
            if operation not in cause.operations
        )
        if effects:
            lines.append(
                Line(
                    id=f"operation/{operation}",
                    title=f"what was made: {_label(asked, operation)}",
                    origin="operation",
                    when=((Is("operation", (operation,)),),),
                    effects=effects,
                    group="",
                    because="This cause belongs to another operation than the one that was made.",
                    source=(),
                    place=asked.place,
                )
            )
    return lines


def _label(finding: Finding, word: str) -> str:
    return next((c.label for c in finding.choices if c.value == word), word)
