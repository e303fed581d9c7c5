"""The conversation: question after question, and what comes after the result."""

from __future__ import annotations

import gc
import threading
from typing import TYPE_CHECKING

from advisor.cli.keeping import keep, place_for
from advisor.cli.prompts import Asker, Keys, Numbered, Reply, checker, say_to_person
from advisor.consult.case import case_text
from advisor.errors import AdvisorError, shortened, shortened_in
from advisor.reasoning.answers import ASSUMED

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.consult import Consultation, Question

__all__ = ["afterwards", "converse", "keep_as", "recap"]


class _KeptError(KeyboardInterrupt):
    """Interrupted, and what was said has been saved already."""


def converse(consultation: Consultation, save: Path | None) -> Consultation:
    """Ask until it is time to conclude. Ctrl-C saves, says how to go on, and ends the command."""
    asker = _asker(consultation)
    # Rules and the units library are needed from the first answer on: load them while the
    # person reads.
    threading.Thread(target=_warm_up, args=(consultation,), daemon=True).start()
    stopped = False
    try:
        while (question := consultation.next_question) is not None:
            if not stopped and _stops(consultation, question):
                stopped = True  # said at once: what is still asked must not hold it up
                say_to_person(
                    f"\n{consultation.advice.verdict.text}"
                    " It may even have to be thrown away, so a little more is asked.\n"
                )
            reply = asker.ask(question, can_go_back=consultation.undo() is not consultation)
            if reply.kind == "stop":
                break
            consultation = _take(consultation, question, reply, asker)
    except (KeyboardInterrupt, EOFError):
        _keep(consultation, save)
        raise _KeptError from None
    if consultation.stop_reason is not None:
        say_to_person(f"\nEnough asked: {consultation.stop_reason.text}.")
    say_to_person()
    return consultation


def recap(consultation: Consultation, units: str) -> None:
    """What was said so far, in a short list, before a conversation goes on."""
    from advisor.report.namings import answer_words

    base = consultation.base
    told = {k: a for k, a in consultation.answers.items() if a.basis != ASSUMED}
    seen = [k for k, a in told.items() if base.findings[k].symptom and a.value == "yes"]
    rest = [k for k, a in told.items() if a.given and k not in seen]
    open_ = [base.findings[k].label for k, a in told.items() if not a.given]
    say_to_person("\nSo far you said:")
    if seen:
        labels = "; ".join(base.findings[k].label for k in seen)
        say_to_person(f"what is wrong: {labels}", indent=2)
    for key in rest:
        words = shortened(answer_words(base, key, told[key], units))
        say_to_person(f"{base.findings[key].label}: {words}", indent=2)
    if open_:
        say_to_person(f"not known: {'; '.join(open_)}", indent=2)
    if consultation.tried:
        titles = "; ".join(base.remedies[r].title for r in consultation.tried)
        say_to_person(f"tried without help: {titles}", indent=2)


def afterwards(consultation: Consultation, save: Path | None, units: str) -> None:
    """What the person did next, and what they want explained. Ctrl-C keeps what is new."""
    from advisor.cli.afterwards import choices

    asker = _asker(consultation)
    begun = consultation
    try:
        while True:
            say_to_person()
            picked = asker.pick("What now?", choices(consultation))
            if picked == "end":
                return
            consultation = _afterwards(consultation, picked, asker, save, units)
    except _KeptError:
        return
    except (KeyboardInterrupt, EOFError):
        say_to_person()
        if consultation is not begun:
            _keep(consultation, save)


def _afterwards(
    consultation: Consultation, picked: str, asker: Asker, save: Path | None, units: str
) -> Consultation:
    from advisor.cli.afterwards import explain, keep_as_file
    from advisor.cli.diagnose import show

    if picked == "save":
        keep_as_file(consultation, asker)
    elif picked in ("failed", "more"):
        if picked == "failed":
            consultation = consultation.failed(consultation.advice.this_batch[0].remedy.id)
        else:
            consultation = converse(consultation, save)
        show(consultation, as_json=False, how=False, why=False, units=units)
    else:
        explain(consultation, picked, asker, units)
    return consultation


def _stops(consultation: Consultation, question: Question) -> bool:
    """Whether it is known to be a stop, though there is something left to ask."""
    return question.candidate is not None and "stop" in consultation.inference.verdicts


def _take(
    consultation: Consultation, question: Question, reply: Reply, asker: Asker
) -> Consultation:
    if reply.kind == "back":
        return consultation.undo()
    if reply.kind == "why":
        _why(consultation, question)
        return consultation
    if reply.kind == "skip-rest":
        return consultation.skip_opening()
    if question.kind == "symptoms":
        picked = list(reply.value or ())
        if reply.kind == "other":
            picked += _search(consultation, asker)
        if not picked:
            say_to_person("Pick at least one thing that is wrong, or press Ctrl-C to leave.")
            return consultation
        return consultation.tell_symptoms(picked)
    if reply.kind in ("unknown", "not-now"):
        return consultation.answered(question.finding, reply.kind)
    try:
        return consultation.answered(question.finding, reply.value)
    except AdvisorError as error:
        message = shortened_in(error.message, str(reply.value))
        say_to_person(". ".join(part for part in (message, error.hint) if part))
        return consultation


def _search(consultation: Consultation, asker: Asker) -> list[str]:
    """Symptoms that match a word the person uses."""
    from advisor.cli.afterwards import search

    symptoms = [f for f in consultation.base.findings.values() if f.symptom]
    picked = search(asker, symptoms, "What do you see, taste or smell? A word or two:")
    return [picked] if picked else []


def _why(consultation: Consultation, question: Question) -> None:
    if question.help:
        say_to_person(question.help, indent=2)
    if question.candidate is None:
        say_to_person(question.because, indent=2)
        return
    from advisor.report.explain import why, why_lines

    say_to_person()
    for line in why_lines(why(consultation.engine, consultation.inference, question.candidate)):
        say_to_person(line, indent=2)


def _asker(consultation: Consultation) -> Asker:
    from advisor.cli.diagnose import accessible

    kind = Numbered if accessible() else Keys
    return kind(checker(consultation.base))


def _warm_up(consultation: Consultation) -> None:
    from advisor.quantities import warm_up

    _ = consultation.engine
    warm_up()
    gc.freeze()  # the base and the engine stay: the collector need never look at them again
    gc.enable()


def _keep(consultation: Consultation, save: Path | None) -> None:
    """Save an interrupted consultation and say how to go on with it."""
    if consultation.answers:
        keep_as(consultation, save or place_for("interrupted"))


def keep_as(consultation: Consultation, path: Path) -> bool:
    """Save a consultation, or show it where that fails. Says whether it is saved."""
    return keep(case_text(consultation.to_case()), path, "curdwise diagnose --resume")
