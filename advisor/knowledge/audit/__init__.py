"""Checks over a whole base that was built: what can never serve, and what is missing.

Every check has a code. What a code means, why it matters and how to mend it stands on a
page of its own (``curdwise knowledge explain CODE``).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.knowledge.audit.between import between_problems
from advisor.knowledge.audit.book import books
from advisor.knowledge.audit.branches import branch_problems
from advisor.knowledge.audit.causes import cause_problems
from advisor.knowledge.audit.evidence import evidence_problems
from advisor.knowledge.audit.examples import example_holds, example_problems
from advisor.knowledge.audit.places import Places
from advisor.knowledge.audit.ranges import outcome_problems, range_problems
from advisor.knowledge.audit.reach import Reach, reach_problems
from advisor.knowledge.audit.softened import softened_problems
from advisor.knowledge.audit.twice import twice_problems
from advisor.knowledge.audit.use import use_problems

if TYPE_CHECKING:
    from collections.abc import Collection

    from advisor.errors import Problem
    from advisor.knowledge.audit.book import Book
    from advisor.knowledge.gather import Gathered
    from advisor.knowledge.model import Base

__all__ = ["FAMILIES", "audit", "audit_part", "example_holds"]


# The checks of the diagnosis by what they look at, for tools that change one thing at a time.
FAMILIES = ("examples", "reach", "between", "ranges", "causes", "evidence", "use")


def audit(base: Base, gathered: Gathered | None = None) -> list[Problem]:
    """Every problem and note, in no particular order.

    With the gathered files at hand each has the place of the very word that is wrong;
    without them that of its record.
    """
    places = Places(base, gathered)
    diagnosis, *others = books(base)
    problems = audit_part(base, places, FAMILIES)
    problems += branch_problems(base, diagnosis, places)
    problems += softened_problems(base, gathered)
    for book in others:
        problems += _of_book(base, book, places, FAMILIES)
        problems += branch_problems(base, book, places)
    return problems


def audit_part(
    base: Base, places: Places, families: Collection[str], only: str = ""
) -> list[Problem]:
    """What the named families of checks find in the diagnosis.

    With ``only`` one rule is looked at where rules are looked at one by one or in pairs.
    """
    book = books(base)[0]
    problems = _of_book(base, book, places, families, only)
    if "causes" in families:
        problems += cause_problems(base, book, places, Reach.of(book))
        problems += outcome_problems(base, places)
    if "evidence" in families:
        problems += evidence_problems(base, places)
    if "use" in families:
        problems += use_problems(base, places)
        problems += twice_problems(base, places)
    return problems


def _of_book(
    base: Base, book: Book, places: Places, families: Collection[str], only: str = ""
) -> list[Problem]:
    problems: list[Problem] = []
    if "examples" in families:
        problems += example_problems(book, places)
    if "reach" in families:
        problems += reach_problems(base, book, places, Reach.of(book), only)
    if "between" in families:
        problems += between_problems(book, places, only)
    if "ranges" in families:
        problems += range_problems(book, places)
    return problems
