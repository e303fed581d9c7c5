"""Which ingredients belong to which allergen group, by jurisdiction, with their exact exceptions.

Groups: EU Regulation 1169/2011 Annex II (14; the UK keeps the same); the nine major
US allergens (FD&C Act; FASTER Act, 1 January 2023; tree nuts per FDA guidance Edition
5, 6 January 2025, coconut and chestnut out); Canada's priority list. The exception
for distillates is for what is *distilled afterwards*, not for an infusion or a wash.
The EU exemptions of 2005 (casein in wine, almonds and walnuts in spirits) have lapsed
and are not here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "ALSO_DECLARED",
    "CHECKS",
    "DISTILLABLE",
    "FORMS",
    "GROUPS",
    "INGREDIENTS",
    "LISTED_ELSEWHERE",
    "MILK_KINDS",
    "PROCESSES",
    "REFINABLE",
    "TREE_NUTS",
]

FORMS = ("plain", "refined", "distilled")
"""``refined``: highly refined (bleached, deodorised) oil. ``distilled``: distilled afterwards."""


def _words(text: str) -> tuple[str, ...]:
    return tuple(text.split())


GROUPS: Mapping[str, frozenset[str]] = {
    "eu": frozenset(
        _words(
            "gluten crustaceans eggs fish peanuts soy milk tree-nuts celery mustard sesame "
            "sulphites lupin molluscs"
        )
    ),
    "us": frozenset(_words("milk eggs fish crustaceans tree-nuts wheat peanuts soy sesame")),
    "canada": frozenset(
        _words(
            "eggs milk mustard peanuts crustaceans molluscs fish sesame soy sulphites tree-nuts "
            "wheat gluten"
        )
    ),
}

ALSO_DECLARED: Mapping[str, frozenset[str]] = {"us": frozenset({"sulphites"})}
"""No allergen of that law, yet with a declaration of its own: 27 CFR 4.32(e), 21 CFR 130.9."""

_EU_NUTS = frozenset(_words("almond hazelnut walnut cashew pecan brazil-nut pistachio macadamia"))
TREE_NUTS: Mapping[str, frozenset[str]] = {
    "eu": _EU_NUTS,
    "us": _EU_NUTS | {"pine-nut", "black-walnut"},
    "canada": _EU_NUTS | {"pine-nut"},
}
"""Nuts that count as tree nuts there; black walnut is a walnut to EU and Canada only on advice."""

_MILK = _words(
    "milk cream butter plain-butter brown-butter ghee anhydrous-milkfat whey acid-whey sweet-whey "
    "yoghurt buttermilk kefir casein caseinate lactose milk-powder whey-powder cheese "
    "condensed-milk lactose-free-milk goat-milk sheep-milk buffalo-milk ice-cream cream-liqueur "
    "milk-chocolate"
)

_NONE = _words(
    "water ice sugar syrup honey agave salt citric-acid malic-acid tartaric-acid lactic-acid acid "
    "lemon lime orange grapefruit fruit juice tea green-tea black-tea coffee cocoa vanilla spice "
    "herb mint spirit neutral-spirit vodka gin rum whisky agave-spirit brandy bitters cordial "
    "soda tonic "
    "coconut coconut-oil coconut-milk coconut-drink rice-drink olive-oil palm-oil sunflower-oil "
    "corn-oil rapeseed-oil avocado-oil pumpkin-seed-oil cocoa-butter shea lard bacon-fat pork-fat "
    "beef-tallow duck-fat goose-fat chicken-fat chestnut kola-nut palm-nut agar pectin bentonite "
    "gum-arabic activated-charcoal beef-gelatine pork-gelatine dark-chocolate"
)

_TABLE: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(_NONE, ()),
    **dict.fromkeys(_MILK, ("milk",)),
    **dict.fromkeys(("wheat", "spelt", "semolina", "triticale"), ("gluten", "wheat")),
    **dict.fromkeys(("barley", "rye", "oats", "oat-drink", "malt", "beer"), ("gluten",)),
    **dict.fromkeys(("wheat-beer", "bread", "soy-sauce-with-wheat"), ("gluten", "wheat")),
    **dict.fromkeys(("peanut", "peanut-butter", "peanut-oil"), ("peanuts",)),
    **dict.fromkeys(("sesame", "tahini", "sesame-oil", "toasted-sesame-oil"), ("sesame",)),
    **dict.fromkeys(("soy", "soy-drink", "soybean-oil", "soy-lecithin", "tofu"), ("soy",)),
    **dict.fromkeys(("egg", "egg-white", "egg-yolk"), ("eggs",)),
    **dict.fromkeys(("fish", "fish-sauce", "anchovy", "isinglass", "fish-gelatine"), ("fish",)),
    **dict.fromkeys(("shrimp", "crab", "lobster"), ("crustaceans",)),
    **dict.fromkeys(("oyster", "clam", "clam-juice", "squid-ink"), ("molluscs",)),
    **dict.fromkeys(("celery", "celeriac", "celery-seed", "celery-bitters"), ("celery",)),
    **dict.fromkeys(("mustard", "mustard-seed"), ("mustard",)),
    "lupin": ("lupin",),
    "sulphites": ("sulphites",),
    "isinglass-for-beer-or-wine": (),
    "lactitol": (),
    "wheat-glucose-syrup": ("wheat",),
    "barley-glucose-syrup": (),
    "liqueur": (),
    "nut-liqueur": (),
    "wine": (),
    "sparkling-wine": (),
    "fortified-wine": (),
    "margarine": (),
    "gelatine": (),
}
_TABLE["soy-sauce-with-wheat"] = ("gluten", "wheat", "soy")

# Nuts carry their own word, so that each jurisdiction's list can decide.
_NUT_INGREDIENTS = {
    **{nut: nut for nut in (*sorted(_EU_NUTS), "pine-nut", "black-walnut")},
    "almond-drink": "almond",
    "almond-butter": "almond",
    "almond-oil": "almond",
    "orgeat": "almond",
    "walnut-oil": "walnut",
    "hazelnut-oil": "hazelnut",
    "hazelnut-spread": "hazelnut",
}
_TABLE.update({word: (f"nut:{nut}",) for word, nut in _NUT_INGREDIENTS.items()})
_TABLE["hazelnut-spread"] = ("nut:hazelnut", "milk", "soy")

INGREDIENTS: Mapping[str, tuple[str, ...]] = _TABLE
"""Ingredient word to groups; ``nut:...`` is resolved by ``TREE_NUTS``. Empty: in no group."""

CHECKS: Mapping[str, tuple[str, ...]] = {
    "isinglass-for-beer-or-wine": ("fish",),
    "lactitol": ("milk",),
    "wheat-glucose-syrup": ("gluten",),
    "barley-glucose-syrup": ("gluten",),
    "liqueur": ("milk", "eggs", "nut:any"),
    "nut-liqueur": ("nut:any",),
    "wine": ("sulphites", "milk", "eggs"),
    "sparkling-wine": ("sulphites", "milk", "eggs"),
    "fortified-wine": ("sulphites", "milk", "eggs"),
    "margarine": ("milk", "soy"),
    "gelatine": ("fish",),
    "bitters": ("celery", "nut:any"),
    "dark-chocolate": ("milk", "soy"),
    "black-walnut": ("nut:any",),
}
"""Groups that may be there: read the supplier's specification."""

