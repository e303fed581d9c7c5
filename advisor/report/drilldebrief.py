"""A debrief as the blocks of a report, and as data for a program."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.drills.credit import PARTS
from advisor.drills.session import EXAM
from advisor.drills.spool import data_of_result
from advisor.report.cite import cite_all
from advisor.report.explain import title_of
from advisor.report.model import Block, Line, Report

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.consult import Consultation
    from advisor.drills.debrief import Debrief, Overlooked, Reason, Worked
    from advisor.drills.replay import Expert, Review
    from advisor.drills.result import DrillResult
    from advisor.drills.scenario import Scenario
    from advisor.knowledge.model import Base

__all__ = ["answer_words", "debrief_data", "debrief_report", "result_report", "worked_report"]

_VERDICTS = {
    "cause": "a fault with a cause",
    "discard": "throw it away",
    "stop": "do not serve it",
    "nothing-wrong": "nothing is wrong",
}
_PARTS = {
    "verdict": "what kind of trouble it is",
    "cause": "the cause",
    "stage": "the stage",
    "remedy": "the remedy",
    "dose": "the dose",
    "safety": "what must be said",
    "economy": "minutes well used",
    "calibration": "as sure as you were right",
}


def answer_words(base: Base, finding: str, answer: str | float) -> str:
    """An answer as people say it."""
    from advisor.quantities import say

    about = base.findings[finding]
    if answer in ("unknown", "not-now"):
        checked = any(check.finding == finding for check in base.checks.values())
        return "it cannot be done now" if checked else "nobody can tell"
    if isinstance(answer, int | float):
        return say(float(answer), about.unit)
    label = next((c.label for c in about.choices if c.value == answer), "")
    return label or str(answer)


def result_report(base: Base, result: DrillResult, title: str) -> Report:
    """The score alone, as an exam shows it to whoever marks it."""
    return Report(
        title, _headline(result), "", _tone(result),
        tuple(b for b in (_missed(base, result), _parts(result)) if b.lines),
        (f"knowledge {result.knowledge} · seed {result.seed}",),
    )  # fmt: skip


def debrief_report(debrief: Debrief) -> Report:
    """Everything that is told after a drill, in the order in which it is told."""
    base, result = debrief.session.base, debrief.result
    scenario = debrief.session.scenario
    blocks = [
        _missed(base, result),
        Block("WHAT IT WAS", tuple(_was(debrief))),
        *(
            Block(f"WHY NOT: {_short(title_of(base, o.cause))}", tuple(_why_not(base, o)))
            for o in debrief.overlooked
        ),
        Block("WHAT TO DO ABOUT IT", tuple(_mend(debrief))),
        Block("WHAT EACH STEP TOLD", tuple(_steps(debrief))),
        Block("WHAT THE ADVISOR WOULD HAVE ASKED", tuple(_path(base, debrief.worked.path))),
        Block("WHAT LED ASTRAY", tuple(
            Line(f"{base.findings[f].label}: {text}") for f, text in debrief.herrings
        )),
        Block("WHAT MUST BE SAID", tuple(_say(debrief))),
        _parts(result),
        Block("REMEMBER", (Line(scenario.note),) if scenario.note else ()),
    ]  # fmt: skip
    return Report(
        title=scenario.title + ("  (invented)" if scenario.invented else ""),
        verdict=_headline(result),
        aside="",
        tone=_tone(result),
        blocks=tuple(b for b in blocks if b.lines),
        footer=(f"knowledge {result.knowledge} · drill {result.scenario} · seed {result.seed}",),
    )


def worked_report(base: Base, scenario: Scenario, seed: int = 0) -> Report:
    """A scenario with its solution and the advisor's own way to it: a worked example."""
    from advisor.drills.check import solves
    from advisor.drills.debrief import worked

    shown = worked(base, scenario, seed)
    solved = solves(base, scenario, shown.path)
    blocks = [
        Block("THE BATCH", (Line(scenario.story),)),
        Block("SEEN AT ONCE", tuple(_seen(base, scenario))),
        Block("WHAT IT IS", tuple(_truth(base, scenario, shown))),
        Block("HOW THE ADVISOR GETS THERE", tuple(_path(base, shown.path))),
        Block("WHAT TO DO ABOUT IT", tuple(_right_remedies(base, scenario, shown.truth))),
        Block("WHAT LEADS ASTRAY", tuple(
            Line(f"{base.findings[f].label}: {text}") for f, text in scenario.red_herrings.items()
        )),
        Block("EASILY TAKEN FOR", tuple(
            Line(f"{title_of(base, c)}: {text}") for c, text in scenario.misconceptions.items()
        )),
        Block("WHAT MUST BE SAID", tuple(
            Line(base.cautions[c].text, cite_all(base, base.cautions[c].source))
            for c in scenario.say
        )),
        Block("REMEMBER", (Line(scenario.note),) if scenario.note else ()),
    ]  # fmt: skip
    return Report(
        title=scenario.title + ("  (invented)" if scenario.invented else ""),
        verdict=f"{_capital(scenario.difficulty)}. "
        + ("The advisor solves it." if solved else "The advisor does NOT solve it."),
        aside=f"{shown.path.minutes:.3g} min",
        tone="strong" if solved else "stop",
        blocks=tuple(b for b in blocks if b.lines),
        footer=(f"knowledge {base.version} {base.hash[:8]} · drill {scenario.name} · seed {seed}",),
    )


