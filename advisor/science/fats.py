"""The fats people wash with: what they are made of, when they set, and what they carry.

Water and fat shares are the limits of the food standards where there is one
(Codex CXS 279, 280; 21 CFR 164.150). Melting ranges and densities at 20 degC come
from handbooks and trade specifications; several were recalled and not read again,
and carry the mark ``memory``: check before relying on those. Smoke points are left
out on purpose: published values differ by up to 60 degC.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["FATS", "Fat", "fat"]


class Fat(NamedTuple):
    """One fat.

    ``fat``, ``water``: g per 100 g (water is the upper limit). ``density``: of the
    liquid fat at 20 degC, kg/m3, low, usual and high. ``melts``: from first to last
    crystal, degC. ``sets``: ``fridge`` (lifts off at 4 degC), ``freezer`` (needs -18
    degC) or ``never`` (pour from beneath). ``sure``: 0.5 to 1. ``layer``: disc,
    soft-cap, liquid or paste. ``rate``: least, usual and most, % of the spirit by
    volume. ``kept``: share of the spirit that comes back, low and high.
    ``contains``: allergen words as in ``labels``.
    """

    name: str
    fat: float
    water: float
    density: tuple[float, float, float]
    melts: tuple[float, float]
    sets: str
    sure: float
    layer: str
    flavour: str
    rate: tuple[float, float, float]
    kept: tuple[float, float]
    contains: tuple[str, ...]
    source: str
    mark: str


_OIL = (910.0, 915.0, 920.0)
_LARD = (905.0, 912.0, 920.0)
_KEPT = (0.85, 0.95)
_PASTE = (0.65, 0.85)
_CODEX_BUTTER = "Codex CXS 279-1971; melting J. Dairy Res. 38 (1971) 179"
_CODEX_GHEE = "Codex CXS 280-1973; melting J. Dairy Res. 38 (1971) 179"
_LARD_SOURCE = "Codex CXS 211-1999 (titre 32-45, from memory)"
_POULTRY = "common practice: soft cap from the freezer"
_TABLES = "handbook tables of cloud and solid points, recalled"
_PHYSICAL = "Physical properties of fats and oils (compiled from Ullmann 1995 and Bailey 2005)"

FATS: Mapping[str, Fat] = {
    "bacon-fat": Fat(
        "bacon fat", 99.0, 1.0, _LARD, (-12, 42), "fridge", 0.9, "disc", "strong",
        (2.7, 7, 17), _KEPT, (), _LARD_SOURCE, "memory",
    ),
    "lard": Fat(
        "lard", 99.5, 0.3, _LARD, (-10, 45), "fridge", 0.95, "disc", "mild",
        (4, 10, 20), _KEPT, (), _LARD_SOURCE, "memory",
    ),
    "beef-tallow": Fat(
        "beef tallow", 99.5, 0.3, _LARD, (5, 48), "fridge", 0.95, "disc", "mild",
        (4, 10, 20), _KEPT, (), "Codex CXS 211-1999 (from memory)", "memory",
    ),
    "duck-fat": Fat(
        "duck fat", 99.5, 0.5, _LARD, (-20, 28), "freezer", 0.75, "soft-cap", "mild",
        (13, 20, 25), _KEPT, (), _POULTRY, "practice",
    ),
    "goose-fat": Fat(
        "goose fat", 99.5, 0.5, _LARD, (-20, 30), "freezer", 0.75, "soft-cap", "mild",
        (13, 20, 25), _KEPT, (), _POULTRY, "practice",
    ),
    "chicken-fat": Fat(
        "chicken fat", 99.0, 0.5, _LARD, (-20, 30), "freezer", 0.75, "soft-cap", "mild",
        (13, 20, 25), _KEPT, (), _POULTRY, "practice",
    ),
    "plain-butter": Fat(
        "butter, not clarified", 80.0, 16.0, (905, 911, 916), (-40, 40), "fridge", 0.95, "disc",
        "mild", (10, 25, 30), _KEPT, ("milk",), _CODEX_BUTTER, "seen",
    ),
    "brown-butter": Fat(
        "brown butter", 97.0, 1.0, (905, 911, 916), (-40, 40), "fridge", 0.95, "disc", "mild",
        (6, 20, 30), _KEPT, ("milk",), _CODEX_BUTTER, "derived",
    ),
    "ghee": Fat(
        "ghee or clarified butter", 99.6, 0.4, (905, 911, 916), (-40, 40), "fridge", 0.95, "disc",
        "mild", (6, 15, 24), _KEPT, ("milk",), _CODEX_GHEE, "seen",
    ),
    "coconut-oil": Fat(
        "coconut oil", 99.8, 0.2, (915, 921, 926), (14, 26), "fridge", 0.98, "disc", "mild",
        (13, 24, 44), _KEPT, (), "Belitz & Grosch, Food Chemistry, Tables 14.8-14.9", "seen",
    ),
    "cocoa-butter": Fat(
        "cocoa butter", 99.8, 0.2, (908, 915, 920), (15, 36), "fridge", 0.98, "disc", "mild",
        (6, 12, 20), _KEPT, (), "Belitz & Grosch, Food Chemistry, Tables 14.8-14.9", "seen",
    ),
    "palm-oil": Fat(
        "palm oil", 99.8, 0.2, (908, 914, 920), (-5, 39), "fridge", 0.95, "disc", "mild",
        (6, 15, 25), _KEPT, (), "trade specification, melting 33-39 degC", "seen",
    ),
    "olive-oil": Fat(
        "olive oil", 99.8, 0.2, (910, 914, 918), (-12, 6), "freezer", 0.8, "soft-cap", "mild",
        (4, 16, 18), _KEPT, (), _TABLES, "memory",
    ),
    "peanut-oil": Fat(
        "peanut oil", 99.8, 0.2, (911, 914, 920), (-10, 5), "freezer", 0.75, "soft-cap", "mild",
        (4, 15, 25), _KEPT, ("peanuts",), _TABLES, "memory",
    ),
    "sesame-oil": Fat(
        "sesame oil, untoasted", 99.8, 0.2, (915, 919, 924), (-14, -3), "freezer", 0.7, "soft-cap",
        "mild", (4, 15, 24), _KEPT, ("sesame",), _TABLES, "memory",
    ),
    "toasted-sesame-oil": Fat(
        "toasted sesame oil", 99.8, 0.2, (915, 919, 924), (-14, -3), "freezer", 0.7, "soft-cap",
        "strong", (0.7, 2, 24), _KEPT, ("sesame",), _TABLES, "memory",
    ),
    "sunflower-oil": Fat(
        "sunflower oil", 99.8, 0.2, (918, 920, 923), (-24, -15), "never", 0.6, "liquid", "mild",
        (4, 15, 25), _KEPT, (), _TABLES, "memory",
    ),
    "corn-oil": Fat(
        "corn oil", 99.8, 0.2, (917, 920, 925), (-24, -11), "freezer", 0.55, "soft-cap", "mild",
        (4, 15, 25), _KEPT, (), _PHYSICAL, "seen",
    ),
    "soybean-oil": Fat(
        "soybean oil", 99.8, 0.2, (918, 921, 925), (-22, -9), "freezer", 0.6, "soft-cap", "mild",
        (4, 15, 25), _KEPT, ("soy",), _PHYSICAL, "seen",
    ),
    "rapeseed-oil": Fat(
        "rapeseed (canola) oil", 99.8, 0.2, _OIL, (-24, -10), "freezer", 0.55, "soft-cap", "mild",
        (4, 15, 25), _KEPT, (), _TABLES, "memory",
    ),
    "avocado-oil": Fat(
        "avocado oil", 99.8, 0.2, _OIL, (-15, 5), "freezer", 0.65, "soft-cap", "mild",
        (4, 12, 20), _KEPT, (), _TABLES, "memory",
    ),
    "pumpkin-seed-oil": Fat(
        "pumpkin seed oil", 99.8, 0.2, (917, 921, 925), (-24, -12), "never", 0.55, "liquid",
        "strong", (1, 5, 12), _KEPT, (), _TABLES, "memory",
    ),
    "walnut-oil": Fat(
        "walnut oil", 99.8, 0.2, (920, 924, 928), (-29, -15), "never", 0.65, "liquid", "strong",
        (2, 8, 16), _KEPT, ("tree-nuts",), _TABLES, "memory",
    ),
    "hazelnut-oil": Fat(
        "hazelnut oil", 99.8, 0.2, (910, 914, 918), (-25, -12), "never", 0.55, "liquid", "strong",
        (2, 8, 16), _KEPT, ("tree-nuts",), _TABLES, "memory",
    ),
    "almond-oil": Fat(
        "almond oil", 99.8, 0.2, (910, 915, 919), (-25, -12), "never", 0.55, "liquid", "mild",
        (3, 10, 20), _KEPT, ("tree-nuts",), _TABLES, "memory",
    ),
    "peanut-butter": Fat(
        "peanut butter", 52.0, 2.0, (911, 914, 920), (-10, 5), "never", 0.9, "paste", "strong",
        (13, 20, 33), _PASTE, ("peanuts",), "21 CFR 164.150; spirit loss from common practice",
        "seen",
    ),
    "almond-butter": Fat(
        "almond butter", 53.0, 2.0, (910, 915, 919), (-25, -12), "never", 0.9, "paste", "strong",
        (13, 20, 33), _PASTE, ("tree-nuts",), "as peanut butter (judgement)", "judgement",
    ),
    "tahini": Fat(
        "sesame paste", 54.0, 2.0, (915, 919, 924), (-14, -3), "never", 0.9, "paste", "strong",
        (7, 13, 27), _PASTE, ("sesame",), "as peanut butter (judgement)", "judgement",
    ),
    "margarine": Fat(
        "margarine or spread", 75.0, 20.0, (905, 914, 920), (-20, 38), "fridge", 0.6, "soft-cap",
        "mild", (6, 15, 24), (0.75, 0.9), (), "emulsifiers hold fat in the spirit (practice)",
        "practice",
    ),
}  # fmt: skip


def fat(kind: str) -> Fat:
    """One fat by its word; ``ValueError`` with the known words when there is none."""
    try:
        return FATS[kind]
    except KeyError:
        raise ValueError(f"fat_kind must be one of {', '.join(FATS)}; got {kind!r}") from None
