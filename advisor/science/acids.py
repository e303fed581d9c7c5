"""Acids, their solutions, and the juices that stand in for them.

pKa: CRC Handbook and Merck Index as quoted (citric), an aqueous-chemistry data
base (lactic, malic, tartaric, acetic); phosphoric and ascorbic from memory, not yet verified.
Juices: Penniston et al. 2008, *Journal of Endourology* 22:567-570, for the acid; the
strong cation (mostly potassium) is set so that the pH lands in the published range.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from advisor.science._guard import within
from advisor.science.equilibrium import WeakAcid, protons_released, solve_ph

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "ACETIC",
    "ACIDULANTS",
    "ASCORBIC",
    "CITRIC",
    "CITRIC_MASS",
    "CITRIC_MONOHYDRATE_MASS",
    "GLUCONIC",
    "LACTIC",
    "MALIC",
    "PHOSPHORIC",
    "TARTARIC",
    "Acidulant",
    "acidulant",
    "citric_equivalent",
    "liquid_ph",
    "solution",
]

CITRIC = WeakAcid("citric", (3.13, 4.76, 6.40), carboxyls=3)
LACTIC = WeakAcid("lactic", (3.86,), carboxyls=1)
MALIC = WeakAcid("malic", (3.40, 5.20), carboxyls=2)
TARTARIC = WeakAcid("tartaric", (2.98, 4.34), carboxyls=2)
ACETIC = WeakAcid("acetic", (4.76,), carboxyls=1)
PHOSPHORIC = WeakAcid("phosphoric", (2.15, 7.20, 12.35))
ASCORBIC = WeakAcid("ascorbic", (4.10, 11.70))
GLUCONIC = WeakAcid("gluconic", (3.70,), carboxyls=1)

CITRIC_MASS, CITRIC_MONOHYDRATE_MASS = 192.12, 210.14  # g/mol

_AT_SPLIT = 4.6
_CITRIC_AT_SPLIT = protons_released(CITRIC, _AT_SPLIT)


@dataclass(frozen=True, slots=True)
class Acidulant:
    """A sour thing as it is dosed: by the gram (``powder``) or by the mL (``liquid``).

    ``acids`` are (acid, mol per gram or per mL); ``cation`` is the strong cation in
    the same basis; ``spread`` the relative 95 % half interval of its acid; ``density`` in
    g/mL; ``ph_range`` the published pH of a liquid.
    """

    id: str
    title: str
    form: str
    acids: tuple[tuple[WeakAcid, float], ...]
    cation: float = 0.0
    spread: float = 0.02
    density: float = 1.0
    ph_range: tuple[float, float] | None = None
    source: str = ""
    mark: str = "seen"


def solution(
    id: str,
    title: str,
    acid: WeakAcid,
    molar_mass: float,
    percent: float,
    *,
    basis: str,
    density: float,
    spread: float = 0.03,
    ph_range: tuple[float, float] | None = None,
    source: str = "arithmetic on molar mass",
    mark: str = "derived",
) -> Acidulant:
    """A solution of one acid; ``basis`` says what the % means.

    ``w/v``: grams in 100 mL of solution. ``w/w``: grams in 100 g of solution, which
    needs the solution's ``density`` (g/mL). ``ValueError`` for anything else.
    """
    within("percent", percent, 0.0, 100.0, "%")
    if basis == "w/v":
        grams = percent / 100.0
    elif basis == "w/w":
        grams = percent / 100.0 * density
    else:
        raise ValueError(f"basis is {basis!r}; it must be 'w/v' or 'w/w'")
    return Acidulant(
        id,
        f"{title}, {percent:g} % {basis}",
        "liquid",
        ((acid, grams / molar_mass),),
        spread=spread,
        density=density,
        ph_range=ph_range,
        source=source,
        mark=mark,
    )


def _powder(
    id: str, title: str, acid: WeakAcid, molar_mass: float, mark: str = "seen"
) -> Acidulant:
    return Acidulant(id, title, "powder", ((acid, 1.0 / molar_mass),), source=_MASSES, mark=mark)


def _juice(
    id: str,
    title: str,
    per_litre: tuple[tuple[WeakAcid, float, float], ...],
    cation: float,
    spread: float,
    ph_range: tuple[float, float],
    source: str,
    mark: str,
    density: float = 1.03,
) -> Acidulant:
    """``per_litre``: acid, g/L, g/mol; ``cation`` in mmol/L."""
    acids = tuple((acid, grams / mass / 1000.0) for acid, grams, mass in per_litre)
    return Acidulant(
        id, title, "liquid", acids, cation / 1e6, spread, density, ph_range, source, mark
    )


def _citric(grams: float, malic: float = 0.0) -> tuple[tuple[WeakAcid, float, float], ...]:
    more = ((MALIC, malic, 134.09),) if malic else ()
    return ((CITRIC, grams, CITRIC_MASS), *more)


_PENNISTON = "Penniston et al. 2008, J. Endourol. 22:567-570, doi:10.1089/end.2007.0304"
_MASSES = "molar mass; pKa from the CRC Handbook and an aqueous-chemistry database"
_JUDGED = "judgement: middle of what labels and texts give"

_ALL = (
    _powder("citric", "citric acid, anhydrous", CITRIC, CITRIC_MASS),
    _powder(
        "citric-monohydrate",
        "citric acid, monohydrate",
        CITRIC,
        CITRIC_MONOHYDRATE_MASS,
    ),
    _powder("lactic", "lactic acid, pure", LACTIC, 90.08),
    _powder("malic", "malic acid", MALIC, 134.09),
    _powder("tartaric", "tartaric acid", TARTARIC, 150.09),
    _powder("acetic", "acetic acid, pure", ACETIC, 60.05),
    _powder("phosphoric", "phosphoric acid, pure", PHOSPHORIC, 98.00, mark="memory"),
    _powder("ascorbic", "ascorbic acid", ASCORBIC, 176.12, mark="memory"),
    # 15 g in 100 mL, and 15 g with 85 g of water, are not the same: 6 % apart.
    solution(
        "citric-15", "citric acid solution", CITRIC, CITRIC_MASS, 15.0, basis="w/v", density=1.06
    ),
    solution(
        "citric-15-by-weight",
        "citric acid solution",
        CITRIC,
        CITRIC_MASS,
        15.0,
        basis="w/w",
        density=1.06,
        mark="memory",
        source="arithmetic; the solution's density 1.06 g/mL is from memory",
    ),
    solution(
        "lactic-80",
        "lactic acid solution",
        LACTIC,
        90.08,
        80.0,
        basis="w/w",
        density=1.19,
        spread=0.06,
        mark="memory",
        source="usual food grade; density from memory",
    ),
    _juice(
        "lemon-juice",
        "lemon juice, fresh",
        _citric(48.0),
        32.0,
        0.16,
        (2.0, 2.6),
        _PENNISTON,
        "seen",
    ),
    _juice(
        "lime-juice",
        "lime juice, fresh",
        _citric(45.86),
        21.8,
        0.30,
        (2.0, 2.35),
        _PENNISTON,
        "seen",
    ),
    _juice(
        "bottled-lemon-juice",
        "lemon juice, bottled",
        _citric(36.65),
        30.0,
        0.12,
        (2.0, 2.6),
        f"{_PENNISTON} (34.1-39.2 g/L); pH as fresh: judgement",
        "seen",
    ),
    _juice(
        "bottled-lime-juice",
        "lime juice, bottled",
        _citric(35.4),
        23.0,
        0.20,
        (2.0, 2.6),
        f"{_PENNISTON}; pH as fresh: judgement",
        "seen",
    ),
    _juice(
        "grapefruit-juice",
        "grapefruit juice",
        _citric(25.0),
        92.4,
        0.25,
        (3.0, 3.75),
        f"{_PENNISTON} (ready to drink)",
        "seen",
    ),
    _juice(
        "orange-juice",
        "orange juice",
        _citric(16.8),
        85.5,
        0.45,
        (3.3, 4.19),
        f"{_PENNISTON} (ready to drink 16.7-16.9; fresh 9.1 g/L)",
        "seen",
    ),
    _juice(
        "pineapple-juice",
        "pineapple juice",
        _citric(7.0, 1.5),
        39.8,
        0.35,
        (3.2, 4.0),
        _JUDGED,
        "judgement",
    ),
    _juice(
        "verjus",
        "verjus",
        ((TARTARIC, 11.2, 150.09), (MALIC, 16.8, 134.09)),
        59.1,
        0.40,
        (2.6, 2.9),
        "Dupas de Matos 2017 (17.4-40.5 g/L, pH 2.6-2.9); tartaric to malic 2:3 is judgement",
        "seen",
    ),
    _juice(
        "wine",
        "wine or fortified wine",
        ((TARTARIC, 3.6, 150.09), (MALIC, 2.4, 134.09)),
        28.4,
        0.40,
        (2.9, 3.8),
        _JUDGED,
        "judgement",
        density=0.99,
    ),
    solution(
        "vinegar",
        "vinegar",
        ACETIC,
        60.05,
        5.0,
        basis="w/v",
        density=1.01,
        spread=0.12,
        ph_range=(2.4, 3.4),
        source="label strength 5 % w/v acetic acid",
    ),
    solution(
        "rice-vinegar",
        "rice vinegar",
        ACETIC,
        60.05,
        4.2,
        basis="w/v",
        density=1.01,
        spread=0.15,
        ph_range=(2.4, 3.4),
        source=_JUDGED,
        mark="judgement",
    ),
    _juice(
        "cola",
        "cola with phosphoric acid",
        ((PHOSPHORIC, 0.5, 98.00),),
        1.1,
        0.25,
        (2.4, 2.8),
        _JUDGED,
        "judgement",
        density=1.04,
    ),
    Acidulant("none", "no acid", "powder", (), source="no acid added"),
)

ACIDULANTS: Mapping[str, Acidulant] = MappingProxyType({a.id: a for a in _ALL})


def acidulant(id: str) -> Acidulant:
    """One acidulant by its id; ``ValueError`` that lists the known ones otherwise."""
    try:
        return ACIDULANTS[id]
    except KeyError:
        raise ValueError(
            f"acid kind is {id!r}; it must be one of {', '.join(sorted(ACIDULANTS))}"
        ) from None


def citric_equivalent(item: Acidulant, amount: float) -> float:
    """Grams of anhydrous citric acid that give as many hydrogen ions at pH 4.6.

    ``amount`` in grams of a powder or mL of a liquid. A juice's cations are left out, as
    the trade counts a juice by its acid alone.
    """
    within("amount", amount, 0.0, 1e9, "g or mL")
    moles = sum(per * protons_released(acid, _AT_SPLIT) for acid, per in item.acids)
    return amount * moles / _CITRIC_AT_SPLIT * CITRIC_MASS


def liquid_ph(item: Acidulant) -> float:
    """pH of a juice or solution as it stands, without alcohol; ``ValueError`` for a powder."""
    if item.form != "liquid":
        raise ValueError(f"{item.title} is a powder; only a liquid has a pH")
    return solve_ph(
        [(acid, 1000.0 * per) for acid, per in item.acids], 1000.0 * item.cation, guess=2.5
    ).ph
