"""Choosing a technique for a brief: what fits, what cannot work, and what pulls against what.

One pure function is the heart, ``choose(base, brief)``. It runs the rules of choosing as a
chain of their own and weighs them as a diagnosis weighs its evidence: in decibans, with the
strongest of each group counted once. What is forbidden is never ranked, whatever speaks for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from advisor.chain import compile_chain
from advisor.chain.port import ChainRule
from advisor.errors import AdvisorError
from advisor.knowledge.model import Citation
from advisor.reasoning.evidence import figure_order, gather_facts, sureness
from advisor.reasoning.ledger import Entry, strongest_of_groups
from advisor.technique.brief import Brief, brief_base
from advisor.technique.choice import (
    SERVING,
    Choice,
    Conflict,
    Option,
    Reason,
    Refusal,
    standing_word,
)
from advisor.technique.effects import changes
from advisor.technique.grounds import DOES_SAID, brought, cost_reason, over_cost, rests_on
from advisor.technique.lines import choosing_lines, effort, effort_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from advisor.chain.port import Chain, Firing, Run
    from advisor.knowledge.model import Base, Line, Technique
    from advisor.reasoning.evidence import Facts

__all__ = [
    "ALWAYS_SAID",
    "Choice",
    "Chooser",
    "Conflict",
    "Option",
    "Reason",
    "Refusal",
    "Weighed",
    "choose",
    "chooser_for",
    "standing_word",
]

# What a forbidding rule must stand on to be taken at its word, when it rests on a number.
_SURE_ENOUGH = 0.5
_DOUBTFUL = -10.0  # decibans: would be forbidden if the number were sure
_OVER_COST = -10.0
# Worth a line to a person.
_WORTH_SAYING = 1.0

# Cautions that follow from what is in the drink. They are said here, in code, so that no
# knowledge laid over the shipped one can take them off.
_CAUTION_OF = {
    "milk": "contains-milk",
    "egg": "egg",
    "nuts": "nuts-and-seeds",
    "peanut": "nuts-and-seeds",
    "sesame": "nuts-and-seeds",
    "soy": "nuts-and-seeds",
    "fish": "fish-or-gelatine",
    "meat": "fish-or-gelatine",
}
# What is said of milk even where a house has switched the caution off.
ALWAYS_SAID = {
    "contains-milk": (
        "Contains milk. Tell guests with a milk allergy not to drink it, and say so on the menu "
        "and the label."
    )
}
_LEVELS = ("stop", "warn", "note")


@dataclass(frozen=True)
class Weighed:
    """The bare outcome of the rules: what is forbidden, and the standing of the rest."""

    facts: Facts
    run: Run
    entries: tuple[Entry, ...]
    standing: Mapping[str, float]  # of techniques that are not forbidden
    apart: Mapping[str, float]  # what the forbidden ones would stand at if they were not
    forbidden: Mapping[str, tuple[str, ...]]  # technique -> lines

    @cached_property
    def order(self) -> tuple[str, ...]:
        """Techniques from best to worst; ties in the order of their names."""
        return tuple(sorted(self.standing, key=lambda t: (-round(self.standing[t], 6), t)))


class Chooser:
    """A base made ready to choose with: compiled once, used for any number of briefs."""

    def __init__(self, base: Base, backend: str = "default") -> None:
        self.base = base
        self.seen = brief_base(base)
        self.lines: dict[str, Line] = {line.id: line for line in choosing_lines(base)}
        self.rules = tuple(map(ChainRule.of, self.lines.values()))
        self.chain: Chain = compile_chain(self.rules, backend)
        self._figures = figure_order(self.seen)

    @cached_property
    def looking_ahead(self) -> Chooser:
        """The same on the reference engine, which is quick at many small runs."""
        return self if self.chain.name == "reference" else Chooser(self.base, "reference")

    def weigh(self, brief: Brief) -> Weighed:
        """Run the rules on a brief and add up."""
        facts = gather_facts(self.seen, brief.answers, self._figures)
        run = self.chain.run(facts.facts)
        entries = [_effort_entry(t) for t in self.base.techniques.values()]
        forbidden: dict[str, list[str]] = {}
        for firing in run.firings:
            sure = _sureness(firing, facts)
            for effect in self.lines[firing.rule].effects:
                line = self.lines[firing.rule]
                if effect.kind in ("prefer", "avoid") and sure > 0.0:
                    weight = effect.weight * sure
                    entries.append(Entry(effect.target, line.id, line.group, effect.weight, weight))
                elif effect.kind == "forbid" and (sure >= _SURE_ENOUGH or line.origin == "brings"):
                    forbidden.setdefault(effect.target, []).append(line.id)
                elif effect.kind == "forbid":
                    entries.append(
                        Entry(effect.target, line.id, line.group, _DOUBTFUL, _DOUBTFUL * sure)
                    )
        for technique in self.base.techniques.values():
            over = over_cost(technique, brief)
            if over == "sure":
                forbidden.setdefault(technique.id, []).append(f"cost/{technique.id}")
            elif over:
                line_id = f"cost/{technique.id}"
                entries.append(Entry(technique.id, line_id, "", _OVER_COST, _OVER_COST))
        counted = strongest_of_groups(entries)
        standing = dict.fromkeys(self.base.techniques, 0.0)
        for entry in counted:
            if entry.counted and entry.cause in standing:
                standing[entry.cause] += entry.weight
        return Weighed(
            facts,
            run,
            counted,
            {key: value for key, value in standing.items() if key not in forbidden},
            {key: value for key, value in standing.items() if key in forbidden},
            {key: tuple(ids) for key, ids in forbidden.items()},
        )

    def choose(self, brief: Brief) -> Choice:
        """See ``choose``."""
        if not brief.goals:
            raise AdvisorError(
                "no-goal",
                "the brief does not say what is wanted",
                where=brief.name,
                hint="give at least one goal, for example goals: [less_astringent, clear]",
            )
        weighed = self.weigh(brief)
        said = {f.rule: rests_on(self.seen, f) for f in weighed.run.firings}
        ranked = tuple(self._option(key, brief, weighed, said) for key in weighed.order)
        refused = tuple(
            self._refusal(key, weighed.forbidden[key], brief, said)
            for key in sorted(weighed.forbidden, key=lambda t: (-round(weighed.apart[t], 6), t))
        )
        return Choice(
            brief=brief,
            ranked=ranked,
            refused=refused,
            conflicts=tuple(self._conflicts(brief, weighed)),
            left_over=self._left_over(brief, ranked),
            backend=self.chain.name,
            facts=weighed.facts,
        )

    def _option(
        self,
        key: str,
        brief: Brief,
        weighed: Weighed,
        said: Mapping[str, tuple[tuple[str, str], ...]],
    ) -> Option:
        technique = self.base.techniques[key]
        reasons = [
            self._reason(entry.line, entry.weight, technique, brief, said)
            for entry in weighed.entries
            if entry.cause == key and entry.counted and abs(entry.weight) >= _WORTH_SAYING
        ]
        reasons.sort(key=lambda r: (-abs(r.weight), r.line))
        brings = brought(technique, brief)
        standing = weighed.standing[key]
        return Option(
            technique=key,
            title=technique.title,
            standing=standing,
            word=standing_word(standing),
            for_=tuple(r for r in reasons if r.weight > 0),
            against=tuple(r for r in reasons if r.weight < 0),
            effects=changes(technique, brief),
            serves={goal: technique.does.get(goal, "nothing") for goal in brief.goals},
            brings=brings,
            cautions=self._cautions(key, brings, weighed),
            minutes=technique.minutes,
            hours=technique.hours,
        )

    def _reason(
        self,
        line_id: str,
        weight: float,
        technique: Technique,
        brief: Brief,
        said: Mapping[str, tuple[tuple[str, str], ...]],
    ) -> Reason:
        if line_id.startswith("effort/"):
            practice = (Citation("practice"),)
            text = effort_text(technique)
            because = "Of two that serve alike, the plainer."
            return Reason(line_id, text, because, weight, practice)
        if line_id.startswith("cost/"):
            return cost_reason(technique, brief, weight)
        line = self.lines[line_id]
        if line.origin == "does":
            goal = line_id.partition("/")[2]
            text = f"{DOES_SAID[technique.does.get(goal, 'nothing')]} {line.title}"
            return Reason(
                line_id, text, technique.because, weight, technique.source, said.get(line_id, ())
            )
        return Reason(
            line_id, line.title, line.because, weight, line.source, said.get(line_id, ())
        )

    def _refusal(
        self,
        key: str,
        line_ids: Sequence[str],
        brief: Brief,
        said: Mapping[str, tuple[tuple[str, str], ...]],
    ) -> Refusal:
        technique = self.base.techniques[key]
        reasons, ways = [], []
        for line_id in line_ids:
            reasons.append(self._reason(line_id, 0.0, technique, brief, said))
            if line_id in self.lines:
                ways += [
                    e.word
                    for e in self.lines[line_id].effects
                    if e.kind == "forbid" and e.target == key
                ]
            else:
                ways.append("Raise the limit, or take a technique that loses less of the drink.")
        serves = {goal: technique.does.get(goal, "nothing") for goal in brief.goals}
        once = {reason.text: reason for reason in reversed(reasons)}
        reasons = [reason for reason in reasons if once[reason.text] is reason]
        return Refusal(key, technique.title, tuple(reasons), tuple(dict.fromkeys(ways)), serves)

    def _cautions(self, key: str, brings: Sequence[str], weighed: Weighed) -> tuple[str, ...]:
        """Cautions for one technique, stops first, and first of those what it brings."""
        found = [_CAUTION_OF[b] for b in brings]
        if "milk" in brings and self.base.techniques[key].amounts:
            found.append("lactose-note")
        for firing in weighed.run.firings:
            line = self.lines[firing.rule]
            named = {e.target for e in line.effects if e.kind in ("prefer", "avoid", "forbid")}
            if not named or key in named:
                found += [e.target for e in line.effects if e.kind == "caution"]
        known = (*self.base.cautions, *ALWAYS_SAID)
        found = [c for c in dict.fromkeys(found) if c in known]
        levels = {key: caution.level for key, caution in self.base.cautions.items()}
        return tuple(sorted(found, key=lambda c: _LEVELS.index(levels.get(c, "stop"))))

    def _conflicts(self, brief: Brief, weighed: Weighed) -> Iterator[Conflict]:
        for firing in weighed.run.firings:
            line = self.lines[firing.rule]
            for effect in line.effects:
                if effect.kind == "conflict":
                    between = tuple(dict.fromkeys(t.key for t, _ in firing.supports))
                    yield Conflict(
                        line.id,
                        effect.target,
                        line.title,
                        line.because,
                        effect.word,
                        between,
                        line.source,
                    )
        yield from self._nothing_left(brief, weighed)

    def _nothing_left(self, brief: Brief, weighed: Weighed) -> Iterator[Conflict]:
        """A goal whose every technique is refused is a conflict, whether or not a rule says so."""
        for goal in brief.goals:
            serving = [
                t.id
                for t in self.base.techniques.values()
                if t.does.get(goal) in SERVING
            ]
            if not serving or any(t in weighed.standing for t in serving):
                continue
            lines = dict.fromkeys(i for t in serving for i in weighed.forbidden[t])
            keys = {
                test.key
                for firing in weighed.run.firings
                if firing.rule in lines
                for test, _ in firing.supports
            }
            label = self.seen.findings[goal].label
            names = [self.seen.findings[k].label for k in sorted(keys) if k in self.seen.findings]
            yield Conflict(
                f"nothing-left/{goal}",
                "impossible",
                f"Nothing is left that makes it {label}",
                "Every technique that would do it is refused by: " + "; ".join(names) + ".",
                "Drop the goal, or one of these limits.",
                (goal, *sorted(keys)),
                (Citation("judgement"),),
            )

    def _left_over(
        self, brief: Brief, ranked: Sequence[Option]
    ) -> dict[str, tuple[str, ...]]:
        """What could be done as well for goals that the first choice does not serve."""
        if not ranked or not ranked[0].useful:
            return {}
        first = ranked[0]
        found = {}
        for goal, word in first.serves.items():
            if word in SERVING:
                continue
            helping = [
                o
                for o in ranked
                if o.serves[goal] in ("much", "some")
                and len(self.base.techniques[o.technique].operations) == 1
            ]
            helping.sort(key=lambda o: (o.serves[goal] != "much", o.minutes, o.technique))
            found[goal] = tuple(o.technique for o in helping[:2])
        return found


def _effort_entry(technique: Technique) -> Entry:
    weight = effort(technique)
    return Entry(technique.id, f"effort/{technique.id}", "", weight, weight)


def _sureness(firing: Firing, facts: Facts) -> float:
    return min(
        (
            sureness(test, fact, facts.footing.get(fact) if fact else None)
            for test, fact in firing.supports
        ),
        default=1.0,
    )


_KEEP: dict[int, dict[str, Chooser]] = {}


def chooser_for(base: Base, backend: str = "default") -> Chooser:
    """The chooser of a base, compiled at its first use."""
    choosers = _KEEP.setdefault(id(base), {})
    chooser = choosers.get(backend)
    if chooser is None or chooser.base is not base:
        if len(_KEEP) > 8:
            _KEEP.clear()
            choosers = _KEEP.setdefault(id(base), {})
        chooser = choosers[backend] = Chooser(base, backend)
    return chooser


def choose(base: Base, brief: Brief, *, backend: str = "default") -> Choice:
    """Rank the techniques for a brief, refuse what cannot work, and name what conflicts.

    Pure: the same arguments always give the same choice, and the order of the answers does not
    matter. ``backend`` is ``default``, ``durable-rules`` or ``reference``. Raises ``AdvisorError``
    with code ``no-goal`` for a brief that wants nothing.
    """
    return chooser_for(base, backend).choose(brief)
