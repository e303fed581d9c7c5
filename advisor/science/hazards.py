"""Stops and warnings for heat, vapour, spinning and extreme cold.

Each check returns the cautions that apply, stops first, or none.
"""

from __future__ import annotations

from advisor.science._guard import within
from advisor.science.flash import flash_point
from advisor.science.wording import RECHECK, Caution

__all__ = [
    "VAPOUR_LIMIT",
    "centrifuge",
    "cryogen",
    "dry_ice_gas",
    "hot_fat",
    "open_flame",
    "vapour",
    "vapour_share",
]

VAPOUR_LIMIT = 200.0
"""mL of 40 %vol spirit, fully evaporated per m3 of still air, reach the lower flammable limit.

3.3 % by volume x 46.07 g/mol / 24.055 L/mol = 63 g/m3 = 80 mL of ethanol.
"""

_FIRE = "physical property data, no law; local fire rules apply"


def hot_fat(fat_temperature: float) -> tuple[Caution, ...]:
    """Fat temperature (degC) when it meets spirit: a stop above 60, a note above 50."""
    within("fat_temperature", fat_temperature, -30.0, 400.0, "degC")
    if fat_temperature > 60:
        return (
            Caution(
                f"At {fat_temperature:g} °C the fat can flash-boil the spirit; it spatters and may "
                "ignite.",
                "Stop. Take the fat off the heat and let it cool to 40-50 °C first.",
                _FIRE,
                stop=True,
            ),
        )
    if fat_temperature > 50:
        return (
            Caution(
                "Warm fat drives off alcohol vapour.",
                "Let it cool to 40-50 °C, away from flames.",
                _FIRE,
            ),
        )
    return ()


def open_flame(strength: float) -> tuple[Caution, ...]:
    """No open flame on a warm step from 10 %vol; 5 to 10 is borderline."""
    within("strength", strength, 0.0, 100.0, "%vol")
    if strength < 5:
        return ()
    if strength < 10:
        fact = "The flash point of 5 to 10 %vol lies near 50-60 °C: borderline."
    else:
        flash = flash_point(strength)
        fact = f"This strength gives off flammable vapour from about {flash.low:.0f} °C."
    return (Caution(fact, "No open flame. Warm it in a water bath and air the room.", _FIRE),)


def vapour_share(spirit_ml: float, strength: float, room_m3: float) -> float:
    """Spilt or boiled-off spirit as a share of what reaches the lower flammable limit."""
    within("spirit_ml", spirit_ml, 0.0, 1e9, "mL")
    within("strength", strength, 0.0, 100.0, "%vol")
    within("room_m3", room_m3, 1e-3, 1e6, "m3")
    return spirit_ml * strength / 40 / (VAPOUR_LIMIT * room_m3)


def vapour(spirit_ml: float, strength: float, room_m3: float) -> tuple[Caution, ...]:
    """A stop when the spirit in hand, if it all evaporated, could make the room's air flammable."""
    if vapour_share(spirit_ml, strength, room_m3) <= 1:
        return ()
    return (
        Caution(
            "This much spirit, evaporated in this room without ventilation, may form a flammable "
            "mixture.",
            "Work with lids on, in smaller lots and with the room aired.",
            _FIRE,
            stop=True,
        ),
    )


def centrifuge(strength: float) -> tuple[Caution, ...]:
    """A stop from 5 %vol up: makers exclude flammable liquids (UL 61010A-2-020, 1.1.1).

    A transport exemption at 24 %vol is not a clearance.
    """
    within("strength", strength, 0.0, 100.0, "%vol")
    balance = Caution(
        "An unbalanced or open rotor is the usual cause of accidents.",
        "Balance by mass to the maker's limit, shut the lid, keep 30 cm clear while it runs.",
        "EN/IEC 61010-2-020",
    )
    if strength < 5:
        return (balance,)
    return (
        Caution(
            "Bench centrifuges are not made for flammable liquids, and this liquid counts as one.",
            "Stop, unless the maker's manual permits it in writing. A paper filter does the job.",
            "UL 61010A-2-020 1.1.1 and makers' manuals; flash point 60 °C or below",
            stop=True,
        ),
        balance,
    )


def dry_ice_gas(mass_kg: float) -> float:
    """Litres of carbon dioxide at 20 degC from dry ice: 547 per kg (ideal gas)."""
    return within("mass_kg", mass_kg, 0.0, 1e5, "kg") * 1000 / 44.01 * 24.055


def cryogen(kind: str) -> tuple[Caution, ...]:
    """``dry-ice`` or ``liquid-nitrogen``: both are stops in anything that is served."""
    if kind == "dry-ice":
        return (
            Caution(
                "Dry ice is at -78.5 °C and a kilogram gives about 547 L of gas.",
                "Never seal it in, never serve it, never let it be swallowed; air the room. "
                + RECHECK,
                "gas arithmetic; local workplace rules apply",
                stop=True,
            ),
        )
    if kind == "liquid-nitrogen":
        return (
            Caution(
                "Liquid nitrogen is at -195.8 °C and swells about 700-fold; drinks made with it "
                "have caused serious injury.",
                "Stop. Do not use it in any serving step.",
                "FDA advice of 30 August 2018; UK trade body advice",
                stop=True,
            ),
        )
    raise ValueError(f"kind must be dry-ice or liquid-nitrogen, got {kind!r}")
