"""From a finished session to its result: each part by itself, and what was missed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.drills import credit
from advisor.drills.amounts import read_amount
from advisor.drills.replay import closed_early, expert, reviews, whole
from advisor.drills.result import DrillResult, StepTaken
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.drills.events import Named, Treated
    from advisor.drills.replay import Expert, Review
    from advisor.drills.scenario import Scenario
    from advisor.drills.session import DrillSession
    from advisor.knowledge.model import Base

__all__ = ["false_to_say", "raised", "score"]

# From this much credit a skill counts as shown.
_SHOWN = 0.75


def score(
    session: DrillSession,
    path: Expert | None = None,
    steps: tuple[Review, ...] | None = None,
) -> DrillResult:
    """The result of a finished session; ``path`` and ``steps`` spare working them out twice.

    Raises ``AdvisorError`` (code ``drill-step``) when the session is not over.
    """
    base, scenario = session.base, session.scenario
    named, treated, said, finished = (
        session.named, session.treated, session.said, session.finished
    )  # fmt: skip
    if named is None or treated is None or said is None or finished is None:
        raise AdvisorError("drill-step", "the drill is not over yet", hint="go on with it")
    path = path or expert(base, scenario, session.seed)
    steps = reviews(session) if steps is None else steps
    early = closed_early(session)
    parts = _diagnosis(base, scenario, named)
    parts.update(_treatment(base, scenario, treated))
    false = false_to_say(base, scenario, said.statements)
    parts["safety"] = credit.safety_credit(said.statements, scenario.say, false)
    right = parts.get("cause", parts["verdict"])
    parts["economy"] = credit.economy(
        path.minutes, session.minutes, right=min(right, parts["verdict"]), closed_early=early
    )
    # To leave the confidence out must not pay.
    parts["calibration"] = (
        0.0 if named.confidence is None else credit.calibration(named.confidence, right >= 1.0)
    )
    missed = (
        *(s for s in scenario.say if s not in said.statements),
        *(f"said although wrong: {_wrong(scenario, s)}" for s in false if s.startswith("wrong-")),
    )
    return DrillResult(
        scenario=scenario.name,
        learner=session.learner,
        group=session.group,
        mode=session.mode,
        seed=session.seed,
        knowledge=f"{base.version} {base.hash[:8]}",
        started=session.started,
        finished=finished.at,
        cause=scenario.cause,
        stage=_stage(base, scenario),
        verdict=scenario.verdict,
        named_cause=named.causes[0] if named.causes else "",
        named_stage=named.stage,
        named_remedy=treated.remedy,
        confidence=named.confidence,
        parts=parts,
        score=credit.total(parts),
        minutes_used=session.minutes,
        minutes_best=path.minutes,
        difficulty=scenario.difficulty,
        symptoms=scenario.symptoms,
        safety_missed=missed,
        closed_early=early,
        skills=_skills(base, scenario, parts, early, missed),
        steps=tuple(
            StepTaken(
                r.finding,
                str(r.answer),
                r.minutes,
                r.liquid_ml,
                r.bits,
                r.best_finding,
                r.best_bits,
            )
            for r in steps
        ),
        lines=tuple(f.rule for f in session.consultation().inference.run.firings),
    )


def _stage(base: Base, scenario: Scenario) -> str:
    return base.causes[scenario.cause].stage if scenario.cause else ""


def _diagnosis(base: Base, scenario: Scenario, named: Named) -> dict[str, float]:
    parts = {"verdict": float(named.verdict == scenario.verdict)}
    if scenario.causes:
        votes = scenario.panel.get("cause")
        if votes:
            parts["cause"] = max((credit.concordance(votes, c) for c in named.causes), default=0.0)
        else:
            parts["cause"] = credit.cause_credit(
                base, named.causes, scenario.causes, scenario.accept
            )
        stages = {base.causes[c].stage for c in scenario.right}
        parts["stage"] = float(named.stage in stages)
    return parts


def _treatment(base: Base, scenario: Scenario, treated: Treated) -> dict[str, float]:
    if not scenario.remedies:
        return {}
    votes = scenario.panel.get("remedy")
    if votes:
        earned = credit.concordance(votes, treated.remedy)
    else:
        earned = credit.remedy_credit(
            base, treated.remedy, scenario.remedies, scenario.right, _stage(base, scenario)
        )
    parts = {"remedy": earned}
    if scenario.doses:
        parts["dose"] = 0.0
        if treated.dose and earned > 0.0:
            parts["dose"] = credit.dose_credit(*read_amount(treated.dose), scenario.doses)
    return parts


def raised(base: Base, scenario: Scenario) -> frozenset[str]:
    """The cautions that the whole truth of a scenario raises."""
    return frozenset(whole(base, scenario).inference.cautions)


def false_to_say(base: Base, scenario: Scenario, said: tuple[str, ...]) -> tuple[str, ...]:
    """Of what was said, what the batch gives no reason for."""
    doubtful = [s for s in said if s not in scenario.say]
    if not doubtful:
        return ()
    given = raised(base, scenario)
    return tuple(s for s in doubtful if s not in given)


def _wrong(scenario: Scenario, statement: str) -> str:
    return scenario.wrong_to_say[int(statement.removeprefix("wrong-")) - 1].text


def _skills(
    base: Base,
    scenario: Scenario,
    parts: Mapping[str, float],
    early: bool,
    missed: tuple[str, ...],
) -> dict[str, bool]:
    """Skill -> whether it was shown, for every skill that the drill exercised.

    ``find:STAGE`` to find a fault at that stage, ``mend:STAGE`` to pick its remedy, ``dose``
    to get an amount right, ``say:CAUTION`` to say what must be said, ``verdict:KIND`` to see
    that a batch is to be thrown away, kept from guests, or sound, ``ask`` to ask what tells
    most and enough of it, ``sure`` to be as sure as one is right.
    """
    shown = {}
    stage = _stage(base, scenario)
    if "cause" in parts:
        shown[f"find:{stage}"] = parts["cause"] >= _SHOWN
    if scenario.verdict != "cause":
        shown[f"verdict:{scenario.verdict}"] = parts["verdict"] >= _SHOWN
    if "remedy" in parts and scenario.remedies:
        at = base.remedies[scenario.remedies[0]].stage
        shown[f"mend:{at}"] = parts["remedy"] >= _SHOWN
    if "dose" in parts:
        shown["dose"] = parts["dose"] >= _SHOWN
    for caution in scenario.say:
        shown[f"say:{caution}"] = caution not in missed
    shown["ask"] = parts["economy"] >= 0.5 and not early
    shown["sure"] = parts["calibration"] >= _SHOWN
    return shown
