"""``curdwise work words``: the kinds that options take, and the options' way to them."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from advisor.errors import AdvisorError, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

__all__ = ["WORDS", "words"]


def _milks() -> Mapping[str, str]:
    from advisor.science.milks import MILKS

    return {name: f"{m.title}; curd: {m.curd}" for name, m in MILKS.items()}


def _acids() -> Mapping[str, str]:
    from advisor.science.acids import ACIDULANTS

    measure = {"powder": "g", "liquid": "ml"}
    return {name: f"{a.title}; {measure[a.form]}" for name, a in ACIDULANTS.items()}


def _fats() -> Mapping[str, str]:
    from advisor.science.fats import FATS

    return {name: f"{f.name}; sets: {f.sets}" for name, f in FATS.items()}


def _wheys() -> Mapping[str, str]:
    from advisor.science.whey import WHEYS

    return {name: w.name for name, w in WHEYS.items()}


def _bases() -> Mapping[str, str]:
    from advisor.science.polyphenols import BASES

    return {name: ", ".join(classes) for name, classes in BASES.items()}


def _senses() -> Mapping[str, str]:
    from advisor.science.polyphenols import SENSES

    return dict.fromkeys(SENSES, "")


def _compounds() -> Mapping[str, str]:
    from advisor.science.partition import COMPOUNDS

    return {name: c.met_in for name, c in COMPOUNDS.items()}


def _tests() -> Mapping[str, str]:
    from advisor.science.tasting import METHODS, chance

    return {name: f"right by guessing: {100 * chance(name):.0f} %" for name in METHODS}


def _places() -> Mapping[str, str]:
    from advisor.science.keeping import JURISDICTIONS

    return {name: rule for name, (rule, _) in JURISDICTIONS.items()}


def _label_places() -> Mapping[str, str]:
    from advisor.science.labels import LABEL_JURISDICTIONS

    return dict.fromkeys(LABEL_JURISDICTIONS, "")


def _ingredients() -> Mapping[str, str]:
    from advisor.science.allergen_sources import INGREDIENTS

    return {name: ", ".join(groups) for name, groups in sorted(INGREDIENTS.items())}


def _steps() -> Mapping[str, str]:
    from advisor.science.allergen_sources import PROCESSES

    return {name: ", ".join(brings) for name, brings in PROCESSES.items()}


def _filters() -> Mapping[str, str]:
    from advisor.science.separation import FILTERS

    return {f.name: f"{f.name}, {f.low:g} to {f.high:g} µm" for f in FILTERS}


WORDS: Mapping[str, Callable[[], Mapping[str, str]]] = {
    "milk": _milks,
    "acid": _acids,
    "fat": _fats,
    "whey": _wheys,
    "base": _bases,
    "sense": _senses,
    "compound": _compounds,
    "test": _tests,
    "place": _places,
    "label-place": _label_places,
    "ingredient": _ingredients,
    "step": _steps,
    "filter": _filters,
}
"""What an option's word is a kind of, and how to get the words, each with a few words about it."""


@click.command()
@click.argument("of", required=False)
@click.option("--json", "json_wanted", is_flag=True, help="The words as JSON.")
def words(of: str | None, json_wanted: bool) -> None:
    """List the words that an option takes; without OF, what there are lists of.

    \b
    curdwise work words milk
    curdwise work words acid --json
    """
    if of is not None and of not in WORDS:
        raise AdvisorError(
            "word",
            f"{of[:40]!r} is not one of {', '.join(WORDS)}",
            where="OF",
            hint=did_you_mean(of, WORDS),
        )
    listed = {name: WORDS[name]() for name in ([of] if of else WORDS)}
    if json_wanted:
        click.echo(json.dumps({"version": 1, "words": listed}, indent=2, ensure_ascii=False))
        return
    if of is None:
        for name, known in listed.items():
            click.echo(f"{name:<12}  {len(known)} words")
        return
    width = max(map(len, listed[of]))
    for word, about in listed[of].items():
        click.echo(f"{word:<{width}}  {about}".rstrip())
