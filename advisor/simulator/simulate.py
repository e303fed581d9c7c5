"""Draw a batch, let something go wrong in it, work it out, and let a person describe it."""

from __future__ import annotations

import math
from random import Random
from types import MappingProxyType
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, did_you_mean
from advisor.simulator.batch import SimulatedBatch, level_of, truth_of
from advisor.simulator.chance import Chance, pick
from advisor.simulator.checks import CHECKS
from advisor.simulator.draw import OPERATIONS, draw_batch
from advisor.simulator.facts import AMOUNTS, FACTS, OPENING
from advisor.simulator.faults import FAULTS, Fault, UnsuitableError, nothing_wrong
from advisor.simulator.state import ORDER, State, work_out
from advisor.simulator.symptoms import NEIGHBOURS, scores

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from advisor.simulator.batch import Level
    from advisor.simulator.making import Making

__all__ = ["fault_ids", "perform", "simulate", "topics"]

_TRIES = 60
_SHARE = {"often": 6.0, "sometimes": 3.0, "rare": 1.0}  # weight of each class (judgement)
# Sound batches are quiet and faulty ones speak: scores between are nobody's case.
_QUIET, _SPEAKS = 0.62, 1.1
_OPERATION_SHARE = {"strip": 0.6, "fat-wash": 0.24, "whey-dose": 0.06, "several": 0.10}


def fault_ids() -> tuple[str, ...]:
    """Every fault that can be drawn, by the id of its cause."""
    return tuple(sorted(FAULTS))


def topics() -> tuple[str, ...]:
    """The groups that ``simulate`` can be held to: operations and kinds of trouble."""
    return tuple(sorted({fault.topic for fault in FAULTS.values()} | set(OPERATIONS[:3])))


def simulate(
    seed: int,
    *,
    topic: str | None = None,
    difficulty: str = "ordinary",
    faults: Sequence[str] | None = None,
) -> SimulatedBatch:
    """One batch, the same for the same arguments everywhere.

    ``topic`` one of ``topics()``; ``difficulty`` easy, ordinary or hard; ``faults`` fixes what
    goes wrong (ids of ``fault_ids()``; an empty sequence for a sound batch). ``AdvisorError`` for a
    word that is not known, or for faults that cannot be met in one batch.
    """
    level = level_of(difficulty)
    wanted = _wanted(faults)
    _check_topic(topic)
    random = Random(f"batch:{seed}:{topic or ''}")  # noqa: S311 (a simulation)
    if wanted is None:
        kind = pick(random, {"sound": 0.04 if topic is None else 0.0, "faulty": 0.96})
    else:
        kind = "faulty" if wanted else "sound"
    if kind == "sound":
        return _sound(seed, random, level, difficulty)
    found = _faulty(random, level, topic, wanted)
    if found is None:
        raise AdvisorError(
            "simulate-no-batch",
            f"no batch could be drawn in which {', '.join(wanted or ())} shows anything",
            hint="ask for one fault at a time, or for another seed",
        )
    chosen, state, main = found
    return _described(seed, chosen, state, main, level, difficulty)


def _wanted(faults: Sequence[str] | None) -> tuple[str, ...] | None:
    if faults is None:
        return None
    for name in faults:
        if name not in FAULTS:
            raise AdvisorError(
                "simulate-fault",
                f"no fault {name!r} can be drawn",
                hint=did_you_mean(name, FAULTS) or "see fault_ids()",
            )
    if len(faults) > 2:
        raise AdvisorError("simulate-fault", f"{len(faults)} faults were given; at most two")
    return tuple(faults)


def _check_topic(topic: str | None) -> None:
    if topic is not None and topic not in topics():
        raise AdvisorError(
            "simulate-topic", f"topic is {topic!r}; it must be one of {', '.join(topics())}"
        )


def _weights(topic: str | None) -> dict[str, float]:
    out = {}
    for fault in FAULTS.values():
        if topic in OPERATIONS:
            if topic not in fault.on:
                continue
        elif topic is not None and fault.topic != topic:
            continue
        out[fault.id] = _SHARE[fault.common] * _met(fault)
    return out


