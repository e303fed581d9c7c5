"""Registered calculations on a spirit: freezing, ice, flash point, and water from butter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science import flash, freezing
from advisor.science._batch import positive
from advisor.science._guard import bounded
from advisor.science.estimate import Category, Estimate, propagate
from advisor.science.fats import FATS, fat
from advisor.science.mixing import strength_after_water_mass
from advisor.science.registry import Input, calculation

if TYPE_CHECKING:
    from advisor.science._batch import Number

__all__ = [
    "after_butter",
    "fire_category",
    "flash_point",
    "freezing_point",
    "ice_share",
    "lowest_liquid_strength",
]

_MELINDER = (
    "Melinder 2010 (International Institute of Refrigeration); Lange's Table 5.13 within 1.5"
)
_TABLES_DIFFER = 1.5
_STRENGTH = Input("%vol", low=0.0, high=67.0, about="strength of the spirit")
_FREEZER = Input(
    "degC", required=False, low=-43.0, high=0.0, default=-18.0, about="temperature of the freezer"
)


def _freezer(given: Number | None) -> Number:
    return bounded("freezer_temperature", -18.0 if given is None else given, -43.0, 0.0, "degC")


@calculation(
    "ethanol.freezing_point",
    title="where the spirit begins to freeze",
    inputs={"spirit_strength": _STRENGTH},
    unit="degC",
    formula="freezing curve of ethanol-water",
    source=_MELINDER,
)
def freezing_point(*, spirit_strength: Number) -> Estimate:
    """degC of the first ice, +-1.5; sugar lowers it further."""
    strength = bounded("spirit_strength", spirit_strength, 0.0, 67.0, "%vol")
    return propagate(
        lambda strength: freezing.freezing_point(strength).value,
        {"strength": strength},
        unit="degC",
        model=_TABLES_DIFFER,
    )


@calculation(
    "ethanol.ice_share",
    title="ice in the spirit in the freezer",
    inputs={"spirit_strength": _STRENGTH, "freezer_temperature": _FREEZER},
    unit="%",
    formula="1 - mass share of ethanol / mass share on the freezing curve (lever rule)",
    source=_MELINDER,
)
def ice_share(*, spirit_strength: Number, freezer_temperature: Number | None = None) -> Estimate:
    """% of the mass that is ice at the freezer's temperature (-18 degC if not said)."""
    return positive(
        lambda strength, temperature, table: (
            freezing.ice_mass_share(strength, max(-43.0, temperature + table)).value
        ),
        {
            "strength": bounded("spirit_strength", spirit_strength, 0.0, 67.0, "%vol"),
            "temperature": _freezer(freezer_temperature),
            "table": Estimate(0.0, -_TABLES_DIFFER, _TABLES_DIFFER),
        },
        unit="%",
    )


@calculation(
    "ethanol.lowest_liquid_strength",
    title="weakest spirit that stays free of ice in the freezer",
    inputs={"freezer_temperature": _FREEZER},
    unit="%vol",
    formula="freezing curve of ethanol-water, read the other way",
    source=_MELINDER,
)
def lowest_liquid_strength(*, freezer_temperature: Number | None = None) -> Estimate:
    """%vol at the freezer's temperature (-18 degC if not said)."""
    return positive(
        lambda temperature, table: (
            freezing.lowest_liquid_strength(max(-43.0, min(0.0, temperature + table))).value
        ),
        {
            "temperature": _freezer(freezer_temperature),
            "table": Estimate(0.0, -_TABLES_DIFFER, _TABLES_DIFFER),
        },
        unit="%vol",
    )


@calculation(
    "ethanol.after_butter",
    title="strength after the water in the fat joins",
    inputs={
        "spirit_ml": Input("mL", low=1.0, high=1e6, about="spirit"),
        "spirit_strength": Input("%vol", low=0.0, high=100.0, about="strength of the spirit"),
        "fat_kind": Input("word", choices=tuple(sorted(FATS)), about="kind of fat"),
        "fat_g": Input("g", low=0.0, high=1e6, about="fat"),
    },
    unit="%vol",
    formula="mass balance with the water of the fat (butter: 16 % at most)",
    source="Codex CXS 279-1971 and 280-1973; OIML R 22",
)
def after_butter(
    *, spirit_ml: Number, spirit_strength: Number, fat_kind: str, fat_g: Number
) -> Estimate:
    """%vol; fats without water leave it as it is. Ethanol taken up by the fat is left out."""
    known = fat(fat_kind)
    water = Estimate(known.water / 100.0, 0.9 * known.water / 100.0, known.water / 100.0)
    return positive(
        lambda volume, strength, grams, water: (
            strength_after_water_mass(volume, strength, grams * water).strength
        ),
        {
            "volume": bounded("spirit_ml", spirit_ml, 1.0, 1e6, "mL"),
            "strength": bounded("spirit_strength", spirit_strength, 0.0, 100.0, "%vol"),
            "grams": bounded("fat_g", fat_g, 0.0, 1e6, "g"),
            "water": water,
        },
        unit="%vol",
    )


@calculation(
    "ethanol.flash_point",
    title="where the spirit can catch fire",
    inputs={"spirit_strength": Input("%vol", low=10.0, high=100.0, about="strength of the spirit")},
    unit="degC",
    formula="middle of the table read by volume and by mass, and of a UNIFAC estimate",
    source=flash.BASIS,
)
def flash_point(*, spirit_strength: Number) -> Estimate:
    """degC, closed cup; a working value, 26-28 for 40 %vol."""
    strength = bounded("spirit_strength", spirit_strength, 10.0, 100.0, "%vol")
    centre = flash.flash_point(strength.value if isinstance(strength, Estimate) else strength)
    if not isinstance(strength, Estimate):
        return centre
    low, high = flash.flash_point(strength.high), flash.flash_point(strength.low)
    return Estimate(centre.value, min(centre.low, low.low), max(centre.high, high.high), "degC")


@calculation(
    "ethanol.fire_category",
    title="flammable-liquid category of the spirit",
    inputs={"spirit_strength": Input("%vol", low=10.0, high=100.0, about="strength of the spirit")},
    unit="word",
    formula="flash point below 23 degC: category-2; 23 to 60: category-3",
    source="29 CFR 1910.106(a)(19)",
    choices=("above-60", "category-2", "category-3"),
)
def fire_category(*, spirit_strength: Number) -> Category:
    """The category with how much of the flash point's interval lies in it."""
    strength = bounded("spirit_strength", spirit_strength, 10.0, 100.0, "%vol")
    return flash.fire_category(strength.value if isinstance(strength, Estimate) else strength)
