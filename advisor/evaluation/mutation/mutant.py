"""Single edits of a knowledge base, made on the model rather than on the files."""

from __future__ import annotations

from dataclasses import dataclass, replace
from hashlib import sha256
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

from advisor.knowledge.conditions import All, AnyOf, InRange, NoneOf, alternatives
from advisor.knowledge.lines import compile_lines, priors
from advisor.knowledge.words import FREQUENCIES, PRIORS, WEIGHTS, weight_word

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from advisor.errors import Place
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.conditions import Alternatives, Test
    from advisor.knowledge.gather import Gathered
    from advisor.knowledge.model import Base, Check, Effect, Line, Outcome, Rule

__all__ = ["KINDS", "Changed", "Mutant", "mutants"]

KINDS = (
    "drop-rule",
    "drop-test",
    "negate-test",
    "move-threshold",
    "swap-weight",
    "swap-cause",
    "drop-effect",
    "shows-word",
    "outcome-weight",
    "prior",
)

# By how much a threshold is moved, as a share of itself.
_MOVE = 0.10
_WEIGHT_WORDS = sorted(WEIGHTS, key=lambda word: WEIGHTS[word])
_FREQUENCY_WORDS = sorted(FREQUENCIES, key=lambda word: FREQUENCIES[word])
_PRIOR_WORDS = sorted(PRIORS, key=lambda word: PRIORS[word])


@dataclass(frozen=True, slots=True)
class Changed:
    """A base after an edit, with the lines that are not what they were."""

    kind: str
    base: Base
    before: tuple[Line, ...]
    after: tuple[Line, ...]
    rule: str = ""  # the rule that was edited, if it was one and is still there
    priors: bool = False


@dataclass(frozen=True, slots=True)
class Mutant:
    """One edit: its kind, where it stands, what it is in words, and how it is made."""

    kind: str
    subject: str
    what: str
    where: Place
    make: Callable[[], Changed]


def mutants(base: Base, gathered: Gathered, places: Places) -> list[Mutant]:
    """Every edit of every kind, in a fixed order."""
    makers = _Makers(base, gathered, places)
    found: list[Mutant] = []
    for rule in base.rules.values():
        found += makers.of_rule(rule)
    for cause in base.causes:
        found += makers.of_table(cause)
        found += makers.of_prior(cause)
    for check in base.checks.values():
        found += makers.of_check(check)
    return found


