"""A drill under way, as a value: every step gives a new one; nothing is read or written here."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from advisor.consult import Case, Consultation
from advisor.drills.amounts import read_amount
from advisor.drills.answering import answered
from advisor.drills.costs import cost_of
from advisor.drills.events import Asked, Finished, Hinted, Named, Said, Treated
from advisor.drills.scenario import Written
from advisor.drills.shape import VERDICTS
from advisor.errors import AdvisorError, did_you_mean
from advisor.knowledge.words import FULL_STAGES
from advisor.reasoning.answers import finding_name
from advisor.reasoning.evidence import holds

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from advisor.drills.events import Event
    from advisor.drills.scenario import Scenario
    from advisor.knowledge.model import Base

__all__ = ["EXAM", "PRACTICE", "DrillSession", "opening"]

PRACTICE, EXAM = "practice", "exam"

# What a hint costs on the clock; judgement: about as much as a quick measurement.
_HINT_MINUTES = 3.0
# The order of a drill; each event closes the one before.
_PHASES = ("asking", "treating", "saying", "ending", "over")


def opening(base: Base, scenario: Scenario) -> Consultation:
    """A consultation that knows what is seen at once. Raises ``ProblemsFound``."""
    case = Case(
        name=scenario.name,
        answers=dict(scenario.seen),
        symptoms=scenario.symptoms,
        title=scenario.title,
        story=scenario.story,
        invented=scenario.invented,
        places={
            key: scenario.place(f"seen/{key}" if key in scenario.seen else f"seen/symptoms/{key}")
            for key in (*scenario.seen, *scenario.symptoms)
        },
    )
    now = Consultation.from_case(base, case)
    if not isinstance(scenario.batch, Written):
        return now
    # A written story names all that can be seen at once: what it leaves out is not there. Only a
    # symptom that is hidden on purpose stays open.
    facts = now.inference.facts_by_key()
    for finding in base.findings.values():
        if (
            finding.symptom
            and finding.id not in scenario.symptoms
            and finding.id not in scenario.batch.readings
            and (not finding.ask_when or holds(finding.ask_when, facts))
        ):
            now = now.tell(finding.id, "no")
    return now


@dataclass(frozen=True)
class DrillSession:
    """One learner's run of one scenario.

    ``mode`` is practice or exam; ``seed`` fixes the noise of the answers; ``started`` is UTC.
    The phases are asking, treating, saying, ending and over. A step that does not belong to
    the phase raises ``AdvisorError`` (code ``drill-step``).
    """

    base: Base
    scenario: Scenario
    started: datetime
    learner: str = "me"
    group: str = ""
    mode: str = PRACTICE
    seed: int = 0
    events: tuple[Event, ...] = ()

    # Where it stands.

    @cached_property
    def phase(self) -> str:
        """What comes next."""
        kinds = {type(event) for event in self.events}
        passed = sum(kind in kinds for kind in (Named, Treated, Said, Finished))
        return _PHASES[passed]

    @cached_property
    def steps(self) -> tuple[Asked, ...]:
        """What was asked, in order."""
        return tuple(e for e in self.events if isinstance(e, Asked))

    @cached_property
    def hints(self) -> tuple[Hinted, ...]:
        """The hints that were taken."""
        return tuple(e for e in self.events if isinstance(e, Hinted))

    @property
    def minutes(self) -> float:
        """What the clock shows: steps and hints."""
        return sum(s.minutes for s in self.steps) + sum(h.minutes for h in self.hints)

    @property
    def liquid_ml(self) -> float:
        """Drink used up by trying things, mL."""
        return sum(step.liquid_ml for step in self.steps)

    @cached_property
    def named(self) -> Named | None:
        """What was named, once it was."""
        return next((e for e in self.events if isinstance(e, Named)), None)

    @cached_property
    def treated(self) -> Treated | None:
        """What was to be done, once that was said."""
        return next((e for e in self.events if isinstance(e, Treated)), None)

    @cached_property
    def said(self) -> Said | None:
        """What was to be told to others, once that was said."""
        return next((e for e in self.events if isinstance(e, Said)), None)

    @cached_property
    def finished(self) -> Finished | None:
        """The end, once it is over."""
        return next((e for e in self.events if isinstance(e, Finished)), None)

    def consultation(self, steps: int | None = None) -> Consultation:
        """What the advisor would know after so many steps (all when not given)."""
        after = opening(self.base, self.scenario)
        for step in self.steps[:steps]:
            after = after.answered(step.finding, step.answer)
        return after

    @cached_property
    def open(self) -> tuple[str, ...]:
        """The findings that can be asked for now: those that apply and were not told at once.

        What was asked of a person is not asked twice; a check may be done again.
        """
        facts = self.consultation().inference.facts_by_key()
        checked = {check.finding for check in self.base.checks.values()}
        done = {step.finding for step in self.steps}
        return tuple(
            f.id
            for f in self.base.findings.values()
            if f.asked
            and f.id not in self.scenario.seen
            and f.id not in self.scenario.symptoms
            and (f.id not in done or f.id in checked)
            and (not f.ask_when or holds(f.ask_when, facts))
        )

    # Steps.

    def ask(self, name: str, *, anyway: bool = False) -> DrillSession:
        """Ask, look, taste, measure or try: the batch answers.

        ``name`` is a finding or a check. ``anyway`` takes also what does not apply as far as is
        known, as somebody with a booklet may have looked it up. Raises ``AdvisorError``.
        """
        self._must_be("asking")
        finding = finding_name(name)
        check = self.base.checks.get(name.strip().lower())
        if check is not None:
            finding = check.finding
        if finding not in self.open and not (anyway and self._could_ask(finding)):
            raise self._not_open(finding)
        attempt = sum(step.finding == finding for step in self.steps)
        answer = answered(self.base, self.scenario, finding, attempt, self.seed)
        cost = cost_of(self.base, finding, known=answer != "unknown")
        return self._with(
            Asked(finding, answer, cost.minutes, cost.work, cost.wait, cost.liquid_ml)
        )

    def _could_ask(self, finding: str) -> bool:
        about = self.base.findings.get(finding)
        told = (*self.scenario.seen, *self.scenario.symptoms, *(s.finding for s in self.steps))
        return about is not None and about.asked and finding not in told

    def _not_open(self, finding: str) -> AdvisorError:
        base = self.base
        if finding not in base.findings:
            hint = did_you_mean(finding, self.open) or "curdwise questions lists the names"
            return AdvisorError("drill-step", f"there is nothing called {finding!r}", hint=hint)
        if finding in self.scenario.seen or finding in self.scenario.symptoms:
            said = "is told at the start already"
        elif any(step.finding == finding for step in self.steps):
            said = "was asked already"
        else:
            said = "does not apply to this batch, as far as is known"
        return AdvisorError("drill-step", f"{finding} {said}", hint="choose something else")

    def hint(self, text: str) -> DrillSession:
        """Take a hint. Raises ``AdvisorError`` in an exam."""
        self._must_be("asking")
        if self.mode == EXAM:
            raise AdvisorError("drill-step", "an exam gives no hints")
        return self._with(Hinted(text, _HINT_MINUTES))

    def name(
        self,
        verdict: str,
        causes: Iterable[str] = (),
        stage: str = "",
        confidence: float | None = None,
    ) -> DrillSession:
        """Say what it is; asking is over with that.

        ``stage`` may be left out when a cause is named. Raises ``AdvisorError``.
        """
        self._must_be("asking")
        causes = tuple(dict.fromkeys(causes))
        _known(verdict, VERDICTS, "verdict")
        for cause in causes:
            _known(cause, self.base.causes, "cause")
        if len(causes) > 2:
            raise AdvisorError("drill-step", "name one cause, or two when there are two faults")
        stage = stage or (self.base.causes[causes[0]].stage if causes else "")
        if stage:
            _known(stage, FULL_STAGES, "stage")
        if confidence is not None and not 0.0 <= confidence <= 1.0:
            raise AdvisorError(
                "drill-step", f"{confidence:g} is no probability", hint="from 0 to 1"
            )
        return self._with(Named(verdict, causes, stage, confidence))

    def treat(self, remedy: str = "", dose: str = "") -> DrillSession:
        """Say what to do about it, and how much of it. Raises ``AdvisorError``."""
        self._must_be("treating")
        if remedy:
            _known(remedy, self.base.remedies, "remedy")
        if dose:
            read_amount(dose)
        return self._with(Treated(remedy, dose))

    def say(self, statements: Iterable[str] = ()) -> DrillSession:
        """Say what must be told to a guest or a colleague. Raises ``AdvisorError``."""
        self._must_be("saying")
        known = [*self.base.cautions, *(f"wrong-{n}" for n in range(1, self._wrong + 1))]
        told = tuple(dict.fromkeys(statements))
        for statement in told:
            _known(statement, known, "statement")
        return self._with(Said(told))

    def finish(self, at: datetime) -> DrillSession:
        """End it. Raises ``AdvisorError`` when something is still to be said."""
        self._must_be("ending")
        return self._with(Finished(at))

    @property
    def _wrong(self) -> int:
        return len(self.scenario.wrong_to_say)

    def _must_be(self, phase: str) -> None:
        if self.phase != phase:
            raise AdvisorError(
                "drill-step",
                f"the drill is at {self.phase!r}, not at {phase!r}",
                hint="the order is: ask, name the cause, pick the remedy, say what must be said",
            )

    def _with(self, event: Event) -> DrillSession:
        return replace(self, events=(*self.events, event))


def _known(word: str, known: Iterable[str], what: str) -> None:
    words = list(known)
    if word not in words:
        few = f"one of {', '.join(words)}" if len(words) < 20 else ""
        raise AdvisorError(
            "drill-step",
            f"there is no {what} {word[:60]!r}",
            hint=did_you_mean(word, words) or few,
        )
