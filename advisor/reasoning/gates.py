"""Questions that could end it before any cause: to discard, to stop, or that nothing is wrong.

A rule with a verdict is *open* while nothing that is known speaks against it. What it still
waits for is asked first when a hazard is plausible, that is, when the causes which end in a
discard or a stop stand well enough together, or when it rests on a report that is mostly
explained by such causes (a doubt, a guest who asks), on a cause that would explain such a report,
or on what few batches hold (egg, raw milk). And then however little it tells of the cause.
Once it is a stop, only what could make it a discard is asked, and only where that is plausible.
"""

from __future__ import annotations

import math
from itertools import product
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from advisor.knowledge.conditions import InRange, Is, Missing

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from collections.abc import Set as AbstractSet

    from advisor.chain.port import Fact
    from advisor.knowledge.conditions import Test
    from advisor.knowledge.model import Base, Line
    from advisor.reasoning.infer import Engine, Inference

__all__ = ["gates", "hazard"]

_URGENT = ("discard", "stop")
# How plausible a hazard must be before it is asked after first, and how likely an answer must
# be to matter then. Judgement: a question too many costs seconds, a glass too many may not.
_PLAUSIBLE = 0.15
_ASKED_AFTER = 0.01
# Without a sign of any hazard only what is likely to end the matter goes before the causes;
# that somebody is only early is found out before a fault is looked for.
_LIKELY = 0.30
_EARLY = 0.03
_NUMBER_ALONE = 0.1  # what counts of a number where no cause speaks for it
_MOST_WAYS = 64

# An answer that so few batches have is a sign in itself.
_RARE = 0.05

# A report sounds an alarm when more than this share of what explains it ends in a verdict.
_MOSTLY = 0.5

_WAYS: WeakKeyDictionary[Engine, tuple[_Way, ...]] = WeakKeyDictionary()
_ALARMS: WeakKeyDictionary[Engine, frozenset[str]] = WeakKeyDictionary()


class _Way:
    """One alternative of a rule with a verdict: its tests, and the causes it speaks for."""

    __slots__ = ("causes", "tests", "verdict")

    def __init__(self, tests: tuple[Test, ...], verdict: str, causes: tuple[str, ...]) -> None:
        self.tests, self.verdict, self.causes = tests, verdict, causes


def hazard(engine: Engine, inference: Inference) -> float:
    """How well the causes that end in a discard or a stop stand together, 0 to 1."""
    return min(1.0, sum(inference.standing.get(cause, 0.0) for cause in _ending(engine)))


def gates(
    engine: Engine,
    inference: Inference,
    facts: Mapping[str, Sequence[Fact]],
    can_ask: Callable[[str], bool],
    chance_of: Callable[[Test], float],
) -> dict[str, float]:
    """Findings to ask for before any cause, with the chance that a verdict comes of it.

    ``facts`` is what is known, by key; ``can_ask`` says whether a finding may be asked for now,
    ``chance_of`` how likely its answer meets a test as the causes stand.
    """
    stopped = "stop" in inference.verdicts
    if stopped and not _may_have_to_go(engine, inference):
        return {}
    plausible = stopped or hazard(engine, inference) >= _PLAUSIBLE
    alarms = _alarms(engine).intersection(inference.reported)
    alarmed = {c for c, found in inference.explains.items() if alarms.intersection(found)}
    found: dict[str, float] = {}
    for way in _ways(engine):
        if way.verdict in inference.verdicts or (stopped and way.verdict != "discard"):
            continue
        open_ = _still_open(way.tests, facts, can_ask)
        if not open_:
            continue
        urgent = way.verdict in _URGENT
        raised = urgent and (
            any(_rests_on(engine.base, test.key, alarms) for test in way.tests)
            or any(cause in alarmed for cause in way.causes)
            or any(_is_rare(engine.base, test, facts) for test in way.tests)
        )
        least = _ASKED_AFTER if plausible or raised else _LIKELY if urgent else _EARLY
        chance = math.prod(chance_of(test) for test in open_)
        if urgent and all(isinstance(test, InRange) for test in open_):
            # How numbers spread nobody has counted, so only the causes say what is likely.
            standing = sum(inference.standing.get(cause, 0.0) for cause in way.causes)
            chance *= max(_NUMBER_ALONE, min(1.0, standing))
        if chance >= least:
            for test in open_:
                found[test.key] = max(found.get(test.key, 0.0), chance)
    return found


