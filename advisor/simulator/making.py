"""What was really done: ingredients and steps of one batch, before any physics is worked out.

A sound batch is drawn (``draw``), then faults change what was *used* or *done* here and nothing
else: symptoms are never written, they follow from the physics. Fields named ``said_...`` are what
the maker believes and would tell; the plain field beside it is the truth. Volumes in mL, masses in
g, temperatures in degC, strengths in %vol, concentrations per litre of the drink before the wash.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

__all__ = [
    "Drink",
    "Fat",
    "Keeping",
    "Making",
    "Meeting",
    "MilkUse",
    "People",
    "Plan",
    "Serving",
    "Straining",
    "WheyUse",
]


@dataclass(slots=True)
class Drink:
    """What was in the drink before milk, fat or whey. Shares are of the drink's volume."""

    spirit_kind: str = "neutral"
    spirit_ml: float = 500.0
    spirit_strength: float = 40.0
    said_spirit_ml: float = 500.0
    said_spirit_strength: float = 40.0
    measured_at: str = "room"
    acid_kind: str = "none"
    acid_amount: float = 0.0  # g of a powder, mL of a liquid
    said_acid_kind: str = "none"
    said_acid_amount: float = 0.0
    acid_by_taste: bool = False
    tea_kind: str = ""  # a base of science.polyphenols
    tea_ml: float = 0.0
    tea_load: float = 1.0  # against an ordinary cup
    oak_load: float = 0.0
    bitter_ml: float = 0.0
    wine_ml: float = 0.0
    water_ml: float = 0.0
    sugar_g: float = 0.0
    alkali_mmol: float = 0.0
    alkali_said: bool = False
    pulp: float = 0.0  # g/L coarse fruit solids
    pectin: float = 0.0  # mg/L
    gum: float = 0.0
    starch: float = 0.0
    cocoa: float = 0.0
    nut_milk: float = 0.0  # mg/L fat of a nut syrup
    oil: float = 0.0  # mg/L essential oil
    honey: float = 0.0  # mg/L honey protein
    egg: float = 0.0  # mg/L
    gelatin: float = 0.0  # mg/L
    clarifier: str = "none"
    protease: float = 0.0  # share of the curd's network it can cut in a day at 20 degC
    unbound_colour: float = 0.0  # colour units that no casein takes
    red_colour: float = 0.0  # g/L anthocyanin
    burn: float = 0.0  # pungency and pith, no polyphenol
    spoilt_wine_protein: float = 0.0  # mg/L
    sparkling: bool = False
    solids_soak: float = 0.0  # mL drink held by swollen solids
    raw_egg: bool = False
    sugar_before: bool = True
    water_by_volume: bool = False
    wine_sulphur: float = 0.0


@dataclass(slots=True)
class MilkUse:
    """The milk and what had happened to it."""

    kind: str = "whole"
    ml: float = 125.0
    said_kind: str = "whole"
    temperature: float = 5.0
    gums: bool = False
    stabilised: float = 0.0  # 0 plain to 1: citrate, caseinate or gum made never to split
    raw: bool = False
    frozen: bool = False
    powder_g_per_l: float = 0.0
    lumps: float = 0.0  # g/L of powder not wetted
    turned: float = 0.0  # 0 fresh to 1 sour
    scorched: float = 0.0
    boiled_long: bool = False
    preheated: bool = False  # boiled once and cooled before use
    beany: float = 0.0


@dataclass(slots=True)
class Meeting:
    """How drink and milk met and how long they stood."""

    drink_temperature: float = 20.0
    order: str = "drink-into-milk"
    pour: str = "slow-stream"
    stirring: str = "gentle"
    acid_in_one_place: bool = False
    open_hot_pan: bool = False
    rest_h: float = 2.0
    rest_temperature: float = 8.0
    minutes_before_acid: float = 0.0
    washes: int = 1


@dataclass(slots=True)
class Straining:
    """The filter and how it was treated. ``area`` in cm2."""

    filter_kind: str = "cloth-then-paper"
    area: float = 400.0
    temperature: float = 17.0
    bed_handling: str = "left-alone"
    forerun_returned: bool = True
    ran_dry: bool = False
    curd_first: bool = False
    paper_rinsed: bool = True
    paper_old: bool = False
    cloth_lint: float = 0.0
    cloth_softener: float = 0.0
    open_weave: bool = False
    covered: bool = True
    passes: int = 2
    papers: int = 1
    drain_h: float = 8.0
    hours_so_far: float = 0.0  # 0: it ran to the end
    batch_factor: float = 1.0  # this batch against the small trial it came from
    trial_area: float = 0.0  # cm2 that the small trial had; 0: as much as it needed