def _met(fault: Fault) -> float:
    """How often the operations are met in which the fault can happen at all."""
    return math.sqrt(sum(_OPERATION_SHARE[name] for name in fault.on))


_Found = tuple[tuple[Fault, ...], State, frozenset[str]]


def _faulty(
    random: Random, level: Level, topic: str | None, wanted: tuple[str, ...] | None
) -> _Found | None:
    for _ in range(6):
        if wanted is not None:
            chosen = tuple(FAULTS[name] for name in wanted)
        else:
            main = FAULTS[pick(random, _weights(topic))]
            chosen = (main,)
            if random.random() < level.two:
                chosen = (main, FAULTS[pick(random, _weights(None))])
        found = _draw(random, chosen, topic)
        if found is None and len(chosen) == 2 and wanted is None:
            found = _draw(random, chosen[:1], topic)
        if found is not None:
            return found
    return None


def _draw(random: Random, chosen: tuple[Fault, ...], topic: str | None) -> _Found | None:
    """Draw batches until one is sound without the faults and speaks with each of them."""
    if len({fault.id for fault in chosen}) < len(chosen):
        return None
    shared = [name for name in OPERATIONS if all(name in fault.on for fault in chosen)]
    if topic in OPERATIONS:
        shared = [name for name in shared if name == topic]
    if not shared:
        return None
    for _ in range(_TRIES if len(chosen) == 1 else 12):
        operation = pick(random, {name: _OPERATION_SHARE[name] for name in shared})
        sound = draw_batch(random, operation)
        if not _quiet(sound):
            continue
        found = _spoil(random, sound, chosen)
        if found is not None:
            return found
    return None


def _quiet(made: Making) -> bool:
    """Nothing to see, however far it would be followed."""
    moment = made.plan.moment
    made.plan.moment = ORDER[-1]
    quiet = max(scores(work_out(made)).values()) <= _QUIET
    made.plan.moment = moment
    return quiet


def _spoil(random: Random, sound: Making, chosen: tuple[Fault, ...]) -> _Found | None:
    made = sound.copy()
    try:
        for fault in chosen:
            fault.apply(made, random)
        if any(fault.still is not None and not fault.still(made) for fault in chosen):
            return None
        state = work_out(made)
        loud = _loud(state)
        if not loud or (chosen[0].verdict == "discard" and not state.kept.unsafe):
            return None
        if len(chosen) == 2 and not _each_speaks(random, sound, chosen, loud):
            return None
    except UnsuitableError:
        return None
    return chosen, state, loud


def _loud(state: State) -> frozenset[str]:
    return frozenset(name for name, score in scores(state).items() if score > _SPEAKS)


def _each_speaks(
    random: Random, sound: Making, chosen: tuple[Fault, ...], loud: frozenset[str]
) -> bool:
    """Both faults, alone in the same batch, show something that is also there together."""
    for fault in chosen:
        alone = sound.copy()
        fault.apply(alone, random)
        if not _loud(work_out(alone)) & loud:
            return False
    return True


def _sound(seed: int, random: Random, level: Level, difficulty: str) -> SimulatedBatch:
    while True:
        operation = pick(random, _OPERATION_SHARE)
        made = draw_batch(random, operation)
        if not _quiet(made):
            continue
        said = nothing_wrong(made, random)
        state = work_out(made)
        if not state.kept.unsafe:
            break
    return _described(seed, (), state, frozenset({said}), level, difficulty)


