"""Scenarios made up from a seed: the physical model makes the batch and answers what is asked.

The model knows nothing of rules. A batch that the advisor does not solve is passed over, so the
same seed, topic, difficulty and knowledge always give the same scenario.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from advisor.consult import Consultation
from advisor.drills.replay import expert, whole
from advisor.drills.scenario import Dose, Scenario, WrongToSay
from advisor.errors import AdvisorError
from advisor.knowledge.model import BRACES
from advisor.reasoning.answers import read_answer
from advisor.reasoning.evidence import holds

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.model import Base
    from advisor.simulator import SimulatedBatch

__all__ = ["generate", "remake", "topics"]

# So many batches are tried before giving up. Of the first 25 seeds without a topic the advisor
# solved 23 easy, 12 ordinary and 10 hard ones.
_TRIES = 30
_CURES = 0.8
_WIDEST = 6.0
_STRIDE = 1_000_003  # between the batches of one seed, so that neighbouring seeds share none
_MADE = {
    "strip": "a drink was washed with milk",
    "fat-wash": "a spirit was fat-washed",
    "whey-dose": "whey went into a drink",
    "several": "a drink went through more than one of milk, fat and whey",
}
_CLEAR = WrongToSay(
    "It is clear and filtered, so it is as good as dairy free.",
    "Only casein is strained out. Whey protein stays in however clear it looks, and it is an "
    "allergen.",
)


@dataclass(frozen=True, slots=True)
class _Simulated:
    """A simulated batch behind the questions of a drill; its noise hangs on its own seed."""

    base: Base
    batch: SimulatedBatch

    def answer(self, finding: str, attempt: int, seed: int) -> str | float:
        """See ``Batch``; ``seed`` is not needed, the batch has its own."""
        from advisor.simulator import perform

        first = self.batch.answers.get(finding)
        if first is None:  # what its maker has forgotten stays forgotten
            return "unknown"
        found = first if attempt == 0 else perform(self.batch, finding, attempt)
        return "unknown" if found is None else _readable(self.base, finding, found)


def topics() -> tuple[str, ...]:
    """What a generated drill can be about."""
    from advisor import simulator

    return simulator.topics()


def generate(base: Base, seed: int, *, topic: str = "", difficulty: str = "easy") -> Scenario:
    """The scenario of a seed. Raises ``AdvisorError`` when no such batch can be solved."""
    from advisor.drills.check import solves

    for number in range(_TRIES):
        scenario = _drawn(base, seed + number * _STRIDE, topic, difficulty, seed)
        if solves(base, scenario, expert(base, scenario)):
            return scenario
    raise AdvisorError(
        "no-such-drill",
        f"no batch could be made up from seed {seed} that the advisor solves",
        hint="take another seed, topic or difficulty",
    )


def remake(base: Base, made_from: Mapping[str, Any]) -> Scenario:
    """A generated scenario once more, from what it was made from. Raises ``AdvisorError``."""
    try:
        return _drawn(
            base,
            int(made_from["draw"]),
            str(made_from["topic"]),
            str(made_from["difficulty"]),
            int(made_from["seed"]),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise AdvisorError("journal", f"its scenario cannot be made again: {error}") from None


def _drawn(base: Base, draw: int, topic: str, difficulty: str, seed: int) -> Scenario:
    from advisor.simulator import simulate

    batch = simulate(draw, topic=topic or None, difficulty=difficulty)
    made = _MADE.get(batch.operation, "a drink was made")
    sound = batch.verdict == "nothing-wrong"
    scenario = Scenario(
        name="-".join(filter(None, ("made", topic, difficulty, str(seed)))),
        title=f"A batch of the Cold Larder, number {seed}",
        story=f"At the Cold Larder {made}, and somebody is not happy with it. "
        "Find out what it is before it is served.",
        difficulty=difficulty,
        topics=(topic,) if topic else (batch.operation,),
        symptoms=tuple(batch.symptoms),
        seen=_told(base, batch),
        batch=_Simulated(base, batch),
        verdict=batch.verdict,
        causes=() if sound else tuple(f for f in batch.faults if f in base.causes),
        accept=() if sound else tuple(a for a in batch.accept if a in base.causes),
        invented=True,
        made_from={"seed": seed, "draw": draw, "topic": topic, "difficulty": difficulty},
    )
    return _with_solution(base, scenario)


def _told(base: Base, batch: SimulatedBatch) -> dict[str, str | float]:
    """What the maker tells, as far as it applies: nobody says that no nut syrup went in when
    nothing oily did."""
    now = Consultation(base).tell_symptoms(batch.symptoms)
    for finding, answer in batch.told.items():
        now = now.tell(finding, _readable(base, finding, answer))
    facts = now.inference.facts_by_key()
    applies = {f.id for f in base.findings.values() if not f.ask_when or holds(f.ask_when, facts)}
    first = {f: base.findings[f].opening or 1000.0 for f in applies}
    return {
        finding: _readable(base, finding, batch.told[finding])
        for finding in sorted(applies & set(batch.told), key=lambda f: (first[f], f))
    }


def _readable(base: Base, finding: str, answer: str) -> str | float:
    """The model's words as a consultation takes them: a number of points may be below nothing,
    which nobody writes with a unit."""
    try:
        read_answer(base, finding, answer)
    except AdvisorError:
        try:
            return float(answer.split()[0])
        except (ValueError, IndexError):
            return "unknown"
    return answer


def _with_solution(base: Base, scenario: Scenario) -> Scenario:
    """What follows from the whole truth: remedies that cure, their doses, what must be said."""
    truth = whole(base, scenario)
    facts = truth.inference.facts_by_key()
    fits = [
        r
        for r in base.remedies.values()
        if any(r.cures.get(c, 0.0) >= _CURES for c in scenario.causes)
        and (not r.when or holds(r.when, facts))
    ]
    remedies = tuple(r.id for r in fits)
    say = tuple(c for c in truth.inference.cautions if base.cautions[c].level == "stop")
    return replace(
        scenario,
        remedies=remedies,
        doses=_doses(base, truth, remedies),
        say=say,
        wrong_to_say=(_CLEAR,) if "contains-milk" in say else (),
    )


def _doses(base: Base, truth: Consultation, remedies: tuple[str, ...]) -> tuple[Dose, ...]:
    """Doses of what can be done with this batch, where the sum is sharp enough to mark by."""
    named = [
        f
        for r in remedies
        if base.remedies[r].of == "this-batch"
        for f in BRACES.findall(base.remedies[r].do)
    ]
    doses = []
    for figure in dict.fromkeys(named):
        worked, about = truth.inference.facts.figures.get(figure), base.figures.get(figure)
        if worked is None or about is None or about.unit not in ("mL", "g"):
            continue
        low = max(worked.low, worked.high / _WIDEST)
        if isinstance(worked.value, float) and 0.0 < low < worked.high:
            doses.append(Dose(about.label, low, worked.high, about.unit))
    return tuple(doses)
