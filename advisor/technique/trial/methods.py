"""The blind tests that a trial can use: what is poured, in which orders, and what is asked."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["TESTS", "BlindTest", "method_called"]


@dataclass(frozen=True, slots=True)
class BlindTest:
    """One test.

    ``kind`` is ``pick`` (cups of one treated sample and of the control, right or wrong),
    ``rank`` or ``rate`` (one cup of everything). ``patterns`` are the serving orders of a
    ``pick``, C for control and T for treated. ``method`` is the word of ``science.tasting`` that
    its answers are judged by; for ``rank`` and ``rate`` that of one sample against the control.
    ``named``: asks about one named sense. ``reference``: an open cup of the control comes first.
    ``picks``: how many codes an answer names.
    """

    id: str
    title: str
    kind: str
    method: str
    patterns: tuple[str, ...]
    picks: int
    named: bool
    reference: bool
    ask: str
    source: str

    @property
    def cups(self) -> int:
        """Coded cups in a flight of a ``pick`` test."""
        return len(self.patterns[0]) if self.patterns else 0


_SIX = ("CCT", "CTC", "TCC", "TTC", "TCT", "CTT")
_FOUR = ("CCTT", "CTCT", "CTTC", "TTCC", "TCTC", "TCCT")

TESTS: Mapping[str, BlindTest] = MappingProxyType(
    {
        t.id: t
        for t in (
            BlindTest("triangle", "triangle test", "pick", "triangle", _SIX, 1, False, False,
                      "Two of these cups are the same, one is different. Which one is different?",
                      "ISO 4120"),
            BlindTest("duo-trio", "duo-trio test", "pick", "duo-trio", ("CT", "TC"), 1, False, True,
                      "The cup marked R comes first. Which one of the two others is the same as R?",
                      "ISO 10399 (constant reference)"),
            BlindTest("tetrad", "tetrad test", "pick", "tetrad", _FOUR, 2, False, False,
                      "Sort these four cups into two pairs of the same. Name one pair.",
                      "Ennis & Jesionka, J. Sens. Stud. 26 (2011) 371 (from memory)"),
            BlindTest("paired", "paired test (2-AFC)", "pick", "paired", ("CT", "TC"), 1, True,
                      False, "Compare the two cups for {sense}: {ask}. Which one has more of it?",
                      "ISO 5495"),
            BlindTest("rank", "ranking", "rank", "paired", (), 0, True, False,
                      "Put all cups in order of {sense}: {ask}. The least comes first.",
                      "ISO 8587"),
            BlindTest("rate", "scores beside a control", "rate", "paired", (), 0, True, True,
                      "Score every cup from 0 (not at all) to 10 (as much as you can imagine): "
                      "{ask}. The cup marked R is the untreated drink; taste it first.",
                      "difference from control with a blind control: Meilgaard, Civille & Carr, "
                      "Sensory Evaluation Techniques (recalled)"),
        )
    }
)  # fmt: skip
"""Every test, by its word."""

_ALSO = {
    "2-afc": "paired", "paired-comparison": "paired", "ranking": "rank", "rating": "rate",
    "friedman": "rank", "page": "rank", "rating-with-control": "rate",
    "difference-from-control": "rate", "duotrio": "duo-trio",
}  # fmt: skip


def method_called(word: str) -> BlindTest:
    """A test by its word, ``2-afc`` and ``ranking`` among them; ``AdvisorError`` if none."""
    plain = str(word).strip().lower().replace("_", "-").replace(" ", "-")
    plain = _ALSO.get(plain, plain)
    if plain not in TESTS:
        raise AdvisorError(
            "trial-test",
            f"{str(word)[:40]!r} is not a test that a trial knows",
            where="test",
            hint=did_you_mean(plain, [*TESTS, *_ALSO]) or f"one of {', '.join(TESTS)}",
        )
    return TESTS[plain]
