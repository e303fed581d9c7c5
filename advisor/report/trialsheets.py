"""The sheets of a trial: one for every taster with codes alone, the key, and how to prepare.

The tasters' sheets name no sample, no level and no dial: nothing on them says what is in a cup.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.quantities import say
from advisor.report.trial import caution_lines, pour_lines, solo_lines
from advisor.technique.trial import preparation
from advisor.technique.trial.pours import SITTING, title_of
from advisor.technique.trial.trialfile import mark_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.technique.trial import Flight, Trial

__all__ = ["SHEETS", "TasterSheet", "html", "markdown", "taster_sheets"]

SHEETS = ("tasters", "key", "preparation")
"""What can be printed; the key must stay away from whoever tastes."""


@dataclass(frozen=True, slots=True)
class Served:
    """A flight on a taster's sheet; ``stop``: go on another day after it."""

    number: int
    codes: tuple[str, ...]
    stop: bool


@dataclass(frozen=True, slots=True)
class TasterSheet:
    """One taster's sheet. ``blank`` is what they fill in: ``pick``, ``rank`` or ``rate``."""

    taster: str
    mark: str
    ask: str
    blank: str
    picks: int
    reference: bool
    flights: tuple[Served, ...]


def _ask(trial: Trial) -> str:
    return trial.method.ask.format(sense=trial.asked.title, ask=trial.asked.ask)


def taster_sheets(trial: Trial) -> tuple[TasterSheet, ...]:
    """A sheet for every taster, with codes in serving order and nothing else about the cups."""
    return tuple(
        TasterSheet(
            taster,
            mark_of(trial),
            _ask(trial),
            trial.method.kind,
            trial.method.picks,
            trial.method.reference,
            _served(trial.flights_of(taster)),
        )
        for taster in trial.tasters
    )


def _served(flights: Sequence[Flight]) -> tuple[Served, ...]:
    served, poured = [], 0
    for place, flight in enumerate(flights):
        poured += len(flight.cups)
        following = flights[place + 1] if place + 1 < len(flights) else None
        stop = following is not None and poured + len(following.cups) > SITTING
        poured = 0 if stop else poured
        served.append(Served(flight.number, flight.codes, stop))
    return tuple(served)


_BEFORE = (
    "Tell us about allergies before you taste: the cups may contain milk or other allergens. If "
    "you have one, or should not drink alcohol today, do not take part.",
    "Taste the cups from left to right, in the order that is printed. Rinse with water and wait a "
    "minute between cups. You may spit. Do not talk about the cups until all have finished.",
)


def markdown(trial: Trial, sheet: str, *, units: str = "metric") -> str:
    """One of ``SHEETS`` as Markdown."""
    lines = {"tasters": _tasters, "key": _key, "preparation": _preparation}[sheet](trial, units)
    return "\n".join(lines) + "\n"


def _tasters(trial: Trial, units: str) -> list[str]:
    lines: list[str] = []
    for sheet in taster_sheets(trial):
        lines += [f"# Tasting sheet: {sheet.taster}", "", f"Trial {sheet.mark}", ""]
        lines += [f"- {text}" for text in _BEFORE]
        lines += ["", f"**{sheet.ask}**", ""]
        for flight in sheet.flights:
            lines += _flight_lines(sheet, flight)
        lines += ["", "---", ""]
    return lines


def _flight_lines(sheet: TasterSheet, flight: Served) -> list[str]:
    row = (*(("R",) if sheet.reference else ()), *flight.codes)
    lines = []
    if len(sheet.flights) > 1:
        lines += [f"Flight {flight.number}", ""]
    lines += [f"| {' | '.join(row)} |", f"|{' --- |' * len(row)}"]
    blanks = {"rate": "score:", "rank": "place:", "pick": ""}[sheet.blank]
    cells = ["" if code == "R" else blanks for code in row]
    lines += [f"| {' | '.join(cells)} |", ""]
    if sheet.blank == "pick":
        lines += [" ".join(["Answer:"] + ["______"] * sheet.picks), ""]
    if flight.stop:
        lines += ["*Stop here and go on another day: the mouth is tired.*", ""]
    return lines


