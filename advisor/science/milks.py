"""Milks and plant drinks: what is in them, and whether acid makes them curdle.

Per 100 g unless stated. Composition: FAO 2013, *Milk and Dairy Products in
Human Nutrition*, Table 3.1, and USDA Handbook 8-1 (1976); rows that were recalled and
not read again carry the mark ``memory``. Casein is 0.78 of protein (0.76 to 0.80, cow).
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["CASEIN_SHARE", "COW_CLOT", "GOAT_CLOT", "MILKS", "Milk", "milk"]

CASEIN_SHARE = 0.78
# Ethanol in the mix (%vol) at which unacidified milk may, and will, clot. Cow: Davies & White
# 1958, J. Dairy Res. 25:256, equal volumes of 66-84 %. Goat: Kim et al. 2013, Korean J. Vet.
# Serv. 36:255-261, 1295 samples, 45-70 %.
COW_CLOT = (33.0, 42.0)
GOAT_CLOT = (22.0, 35.0)


@dataclass(frozen=True, slots=True)
class Milk:
    """One milk.

    ``protein``, ``casein``, ``fat``, ``lactose``, ``water`` in g/100 g, ``calcium``
    mg/100 g, ``density`` g/mL. ``curd`` is what acid makes of it: ``yes``, ``weak``, ``soy`` (a
    clot of soy protein at a higher pH) or ``no``. ``clot`` is the ethanol in the mix (%vol)
    at which it may and will clot without acid, if known. ``heated`` marks milk
    whose whey protein has largely been denatured onto the casein. ``sour`` is lactic acid
    already developed (mmol/L). ``spread`` is the relative 95 % half interval of its
    casein and buffering.
    """

    id: str
    title: str
    protein: float
    fat: float
    lactose: float
    water: float
    calcium: float
    ph: float
    curd: str = "yes"
    casein: float = 0.0
    density: float = 1.030
    clot: tuple[float, float] | None = COW_CLOT
    heated: bool = False
    homogenised: bool = True
    sour: float = 0.0
    spread: float = 0.13
    source: str = ""
    mark: str = "seen"
    note: str = ""

    @property
    def solids_volume(self) -> float:
        """Share of its volume that is not water: fat at 0.92 g/mL, the rest at 1.5 g/mL."""
        rest = 100.0 - self.water - self.fat
        return (self.fat / 0.92 + rest / 1.5) / 100.0 * self.density


def _dairy(id: str, title: str, protein: float, fat: float, lactose: float, **more: object) -> Milk:
    casein = more.pop("casein", round(protein * CASEIN_SHARE, 3))
    return Milk(id, title, protein, fat, lactose, casein=casein, **more)  # type: ignore[arg-type]


def _plant(id: str, title: str, protein: float, fat: float, sugar: float, **more: object) -> Milk:
    """Sugar of a plant drink is not lactose."""
    del sugar
    defaults: dict[str, object] = {
        "casein": 0.0,
        "clot": None,
        "spread": 0.5,
        "density": 1.01,
        "mark": "memory",
    }
    return Milk(id, title, protein, fat, 0.0, **{**defaults, **more})  # type: ignore[arg-type]


_FAO = "FAO 2013, Milk and Dairy Products in Human Nutrition, Table 3.1"
_USDA = "USDA Handbook 8-1 (1976)"
_RECALLED = "USDA-type listing, from memory, not yet verified"
_LABEL = "usual label, from memory, not yet verified"

_ALL = (
    _dairy("whole", "whole milk", 3.3, 3.3, 4.7, water=87.8, calcium=113.0, ph=6.7, source=_FAO),
    _dairy(
        "whole-unhomogenised",
        "whole milk, not homogenised",
        3.3,
        3.6,
        4.7,
        water=87.6,
        calcium=113.0,
        ph=6.7,
        homogenised=False,
        source=_FAO,
        note="cream rises; least fat in suspension",
    ),
    _dairy(
        "two-percent",
        "2 % milk",
        3.3,
        2.0,
        4.8,
        water=89.2,
        calcium=120.0,
        ph=6.7,
        density=1.033,
        source="USDA SR as quoted",
    ),
    _dairy(
        "skim",
        "skim milk",
        3.4,
        0.15,
        4.9,
        water=90.8,
        calcium=123.0,
        ph=6.7,
        density=1.035,
        source=_USDA,
        note="dusty curd, no fat haze",
    ),
    _dairy(
        "long-life",
        "ultra-heat-treated (long-life) milk",
        3.3,
        3.3,
        4.7,
        water=87.8,
        calcium=113.0,
        ph=6.65,
        heated=True,
        spread=0.16,
        source=f"{_FAO}; heat effects: Encyclopedia 2021, 1(4), doi:10.3390/encyclopedia1040098",
        note="fine, sandy curd; slower through paper",
    ),
    _dairy(
        "lactose-free",
        "lactose-free milk",
        3.3,
        3.3,
        0.0,
        water=87.8,
        calcium=113.0,
        ph=6.65,
        heated=True,
        spread=0.16,
        source=_RECALLED,
        mark="memory",
        note="sweeter: its lactose is glucose and galactose; usually also ultra-heat-treated",
    ),
    _dairy(
        "ultra-filtered",
        "ultra-filtered, high-protein milk",
        5.4,
        2.0,
        0.0,
        water=89.0,
        calcium=160.0,
        ph=6.7,
        heated=True,
        spread=0.25,
        source="judgement on usual labels",
        mark="judgement",
        note="1.6 times the casein; more acid, large soft curd",
    ),
    _dairy(
        "half-and-half",
        "half-and-half",
        3.0,
        11.5,
        4.3,
        water=80.6,
        calcium=105.0,
        ph=6.65,
        density=1.02,
        spread=0.2,
        source=_USDA,
    ),
    _dairy(
        "cream",
        "cream, 35 to 37 % fat",
        2.1,
        37.0,
        2.8,
        water=57.7,
        calcium=65.0,
        ph=6.6,
        density=0.995,
        curd="weak",
        spread=0.35,
        source=f"{_USDA}; newer listing: 2.84 % protein",
        note="little casein, much fat",
    ),
    _dairy(
        "buttermilk",
        "cultured buttermilk",
        3.3,
        0.9,
        4.3,
        water=90.1,
        calcium=116.0,
        ph=4.6,
        density=1.033,
        sour=75.0,
        spread=0.2,
        source=f"{_USDA}; pH 4.4-4.8 from memory",
        note="already clotted; live culture",
    ),
    _dairy(
        "yoghurt",
        "yoghurt, whole, plain",
        3.5,
        3.3,
        4.0,
        water=88.0,
        calcium=121.0,
        ph=4.4,
        density=1.035,
        heated=True,
        sour=83.0,
        spread=0.2,
        source=f"{_USDA}; acidity 0.9 %, pH 4.4 from the yoghurt standard",
        note="already clotted; live culture",
    ),
    _dairy(
        "powder",
        "whole milk from powder, 13 %",
        3.3,
        3.4,
        4.9,
        water=87.4,
        calcium=118.0,
        ph=6.65,
        spread=0.18,
        source="judgement: powder at the usual 13 g/100 mL",
        mark="judgement",
        note="wet it overnight, or it leaves lumps",
    ),
    _dairy(
        "goat",
        "goat milk",
        3.4,
        3.9,
        4.4,
        water=87.7,
        calcium=134.0,
        ph=6.65,
        clot=GOAT_CLOT,
        spread=0.2,
        homogenised=False,
        source=f"{_FAO}; ethanol: Kim et al. 2013",
        note="soft curd; clots on alcohol alone far sooner than cow",
    ),
    _dairy(
        "sheep",
        "sheep milk",
        5.6,
        6.4,
        5.1,
        water=82.1,
        calcium=193.0,
        ph=6.65,
        density=1.036,
        spread=0.2,
        homogenised=False,
        source=_FAO,
        note="1.7 times the casein of cow",
    ),
    _dairy(
        "buffalo",
        "buffalo milk",
        4.0,
        7.5,
        4.4,
        water=83.2,
        calcium=170.0,
        ph=6.7,
        spread=0.25,
        homogenised=False,
        source=f"{_FAO}; calcium from memory; its buffer index is printed as no higher than cow's",
    ),
    _plant(
        "soy",
        "soy drink",
        3.2,
        1.8,
        3.0,
        water=90.0,
        calcium=25.0,
        ph=6.8,
        curd="soy",
        spread=0.3,
        source=f"clots near pH 5.5, tofu 5.7-6.4 (New Scientist, 2011); composition {_LABEL}",
        note="soy is an allergen of its own",
    ),
    _plant(
        "oat",
        "oat drink",
        0.9,
        2.0,
        6.0,
        water=90.0,
        calcium=120.0,
        ph=6.8,
        curd="no",
        source=f"no sharp precipitation (Korean J. Food Preserv. 32(6):1110); composition {_LABEL}",
        note="filters, does not wash",
    ),
    _plant(
        "almond",
        "almond drink",
        0.5,
        1.3,
        1.0,
        water=97.0,
        calcium=120.0,
        ph=7.0,
        curd="no",
        source=_LABEL,
        note="about half a per cent protein: hardly anything to precipitate",
    ),
    _plant(
        "coconut",
        "coconut milk, canned",
        2.0,
        21.3,
        2.8,
        water=73.0,
        calcium=18.0,
        ph=6.1,
        curd="no",
        density=0.99,
        source="protein least soluble at pH 4 (Rodsamran & Sothornvit 2018, Food Chem. 241:364)",
        note="creams or breaks; poor curd",
    ),
    _plant(
        "rice",
        "rice drink",
        0.3,
        1.0,
        9.0,
        water=89.0,
        calcium=120.0,
        ph=6.8,
        curd="no",
        source=_LABEL,
        note="nothing to precipitate; starch clouds the drink",
    ),
)

MILKS: Mapping[str, Milk] = MappingProxyType({m.id: m for m in _ALL})


def milk(id: str) -> Milk:
    """One milk by its id; ``ValueError`` that lists the known ones otherwise."""
    try:
        return MILKS[id]
    except KeyError:
        raise ValueError(
            f"milk kind is {id!r}; it must be one of {', '.join(sorted(MILKS))}"
        ) from None
