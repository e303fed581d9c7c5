"""What a person may ask once the result is there: how, why not, what if, and so on.

Everything here goes through an ``Asker``, so that arrow keys and numbered lines offer the
same.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from advisor.cli.menu import Entry, fitting
from advisor.cli.prompts import say_to_person
from advisor.errors import AdvisorError, shortened, shortened_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.cli.prompts import Asker
    from advisor.consult import Consultation
    from advisor.knowledge.model import Finding

__all__ = ["choices", "explain", "keep_as_file", "search"]

_BACK = ("", "Back")
_TYPE = ("/type", "something else (type a word)")
_MOST_CAUSES = 8
_MOST_FOUND = 8


def choices(consultation: Consultation) -> list[tuple[str, str]]:
    """What can be picked now, as (value, label)."""
    offered = [("end", "That is all")]
    best = consultation.advice.this_batch[:1]
    if best:
        offered.append(("failed", f"I tried that and it did not help ({best[0].remedy.title})"))
    offered += [
        ("how", "How did you get there?"),
        ("why-not", "Why not something else?"),
        ("changes", "What would change this?"),
        ("what-if", "What if ...?"),
        ("practice", "What is left without common practice?"),
    ]
    if consultation.next_question is not None:
        offered.append(("more", "Ask me more"))
    offered.append(("save", "Save this as a case file"))
    return offered


def explain(consultation: Consultation, picked: str, asker: Asker, units: str) -> None:
    """Print what was picked of ``choices``; nothing for Back."""
    from advisor.cli.diagnose import show_explanations, show_how
    from advisor.report.wanted import Wanted

    if picked == "how":
        show_how(consultation)
        return
    wanted = Wanted(what_changes=picked == "changes", without_practice=picked == "practice")
    if picked == "why-not":
        cause = _which_cause(consultation, asker)
        first = consultation.advice.verdict.cause
        rather = ((first, cause),) if first and cause != first else ()
        wanted = Wanted(why_not=(cause,), rather=rather) if cause else Wanted()
    elif picked == "what-if":
        change = _which_change(consultation, asker, units)
        wanted = Wanted(what_if=(change,)) if change else Wanted()
    if not wanted:
        return
    try:
        show_explanations(consultation, wanted, units)
    except AdvisorError as error:
        _say_error(error)


def keep_as_file(consultation: Consultation, asker: Asker) -> None:
    """Ask for a file and save the consultation in it."""
    path = asker.text("File to save it in (for example batch.yaml):").strip()
    if not path:
        return
    try:
        consultation.save(Path(path).expanduser())
        say_to_person(f"Saved. Go on later with: curdwise diagnose --resume {path}")
    except AdvisorError as error:
        _say_error(error)


def search(asker: Asker, findings: Sequence[Finding], ask: str) -> str:
    """A finding that matches words the person uses; empty for none."""
    words = asker.text(ask).strip()
    entries = [Entry(f.id, f.label, f"{f.help} {f.ask}") for f in findings]
    close = fitting(entries, words) if words else []
    if not close:  # other endings: clouded, cloudiness
        stems = " ".join(word[: max(4, len(word) - 3)] for word in words.split())
        close = fitting(entries, stems) if stems else []
    if not close:
        said = shortened(words)
        say_to_person(f"Nothing here speaks of {said!r}. Pick the nearest from the list.")
        return ""
    options = [(e.value, e.label) for e in close[:_MOST_FOUND]] + [("", "none of these")]
    return asker.pick("Is it one of these?", options)


def _which_cause(consultation: Consultation, asker: Asker) -> str:
    base, first = consultation.base, consultation.advice.verdict.cause
    others = [c for c in consultation.inference.ranked if c in base.causes and c != first]
    options = [(c, base.causes[c].title) for c in others[:_MOST_CAUSES]]
    picked = asker.pick("Why not which of these?", [*options, _TYPE, _BACK])
    if picked != _TYPE[0]:
        return picked
    words = asker.text("Which cause? One or two words of it:").strip()
    entries = [Entry(c, base.causes[c].title, base.causes[c].because) for c in others]
    close = fitting(entries, words) if words else []
    if not close:
        say_to_person(f"No cause here speaks of {shortened(words)!r}.")
        return ""
    found = [(e.value, e.label) for e in close[:_MOST_FOUND]]
    return asker.pick("Is it one of these?", [*found, ("", "none of these")])


def _which_change(
    consultation: Consultation, asker: Asker, units: str
) -> tuple[str, str] | None:
    """A finding and another answer to it; ``None`` for Back."""
    from advisor.report.namings import answer_words

    base = consultation.base
    told = [(k, a) for k, a in consultation.answers.items() if a.basis != "assumed"]
    options = [
        (key, f"{base.findings[key].label}: {answer_words(base, key, answer, units)}")
        for key, answer in told
    ]
    picked = asker.pick("What if which answer were another?", [*options, _TYPE, _BACK])
    if picked == _TYPE[0]:
        open_ = [f for f in base.findings.values() if f.asked]
        picked = search(asker, open_, "What do you have in mind? A word or two:")
    if not picked:
        return None
    value = _which_answer(consultation, asker, base.findings[picked])
    return (picked, value) if value else None


def _which_answer(consultation: Consultation, asker: Asker, finding: Finding) -> str:
    if finding.choices:
        options = [(c.value, c.label) for c in finding.choices]
        return asker.pick(finding.ask, [*options, ("unknown", "I don't know"), _BACK])
    while typed := asker.text(f"{finding.ask} (in {finding.unit}, Enter for back)").strip():
        try:
            consultation.tell(finding.id, typed)
        except AdvisorError as error:
            _say_error(error, typed)
        else:
            return typed
    return ""


def _say_error(error: AdvisorError, typed: str = "") -> None:
    problems = getattr(error, "problems", (error,))
    for problem in problems:
        message = shortened_in(problem.message, typed)
        say_to_person(". ".join(part for part in (message, problem.hint) if part))
