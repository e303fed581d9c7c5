"""The milk meets the drink: pH, how much casein lets go, what kind of curd, what it takes along.

pH is by charge balance (``science.equilibrium``) on the water scale.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from advisor.science.curd import onset_ph
from advisor.science.equilibrium import WeakAcid, protons_released, solve_ph
from advisor.science.milk_buffer import (
    IONIC_STRENGTH,
    coagulation_ph,
    demand_value,
    heat_release,
    milk_sites,
)
from advisor.science.milks import milk
from advisor.science.mixing import Part, mix
from advisor.science.partition import constant, share_in_fat
from advisor.science.polyphenols import CLASSES
from advisor.science.strip import bound_shares
from advisor.simulator.base import acids_of, titratable
from advisor.simulator.chance import normal_share
from advisor.simulator.curdling import (
    GRAIN,
    casein_free_share,
    enzymes,
    grain_size,
    let_go,
    lift,
    moisture,
    net,
    settled,
    soft_by_kind,
    solids,
)

if TYPE_CHECKING:
    from advisor.simulator.base import Base
    from advisor.simulator.making import Drink, Making, MilkUse

__all__ = ["Wash", "milk_wash", "no_wash"]

_CAPACITY = 0.15  # g/g, inside the 0.05-0.30 of science.strip
_GRAIN_SPREAD = 0.38
_FINE = math.log10(25.0)  # what runs through cloth and most papers


@dataclass(frozen=True, slots=True)
class Wash:
    """The mix once it stands on its curd. Amounts per litre of the mix."""

    mix_ml: float
    strength: float
    milk_share: float
    temperature: float
    ph: float
    acid: float  # g/L as citric acid
    excess: float  # acid there against acid needed for a full split
    full_ph: float
    onset: float
    casein: float  # g/L, milk's own
    casein_left: float  # g/L
    formed: float  # share that has let go by now
    formed_later: float  # share that would let go, warm and in time
    grain: float  # log10 um
    fines: float  # mg/L of curd under 25 um
    softness: float
    body_of_curd: float  # curd strength against the curd of whole milk fully split
    lift: float  # kg/m3, curd less liquid; below 0 it floats
    settled: float  # share gone down (or up) into a layer
    solids: float  # g curd dry matter
    moisture: float
    gas: float
    polyphenols: dict[str, float]
    polyphenols_before: dict[str, float]  # thinned by the milk only
    notes: tuple[float, float, float]  # top, middle, base notes left, dilution taken out
    cooked: float
    redissolved: float  # share of the curd that enzymes took apart
    # Part of casein_left that acid and warmth leave as it is: cut, or cream's fine bits.
    pieces: float = 0.0

    @property
    def whole_share(self) -> float:
        """Share of the casein left that acid or warmth can still bring down."""
        return 1.0 - self.pieces / self.casein_left if self.casein_left > 0.0 else 1.0


def milk_wash(made: Making, base: Base, minutes: float) -> Wash:
    """The mix ``minutes`` after milk and drink met."""
    used, meeting = made.milk, made.meeting
    assert used is not None  # noqa: S101 (callers check)
    item = milk(used.kind)
    mixed = mix((Part(base.ml, base.strength), Part(used.ml, 0.0, item.solids_volume)))
    share = used.ml / (base.ml + used.ml)
    temperature = meeting.drink_temperature * (1.0 - share) + used.temperature * share
    ph, acid, excess = _mixed_ph(made.drink, base, used, temperature)
    full = coagulation_ph(temperature, used.kind) + 0.1 - 0.35 * used.stabilised
    onset = max(full + 0.3, onset_ph(temperature, used.kind, mixed.strength))
    later, formed = let_go(made, used, mixed.strength, temperature, (ph, full, onset), minutes)
    casein = share * item.casein * item.density * 10.0 + share * 0.8 * used.powder_g_per_l
    grain = grain_size(made, used, base, excess, temperature, formed)
    fines_share = normal_share((_FINE - grain) / _GRAIN_SPREAD)
    curd = formed * net(used)
    dry = solids(used, formed)
    # What did not let go leaves gaps in the net: it holds water and neither sinks nor drains.
    half_split = 1.4 * math.sqrt(casein_free_share(ph, full, onset))
    softness = min(1.0, half_split + soft_by_kind(used))
    redissolved = enzymes(made, minutes)
    # Cut protein is what stays soluble at pH 4.6, the common measure of such cutting.
    pieces = cut = 0.15 * casein * redissolved
    if item.curd == "weak":
        # Cream's tenth that does not knit has clotted into fine fatty bits: acid flakes no more.
        pieces += min(1.0 - formed, formed / 9.0) * casein
    curd *= 1.0 - redissolved
    rises, gas = lift(made, used, base, mixed.strength, share)
    before = {k: v * (1.0 - share) for k, v in base.polyphenols.items()}
    after = _bound(before, casein * formed * (1.0 - redissolved), mixed.strength, _mingling(made))
    spread = dry / max(1.0, mixed.volume) * 1e6
    return Wash(
        mix_ml=mixed.volume, strength=mixed.strength, milk_share=share, temperature=temperature,
        ph=ph, acid=acid, excess=excess, full_ph=full, onset=onset, casein=casein,
        casein_left=casein * (1.0 - formed) + cut,
        formed=formed, formed_later=later, grain=grain, fines=spread * fines_share,
        softness=softness, body_of_curd=curd * (1.0 - 0.55 * softness), lift=rises,
        settled=settled(grain, softness, rises, minutes, meeting.rest_temperature), solids=dry,
        moisture=moisture(temperature, softness), gas=gas, polyphenols=after,
        polyphenols_before=before, notes=_notes(made, mixed.volume, mixed.strength, minutes),
        cooked=_cooked(used), redissolved=redissolved, pieces=pieces,
    )  # fmt: skip


def no_wash(base: Base) -> Wash:
    """The drink itself where no milk was used."""
    return Wash(
        base.ml, base.strength, 0.0, 20.0, base.ph, base.acid, 9.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
        GRAIN, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 78.0, 0.0, dict(base.polyphenols),
        dict(base.polyphenols), (1.0, 1.0, 1.0), 0.0, 0.0,
    )  # fmt: skip


def _mixed_ph(
    drink: Drink, base: Base, used: MilkUse, temperature: float
) -> tuple[float, float, float]:
    """pH (water scale), acid g/L of the mix, and acid against the need of a full split."""
    total = base.ml + used.ml
    share = used.ml / total
    acids, cation = acids_of(drink, base.ml)
    inside = [(acid, amount * base.ml / total) for acid, amount in acids]
    item = milk(used.kind)
    strong = cation * base.ml / total - share * heat_release(temperature, item.casein > 0.0)
    # Added citrate or phosphate takes up acid: 30 mmol/L in a milk made never to split
    # (0.18 % trisodium citrate is 6 mmol/L; evaporated milk is twice as strong: judgement).
    strong += share * 0.03 * used.stabilised
    strong -= share * 0.012 * used.turned  # lactic acid of milk on the turn
    scale = 1.0 + used.powder_g_per_l / 90.0
    ph = solve_ph(
        inside, strong, sites=milk_sites(used.kind), share=share * scale,
        background=IONIC_STRENGTH * share, guess=4.6, tolerance=1e-4,
    ).ph  # fmt: skip
    full = coagulation_ph(temperature, used.kind)
    need = share * scale * demand_value(used.kind, full, temperature) / 1000.0
    need += share * 0.03 * used.stabilised
    have = sum(_at(acid, full) * amount for acid, amount in inside) - cation * base.ml / total
    acid = max(0.0, titratable(inside, cation * base.ml / total))
    return ph, acid, (have / need if need > 0.0 else 9.0)


@lru_cache(maxsize=4096)
def _at_rounded(acid: WeakAcid, ph: float) -> float:
    return protons_released(acid, ph)


def _at(acid: WeakAcid, ph: float) -> float:
    return _at_rounded(acid, round(ph, 2))


def _mingling(made: Making) -> float:
    """Share of the casein that tannin can reach before it clots (judgement).

    Three write-ups ask for milk and spirit to stand together before the acid, for this reason.
    """
    meeting = made.meeting
    if meeting.order == "acid-last":
        return 0.72 + 0.28 * min(1.0, meeting.minutes_before_acid / 8.0)
    reach = {"drink-into-milk": 0.95, "milk-into-drink": 0.75, "all-together": 0.5}[meeting.order]
    return reach * (0.62 if meeting.pour == "dumped" else 1.0)


def _bound(
    before: dict[str, float], casein: float, strength: float, mingled: float
) -> dict[str, float]:
    if casein <= 0.0 or not before:
        return dict(before)
    weaker = 10.0 ** (-0.6 * strength / 100.0)  # the direction is known, the size is judgement
    affinities = {kind: CLASSES[kind].k.value * weaker for kind in before}
    taken = bound_shares(before, affinities, casein * mingled, _CAPACITY)
    return {kind: amount * (1.0 - taken[kind]) for kind, amount in before.items()}


def _notes(
    made: Making, volume: float, strength: float, minutes: float
) -> tuple[float, float, float]:
    """Top, middle and base notes left after curd and heat, the milk's dilution taken out.

    Partition into the curd's fat at log Kow 4.4, 2.5 and 1.2 (``science.partition``), of which a
    quarter-hour's contact reaches only a part (judgement: the constants are upper bounds).
    """
    used = made.milk
    assert used is not None  # noqa: S101 (callers check)
    item = milk(used.kind)
    fat_ml = used.ml * item.density * item.fat / 100.0 / 0.92
    reach = 0.025 * (1.0 + min(24.0, minutes / 60.0) / 5.0)
    left = []
    for kow, drive in ((4.4, 1.0), (2.5, 0.45), (1.2, 0.1)):
        k = constant(kow, min(96.0, strength), milk_fat=0.5 if kow < 3.0 else 0.0)
        kept = 1.0 - share_in_fat(k * reach, fat_ml, volume)
        hot = max(0.0, used.temperature - 50.0) / 45.0 * drive
        if made.meeting.open_hot_pan:
            hot *= 1.4
        left.append(kept * 0.96 * max(0.1, 1.0 - 0.75 * hot))
    return left[0], left[1], left[2]


def _cooked(used: MilkUse) -> float:
    """Cooked-milk smell: none to 60 degC, plain at 75, heavy at a boil; 1 is plain (judgement)."""
    heat = max(0.0, (used.temperature - 62.0) / 22.0)
    return heat + (1.0 if used.boiled_long else 0.0) + 1.2 * used.scorched