def _described(
    seed: int,
    chosen: tuple[Fault, ...],
    state: State,
    loud: frozenset[str],
    level: Level,
    difficulty: str,
) -> SimulatedBatch:
    symptoms = _symptoms(seed, state, loud, level)
    told: dict[str, str] = {}
    answers: dict[str, str] = {}
    memory = Chance(seed, "memory", 0, 1.0)
    for name in (*FACTS, *CHECKS):
        value = _ask(state, seed, name, 0, level.noise)
        if value is None:
            continue
        forgets = level.forgets if name in AMOUNTS else level.forgets / 3.0
        if name in FACTS and name not in _KINDS:
            forgotten = memory.slips(forgets)
            if forgotten and name not in _STANDS_THERE:
                continue
        first = name in OPENING or (name in FACTS and memory.slips(level.told))
        (told if first else answers)[name] = value
    for name, score in scores(state).items():
        if name in symptoms:
            continue
        chance = Chance(seed, name, 0, level.noise)
        answers[name] = "yes" if chance.seen(score, 1.0, 0.2) else "no"
    main = chosen[0] if chosen else None
    return SimulatedBatch(
        seed=seed,
        faults=tuple(fault.id for fault in chosen),
        accept=(main.id, *main.twins) if main else (),
        stage=main.stage if main else "",
        verdict=_verdict(state, chosen),
        operation=state.made.operation,
        symptoms=symptoms,
        told=MappingProxyType(told),
        answers=MappingProxyType(answers),
        truth=MappingProxyType(truth_of(state)),
        difficulty=difficulty,
        state=state,
    )


def _verdict(state: State, chosen: tuple[Fault, ...]) -> str:
    """Stop where a hand would be hurt, discard where the liquid is not fit, stop for a guest.

    What is thrown away meets no guest, so an unfit drink with a wrong label is discarded.
    """
    if not chosen:
        return "nothing-wrong"
    stops = [fault for fault in chosen if fault.verdict == "stop"]
    if any(fault.stage != "label" for fault in stops):
        return "stop"
    if state.kept.unsafe:
        return "discard"
    return "stop" if stops else "cause"


def _symptoms(seed: int, state: State, loud: frozenset[str], level: Level) -> tuple[str, ...]:
    """What is said at once: the loudest, some of the rest, now and then a neighbour's word."""
    rated = scores(state)
    ranked = sorted(loud, key=lambda name: (-rated.get(name, 0.0), name))
    said: list[str] = []
    for place, name in enumerate(ranked):
        chance = Chance(seed, f"say:{name}", 0, 1.0)
        if place > 0 and not chance.slips(level.said):
            continue
        word = name
        near = [n for n in NEIGHBOURS.get(name, ()) if n in rated]
        if near and chance.slips(level.swaps):
            word = chance.other(near)
        if word not in said:
            said.append(word)
    return tuple(said[:4])


def _ask(state: State, seed: int, name: str, attempt: int, noise: float) -> str | None:
    look: Callable[[State, Chance], str | None] = FACTS.get(name) or CHECKS[name]
    return look(state, Chance(seed, name, attempt, noise))


def perform(batch: SimulatedBatch, finding: str, attempt: int) -> str | None:
    """The same check done again: the same batch, fresh noise; ``attempt`` 0 is the first time.

    ``None`` where it cannot be done or known. ``AdvisorError`` for an unknown finding.
    """
    state = batch.state
    if state is None:
        raise AdvisorError("simulate-state", "this batch carries no state; draw it with simulate()")
    noise = level_of(batch.difficulty).noise
    if finding in FACTS or finding in CHECKS:
        return _ask(state, batch.seed, finding, attempt, noise)
    rated = scores(state)
    if finding in rated:
        if attempt == 0 and finding in batch.symptoms:
            return "yes"
        chance = Chance(batch.seed, finding, attempt, noise)
        return "yes" if chance.seen(rated[finding], 1.0, 0.2) else "no"
    if finding in _KNOWN:
        return None
    raise AdvisorError(
        "simulate-finding",
        f"nothing here can tell {finding!r}",
        hint=did_you_mean(finding, _KNOWN) or "",
    )


# Whoever is asked can go and look: it is seen on what stands there, and not remembered.
_STANDS_THERE = frozenset({"gas_or_film", "kept_where", "vessel_kind"})
_KINDS = frozenset({"operation", "milk_kind", "acid_kind", "fat_kind", "whey_kind"})
_KNOWN = frozenset((*FACTS, *CHECKS, *NEIGHBOURS))
