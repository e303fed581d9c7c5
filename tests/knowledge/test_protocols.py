"""Protocols in the knowledge base: every fault of a part or a protocol is found at its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from advisor.knowledge.load import check_folders, load
from advisor.knowledge.protocols import CIRCUMSTANCES, QUANTITIES, SHARED, WORKS
from advisor.technique.protocol.build import WORK

if TYPE_CHECKING:
    from pathlib import Path

PART = """\
parts:
  - id: part-ours
    title: Our own filtering
    work: settle
    dials:
      settle: {label: cold stand, unit: h, value: 24, usual: [12, 72], allowed: [1, 336],
               source: [practice]}
      loss: {label: left behind, unit: "%", value: 8, usual: [4, 15], allowed: [0, 60],
             source: [judgement]}
    steps:
      - id: stand
        title: Stand it
        do: Stand {drink} for {settle}.
        wait: settle
        point:
          finding: stand_test
          should: clear above a floor
          bad: {stand_test: white-floor}
          cause: fines-settled
          remedy: rack-off-the-floor
          do: Draw it off.
        source: [practice]
      - id: pour
        title: Pour it
        do: Pour {yield} off.
        after: [stand]
        source: [practice]
"""


def problems(folder: Path, text: str) -> list:
    """The errors that a house file over the shipped base has of its own."""
    (folder / "ours.yaml").write_text(text, encoding="utf-8")
    found = check_folders([folder])[1]
    return [p for p in found if p.severity == "error" and p.where.name.endswith("ours.yaml")]


def test_a_right_part_has_no_fault(tmp_path):
    """A part that says everything it must is taken."""
    assert problems(tmp_path, PART) == []


@pytest.mark.parametrize(
    ("old", "new", "code", "said"),
    [
        ("{drink}", "{drnk}", "unknown-id", "did you mean"),
        ("{drink}", "{drink", "step-braces", "braces"),
        ("wait: settle", "wait: settel", "unknown-id", "settel"),
        ("after: [stand]", "after: [standing]", "unknown-id", "earlier step"),
        ("after: [stand]", "after: [pour]", "unknown-id", "earlier step"),
        ("id: pour", "id: stand", "id-twice", "is there twice"),
        ("value: 24", "value: 999", "dial-range", "allowed"),
        ("unit: h", "unit: hour-glass", "unit-unknown", "hour-glass"),
        ("finding: stand_test", "finding: stand_tst", "unknown-id", "stand_tst"),
        ("white-floor", "white-flor", "unknown-id", "white-flor"),
        ("cause: fines-settled", "cause: fine-settled", "unknown-id", "fine-settled"),
        ("remedy: rack-off-the-floor", "remedy: cover-the-filter", "point-remedy", "cures"),
        ("work: settle", "work: setle", "shape-word", "did you mean"),
        ("work: settle", "work: add", "part-item", "item"),
        (
            "source: [practice]\n      - id",
            "source: [{ref: a-book}]\n      - id",
            "unknown-id",
            "a-book",
        ),
    ],
)
def test_faults_of_a_part(tmp_path, old, new, code, said):
    """Each fault has its code, and the message says what was meant."""
    assert old in PART
    found = problems(tmp_path, PART.replace(old, new, 1))
    assert code in {p.code for p in found}
    assert any(said in f"{p.message} {p.hint}" for p in found)
    assert [str(p) for p in found if not p.where.line] == []


def test_a_technique_without_a_protocol_is_an_error(tmp_path):
    """A house's own technique has to say how it is done."""
    technique = load().techniques["settle-and-filter"]
    text = f"""\
techniques:
  - id: our-way
    title: Our own way
    operations: [settle]
    about: It stands.
    needs: []
    brings: []
    minutes: 5
    wait: 60
    shortest: 30
    does: {{goal_clear: a-little}}
    effects: {dict(technique.effects)}
    because: It falls.
    source: [practice]
"""
    assert {p.code for p in problems(tmp_path, text)} == {"technique-no-protocol"}
    text += """\
protocols:
  - id: protocol-our-way
    technique: our-way
    title: Our own way
    parts: [{part: part-prepare}, {part: part-settle}, {part: part-finish}]
    source: [practice]
"""
    assert problems(tmp_path, text) == []


