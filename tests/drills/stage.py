"""What the tests of drills share: a small scenario, and a session played to its end."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import lru_cache
from typing import TYPE_CHECKING

from advisor.drills.scenario import scenario_from
from advisor.drills.session import DrillSession
from advisor.knowledge.load import load

if TYPE_CHECKING:
    from advisor.drills.scenario import Scenario

__all__ = ["BEGUN", "ENDED", "TEXT", "played", "scenario", "started"]

BEGUN = datetime(2026, 1, 5, 10, 0, tzinfo=UTC)
ENDED = datetime(2026, 1, 5, 10, 9, tzinfo=UTC)

TEXT = """\
title: Two papers and still milk
invented: true
story: A punch of an invented bar looks like thin milk.
difficulty: easy
topics: [acid]
seen:
  symptoms: [cloud_at_filter]
  operation: strip
  drink_volume: 900 ml
  drink_strength: 22 %
  milk_kind: whole
  milk_volume: 250 ml
  acid_kind: lemon-juice
  acid_volume: 22 ml
hidden:
  strip_ph: {answer: 5.1, within: 0.2}
  acid_drop: flakes
  paper_test: {answer: cloudy-throughout, or: clears-later, chance: 0.2}
  liquid_between_curds: white
  curd_feel: soft-web
  cloud_on_chill: yes
solution:
  verdict: cause
  causes: [acid-short-casein-left]
  accept: [acid-swamped]
  remedies: [add-acid-in-steps]
  doses:
    - {of: lemon juice, from: 6 ml, to: 20 ml}
    - {of: citric acid, from: 0.3 g, to: 0.95 g}
  say: [contains-milk]
  wrong_to_say:
    - {text: It is as good as dairy free., because: Whey protein stays in.}
teaching:
  misconceptions:
    bed-not-formed: Only the first spoonfuls would be cloudy.
"""


@lru_cache(maxsize=1)
def scenario() -> Scenario:
    """The scenario of ``TEXT``."""
    return scenario_from(TEXT, "two-papers.yaml")


def started(**more: object) -> DrillSession:
    """A fresh session on it."""
    return DrillSession(load(), scenario(), BEGUN, **{"learner": "Ann", **more})  # type: ignore[arg-type]


def played(
    ask: tuple[str, ...] = ("liquid_between_curds", "acid-drop"),
    causes: tuple[str, ...] = ("acid-short-casein-left",),
    verdict: str = "cause",
    confidence: float | None = 0.8,
    remedy: str = "add-acid-in-steps",
    dose: str = "12 ml",
    say: tuple[str, ...] = ("contains-milk",),
    **more: object,
) -> DrillSession:
    """A session played to its end; by default everything is right."""
    session = started(**more)
    for name in ask:
        session = session.ask(name)
    session = session.name(verdict, causes, "", confidence).treat(remedy, dose).say(say)
    return session.finish(ENDED)
