"""A consultation as a value: every step returns a new one, so undo is to keep the old one."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

from advisor.consult.case import Case, read_case, unknown_symptom, write_case
from advisor.consult.naming import answer_named, remedy_named
from advisor.consult.question import (
    Question,
    closing_question,
    opening_question,
    question_for,
    symptom_question,
)
from advisor.errors import (
    AdvisorError,
    Place,
    Problem,
    ProblemsFound,
    did_you_mean,
    shortened,
    shortened_in,
)
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, Missing
from advisor.reasoning import MOST_QUESTIONS
from advisor.reasoning.answers import ASSUMED, Answer, finding_name, read_answer

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from pathlib import Path

    from advisor.chain.port import Fact
    from advisor.knowledge.conditions import Test
    from advisor.knowledge.findings import Finding
    from advisor.knowledge.model import Base
    from advisor.reasoning import contrast
    from advisor.reasoning.advise import Advice
    from advisor.reasoning.infer import Engine, Inference
    from advisor.reasoning.questions import Candidate, StopReason

__all__ = ["Consultation"]

_OPERATION = "operation"
_NOTHING = ("no", "none")
_OBSERVED = ("seen", "tasted", "measured")  # a look or a check may be made of anything
_FOLLOW_UP = 2  # questions more where a closing question was answered with yes


@dataclass(frozen=True)
class Consultation:
    """One run of questions and advice.

    ``answers`` keep the order in which they were given; ``asked`` are the findings that
    were answered because they were asked (not told at the start). ``limit`` is the most that is
    asked about the cause; the recipe and what is asked of every batch before the advice come on
    top. Answering again replaces the answer. Every method that changes something returns a new
    consultation.
    """

    base: Base = field(repr=False)
    answers: Mapping[str, Answer] = field(default_factory=dict)
    asked: tuple[str, ...] = ()
    tried: tuple[str, ...] = ()
    symptoms_listed: bool = False
    limit: int = MOST_QUESTIONS
    backend: str = "default"
    title: str = ""
    story: str = ""
    expect: Mapping[str, object] = field(default_factory=dict)
    invented: bool = False
    source: str = ""
    _before: Consultation | None = field(default=None, repr=False, compare=False)

    # Telling.

    def tell(self, name: str, raw: object, *, where: str = "") -> Consultation:
        """A finding and its answer as a person writes it. Raises ``AdvisorError``."""
        finding = self.base.findings.get(finding_name(name))
        if finding is not None:
            raw = answer_named(finding, raw)
        key, answer = read_answer(self.base, name, raw, where=where, answers=self.answers)
        return self._with(key, answer)

    def tell_symptoms(self, names: Iterable[str]) -> Consultation:
        """All symptoms that were seen, out of the whole list.

        Those not named are taken to be absent, which is assumed rather than told and
        counts for less. Raises ``AdvisorError``.
        """
        seen = {finding_name(name) for name in names}
        known = [f.id for f in self.base.findings.values() if f.symptom]
        for name in sorted(seen):
            if name not in known:
                raise AdvisorError(
                    "unknown-symptom",
                    f"there is no symptom {shortened(name)!r}",
                    where="symptoms",
                    hint=did_you_mean(name, known) or "curdwise questions lists the symptoms",
                )
        answers = {k: a for k, a in self.answers.items() if a.basis != "assumed"}
        for key in known:
            if key in seen:
                answers[key] = read_answer(self.base, key, "yes")[1]
            elif key not in answers:
                answers[key] = read_answer(self.base, key, "no", assumed=True)[1]
        return replace(self, answers=answers, symptoms_listed=True, _before=self)

    def dont_know(self, name: str) -> Consultation:
        """The person was asked and does not know."""
        return self.tell(name, UNKNOWN)

    def not_now(self, name: str) -> Consultation:
        """The person was asked and cannot do it now."""
        return self.tell(name, NOT_NOW)

    def failed(self, remedy: str) -> Consultation:
        """A remedy was tried and did not help; it may be named by its title.

        Raises ``AdvisorError``.
        """
        remedy = remedy_named(self.base, remedy)
        if remedy in self.tried:
            return self
        return replace(self, tried=(*self.tried, remedy), _before=self)

    def undo(self) -> Consultation:
        """The consultation as it was before the last step; itself when there is none."""
        return self._before or self

    def _with(self, id: str, answer: Answer) -> Consultation:
        answers = {k: a for k, a in self.answers.items() if k != id}
        answers[id] = answer
        return replace(self, answers=answers, _before=self)

    def answered(self, name: str, raw: object) -> Consultation:
        """Like ``tell``, for the answer to a question of ``next_question``; it counts as asked."""
        after = self.tell(name, raw)
        key = next(reversed(list(after.answers)))
        if self.base.findings[key].opening or key in self.asked:
            return after
        return replace(after, asked=(*self.asked, key), _before=self)

    # Asking.

    @cached_property
    def engine(self) -> Engine:
        """The engine that reasons on this base."""
        from advisor.reasoning.infer import engine_for

        return engine_for(self.base, self.backend)

    @cached_property
    def inference(self) -> Inference:
        """What follows from the answers so far."""
        return self.engine.infer(self.answers, self.tried)

    @cached_property
    def candidates(self) -> tuple[Candidate, ...]:
        """Every question that could be asked now, best first."""
        from advisor.reasoning.questions import candidates

        return candidates(self.engine, self.inference)

    @cached_property
    def stop_reason(self) -> StopReason | None:
        """Why nothing more need be asked, or ``None``."""
        if self._opening is not None:
            return None
        return None if self._closing is not None else self._enough

    @cached_property
    def _enough(self) -> StopReason | None:
        """Why nothing more need be asked about the causes, or ``None``."""
        from advisor.reasoning.questions import stop_reason

        closed = [name for name in self.asked if self.base.findings[name].closing]
        follow_up = _FOLLOW_UP * sum(self.answers[name].value == "yes" for name in closed)
        about_causes = max(0, len(self.asked) - len(closed) - follow_up)
        return stop_reason(
            self.engine, self.inference, about_causes, self.limit, self.candidates
        )

    @cached_property
    def _closing(self) -> Question | None:
        """The last questions, once enough is known about the cause. A verdict needs none.

        Once begun they are asked through, before what an answer to them may open.
        """
        enough = self._enough
        begun = any(self.base.findings[name].closing for name in self.asked)
        decided = enough is not None and enough.code == "verdict"
        if decided or not self.limit or (enough is None and not begun):
            return None
        finding = self._due(lambda f: f.closing)
        return closing_question(self.base, finding) if finding else None

    @cached_property
    def _opening(self) -> Question | None:
        if not self.symptoms_listed and not any(
            self.base.findings[name].symptom for name in self.answers
        ):
            return symptom_question(self.base)
        finding = self._due(lambda f: f.opening)
        return opening_question(self.base, finding) if finding else None

    def _due(self, place: Callable[[Finding], float]) -> str:
        """The first finding with a place in an order that applies and nobody has told; or empty.

        What is only assumed has not been told.
        """
        from advisor.reasoning.evidence import holds

        facts = self._told()
        for finding in sorted(self.base.findings.values(), key=lambda f: (place(f), f.id)):
            answer = self.answers.get(finding.id)
            if (
                place(finding)
                and (answer is None or answer.basis == ASSUMED)
                and (not finding.ask_when or holds(finding.ask_when, facts))
            ):
                return finding.id
        return ""

    def _told(self) -> dict[str, list[Fact]]:
        from advisor.chain.port import Fact

        told: dict[str, list[Fact]] = {}
        for key, answer in self.answers.items():
            if isinstance(answer.value, str):
                told[key] = [Fact(key, answer.value)]
            elif answer.value is not None:
                told[key] = [Fact(key, number=answer.value)]
            else:
                told[key] = [Fact(key, answer.status)]
        return told

    @cached_property
    def next_question(self) -> Question | None:
        """What to ask next, or ``None`` when it is time to conclude (see ``stop_reason``)."""
        if self._opening is not None:
            return self._opening
        if self._closing is not None:
            return self._closing
        if self.stop_reason is not None:
            return None
        best = self.candidates[0]
        return question_for(self.base, best.finding, best)

    def skip_opening(self) -> Consultation:
        """Leave every remaining question about the recipe unanswered."""
        after = self
        while (question := after._opening) is not None and question.kind != "symptoms":
            after = after.dont_know(question.finding)
        return replace(after, _before=self)

    # Concluding.

    @cached_property
    def advice(self) -> Advice:
        """The advice on what is known so far."""
        from advisor.reasoning.advise import advise

        return advise(self.engine, self.inference, self.candidates)

    # Contrasting. None of it changes the consultation.

    @cached_property
    def _supposing(self) -> contrast.Supposing:
        from advisor.reasoning.contrast import Supposing
        return Supposing(self.engine, self.inference)

    def why_not(self, cause: str) -> contrast.WhyNot:
        """Why a cause does not stand first: what failed, what is open, what speaks against it.

        ``cause`` is an id, a title, or words that fit a single one. Raises ``AdvisorError``.
        """
        from advisor.reasoning.contrast import cause_named, why_not
        return why_not(self._supposing, cause_named(self.base, cause))

    def rather(self, one: str, other: str) -> contrast.Rather:
        """Why one cause rather than another, and what would turn it round.

        Causes are named as for ``why_not``. Raises ``AdvisorError``.
        """
        from advisor.reasoning.contrast import cause_named, rather
        first, second = cause_named(self.base, one), cause_named(self.base, other)
        return rather(self._supposing, first, second)

    def what_changes(self) -> contrast.WhatChanges:
        """The single answers that would change the advice, nearest first."""
        from advisor.reasoning.contrast import what_changes
        return what_changes(self._supposing)

    def what_if(self, changes: Mapping[str, object]) -> contrast.Difference:
        """What other answers, all of them together, would change.

        ``changes`` maps findings to answers as a person writes them ("unknown" takes one back;
        ``symptoms`` is the list of all that are seen). Answers that a change rules out are set
        aside, and named. Raises ``ProblemsFound`` with every fault at once; a change that the
        other answers rule out is one.
        """
        from advisor.consult.whatif import supposing
        from advisor.reasoning.contrast import difference
        after, aside = supposing(self, changes)
        return difference(self.engine, self.inference, after.inference, aside)

    def without_practice(self) -> contrast.WithoutPractice:
        """The advice with what rests on practice or judgement alone left out."""
        from advisor.reasoning.contrast import without_practice
        return without_practice(self.engine, self.inference)

    # Keeping.

    @classmethod
    def from_case(
        cls,
        base: Base,
        case: Case | Path | str,
        *,
        limit: int = MOST_QUESTIONS,
        backend: str = "default",
    ) -> Consultation:
        """A consultation with the answers of a case or its file.

        Raises ``AdvisorError``; ``ProblemsFound`` lists every fault at once.
        """
        if not isinstance(case, Case):
            case = read_case(case)
        problems: list[Problem] = []
        made = cls(
            base,
            limit=limit,
            backend=backend,
            title=case.title,
            story=case.story,
            expect=case.expect,
            invented=case.invented,
            source=case.source,
        )
        known = [f.id for f in base.findings.values() if f.symptom]
        if case.symptoms is not None:
            wrong = [s for s in case.symptoms if finding_name(s) not in known]
            for name in wrong:
                place = case.places.get(name, Place(case.name))
                problems.append(unknown_symptom(name, known, place))
            if not wrong:
                made = made.tell_symptoms(case.symptoms)
        for name, raw in case.answers.items():
            place = case.places.get(name, Place(case.name))
            ident = finding_name(name)
            before = made.answers.get(ident)
            try:
                made = made.tell(name, raw)
                if before is not None and before.basis != "assumed":
                    problems.append(_answered_twice(ident, before, made.answers[ident], place))
            except AdvisorError as error:
                message = shortened_in(error.message, str(name), str(raw))
                problems.append(Problem(error.code, message, place, error.hint))
        for remedy in case.tried:
            try:
                made = made.failed(remedy)
            except AdvisorError as error:
                place = case.places.get(f"tried/{remedy}", Place(case.name))
                problems.append(Problem(error.code, error.message, place, error.hint))
        problems.extend(made.contradictions(case.places, case.name))
        if problems:
            raise ProblemsFound("this case file is not right", problems)
        return replace(made, _before=None)

    def contradictions(
        self, places: Mapping[str, Place] | None = None, name: str = "answers"
    ) -> list[Problem]:
        """Answers that cannot be true together.

        A question that was not worth asking may be answered all the same: that is no
        contradiction. It is one where the other answer says that there was no such thing.
        """
        found = []
        for ident in self.impossible:
            answer = self.answers[ident]
            against = " and ".join(
                f"{key} is {shortened(str(self.answers[key].value))}"
                for key in sorted(self._against(self.base.findings[ident]))
            )
            found.append(
                Problem(
                    "contradiction",
                    f"{ident} is {shortened(answer.text or str(answer.value))}, but {against}",
                    (places or {}).get(ident, Place(name)),
                    "both cannot be right: take one of them out",
                )
            )
        return found

    @property
    def impossible(self) -> tuple[str, ...]:
        """The answers that another answer makes impossible."""
        return tuple(
            ident
            for ident, answer in self.answers.items()
            if _sure(answer) and self._against(self.base.findings[ident])
        )

    def _against(self, finding: Finding) -> set[str]:
        """The answers that say together that there was nothing to answer; empty when none do.

        What somebody sees speaks for itself, whatever was done: a symptom contradicts nothing.
        Beyond that only the operation, and a plain no or none, say that there was no such thing.
        """
        if finding.symptom or not finding.ask_when:
            return set()
        against: set[str] = set()
        for option in finding.ask_when:
            denying = {test.key for test in option if self._denies(test, finding)}
            if not denying:
                return set()
            against |= denying
        return against

    def _denies(self, test: Test, finding: Finding) -> bool:
        """Whether an answer fails this test in a way that leaves nothing to ask for."""
        answer, about = self.answers.get(test.key), self.base.findings.get(test.key)
        if answer is None or about is None or about.symptom or not _sure(answer):
            return False
        nothing = answer.value in _NOTHING and finding.group not in _OBSERVED
        if (test.key != _OPERATION and not nothing) or not isinstance(answer.value, str):
            return False
        return not isinstance(test, Missing) and not test.holds_word(answer.value)

    def to_case(self) -> Case:
        """The consultation as a case, ready to be saved."""
        answers: dict[str, str | float] = {}
        symptoms: list[str] = []
        for key, answer in self.answers.items():
            if self.symptoms_listed and self.base.findings[key].symptom:
                if answer.value == "yes":
                    symptoms.append(key)
                    continue
                if answer.basis == "assumed":
                    continue
            answers[key] = _as_written(answer)
        return Case(
            name=self.title or "consultation",
            answers=answers,
            symptoms=tuple(symptoms) if self.symptoms_listed else None,
            tried=self.tried,
            title=self.title,
            story=self.story,
            expect=dict(self.expect),
            invented=self.invented,
            source=self.source,
        )

    def save(self, path: Path | str) -> None:
        """Write the consultation as a case file, whole or not at all."""
        write_case(path, self.to_case())


def _sure(answer: Answer) -> bool:
    """Whether it was told, rather than assumed or not known."""
    return answer.given and answer.basis != ASSUMED


def _as_written(answer: Answer) -> str | float:
    """An answer so that reading it again gives the same: amounts keep their wording."""
    if not answer.given:
        return answer.status
    if isinstance(answer.value, str) or answer.value is None:
        return answer.value or ""
    try:
        plain = float(answer.text) == answer.value
    except ValueError:
        plain = not answer.text
    return answer.value if plain else answer.text


def _answered_twice(name: str, first: Answer, second: Answer, place: Place) -> Problem:
    said = " and ".join(shortened(str(a.text or a.value or a.status)) for a in (first, second))
    return Problem(
        "contradiction", f"{name} is answered twice: {said}", place, "keep one of the two"
    )
