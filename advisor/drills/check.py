"""Whether a scenario is fit to be played: every fault at once, with its place and what to do.

The last check is the one that matters: the advisor itself must solve it, from what is seen at once
and what the batch answers, within the questions it allows itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.drills.replay import MOST_QUESTIONS, expert, whole
from advisor.drills.scaffold import TO_FILL_IN
from advisor.drills.scenario import Written
from advisor.drills.session import opening
from advisor.errors import AdvisorError, Problem, ProblemsFound, did_you_mean
from advisor.knowledge.model import BRACES
from advisor.reasoning.answers import read_answer
from advisor.reasoning.evidence import holds

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from advisor.consult import Consultation
    from advisor.drills.replay import Expert
    from advisor.drills.scenario import Scenario
    from advisor.knowledge.model import Base

__all__ = ["check_scenario", "solves"]

# Noise must not decide whether a scenario can be solved.
_SEEDS = (0, 1, 2)
_HELPS = 0.4  # a remedy that cures less often than this is none
_WIDEST = 6.0  # of a dose, high over low


def check_scenario(base: Base, scenario: Scenario) -> list[Problem]:
    """Everything that is wrong with a scenario, in the order of its places; notes among it."""
    unfilled = list(_unfilled(scenario))
    problems = [
        *_answers(base, scenario),
        *_names(base, scenario),
        *_verdict(scenario),
        *_teaching(scenario),
    ]
    if not problems:
        truth = whole(base, scenario)
        problems = [
            *_contradictions(scenario, truth),
            *_remedies(base, scenario, truth),
            *_doses(base, scenario, truth),
            *_safety(base, scenario, truth),
            *_solved(base, scenario),
        ]
    problems += [*unfilled, *_notes(base, scenario)]
    return sorted(problems, key=lambda p: (p.where, p.code))


def solves(base: Base, scenario: Scenario, path: Expert) -> bool:
    """Whether the advisor comes to the scenario's solution on that path.

    With two faults one of them must come first and the other stand among the first five or in
    the pair that together explains everything. A batch to be thrown away or kept from guests
    needs its cause only among the first three.
    """
    verdict, inference = path.consultation.advice.verdict, path.consultation.inference
    if verdict.kind != scenario.verdict:
        return False
    if not scenario.causes:
        return True
    if scenario.verdict != "cause":
        return any(c in inference.ranked[:3] for c in scenario.right)
    if verdict.cause not in scenario.right:
        return False
    pair = next((s.causes for s in inference.sets if verdict.cause in s.causes), ())
    return all(
        c == verdict.cause or c in inference.ranked[:5] or c in pair for c in scenario.causes[1:]
    )


def _problem(
    scenario: Scenario, key: str, code: str, message: str, hint: str = "", severity: str = "error"
) -> Problem:
    return Problem(code, message, scenario.place(key), hint, severity)


def _unfilled(scenario: Scenario) -> Iterator[Problem]:
    """What stands as ``curdwise drill new`` wrote it, whole or in part."""
    for key, text in (
        ("title", scenario.title),
        ("story", scenario.story),
        ("teaching/note", scenario.note),
    ):
        if TO_FILL_IN[key].rstrip(".") in " ".join(text.split()):
            yield _problem(
                scenario, key, "not-filled-in",
                f"the {key.rpartition('/')[2]} is still the one to be filled in",
                "write your own in its place",
            )  # fmt: skip


def _answers(base: Base, scenario: Scenario) -> Iterator[Problem]:
    try:
        opening(base, scenario)
    except ProblemsFound as found:
        yield from found.problems
    if not isinstance(scenario.batch, Written):
        return
    for finding, reading in scenario.batch.readings.items():
        key = f"hidden/{finding}"
        if finding in scenario.seen or finding in scenario.symptoms:
            yield _problem(
                scenario, key, "told-twice", f"{finding} is seen at once and hidden as well",
                "keep one of the two",
            )  # fmt: skip
        for answer in (reading.answer, reading.otherwise):
            if answer is None:
                continue
            try:
                read_answer(base, finding, answer)
            except AdvisorError as error:
                yield _problem(scenario, key, error.code, error.message, error.hint)


def _contradictions(scenario: Scenario, truth: Consultation) -> Iterator[Problem]:
    places = {
        name: scenario.place(f"{part}/{name}")
        for part, names in (("seen", scenario.seen), ("hidden", truth.answers))
        for name in names
        if f"{part}/{name}" in scenario.places
    }
    yield from truth.contradictions(places, scenario.name)
    if isinstance(scenario.batch, Written):
        for finding, reading in scenario.batch.readings.items():
            if finding not in truth.answers and reading.answer not in ("unknown", "not-now"):
                yield _problem(
                    scenario,
                    f"hidden/{finding}",
                    "never-asked",
                    f"{finding} does not apply to such a batch, so nobody can ask for it",
                    "take it out, or change what makes it apply",
                    "note",
                )


def _names(base: Base, scenario: Scenario) -> Iterator[Problem]:
    known: tuple[tuple[str, str, Iterable[str], Iterable[str]], ...] = (
        ("solution/causes", "cause", scenario.causes, base.causes),
        ("solution/accept", "cause", scenario.accept, base.causes),
        ("solution/remedies", "remedy", scenario.remedies, base.remedies),
        ("solution/say", "caution", scenario.say, base.cautions),
        ("solution/panel/cause", "cause", scenario.panel.get("cause", ()), base.causes),
        ("solution/panel/remedy", "remedy", scenario.panel.get("remedy", ()), base.remedies),
        ("teaching/misconceptions", "cause", scenario.misconceptions, base.causes),
        ("teaching/red_herrings", "finding", scenario.red_herrings, base.findings),
    )
    for where, what, names, all_names in known:
        for name in names:
            if name not in all_names:
                yield _problem(
                    scenario, f"{where}/{name}", f"unknown-{what}", f"there is no {what} {name!r}",
                    did_you_mean(name, all_names) or "curdwise knowledge check --help",
                )  # fmt: skip


def _verdict(scenario: Scenario) -> Iterator[Problem]:
    if scenario.verdict == "cause" and not scenario.causes:
        yield _problem(
            scenario, "solution/verdict", "no-cause", "the verdict is a cause, and none is named",
            "add causes: [ID]",
        )  # fmt: skip
    if scenario.verdict == "nothing-wrong" and (scenario.causes or scenario.remedies):
        yield _problem(
            scenario, "solution/verdict", "cause-of-nothing",
            "nothing is wrong, so there is no cause and nothing to mend",
            "take causes and remedies out, or change the verdict",
        )  # fmt: skip
    for cause in scenario.accept:
        if cause in scenario.causes:
            yield _problem(
                scenario, f"solution/accept/{cause}", "accepted-twice",
                f"{cause} is the cause already", "take it out of accept",
            )  # fmt: skip
    if len(scenario.causes) == 2 and scenario.panel.get("cause"):
        yield _problem(
            scenario, "solution/panel", "panel-of-two", "a panel votes on one cause, not on two",
            "take the votes on the cause out",
        )  # fmt: skip
    for what, right in (("cause", scenario.right), ("remedy", scenario.remedies)):
        votes = scenario.panel.get(what, {})
        if votes and not any(votes.get(r, 0) == max(votes.values()) > 0 for r in right):
            yield _problem(
                scenario, f"solution/panel/{what}", "panel-disagrees",
                f"the panel's first choice is not a {what} of the solution",
                "the solution is what most of the panel chose",
            )  # fmt: skip


def _teaching(scenario: Scenario) -> Iterator[Problem]:
    for cause in scenario.misconceptions:
        if cause in scenario.right:
            yield _problem(
                scenario, f"teaching/misconceptions/{cause}", "misconception-right",
                f"{cause} counts as right, so it is no misconception",
            )  # fmt: skip
    told = {*scenario.seen, *scenario.symptoms}
    if isinstance(scenario.batch, Written):
        told |= set(scenario.batch.readings)
    for finding in scenario.red_herrings:
        if finding not in told:
            yield _problem(
                scenario, f"teaching/red_herrings/{finding}", "herring-not-there",
                f"{finding} is neither seen nor hidden, so it leads nobody astray",
                "answer it under seen or hidden",
            )  # fmt: skip


def _remedies(base: Base, scenario: Scenario, truth: Consultation) -> Iterator[Problem]:
    facts = truth.inference.facts_by_key()
    for name in scenario.remedies:
        remedy, key = base.remedies[name], f"solution/remedies/{name}"
        if scenario.causes and not any(remedy.cures.get(c, 0.0) >= _HELPS for c in scenario.right):
            able = sorted(
                r.id for r in base.remedies.values() if r.cures.get(scenario.cause, 0.0) >= _HELPS
            )
            yield _problem(
                scenario, key, "remedy-cures-nothing",
                f"{name} is not known to help against {' or '.join(scenario.right)}",
                f"these are: {', '.join(able)}" if able else "",
            )  # fmt: skip
        if remedy.when and not holds(remedy.when, facts):
            yield _problem(
                scenario, key, "remedy-not-for-it", f"{name} does not apply to such a batch",
            )  # fmt: skip


def _doses(base: Base, scenario: Scenario, truth: Consultation) -> Iterator[Problem]:
    if scenario.doses and not scenario.remedies:
        yield _problem(
            scenario, "solution/doses", "dose-of-nothing", "there is a dose and no remedy",
            "name the remedy, or take the dose out",
        )  # fmt: skip
        return
    figures = truth.inference.facts.figures
    named = {f for r in scenario.remedies for f in BRACES.findall(base.remedies[r].do)}
    for index, dose in enumerate(scenario.doses):
        key = f"solution/doses/{index}"
        said = f"{dose.low:g} to {dose.high:g} {dose.unit} of {dose.of}"
        if dose.high > _WIDEST * dose.low:
            yield _problem(
                scenario, key, "dose-too-wide", f"{said} is so wide that any answer is right",
                f"keep the high end within {_WIDEST:g} times the low one",
            )  # fmt: skip
        batch = figures.get("mix_volume")
        if batch is not None and isinstance(batch.value, float) and dose.low > batch.value:
            yield _problem(
                scenario, key, "dose-impossible",
                f"{said} is more than the whole batch of {batch.value:.0f} mL",
            )  # fmt: skip
        worked = [
            figures[f]
            for f in sorted(named)
            if f in figures and base.figures[f].unit == dose.unit
            and isinstance(figures[f].value, float)
        ]  # fmt: skip
        if worked and not any(w.low <= dose.high and dose.low <= w.high for w in worked):
            sums = " or ".join(f"{w.low:.3g} to {w.high:.3g} {dose.unit}" for w in worked)
            yield _problem(
                scenario, key, "dose-off", f"{said}, but worked out from the batch it is {sums}",
                "change the dose, or the amounts of the batch",
            )  # fmt: skip


def _safety(base: Base, scenario: Scenario, truth: Consultation) -> Iterator[Problem]:
    given = truth.inference.cautions
    for caution in given:
        if base.cautions[caution].level == "stop" and caution not in scenario.say:
            yield _problem(
                scenario, "solution/say" if scenario.say else "solution/verdict",
                "safety-missing", f"this batch calls for {caution}, and it is not under say",
                f"add it: {base.cautions[caution].text.split('. ')[0]}",
            )  # fmt: skip
    for caution in scenario.say:
        if caution not in given:
            yield _problem(
                scenario, f"solution/say/{caution}", "safety-unfounded",
                f"nothing in this batch gives a reason to say {caution}",
                f"this batch calls for: {', '.join(sorted(given)) or 'nothing'}",
            )  # fmt: skip


def _solved(base: Base, scenario: Scenario) -> Iterator[Problem]:
    for seed in _SEEDS:
        path = expert(base, scenario, seed)
        if solves(base, scenario, path):
            continue
        verdict, inference = path.consultation.advice.verdict, path.consultation.inference
        found = f"{verdict.kind} {verdict.cause}".strip()
        wanted = f"{scenario.verdict} {' and '.join(scenario.causes)}".strip()
        first = ", ".join(f"{c} {inference.standing[c]:.0%}" for c in inference.ranked[:3])
        vain = [s.finding for s in path.steps if s.answer == "unknown"]
        hint = f"in front are {first}"
        if scenario.cause:
            hint += f"; {scenario.cause} stands at {inference.standing[scenario.cause]:.1%}"
        if vain:
            hint += f". Asked in vain: {', '.join(vain)}. Answer these under hidden"
        with_noise = f" with the noise of seed {seed}" if seed else ""
        yield _problem(
            scenario, "solution", "not-solved",
            f"after {len(path.steps)} of {MOST_QUESTIONS} questions the advisor says {found!r}, "
            f"not {wanted!r}{with_noise}",
            hint,
        )  # fmt: skip
        return


def _notes(base: Base, scenario: Scenario) -> Iterator[Problem]:
    def note(key: str, code: str, message: str, hint: str = "") -> Problem:
        return Problem(code, message, scenario.place(key), hint, "note")

    told = f"{scenario.title} {scenario.story}".lower()
    for cause in scenario.causes:
        about = base.causes.get(cause)
        if about is not None and about.title.lower() in told:
            yield note("story", "given-away", f"the story names the cause: {about.title}")
    if scenario.difficulty == "hard" and not scenario.red_herrings:
        yield note(
            "difficulty", "hard-without-herring", "a hard drill has something that leads astray",
            "say under teaching: red_herrings what it is",
        )  # fmt: skip
    main = base.causes.get(scenario.cause)
    if main is not None and not scenario.misconceptions:
        alike = ", ".join(a.cause for a in main.looks_like)
        yield note(
            "solution/causes", "no-misconception", "no wrong cause is explained",
            f"it is easily taken for {alike}: say under teaching: misconceptions why not"
            if alike else "",
        )  # fmt: skip
    if not scenario.invented and not scenario.source:
        yield note(
            "title", "neither-invented-nor-sourced", "it is not said where the batch comes from",
            "invented: true, or source: where it was published",
        )  # fmt: skip
