"""A dose that was written as a weight or a volume, in the measure that its stuff is dosed in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from advisor.science.estimate import Estimate

    Number = Estimate | float

__all__ = ["acid_inputs", "ends", "fat_inputs", "middle", "pairs"]


def middle(given: Number) -> float:
    """The value without its interval."""
    return float(given) if isinstance(given, float | int) else given.value


def ends(given: Number) -> tuple[float, float]:
    """The low and the high end."""
    if isinstance(given, float | int):
        return float(given), float(given)
    return given.low, given.high


def acid_inputs(kind: str | None, dose: dict[str, Number] | None) -> dict[str, Any]:
    """``acid_kind`` with ``acid_g`` or ``acid_ml``; nothing when no acid is named."""
    from advisor.science.acids import acidulant

    if kind is None:
        if dose is not None:
            raise AdvisorError(
                "options", "the acid is missing", where="--dose",
                hint="name it with --acid; curdwise work words acid lists them",
            )
        return {}
    item = acidulant(kind)
    if not item.acids:
        if dose is not None:
            raise AdvisorError(
                "options", "no acid has no dose", where="--dose",
                hint="name the acid with --acid, or leave --dose out",
            )
        return {"acid_kind": kind}
    unit, name = ("g", "acid_g") if item.form == "powder" else ("mL", "acid_ml")
    if dose is None:
        raise AdvisorError(
            "options", f"how much {item.title} is missing", where="--acid", hint="give it as --dose"
        )
    if unit in dose:
        return {"acid_kind": kind, name: dose[unit]}
    if item.form == "powder":
        raise AdvisorError(
            "options", f"{item.title} is a powder and is dosed in g, not in ml", where="--dose",
            hint="weigh it, or name a solution such as citric-15",
        )
    return {"acid_kind": kind, "acid_g": dose["g"]}


def fat_inputs(kind: str, dose: dict[str, Number]) -> dict[str, Any]:
    """``fat_kind`` with ``fat_g`` or ``fat_ml``; a bare number is refused, for it may be either."""
    if len(dose) > 1:
        raise AdvisorError(
            "options", "grams or millilitres? They differ for fat", where="--amount",
            hint="write the unit: 100 g or 100 ml",
        )
    (unit, given), = dose.items()
    return {"fat_kind": kind, "fat_g" if unit == "g" else "fat_ml": given}


def pairs(
    texts: tuple[str, ...], left: str, right: str, where: str, example: str
) -> list[tuple[float, float]]:
    """``LEFT=RIGHT`` arguments as numbers in the units ``left`` and ``right``."""
    from advisor.cli.work.options import read_amount

    found = []
    for text in texts:
        first, equals, second = text.partition("=")
        if not equals:
            raise AdvisorError(
                "quantity", f"{text[:40]!r} is not {where}", where=where,
                hint=f"for example {example}",
            )
        found.append(
            (middle(read_amount(first, left, where)), middle(read_amount(second, right, where)))
        )
    return found
