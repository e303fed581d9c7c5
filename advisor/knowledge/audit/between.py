"""Rules against each other: the same twice, one inside another, one against another.

Only rules that speak of a common target are compared, each with those that its own words and
ranges lead to; and once something was told of a rule, what would only say it again is passed over.
So many rules on one quantity cost little more than their number.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from advisor.errors import Problem
from advisor.knowledge.audit.logic import Implications, each_bit, implies

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from advisor.knowledge.audit.book import Book
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.conditions import Test
    from advisor.knowledge.model import Effect, Rule

__all__ = ["between_problems"]

# The verdict that any other outdoes.
_ALL_CLEAR = "nothing-wrong"

# What a rule says, and in which group: all that counts beside its condition.
_Saying: TypeAlias = tuple[tuple["Effect", ...], str]
# A code, the target (empty where it is the whole rule) and the effect of the stricter rule.
_Told: TypeAlias = tuple[str, str, "Effect"]


def between_problems(book: Book, places: Places, only: str = "") -> Iterable[Problem]:
    """Duplicate, subsumed, doubly counted and contradicting rules; of ``only`` one if named."""
    rules = list(book.rules.values())
    for rule in rules:
        if only in ("", rule.id):
            yield from _within(book, rule, places)
    for stricter, wider, same, told in _of_one(rules, only) if only else _of_all(rules):
        yield _problem(book, rules[stricter], rules[wider], same, told, places)


class _Rules:
    """Rules by what they say and by when they fire."""

    def __init__(self, rules: Sequence[Rule]) -> None:
        sayings: dict[_Saying, int] = {}
        self.says = [sayings.setdefault((r.effects, r.group), len(sayings)) for r in rules]
        self._sayings = list(sayings)
        self._relations: dict[tuple[int, int, bool], tuple[_Told, ...]] = {}
        written: dict[frozenset[tuple[Test, ...]], int] = {}
        first = [written.setdefault(frozenset(rule.when), len(written)) for rule in rules]
        conditions = {number: rule.when for number, rule in zip(first, rules, strict=True)}
        self.conditions = Implications([conditions[n] for n in range(len(written))])
        # Of conditions that imply each other one stands for all.
        shortest: dict[frozenset[int], int] = {}
        same = [shortest.setdefault(self.conditions.shortest(n), n) for n in range(len(written))]
        self.when = [same[number] for number in first]

    def relations(self, stricter: int, wider: int, same: bool) -> tuple[_Told, ...]:
        """What would be told of two rules, if the one fires whenever the other does."""
        key = (self.says[stricter], self.says[wider], same)
        found = self._relations.get(key)
        if found is None:
            one, two = self._sayings[key[0]], self._sayings[key[1]]
            found = self._relations[key] = tuple(_relations(one, two, same))
        return found


class _Filed:
    """The rules that say one thing of a target, each under the tests that it is filed by."""

    def __init__(self) -> None:
        self.bits = 0
        self.under: dict[int, list[int]] = {}

    def add(self, number: int, bits: Iterable[int]) -> None:
        for bit in bits:
            self.bits |= bit
            self.under.setdefault(bit, []).append(number)


def _of_all(rules: Sequence[Rule]) -> Iterator[tuple[int, int, bool, _Told]]:
    """(stricter, wider, whether equivalent, what is to be told); of equivalent ones the later is
    taken as the stricter. Each thing is told of a rule once."""
    known = _Rules(rules)
    filed: dict[str, dict[int, _Filed]] = {}
    alike: dict[tuple[str, int], dict[int, int]] = {}  # the first that says each thing
    for number, rule in enumerate(rules):
        for target in _targets(rule):
            bits = known.conditions.filed_under(known.when[number])
            says = filed.setdefault(target, {}).setdefault(known.says[number], _Filed())
            says.add(number, bits)
            first = alike.setdefault((target, known.when[number]), {})
            first.setdefault(known.says[number], number)
    for number, rule in enumerate(rules):
        told: set[tuple[str, str]] = set()
        for wider, same in _candidates(known, number, _targets(rule), filed, alike, told):
            for each in known.relations(number, wider, same):
                if each[:2] not in told:
                    told.add(each[:2])
                    yield number, wider, same, each


def _candidates(
    known: _Rules,
    number: int,
    targets: Iterable[str],
    filed: Mapping[str, Mapping[int, _Filed]],
    alike: Mapping[tuple[str, int], Mapping[int, int]],
    told: set[tuple[str, str]],
) -> Iterator[tuple[int, bool]]:
    """Rules that fire whenever one does, while there is something to tell of them."""
    when = known.when[number]
    reached = known.conditions.reached(when)
    for target in targets:
        for wider in alike[target, when].values():
            if wider < number and _news(known, number, wider, True, told):
                yield wider, True
        for says in filed[target].values():
            for bit in each_bit(says.bits & reached):
                for wider in says.under[bit]:
                    if not _news(known, number, wider, False, told):
                        break
                    if known.when[wider] != when and known.conditions.implies(
                        when, known.when[wider]
                    ):
                        yield wider, False
                else:
                    continue
                break


def _news(
    known: _Rules, stricter: int, wider: int, same: bool, told: set[tuple[str, str]]
) -> bool:
    return any(t[:2] not in told for t in known.relations(stricter, wider, same))


def _targets(rule: Rule) -> Iterable[str]:
    return dict.fromkeys(effect.target for effect in rule.effects)


def _of_one(rules: Sequence[Rule], only: str) -> Iterator[tuple[int, int, bool, _Told]]:
    """The same for the pairs that one rule is part of."""
    told: set[tuple[int, str, str]] = set()
    for stricter, wider, same in _pairs_of(rules, only):
        one, two = rules[stricter], rules[wider]
        for each in _relations((one.effects, one.group), (two.effects, two.group), same):
            if (stricter, *each[:2]) not in told:
                told.add((stricter, *each[:2]))
                yield stricter, wider, same, each


def _pairs_of(rules: Sequence[Rule], only: str) -> Iterator[tuple[int, int, bool]]:
    """The same for the pairs that one rule is part of."""
    at = next(number for number, rule in enumerate(rules) if rule.id == only)
    for number, rule in enumerate(rules):
        if number == at:
            continue
        to, back = implies(rules[at].when, rule.when), implies(rule.when, rules[at].when)
        if to and back:
            yield max(number, at), min(number, at), True
        elif to or back:
            yield (at, number, False) if to else (number, at, False)


def _within(book: Book, rule: Rule, places: Places) -> Iterator[Problem]:
    """What one rule says of one target that cannot both be meant."""
    for number, effect in enumerate(rule.effects):
        for other in rule.effects[:number]:
            if other.target == effect.target and _at_odds(other, effect):
                if "forbid" in (other.kind, effect.kind) and not _by_name(
                    book, rule, "prefer", effect.target, places
                ):
                    continue
                said = (
                    f"concludes two answers of {effect.target}"
                    if effect.kind == "conclude"
                    else f"both {other.kind}s and {effect.kind}s {effect.target}"
                )
                yield Problem(
                    "rule-contradicts-itself",
                    f"{rule.id} {said}",
                    places.effect(book.section, rule.id, effect),
                    "keep one of them",
                )


def _by_name(book: Book, rule: Rule, kind: str, target: str, places: Places) -> bool:
    """Whether an effect names its target itself and not only a family that holds it."""
    record = places.record(book.section, rule.id)
    return record is None or target in record.data["then"].get(kind, ())


def _at_odds(one: Effect, two: Effect) -> bool:
    """Whether two effects on one target contradict each other, whatever their sizes."""
    if one.kind == two.kind == "conclude":
        # Of two graver verdicts the graver counts; only the all-clear goes with neither.
        return one.word != two.word and (
            one.target != "verdict" or _ALL_CLEAR in (one.word, two.word)
        )
    if "forbid" in (one.kind, two.kind):
        return one.weight > 0 or two.weight > 0
    return one.weight * two.weight < 0


def _relations(stricter: _Saying, wider: _Saying, same: bool) -> Iterator[_Told]:
    """What is to be told of two rules where one fires whenever the other does."""
    (effects, group), (others, other_group) = stricter, wider
    if not effects:
        return
    grouped = bool(group) and group == other_group
    matches = [(e, _match(e, others)) for e in effects]
    known = [(e, other) for e, other in matches if other is not None]
    whole = len(known) == len(matches)
    if same and whole and set(effects) == set(others):
        yield "rule-duplicate", "", effects[0]
    elif whole and all(_idle(e, other, grouped) for e, other in known):
        yield "rule-subsumed", "", effects[0]
    elif whole and not grouped and all(abs(e.weight) == abs(o.weight) for e, o in known):
        yield "rule-counts-twice", "", effects[0]
    for effect in effects:
        if any(
            other.target == effect.target
            and _at_odds(effect, other)
            and (same or _as_much(effect, other))
            for other in others
        ):
            yield "rules-contradict", effect.target, effect


def _as_much(effect: Effect, other: Effect) -> bool:
    """Whether a wider rule leaves nothing of what a stricter one says.

    An exception may well weigh more or less than the rule that it is taken from.
    """
    if effect.kind == other.kind == "conclude":
        return effect.target != "verdict" or effect.word == _ALL_CLEAR
    if other.kind == "forbid":
        return True
    return effect.kind != "forbid" and effect.weight == -other.weight


def _problem(
    book: Book,
    stricter: Rule,
    wider: Rule,
    same: bool,
    told: _Told,
    places: Places,
) -> Problem:
    code, target, effect = told
    # What a house wrote is told at the house's own line, though the shipped rule is the stricter.
    mine = wider if places.of_house(wider.id) and not places.of_house(stricter.id) else stricter
    where = places.at(book.section, mine.id)
    if code == "rule-duplicate":
        other = stricter if mine is wider else wider
        return Problem(code, f"{mine.id} says the same as {other.id}", where, "keep one")
    if code == "rule-subsumed":
        return Problem(
            code,
            f"{stricter.id} adds nothing: whenever it fires, {wider.id} fires too and says as much",
            where,
            "take it out, weigh it higher, or widen its condition"
            if mine is stricter
            else f"take one of them out, or narrow the condition of {wider.id}",
        )
    if code == "rule-counts-twice":
        return Problem(
            code,
            f"whenever {stricter.id} fires, {wider.id} fires too, and the same weight counts twice",
            where,
            "give both one group, then only the stronger counts",
            severity="note",
        )
    fires = "they fire together" if same else f"whenever it fires, {wider.id} fires too"
    other_effect = next(e for e in wider.effects if e.target == target and _at_odds(effect, e))
    return Problem(
        code,
        f"{_says(stricter, effect)} and {_says(wider, other_effect)}, and {fires}",
        places.effect(book.section, mine.id, effect if mine is stricter else other_effect),
        "correct one of them"
        if same
        else "write the exception into the condition of the wider rule",
        severity="error" if same else "note",
    )


def _says(rule: Rule, effect: Effect) -> str:
    if effect.kind == "conclude":
        return f"{rule.id} concludes {effect.target}: {effect.word}"
    size = f" by {abs(effect.weight):g} decibans" if effect.weight else ""
    return f"{rule.id} {effect.kind}s {effect.target}{size}"


def _match(effect: Effect, others: Sequence[Effect]) -> Effect | None:
    return next(
        (
            e
            for e in others
            if (e.kind, e.target, e.word) == (effect.kind, effect.target, effect.word)
        ),
        None,
    )


def _idle(effect: Effect, other: Effect, grouped: bool) -> bool:
    """Whether an effect changes nothing once the other has had its say."""
    return not effect.weight or (grouped and abs(effect.weight) <= abs(other.weight))
