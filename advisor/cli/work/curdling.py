"""Whether a batch curdles, as the commands say it: the word, the reasons, and a contradiction."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.science.estimate import Category

if TYPE_CHECKING:
    from advisor.cli.work.sheet import Sheet
    from advisor.science.estimate import Estimate

__all__ = ["contradicts", "curdles"]

_SAID = {"ethanol-clot": "clots on alcohol alone"}
_APART = 0.2  # pH between the intervals before the two are called contradictory (judgement)


def curdles(sheet: Sheet, given: dict[str, Any]) -> str:
    """Adds the verdict on a batch, and its reasons as notes; gives its word."""
    from dataclasses import replace

    from advisor.science._batch import Recipe, verdict

    found = sheet.figure("curd.expected", **given)
    if not isinstance(found, Category):
        raise TypeError("the verdict is not a word")
    said = _SAID.get(found.value)
    if said is not None:
        sure = f"{said} (about {100 * found.certainty:.0f} % sure)"
        sheet.lines[-1] = replace(sheet.lines[-1], said=sure)
    reasons = verdict(Recipe(**{k: v for k, v in given.items() if v is not None})).reasons
    for text in reasons:
        said = text.replace("degC", "°C")
        sheet.notes.append(f"{said[:1].upper()}{said[1:]}." if said[:2] != "pH" else f"{said}.")
    return found.value


def contradicts(sheet: Sheet, given: dict[str, Any]) -> bool:
    """Whether the reading and the recipe cannot both be true; both are added, with a note.

    A reading below the recipe is explained by acid of the drink, unless that was said.
    """
    if given.get("strip_ph") is None or given.get("acid_kind") is None:
        return False
    from advisor.cli.work.sheet import Sheet as Blank

    read = Blank().number("acid.read_ph", **given)
    told = Blank().number("acid.mix_ph", **given)
    above = read.low > told.high + _APART
    below = read.high < told.low - _APART and given.get("own_acid") is not None
    if not (above or below):
        return False
    if all(line.key != "acid_read_ph" for line in sheet.lines):
        sheet.figure("acid.read_ph", **given)
    sheet.figure("acid.mix_ph", title="pH by the recipe", **given)
    sheet.notes.append(
        f"The reading says {_short(read)} and the recipe {_short(told)}: both cannot be true, so "
        "no dose or amount is worked out. Calibrate the meter or take a fresh strip, stir and read "
        "again; then look at the juice, the scale and what was written down."
    )
    return True


def _short(ph: Estimate) -> str:
    return f"pH {ph.value:.1f} ({ph.low:.1f} to {ph.high:.1f})"
