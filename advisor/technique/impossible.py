"""Answers of a brief that cannot be true together, found before anything is built on them."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from advisor.reasoning.answers import Answer

__all__ = ["Impossible", "impossible"]

# 1.2 %vol is where EU law begins to speak of an alcoholic drink (Regulation 1169/2011, Art. 16(4)).
_NO_ALCOHOL = 1.2
# 15 %vol is the least for a spirit in EU law (Regulation 2019/787, Art. 2(c)).
_LEAST_SPIRIT = 15.0
# A gram of dissolved sugar takes up about 0.62 mL (density of sucrose 1.59 g/mL).
_ML_PER_GRAM_SUGAR = 0.62
# mmol of acid groups in a gram of citric acid: three in 192.12 g.
_MMOL_PER_GRAM = 3000.0 / 192.12
# g/L that nobody tastes or titrates behind a bar (judgement).
_UNSEEN_ACID = 0.05


class Impossible(NamedTuple):
    """A contradiction: where it shows, what it is, and what to do about it."""

    code: str
    at: str
    text: str
    hint: str


def impossible(answers: Mapping[str, Answer]) -> tuple[Impossible, ...]:
    """Every contradiction among quantities and words, in a fixed order."""
    return tuple(_found(answers))


def _found(answers: Mapping[str, Answer]) -> Iterator[Impossible]:
    strength = _number(answers, "base_strength")
    sugar = _number(answers, "base_sugar")
    acid = _number(answers, "base_acid")
    kind = _word(answers, "base_kind")
    yield from _strength_against_kind(kind, _word(answers, "base_spirit"), strength)
    if strength is not None and sugar is not None:
        room = 10.0 * strength + _ML_PER_GRAM_SUGAR * sugar
        if room > 1000.0:
            yield Impossible(
                "brief-impossible",
                "base_sugar",
                f"{strength:g} % of alcohol and {sugar:g} g of sugar need {room:.0f} ml of every "
                "litre: they cannot be in one drink",
                "check which of the two is wrong",
            )
    if acid and _word(answers, "base_acid_kind") == "none":
        yield Impossible(
            "brief-contradiction",
            "base_acid",
            f"base_acid says {acid:g} g per litre and base_acid_kind says nothing sour is in it",
            "name where the acid comes from, or leave base_acid out",
        )
    yield from _ph_against_acid(_number(answers, "base_ph"), answers.get("base_acid"), acid)
    yield from _serves(answers)


def _strength_against_kind(
    kind: str | None, spirit: str | None, strength: float | None
) -> Iterator[Impossible]:
    if spirit not in (None, "none") and kind in ("no-alcohol", "juice"):
        yield Impossible(
            "brief-contradiction",
            "base_spirit",
            f"base_kind says {kind} and base_spirit says {spirit}",
            "a drink with spirit in it is mixed-drink or spirit",
        )
    if kind == "spirit" and spirit == "none":
        yield Impossible(
            "brief-contradiction",
            "base_spirit",
            "base_kind says spirit and base_spirit says there is none",
            "name the spirit, or choose another base_kind",
        )
    if strength is None:
        return
    if kind in ("no-alcohol", "juice") and strength > _NO_ALCOHOL:
        yield Impossible(
            "brief-contradiction",
            "base_strength",
            f"base_kind says {kind} and base_strength says {strength:g} %",
            "a drink with alcohol in it is mixed-drink, wine, tea-or-coffee or spirit",
        )
    if kind == "spirit" and spirit not in ("liqueur", "bitter-aperitif") and (
        strength < _LEAST_SPIRIT
    ):
        yield Impossible(
            "brief-contradiction",
            "base_strength",
            f"a spirit of {strength:g} %: no spirit is that weak (the EU's least is 15 %)",
            "check the strength, or choose mixed-drink",
        )


def _ph_against_acid(
    ph: float | None, told: Answer | None, acid: float | None
) -> Iterator[Impossible]:
    """A pH needs at least its own hydrogen ions; half of them allows for how pH is read."""
    if ph is None or acid is None or told is None:
        return
    most = told.high if told.high == told.high else acid
    if (most + _UNSEEN_ACID) * _MMOL_PER_GRAM < 0.5 * 1000.0 * 10.0**-ph:
        yield Impossible(
            "brief-impossible",
            "base_ph",
            f"a pH of {ph:g} cannot be with only {acid:g} g of acid in a litre",
            "check the reading and the acid; leave out the one you are not sure of",
        )


def _serves(answers: Mapping[str, Answer]) -> Iterator[Impossible]:
    serve, batch = _number(answers, "serve_size"), _number(answers, "batch_volume")
    if serve is not None and batch is not None and serve > batch:
        yield Impossible(
            "brief-impossible",
            "serve_size",
            f"one serve of {serve:g} ml is more than the whole batch of {batch:g} ml",
            "check both amounts",
        )
    work, time = _number(answers, "hands_on_limit"), _number(answers, "time_limit")
    if work is not None and time is not None and work > time:
        yield Impossible(
            "brief-contradiction",
            "hands_on_limit",
            f"{work:g} h of work do not fit into the {time:g} h until it must be ready",
            "check both times",
        )


def _number(answers: Mapping[str, Answer], key: str) -> float | None:
    answer = answers.get(key)
    return answer.value if answer is not None and isinstance(answer.value, float) else None


def _word(answers: Mapping[str, Answer], key: str) -> str | None:
    answer = answers.get(key)
    return answer.value if answer is not None and isinstance(answer.value, str) else None
