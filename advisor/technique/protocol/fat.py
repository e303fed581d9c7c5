"""The amounts of a fat wash, and of the drink that is built with the washed spirit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.errors import AdvisorError
from advisor.science import fat as fats
from advisor.science.estimate import Estimate, exact, propagate
from advisor.science.ethanol import WATER_DENSITY
from advisor.science.fats import fat as fat_of
from advisor.science.freezing import lowest_liquid_strength
from advisor.science.heat import through_wall_minutes
from advisor.science.mixing import Part as Poured
from advisor.science.mixing import mix, strength_after_water_mass, water_to_dilute
from advisor.technique.protocol.milky import caution, less_wet, positive, summed
from advisor.technique.protocol.plan import Bought, Ingredient, Liquid, Plan, scaled
from advisor.technique.protocol.start import LEAST_SPIRIT, SPIRIT, fat_kind

if TYPE_CHECKING:
    from advisor.science.fats import Fat

__all__ = ["build_drink", "fat_wash"]

_FREEZER, _FRIDGE = -18.0, 4.0
# degC at which a fat that sets in the fridge or only in the freezer is firm (melting ranges).
_FIRM = {"fridge": 6.0, "freezer": -14.0, "never": -10.0}
_BROWNING = 0.97 / 0.80  # butter with 80 % fat for brown butter with 97 %; residue stays in the pan
_FALLBACK = {"plant-fat-wash": "coconut-oil"}
_MEAT = ("bacon-fat", "lard", "beef-tallow", "duck-fat", "goose-fat", "chicken-fat")
_FAT_DAYS = 14
_DENSITY_SOURCE = "densities of fats from handbooks (some recalled); OIML R 22 for the spirit"


def fat_wash(plan: Plan) -> None:
    """Fat, steep, cold and what comes back.

    In a mixed drink the spirit alone is washed: it is worked out of the drink's strength, and
    waits in ``plan.spirit`` until the drink is built. ``AdvisorError`` where the fat cannot be
    parted from this spirit with the cold at hand.
    """
    kind = fat_kind(plan, _FALLBACK.get(plan.technique, "brown-butter"))
    about = fat_of(kind)
    before = _spirit(plan)
    volume, strength = before.volume.value, before.strength.value
    place = _marks(plan, kind, about, strength)
    fat_g, span = _fat_amount(plan, kind, about, volume)
    plan.put("spirit", exact(volume, "mL"), exactly=True)
    plan.put("spirit_strength", before.strength)
    plan.word("fat_name", about.name)
    plan.dose(
        "fat",
        about.name,
        span,
        formula="spirit x rate / volume of a gram of melted fat",
        source=f"rates are common practice (32 published recipes); {about.source}",
        footing="given" if span.low == span.high else "practice",
    )
    plan.put("fat_volume", exact(fats.fat_volume(kind, fat_g), "mL"))
    plan.put("raw_butter", exact(fat_g * _BROWNING, "g"), exactly=True)
    plan.put("fat_temperature", exact(plan.dial("fat_temperature"), "degC"), exactly=True)
    plan.put("steep", exact(plan.dial("steep"), "h"), exactly=True)
    _cold(plan, volume, strength, place, about.sets)
    after = _washed(plan, kind, about, before, fat_g)
    _fat_bought(plan, kind, about, fat_g)
    plan.told[plan.name] = {
        "operation": "fat-wash",
        "fat_kind": kind if kind in plan.base.findings["fat_kind"].words else "other",
        "fat_mass": f"{fat_g:.4g} g",
        "spirit_volume": f"{volume:.4g} ml",
        "spirit_strength": f"{strength:.3g}",
    }
    if plan.rest is not None:
        plan.spirit = after
    else:
        plan.drink = after


def _spirit(plan: Plan) -> Liquid:
    """What is washed: the drink, or the spirit that its strength says is in it."""
    drink = plan.drink
    if drink.strength.value < LEAST_SPIRIT:
        raise AdvisorError(
            "no-spirit",
            f"a drink of {drink.strength.value:.2g} % vol has no spirit to wash with fat",
            where="base_strength",
            hint="fat needs about 30 % vol or more to give its flavour and to part again",
        )
    first = all(flow.part == "prepare" for flow in plan.flows)
    if not (first and plan.holds("spirit-apart")):
        return drink
    volume = drink.volume.value
    ethanol = drink.ethanol
    spirit_ml = 100.0 * ethanol / SPIRIT.value
    rest_ml = water_to_dilute(spirit_ml, SPIRIT.value, drink.strength.value)
    plan.assume(
        f"The spirit in the drink is taken to have {SPIRIT.value:g} % vol: {spirit_ml:.0f} ml of "
        f"it and {rest_ml:.0f} ml of everything else make {volume:.0f} ml of drink."
    )
    share = volume / rest_ml if rest_ml > 0.0 else 0.0
    plan.rest = Liquid(
        volume=exact(rest_ml, "mL"),
        strength=exact(0.0, "%vol"),
        acid=scaled(drink.acid, share),
        ph=drink.ph,
        sugar=None if drink.sugar is None else scaled(drink.sugar, share),
    )
    # The drink is taken apart: what goes into the wash is the spirit, the rest waits.
    plan.flow("drink taken apart: contraction", "in", spirit_ml + rest_ml - volume, 0.0)
    plan.flow("rest of the drink, put aside", "out", rest_ml, 0.0)
    return Liquid(exact(spirit_ml, "mL"), SPIRIT, exact(0.0, "g/L"))


def _marks(plan: Plan, kind: str, about: Fat, strength: float) -> str:
    """Circumstances of this fat in this spirit, and where it sets: freezer, fridge or neither."""
    weak = strength < lowest_liquid_strength(_FREEZER).value
    place = about.sets
    if place == "fridge" and not weak and plan.holds("freezer"):
        place = "freezer"  # sets firmer and sooner, and nothing freezes with it
    if place == "freezer" and weak:
        raise AdvisorError(
            "fat-not-set",
            f"{about.name} sets only in the freezer, where {strength:.3g} % vol turns to slush",
            where="wanted_fat",
            hint="choose a fat that sets in the fridge (coconut oil, butter, ghee, lard), or wash "
            "the spirit before it is mixed",
        )
    if place == "freezer" and not plan.holds("freezer"):
        raise AdvisorError(
            "kit-missing",
            f"{about.name} sets only in a freezer, and there is none",
            where="kit_freezer",
            hint="choose a fat that sets in the fridge: coconut oil, butter, ghee, lard",
        )
    plan.mark("fat-washed")
    plan.mark("weak-spirit", weak)
    plan.mark("sets-in-freezer", place == "freezer")
    plan.mark("sets-in-fridge", place == "fridge")
    plan.mark("never-sets", place == "never")
    plan.mark("paste", about.layer == "paste")
    plan.mark("brown-butter", kind == "brown-butter")
    plan.mark("whole-butter", kind == "plain-butter")
    plan.mark("meat-fat", kind in _MEAT)
    plan.mark("fat-melts", about.melts[1] > 25.0 and about.layer != "paste")
    plan.mark("dairy", plan.holds("dairy") or "milk" in about.contains)
    floating = fats.floats(kind, strength, 20.0)
    plan.mark("overproof", floating.value != "floats")
    if floating.value != "floats":
        stops = fats.stops_floating_at(about.density[1])
        plan.warn(
            f"At {strength:.0f} % vol this fat {floating.value} instead of floating (from about "
            f"{stops:.0f} % vol): let it set, or thin the spirit first."
        )
    return place


def _fat_amount(plan: Plan, kind: str, about: Fat, volume: float) -> tuple[float, Estimate]:
    per_gram = fats.fat_volume(kind, 1.0)
    asked = plan.asked_amount("fat", "g")
    least, usual, most = about.rate
    if asked is not None:
        rate = 100.0 * asked * per_gram / volume
        if rate > 60.0:
            raise AdvisorError(
                "amount-impossible",
                f"{asked:g} g of fat in {volume:.0f} ml is {rate:.0f} % of the spirit",
                where="set fat",
                hint=f"practice ends at {most:g} % for {about.name}",
            )
        return asked, exact(asked, "g")
    rate = plan.dial("fat_rate")
    if plan.settings[-1].footing != "given":
        rate = usual
        plan.reset("fat_rate", rate, f"usual for {about.name}", span=(least, most))

    def grams(percent: float) -> float:
        return volume * percent / 100.0 / per_gram

    value = grams(rate)
    return value, Estimate(value, min(value, grams(least)), max(value, grams(most)), "g")


def _cold(plan: Plan, volume: float, strength: float, place: str, sets: str) -> None:
    """How long the jar must stand in the cold; never shorter than it takes to get there."""
    freezes = not plan.holds("weak-spirit") and plan.holds("freezer")
    where = "freezer" if place == "freezer" or (place == "never" and freezes) else "fridge"
    around = _FREEZER if where == "freezer" else _FRIDGE
    # A tray cools far sooner than a jar; it is asked for only where time is short.
    shape = "tray" if plan.holds("quick") else "jar"
    needed = through_wall_minutes(
        volume, strength, 25.0, max(_FIRM[sets], around + 2.0), around, place=where, shape=shape
    )
    hours = plan.dial("cold")
    least = needed.high / 60.0
    if hours < least:
        if plan.settings[-1].footing == "given":
            plan.warn(
                f"{hours:.3g} h in the {where} may be too short: {volume / 1000:.3g} litres in a "
                f"{shape} take {needed.low / 60:.2g} to {least:.2g} h to get there."
            )
        else:
            hours = least
            plan.reset("cold", hours, f"a {shape} this size takes so long to cool in the {where}")
    plan.put("cold_time", exact(hours, "h"), exactly=True)
    plan.put("least_cold", needed)
    plan.word("cold", where)


def _washed(plan: Plan, kind: str, about: Fat, before: Liquid, fat_g: float) -> Liquid:
    water = fats.water_brought(kind, fat_g)
    mixed = strength_after_water_mass(before.volume.value, before.strength.value, water.value)
    strength = positive(
        propagate(
            lambda s, w: fats.strength_with_water(before.volume.value, s, w),
            {"s": before.strength, "w": water},
            unit="%vol",
        )
    )
    low, high = about.kept
    kept = less_wet(
        propagate(
            lambda v, k: v * k,
            {"v": mixed.volume, "k": Estimate((low + high) / 2, low, high)},
            unit="mL",
        )
    )
    plan.put("after_water", strength)
    plan.put("yield", kept)
    plan.put("yield_least", exact(kept.low, "mL"), exactly=True)
    water_ml = 1000.0 * water.value / WATER_DENSITY
    plan.flow("water in the fat", "in", water_ml, 0.0)
    plan.flow("contraction", "out", before.volume.value + water_ml - mixed.volume, 0.0)
    lost = mixed.volume - kept.value
    plan.flow("left in fat and paper", "out", lost, lost * mixed.strength / 100.0)
    thinner = before.volume.value / mixed.volume
    return Liquid(
        volume=kept,
        strength=strength,
        acid=scaled(before.acid, thinner),
        ph=before.ph,
        sugar=None if before.sugar is None else scaled(before.sugar, thinner),
        protein=_fat_protein(plan, about, before, fat_g, mixed.volume),
        lactose=before.lactose,
    )


def _fat_protein(plan: Plan, about: Fat, before: Liquid, fat_g: float, volume: float) -> Estimate:
    """Milk protein from butter, as far as it may pass: up to a tenth of what is in the butter."""
    if "milk" not in about.contains:
        return before.protein
    caution(plan, "contains-milk")
    if about.water > 10.0:
        plan.processes.append("butter-wash")
    in_fat = max(0.0, 100.0 - about.fat - about.water) / 100.0 * 0.37  # of milk solids (CXS 279)
    most = 0.10 * min(in_fat, 0.0085) * fat_g * 1e6 / volume
    return summed(before.protein, Estimate(0.1 * most, 0.0, most), "mg/L")


def _fat_bought(plan: Plan, kind: str, about: Fat, fat_g: float) -> None:
    if kind == "brown-butter":
        plan.bought.append(
            Bought("fat", "butter", "unsalted butter, to brown", exact(fat_g * _BROWNING, "g"))
        )
    else:
        plan.bought.append(Bought("fat", kind, about.name, exact(fat_g, "g")))
    word = {"nut-paste": "almond-butter"}.get(kind, kind)
    plan.ingredients.append(Ingredient(word, about.name, fat_g, aid=True))
    plan.processes.append("fat-wash")
    plan.keeps.append((_FAT_DAYS, "a fat wash turns stale: two weeks cold is common practice"))
    caution(plan, "hot-fat-fire")
    if set(about.contains) - {"milk"}:
        caution(plan, "nuts-and-seeds")


def build_drink(plan: Plan) -> None:
    """The washed spirit and the rest of the drink, in the proportion they had."""
    if plan.spirit is None or plan.rest is None:
        plan.put("drink", exact(plan.drink.volume.value, "mL"))
        plan.put("drink_strength", plan.drink.strength)
        plan.put("washed", exact(plan.drink.volume.value, "mL"))
        plan.put("rest_of_drink", exact(0.0, "mL"))
        return
    washed, rest = plan.spirit, plan.rest
    before = plan.quantities["fat_wash.spirit"].amount
    assert before is not None  # noqa: S101  put by the fat wash
    share = washed.volume.value / before.value
    rest_ml = rest.volume.value * share
    volume = propagate(
        lambda v, s: mix((Poured(v, s), Poured(rest_ml))).volume,
        {"v": washed.volume, "s": washed.strength},
        unit="mL",
    )
    strength = positive(
        propagate(
            lambda v, s: mix((Poured(v, s), Poured(rest_ml))).strength,
            {"v": washed.volume, "s": washed.strength},
            unit="%vol",
        )
    )
    plan.flow("rest of the drink", "in", rest_ml, 0.0)
    plan.flow("contraction", "out", washed.volume.value + rest_ml - volume.value, 0.0)
    part = rest_ml / volume.value
    plan.put("washed", washed.volume)
    plan.dose(
        "rest_of_drink",
        "rest of the drink (juice, syrup, tea ...)",
        exact(rest_ml, "mL"),
        formula="its share of the drink, for as much washed spirit as comes back",
        source="ethanol and water balance, OIML R 22",
    )
    plan.put("drink", volume)
    plan.put("drink_strength", strength)
    plan.drink = Liquid(
        volume=volume,
        strength=strength,
        acid=scaled(rest.acid, part),
        ph=rest.ph,
        sugar=None if rest.sugar is None else scaled(rest.sugar, part),
        protein=scaled(washed.protein, 1.0 - part),
        lactose=washed.lactose,
    )
    plan.spirit = plan.rest = None
