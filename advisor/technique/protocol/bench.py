"""The small blind trial that would prove a protocol."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.technique.trial import Base, trial_for

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.technique.protocol.model import Protocol
    from advisor.technique.trial import Trial

__all__ = ["bench_trial"]

# Works whose dials a trial can turn; a curd's steep is not a fat's.
_SCOPES = ("strip", "first", "fat_wash", "whey_dose")
_BASES = {
    "tea": "black-tea",
    "coffee": "coffee",
    "wine": "red-wine",
}
_POWDERS = ("citric", "citric-monohydrate", "malic", "tartaric", "lactic")


def bench_trial(
    protocol: Protocol,
    goals: Sequence[str] = (),
    *,
    tasters: int | Sequence[str] = 8,
    seed: int = 1,
) -> Trial:
    """The trial of the dial about which least is known, at the protocol's own drink.

    ``goals`` are those of the brief (``goal_less_astringent``). Raises ``AdvisorError``
    (``trial-no-dial``) for a protocol with nothing that a trial can turn.
    """
    doses = {}
    for setting in protocol.settings:
        scope, _, dial = setting.id.partition(".")
        if scope in _SCOPES:
            doses[dial] = setting.value
    return trial_for(
        protocol.title, doses, goals=goals, base=_base(protocol), tasters=tasters, seed=seed
    )


def _base(protocol: Protocol) -> Base:
    answers = protocol.from_.answers
    told = protocol.told
    strength = protocol.quantities["prepare.drink_strength"].amount
    kind = ""
    if "has-tea" in protocol.circumstances or "tea-base" in protocol.circumstances:
        kind = _BASES["tea"]
    elif "wine-base" in protocol.circumstances or "has-wine" in protocol.circumstances:
        kind = _BASES["wine"]
    acid = told.get("acid_kind", "citric")
    return Base(
        volume=None,
        strength=None if strength is None else strength.value,
        acid=protocol.own_acid,
        kind=kind,
        milk_kind=told.get("milk_kind", "whole"),
        acid_kind=acid if acid in _POWDERS else "citric",
        fat_kind=told.get("fat_kind", str(answers.get("wanted_fat", "plain-butter"))),
    )
