"""``curdwise work keep``: how a drink is kept, and until when."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from advisor.cli.work.doses import ends
from advisor.cli.work.job import job
from advisor.cli.work.options import amount, count, kind, plain
from advisor.cli.work.sheet import Sheet
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from advisor.science.estimate import Estimate

    Number = Estimate | float

__all__ = ["keep"]

_ASSUMED_START, _ASSUMED_WARMEST = 5.0, 22.0
_CONTROL = {
    "assess": "treat it as needed",
    "non-tcs": "not asked for by the table",
}


@job(name="keep")
@amount("--strength", "final_strength", "%vol", "Strength as it is kept.", required=True)
@amount("--ph", "final_ph", "pH", "pH of the finished drink, if measured.")
@plain("--water-activity", "water_activity", "Water activity, if measured.", 0.0, 1.0)
@click.option("--heated-and-packaged", is_flag=True, help="Heat-treated, and packaged after that.")
@kind("--place", "jurisdiction", "place", "Whose rule", default="us")
@click.option("--made", metavar="DATE", help="Day of preparation, 2026-03-01: adds the last day.")
@amount("--out", "hours", "h", "How long it stood out of the fridge.")
@amount("--start", "start", "degC", "Its temperature when it came out; 5 if not said.")
@amount("--warmest", "warmest", "degC", "The warmest it got; 22 if not said.")
@count("--days", "days", "Days of use, the day of preparation counted.", 1, 7, default="7")
def keep(
    final_strength: Number, final_ph: Number | None, water_activity: float | None,
    heated_and_packaged: bool, jurisdiction: str, made: str | None, hours: Number | None,
    start: Number | None, warmest: Number | None, days: int,
) -> Sheet:
    """What the pH and water-activity tables say, the temperature, the last day, time left out.

    \b
    curdwise work keep --strength 18 --ph 4.4 --place england
    curdwise work keep --strength 30 --ph 3.4 --made 2026-03-01
    curdwise work keep --strength 12 --ph 4.4 --out "5 h" --warmest 19
    """
    from advisor.science import keeping

    aw = 1.0 if water_activity is None else water_activity
    sheet = Sheet()
    source = "FDA Food Code 1-201.10, Tables A and B"
    if final_ph is None:
        sheet.add("control", "time and temperature control", "assess", said=_CONTROL["assess"],
                  formula="without a pH the tables cannot be used", source=source)
    else:
        word = keeping.needs_control(final_ph, aw, heated_and_packaged=heated_and_packaged)
        sheet.add("control", "time and temperature control", word, said=_CONTROL[word],
                  formula="pH and water activity in Table B; Table A when heated and then packaged",
                  source=source)
    sheet.add("alcohol", "alcohol here counts as", keeping.alcohol_zone(ends(final_strength)[0]),
              formula="strong from 20 %vol, middle from 10, else weak; it earns no credit",
              source="working rule; no food code gives alcohol a credit")
    if made is not None:
        sheet.add("last_day", "last day of use",
                  keeping.last_day(_day(made), days).isoformat(),
                  formula="day of preparation is day 1", source="FDA Food Code 3-501.17")
    if hours is not None:
        _stood_out(sheet, hours, start, warmest, jurisdiction)
    elif start is not None or warmest is not None:
        raise AdvisorError(
            "options", "--start and --warmest belong to --out, how long it stood out",
            where="--out",
        )
    sheet.cautions += keeping.advice(
        final_strength, final_ph, jurisdiction, water_activity=aw,
        heated_and_packaged=heated_and_packaged,
    )
    if ends(final_strength)[1] >= 60.0:
        sheet.notes.append("This strong it is a flammable liquid: see work strength fire.")
    return sheet


def _stood_out(
    sheet: Sheet, hours: Number, start: Number | None, warmest: Number | None, jurisdiction: str
) -> None:
    """Time out of the fridge: serve by, or discard; nothing for a drink that needs no control."""
    from advisor.science import keeping

    if sheet.lines[0].value == "non-tcs":
        sheet.add("time_control", "after standing out", "none",
                  said="no limit of hours: by its measured pH the table asks for no control",
                  formula="time as a control is for what needs control",
                  source="FDA Food Code 1-201.10, Table B")
        return
    if start is None or warmest is None:
        taken = [f"it came out at {_ASSUMED_START:g} °C (--start)"] if start is None else []
        taken += [f"it got no warmer than {_ASSUMED_WARMEST:g} °C (--warmest)"] * (warmest is None)
        sheet.notes.append(f"Taken for granted: {', '.join(taken)}.")
    found = keeping.time_control(
        ends(hours)[1], ends(_ASSUMED_START if start is None else start)[1],
        ends(_ASSUMED_WARMEST if warmest is None else warmest)[1], jurisdiction,
    )
    after = f"{found.allowed:g} h after it came out"
    said = {
        "cold": f"kept cold: {found.why}",
        "serve-by": f"serve it by {after}, then discard it; never put it back to keep "
        f"({found.why})",
        "discard": f"discard it: {after} is the limit ({found.why})",
        "not-allowed": f"not allowed: {found.why}",
    }[found.word]
    sheet.add("time_control", "after standing out", found.word, said=said, formula=found.why,
              source=found.rule)
    if found.allowed:
        sheet.add("time_limit", "hours out, at most", found.allowed, "h", formula=found.why,
                  source=found.rule)
    sheet.notes.append(f"Hours out of the fridge: {found.rule}.")


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise AdvisorError(
            "date", f"{text[:40]!r} is not a day", where="--made", hint="write it like 2026-03-01"
        ) from None