def _key(trial: Trial, units: str) -> list[str]:
    titles = {s.id: title_of(s) for s in trial.samples}
    lines = [
        f"# Key: {trial.title}", "", f"Trial {mark_of(trial)}", "",
        "**For whoever pours. Keep it away from everybody who tastes, until all answers are in.**",
        "", "## Who gets what", "", "| taster | flight | cups in the order of serving |",
        "| --- | --- | --- |",
    ]  # fmt: skip
    for flight in trial.flights:
        cups = ", ".join(f"{c.code} = {titles[c.sample]}" for c in flight.cups)
        reference = "R = control, " if trial.method.reference else ""
        lines.append(f"| {flight.taster} | {flight.number} | {reference}{cups} |")
    return lines


def _poured(trial: Trial) -> dict[str, dict[str, int]]:
    """For every sample its codes and how many cups carry each."""
    poured: dict[str, dict[str, int]] = {s.id: {} for s in trial.samples}
    for flight in trial.flights:
        for cup in flight.cups:
            poured[cup.sample][cup.code] = poured[cup.sample].get(cup.code, 0) + 1
        if trial.method.reference:
            poured["control"]["R"] = poured["control"].get("R", 0) + 1
    return poured


def _preparation(trial: Trial, units: str) -> list[str]:
    made = preparation(trial)
    poured = _poured(trial)
    cup = say(trial.cup_ml, "mL", system=units)
    lines = [
        f"# Preparation: {trial.title}", "", f"Trial {mark_of(trial)}. For whoever prepares.", "",
        "## Mind first", "",
    ]  # fmt: skip
    lines += [f"- {line.text}" for line in caution_lines(made.cautions)]
    lines += [f"- {note}" for note in made.notes]
    lines += ["", "## Make", ""]
    for pour in made.pours:
        lines += [f"### {pour.heading}", ""]
        lines += [f"- {text}" for text in pour_lines(pour, units)]
        codes = ", ".join(
            f"{code} ({count} cups)" if count > 1 else code
            for code, count in sorted(poured[pour.sample].items())
        )
        lines += [f"- Pour {cup} into each cup: {codes}", ""]
    lines += ["## Serve", "", f"- Each taster: {made.cups_each} cups of {cup}."]
    if made.alcohol:
        us, uk, au = (made.alcohol[b] for b in ("us", "uk", "au"))
        lines.append(
            f"- Alcohol for one taster if all is swallowed: {us:.2g} US standard drinks (14 g), "
            f"{uk:.2g} UK units (10 ml), {au:.2g} Australian standard drinks (10 g). Offer "
            "spittoons."
        )
    lines.append("- Same glass, same height, same temperature; set cups in the order of the sheet.")
    if trial.alone:
        lines += ["", "## Alone", "", *(f"- {text}" for text in solo_lines(trial))]
    return lines


def html(trial: Trial, sheet: str, *, units: str = "metric") -> str:
    """One of ``SHEETS`` as a page that prints on its own, each taster on a new sheet of paper."""
    from advisor.report.html import render
    from advisor.version import __version__

    made = preparation(trial)
    titles = {s.id: title_of(s) for s in trial.samples}
    heading = {"tasters": "Tasting sheets", "key": f"Key: {trial.title}",
               "preparation": f"Preparation: {trial.title}"}[sheet]  # fmt: skip
    shared = {
        "title": heading, "version": __version__, "knowledge": "", "date": "",
        "mark": mark_of(trial),
    }  # fmt: skip
    if sheet == "tasters":
        return render(
            "trial_tasters.html", **shared, sheets=taster_sheets(trial), before=_BEFORE
        )
    if sheet == "key":
        reference = trial.method.reference
        rows = [
            (f.taster, str(f.number), [*((("R", "control"),) if reference else ()),
                                       *((c.code, titles[c.sample]) for c in f.cups)])
            for f in trial.flights
        ]  # fmt: skip
        return render("trial_key.html", **shared, rows=rows)
    poured = _poured(trial)
    steps = [
        (p.heading, tuple(pour_lines(p, units)), sorted(poured[p.sample].items()))
        for p in made.pours
    ]
    return render(
        "trial_preparation.html",
        **shared,
        cautions=[(line.tone == "stop", line.text) for line in caution_lines(made.cautions)],
        notes=made.notes,
        steps=steps,
        cup=say(trial.cup_ml, "mL", system=units),
        cups_each=made.cups_each,
        alcohol=[f"{made.alcohol[b]:.2g}" for b in ("us", "uk", "au")] if made.alcohol else [],
        alone=solo_lines(trial) if trial.alone else (),
    )
