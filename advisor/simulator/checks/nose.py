"""Nose, tongue, the control glass, colour and the fat cap."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science.fats import fat as fat_data
from advisor.simulator.base import sense
from advisor.simulator.state import reached

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.chance import Chance
    from advisor.simulator.state import State


def _smell_kind(state: State, chance: Chance) -> str | None:
    taste = state.taste
    cheesy = max(taste.cheesy, 1.3 * state.kept.sour_smell, 0.8 * min(1.0, state.kept.gas + 0.0))
    found = {"sweet-milk": 0.8 * taste.milky, "cooked": taste.cooked + 0.5 * taste.scorched * (
        state.made.milk is not None), "cheesy-or-sour": cheesy, "painty": taste.painty,
        "vinegar": 1.1 * taste.vinegar, "plastic": max(taste.foreign.values())}  # fmt: skip
    name = max(found, key=lambda key: found[key])
    return name if chance.seen(found[name], 0.62) else "none"


def _carton(state: State, chance: Chance) -> str | None:
    if state.made.milk is None or (reached(state.made, "days") and chance.slips(0.5)):
        return None
    return "off" if chance.seen(state.made.milk.turned, 0.3) else "fresh"


def _fat_smell(state: State, chance: Chance) -> str | None:
    fat = state.made.fat
    if fat is None:
        return None
    if chance.seen(fat.rancid, 0.45):
        return "painty"
    strong = fat.flavour * min(2.0, fat.perfume) * (1.0 + fat.funk)
    return "strong" if chance.seen(strong, 0.62) else "mild"


def _taste_neat(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "fresh") or state.kept.unsafe:
        return None
    return "thin-neat" if chance.seen(1.0 - state.taste.body_neat, 0.125) else "good-neat"


def _control(state: State, chance: Chance) -> str | None:
    """The washed drink beside the untreated one, thinned alike."""
    made, taste = state.made, state.taste
    if not reached(made, "fresh") or state.kept.unsafe:
        return None
    if not made.plan.kept_control:
        return "no-control"
    whole = taste.bite_before + 0.5 * taste.burn
    left = (taste.bite + 0.5 * taste.burn) / max(0.02, whole)
    shared = max(taste.burn, taste.salt / 1.2 if made.fat is None and made.whey is None else 0.0)
    found = {
        "control-smells-fuller": (1.0 - taste.notes / taste.notes_meant) / 0.3,
        "equally-sour": (taste.sour / 4.6) * (taste.own_sour > 0.8 * taste.sour),
        "equally-bitter": (left - 0.55) / 0.2 * min(1.2, whole / 0.15) if whole > 0.1 else 0.0,
        "same-fault": 0.9 * shared,
    }
    name = max(found, key=lambda key: found[key])
    if chance.seen(max(0.0, found[name]), 1.0, 0.2):
        return name
    return "control-harsher"


def _fresh_bottle(state: State, chance: Chance) -> str | None:
    if state.made.keeping.days <= 2.0 or state.kept.unsafe:
        return None
    return "fuller" if chance.seen(state.kept.stale, 0.24) else "same"


def _lost_when(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "fresh") or state.taste.notes / state.taste.notes_meant > 0.82:
        return None
    if chance.slips(0.25):
        return None
    return state.taste.lost_at


def _bite_kind(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "fresh") or state.kept.unsafe:
        return None
    taste = state.taste
    dry = taste.bite
    burn = 0.28 * taste.burn
    if max(dry, burn) < 0.07:
        return None
    cut = 0.5 * state.wash.redissolved  # pieces of milk protein are bitter and do not dry
    bitter = 0.5 * sense(state.wash.polyphenols, "bitterness") + cut
    if "bitter-resins" in state.wash.polyphenols and bitter > 0.4 * dry:
        return "bitter-at-the-back"
    if cut > max(dry - cut, burn):
        return "bitter-at-the-back"
    word = "burns" if burn > dry else "dries-the-gums"
    return word if not chance.slips(0.08) else "bitter-at-the-back"


def _foreign_kind(state: State, chance: Chance) -> str | None:
    kinds = state.taste.foreign
    name = max(kinds, key=lambda key: kinds[key])
    if kinds[name] < 0.25:
        return None
    return name if not chance.slips(0.08) else chance.other(tuple(kinds))


def _metal_colour(state: State, chance: Chance) -> str | None:
    if state.kept.darkened > 0.3:
        return "grey-green-or-black"
    if state.kept.browned > 0.35:
        return "darker-brown"
    if state.made.drink.red_colour > 0.0:
        return "hue-moved"
    return None


def _hue_with_acid(state: State, chance: Chance) -> str | None:
    if state.kept.darkened <= 0.3 and state.made.drink.red_colour <= 0.0:
        return None
    returns = state.made.drink.red_colour > 0.05 and state.kept.darkened < 0.3
    if chance.slips(0.06):
        returns = not returns
    return "returns" if returns else "stays"


def _cap_feel(state: State, chance: Chance) -> str | None:
    fat = state.made.fat
    if fat is None or state.fat is None:
        return None
    layer = fat_data(fat.species).layer
    if layer == "paste" or state.fat.solid < 0.12 or state.fat.emulsion > 3000.0:
        return "none"
    solid = state.fat.solid + chance.normal(0.05)
    if fat.narrow and solid > 0.6:
        return "stuck"
    return "hard" if solid > 0.74 else "soft"


NOSE: Mapping[str, Callable[[State, Chance], str | None]] = {
    "smell_kind": _smell_kind,
    "carton_smell": _carton,
    "fat_smell_start": _fat_smell,
    "taste_neat": _taste_neat,
    "control_glass": _control,
    "fresh_bottle": _fresh_bottle,
    "nose_lost_when": _lost_when,
    "bite_kind": _bite_kind,
    "foreign_smell_kind": _foreign_kind,
    "colour_now": _metal_colour,
    "hue_with_acid": _hue_with_acid,
    "cap_feel": _cap_feel,
}