class _Makers:
    def __init__(self, base: Base, gathered: Gathered, places: Places) -> None:
        self.base = base
        self.gathered = gathered
        self.places = places
        self.words = {f.id: f.words for f in base.findings.values()}
        self.words.update({f.id: f.words for f in base.figures.values()})
        self.lines = {line.id: line for line in base.lines}
        self.position = {line.id: at for at, line in enumerate(base.lines)}

    # Rules.

    def of_rule(self, rule: Rule) -> Iterator[Mutant]:
        here = self.places.at("rules", rule.id)
        yield Mutant("drop-rule", rule.id, "the rule is gone", here, lambda: self._without(rule))
        tests = list(dict.fromkeys(t for option in rule.when for t in option))
        for test in tests:
            where = self.places.test("rules", rule.id, "when", test.key)
            dropped = _without_test(rule.when, test)
            if dropped:
                yield self._edit("drop-test", rule, f"without '{test}'", where, when=dropped)
            denied = self._negated(rule.when, test)
            if denied:
                yield self._edit("negate-test", rule, f"not '{test}'", where, when=denied)
            if isinstance(test, InRange):
                for moved in self._moved(test):
                    when = _with_test(rule.when, test, moved)
                    what = f"'{test}' becomes '{moved}'"
                    yield self._edit("move-threshold", rule, what, where, when=when)
        for index, effect in enumerate(rule.effects):
            yield from self._of_effect(rule, index, effect)

    def _of_effect(self, rule: Rule, index: int, effect: Effect) -> Iterator[Mutant]:
        where = self.places.key("rules", rule.id, "then", effect.kind, effect.target)

        def put(*new: Effect) -> tuple[Effect, ...]:
            return (*rule.effects[:index], *new, *rule.effects[index + 1 :])

        if len(rule.effects) > 1:
            what = f"no longer {effect.kind}s {effect.target}"
            yield self._edit("drop-effect", rule, what, where, effects=put())
        if not effect.weight:
            return
        sign = 1.0 if effect.weight > 0 else -1.0
        word = weight_word(effect.weight)
        for other in _beside(word, _WEIGHT_WORDS):
            new = replace(effect, weight=sign * WEIGHTS[other])
            what = f"{effect.kind} {effect.target}: {word} becomes {other}"
            yield self._edit("swap-weight", rule, what, where, effects=put(new))
        other_cause = self._other_cause(rule, effect.target)
        if other_cause:
            new = replace(effect, target=other_cause)
            what = f"{effect.kind}s {other_cause} and not {effect.target}"
            yield self._edit("swap-cause", rule, what, where, effects=put(new))

    def _other_cause(self, rule: Rule, cause: str) -> str:
        """Another cause that the rule does not name: a look-alike first, then one of the stage."""
        named = {e.target for e in rule.effects}
        alike = [a.cause for a in self.base.causes[cause].looks_like]
        stage = self.base.causes[cause].stage
        near = [c.id for c in self.base.causes.values() if c.stage == stage]
        near.sort(key=lambda other: sha256(f"{rule.id}/{other}".encode()).digest())
        others = (c for c in (*alike, *near, *self.base.causes) if c not in named)
        return next(others, "")

    def _edit(
        self, kind: str, rule: Rule, what: str, where: Place, **parts: Any
    ) -> Mutant:
        return Mutant(kind, rule.id, what, where, lambda: self._with(kind, replace(rule, **parts)))

    def _with(self, kind: str, rule: Rule) -> Changed:
        (after,) = compile_lines({}, {}, {}, {}, {rule.id: rule})
        rules = {**self.base.rules, rule.id: rule}
        return self._changed(kind, {rule.id: after}, rule=rule.id, rules=rules)

    def _without(self, rule: Rule) -> Changed:
        rules = {k: r for k, r in self.base.rules.items() if k != rule.id}
        return self._changed("drop-rule", {rule.id: None}, rules=rules)

    def _changed(
        self, kind: str, new: Mapping[str, Line | None], rule: str = "", **parts: Any
    ) -> Changed:
        """The base with lines put in the place of others, taken away or added at the end."""
        lines = list(self.base.lines)
        for name, line in new.items():
            if name in self.position and line is not None:
                lines[self.position[name]] = line
        gone = {name for name, line in new.items() if line is None}
        lines = [line for line in lines if line.id not in gone]
        lines += [line for name, line in new.items() if line and name not in self.position]
        return Changed(
            kind,
            replace(self.base, lines=tuple(lines), **parts),
            tuple(self.lines[name] for name in new if name in self.lines),
            tuple(line for line in new.values() if line is not None),
            rule,
        )

    def _negated(self, when: Alternatives, test: Test) -> Alternatives:
        options = [
            All(tuple(NoneOf((t,)) if t == test else t for t in option)) for option in when
        ]
        return alternatives(AnyOf(tuple(options)), self.words)

    def _moved(self, test: InRange) -> Iterator[InRange]:
        finding = self.base.findings.get(test.key)
        for end in ("low", "high"):
            value = getattr(test, end)
            if value is None:
                continue
            step = abs(value) * _MOVE or _MOVE
            for moved in (value - step, value + step):
                if finding is not None and not (
                    (finding.low is None or moved >= finding.low)
                    and (finding.high is None or moved <= finding.high)
                ):
                    continue
                new = replace(test, **{end: round(moved, 6)})
                if new.low is None or new.high is None or new.low < new.high:
                    yield new

    # Tables.

    def of_table(self, cause: str) -> Iterator[Mutant]:
        record = self.gathered.section("causes")[cause]
        for finding, shown in record.data["shows"].items():
            cells = {"": shown} if isinstance(shown, str) else dict(shown)
            for answer, word in cells.items():
                path = ("shows", finding, answer) if answer else ("shows", finding)
                (other, *_) = _beside(word, _FREQUENCY_WORDS)
                new: Any = other if not answer else {**cells, answer: other}
                what = f"shows {finding}{': ' + answer if answer else ''} {other}, not {word}"
                yield Mutant(
                    "shows-word",
                    cause,
                    what,
                    self.places.at("causes", cause, *path),
                    lambda f=finding, n=new: self._with_row(cause, f, n),  # type: ignore[misc]
                )

    def _with_row(self, cause: str, finding: str, shown: Any) -> Changed:
        records: dict[str, Any] = {}
        for name, record in self.gathered.section("causes").items():
            row = record.data["shows"].get(finding)
            if name == cause:
                row = shown
            records[name] = SimpleNamespace(data={"shows": {} if row is None else {finding: row}})
        about = {finding: self.base.findings[finding]}
        made = compile_lines(about, self.base.causes, records, {}, {})
        new: dict[str, Line | None] = {
            line.id: line for line in made if line.origin == "shows"
        }
        for name in self.lines:
            if name.startswith(f"shows/{finding}=") and name not in new:
                new[name] = None
        changed = {name: line for name, line in new.items() if line != self.lines.get(name)}
        return self._changed("shows-word", changed)

    def of_prior(self, cause: str) -> Iterator[Mutant]:
        about = self.base.causes[cause]
        (other, *_) = _beside(about.prior, _PRIOR_WORDS)
        yield Mutant(
            "prior",
            cause,
            f"{other}, not {about.prior}",
            self.places.at("causes", cause, "prior"),
            lambda: self._with_prior(cause, other),
        )

    def _with_prior(self, cause: str, word: str) -> Changed:
        causes = {**self.base.causes, cause: replace(self.base.causes[cause], prior=word)}
        made = replace(self.base, causes=causes, priors=priors(causes))
        return Changed("prior", made, (), (), priors=True)

    def of_check(self, check: Check) -> Iterator[Mutant]:
        for number, outcome in enumerate(check.outcomes):
            for side in ("raises", "lowers"):
                for cause, weight in getattr(outcome, side).items():
                    word = weight_word(weight)
                    (other, *_) = _beside(word, _WEIGHT_WORDS)
                    moved = {**getattr(outcome, side), cause: WEIGHTS[other]}
                    new = (
                        replace(outcome, raises=moved)
                        if side == "raises"
                        else replace(outcome, lowers=moved)
                    )
                    yield Mutant(
                        "outcome-weight",
                        check.id,
                        f"'{outcome.test}' {side} {cause} {other}, not {word}",
                        self.places.at("checks", check.id, "outcomes", number, side, cause),
                        lambda n=number, o=new: self._with_outcome(check, n, o),  # type: ignore[misc]
                    )

    def _with_outcome(self, check: Check, number: int, outcome: Outcome) -> Changed:
        outcomes = (*check.outcomes[:number], outcome, *check.outcomes[number + 1 :])
        new = replace(check, outcomes=outcomes)
        made = compile_lines({}, {}, {}, {check.id: new}, {})
        lines: dict[str, Line | None] = {
            line.id: line for line in made if line != self.lines[line.id]
        }
        return self._changed("outcome-weight", lines, checks={**self.base.checks, check.id: new})


def _beside(word: str, scale: list[str]) -> list[str]:
    """The words next to one on a scale, the stronger first."""
    at = scale.index(word)
    return [scale[i] for i in (at + 1, at - 1) if 0 <= i < len(scale)]


def _without_test(when: Alternatives, test: Test) -> Alternatives:
    """The condition without a test; empty when nothing would be left of it."""
    left = []
    for option in when:
        rest = tuple(t for t in option if t != test)
        if rest:
            left.append(rest)
    return tuple(dict.fromkeys(left))


def _with_test(when: Alternatives, test: Test, new: Test) -> Alternatives:
    return tuple(tuple(new if t == test else t for t in option) for option in when)