def _may_have_to_go(engine: Engine, inference: Inference) -> bool:
    """Whether a discard is plausible, or was asked after by a report that a discard rests on.

    A stop can be put right (a word on the menu, another vessel) and the drink served after all,
    unless it has to be thrown away. A stop for another reason, fire say, is not held up by this.
    """
    discards = [way for way in _ways(engine) if way.verdict == "discard"]
    alarms = _alarms(engine).intersection(inference.reported)
    if any(test.key in alarms for way in discards for test in way.tests):
        return True
    causes = {cause for way in discards for cause in way.causes}
    return sum(inference.standing.get(cause, 0.0) for cause in causes) >= _PLAUSIBLE


def _still_open(
    tests: Sequence[Test], facts: Mapping[str, Sequence[Fact]], can_ask: Callable[[str], bool]
) -> list[Test]:
    """The tests that wait for an answer; none when one has failed or can never be answered."""
    open_: list[Test] = []
    for test in tests:
        known = facts.get(test.key)
        if isinstance(test, Missing):
            if known:
                return []
        elif known:
            if not any(
                test.holds_word(f.word) if f.word is not None else test.holds_number(f.number or 0)
                for f in known
            ):
                return []
        elif can_ask(test.key):
            open_.append(test)
        else:
            return []
    return open_


def _rests_on(base: Base, key: str, alarms: AbstractSet[str]) -> bool:
    """Whether this is one of the reports, or is only asked because of one."""
    if key in alarms:
        return True
    finding = base.findings.get(key)
    return bool(
        alarms
        and finding is not None
        and finding.ask_when
        and all(any(test.key in alarms for test in option) for option in finding.ask_when)
    )


def _is_rare(base: Base, test: Test, facts: Mapping[str, Sequence[Fact]]) -> bool:
    """Whether what is known meets the test with an answer that few batches have: egg, raw milk."""
    rates = base.base_rates.get(test.key, {})
    return any(
        fact.word is not None and test.holds_word(fact.word) and rates.get(fact.word, 1.0) <= _RARE
        for fact in facts.get(test.key, ())
    )


def _ending(engine: Engine) -> set[str]:
    return {c for way in _ways(engine) if way.verdict in _URGENT for c in way.causes}


def _alarms(engine: Engine) -> frozenset[str]:
    """The symptoms that are mostly explained by causes which end in a discard or a stop."""
    found = _ALARMS.get(engine)
    if found is None:
        ending = _ending(engine)
        explained: dict[str, set[str]] = {}
        for line in engine.base.lines:
            for option in line.when:
                if len(option) == 1 and engine.base.findings.get(option[0].key) is not None:
                    explained.setdefault(option[0].key, set()).update(
                        e.target
                        for e in line.effects
                        if e.kind == "suspect" and e.target in engine.base.causes
                    )
        found = _ALARMS[engine] = frozenset(
            key
            for key, causes in explained.items()
            if engine.base.findings[key].symptom and len(causes & ending) > _MOSTLY * len(causes)
        )
    return found


def _ways(engine: Engine) -> tuple[_Way, ...]:
    ways = _WAYS.get(engine)
    if ways is None:
        ways = _WAYS[engine] = tuple(_all_ways(engine.base))
    return ways


def _all_ways(base: Base) -> list[_Way]:
    concluding: dict[str, list[tuple[str, Line]]] = {}
    for line in base.lines:
        for effect in line.effects:
            if effect.kind == "conclude":
                concluding.setdefault(effect.target, []).append((effect.word, line))
    ways: list[_Way] = []
    for verdict, line in concluding.get("verdict", ()):
        causes = tuple(e.target for e in line.effects if e.kind == "suspect")
        for option in line.when:
            every = (option, *_spelt_out(option, base, concluding))
            ways.extend(_Way(tests, verdict, causes) for tests in every)
    return ways


def _spelt_out(
    option: tuple[Test, ...], base: Base, concluding: Mapping[str, list[tuple[str, Line]]]
) -> list[tuple[Test, ...]]:
    """The same with what only rules conclude put in terms of what can be asked."""
    choices: list[list[tuple[Test, ...]]] = []
    changed = False
    for test in option:
        finding = base.findings.get(test.key)
        if not isinstance(test, Is) or finding is None or finding.asked:
            choices.append([(test,)])
            continue
        changed = True
        choices.append(
            [
                way
                for word, line in concluding.get(test.key, ())
                if word in test.words
                for way in line.when
            ]
        )
    if not changed:
        return []
    size = 1
    for each in choices:
        size *= len(each)
    if not 0 < size <= _MOST_WAYS:
        return []
    return [tuple(dict.fromkeys(t for way in chosen for t in way)) for chosen in product(*choices)]
