"""An evaluation as data: stable, documented keys with a version."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.evaluation.summary import BY

if TYPE_CHECKING:
    from advisor.evaluation.evaluation import Evaluation
    from advisor.evaluation.outcome import Miss, Outcome
    from advisor.evaluation.scores import Bin, Share
    from advisor.evaluation.summary import Forecasts, Minutes, Row, Summary
    from advisor.knowledge.model import Base

__all__ = ["EVALUATION_VERSION", "SHARES", "bin_data", "evaluation_data", "number", "row_data"]

EVALUATION_VERSION = 1


def evaluation_data(evaluation: Evaluation, base: Base) -> dict[str, Any]:
    """Everything that the screen says and more. The same evaluation always gives the same."""
    settings = evaluation.settings
    return {
        "version": EVALUATION_VERSION,
        "knowledge": {
            "name": base.name,
            "version": base.version,
            "hash": base.hash,
            "house_changes": list(base.overlays),
        },
        "settings": {
            "cases": len(evaluation.outcomes),
            "simulated": sum(o.seed is not None for o in evaluation.outcomes),
            "seed": settings.seed,
            "simulator": settings.simulator or None,
            "most_questions": settings.limit,
            "disturbed_one_in": settings.disturb or None,
            "engine": settings.backend,
        },
        "summary": _summary(evaluation.summary),
        "conditions": [
            {
                "name": c.name,
                "means": c.means,
                "summary": _summary(c.summary),
                "same_cases_undisturbed": _summary(c.undisturbed),
                "unchanged": _share(c.unchanged),
            }
            for c in evaluation.conditions
        ],
        "confusions": [
            {"true": c.true, "named": c.named, "n": c.n, "stage_right": c.stage_right}
            for c in evaluation.confusions
        ],
        "by": {what: [row_data(row) for row in evaluation.by(what)] for what in BY},
        "misses": [_miss(o) for o in evaluation.misses],
        "unread": [{"case": case, "message": text} for case, text in evaluation.unread],
    }


def number(value: float | None, digits: int = 4) -> float | None:
    """A number rounded, or nothing."""
    return None if value is None else round(value, digits)


def _share(value: Share) -> dict[str, Any]:
    return {
        "right": value.right,
        "of": value.of,
        "share": number(value.share),
        "low": number(value.low),
        "high": number(value.high),
    }


# The shares of a summary, by their names.
SHARES = (
    "top1",
    "top3",
    "stage",
    "cause_first",
    "both",
    "together",
    "by_verdict",
    "open",
    "named",
    "hazards_missed",
    "false_alarms",
    "at_limit",
)


def _summary(summary: Summary) -> dict[str, Any]:
    return {
        "n": summary.n,
        **{name: _share(getattr(summary, name)) for name in SHARES},
        "questions": {
            "median": summary.questions,
            "at_most_in_95_percent": summary.questions95,
            "recipe_median": summary.recipe,
        },
        "stopped": dict(summary.stopped),
        "forecasts": summary.forecasts and _forecasts(summary.forecasts),
        "minutes": summary.minutes and _minutes(summary.minutes),
    }


def _forecasts(made: Forecasts) -> dict[str, Any]:
    return {
        "n": made.n,
        "brier": number(made.brier),
        "log": number(made.log),
        "brier_all": number(made.brier_all),
        "log_all": number(made.log_all),
        "reliability": number(made.parts.reliability),
        "resolution": number(made.parts.resolution),
        "uncertainty": number(made.parts.uncertainty),
        "within": number(made.parts.within),
        "calibration_error": number(made.calibration_error),
        "table": [bin_data(b) for b in made.table],
    }


def bin_data(held: Bin) -> dict[str, Any]:
    """One line of the reliability table."""
    return {
        "low": held.low,
        "high": held.high,
        "n": held.n,
        "said": number(held.said),
        "was": number(held.was),
        "off": held.off,
    }


def _minutes(spent: Minutes) -> dict[str, Any]:
    return {
        "n": spent.n,
        "advised": number(spent.advised, 2),
        "likely_first": number(spent.likely_first, 2),
        "at_random": number(spent.at_random, 2),
        "knowing": number(spent.knowing, 2),
        "first_cures": number(spent.first_cures),
        "uncured": number(spent.uncured),
        "no_cure": spent.no_cure,
    }


def row_data(row: Row) -> dict[str, Any]:
    """One line of a table by fault, stage, symptom or operation."""
    return {
        "name": row.name.strip(),
        "n": row.n,
        "top1": _share(row.top1),
        "top3": _share(row.top3),
        "stage": _share(row.stage),
        "questions": row.questions,
        "probability": number(row.probability),
        "instead": row.instead or None,
        "instead_n": row.instead_n,
    }


def _miss(outcome: Outcome) -> dict[str, Any]:
    miss: Miss | None = outcome.miss
    return {
        "case": outcome.case,
        "seed": outcome.seed,
        "true": outcome.true,
        "named": outcome.named,
        "verdict": outcome.verdict,
        "stage_right": outcome.stage_right,
        "probability": number(outcome.probability),
        "stopped": outcome.stopped,
        "symptoms": list(outcome.symptoms),
        "true_rank": miss.rank if miss else None,
        "true_probability": number(miss.probability) if miss else None,
        "asked": [list(pair) for pair in miss.answers] if miss else [],
        "for_named": [list(pair) for pair in miss.for_named] if miss else [],
        "for_true": [list(pair) for pair in miss.for_true] if miss else [],
    }