def _seen(base: Base, scenario: Scenario) -> Iterator[Line]:
    for finding in scenario.symptoms:
        yield Line(base.findings[finding].label)
    for finding, answer in scenario.seen.items():
        yield Line(f"{base.findings[finding].label}: {answer_words(base, finding, answer)}")


def _tone(result: DrillResult) -> str:
    return "stop" if result.safety_missed else "strong"


def _headline(result: DrillResult) -> str:
    text = f"{round(100 * result.score)} of 100"
    if result.safety_missed:
        text += ", and something that protects a person was missed"
    return text + "."


def _missed(base: Base, result: DrillResult) -> Block:
    lines = []
    for missed in result.safety_missed:
        caution = base.cautions.get(missed)
        lines.append(
            Line(f"Not said: {caution.text}" if caution else _stopped(missed), tone="stop")
        )
    return Block("SAFETY MISSED", tuple(lines))


def _parts(result: DrillResult) -> Block:
    lines = [
        Line(f"{_PARTS[part]}: {round(100 * result.parts[part])} of 100",
             f"counts {PARTS[part] / sum(PARTS[p] for p in result.parts):.0%}")
        for part in PARTS
        if part in result.parts
    ]  # fmt: skip
    used = (
        f"{result.minutes_used:.3g} min used, the advisor's own way took {result.minutes_best:.3g}"
    )
    lines.append(Line(used, tone="quiet"))
    if result.closed_early:
        lines.append(
            Line(
                "Named too early: a check worth its minutes was still open, and the answers so "
                "far did not carry it.",
                tone="against",
            )
        )
    return Block("YOUR SCORE", tuple(lines))


def _was(debrief: Debrief) -> Iterator[Line]:
    base, scenario = debrief.session.base, debrief.session.scenario
    named = debrief.session.named
    said = " and ".join(title_of(base, c) for c in named.causes) if named else ""
    said = said or (_VERDICTS[named.verdict] if named else "")
    yield from _truth(base, scenario, debrief.worked)
    if debrief.result.parts.get("cause", debrief.result.parts["verdict"]) >= 1.0:
        yield Line("You named it.", tone="for")
    else:
        yield Line(f"You said: {_stopped(said)}", tone="against")
    if scenario.accept and named and set(named.causes) & set(scenario.accept):
        yield Line("Nothing that could be asked tells the two apart, so yours counts as right.")


