"""Registered calculations on fat washing and on the fire risk of warm fat and spirit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science import fat as _fat
from advisor.science import partition
from advisor.science._batch import value_of
from advisor.science._guard import bounded
from advisor.science._interval import cut
from advisor.science.estimate import Category, Estimate, propagate
from advisor.science.fats import FATS, fat
from advisor.science.registry import Input, calculation

if TYPE_CHECKING:
    from advisor.science._batch import Number

__all__ = [
    "aroma_taken",
    "floats",
    "rate",
    "rate_against_practice",
    "sets_at",
    "solid_share",
    "spirit_back",
    "stops_floating_at",
    "vapour_share",
    "water_strength",
]

_KIND = Input("word", choices=tuple(FATS), about="which fat")
_FAT_ML = Input("mL", False, 0.0, 1e6, about="fat by volume, melted")
_FAT_G = Input("g", False, 0.0, 1e6, about="fat by weight")
_SPIRIT = Input("mL", low=1.0, high=1e7, about="spirit")
_STRENGTH = Input("%vol", low=0.0, high=96.0, about="strength of the spirit")
_PARTING = Input(
    "degC", False, -20.0, 40.0, default=20.0, about="temperature at which fat and spirit part"
)
_COLD = Input("degC", False, -25.0, 60.0, default=4.0, about="temperature of the cold used")
_DENSITY = "fat densities from Codex CXS 210 and handbooks; spirit density OIML R 22"
_AMOUNT = {"fat_kind": _KIND, "fat_ml": _FAT_ML, "fat_g": _FAT_G}


def _grams(kind: str, ml: Number | None, grams: Number | None) -> Number:
    """The fat in g; grams win over mL, and one of them must be given."""
    if grams is not None:
        return bounded("fat_g", grams, 0.0, 1e6, "g")
    if ml is None:
        raise ValueError("fat_ml and fat_g are both missing; one of them must be given")
    per_gram = _fat.fat_volume(kind, 1.0)
    return propagate(lambda ml: ml / per_gram, {"ml": bounded("fat_ml", ml, 0.0, 1e6, "mL")})


@calculation(
    "fat.rate",
    title="fat as a share of the spirit",
    inputs={**_AMOUNT, "spirit_ml": _SPIRIT},
    unit="%",
    formula="volume of melted fat / volume of spirit",
    source="arithmetic",
)
def rate(
    *,
    fat_kind: str,
    spirit_ml: Number,
    fat_ml: Number | None = None,
    fat_g: Number | None = None,
) -> Estimate:
    """% by volume; strong fats are used at 3-8 %, mild ones at 15-30 %."""
    per_gram = _fat.fat_volume(fat_kind, 1.0)
    return cut(
        propagate(
            lambda grams, spirit: 100.0 * grams * per_gram / spirit,
            {
                "grams": _grams(fat_kind, fat_ml, fat_g),
                "spirit": bounded("spirit_ml", spirit_ml, 1.0, 1e7, "mL"),
            },
            unit="%",
        )
    )


@calculation(
    "fat.rate_word",
    title="the fat rate against practice",
    inputs={**_AMOUNT, "spirit_ml": _SPIRIT},
    unit="word",
    choices=("low", "usual", "high"),
    formula="rate against the span seen for that fat",
    source="common practice: 32 published recipes, no single source",
)
def rate_against_practice(
    *,
    fat_kind: str,
    spirit_ml: Number,
    fat_ml: Number | None = None,
    fat_g: Number | None = None,
) -> Category:
    """``low``, ``usual`` or ``high`` for this fat."""
    percent = rate(fat_kind=fat_kind, spirit_ml=spirit_ml, fat_ml=fat_ml, fat_g=fat_g)
    word = _fat.rate_word(fat_kind, percent.value)
    same = all(_fat.rate_word(fat_kind, max(0.0, e)) == word for e in (percent.low, percent.high))
    return Category(word, 0.85 if same else 0.6)


@calculation(
    "fat.sets_at",
    title="where this fat sets",
    inputs={"fat_kind": _KIND},
    unit="word",
    choices=("fridge", "freezer", "never"),
    formula="melting range against 4 and -18 degC",
    source="Belitz & Grosch, Codex standards and handbook tables; several recalled",
)
def sets_at(*, fat_kind: str) -> Category:
    """``fridge``, ``freezer`` or ``never`` (pour from beneath)."""
    return _fat.sets_at(fat_kind)


@calculation(
    "fat.solid_share",
    title="how much of the fat is solid",
    inputs={"fat_kind": _KIND, "cold_temperature": _COLD},
    unit="%",
    formula="straight line over the melting range",
    source="melting ranges from food standards and handbooks; +-15 points for cooling speed",
)
def solid_share(*, fat_kind: str, cold_temperature: Number | None = None) -> Estimate:
    """% of the fat that has set after a long rest at that temperature."""
    given = bounded(
        "cold_temperature",
        4.0 if cold_temperature is None else cold_temperature,
        -25.0,
        60.0,
        "degC",
    )
    at = _fat.solid_share(fat_kind, value_of(given))
    ends = [at.low, at.high]
    if isinstance(given, Estimate):
        ends += [_fat.solid_share(fat_kind, t).value for t in (given.low, given.high)]
    return Estimate(100 * at.value, 100 * min(ends), 100 * max(ends), "%")


@calculation(
    "fat.floats",
    title="does the fat float",
    inputs={"fat_kind": _KIND, "spirit_strength": _STRENGTH, "parting_temperature": _PARTING},
    unit="word",
    choices=("floats", "hangs", "sinks"),
    formula="density of the spirit less density of the fat",
    source=_DENSITY,
)
def floats(
    *, fat_kind: str, spirit_strength: Number, parting_temperature: Number | None = None
) -> Category:
    """``floats``, ``hangs`` or ``sinks``; ``ValueError`` where the spirit would be slush."""
    temperature = value_of(20.0 if parting_temperature is None else parting_temperature)
    strength = bounded("spirit_strength", spirit_strength, 0.0, 96.0, "%vol")
    at = _fat.floats(fat_kind, value_of(strength), temperature)
    if isinstance(strength, Estimate):
        for end in (strength.low, strength.high):
            if _fat.floats(fat_kind, end, temperature).value != at.value:
                return Category(at.value, max(0.5, at.certainty - 0.2))
    return at


@calculation(
    "fat.stops_floating_at",
    title="strength above which this fat no longer floats",
    inputs={"fat_kind": _KIND},
    unit="%vol",
    formula="strength whose density equals that of the melted fat at 20 degC",
    source=_DENSITY,
)
def stops_floating_at(*, fat_kind: str) -> Estimate:
    """%vol at 20 degC for the melted fat; a denser, set fat stops sooner."""
    low, usual, high = fat(fat_kind).density
    return Estimate(
        _fat.stops_floating_at(usual),
        _fat.stops_floating_at(high),
        _fat.stops_floating_at(low),
        "%vol",
    )


@calculation(
    "fat.water_strength",
    title="strength once the fat's water has joined",
    inputs={**_AMOUNT, "spirit_ml": _SPIRIT, "spirit_strength": _STRENGTH},
    unit="%vol",
    formula="water limit of the fat's standard, mixed with contraction",
    source="Codex CXS 279-1971 and 280-1973; OIML R 22",
)
def water_strength(
    *,
    fat_kind: str,
    spirit_ml: Number,
    spirit_strength: Number,
    fat_ml: Number | None = None,
    fat_g: Number | None = None,
) -> Estimate:
    """%vol of the spirit after the wash, before losses."""
    grams = _grams(fat_kind, fat_ml, fat_g)
    water = _fat.water_brought(fat_kind, grams)

    def after(water: float, spirit: float, strength: float) -> float:
        return _fat.strength_with_water(spirit, strength, water)

    return cut(
        propagate(
            after,
            {
                "water": water,
                "spirit": bounded("spirit_ml", spirit_ml, 1.0, 1e7, "mL"),
                "strength": bounded("spirit_strength", spirit_strength, 0.0, 96.0, "%vol"),
            },
            unit="%vol",
        ),
        0.0,
        100.0,
    )


@calculation(
    "fat.spirit_back",
    title="spirit that comes back from the fat",
    inputs={"fat_kind": _KIND, "spirit_ml": _SPIRIT},
    unit="mL",
    formula="spirit x 0.85-0.95, or 0.65-0.85 from nut pastes",
    source="common practice, recalled; measure your own",
)
def spirit_back(*, fat_kind: str, spirit_ml: Number) -> Estimate:
    """mL of washed spirit."""
    low, high = fat(fat_kind).kept
    return cut(
        propagate(
            lambda spirit, kept: spirit * kept,
            {
                "spirit": bounded("spirit_ml", spirit_ml, 1.0, 1e7, "mL"),
                "kept": Estimate((low + high) / 2, low, high),
            },
            unit="mL",
        )
    )


@calculation(
    "fat.aroma_taken",
    title="aroma that the fat takes out of the spirit",
    inputs={
        **_AMOUNT,
        "spirit_ml": _SPIRIT,
        "spirit_strength": _STRENGTH,
        "compound": Input("word", choices=tuple(partition.COMPOUNDS), about="which aroma"),
    },
    unit="%",
    formula="K Vo / (K Vo + Vs), log K = log Kow - f (0.30 + 0.95 log Kow)",
    source="Li & Yalkowsky 1998 (form; ethanol coefficients from memory); octanol as upper bound",
)
def aroma_taken(
    *,
    fat_kind: str,
    spirit_ml: Number,
    spirit_strength: Number,
    compound: str,
    fat_ml: Number | None = None,
    fat_g: Number | None = None,
) -> Estimate:
    """% of the compound that ends in the fat when liquid, wherever it began."""
    oil = value_of(_grams(fat_kind, fat_ml, fat_g)) * fat(fat_kind).fat / 100
    oil_ml = oil * 1000 / fat(fat_kind).density[1]
    spirit = value_of(bounded("spirit_ml", spirit_ml, 1.0, 1e7, "mL"))
    strength = value_of(bounded("spirit_strength", spirit_strength, 0.0, 96.0, "%vol"))
    share = partition.share_in_fat_for(compound, strength, oil_ml, spirit)
    return Estimate(100 * share.value, 100 * share.low, 100 * share.high, "%")


@calculation(
    "fire.vapour_share",
    title="spirit in hand against what makes a room's air flammable",
    inputs={
        "spirit_ml": _SPIRIT,
        "spirit_strength": _STRENGTH,
        "room_m3": Input("m3", low=1.0, high=1e5, about="volume of the room, no ventilation"),
    },
    unit="%",
    formula="mL x %vol / 40 / (200 mL per m3)",
    source="lower flammable limit 3.3 % by volume, gas arithmetic",
)
def vapour_share(*, spirit_ml: Number, spirit_strength: Number, room_m3: Number) -> Estimate:
    """%; above 100 the fully evaporated spirit could form a flammable mixture."""
    from advisor.science import hazards

    return cut(
        propagate(
            lambda spirit, strength, room: 100.0 * hazards.vapour_share(spirit, strength, room),
            {
                "spirit": bounded("spirit_ml", spirit_ml, 1.0, 1e7, "mL"),
                "strength": bounded("spirit_strength", spirit_strength, 0.0, 96.0, "%vol"),
                "room": bounded("room_m3", room_m3, 1.0, 1e5, "m3"),
            },
            unit="%",
        )
    )