@dataclass(slots=True)
class Fat:
    """Fat and spirit: meeting, steep, chill, straining."""

    kind: str = "bacon-fat"  # as a person names it
    species: str = "bacon-fat"  # as science.fats names it
    g: float = 60.0
    said_as: str = "mass"
    said_amount: float = 60.0
    flavour: float = 1.0  # against a good example of its kind
    perfume: float = 1.0  # how loud the kind is
    water_share: float = 0.0
    emulsifier: float = 0.0
    label: str = "pure"
    salt: float = 0.0  # g salt per 100 g fat
    sugar: float = 0.0
    solids: float = 0.0  # g fine solids per 100 g
    bits: float = 0.0  # coarse burnt or meat bits, g per 100 g
    bits_burnt: float = 0.0
    rancid: float = 0.0
    funk: float = 0.0
    temperature: float = 40.0
    spirit_temperature: float = 22.0
    room: float = 22.0
    flame: bool = False
    mixed: str = "turned"
    steep_h: float = 5.0
    meat_left_in: bool = False
    garlic: bool = False
    filtered_first: bool = True
    chill_h: float = 16.0
    freezer: float = -18.0
    cooled: str = "quick-and-shallow"
    narrow: bool = False
    strain_h: float = 1.0
    strain_temperature: float = -5.0
    papers: int = 2
    slush_strained: bool = False
    stored_days_with_fat: float = 0.0
    spent: str = "thrown-away"
    sealed: bool = True


@dataclass(slots=True)
class WheyUse:
    """The whey and how it was dosed."""

    kind: str = "acid"  # as a person names it
    said_kind: str = "acid"
    ml: float = 120.0
    age_days: float = 1.0
    ph: float = 4.5
    casein: float = 0.0  # g/L not split
    fines: float = 0.0  # mg/L
    fat: float = 200.0  # mg/L
    salt: float = 0.0  # g/L beyond the milk's own
    protein: float = 7.7  # g/L
    heated: str = "not-heated"
    foam_wanted: bool = True
    spoilt: float = 0.0


@dataclass(slots=True)
class Keeping:
    """Where it stood, in what, and for how long."""

    where: str = "fridge"
    days: float = 0.0
    hours_warm: float = 2.0
    room: float = 21.0
    half_empty: bool = False
    light: bool = False
    microbes: float = 1.0  # what went in, against a clean kitchen
    acetic: float = 1.0  # vinegar germs, against a clean kitchen
    live_culture: bool = False
    sealed: bool = True
    vessel: str = "glass-or-stainless"
    metal: str = ""  # "", "aluminium", "iron", "copper"
    metal_hours: float = 0.0
    detergent: float = 0.0
    lye: float = 0.0  # mmol/L
    freezer_smell: float = 0.0
    plastic_smell: float = 0.0
    metal_taste: float = 0.0  # a tin note of unproven origin


@dataclass(slots=True)
class Serving:
    """How it is poured."""

    ice: float = 0.2  # dilution
    glass_film: float = 0.0
    ice_minerals: float = 0.0
    shaken: bool = False
    juice_ml_per_100: float = 0.0
    juice_where: str = "each-glass"
    juice_strained: str = "cloth-and-paper"
    juice_days: float = 0.0
    mixer_dairy: bool = False
    carbonated: bool = False
    gas: float = 3.5  # volumes of CO2 meant
    filled_warm: bool = False
    jug_mixed: bool = True
    bottle_mixed: bool = True
    tannic_after: float = 0.0  # g/L
    serve_ml: float = 90.0
    with_water: float = 0.0  # lengthener as share of the drink


@dataclass(slots=True)
class People:
    """Who is served and what they were told."""

    guest: str = "none"
    claim: str = "says-contains-milk"
    diet_claim: str = "none"
    allergen_oil: str = "none"
    oil_refining: str = "highly-refined"
    shared_kit: bool = False
    bottled_for_sale: bool = False
    strength_from: str = "calculated"
    country: str = "uk"
    leftovers: bool = False
    hazard_plan: str = ""


@dataclass(slots=True)
class Plan:
    """What the maker meant to get, and how closely anybody looked."""

    goals: tuple[str, ...] = ("clear",)
    expected_strength: float | None = None  # None: the drink's own strength, milk allowed for
    strength_tool: str = "arithmetic"
    kept_control: bool = True
    moment: str = "fresh"  # mixing, straining, fresh, chilled, days, service
    minutes_since_mixing: float = 0.0
    trial_made: bool = False
    meant_undiluted: bool = False  # the milk was left out of the sum
    worried: bool = False
    sheet: str = "agrees"
    asked_diet: bool = False


@dataclass(slots=True)
class Making:
    """One batch as it was really made."""

    operation: str
    drink: Drink = field(default_factory=Drink)
    milk: MilkUse | None = None
    meeting: Meeting = field(default_factory=Meeting)
    straining: Straining = field(default_factory=Straining)
    fat: Fat | None = None
    whey: WheyUse | None = None
    keeping: Keeping = field(default_factory=Keeping)
    serving: Serving = field(default_factory=Serving)
    people: People = field(default_factory=People)
    plan: Plan = field(default_factory=Plan)

    def copy(self) -> Making:
        """A copy whose parts can be changed without touching this one."""
        return Making(
            self.operation,
            replace(self.drink),
            replace(self.milk) if self.milk is not None else None,
            replace(self.meeting),
            replace(self.straining),
            replace(self.fat) if self.fat is not None else None,
            replace(self.whey) if self.whey is not None else None,
            replace(self.keeping),
            replace(self.serving),
            replace(self.people),
            replace(self.plan),
        )
