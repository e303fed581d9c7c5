"""Techniques and the rules that choose among them, from gathered records."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.knowledge.buildfindings import FindingBuilder, one_line
from advisor.knowledge.model import Brought, Effect, Rule, Technique
from advisor.knowledge.words import BROUGHT, WEIGHTS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from advisor.knowledge.gather import Gathered, Record
    from advisor.knowledge.model import Finding
    from advisor.science.registry import Calculation

__all__ = ["ChoosingBuilder"]

_EVERY = "every"


class ChoosingBuilder(FindingBuilder):
    """Builds what a brief is answered with; problems are collected."""

    def __init__(self, gathered: Gathered, calculations: Mapping[str, Calculation]) -> None:
        super().__init__(gathered, calculations)
        self.techniques: dict[str, Technique] = self._each("techniques", self._technique)
        self._families = self._known_families()
        self.choosing: dict[str, Rule] = self._each("choosing", self._choosing_rule)

    def findings_of_briefs(self) -> dict[str, Finding]:
        """What a brief may answer: its own findings, and those of a batch that rules reuse."""
        keys = {
            test.key for rule in self.choosing.values() for option in rule.when for test in option
        }
        for technique in self.techniques.values():
            for brought in technique.brings:
                keys.update(test.key for option in brought.when for test in option)
        for figure in self.brief_figures.values():
            keys.update(figure.inputs.values())
        reused = {k: f for k, f in self.findings.items() if k in keys and f.asked}
        return {**self.brief_findings, **reused}

    def _technique(self, record: Record) -> Technique:
        data = record.data
        words = self.brief_vocabulary.words
        needs = []
        for index, entry in enumerate(data["needs"]):
            kit = (entry,) if isinstance(entry, str) else tuple(entry)
            for key in kit:
                self._yes_no(record, key, "needs", index)
            needs.append(kit)
        for goal in data["does"]:
            self._yes_no(record, goal, "does", goal)
        brings = []
        for index, entry in enumerate(data["brings"]):
            if isinstance(entry, str):
                brings.append(Brought(entry))
                limits: tuple[str, ...] = BROUGHT[entry]
            else:
                when = self._condition_at(record, entry["when"], "brings", index, "when")
                brings.append(Brought(entry["what"], when))
                limits = BROUGHT[entry["what"]]
            for limit in limits:
                if limit not in words:
                    self._unknown("limit", limit, words, record, "brings", index)
        if data["shortest"] > data["minutes"] + data["wait"]:
            self._problem(
                "technique-time",
                "the shortest time is longer than work and waiting together",
                record,
                "shortest",
            )
        return Technique(
            id=record.id,
            title=data["title"],
            operations=tuple(data["operations"]),
            about=one_line(data["about"]),
            needs=tuple(needs),
            brings=tuple(brings),
            minutes=float(data["minutes"]),
            wait=float(data["wait"]),
            shortest=float(data["shortest"]),
            does=dict(data["does"]),
            effects={part: one_line(text) for part, text in data["effects"].items()},
            because=one_line(data["because"]),
            source=self._citations(record),
            against=self._citations(record, "against"),
            amounts={part: tuple(map(float, a)) for part, a in data.get("amounts", {}).items()},
            place=record.place(),
        )

    def _yes_no(self, record: Record, key: str, *where: str | int) -> None:
        words = self.brief_vocabulary.words
        if words.get(key) != ("yes", "no"):
            known = [k for k, w in words.items() if w == ("yes", "no")]
            self._unknown("yes-no finding", key, known, record, *where)

    def _known_families(self) -> dict[str, tuple[str, ...]]:
        """``every``, and ``every-strip``, ``every-milk`` ...: techniques by what they do or bring.

        Read from the records, so that a technique with a fault of its own is still known.
        """
        families: dict[str, list[str]] = {_EVERY: []}
        for key, record in self.gathered.section("techniques").items():
            families[_EVERY].append(key)
            brings = (b if isinstance(b, str) else b["what"] for b in record.data["brings"])
            for part in dict.fromkeys((*record.data["operations"], *brings)):
                families.setdefault(f"{_EVERY}-{part}", []).append(key)
        return {name: tuple(members) for name, members in families.items()}

    def _targets(
        self, named: Iterable[str], record: Record, *where: str | int
    ) -> dict[str, tuple[str, ...]]:
        """Each name with the techniques that it stands for."""
        known = self.gathered.section("techniques")
        found: dict[str, tuple[str, ...]] = {}
        for index, name in enumerate(named):
            if name in known:
                found[name] = (name,)
            elif name in self._families:
                found[name] = self._families[name]
            else:
                at = (*where, index) if where[-1] == "forbid" else (*where, name)
                self._unknown("technique", name, [*known, *self._families], record, *at)
        return found

    def _choosing_rule(self, record: Record) -> Rule:
        return Rule(
            id=record.id,
            title=record.data["title"],
            stage="",
            when=self._condition(record, "when"),
            effects=self._choosing_effects(record),
            because=one_line(record.data["because"]),
            source=self._citations(record),
            against=self._citations(record, "against"),
            group=record.data.get("group", ""),
            examples=self._examples(record),
            place=record.place(),
        )

    def _choosing_effects(self, record: Record) -> tuple[Effect, ...]:
        then = record.data["then"]
        effects: list[Effect] = []
        for kind, sign in (("prefer", 1.0), ("avoid", -1.0)):
            weights: dict[str, float] = {}
            named = self._targets(then.get(kind, {}), record, "then", kind)
            # A technique named by itself outdoes its family, wherever it stands.
            for alone in (False, True):
                for name, members in named.items():
                    if (members == (name,)) is alone:
                        weights.update(dict.fromkeys(members, WEIGHTS[then[kind][name]]))
            effects.extend(Effect(kind, key, sign * weight) for key, weight in weights.items())
        forbidden = self._targets(then.get("forbid", ()), record, "then", "forbid")
        way_out = one_line(then.get("way_out", ""))
        refused = dict.fromkeys(k for members in forbidden.values() for k in members)
        effects.extend(Effect("forbid", key, word=way_out) for key in refused)
        for kind, target in (("impossible", "impossible"), ("trade_off", "trade-off")):
            if kind in then:
                effects.append(Effect("conflict", target, word=one_line(then[kind])))
        for finding, word in then.get("conclude", {}).items():
            words = self.brief_vocabulary.words.get(finding, ())
            if word not in words:
                self._unknown(
                    f"answer of {finding}", word, words, record, "then", "conclude", finding
                )
            effects.append(Effect("conclude", finding, word=word))
        self._known_ids("caution", then.get("caution", ()), "cautions", record, "then", "caution")
        effects.extend(Effect("caution", key) for key in then.get("caution", ()))
        return tuple(effects)
