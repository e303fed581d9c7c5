"""The dials that a trial may turn: range, usual levels, what they move and what the control is."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["DIALS", "SENSES", "Dial", "Sense", "dial_called", "sense_called"]


@dataclass(frozen=True, slots=True)
class Sense:
    """What tasters judge; ``ask`` stands on their sheets.

    ``tannin_sense`` is the word of ``science.strip`` where that has a model of it.
    """

    id: str
    title: str
    ask: str
    tannin_sense: str = ""


SENSES: Mapping[str, Sense] = MappingProxyType(
    {
        s.id: s
        for s in (
            Sense("astringency", "astringency", "how drying and rough it feels", "tannin"),
            Sense("bitterness", "bitterness", "how bitter it is", "bitterness"),
            Sense("colour", "depth of colour", "how deep its colour is", "colour"),
            Sense("sourness", "sourness", "how sour it is"),
            Sense("roundness", "roundness", "how round and soft it feels"),
            Sense("body", "body", "how thick and full it feels"),
            Sense("foam", "foam", "how much foam stands on it"),
            Sense("fat-flavour", "flavour of the fat", "how strongly it tastes of the fat"),
            Sense("top-notes", "top notes", "how much fresh aroma is there"),
            Sense("milkiness", "taste of milk", "how much it tastes of milk"),
        )
    }
)  # fmt: skip
"""What tasters can be asked about. One sense for one trial: a panel cannot judge two at once."""


@dataclass(frozen=True, slots=True)
class Dial:
    """One dial.

    ``low`` and ``high`` bound what may be tried and ``usual`` are three levels of practice, all
    in ``unit``. ``moves`` says for each sense whether more of the dial lowers (-1) or raises
    (+1) it; the first is the sense that a trial asks about unless told otherwise. ``step`` is
    the factor between the levels around a dose. ``shape`` names the curve that the answers are
    fitted to, or is empty where no curve is known. ``needs`` are dials that must be set too.
    """

    id: str
    title: str
    unit: str
    low: float
    high: float
    usual: tuple[float, float, float]
    step: float
    operation: str
    moves: Mapping[str, int]
    control: str
    gives_away: str
    shape: str
    source: str
    needs: Mapping[str, float]


_STRIPPED = "the same drink without milk, thinned with water to the strength of the others"
_UNWASHED = "the same spirit without fat, thinned with water to the strength of the others"
_STRIP_SHOWS = (
    "A stripped drink is paler and clearer than the control. Unless colour is the question, pour "
    "into opaque cups with lids, or taste under coloured light."
)
_FAT_SHOWS = (
    "A film or a haze gives a fat wash away. Strain all cups through the same paper, at the "
    "same cold, and pour into opaque cups."
)
_TANNIN = MappingProxyType(
    {"astringency": -1, "bitterness": -1, "colour": -1, "roundness": 1, "top-notes": -1}
)
_FATTY = MappingProxyType({"fat-flavour": 1, "roundness": 1, "top-notes": -1})
_BY_CASEIN = "casein binds polyphenols: Hasni et al. 2011; Ye et al. 2013 (levels: practice)"
_NONE: Mapping[str, float] = MappingProxyType({})

DIALS: Mapping[str, Dial] = MappingProxyType(
    {
        d.id: d
        for d in (
            Dial("milk-share", "milk share of drink and milk", "%", 0.2, 60.0,
                 (10.0, 20.0, 30.0), 1.6, "strip", _TANNIN, _STRIPPED, _STRIP_SHOWS,
                 "strip", _BY_CASEIN, _NONE),
            Dial("acid-dose", "acid for each litre of milk", "g/L", 0.5, 60.0,
                 (4.0, 6.0, 9.0), 1.5, "strip",
                 MappingProxyType({"sourness": 1, "astringency": -1, "milkiness": -1,
                                   "top-notes": -1}),
                 _STRIPPED,
                 "More acid tastes sharper: tasters may find the cups by that alone. Bring all "
                 "cups to the same acidity after straining if sourness is not the question.",
                 "", "practice (6 g citric acid for each litre of milk)",
                 MappingProxyType({"milk-share": 20.0})),
            Dial("contact-time", "time between milk and straining", "min", 1.0, 4320.0,
                 (5.0, 60.0, 720.0), 5.0, "strip", _TANNIN, _STRIPPED, _STRIP_SHOWS,
                 "", "practice", MappingProxyType({"milk-share": 20.0})),
            Dial("fat-rate", "fat as a share of the spirit by volume", "%", 0.5, 60.0,
                 (8.0, 16.0, 25.0), 1.6, "fat", _FATTY, _UNWASHED, _FAT_SHOWS,
                 "share-out", "shared out between fat and spirit (Chiou 2002; rates: practice)",
                 MappingProxyType({"steep-time": 4.0})),
            Dial("steep-time", "time that the fat steeps in the spirit", "h", 0.1, 336.0,
                 (1.0, 4.0, 24.0), 4.0, "fat", _FATTY, _UNWASHED, _FAT_SHOWS,
                 "run-up", "a first-order run-up is a judgement; times: practice",
                 MappingProxyType({"fat-rate": 15.0})),
            Dial("whey-share", "whey share of drink and whey", "%", 0.5, 70.0,
                 (5.0, 10.0, 20.0), 1.6, "whey",
                 MappingProxyType({"body": 1, "foam": 1, "roundness": 1, "sourness": 1,
                                   "milkiness": 1}),
                 "the same drink without whey, thinned with water to the strength of the others",
                 "Whey may haze the drink: pour into opaque cups unless haze is the question.",
                 "line", "protein and sugar add in proportion (levels: practice)", _NONE),
        )
    }
)  # fmt: skip
"""Every dial that a trial can turn, by its word."""


def _called(kind: str, word: str, known: Mapping[str, object]) -> str:
    plain = str(word).strip().lower().replace("_", "-").replace(" ", "-")
    if plain not in known:
        raise AdvisorError(
            f"trial-{kind}",
            f"{str(word)[:40]!r} is not a {kind} that a trial knows",
            where=kind,
            hint=did_you_mean(plain, known) or f"one of {', '.join(known)}",
        )
    return plain


def dial_called(word: str) -> Dial:
    """A dial by its word; ``AdvisorError`` (``trial-dial``) with the near ones if there is none."""
    return DIALS[_called("dial", word, DIALS)]


def sense_called(word: str) -> Sense:
    """A sense by its word; ``AdvisorError`` (``trial-sense``) if there is none."""
    return SENSES[_called("sense", word, SENSES)]
