"""A whole evaluation: cases in, every number out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, did_you_mean
from advisor.evaluation.conditions import CONDITIONS, UNDISTURBED
from advisor.evaluation.run import Settings, run_cases
from advisor.evaluation.scores import share
from advisor.evaluation.summary import Confusion, Row, Summary, confusions, rows_by, summarize

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from advisor.evaluation.cases import KnownCase
    from advisor.evaluation.outcome import Outcome
    from advisor.evaluation.scores import Share
    from advisor.knowledge.model import Base

__all__ = ["Condition", "Evaluation", "evaluate", "measures", "missed", "read_limit"]


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition with its numbers, and those of the same cases undisturbed."""

    name: str
    means: str
    summary: Summary
    undisturbed: Summary
    unchanged: Share  # cases in which the same came first as undisturbed


@dataclass(frozen=True)
class Evaluation:
    """What an evaluation found. ``outcomes`` are in the order of the cases."""

    outcomes: tuple[Outcome, ...]  # undisturbed
    disturbed: tuple[Outcome, ...]
    settings: Settings
    summary: Summary
    conditions: tuple[Condition, ...]
    confusions: tuple[Confusion, ...]

    @property
    def misses(self) -> tuple[Outcome, ...]:
        """The cases where the wrong thing came first."""
        return tuple(o for o in self.outcomes if o.right is False)

    @property
    def unread(self) -> tuple[tuple[str, str], ...]:
        """Answers that the base does not understand, with their case."""
        return tuple((o.case, text) for o in self.outcomes for text in o.unread)

    def by(self, what: str) -> tuple[Row, ...]:
        """The table by fault, stage, symptom, operation or number of questions."""
        return rows_by(self.outcomes, what)


def evaluate(
    base: Base,
    cases: Sequence[KnownCase],
    settings: Settings | None = None,
    *,
    jobs: int = 1,
    progress: Callable[[int, int], None] | None = None,
) -> Evaluation:
    """Take every case through a consultation and score what comes out.

    The same base, cases and settings always give the same evaluation. Raises
    ``AdvisorError`` when there is no case.
    """
    if not cases:
        raise AdvisorError(
            "no-cases",
            "there is no case that says what is expected of it",
            hint="a case file says so under expect:",
        )
    settings = settings or Settings()
    found = run_cases(base, cases, settings, jobs=jobs, progress=progress)
    undisturbed = tuple(o for o in found if o.condition == UNDISTURBED)
    disturbed = tuple(o for o in found if o.condition != UNDISTURBED)
    again = {o.case for o in disturbed}
    same = {o.case: o for o in undisturbed if o.case in again}
    before = summarize(list(same.values()))
    return Evaluation(
        outcomes=undisturbed,
        disturbed=disturbed,
        settings=settings,
        summary=summarize(undisturbed),
        conditions=tuple(
            Condition(
                name,
                means,
                summarize(under),
                before,
                share([o.named == same[o.case].named for o in under]),
            )
            for name, means in CONDITIONS.items()
            if (under := [o for o in disturbed if o.condition == name])
        ),
        confusions=confusions(undisturbed),
    )


def measures(evaluation: Evaluation) -> dict[str, float]:
    """Every number that a limit can be set on, by name; shares from 0 to 1.

    A disturbed condition's numbers have its name in front: ``fewer-answers.top1``.
    """
    found = _measures(evaluation.summary)
    for condition in evaluation.conditions:
        found |= {f"{condition.name}.{k}": v for k, v in _measures(condition.summary).items()}
    return found


def _measures(summary: Summary) -> dict[str, float]:
    shares = {
        "top1": summary.top1,
        "top3": summary.top3,
        "stage": summary.stage,
        "cause-first": summary.cause_first,
        "both": summary.both,
        "together": summary.together,
        "by-verdict": summary.by_verdict,
        "named": summary.named,
        "open": summary.open,
        "hazards-missed": summary.hazards_missed,
        "false-alarms": summary.false_alarms,
        "at-limit": summary.at_limit,
    }
    found = {name: each.share for name, each in shares.items() if each.share is not None}
    for name, number in (("questions", summary.questions), ("questions95", summary.questions95)):
        if number is not None:
            found[name] = float(number)
    if summary.forecasts:
        each = summary.forecasts
        found |= {
            "brier": each.brier,
            "log": each.log,
            "brier-all": each.brier_all,
            "log-all": each.log_all,
            "calibration-error": each.calibration_error,
            "bins-off": float(sum(b.off for b in each.table)),
        }
    if summary.minutes:
        found["minutes"] = summary.minutes.advised
    return found


def read_limit(text: str, option: str) -> tuple[str, float]:
    """A limit as a person writes it: ``top1=0.85`` or ``top1=85%``. Raises ``AdvisorError``."""
    name, equals, value = text.partition("=")
    value = value.strip()
    try:
        number = float(value.rstrip("%")) / (100.0 if value.endswith("%") else 1.0)
    except ValueError:
        number = float("nan")
    if not equals or not 0.0 <= number < float("inf"):
        raise AdvisorError(
            "limit-form",
            f"{text!r} is not NAME=NUMBER",
            where=option,
            hint="for example top1=0.85 or questions=6",
        )
    return name.strip(), number


def missed(
    evaluation: Evaluation,
    at_least: Sequence[tuple[str, float]],
    at_most: Sequence[tuple[str, float]],
) -> tuple[str, ...]:
    """Which limits were not kept, in words. Raises ``AdvisorError`` for a name that is none."""
    found = measures(evaluation)
    said = []
    for limits, under in ((at_least, True), (at_most, False)):
        for name, wanted in limits:
            if name not in found:
                raise AdvisorError(
                    "unknown-measure",
                    f"there is no measure {name!r} here",
                    where="--at-least" if under else "--at-most",
                    hint=did_you_mean(name, found) or f"one of {', '.join(found)}",
                )
            if (found[name] < wanted) if under else (found[name] > wanted):
                word = "below" if under else "above"
                said.append(f"{name} is {found[name]:.4g}, {word} {wanted:.4g}")
    return tuple(said)
