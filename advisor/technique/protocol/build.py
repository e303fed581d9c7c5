"""``protocol``: from a base, a brief and a technique to ordered steps with quantities."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, did_you_mean
from advisor.science.estimate import Estimate, exact
from advisor.technique.protocol import curd, fat, plain, strip, whey
from advisor.technique.protocol.label import label_card, refuse_limits, shopping_list
from advisor.technique.protocol.model import MadeFrom, Protocol, Quantity
from advisor.technique.protocol.outcome import days_if_measured, expected, not_linear
from advisor.technique.protocol.start import (
    LARGEST,
    LEAST_SPIRIT,
    SMALLEST,
    SPIRIT,
    begin,
    drink_name,
)
from advisor.technique.protocol.steps import Worked, applies, write_steps

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from advisor.knowledge.model import Base
    from advisor.knowledge.protocols import PartUse, ProtocolText
    from advisor.technique.brief import Brief
    from advisor.technique.protocol.model import Expected, Step
    from advisor.technique.protocol.plan import Plan

__all__ = ["WORK", "protocol", "refuse_prices"]

WORK: Mapping[str, Callable[[Plan], None]] = {
    "prepare": plain.prepare,
    "build": fat.build_drink,
    "strip": strip.strip,
    "curd-steep": curd.curd_steep,
    "fat-wash": fat.fat_wash,
    "whey-make": whey.whey_make,
    "whey-dose": whey.whey_dose,
    "add": plain.add,
    "settle": plain.settle,
    "spin": plain.spin,
    "polish": plain.polish,
    "finish": plain.finish,
}
"""The calculation behind each work of the knowledge base."""

_DEFAULT_BATCH = 1000.0
# Circumstance -> the word of the kit, and what to do without it.
_KIT = {
    "paper": ("coffee paper", "let it stand cold and draw it off twice instead."),
    "cloth": ("fine cloth", "a nut bag, a clean tea towel boiled plain, or paper alone will do."),
    "thermometer": ("thermometer", "blood-warm is about 37 °C; steaming without a skin about 60."),
    "ph-tool": ("pH strips", "go by the look of the liquid between the grains."),
    "scale": ("scale", "measure a solution by volume instead."),
}
_OF_MILK = ("contains-milk", "lactose-note")
_TRIES, _CLOSE = 8, 1e-4


def protocol(
    base: Base,
    brief: Brief,
    technique: str,
    *,
    batch_ml: float | None = None,
    overrides: Mapping[str, str | float] | None = None,
    prices: Mapping[str, float] | None = None,
    made: str = "",
    quick: bool | None = None,
) -> Protocol:
    """The protocol of a technique for a brief.

    ``batch_ml`` is what should stand in bottles at the end; left out, the brief's batch, else
    the drink that the brief has (``base_volume``), else one litre. ``overrides`` set dials
    (``milk_share``, ``part.dial``) or amounts (``milk``, ``acid``, ``fat``, ``whey``) as people
    write them. ``prices`` are per litre or kilogram, by item or group of the shopping list.
    ``made`` is the date for the label. ``quick`` takes every short cut that the texts allow;
    left out, when the brief's time limit asks for it.

    Raises ``AdvisorError``: an unknown technique, a dial that does not exist or cannot be
    set so, an amount that cannot be, a kit that is missing, a limit that would be broken.
    """
    try:
        return _written_out(base, brief, technique, batch_ml, overrides, prices, made, quick)
    except ValueError as error:
        # The science names the argument, the value and the range.
        raise AdvisorError(
            "amount-impossible",
            str(error),
            where="protocol",
            hint="change the amount, the size or the dial that it speaks of",
        ) from None


def refuse_prices(written: Protocol, prices: Mapping[str, float]) -> None:
    """``AdvisorError`` for a price of something that this protocol does not buy."""
    bought = [p for p in written.shopping if p.group != "kit"]
    known = list(dict.fromkeys([p.group for p in bought] + [p.item for p in bought]))
    for name in prices:
        if name not in known:
            raise AdvisorError(
                "price-unknown",
                f"nothing that is bought for this is called {name!r}",
                where=f"--price {name}",
                hint=did_you_mean(name, known)
                or f"it can be {', '.join(known)}; drink is all that is treated",
            )


def _written_out(
    base: Base, brief: Brief, technique: str, batch_ml: float | None,
    overrides: Mapping[str, str | float] | None, prices: Mapping[str, float] | None, made: str,
    quick: bool | None,
) -> Protocol:  # fmt: skip
    text = _text(base, technique)
    settings = dict(overrides or {})
    asked = _batch(brief, batch_ml)
    short = bool(quick)
    plan, worked, drink = _sized(base, brief, text, settings, asked, short)
    if quick is None and _too_long(brief, base, plan, worked):
        short = True
        plan, worked, drink = _sized(base, brief, text, settings, asked, short)
    plan.unused()
    refuse_limits(plan)
    outcome = expected(plan, prices or {})
    _shared(plan, outcome, brief)
    steps, timeline = write_steps(base, worked, plan.quantities)
    _warn_of_kit(plan, steps)
    _warn_of_time(brief, plan, timeline.total, timeline.hands_on)
    _warn_of_drink(brief, plan, drink)
    batch = plan.drink.volume.value
    title = brief.title or f"{text.title}, {drink_name(brief)}"
    return Protocol(
        technique=technique,
        title=text.title,
        brief_title=brief.title + ("  (invented)" if brief.invented else ""),
        batch_ml=batch,
        drink_ml=drink,
        from_=MadeFrom(
            technique=technique,
            answers={k: _written(a) for k, a in brief.answers.items()},
            batch_ml=batch_ml,
            overrides=settings,
            prices=dict(prices or {}),
            title=brief.title,
            made=made,
            invented=brief.invented,
        ),
        assumptions=(_of_size(brief, asked, batch, drink), *plan.assumptions),
        warnings=tuple(plan.warnings),
        settings=tuple(plan.settings),
        doses=tuple(plan.doses),
        quantities=dict(plan.quantities),
        steps=steps,
        timeline=timeline,
        expected=outcome,
        flows=tuple(plan.flows),
        shopping=shopping_list(plan, steps),
        not_linear=not_linear(plan),
        cautions=_cautions(base, plan, steps),
        label=label_card(plan, outcome, title, made),
        circumstances=frozenset(plan.circumstances),
        own_acid=plan.own_acid,
        told={k: v for told in plan.told.values() for k, v in told.items()},
        knowledge=f"{base.version} ({base.hash[:8]})",
    )


def _written(answer: object) -> str | float:
    text = getattr(answer, "text", "")
    value = getattr(answer, "value", None)
    if text:
        return str(text)
    return value if isinstance(value, float) else str(value or getattr(answer, "status", ""))


def _text(base: Base, technique: str) -> ProtocolText:
    text = base.protocols.get(technique)
    if text is None:
        raise AdvisorError(
            "unknown-technique",
            f"there is no protocol for {technique!r}",
            where="technique",
            hint=did_you_mean(technique, base.protocols)
            or "it can be " + ", ".join(base.protocols),
        )
    return text


def _batch(brief: Brief, batch_ml: float | None) -> float | None:
    """mL wanted at the end; ``None`` when the drink that is there decides."""
    wanted = batch_ml if batch_ml is not None else brief.number("batch_volume")
    if wanted is None:
        return None if brief.number("base_volume") is not None else _DEFAULT_BATCH
    if not SMALLEST <= wanted <= LARGEST:
        raise AdvisorError(
            "batch-size",
            f"a batch of {wanted:.4g} ml cannot be planned",
            where="batch",
            hint=f"from {SMALLEST:g} ml to {LARGEST / 1000:g} litres can",
        )
    return wanted


def _sized(
    base: Base, brief: Brief, text: ProtocolText, settings: Mapping[str, str | float],
    wanted: float | None, quick: bool,
) -> tuple[Plan, list[Worked], float]:  # fmt: skip
    """The plan whose bottles hold what is wanted: amounts grow with the drink, losses less so."""
    drink = wanted if wanted is not None else float(brief.number("base_volume") or 0.0)
    plan, worked = _worked(base, brief, text, settings, drink, quick)
    if wanted is None:
        return plan, worked, drink
    for _ in range(_TRIES):
        out = plan.drink.volume.value
        if abs(out - wanted) <= _CLOSE * wanted:
            break
        drink = min(LARGEST, max(SMALLEST, drink * wanted / out))
        plan, worked = _worked(base, brief, text, settings, drink, quick)
    return plan, worked, drink


def _worked(
    base: Base, brief: Brief, text: ProtocolText, settings: Mapping[str, str | float],
    drink: float, quick: bool,
) -> tuple[Plan, list[Worked]]:  # fmt: skip
    plan = begin(base, brief, text.technique, drink, settings, quick=quick)
    worked: list[Worked] = []
    # Only a mixed drink can be taken apart again: its spirit is washed, then it is built.
    plan.mark(
        "spirit-apart",
        any(base.parts[use.part].work == "build" for use in text.parts)
        and (plan.holds("mixed-base") or plan.holds("tea-base"))
        and LEAST_SPIRIT <= plan.drink.strength.value < SPIRIT.value,
    )
    uses = [u for u in text.parts if applies(u.when, u.unless, plan.circumstances)]
    for index, use in enumerate(uses):
        part = base.parts[use.part]
        if part.work == "whey-make":
            plan.whey_needed = _whey_ahead(base, plan, uses[index:])
        plan.now = (part, use)
        plan.mark("second", use.name.startswith("second"))
        volume = plan.drink.volume.value
        WORK[part.work](plan)
        told = plan.told.get(use.name) or (dict(worked[-1].told) if worked else {})
        worked.append(Worked(part, use, frozenset(plan.circumstances), told, volume / 1000.0))
    plan.now = None
    return plan, worked


def _whey_ahead(base: Base, plan: Plan, uses: Sequence[PartUse]) -> float:
    """mL of whey that a later part will want of the drink as it is now."""
    for use in uses:
        part = base.parts[use.part]
        if part.work == "whey-dose":
            plan.now = (part, use)
            asked = plan.asked_amount("whey", "mL")
            return asked or whey.wanted_whey(plan, plan.dial("whey_share"))
    raise LookupError("a part makes whey that no part uses")


def _too_long(brief: Brief, base: Base, plan: Plan, worked: Sequence[Worked]) -> bool:
    limit = brief.number("time_limit")
    if limit is None:
        return False
    _shared(plan, None, brief)
    return write_steps(base, worked, plan.quantities)[1].total > 60.0 * limit


def _shared(plan: Plan, outcome: Expected | None, brief: Brief) -> None:
    """Quantities that every step may name."""
    drink = plan.drink
    strength = drink.strength
    plan.quantities |= {
        "batch": Quantity(drink.volume),
        "finished": Quantity(drink.volume),
        "finished_strength": Quantity(strength),
        "strength_low": Quantity(exact(max(0.0, strength.value - 2.0), "%vol"), exact=True),
        "strength_high": Quantity(exact(min(100.0, strength.value + 2.0), "%vol"), exact=True),
        "serve": Quantity(exact(90.0 if outcome is None else outcome.serve_ml, "mL"), exact=True),
        "keep_days": _days(plan, outcome),
        "drink_name": Quantity(word=drink_name(brief)),
    }  # fmt: skip


def _days(plan: Plan, outcome: Expected | None) -> Quantity:
    """How long it keeps, as the label step says it; where a reading would add days, it asks."""
    if outcome is None:
        return Quantity(Estimate(1.0, 1.0, 1.0, "day"), exact=True)
    days = outcome.keep_days
    later = days_if_measured(plan, days)
    if not later:
        return Quantity(exact(float(days), "day"), exact=True)
    return Quantity(
        word=f"{days} days ({later} only after a calibrated pH meter has shown less than 4.2 in "
        "the finished drink; write the reading on the card)"
    )


def _of_size(brief: Brief, wanted: float | None, batch: float, drink: float) -> str:
    if wanted is None:
        return f"The size follows from the {drink:.4g} ml of drink that there is."
    said = brief.number("batch_volume") is not None or wanted != _DEFAULT_BATCH
    start = "" if said else "The size was not said: one litre. "
    return (
        f"{start}The batch is what should stand in bottles at the end ({batch:.4g} ml); about "
        f"{drink:.4g} ml of drink go in for it."
    )


def _warn_of_kit(plan: Plan, steps: Sequence[Step]) -> None:
    """What the brief says is not there, and the steps that want it."""
    for circumstance, (word, instead) in _KIT.items():
        if plan.holds(circumstance):
            continue
        wanted = [str(s.number) for s in steps if any(word in tool for tool in s.kit)]
        if wanted:
            noun, verb = ("Step", "asks") if len(wanted) == 1 else ("Steps", "ask")
            plan.warn(f"{noun} {', '.join(wanted)} {verb} for {word}, and there is none: {instead}")


def _warn_of_time(brief: Brief, plan: Plan, total: float, hands_on: float) -> None:
    from advisor.technique.protocol.wording import minutes

    for finding, taken, what in (
        ("time_limit", total, "It takes"),
        ("hands_on_limit", hands_on, "The work takes"),
    ):
        limit = brief.number(finding)
        if limit is not None and taken > 60.0 * limit + 0.5:
            plan.warn(f"{what} {minutes(taken)}; the limit is {minutes(60.0 * limit)}.")


def _warn_of_drink(brief: Brief, plan: Plan, drink: float) -> None:
    have = brief.number("base_volume")
    control = plan.quantities.get("prepare.control")
    aside = control.amount.value if control is not None and control.amount is not None else 0.0
    if have is not None and brief.number("batch_volume") is not None and drink > have * 1.001:
        raise AdvisorError(
            "not-enough-drink",
            f"this batch takes {drink + aside:.0f} ml of drink, and there are {have:.0f} ml",
            where="base_volume",
            hint=f"ask for about {plan.drink.volume.value * have / drink:.0f} ml at most",
        )


def _cautions(base: Base, plan: Plan, steps: Sequence[Step]) -> tuple[str, ...]:
    ids = [*plan.cautions, *(c for step in steps for c in step.cautions)]
    levels = ("stop", "warn", "note")
    if not plan.holds("dairy"):
        ids = [c for c in ids if c not in _OF_MILK]  # steps that soy drink shares with milk
    known = [c for c in dict.fromkeys(ids) if c in base.cautions]
    return tuple(sorted(known, key=lambda c: levels.index(base.cautions[c].level)))
