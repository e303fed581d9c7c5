"""Which dial a trial should turn for a protocol: the one about which least is known.

For every dial that serves the goals, science says how far the result at the planned dose may
be off, given all that is not known (affinity to casein, partition between fat and spirit, the
time that a steep takes, the protein of the whey). The dial with the widest answer is tried. A tie
goes to the earlier one in ``ORDER``; acid and contact come last because a split that fails
is seen in the jug, without tasters.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, Place, Problem, ProblemsFound
from advisor.science.whey import whey
from advisor.technique.trial.bounds import level_problem
from advisor.technique.trial.curves import curve_for
from advisor.technique.trial.dials import DIALS, SENSES
from advisor.technique.trial.model import Base
from advisor.technique.trial.plan import plan_trial

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from advisor.technique.trial.model import Trial

__all__ = ["DOSES", "GOALS", "ORDER", "Leverage", "levels_around", "leverages", "trial_for"]

ORDER = ("milk-share", "fat-rate", "steep-time", "whey-share", "contact-time", "acid-dose")

DOSES: Mapping[str, str] = MappingProxyType(
    {
        "milk_share": "milk-share",
        "acid_g_per_l_milk": "acid-dose",
        "contact_min": "contact-time",
        "fat_rate": "fat-rate",
        "steep_h": "steep-time",
        "steep": "steep-time",
        "whey_share": "whey-share",
    }
)
"""Doses of a protocol and the dials that turn them: %, g/L, min, %, h, h and %."""

GOALS: Mapping[str, str] = MappingProxyType(
    {
        "goal_less_astringent": "astringency",
        "goal_less_bitter": "bitterness",
        "goal_paler": "colour",
        "goal_rounder": "roundness",
        "goal_more_body": "body",
        "goal_foam": "foam",
        "goal_fat_flavour": "fat-flavour",
    }
)
"""Goals of a brief and the sense that shows whether they were reached."""

_UNSEEN = 0.05  # what is left to taste once the split has been seen to be full (judgement)


@dataclass(frozen=True, slots=True)
class Leverage:
    """How far the result at ``dose`` may be off (0 to 1 of the whole effect), and why."""

    dial: str
    sense: str
    dose: float
    spread: float
    reason: str


def leverages(
    doses: Mapping[str, float], *, goals: Sequence[str] = (), base: Base | None = None
) -> tuple[Leverage, ...]:
    """Every dial that serves the goals, the least known first.

    ``doses`` by the words of ``DOSES`` (``strip.milk_share`` is read as ``milk_share``) or of
    ``DIALS``, each in the dial's unit; other words are passed over. ``goals`` are words of
    ``GOALS``; without any that a trial can taste, every dial counts. Raises ``ProblemsFound`` for
    a dose that cannot be.
    """
    found = base or Base()
    known = _known(doses)
    senses = [GOALS[g] for g in goals if g in GOALS]
    ranked = []
    for dial, dose in known.items():
        serves = [s for s in senses if s in DIALS[dial].moves] if senses else []
        if senses and not serves:
            continue
        sense = serves[0] if serves else next(iter(DIALS[dial].moves))
        spread, reason = _off_by(found, dial, sense, dose)
        ranked.append(Leverage(dial, sense, dose, spread, reason))
    if not ranked and senses:
        return leverages(doses, base=base)
    return tuple(sorted(ranked, key=lambda r: (-round(r.spread, 2), ORDER.index(r.dial))))


def _known(doses: Mapping[str, float]) -> dict[str, float]:
    known: dict[str, float] = {}
    problems = []
    for word, dose in doses.items():
        dial = DOSES.get(word.rpartition(".")[2], word)
        if dial not in DIALS:
            continue
        problem = level_problem(DIALS[dial], dose)
        if not problem and DIALS[dial].unit == "%" and dose < 1.0:
            problem = f"{dose:g} % is hardly anything; give percent, 20 and not 0.2"
        if problem:
            problems.append(Problem("trial-level", problem, Place(word)))
        else:
            known[dial] = float(dose)
    if problems:
        raise ProblemsFound("these doses cannot be tried", problems)
    return known


def _off_by(base: Base, dial: str, sense: str, dose: float) -> tuple[float, str]:
    about = DIALS[dial]
    if not about.shape:
        return _UNSEEN, "whether it was enough is seen in the jug; little of it needs tasters"
    if about.shape == "line":
        protein = whey(base.whey_kind).protein
        spread = (protein.high - protein.low) / protein.value
        return spread, f"the protein of whey varies by {100 * spread:.0f} %"
    # Where a sense has no curve of its own, dryness stands in for it.
    curve = curve_for(base, SENSES[sense], dial)
    if isinstance(curve, str):
        curve = curve_for(base, SENSES["astringency"], dial)
    if isinstance(curve, str):
        return _UNSEEN, curve
    ends = sorted(curve.share(dose, end) for end in (curve.prior.low, curve.prior.high))
    return ends[1] - ends[0], (
        f"at {dose:g} {about.unit} it may bring {100 * ends[0]:.0f} to {100 * ends[1]:.0f} % of "
        f"all that it can bring, because the {curve.unknown} is not known"
    )


def levels_around(dial: str, dose: float) -> tuple[float, float, float]:
    """Three levels of a dial, the planned one in the middle, cut to what the dial allows."""
    about = DIALS[dial]
    low, high = dose / about.step, dose * about.step
    if low < about.low:  # no room below: the dose and two above
        low, high = dose, min(about.high, dose * about.step**2)
        dose = (low * high) ** 0.5
    elif high > about.high:
        low, high = max(about.low, dose / about.step**2), dose
        dose = (low * high) ** 0.5
    return _digits(low), _digits(dose), _digits(high)


def _digits(level: float) -> float:
    return float(f"{level:.3g}")


def trial_for(
    technique: str,
    doses: Mapping[str, float],
    *,
    goals: Sequence[str] = (),
    base: Base | None = None,
    tasters: int | Sequence[str] = 8,
    seed: int = 1,
    test: str = "auto",
    cup_ml: float = 15.0,
) -> Trial:
    """The trial that would prove a protocol: its least known dial at three levels.

    ``technique`` names the protocol in the title; ``doses`` are as for ``leverages`` and those
    not turned stay put. Raises ``AdvisorError`` (``trial-no-dial``) when no dose can be tried.
    """
    ranked = leverages(doses, goals=goals, base=base)
    if not ranked:
        raise AdvisorError(
            "trial-no-dial", f"no dose of {technique} is one that a trial can turn",
            hint=f"a trial turns {', '.join(DOSES)}",
        )
    first = ranked[0]
    others = {dial: dose for dial, dose in _known(doses).items() if dial != first.dial}
    passed = ", ".join(r.dial for r in ranked[1:])
    why = f"{first.dial} is tried because {first.reason}"
    return plan_trial(
        first.dial,
        levels_around(first.dial, first.dose),
        test=test,
        sense=first.sense,
        tasters=tasters,
        seed=seed,
        cup_ml=cup_ml,
        base=base,
        fixed=others,
        title=f"{technique}: {DIALS[first.dial].title}",
        why=f"{why}; less hangs on {passed}" if passed else why,
    )
