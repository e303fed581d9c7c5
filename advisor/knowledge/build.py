"""From gathered records to the frozen model, with every reference checked."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from advisor.knowledge.buildchoosing import ChoosingBuilder
from advisor.knowledge.buildfindings import one_line
from advisor.knowledge.buildprotocols import ProtocolBuilder
from advisor.knowledge.conditionread import ConditionReader
from advisor.knowledge.conditions import InRange, Is
from advisor.knowledge.model import (
    BRACES,
    Cause,
    Check,
    Effect,
    LookAlike,
    Outcome,
    Remedy,
    Risk,
    Rule,
)
from advisor.knowledge.words import FREQUENCIES, WEIGHTS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.gather import Gathered, Record
    from advisor.science.registry import Calculation

__all__ = ["Builder"]


class Builder(ChoosingBuilder, ProtocolBuilder):
    """Builds every section in the order of their references; problems are collected."""

    def __init__(self, gathered: Gathered, calculations: Mapping[str, Calculation]) -> None:
        super().__init__(gathered, calculations)
        self.causes = self._each("causes", self._cause)
        self.checks = self._each("checks", self._check)
        self.rules = self._each("rules", self._rule)
        self.remedies = self._each("remedies", self._remedy)
        self.parts = self._each("parts", self._part)
        self.protocols = self._each("protocols", self._protocol)
        self._every_technique_has_one()

    def _cause(self, record: Record) -> Cause:
        data = record.data
        for finding, shown in data["shows"].items():
            self._shown(record, finding, shown)
        causes, checks = self.gathered.section("causes"), self.gathered.section("checks")
        alike = []
        for index, entry in enumerate(data.get("looks_like", [])):
            here = ("looks_like", index)
            if entry["cause"] not in causes:
                self._unknown("cause", entry["cause"], causes, record, *here, "cause")
            if entry.get("check") and entry["check"] not in checks:
                self._unknown("check", entry["check"], checks, record, *here, "check")
            alike.append(LookAlike(entry["cause"], entry["tell"], entry.get("check", "")))
        return Cause(
            id=record.id,
            title=data["title"],
            stage=data["stage"],
            prior=data["prior"],
            operations=tuple(data["operations"]),
            because=one_line(data["because"]),
            looks_like=tuple(alike),
            source=self._citations(record),
            against=self._citations(record, "against"),
            place=record.place(),
        )

    def _shown(self, record: Record, finding: str, shown: Any) -> None:
        words = self.vocabulary.words
        if finding not in self.gathered.section("findings"):
            self._unknown(
                "finding", finding, self.gathered.section("findings"), record, "shows", finding
            )
        elif finding not in words:
            self._problem(
                "shows-number",
                f"{finding} is a number: a table speaks of words",
                record,
                "shows",
                finding,
                hint="write a rule with a range instead",
            )
        elif isinstance(shown, str):
            if words[finding] != ("yes", "no"):
                self._problem(
                    "shows-form",
                    f"say which answer of {finding}",
                    record,
                    "shows",
                    finding,
                    hint=f"{finding}: {{{words[finding][0]}: {shown}}}",
                )
        else:
            for word in shown:
                if word not in words[finding]:
                    self._unknown(
                        f"answer of {finding}", word, words[finding], record, "shows", finding, word
                    )

    def _check(self, record: Record) -> Check:
        data = record.data
        finding = data["finding"]
        findings = self.gathered.section("findings")
        if finding not in findings:
            self._unknown("finding", finding, findings, record, "finding")
        outcomes = []
        key = finding
        if finding in findings:
            key = findings[finding].data.get("measures") or finding
        reader = ConditionReader(record.document, self.vocabulary, self.problems)
        for index, entry in enumerate(data.get("outcomes", [])):
            here = record.at("outcomes", index)
            test = reader.test(key, entry["is"], (*here, "is")) if key in self.vocabulary else None
            self._causes_known(record, entry.get("raises", {}), "outcomes", index, "raises")
            self._causes_known(record, entry.get("lowers", {}), "outcomes", index, "lowers")
            if isinstance(test, Is | InRange):
                outcomes.append(
                    Outcome(
                        test,
                        entry["says"],
                        {c: WEIGHTS[w] for c, w in entry.get("raises", {}).items()},
                        {c: WEIGHTS[w] for c, w in entry.get("lowers", {}).items()},
                    )
                )
            elif test is not None:
                self._problem(
                    "outcome-form",
                    "an outcome is a word, words or a range",
                    record,
                    "outcomes",
                    index,
                    "is",
                )
        self._known_ids("caution", data.get("caution", ()), "cautions", record, "caution")
        return Check(
            id=record.id,
            title=data["title"],
            finding=finding,
            how=one_line(data["how"]),
            minutes=float(data["minutes"]),
            wait=float(data.get("wait", 0)),
            level=data["level"],
            kit=tuple(data.get("kit", ())),
            group=data.get("group", ""),
            outcomes=tuple(outcomes),
            caution=tuple(data.get("caution", ())),
            source=self._citations(record),
            place=record.place(),
        )

    def _rule(self, record: Record) -> Rule:
        data = record.data
        return Rule(
            id=record.id,
            title=data["title"],
            stage=data["stage"],
            when=self._condition(record, "when"),
            effects=self._effects(record),
            because=one_line(data["because"]),
            source=self._citations(record),
            against=self._citations(record, "against"),
            group=data.get("group", ""),
            examples=self._examples(record),
            place=record.place(),
        )

    def _effects(self, record: Record) -> tuple[Effect, ...]:
        then = record.data["then"]
        effects = []
        for kind, sign in (("suspect", 1.0), ("doubt", -1.0)):
            self._causes_known(record, then.get(kind, {}), "then", kind)
            for cause, word in then.get(kind, {}).items():
                effects.append(Effect(kind, cause, sign * WEIGHTS[word]))
        for finding, word in then.get("conclude", {}).items():
            words = self.vocabulary.words.get(finding)
            if words is None:
                self._unknown(
                    "finding in words",
                    finding,
                    self.vocabulary.words,
                    record,
                    "then",
                    "conclude",
                    finding,
                )
            elif word not in words:
                self._unknown(
                    f"answer of {finding}", word, words, record, "then", "conclude", finding
                )
            effects.append(Effect("conclude", finding, word=word))
        if "verdict" in then:
            effects.append(Effect("conclude", "verdict", word=then["verdict"]))
        for kind, section in (("caution", "cautions"), ("suggest", "remedies")):
            self._known_ids(kind, then.get(kind, ()), section, record, "then", kind)
            effects.extend(Effect(kind, key) for key in then.get(kind, ()))
        return tuple(effects)

    def _remedy(self, record: Record) -> Remedy:
        data = record.data
        self._causes_known(record, data["cures"], "cures")
        for key in ("do", "otherwise", "trial", "expect"):
            for name in BRACES.findall(data.get(key, "")):
                known = {**self.gathered.section("figures"), **self.vocabulary.units}
                if name not in known:
                    self._unknown("figure", name, known, record, key)
            if re.search(r"[{}]", BRACES.sub("", data.get(key, ""))):
                self._problem(
                    "remedy-braces",
                    "braces hold one figure: {under_scores}",
                    record,
                    key,
                )
        if BRACES.search(data["do"]) and not data.get("otherwise"):
            self._problem(
                "remedy-otherwise",
                "a dose in braces needs an `otherwise` for when it is not known",
                record,
                "do",
            )
        if BRACES.search(data.get("otherwise", "")):
            self._problem("remedy-otherwise", "no braces in `otherwise`", record, "otherwise")
        return Remedy(
            id=record.id,
            title=data["title"],
            of=data["for"],
            stage=data["stage"],
            cures={c: FREQUENCIES[w] for c, w in data["cures"].items()},
            do=one_line(data["do"]),
            otherwise=one_line(data.get("otherwise", "")),
            minutes=float(data["minutes"]),
            wait=float(data.get("wait", 0)),
            loses_batch=data.get("loses_batch", False),
            trial=one_line(data.get("trial", "")),
            expect=one_line(data.get("expect", "")),
            risks=tuple(Risk(r["to"], one_line(r["text"])) for r in data.get("risks", ())),
            when=self._condition(record, "when"),
            source=self._citations(record),
            place=record.place(),
        )
