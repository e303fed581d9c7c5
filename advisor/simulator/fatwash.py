"""Fat meets spirit: does it stay liquid, what passes over, does it set, float and come away.

Solid share and floating are those of ``science.fat``, ice that of ``science.freezing``, aroma by
``science.partition``. How fast flavour passes (most of it in four to six hours, practice), how many
droplets a blender leaves and what each paper holds back are judgement.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.science.fat import fat_volume, float_margin, solid_share
from advisor.science.fats import fat as fat_data
from advisor.science.freezing import ice_mass_share, lowest_liquid_strength
from advisor.science.mixing import strength_after_water_mass
from advisor.science.partition import constant, share_in_fat
from advisor.simulator.draw import fat_of, loudness
from advisor.simulator.liquid import fat_solubility

if TYPE_CHECKING:
    from advisor.simulator.making import Drink, Fat

__all__ = ["FIRM", "FatWash", "fat_wash", "film", "layer_of"]

_STEEP = 2.2  # h to two thirds of the flavour, both liquid (practice: 4-6 h)
_SETS = 0.20  # share solid at which a pool of fat turns into lumps
_DROPLETS = {"turned": 4e-5, "shaken-warm": 2.5e-4, "shaken-cold": 1.2e-2, "blender": 6e-2}
_DRIPPINGS = frozenset({"bacon-fat", "duck-fat", "lard"})
# How far a cap ever hardens, by the layer the fat makes: an oil stays a soft mass (practice).
FIRM = {"disc": 1.0, "soft-cap": 0.5, "liquid": 0.15, "paste": 0.05}


@dataclass(frozen=True, slots=True)
class FatWash:
    """The spirit after the fat is off. Amounts per litre of spirit."""

    rate: float  # % of the spirit
    usual: float  # that rate against what this fat is used at
    meeting: float  # degC
    set_on_contact: bool
    flavour: float  # 1 is what a good recipe gives
    perceived: float  # under the spirit's own nose
    water: float  # g that came with the fat
    strength: float
    volume: float
    ice: float  # % of its mass
    frozen_water: float  # g of meat juice that froze under the fat before it mixed in
    solid: float  # share of the cap that is solid at straining
    margin: float  # kg/m3, spirit less fat, while it is liquid: it rises before it sets
    emulsion: float  # mg/L stable droplets before straining
    carried: float  # mg/L free fat after straining
    fine: float  # mg/L stable droplets after straining
    dissolved: float  # mg/L dissolved at the straining temperature
    solids: float  # mg/L nut or milk solids after straining
    bits: float  # mg/L
    burnt: float
    salt: float  # g/L
    sugar: float  # g/L
    held: float  # mL kept by paste and papers
    notes: tuple[float, float, float]
    rancid: float
    funk: float


def fat_wash(drink: Drink, fat: Fat) -> FatWash:
    """Steep, chill and strain."""
    litres = drink.spirit_ml / 1000.0
    volume = fat_volume(fat.species, fat.g)
    rate = 100.0 * volume / drink.spirit_ml
    _, low, high, _ = fat_of(fat.kind)
    usual = rate / (0.5 * (low + high))
    meeting = (drink.spirit_ml * fat.spirit_temperature + volume * fat.temperature) / (
        drink.spirit_ml + volume
    )
    at_contact = solid_share(fat.species, min(60.0, meeting)).value
    sets = at_contact > _SETS and fat_data(fat.species).layer != "paste"
    flavour = _flavour(fat, rate, sets)
    water = fat.g * fat.water_share
    mixed = strength_after_water_mass(drink.spirit_ml, drink.spirit_strength, 0.9 * water)
    strength, out = mixed.strength, mixed.volume
    cold, solid = _cap(fat)
    ice = _ice(strength, cold, fat.freezer)
    if fat.slush_strained and ice > 3.0:
        strength, out = _without_ice(strength, out, cold)
    emulsion = _emulsion(fat, rate)
    carried, fine = _strained(fat, rate, usual, solid, emulsion)
    held = _held(fat, drink, volume)
    solids, bits = _solids(fat, litres)
    return FatWash(
        rate=rate, usual=usual, meeting=meeting, set_on_contact=sets, flavour=flavour,
        perceived=flavour * (1.0 - 0.65 * loudness(drink.spirit_kind)), water=water,
        strength=strength, volume=max(1.0, out - held), ice=ice,
        frozen_water=_juice(fat, water), solid=solid,
        margin=float_margin(fat.species, strength, 30.0).value,
        emulsion=emulsion, carried=carried,
        fine=fine, dissolved=fat_solubility(strength, max(cold, _filter_temperature(fat, cold))),
        solids=solids, bits=bits, burnt=bits * fat.bits_burnt,
        salt=fat.g * fat.salt / 100.0 / litres,
        sugar=fat.g * fat.sugar / 100.0 / litres, held=held,
        notes=_notes(fat, volume, drink, sets), rancid=fat.rancid, funk=fat.funk,
    )  # fmt: skip


def _flavour(fat: Fat, rate: float, sets: bool) -> float:
    """Flavour brought, 1 for a good recipe: amount, loudness, and how much had time to pass."""
    hours = fat.steep_h
    at_rest = solid_share(fat.species, min(60.0, max(-25.0, fat.room))).value
    if at_rest > 0.45:
        hours = min(hours, 0.7) + 0.1 * max(0.0, hours - 0.7)
    if sets:
        hours *= 0.05  # only what diffuses out of the skin of a lump
    stirred = {"turned": 1.0, "shaken-warm": 1.7, "shaken-cold": 0.9, "blender": 2.5}[fat.mixed]
    over = 1.0 + 0.35 * math.log2(1.0 + hours / 24.0)
    over += 0.18 * math.log2(1.0 + 24.0 * fat.stored_days_with_fat / 12.0)
    passed = (1.0 - math.exp(-hours * stirred / _STEEP)) * over
    if fat.stored_days_with_fat:
        passed = max(passed, over)
    return fat.perfume * fat.flavour * rate / 20.0 * passed


def _cap(fat: Fat) -> tuple[float, float]:
    """Temperature of the fat when it is strained, and the share of the cap that is solid."""
    slow = fat.cooled == "slow-and-large"
    pace = 5.5 if slow else 1.8
    start = max(fat.room, fat.spirit_temperature)
    cold = fat.freezer + (start - fat.freezer) * math.exp(-fat.chill_h / pace)
    at_rest = solid_share(fat.species, min(60.0, max(-25.0, cold))).value
    crystals = 1.0 - math.exp(-fat.chill_h / (5.0 if slow else 2.2))
    # Slow cooling gives larger, fewer crystals and less solid fat (a dairy thesis, 1965).
    solid = at_rest * crystals * (0.68 if slow else 1.0) * FIRM[fat_data(fat.species).layer]
    solid *= 1.0 - 0.5 * min(1.0, fat.emulsifier)
    return cold, min(1.0, 1.25 * solid)


def _ice(strength: float, cold: float, freezer: float) -> float:
    temperature = max(-43.0, min(40.0, max(cold, freezer)))
    return ice_mass_share(strength, temperature).value


def _juice(fat: Fat, water: float) -> float:
    """g frozen: juice of drippings lies in a layer and in pockets; the water of butter does not."""
    if fat.kind not in _DRIPPINGS or fat.freezer > -5.0:
        return 0.0
    return 0.6 * water if fat.water_share > 0.05 else 0.0


def _without_ice(strength: float, volume: float, cold: float) -> tuple[float, float]:
    left = lowest_liquid_strength(max(-43.0, min(0.0, cold))).value
    if left <= strength:
        return strength, volume
    return left, volume * strength / left


def _emulsion(fat: Fat, rate: float) -> float:
    """mg/L of droplets too small to rise in a night."""
    share = _DROPLETS[fat.mixed] * (1.0 + 6.0 * fat.emulsifier)
    share += 0.05 * fat.emulsifier  # an emulsifier needs no blender
    if fat.kind not in _DRIPPINGS:
        share += 0.012 * max(0.0, fat.water_share - 0.02)  # butter holds its water in fine drops
    if fat.mixed in ("turned", "shaken-warm") and fat.spirit_temperature > 30.0:
        share *= 0.8
    return share * rate * 9150.0


def _filter_temperature(fat: Fat, cold: float) -> float:
    """The liquid warms on its way through a slow filter."""
    warmed = 1.0 - math.exp(-fat.strain_h / 2.5)
    return cold + (max(cold, fat.strain_temperature) - cold) * warmed


def layer_of(species: str) -> str:
    """disc, soft-cap, liquid or paste."""
    return fat_data(species).layer


def film(usual: float) -> float:
    """mg/L that a cap leaves behind however hard it is; more than in step with the rate."""
    return 7.0 * math.pow(usual, 1.9)


def _strained(
    fat: Fat, rate: float, usual: float, solid: float, emulsion: float
) -> tuple[float, float]:
    cold, _ = _cap(fat)
    filter_temperature = _filter_temperature(fat, cold)
    melted = 0.0
    if filter_temperature > cold + 4.0:
        now = solid_share(fat.species, min(60.0, max(-25.0, filter_temperature))).value
        melted = max(0.0, solid - now) * (1.0 - math.exp(-fat.strain_h / 2.0)) * 0.5
    loose = max(0.0, 1.0 - solid - 0.14) + melted
    holds = 0.62**fat.papers
    carried = (film(usual) + loose * rate * 75.0) * holds
    if fat_data(fat.species).layer == "paste":
        carried = (15.0 + 2.0 * rate) * holds
    fine = emulsion * 0.72**fat.papers
    if emulsion > 400.0:
        fine = emulsion * 0.85
    return carried, fine


def _held(fat: Fat, drink: Drink, volume: float) -> float:
    paste = fat.g * fat.solids / 100.0 * 1.9 if fat.solids > 10.0 else 0.0
    return paste + 0.035 * volume + 6.0 + 0.012 * drink.spirit_ml * fat.papers


def _solids(fat: Fat, litres: float) -> tuple[float, float]:
    """Nut or milk solids and coarse bits left, mg/L."""
    fine = fat.g * fat.solids / 100.0 / litres * 1000.0
    bits = fat.g * fat.bits / 100.0 / litres * 1000.0
    if fat.filtered_first:
        bits *= 0.02
    kept = 0.06**fat.papers
    # Nut flour swells and slips: one paper in ten thousandths still shows.
    return fine * max(0.00025, 0.15**fat.papers * 0.06), bits * (0.5 if fat.papers <= 1 else kept)


def _notes(fat: Fat, volume: float, drink: Drink, sets: bool) -> tuple[float, float, float]:
    hours = min(48.0, fat.steep_h) * (0.08 if sets else 1.0)
    reach = 0.012 * (1.0 + hours / 6.0)
    left = []
    for kow in (4.4, 2.5, 1.2):
        k = constant(kow, min(96.0, drink.spirit_strength))
        left.append(1.0 - share_in_fat(k * reach, volume, drink.spirit_ml))
    return left[0], left[1], left[2]
