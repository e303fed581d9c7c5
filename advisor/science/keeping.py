"""Keeping: does it need the cold, how cold, how long, and what alcohol does not change.

Only published pH and water-activity tables decide whether a drink needs time and
temperature control. Alcohol earns no numeric credit in the FDA Food Code and none
here. Where printed copies of a limit differ, the stricter reading holds. Answers
end in a deferral: local law and licensed practice decide.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from advisor.science._guard import bounded, within
from advisor.science.estimate import Estimate
from advisor.science.ethanol import strength_of_mass_percent
from advisor.science.wording import RECHECK, Caution

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

__all__ = [
    "ALCOHOL_FINDINGS",
    "GROWTH_LIMITS",
    "JURISDICTIONS",
    "Growth",
    "TimeControl",
    "advice",
    "alcohol_zone",
    "cold_limit",
    "cooling_in_time",
    "infusion_days",
    "keeping_band",
    "last_day",
    "may_grow",
    "needs_control",
    "raw_milk",
    "time_control",
    "within_hot_limit",
]

_HAIR = 1e-9

JURISDICTIONS: Mapping[str, tuple[str, float | None]] = {
    "us": ("FDA Food Code", 5.0),
    "england": ("England: SI 2013/2996 Sch. 4", 8.0),
    "wales": ("Wales: WSI 2006/31", 8.0),
    "northern-ireland": ("Northern Ireland: NISR 2006/3 Sch. 4", 8.0),
    "scotland": ("Scotland: no figure in the regulations", None),
    "eu": ("EU: Regulation 852/2004 Annex II, no figure", None),
    "canada": ("Canada: provincial code, not covered here", None),
}
"""Whose rule, and the highest temperature (degC) at which chilled food may be held."""


def _place(jurisdiction: str) -> tuple[str, float | None]:
    try:
        return JURISDICTIONS[jurisdiction]
    except KeyError:
        raise ValueError(
            f"jurisdiction must be one of {', '.join(JURISDICTIONS)}; got {jurisdiction!r}"
        ) from None


def _table_a(ph: float, aw: float) -> str:
    # 0.92 itself is printed with "<" in some adopted texts and "<=" in others: stricter row.
    if aw < 0.92 - _HAIR:
        return "non-tcs"
    if aw <= 0.95 + _HAIR:
        return "non-tcs" if ph <= 5.6 + _HAIR else "assess"
    return "non-tcs" if ph <= 4.6 + _HAIR else "assess"


def _table_b(ph: float, aw: float) -> str:
    if aw < 0.88 - _HAIR:
        return "non-tcs"
    if aw <= 0.90 + _HAIR:
        return "non-tcs" if ph <= 5.0 + _HAIR else "assess"
    if aw < 0.92 - _HAIR:
        return "non-tcs" if ph <= 4.6 + _HAIR else "assess"
    return "non-tcs" if ph < 4.2 - _HAIR else "assess"


def needs_control(
    ph: Estimate | float,
    water_activity: Estimate | float = 1.0,
    *,
    heated_and_packaged: bool = False,
) -> str:
    """``non-tcs``, or ``assess``: treat as needing time and temperature control.

    FDA Food Code 1-201.10 Table A for food heat-treated *and then* packaged, else
    Table B. An interval is read at its strict (high) end; leave the water activity at
    1 unless somebody measured it. Alcohol is not an input, on purpose.
    """
    ph = bounded("ph", ph, 0.0, 14.0, "pH")
    aw = bounded("water_activity", water_activity, 0.0, 1.0, "")
    worst_ph = ph.high if isinstance(ph, Estimate) else ph
    worst_aw = aw.high if isinstance(aw, Estimate) else aw
    table = _table_a if heated_and_packaged else _table_b
    return table(worst_ph, worst_aw)


def alcohol_zone(strength: float) -> str:
    """``strong`` from 20 %vol, ``middle`` from 10, else ``weak``: advice, never a clearance.

    The two lines are a working rule. Studies found no growth of S. aureus from 12.4
    and E. coli from 9.4 %vol (J. Food Prot. 64:546), but survivors in juice at 10-30 %vol
    (Acharya & Nummer 2022, Food Prot. Trends 42:284).
    """
    within("strength", strength, 0.0, 100.0, "%vol")
    return "strong" if strength >= 20 else "middle" if strength >= 10 else "weak"


def keeping_band(
    strength: Estimate | float,
    ph: Estimate | float,
    *,
    water_activity: Estimate | float = 1.0,
    heated_and_packaged: bool = False,
) -> str:
    """``non-tcs``, or ``cold-strong``, ``cold-middle``, ``cold-weak``.

    The three cold words all mean "hold cold" to the food code; they only say what
    alcohol adds. The low end of a strength interval counts.
    """
    given = bounded("strength", strength, 0.0, 100.0, "%vol")
    least = given.low if isinstance(given, Estimate) else given
    if needs_control(ph, water_activity, heated_and_packaged=heated_and_packaged) == "non-tcs":
        return "non-tcs"
    return f"cold-{alcohol_zone(least)}"


ALCOHOL_FINDINGS: Mapping[str, float] = {
    "proteolytic C. botulinum only delayed": strength_of_mass_percent(4.0),
    "proteolytic C. botulinum inhibited, low end": strength_of_mass_percent(5.5),
    "proteolytic C. botulinum inhibited, high end": strength_of_mass_percent(6.0),
    "E. coli does not grow": strength_of_mass_percent(7.5),
    "S. aureus does not grow": strength_of_mass_percent(10.0),
}
"""Published in % by mass; here converted to %vol before any comparison."""


class Growth(NamedTuple):
    """The limits inside which an organism can grow: degC, pH, water activity."""

    coldest: float
    warmest: float | None
    least_ph: float | None
    least_aw: float


GROWTH_LIMITS: Mapping[str, Growth] = {
    "Listeria monocytogenes": Growth(-0.4, 45.0, 4.4, 0.92),
    "Clostridium botulinum A, B": Growth(10.0, 50.0, 4.6, 0.93),
    "Clostridium botulinum E": Growth(3.3, None, None, 0.965),
    "Staphylococcus aureus": Growth(7.0, None, 4.0, 0.83),
}
"""FDA Bad Bug Book; USDA Pathogen Modeling Program. ``None``: no figure here, so no limit."""


def may_grow(organism: str, temperature: float, ph: float, water_activity: float = 1.0) -> bool:
    """Is growth possible inside the published limits? The limit itself counts as possible."""
    if organism not in GROWTH_LIMITS:
        raise ValueError(f"organism must be one of {', '.join(GROWTH_LIMITS)}; got {organism!r}")
    within("temperature", temperature, -40.0, 150.0, "degC")
    within("ph", ph, 0.0, 14.0, "pH")
    within("water_activity", water_activity, 0.0, 1.0, "")
    limits = GROWTH_LIMITS[organism]
    return (
        temperature >= limits.coldest
        and (limits.warmest is None or temperature <= limits.warmest)
        and (limits.least_ph is None or ph >= limits.least_ph)
        and water_activity >= limits.least_aw
    )


def cold_limit(jurisdiction: str) -> Caution:
    """The highest holding temperature there, or that no figure is known and 5 degC is strict."""
    rule, limit = _place(jurisdiction)
    if limit is None:
        return Caution(
            "No holding temperature for this place is known here.",
            "Keep at 5 °C or below, the strictest figure listed.",
            rule,
        )
    text = f"Chilled food is held at {limit:g} °C or below."
    return Caution(text, f"Keep it at {limit:g} °C or below and measure the fridge.", rule)


def last_day(prepared: date, days: int = 7) -> date:
    """Last day of use when the day of preparation is day 1 (FDA Food Code 3-501.17: 7 days)."""
    from datetime import timedelta

    if isinstance(days, bool) or not isinstance(days, int) or not 1 <= days <= 7:
        raise ValueError(f"days must be a whole number from 1 to 7, got {days!r}")
    return prepared + timedelta(days=days - 1)


class TimeControl(NamedTuple):
    """What time out of the cold (or the heat) comes to.

    ``word`` is ``cold`` (it never left the cold), ``serve-by`` (within ``allowed`` hours of coming
    out, then discard it; never put it back to keep), ``discard`` or ``not-allowed`` (time may not
    stand in for temperature). ``rule`` names the law, ``why`` the reason.
    """

    word: str
    allowed: float
    rule: str
    why: str


_US_TIME = "US: FDA Food Code 3-501.19"
_UK_TIME = {
    "england": "England: SI 2013/2996 Sch. 4 para. 5",
    "wales": "Wales: WSI 2006/31 Sch. 4 para. 5",
    "northern-ireland": "Northern Ireland: NISR 2006/3 Sch. 4 para. 5",
}


def time_control(
    hours: float, start: float, warmest: float, jurisdiction: str = "us"
) -> TimeControl:
    """Time instead of temperature, for a drink that needs control; degC, hours since it came out.

    US (Food Code 3-501.19): from 5 degC or below 6 hours while it stays within 21 degC, else 4;
    from 57 or above 4. England, Wales, Northern Ireland: once, for service or display, less than 4
    hours above 8 degC. Anywhere else no rule is known here, and the US one is used and said to be.
    """
    place, limit = _place(jurisdiction)
    within("hours", hours, 0.0, 1e4, "h")
    within("start", start, -40.0, 150.0, "degC")
    within("warmest", warmest, -40.0, 150.0, "degC")
    top = max(start, warmest)
    uk = jurisdiction in _UK_TIME
    cold = 5.0 if limit is None else limit
    hot = start >= 57.0 - _HAIR and not uk
    if uk:
        rule = _UK_TIME[jurisdiction]
    elif jurisdiction == "us":
        rule = _US_TIME
    else:
        rule = f"{_US_TIME}, for want of a figure for this place ({place})"
    if top <= cold + _HAIR:
        return TimeControl("cold", 0.0, rule, f"it never passed {cold:g} °C")
    if start > cold + _HAIR and not hot:
        from_hot = "" if uk else ", or at 57 °C or above,"
        return TimeControl(
            "not-allowed", 0.0, rule,
            f"it was not at {cold:g} °C or below{from_hot} when it came out: time may not stand in "
            "for temperature, so discard it",
        )  # fmt: skip
    if uk:
        allowed, why = 4.0, f"once only, for service or display, less than 4 h above {cold:g} °C"
    elif hot:
        allowed, why = 4.0, "it came out at 57 °C or above"
    elif top <= 21.0 + _HAIR:
        allowed, why = 6.0, "it stayed at 21 °C or below all the time"
    else:
        allowed, why = 4.0, "it passed 21 °C"
    word = "serve-by" if hours < allowed - _HAIR else "discard"
    return TimeControl(word, allowed, rule, why)


def cooling_in_time(hours_to_21: float, hours_to_5: float) -> bool:
    """US cooling: 57 to 21 degC within 2 h, and to 5 within 6 h in all (3-501.14).

    The second step is recalled in part: check before relying on it.
    """
    within("hours_to_21", hours_to_21, 0.0, 1e4, "h")
    within("hours_to_5", hours_to_5, hours_to_21, 1e4, "h")
    return hours_to_21 <= 2.0 + _HAIR and hours_to_5 <= 6.0 + _HAIR


def within_hot_limit(temperature: float, jurisdiction: str) -> bool:
    """Is hot holding warm enough: 57 degC (US), 63 degC in the United Kingdom?"""
    _place(jurisdiction)
    within("temperature", temperature, -40.0, 150.0, "degC")
    return temperature >= (57.0 if jurisdiction == "us" else 63.0) - _HAIR


def infusion_days(kind: str, jurisdiction: str = "us") -> Caution:
    """Limit for ``low-acid-solids`` in fat (garlic, herb, nut, meat) or for ``spent-fat``."""
    rule, _ = _place(jurisdiction)
    if kind == "low-acid-solids":
        return Caution(
            "Garlic, herbs, nuts or meat in fat may let botulism develop; published limits "
            "disagree (4, 7 and 10 days).",
            "Refrigerate at 5 °C or below from the start, discard the solids, use within 4 days. "
            + RECHECK,
            f"US and Canadian advice; {rule}",
            stop=True,
        )
    if kind == "spent-fat":
        return Caution(
            "Spent fat holds pockets of water and little alcohol.",
            "Keep it at 5 °C or below for at most 7 days, or bin it.",
            f"working rule, no published figure; {rule}",
        )
    raise ValueError(f"kind must be low-acid-solids or spent-fat, got {kind!r}")


def raw_milk() -> Caution:
    """Raw milk is a stop: acid, alcohol and curdling do not pasteurise."""
    return Caution(
        "Raw milk may carry Listeria, Campylobacter or harmful E. coli; acid, alcohol and "
        "curdling are not a pasteurisation.",
        "Stop and use pasteurised milk. " + RECHECK,
        "US: Food Code 3-202.14 asks for pasteurised milk",
        stop=True,
    )


_ZONE_TEXT = {
    "strong": "At 20 %vol or more growth is not expected, but what is there may survive.",
    "middle": "At 10 to 20 %vol growth is slowed; it may resume when the drink is diluted.",
    "weak": "Below 10 %vol alcohol counts for nothing here.",
}


def advice(
    strength: Estimate | float,
    ph: Estimate | float | None,
    jurisdiction: str,
    *,
    water_activity: Estimate | float = 1.0,
    heated_and_packaged: bool = False,
) -> tuple[Caution, ...]:
    """How to keep a drink, in order: what the table says, the temperature, what alcohol adds.

    An unmeasured pH (``None``) is answered as needing control.
    """
    rule, limit = _place(jurisdiction)
    given = bounded("strength", strength, 0.0, 100.0, "%vol")
    zone = alcohol_zone(given.low if isinstance(given, Estimate) else given)
    table = "Table A" if heated_and_packaged else "Table B"
    cold = f"{5.0 if limit is None else limit:g} °C"
    code = f"FDA Food Code {table}"
    if ph is None:
        first = Caution(
            "Without a pH the tables cannot be used.",
            f"Treat it as perishable: {cold} or below, and measure the pH.",
            code,
        )
        needed = True
    else:
        needed = (
            needs_control(ph, water_activity, heated_and_packaged=heated_and_packaged) == "assess"
        )
        first = (
            Caution(
                "By pH and water activity this needs time and temperature control.",
                f"Keep at {cold} or below unless a product assessment says otherwise.",
                code,
            )
            if needed
            else Caution(
                "By pH and water activity this falls outside time and temperature control.",
                "Still keep it cold, closed and dated: quality fades and the table is a US one.",
                code,
            )
        )
    said = [first, cold_limit(jurisdiction)]
    if needed:
        said.append(
            Caution(
                "Ready-to-drink food of this kind is marked when held over 24 hours.",
                "Use by day 7 at the latest, counting the day of preparation as day 1.",
                "FDA Food Code 3-501.17",
            )
        )
    said.append(
        Caution(
            _ZONE_TEXT[zone],
            "Alcohol does not change the answer above.",
            f"working rule, no food code gives alcohol a credit; {rule}",
        )
    )
    return tuple(said)
