"""What nose and tongue would find in the finished drink, on scales where 1 is plainly there.

Scales are judgement; the amounts behind them (acid, sugar, salt, tannin, protein, notes left) are
physics. Ratios against what the maker meant matter more than the absolute size.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.science.milks import milk
from advisor.simulator.base import sense

if TYPE_CHECKING:
    from advisor.simulator.base import Base
    from advisor.simulator.bottle import Kept
    from advisor.simulator.dosing import Dosed
    from advisor.simulator.fatwash import FatWash
    from advisor.simulator.liquid import Liquid
    from advisor.simulator.making import Making
    from advisor.simulator.straining import Run
    from advisor.simulator.wash import Wash

__all__ = ["Taste", "taste"]

# Weight of top, middle and base notes in a spirit's nose (judgement).
_NOSE = {"gin": (0.6, 0.25, 0.15), "aniseed": (0.7, 0.2, 0.1), "agave": (0.35, 0.4, 0.25),
         "whisky": (0.15, 0.35, 0.5), "brandy": (0.2, 0.4, 0.4)}  # fmt: skip
_PLAIN = (0.35, 0.35, 0.3)


@dataclass(frozen=True, slots=True)
class Taste:
    """``sour`` and ``sweet`` in balance units, ``salt`` g/L, the rest 0 none to 1 plain."""

    sour: float
    own_sour: float  # what the drink without added strip acid would have, thinned alike
    sweet: float
    sweet_meant: float
    salt: float
    bite: float  # tannin and bitterness left
    bite_before: float  # thinned by the milk, not stripped
    burn: float
    colour: float
    colour_before: float
    unbound: float
    body: float  # against what was meant
    body_neat: float
    milky: float
    cooked: float
    scorched: float
    cheesy: float
    painty: float
    vinegar: float
    foreign: dict[str, float]
    notes: float  # share of the nose left
    notes_meant: float
    lost_at: str
    fat: float


def taste(
    made: Making,
    base: Base,
    wash: Wash,
    run: Run,
    fat: FatWash | None,
    dosed: Dosed | None,
    fresh: Liquid,
    kept: Kept,
) -> Taste:
    """Taste and smell of the drink as it stands."""
    left = 1.0 - (dosed.share if dosed else 0.0)
    sugar = fresh.sugar
    drink = made.drink
    used = made.milk
    sweet = sugar + _milk_sweet(made, wash) + (fat.sugar if fat else 0.0)
    sour = fresh.acid + kept.vinegar * 0.6
    if made.whey is not None:
        sour += 0.5 * (made.whey.ph < 5.0) * made.whey.ml / 300.0
    balance = 1.0 + sweet / 60.0
    stripped = _strip_acid(made)
    before = wash.polyphenols_before
    after = wash.polyphenols
    bite_after = _bite(after) + 1.0 * made.serving.tannic_after + 0.5 * wash.redissolved
    notes, lost = _notes(made, wash, run, fat, kept)
    return Taste(
        sour=sour / balance, own_sour=sour * (1.0 - stripped) / balance, sweet=sweet,
        sweet_meant=sugar + 0.2 * 10.0 * wash.milk_share * 4.7,
        salt=_salt(made, fat, dosed), bite=bite_after * left, bite_before=_bite(before) * left,
        burn=drink.burn, colour=sense(after, "colour") + drink.unbound_colour,
        colour_before=sense(before, "colour") + drink.unbound_colour,
        unbound=drink.unbound_colour, body=_body(made, base, wash, fresh, served=True),
        body_neat=_body(made, base, wash, fresh, served=False),
        milky=_milky(made, wash, dosed),
        cooked=wash.cooked * (wash.milk_share / 0.2),
        scorched=(used.scorched if used else 0.0) + _burnt(fat), cheesy=kept.cheesy
        + (fat.funk if fat else 0.0), painty=kept.rancid + kept.cardboard
        + (used.beany if used else 0.0), vinegar=kept.vinegar, foreign=_foreign(made, kept),
        notes=notes, notes_meant=_notes_meant(made), lost_at=lost,
        fat=fat.perceived if fat else 0.0,
    )  # fmt: skip


def _milk_sweet(made: Making, wash: Wash) -> float:
    """Lactose is a fifth as sweet as sugar; split into glucose and galactose, two thirds."""
    if made.milk is None:
        return 0.0
    item = milk(made.milk.kind)
    grams = 47.0 if made.milk.kind in ("lactose-free", "ultra-filtered") else 10.0 * item.lactose
    ease = 1.1 if made.milk.kind == "lactose-free" else 0.2
    return grams * wash.milk_share * ease * 1.0


def _strip_acid(made: Making) -> float:
    """Share of the acid that was added for the strip and is not in the control."""
    powder = made.drink.acid_kind in ("citric", "citric-monohydrate", "citric-15", "malic",
                                      "tartaric", "lactic", "phosphoric")  # fmt: skip
    return 0.92 if powder else 0.0


def _bite(amounts: dict[str, float]) -> float:
    return 0.6 * sense(amounts, "tannin") + 0.4 * sense(amounts, "bitterness")


def _salt(made: Making, fat: FatWash | None, dosed: Dosed | None) -> float:
    salt = fat.salt if fat else 0.0
    if made.fat is not None and made.fat.meat_left_in:
        salt += 0.035 * made.fat.steep_h
    return salt + (dosed.salt + 0.6 * dosed.share if dosed else 0.0)


def _body(made: Making, base: Base, wash: Wash, fresh: Liquid, *, served: bool) -> float:
    """Strength and extract against what was meant; whey protein and fat round a drink off."""
    meant_strength = made.plan.expected_strength or wash.strength
    if made.plan.meant_undiluted:
        meant_strength = base.strength
    elif made.whey is not None:
        meant_strength = made.plan.expected_strength or fresh.strength
    strength = fresh.strength / max(1.0, meant_strength)
    meant_sugar = base.sugar * (1.0 - 0.2 * (made.milk is not None))
    sugar = (fresh.sugar + 20.0) / (meant_sugar + 20.0)
    if made.whey is not None:
        meant = base.sugar * 0.78
        sugar = (fresh.sugar + 20.0) / (meant + 20.0)
    body = 0.62 * strength + 0.38 * sugar
    if made.milk is not None:
        item = milk(made.milk.kind)
        round_off = 0.05 * (item.casein > 0.0) * min(1.0, 0.35 + item.fat / 3.0)
        body += round_off - 0.05
        if item.curd == "no":
            body -= 0.05
    body -= 0.055 * max(0, made.straining.passes - 2)
    body -= 0.02 * max(0.0, fresh.acid - 6.0)
    if served:
        body *= 1.2 / (1.0 + made.serving.ice)
        body = min(body, 1.15)
    return body


def _milky(made: Making, wash: Wash, dosed: Dosed | None) -> float:
    """Sweet fresh milk in the nose: share of milk or whey over what a drink covers."""
    share = wash.milk_share
    if made.milk is not None and milk(made.milk.kind).casein == 0.0:
        share *= 0.3
    if made.milk is not None:
        share *= {"goat": 1.9, "cream": 1.1}.get(made.milk.kind, 1.0)
        share += 0.012 * made.milk.lumps
    if dosed is not None:
        share += 0.85 * dosed.share
    cover = 0.75 if made.drink.tea_kind or made.drink.oak_load > 0.3 else 1.0
    return max(0.0, share * cover - 0.2) / 0.16


def _burnt(fat: FatWash | None) -> float:
    if fat is None:
        return 0.0
    return fat.burnt / 60.0


def _foreign(made: Making, kept: Kept) -> dict[str, float]:
    how = made.straining
    papered = how.filter_kind in ("paper", "cloth-then-paper")
    card = 0.0
    if papered and not how.paper_rinsed:
        card = 0.16 * how.papers
    if papered and how.paper_old:
        card += 0.65
    return {
        "plastic-or-rubber": made.keeping.plastic_smell,
        "onion-or-freezer": made.keeping.freezer_smell,
        "tin-or-metal": kept.metal + made.keeping.metal_taste,
        "card-or-paper": card,
        "soap-or-perfume": made.keeping.detergent
        + 0.95 * (made.keeping.lye > 0.0)
        + how.cloth_softener,
    }


def _notes(
    made: Making, wash: Wash, run: Run, fat: FatWash | None, kept: Kept
) -> tuple[float, str]:
    """Share of the nose left, and the step that took most of it."""
    weights = _NOSE.get(made.drink.spirit_kind, _PLAIN)
    curd = list(wash.notes)
    for _ in range(made.meeting.washes - 1):
        curd = [n * n for n in curd]
    in_fat = fat.notes if fat else (1.0, 1.0, 1.0)
    hours = min(30.0, run.hours)
    open_air = 0.0 if made.straining.covered else 1.0 - 0.93**hours
    papers = 1.0 - 0.965 ** max(0, made.straining.passes - 1)
    extra = 1.0 - 0.90 ** max(0, made.straining.passes - 2)
    steps = {
        "at-the-wash": 1.0 - _nose(weights, curd),
        "at-the-fat": 1.0 - _nose(weights, in_fat),
        "each-filter-pass": papers + extra,
        "long-open-drip": open_air,
        "in-the-bottle": kept.stale,
    }
    left = _nose(weights, [a * b for a, b in zip(curd, in_fat, strict=True)])
    left *= (1.0 - steps["each-filter-pass"]) * (1.0 - open_air) * (1.0 - kept.stale)
    return left, max(steps, key=lambda name: steps[name])


def _nose(weights: tuple[float, float, float], left: tuple[float, ...] | list[float]) -> float:
    return sum(w * n for w, n in zip(weights, left, strict=True))


def _notes_meant(made: Making) -> float:
    """What an ordinary wash or fat leaves of that spirit's nose."""
    weights = _NOSE.get(made.drink.spirit_kind, _PLAIN)
    meant = 1.0
    if made.milk is not None:
        meant *= _nose(weights, (0.45, 0.94, 0.95))
    if made.fat is not None:
        meant *= _nose(weights, (0.45, 0.85, 0.95))
    return meant
