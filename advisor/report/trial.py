"""A trial on the screen: the plan with its quantities and panel, and what the answers prove."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.quantities import say
from advisor.report.model import Block, Line, Report
from advisor.technique.trial import NoFit, preparation, sizes
from advisor.technique.trial.dials import DIALS
from advisor.technique.trial.methods import TESTS
from advisor.technique.trial.plan import power_at_hand
from advisor.technique.trial.pours import title_of
from advisor.technique.trial.size import POWER
from advisor.technique.trial.words import (
    conclusion,
    limits,
    said_comparison,
    said_overall,
    size_word,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from advisor.science.wording import Caution
    from advisor.technique.trial import Fit, Judgement, Pour, Preparation, Size, Trial

__all__ = ["caution_lines", "judged_report", "plan_report", "pour_lines", "solo_lines"]


def plan_report(trial: Trial, *, units: str = "metric") -> Report:
    """The plan: samples, panel and power, what to pour, what to mind."""
    made = preparation(trial)
    power = power_at_hand(trial)
    people = "one taster" if len(trial.tasters) == 1 else f"{len(trial.tasters)} tasters"
    repeats = f", {trial.repeats} flights each" if trial.repeats > 1 else ""
    verdict = (
        f"{trial.method.title} of {trial.asked.title}: {len(trial.treated)} "
        f"{'sample' if len(trial.treated) == 1 else 'samples'} and a control, {people}{repeats}"
    )
    blocks = [
        Block("WHY", (Line(_capital(trial.why) + "."),)) if trial.why else None,
        Block("SAMPLES", tuple(_samples(trial))),
        Block("HOW MANY TASTERS", tuple(_panel(trial, power, units))),
        Block("MAKE", tuple(line for p in made.pours for line in _made(p, units))),
        Block("EACH TASTER", tuple(_each(trial, made, units))),
        Block("ALONE", tuple(map(Line, solo_lines(trial)))) if trial.alone else None,
        Block("MIND", (*caution_lines(made.cautions), *map(Line, made.notes))),
    ]
    footer = (
        f"Test: {trial.method.source}. Seed {trial.seed}: the same plan gives the same codes.",
    )
    return Report(
        trial.title, _capital(verdict), "", "strong", tuple(b for b in blocks if b), footer
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _samples(trial: Trial) -> Iterator[Line]:
    control = trial.dial.control
    for sample in trial.samples:
        said = control if sample.is_control else title_of(sample)
        yield Line(f"{sample.id}: {said}")
    if trial.fixed:
        kept = (f"{d.replace('-', ' ')} {say(v, DIALS[d].unit)}" for d, v in trial.fixed.items())
        yield Line(f"The same for all treated samples: {', '.join(kept)}", tone="quiet")


def _panel(trial: Trial, power: float, units: str) -> Iterator[Line]:
    d = f"{trial.wanted:g} ({size_word(trial.wanted)})"
    yield Line(
        f"A difference of d' {d} matters to you. This trial finds it with "
        f"{_percent(power)} chance; {_percent(POWER)} is the custom.",
        tone="" if power >= POWER else "against",
    )
    listed = sizes(
        trial.wanted,
        tasters=len(trial.tasters),
        treated=len(trial.treated),
        repeats=trial.repeats,
        cup_ml=trial.cup_ml,
        alpha=trial.tail,
        direction=trial.foretold != 0,
    )
    for one in listed:
        yield Line(_size(trial, one, units), tone="strong" if one.test == trial.test else "")
    if trial.repeats > 1:
        yield Line(
            "Repeats count as flights, but they prove it for these tasters only, not for guests.",
            tone="quiet",
        )


def _size(trial: Trial, one: Size, units: str) -> str:
    needs = "more than 400 tasters" if one.tasters is None else f"{one.tasters} tasters"
    needs = "1 taster" if one.tasters == 1 else needs
    repeated = f" at {trial.repeats} flights" if trial.repeats > 1 else ""
    finds = "none below 6" if one.finds is None else f"from d' {one.finds:.1f}"
    cups = f"{one.cups} cups, {say(one.ml, 'mL', system=units)} each"
    chosen = " (chosen)" if one.test == trial.test else ""
    trend = ""
    if one.test == "rank" and len(trial.treated) > 1:
        trend = ", for the trend over all samples"
    if one.power == 0.0:
        yours = "yours cannot find anything"
    else:
        yours = f"yours find it with {_percent(one.power)}, and {finds} with {_percent(POWER)}"
    return f"{TESTS[one.test].title}{chosen}{trend}: {needs}{repeated}; {yours}; {cups}"


def _percent(share: float) -> str:
    """Never 0 or 100 % for what is neither."""
    if 0.0 < share < 0.01:
        return "less than 1 %"
    if 0.99 < share < 1.0:
        return "more than 99 %"
    return f"{100 * share:.0f} %"


def _made(pour: Pour, units: str) -> Iterator[Line]:
    yield Line(pour.heading, f"{pour.cups} cups")
    for text in pour_lines(pour, units):
        yield Line(text, depth=1)


def pour_lines(pour: Pour, units: str = "metric") -> Iterator[str]:
    """How a sample is made, step by step."""

    def ml(amount: float) -> str:
        return say(float(f"{amount:.3g}"), "mL", system=units)

    yield f"Drink: {ml(pour.drink_ml)}"
    if pour.fat_ml:
        steep = f", steep {say(pour.steep_h, 'h')}" if pour.steep_h else ""
        yield (
            f"Fat: {ml(pour.fat_ml)} melted, or {say(float(f'{pour.fat_g:.3g}'), 'g')}{steep}; "
            "chill and strain"
        )
    if pour.milk_ml:
        acid = f" with {say(float(f'{pour.acid_g:.2g}'), 'g')} of acid" if pour.acid_g else ""
        wait = f"; wait {say(pour.contact_min, 'min')}" if pour.contact_min else ""
        yield f"Milk: {ml(pour.milk_ml)}; pour the drink{acid} into it{wait}; strain until clear"
    if pour.whey_ml_per_100:
        yield f"Whey: {ml(pour.whey_ml_per_100)} to every 100 ml of what you have now"
    if pour.water_per_100:
        yield (
            f"Water: {ml(pour.water_per_100)} to every 100 ml of what you have now, so that all "
            "samples are equally strong"
        )
    strength = f", {say(round(pour.strength, 1), '%vol')}" if pour.strength else ""
    yield f"Expect about {ml(pour.expect_ml)}{strength}; the cups take {ml(pour.need_ml)}"
    yield from pour.remarks


def _each(trial: Trial, made: Preparation, units: str) -> Iterator[Line]:
    total = say(made.ml_each, "mL", system=units)
    yield Line(f"{made.cups_each} cups of {say(trial.cup_ml, 'mL', system=units)}: {total}")
    if made.alcohol:
        us, uk, au = (made.alcohol[b] for b in ("us", "uk", "au"))
        yield Line(
            f"Alcohol if all is swallowed: {us:.2g} US standard drinks (14 g), {uk:.2g} UK units "
            f"(10 ml), {au:.2g} Australian standard drinks (10 g)"
        )
    drink = say(made.drink_ml, "mL", system=units)
    yield Line(f"Drink needed for the whole trial: {drink}")
    yield Line("Water and plain bread between cups; wait a minute after each: dryness lingers.")


def solo_lines(trial: Trial) -> tuple[str, ...]:
    """How one person tastes blind without help, and what that can and cannot show."""
    cups = trial.method.cups or len(trial.samples)
    return (
        f"For each flight: write its {cups} codes under the cups, from the key, so that no code "
        "shows from above; pour the same height; wipe off drips.",
        "Close your eyes, move the cups about on a tray until you have lost track, then set them "
        "in a row by touch. Taste from left to right, decide, and only then look under the cup.",
        "Write the code down before you turn over any other cup, and do not look up what it was "
        "until the last flight is written down. Better still: let somebody else pour and shuffle.",
        "This can show that you can tell the cups apart. It shows nothing of what guests notice, "
        "and not seeing a difference yourself does not prove that there is none.",
    )


def caution_lines(cautions: Sequence[Caution]) -> tuple[Line, ...]:
    """Stops first; who decides stands once, at the end."""
    lines = [
        Line(f"{'STOP ' if c.stop else ''}{c.fact} {c.action} ({c.jurisdiction})",
             tone="stop" if c.stop else "")
        for c in sorted(cautions, key=lambda c: not c.stop)
    ]  # fmt: skip
    deferrals = dict.fromkeys(c.deferral for c in cautions)
    return (*lines, *(Line(text, tone="quiet") for text in deferrals))


def judged_report(
    judgement: Judgement, fits: Sequence[Fit | NoFit], *, units: str = "metric"
) -> Report:
    """What the answers prove, what they cannot, and what to try next."""
    trial = judgement.trial
    found = tuple(
        Line(said_comparison(trial, c), tone="for" if c.found else "")
        for c in judgement.comparisons
    )
    overall = tuple(Line(said_overall(trial, o)) for o in judgement.overall)
    blocks = [
        Block("AGAINST THE CONTROL", found),
        Block("ALL SAMPLES", overall) if overall else None,
        Block("MEAN RANKS" if trial.test == "rank" else "MEAN SCORES",
              tuple(_means(judgement))) if judgement.means else None,
        *(Block(_fit_heading(f), tuple(_fit_lines(f, units))) for f in fits),
        Block("WHAT THIS CANNOT SHOW", tuple(map(Line, limits(judgement)))),
    ]  # fmt: skip
    answered = f"{judgement.answered} of {judgement.flights} flights answered"
    tests = [o.source for o in judgement.overall]
    own = [s for s in (trial.method.source,) if not any(t.startswith(s) for t in tests)]
    sources = dict.fromkeys((*own, *tests))
    return Report(
        trial.title,
        conclusion(judgement),
        f"({answered})",
        "strong",
        tuple(b for b in blocks if b),
        (
            f"Sources: {'; '.join(sources)}; d' after Ennis 1993 and Bi 2006; several samples: "
            "Holm 1979.",
        ),
    )


def _means(judgement: Judgement) -> Iterator[Line]:
    titles = {s.id: title_of(s) for s in judgement.trial.samples}
    for sample, mean in judgement.means:
        yield Line(f"{titles[sample]}: {mean:.2f}")


def _fit_heading(one: Fit | NoFit) -> str:
    at = f" AT {one.at.upper()}" if one.at else ""
    return f"NEXT {one.dial.upper().replace('-', ' ')}{at}"


def _fit_lines(one: Fit | NoFit, units: str) -> Iterator[Line]:
    unit = DIALS[one.dial].unit
    if isinstance(one, NoFit):
        yield Line(f"No curve is fitted: {one.reason}.")
        if one.levels:
            yield Line(f"Close in on the best so far: {_levels(one.levels, unit)}.")
        return
    if one.dose is None:
        yield Line(f"Aim: {one.aim}.")
    else:
        dose = say(one.dose.value, unit, low=one.dose.low, high=one.dose.high)
        weak = "" if one.settled else ", a guess more than a finding"
        yield Line(f"For {one.aim}: {dose}{weak}", tone="strong" if one.settled else "")
    for remark in one.remarks:
        yield Line(remark, tone="against")
    if one.levels:
        yield Line(f"Try next, beside a control: {_levels(one.levels, unit)}")
    curve = one.curve
    if curve.unit or curve.id != "line":
        yield Line(
            f"Curve: {curve.title}; {curve.unknown} {_three(one.unknown)} {curve.unit}".rstrip()
            + f", believed before: {_three(curve.prior)}",
            tone="quiet",
        )
    yield Line(f"how: {curve.formula} ({curve.source})", tone="quiet", depth=1)


def _three(estimate: object) -> str:
    low, value, high = (getattr(estimate, end) for end in ("low", "value", "high"))
    return f"{value:.2g} ({low:.2g} to {high:.2g})"


def _levels(levels: Sequence[float], unit: str) -> str:
    return ", ".join(say(level, unit) for level in levels)
