"""What a technique would do to the drink of a brief: numbers where there is a model, words always.

Nothing is rounded and nothing is left at zero because it is small: what cannot be worked
out is left out, and the words of the technique stand in its place.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.knowledge.conditions import UNKNOWN
from advisor.knowledge.words import EFFECTS
from advisor.science.estimate import Estimate
from advisor.science.registry import get

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.knowledge.model import Technique
    from advisor.technique.brief import Brief

__all__ = ["Change", "changes", "cost_per_litre", "polyphenol_base"]

_LITRE = 1000.0
_SENSES = (
    ("tannin", "base_tannin", "tannin left in the drink"),
    ("bitterness", "base_bitter", "bitterness left in the drink"),
    ("colour", "base_colour", "colour left in the drink"),
)
_SPIRITS_OF_WOOD = ("aged-rum", "whisky", "brandy")
_NOT_A_MILK = ("any", UNKNOWN)
_MODEL_FATS = {"nut-paste": "almond-butter"}


@dataclass(frozen=True, slots=True)
class Change:
    """One effect: which part of the drink, how much (or in words), and where it comes from.

    ``part`` is a key of ``EFFECTS``; ``value`` is in its own unit; ``text`` says what the number
    is, or is the whole statement where there is no number.
    """

    part: str
    text: str
    value: Estimate | None = None
    source: str = ""


def changes(technique: Technique, brief: Brief) -> tuple[Change, ...]:
    """Every effect, part by part: first the words of the technique, then the numbers."""
    numbers = list(_numbers(technique, brief))
    found = []
    for part in EFFECTS:
        if part in technique.effects:
            found.append(Change(part, technique.effects[part]))
        found.extend(n for n in numbers if n.part == part)
    return tuple(found)


def polyphenol_base(brief: Brief) -> str | None:
    """Which base of the binding model the drink is nearest to; ``None`` when nothing tells."""
    kind, spirit = brief.word("base_kind"), brief.word("base_spirit")
    if kind == "wine" or brief.yes("has_wine"):
        return "red-wine" if brief.word("base_colour") != "none" else None
    if kind == "tea-or-coffee" or brief.yes("has_tea_or_coffee"):
        return "black-tea"
    if spirit == "bitter-aperitif":
        return "bitter-liqueur"
    if spirit in _SPIRITS_OF_WOOD:
        return "oak-aged-spirit"
    return None


class _Calculation:
    """A registered calculation that gives a number, called with what is known."""

    def __init__(self, id: str) -> None:
        self._function = get(id).function
        self.source = get(id).source

    def __call__(self, **given: object) -> Estimate:
        value = self._function(**given)
        if not isinstance(value, Estimate):
            raise TypeError("a word where a number was expected")
        return value


def _milk_kind(brief: Brief) -> str | None:
    kind = brief.word("milk_wanted")
    return None if kind in _NOT_A_MILK else kind


def _numbers(technique: Technique, brief: Brief) -> Iterator[Change]:
    milk = sum(technique.amounts.get("milk", ()))
    curd = sum(technique.amounts.get("curd", ()))
    whey = sum(technique.amounts.get("whey", ()))
    # What a calculation refuses is not worked out; the words remain.
    with suppress(ValueError):
        yield from _stripped(technique, brief)
    with suppress(ValueError):
        yield from _strength(technique, brief, milk, whey)
    if milk:
        with suppress(ValueError):
            yield from _left_by_milk(brief, milk)
    if whey:
        with suppress(ValueError):
            yield from _brought_by_whey(brief, whey)
    with suppress(ValueError):
        yield from _fat(technique, brief)
    share = _out(technique, brief, milk)
    if share is not None:
        yield Change("strength", "volume out of a litre of drink", share, "curd and filter losses")
    elif curd:
        yield Change("strength", "the drained curd keeps some of the drink: measure it")


def _stripped(technique: Technique, brief: Brief) -> Iterator[Change]:
    doses = technique.amounts.get("milk", ())
    if not doses:
        return
    removal = _Calculation("strip.removal")
    base = polyphenol_base(brief)
    for sense, finding, label in _SENSES:
        if brief.word(finding) == "none":
            continue
        left = Estimate(1.0, 1.0, 1.0)
        drink, strength = _LITRE, brief.number("base_strength")
        for milk in doses:
            given: dict[str, object] = {"drink_ml": drink, "milk_ml": milk, "sense": sense}
            if base is not None:
                given["base_kind"] = base
            if _milk_kind(brief) is not None:
                given["milk_kind"] = _milk_kind(brief)
            if strength is not None:
                given["drink_strength"] = strength
            taken = removal(**given)
            thinned = drink / (drink + milk)
            left = Estimate(
                left.value * (1 - taken.value / 100) * thinned,
                left.low * (1 - taken.high / 100) * thinned,
                left.high * (1 - taken.low / 100) * thinned,
            )
            drink += milk
            strength = None if strength is None else strength * thinned
        yield Change(
            "colour" if sense == "colour" else "taste",
            label,
            Estimate(100 * left.value, 100 * left.low, 100 * left.high, "%"),
            removal.source,
        )


def _strength(technique: Technique, brief: Brief, milk: float, whey: float) -> Iterator[Change]:
    strength = brief.number("base_strength")
    if strength is None or strength <= 0.0:
        return
    if milk:
        mixed = _Calculation("batch.mix_strength")
        value = mixed(
            drink_ml=_LITRE, drink_strength=strength, milk_ml=milk, **_kind(brief)
        )
        yield Change("strength", "strength after the milk", value, mixed.source)
    elif whey:
        dosed = _Calculation("whey.strength_after")
        value = dosed(drink_ml=_LITRE, drink_strength=strength, whey_ml=whey)
        yield Change("strength", "strength after the whey", value, dosed.source)


def _kind(brief: Brief) -> dict[str, str]:
    kind = _milk_kind(brief)
    return {} if kind is None else {"milk_kind": kind}


def _left_by_milk(brief: Brief, milk: float) -> Iterator[Change]:
    given: dict[str, object] = {"drink_ml": _LITRE, "milk_ml": milk, **_kind(brief)}
    left = _Calculation("protein.whey_left")
    protein = left(**given)
    yield Change("body", "whey protein in it", _per_litre(protein, 1e-3), left.source)
    serve = brief.number("serve_size")
    if serve is not None:
        given["serve_ml"] = serve
    sugar = _Calculation("lactose.per_serve")
    said = "a serve of 90 ml" if serve is None else f"a serve of {serve:g} ml"
    yield Change("label", f"milk sugar in {said}", sugar(**given), sugar.source)
    per_serve = _Calculation("protein.per_serve")
    yield Change(
        "label", f"milk protein in {said}", per_serve(**given), per_serve.source
    )


def _brought_by_whey(brief: Brief, whey_ml: float) -> Iterator[Change]:
    from advisor.science.whey import after_dose, whey

    dosed = after_dose(_LITRE, brief.number("base_strength") or 0.0, 0.0, whey_ml, "acid-whey")
    source = whey("acid-whey").source
    yield Change("body", "whey protein in it", dosed.protein, source)
    serve = brief.number("serve_size") or 90.0
    sugar = dosed.lactose * serve / 1000.0
    yield Change(
        "label",
        f"milk sugar in a serve of {serve:g} ml",
        Estimate(sugar, 0.9 * sugar, 1.1 * sugar, "g"),
        source,
    )
    protein = dosed.protein
    yield Change(
        "label",
        f"milk protein in a serve of {serve:g} ml",
        Estimate(protein.value * serve, protein.low * serve, protein.high * serve, "mg"),
        source,
    )


def _fat(technique: Technique, brief: Brief) -> Iterator[Change]:
    if "fat-wash" not in technique.operations:
        return
    fat = brief.word("wanted_fat")
    strength = brief.number("base_strength")
    if fat in (None, "any", "other"):
        return
    fat = _MODEL_FATS.get(str(fat), str(fat))
    back = _Calculation("fat.spirit_back")
    share = back(fat_kind=fat, spirit_ml=_LITRE)
    yield Change("strength", "spirit that comes back out of a litre", share, back.source)
    if strength and technique.operations[0] == "fat-wash" and brief.word("base_kind") == "spirit":
        taken = _Calculation("fat.aroma_taken")
        value = taken(
            fat_kind=fat,
            fat_ml=100.0,
            spirit_ml=_LITRE,
            spirit_strength=strength,
            compound="linalool",
        )
        text = "share of a light floral note (linalool) lost to 100 ml of fat in a litre"
        yield Change("aroma", text, value, taken.source)


def _out(technique: Technique, brief: Brief, milk: float) -> Estimate | None:
    """mL of finished drink out of a litre, where there is a model; passes multiply their losses."""
    doses = technique.amounts.get("milk", ())
    if not doses or "fat-wash" in technique.operations:
        return None
    yielded = _Calculation("curd.yield")
    drink = Estimate(_LITRE, _LITRE, _LITRE, "mL")
    try:
        for dose in doses:
            got = yielded(drink_ml=drink.value, milk_ml=dose, **_kind(brief))
            low = yielded(drink_ml=drink.low, milk_ml=dose, **_kind(brief)).low
            high = yielded(drink_ml=drink.high, milk_ml=dose, **_kind(brief)).high
            drink = Estimate(got.value, min(low, got.low), max(high, got.high), "mL")
    except ValueError:
        return None
    return drink


def cost_per_litre(technique: Technique, brief: Brief) -> Estimate | None:
    """What the drink in a finished litre costs, by volume alone; ``None`` when nobody said.

    The milk's water stretches the drink and the curd holds some of it back. Milk, fat and labour
    come on top: their prices are not asked for.
    """
    price = brief.number("base_cost")
    if price is None:
        return None
    out = _out(technique, brief, 0.0)
    whey = sum(technique.amounts.get("whey", ()))
    if out is None:
        # Without a model: nothing gained, and up to a fifth left in fat, gel or filter.
        gained = _LITRE + whey
        out = Estimate(0.92 * gained, 0.80 * gained, gained, "mL")
    return Estimate(
        price * _LITRE / out.value, price * _LITRE / out.high, price * _LITRE / out.low, "count"
    )


def _per_litre(value: Estimate, factor: float) -> Estimate:
    return Estimate(value.value * factor, value.low * factor, value.high * factor, "g/L")