def _truth(base: Base, scenario: Scenario, shown: Worked) -> Iterator[Line]:
    if scenario.verdict != "cause":
        yield Line(_stopped(_capital(_VERDICTS[scenario.verdict])), tone="strong")
        for reason in shown.rules[:3]:
            yield Line(reason.text, cite_all(base, reason.source))
    for cause, reasons in shown.reasons:
        about = base.causes[cause]
        yield Line(_stopped(about.title), f"stage: {about.stage}", tone="strong")
        yield Line(about.because, cite_all(base, about.source))
        yield from _reason_lines(base, reasons)


def _reason_lines(base: Base, reasons: tuple[Reason, ...]) -> Iterator[Line]:
    from advisor.knowledge.words import weight_word

    for reason in reasons:
        sign = "+" if reason.weight > 0 else "-"
        yield Line(
            f"{sign} {weight_word(reason.weight):<9} {reason.text}",
            cite_all(base, reason.source),
            tone="for" if reason.weight > 0 else "against",
        )


def _why_not(base: Base, overlooked: Overlooked) -> Iterator[Line]:
    if overlooked.text:
        yield Line(overlooked.text)
    check = base.checks.get(overlooked.check)
    if check is not None:
        yield Line(f"What tells them apart: {check.title}. {check.how}")
    yield from _reason_lines(base, overlooked.against)
    if not overlooked.text and check is None and not overlooked.against:
        yield Line("Nothing in this batch speaks for it.")


def _mend(debrief: Debrief) -> Iterator[Line]:
    base, scenario = debrief.session.base, debrief.session.scenario
    treated = debrief.session.treated
    yield from _right_remedies(base, scenario, debrief.worked.truth)
    if treated is None or not scenario.remedies:
        return
    if not treated.remedy:
        yield Line("You picked no remedy.", tone="against")
    elif treated.remedy not in scenario.remedies:
        yield Line(f"You picked: {_stopped(base.remedies[treated.remedy].title)}", tone="against")
    if scenario.doses:
        yield Line(f"Your dose: {treated.dose or 'none'}.", tone="quiet")


def _right_remedies(base: Base, scenario: Scenario, truth: Consultation) -> Iterator[Line]:
    from advisor.report.doses import instruction

    for name in scenario.remedies:
        remedy = base.remedies[name]
        told = instruction(base, truth.inference, remedy, "metric")
        when = "This batch" if remedy.of == "this-batch" else "Next time"
        yield Line(f"{when}: {told.text}", cite_all(base, remedy.source))
    for dose in scenario.doses:
        yield Line(f"Right is {dose.low:.3g} to {dose.high:.3g} {_unit(dose.unit)} of {dose.of}.")


def _steps(debrief: Debrief) -> Iterator[Line]:
    base = debrief.session.base
    if not debrief.steps:
        yield Line("You asked nothing.")
    for number, step in enumerate(debrief.steps, 1):
        about = base.findings[step.finding]
        yield Line(
            f"{number}. {about.label}: {answer_words(base, step.finding, step.answer)}",
            f"{step.minutes:.3g} min",
        )
        yield Line(_told(base, step), depth=1, tone="quiet")
        if step.enough:
            yield Line("The advisor would have stopped asking before this.", depth=1, tone="quiet")
        elif step.best_finding and step.best_finding != step.finding:
            yield Line(_better(base, step), depth=1, tone="quiet")
    for hint in debrief.session.hints:
        yield Line(f"A hint: {_stopped(hint.text)}", f"{hint.minutes:g} min", tone="quiet")


def _told(base: Base, step: Review) -> str:
    if step.bits >= 0.05:
        text = f"It told {step.bits:.1f} bits"
    elif step.bits <= -0.05:
        text = f"It misled by {-step.bits:.1f} bits"
    else:
        text = "It told nothing about the cause"
    expected = f" ({step.expected:.1f} could be hoped for)"
    first = _short(title_of(base, step.first))
    return f"{text}{expected}. In front then: {first}, {step.standing:.0%}."


