"""How it met the milk and how it was strained, as its maker tells it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.facts._say import amount, hours, of_strip, strained, washed, yes
from advisor.simulator.state import reached

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.chance import Chance
    from advisor.simulator.state import State

    _Facts = Mapping[str, Callable[[State, Chance], str | None]]


def _temperature_word(state: State, chance: Chance) -> str | None:
    used = state.made.milk
    if used is None:
        return None
    told = used.temperature + chance.normal(1.5)
    if used.boiled_long:
        return "boiled"
    for limit, word in ((12.0, "cold"), (32.0, "room"), (60.0, "warm"), (88.0, "hot")):
        if told < limit:
            return word
    return "boiled"


def _mix_temperature(state: State, chance: Chance) -> str | None:
    if not washed(state):
        return None
    made = state.made
    still = made.plan.moment == "mixing"
    minutes = made.plan.minutes_since_mixing if still else 60.0 * made.meeting.rest_h
    warm = state.wash.temperature  # a jug does not cool in minutes, whatever it stands in
    if minutes > 60.0:
        warm = made.meeting.rest_temperature
    return f"{round(warm + chance.normal(1.5)):g} C"


def _rest(state: State, chance: Chance) -> str | None:
    if not washed(state):
        return None
    if state.made.plan.moment == "mixing":
        return None
    return hours(state.made.meeting.rest_h * (1.0 + chance.normal(0.08)))


def _since(state: State, chance: Chance) -> str | None:
    if not washed(state) or state.made.plan.moment not in ("mixing", "straining"):
        return None
    minutes = state.made.plan.minutes_since_mixing
    if state.made.plan.moment == "straining":
        minutes = 60.0 * (state.made.meeting.rest_h + 0.5)
    return f"{max(1, round(minutes * (1.0 + chance.normal(0.1)))):g} min"


def _bed(read: Callable[[State], str]) -> Callable[[State, Chance], str | None]:
    return strained(lambda s: read(s) if washed(s) else None)


def _papered(state: State) -> bool:
    return state.made.straining.filter_kind in ("paper", "cloth-then-paper")


def _clothed(state: State) -> bool:
    return state.made.straining.filter_kind in ("cloth", "cloth-then-paper")


def _filtering_minutes(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "straining"):
        return None
    run = state.run.hours
    if state.made.plan.moment == "straining":
        run = min(run, state.made.straining.hours_so_far or 0.6 * run)
    return hours(run * (1.0 + chance.normal(0.1)))


def _trial(state: State) -> str | None:
    if not state.made.plan.trial_made:
        return "no"
    return yes(state.run.trial_hours < 1.5 * state.run.trial_usual)


def _strain_temperature(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "straining"):
        return None
    made = state.made
    warm = made.straining.temperature
    if made.fat is not None and made.milk is None:
        warm = made.fat.strain_temperature
    return f"{round(warm + chance.normal(1.0)):g} C"


def _volume_out(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "fresh") or state.made.operation == "whey-dose":
        return None
    out = state.run.out_ml
    if state.made.milk is None and state.fat is not None:
        out = state.fat.volume
    return amount(out, "ml", chance, 0.015)


STEPS: _Facts = {
    "washes": of_strip(lambda s: f"{s.made.meeting.washes}"),
    "milk_temperature": _temperature_word,
    "mix_temperature": _mix_temperature,
    "order": of_strip(lambda s: s.made.meeting.order),
    "pour": of_strip(lambda s: s.made.meeting.pour),
    "stirring": of_strip(lambda s: s.made.meeting.stirring),
    "rest_time": _rest,
    "minutes_since_mixing": _since,
    "curd_bubbles": of_strip(lambda s: yes(s.wash.gas > 0.012)),
    "ring_on_pan": of_strip(lambda s: yes(s.made.milk is not None and s.made.milk.scorched > 0.3)),
    "open_hot_pan": of_strip(lambda s: yes(s.made.meeting.open_hot_pan)),
    "filter_kind": strained(lambda s: s.made.straining.filter_kind),
    "bed_handling": _bed(lambda s: s.made.straining.bed_handling),
    "forerun_returned": _bed(lambda s: yes(s.made.straining.forerun_returned)),
    "minutes_filtering": _filtering_minutes,
    "passes": strained(lambda s: f"{s.made.straining.passes}"),
    "bed_ran_dry": _bed(lambda s: yes(s.made.straining.ran_dry)),
    "small_trial_fine": strained(_trial),
    "filter_covered": strained(lambda s: yes(s.made.straining.covered)),
    "strain_temperature": _strain_temperature,
    "paper_rinsed": strained(lambda s: yes(s.made.straining.paper_rinsed) if _papered(s) else None),
    "cloth_new_or_softened": strained(
        lambda s: yes(s.made.straining.cloth_lint > 0.0) if _clothed(s) else None
    ),
    "volume_out": _volume_out,
}
