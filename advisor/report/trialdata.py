"""A trial, its preparation and its judgement as plain data with stable keys, for JSON."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from advisor.technique.trial import Fit, preparation, sizes
from advisor.technique.trial.plan import power_at_hand
from advisor.technique.trial.trialfile import mark_of
from advisor.technique.trial.words import conclusion, limits, said_comparison, said_overall

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.science.estimate import Estimate
    from advisor.science.wording import Caution
    from advisor.technique.trial import Judgement, NoFit, Trial

__all__ = ["VERSION", "judged_data", "plan_data"]

VERSION = 1


def _head(trial: Trial) -> dict[str, Any]:
    return {
        "version": VERSION,
        "trial": mark_of(trial),
        "title": trial.title,
        "why": trial.why,
        "test": trial.test,
        "sense": trial.sense,
        "dials": list(trial.dials),
        "alpha": trial.alpha,
        "wanted_d_prime": trial.wanted,
        "tasters": list(trial.tasters),
        "repeats": trial.repeats,
        "alone": trial.alone,
        "seed": trial.seed,
    }


def plan_data(trial: Trial) -> dict[str, Any]:
    """The plan with codes, orders and quantities: mL, g, h, min, %vol as the keys say."""
    made = preparation(trial)
    listed = sizes(
        trial.wanted,
        tasters=len(trial.tasters),
        treated=len(trial.treated),
        repeats=trial.repeats,
        cup_ml=trial.cup_ml,
        alpha=trial.tail,
        direction=trial.foretold != 0,
    )
    return _head(trial) | {
        "power": power_at_hand(trial),
        "fixed": dict(trial.fixed),
        "base": asdict(trial.base),
        "samples": [
            {"settings": dict(trial.sample(p.sample).settings)} | asdict(p) for p in made.pours
        ],
        "drink_ml": made.drink_ml,
        "cup_ml": trial.cup_ml,
        "cups_each": made.cups_each,
        "ml_each": made.ml_each,
        "alcohol_each": dict(made.alcohol),
        "panels": [asdict(s) for s in listed],
        "flights": [asdict(f) for f in trial.flights],
        "notes": list(made.notes),
        "cautions": [_caution(c) for c in made.cautions],
    }


def _caution(caution: Caution) -> dict[str, Any]:
    return {
        "fact": caution.fact,
        "action": caution.action,
        "jurisdiction": caution.jurisdiction,
        "stop": caution.stop,
        "deferral": caution.deferral,
    }


def judged_data(judgement: Judgement, fits: Sequence[Fit | NoFit]) -> dict[str, Any]:
    """What the answers prove. ``null`` stands for no limit where a d' or an interval has none."""
    trial = judgement.trial
    comparisons = [
        asdict(c) | {"text": said_comparison(trial, c)} for c in judgement.comparisons
    ]
    return _head(trial) | {
        "conclusion": conclusion(judgement),
        "answered": judgement.answered,
        "flights": judgement.flights,
        "tasters_answered": judgement.tasters,
        "comparisons": comparisons,
        "overall": [
            asdict(o) | {"text": said_overall(trial, o)} for o in judgement.overall
        ],
        "means": dict(judgement.means),
        "limits": list(limits(judgement)),
        "next": [_fit(f) for f in fits],
    }


def _fit(one: Fit | NoFit) -> dict[str, Any]:
    if not isinstance(one, Fit):
        return asdict(one) | {"fitted": False}
    return {
        "dial": one.dial,
        "at": one.at,
        "fitted": True,
        "curve": one.curve.id,
        "formula": one.curve.formula,
        "source": one.curve.source,
        "unknown": one.curve.unknown,
        "unit": one.curve.unit,
        "value": _ends(one.unknown),
        "prior": _ends(one.curve.prior),
        "learnt": one.learnt,
        "settled": one.settled,
        "aim": one.aim,
        "dose": None if one.dose is None else _ends(one.dose),
        "outside_tried": one.outside,
        "levels": list(one.levels),
        "points": [
            {"level": p.level, "observed": p.observed, "fitted": _ends(p.fitted)}
            for p in one.points
        ],
        "remarks": list(one.remarks),
    }


def _ends(estimate: Estimate) -> dict[str, float]:
    return {"value": estimate.value, "low": estimate.low, "high": estimate.high}