def _better(base: Base, step: Review) -> str:
    best = base.findings[step.best_finding]
    return (
        f"Most for its minutes would have been: {best.label} ({step.best_expected:.1f} bits hoped "
        f"for in {step.best_minutes:.3g} min; it would have told {step.best_bits:.1f})."
    )


def _path(base: Base, path: Expert) -> Iterator[Line]:
    if not path.steps:
        yield Line("Nothing: what is seen at once was enough.")
    for number, step in enumerate(path.steps, 1):
        about = base.findings[step.finding]
        yield Line(
            f"{number}. {about.label}: {answer_words(base, step.finding, step.answer)}",
            f"{step.minutes:.3g} min",
        )
        yield Line(
            f"Then in front: {_short(title_of(base, step.first))}, {step.standing:.0%}.",
            depth=1,
            tone="quiet",
        )
    if path.stop is not None:
        yield Line(f"Then it stopped: {path.stop.text}.", tone="quiet")


def _say(debrief: Debrief) -> Iterator[Line]:
    base, scenario, said = debrief.session.base, debrief.session.scenario, debrief.session.said
    statements = said.statements if said else ()
    for caution in scenario.say:
        about = base.cautions[caution]
        mark = "said" if caution in statements else "NOT SAID"
        tone = "" if caution in statements else "stop"
        yield Line(f"{mark}: {about.text}", cite_all(base, about.source), tone=tone)
    for number, wrong in enumerate(scenario.wrong_to_say, 1):
        if f"wrong-{number}" in statements:
            yield Line(f"WRONG TO SAY: {wrong.text}", tone="stop")
            yield Line(wrong.because, depth=1)


def debrief_data(debrief: Debrief) -> dict[str, Any]:
    """A debrief for a program: documented, versioned keys."""
    base, scenario = debrief.session.base, debrief.session.scenario
    data: dict[str, Any] = {"version": 1, "result": data_of_result(debrief.result)}
    if debrief.session.mode == EXAM:
        return data
    data["solution"] = {
        "verdict": scenario.verdict,
        "causes": list(scenario.causes),
        "accept": list(scenario.accept),
        "remedies": list(scenario.remedies),
        "doses": [
            {"of": d.of, "low": d.low, "high": d.high, "unit": d.unit} for d in scenario.doses
        ],
        "say": list(scenario.say),
    }
    data["steps"] = [
        {
            "finding": s.finding, "answer": s.answer, "minutes": s.minutes,
            "liquid_ml": s.liquid_ml, "bits": s.bits, "expected_bits": s.expected,
            "best_finding": s.best_finding, "best_bits": s.best_bits,
            "best_expected_bits": s.best_expected, "first": s.first, "standing": s.standing,
        }
        for s in debrief.steps
    ]  # fmt: skip
    data["advisor"] = {
        "minutes": debrief.worked.path.minutes,
        "steps": [
            {
                "finding": s.finding, "answer": s.answer, "minutes": s.minutes,
                "expected_bits": s.expected, "bits": s.bits, "first": s.first,
                "standing": s.standing,
            }
            for s in debrief.worked.path.steps
        ],
    }  # fmt: skip
    data["reasons"] = {
        cause: [_reason_data(base, r) for r in reasons] for cause, reasons in debrief.worked.reasons
    }
    data["overlooked"] = [
        {"cause": o.cause, "text": o.text, "check": o.check,
         "against": [_reason_data(base, r) for r in o.against]}
        for o in debrief.overlooked
    ]  # fmt: skip
    return data


def _reason_data(base: Base, reason: Reason) -> dict[str, Any]:
    return {
        "text": reason.text,
        "weight": round(reason.weight, 2),
        "source": cite_all(base, reason.source),
    }


def _short(title: str) -> str:
    return title.partition(":")[0]


def _unit(unit: str) -> str:
    return "ml" if unit == "mL" else unit


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _stopped(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else text + "."