LISTED_ELSEWHERE: Mapping[tuple[str, str], frozenset[str]] = {
    ("eu", "isinglass-for-beer-or-wine"): frozenset({"fish"}),
    ("eu", "lactitol"): frozenset({"milk"}),
}
"""Checks that an exact EU exception clears (Annex II 4(b), 7(b))."""

DISTILLABLE = frozenset(
    {"whey", "acid-whey", "sweet-whey", "wheat", "spelt", "barley", "rye", "oats", "malt"}
    | {"triticale", *_NUT_INGREDIENTS}
) - {"almond-oil", "walnut-oil", "hazelnut-oil", "hazelnut-spread", "almond-butter", "almond-drink"}
"""EU exceptions 1(d), 7(a) and 8: cereals, whey and nuts made into distillates."""

REFINABLE = frozenset(
    {"peanut-oil", "sesame-oil", "soybean-oil", "almond-oil", "walnut-oil", "hazelnut-oil"}
)
"""Oils that exist highly refined; toasted sesame oil does not."""

PROCESSES: Mapping[str, tuple[str, ...]] = {
    "milk-wash": ("milk",),
    "whey-dose": ("whey",),
    "butter-wash": ("butter",),
    "casein-fining": ("casein",),
    "egg-white-fining": ("egg-white",),
    "isinglass-fining": ("isinglass",),
    "gelatine-fining": ("gelatine",),
    "fat-wash": (),
    "filter": (),
    "fine-filter": (),
    "centrifuge": (),
    "chill": (),
    "freeze": (),
    "dilute": (),
    "heat": (),
    "bentonite-fining": (),
    "infuse": (),
    "rack": (),
}
"""What a step puts into the drink. No step takes a group away again."""

MILK_KINDS: Mapping[str, str] = {
    "soy": "soy-drink",
    "oat": "oat-drink",
    "almond": "almond-drink",
    "coconut": "coconut-drink",
    "rice": "rice-drink",
}
"""Plant drinks among the milk kinds; every other milk kind is ``milk``."""