@pytest.mark.parametrize(
    ("parts", "code"),
    [
        ("[{part: part-nothing}]", "unknown-id"),
        ("[{part: part-strip, dials: {milk_shore: 5}}]", "unknown-id"),
        ("[{part: part-strip, dials: {milk_share: 500}}]", "dial-range"),
        ("[{part: part-strip}, {part: part-strip}]", "part-twice"),
        ("[{part: part-strip, when: {curd: weak}}]", "shape-kind"),
        ("[{part: part-strip, when: 3}]", "shape-kind"),
        ("[{part: part-strip, unless: [never-heard-of]}]", "shape-word"),
        ("[{part: part-strip, when: [never-heard-of]}]", "unknown-id"),
    ],
)
def test_faults_of_a_protocol(tmp_path, parts, code):
    """A part, dial or name that cannot be is found."""
    text = f"""\
protocols:
  - id: protocol-strip
    technique: strip
    title: Ours
    parts: {parts}
    source: [practice]
"""
    assert code in {p.code for p in problems(tmp_path, text)}


def test_every_work_has_its_calculation():
    """What a part may name as its work is worked out, and nothing else is."""
    assert set(WORK) == set(WORKS)


def test_every_shipped_technique_has_a_protocol():
    """Nothing can be chosen that nobody says how to do."""
    base = load()
    assert set(base.techniques) == set(base.protocols)


def test_no_name_is_listed_twice():
    """Circumstances and the quantities of a work are lists without repeats."""
    assert len(set(CIRCUMSTANCES)) == len(CIRCUMSTANCES)
    for names in QUANTITIES.values():
        assert len(set(names)) == len(names)
        assert not set(names) & set(SHARED)


def test_every_circumstance_is_used_or_can_come_up():
    """A circumstance that a shipped text depends on is one that the program knows to set."""
    base = load()
    used = set()
    for part in base.parts.values():
        for step in part.steps:
            used |= {*step.when, *step.unless}
        for dial in part.dials.values():
            for other in dial.choose:
                used |= set(other.when)
    for protocol in base.protocols.values():
        for use in protocol.parts:
            used |= {*use.when, *use.unless}
    assert used <= set(CIRCUMSTANCES)


def test_the_readme_lists_every_work_quantity_and_circumstance():
    """Whoever writes a step finds in knowledge/README.md all that it may name."""
    from pathlib import Path

    text = (Path(__file__).parents[2] / "knowledge" / "README.md").read_text(encoding="utf-8")
    names = {*WORKS, *SHARED, *CIRCUMSTANCES, *(q for qs in QUANTITIES.values() for q in qs)}
    assert [n for n in sorted(names) if f"`{n}`" not in text] == []


def test_every_listed_quantity_is_worked_out():
    """What a text may name is there when the part has done its work, or under its circumstance.

    Quantities that only some circumstances bring are looked for over many briefs.
    """
    from advisor.errors import AdvisorError
    from tests.technique.protocol.briefs import BRIEFS, SPIRIT, made

    base = load()
    briefs = [*BRIEFS.values(), {**SPIRIT, "milk_wanted": "yoghurt"}, {**SPIRIT, "base_acid": 0}]
    found: dict[str, set[str]] = {work: set() for work in WORKS}
    for given in briefs:
        for technique, text in base.protocols.items():
            try:
                protocol = made(given, technique)
            except AdvisorError:
                continue
            for use in text.parts:
                work = base.parts[use.part].work
                scopes = (key.split(".") for key in protocol.quantities if "." in key)
                found[work] |= {name for scope, name in scopes if scope == use.name}
    missing = {w: sorted(set(QUANTITIES[w]) - found[w]) for w in WORKS}
    assert {w: names for w, names in missing.items() if names} == {}
