"""A drill with somebody at the keyboard: one thing at a time, every step kept as it happens."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.cli.drill.asking import tell
from advisor.drills.choices import causes_at, remedies_for, statements
from advisor.drills.costs import LEVELS, cost_of, level_of
from advisor.drills.session import EXAM
from advisor.drills.sheet import read_confidence
from advisor.errors import AdvisorError
from advisor.knowledge.words import FULL_STAGES
from advisor.report.drilldebrief import answer_words

if TYPE_CHECKING:
    from advisor.cli.drill.asking import DrillAsker
    from advisor.drills.journal import Journal
    from advisor.drills.session import DrillSession

__all__ = ["introduce", "run_through"]

_GROUPS = {
    "ask": "Ask whoever made it",
    "look": "Look",
    "taste": "Smell or taste",
    "measure": "Measure or try something on a little of it",
    "new-batch": "Make a new batch",
    "symptom": "Look for something else that is wrong",
}
_VERDICTS = (
    ("cause", "Something went wrong, and I can say what"),
    ("nothing-wrong", "Nothing is wrong with it"),
    ("discard", "Throw it away, whatever the cause"),
    ("stop", "It must not be served as it is"),
    ("/back", "Back, I am not there yet"),
)
_NAMES = {  # stages in the words of the trade
    "base": "base: what went into the drink",
    "acid": "acid: which, how much",
    "milk": "milk: which, how much",
    "order": "order: what met what first",
    "temperature": "temperature: how warm, how fast",
    "contact": "contact: stirring and resting",
    "separation": "separation: bed, cloth, paper",
    "chill": "chill: setting and cold",
    "fat": "fat: which, how much",
    "steep": "steep: fat and spirit together",
    "whey": "whey: which, how much",
    "storage": "storage: where and how long",
    "service": "service: the glass and the ice",
    "label": "label: what guests are told",
}


def introduce(session: DrillSession) -> None:
    """The batch, and what is seen at once."""
    base, scenario = session.base, session.scenario
    tell(scenario.title + ("  (invented)" if scenario.invented else ""))
    tell()
    tell(scenario.story)
    tell()
    tell("What is seen at once:")
    for finding in scenario.symptoms:
        tell(base.findings[finding].label, indent=2)
    opening = session.consultation(0)
    for finding in scenario.seen:
        answer = opening.answers[finding]
        words = answer.text if isinstance(answer.value, float) else answer_words(
            base, finding, answer.value or "unknown"
        )  # fmt: skip
        tell(f"{base.findings[finding].label}: {words}", indent=2)
    for step in session.steps:
        tell(f"Found so far: {_found(session, step.finding, step.answer)}", indent=2)


def run_through(session: DrillSession, journal: Journal, asker: DrillAsker) -> DrillSession:
    """Everything up to the end. ``KeyboardInterrupt`` and ``EOFError`` pass; all is kept."""
    while session.phase == "asking":
        session = _kept(session, _asking(session, asker), journal)
    if session.phase == "treating":
        session = _kept(session, _treating(session, asker), journal)
    if session.phase == "saying":
        session = _kept(session, _saying(session, asker), journal)
    return session


def _kept(before: DrillSession, after: DrillSession, journal: Journal) -> DrillSession:
    for event in after.events[len(before.events) :]:
        journal.keep(event)
    return after


def _asking(session: DrillSession, asker: DrillAsker) -> DrillSession:
    groups = _open_groups(session)
    options = [
        (group, f"{_GROUPS[group]}  ({len(found)})") for group, found in groups.items() if found
    ]
    if session.steps:
        options.append(("/known", "What is known so far?"))
    if session.mode != EXAM:
        options.append(("/hint", "Give me a hint  (3 min)"))
    options += [("/name", "I know what it is"), ("/leave", "Leave it for later")]
    tell()
    liquid = f", {session.liquid_ml:g} ml used up" if session.liquid_ml else ""
    picked = asker.pick(f"{session.minutes:.3g} min on the clock{liquid}. What now?", options)
    if picked == "/leave":
        raise KeyboardInterrupt
    if picked == "/known":
        introduce(session)
        return session
    if picked == "/hint":
        return _hint(session)
    if picked == "/name":
        return _naming(session, asker)
    return _one_step(session, groups[picked], asker)


def _open_groups(session: DrillSession) -> dict[str, list[str]]:
    base = session.base
    groups: dict[str, list[str]] = {group: [] for group in (*LEVELS, "symptom")}
    for finding in session.open:
        group = "symptom" if base.findings[finding].symptom else level_of(base, finding)
        groups[group].append(finding)
    return groups


def _one_step(session: DrillSession, found: list[str], asker: DrillAsker) -> DrillSession:
    base = session.base
    done = {step.finding for step in session.steps}
    options = []
    for finding in sorted(found, key=lambda f: cost_of(base, f).minutes):
        cost = cost_of(base, finding)
        price = f"{cost.minutes:.3g} min"
        if cost.wait:
            price += f" with {_waiting(cost.wait)} wait"
        if cost.liquid_ml:
            price += f", {cost.liquid_ml:g} ml"
        check = next((c for c in base.checks.values() if c.finding == finding), None)
        title = check.title if check else base.findings[finding].ask
        again = " again" if finding in done else ""
        options.append((finding, f"({price}) {title}{again}"))
    options.append(("/back", "Back"))
    picked = asker.find("Which?", options)
    if picked == "/back":
        return session
    check = next((c for c in base.checks.values() if c.finding == picked), None)
    if check is not None:
        tell(check.how, indent=2)
    after = session.ask(picked)
    step = after.steps[-1]
    tell()
    tell(_found(after, step.finding, step.answer), indent=2)
    return after


def _found(session: DrillSession, finding: str, answer: str | float) -> str:
    label = session.base.findings[finding].label
    return f"{label}: {answer_words(session.base, finding, answer)}"


def _waiting(minutes: float) -> str:
    return f"{minutes / 60:.3g} h" if minutes >= 90 else f"{minutes:g} min"


def _hint(session: DrillSession) -> DrillSession:
    """First which causes are in front, then what would tell most."""
    now = session.consultation()
    base = session.base
    if len(session.hints) % 2 == 0:
        first = [c for c in now.inference.ranked if c in base.causes][:3]
        text = "in front now, in no order: " + "; ".join(
            sorted(base.causes[c].title for c in first)
        )
    elif now.candidates:
        best = base.findings[now.candidates[0].finding]
        text = f"most for its minutes now: {best.ask}"
    else:
        text = "there is nothing left that would tell more"
    tell()
    tell(text[:1].upper() + text[1:] + ".", indent=2)
    return session.hint(text)


def _naming(session: DrillSession, asker: DrillAsker) -> DrillSession:
    verdict = asker.pick("What is it?", _VERDICTS)
    if verdict == "/back":
        return session
    causes: list[str] = []
    stage = ""
    if verdict != "nothing-wrong":
        stage, cause = _one_cause(session, asker)
        if stage == "/back":
            return session
        if cause:
            causes.append(cause)
            second = asker.pick(
                "Is there a second fault beside it?",
                [("no", "No, that explains it"), ("yes", "Yes, there are two")],
            )
            if second == "yes":
                _, other = _one_cause(session, asker)
                if other:
                    causes.append(other)
    confidence = _sure(asker)
    return session.name(verdict, causes, stage, confidence)


def _one_cause(session: DrillSession, asker: DrillAsker) -> tuple[str, str]:
    """A stage and a cause of it; the cause may be left open."""
    base = session.base
    stages = [(s, _NAMES[s]) for s in FULL_STAGES if causes_at(base, session, s)]
    while True:
        stage = asker.pick("At which stage?", [*stages, ("", "I cannot say"), ("/back", "Back")])
        if stage in ("", "/back"):
            return stage, ""
        options = [(c, base.causes[c].title) for c in causes_at(base, session, stage)]
        options += [("", "I cannot say which"), ("/back", "Another stage")]
        cause = asker.find("Which cause?", options)
        if cause != "/back":
            return stage, cause


def _sure(asker: DrillAsker) -> float | None:
    while True:
        typed = asker.text("How sure are you, in per cent?")
        try:
            return read_confidence(typed if "%" in typed or not typed.strip() else f"{typed} %")
        except AdvisorError as error:
            tell(f"{error.message}: {error.hint}.")


def _treating(session: DrillSession, asker: DrillAsker) -> DrillSession:
    base, named = session.base, session.named
    if named is None or named.verdict == "nothing-wrong":
        return session.treat()
    found = remedies_for(base, session, named.causes, named.stage)
    options = [(r, f"{_when(base.remedies[r].of)}: {base.remedies[r].title}") for r in found]
    picked = asker.find("What do you do about it?", [*options, ("", "Nothing of these")])
    if not picked:
        return session.treat()
    while True:
        typed = asker.text(
            "How much of it, for this batch? (for example 12 ml; Enter when nothing is dosed)"
        ).strip()
        try:
            return session.treat(picked, typed)
        except AdvisorError as error:
            tell(f"{error.message}: {error.hint}.")


def _when(of: str) -> str:
    return "this batch" if of == "this-batch" else "next time"


def _saying(session: DrillSession, asker: DrillAsker) -> DrillSession:
    tell()
    options = statements(session.base, session.scenario)
    return session.say(asker.several("What must guests and colleagues be told?", options))
