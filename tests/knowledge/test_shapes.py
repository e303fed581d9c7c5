"""The shape of a knowledge file: every fault, each at its place, with what was meant."""

from __future__ import annotations

from typing import TYPE_CHECKING

import jsonschema
import pytest

from advisor.knowledge.gather import gather
from advisor.knowledge.shapes import knowledge_schema
from advisor.knowledge.yamlread import read_yaml
from tests.smallbase import FILES

if TYPE_CHECKING:
    from advisor.errors import Problem

SOURCE = "sources:\n  - {id: a-book, title: A book, mark: seen}\n"


def faults(text: str) -> list[Problem]:
    return gather([read_yaml(text, "k.yaml")]).problems


def test_the_schema_is_a_schema() -> None:
    """The schema meets the meta-schema of its draft (jsonschema holds the published one)."""
    jsonschema.Draft202012Validator.check_schema(knowledge_schema())


@pytest.mark.parametrize("name", sorted(FILES))
def test_the_schema_takes_what_is_right(name: str) -> None:
    """Every file of the small base meets the schema."""
    assert faults(FILES[name]) == []


@pytest.mark.parametrize(
    ("text", "code", "place", "said"),
    [
        ("surces: []\n", "shape-unknown-key", "k.yaml:1:1", "did you mean sources"),
        (SOURCE.replace("title", "titel"), "shape-missing-key", "k.yaml:2:5", "title is missing"),
        (
            SOURCE.replace("title", "titel"),
            "shape-unknown-key",
            "k.yaml:2:18",
            "did you mean title?",
        ),
        (SOURCE.replace("seen", "sen"), "shape-word", "k.yaml:2:39", "did you mean seen?"),
        (SOURCE.replace("a-book", "A_Book"), "shape-id", "k.yaml:2:10", "hyphens"),
        (SOURCE.replace("A book", "5"), "shape-kind", "k.yaml:2:25", "must be text, not 5"),
        (SOURCE.replace("A book", '""'), "shape-value", "k.yaml:2:25", "title"),
        (
            SOURCE.replace("mark: seen", "mark: seen, year: 12"),
            "shape-value",
            "k.yaml:2:51",
            "year",
        ),
        ("sources: {}\n", "shape-kind", "k.yaml:1:10", "sources must be a list, not a mapping"),
        ("sources:\n", "shape-kind", "k.yaml:1:9", "sources must be a list, not empty"),
        ("just text\n", "shape-kind", "k.yaml:1:1", "must be a mapping"),
        ("", "shape-kind", "k.yaml", "not empty"),
        ("base: {name: x, version: 1.0}\n", "shape-kind", "k.yaml:1:26", "version must be text"),
        ("base: {name: x, version: one}\n", "shape-id", "k.yaml:1:26", "version"),
    ],
)
def test_each_fault_has_code_place_and_advice(text: str, code: str, place: str, said: str) -> None:
    """A fault of shape is told with its code, its place and what to write instead."""
    found = [p for p in faults(text) if p.code == code]
    assert len(found) == 1, faults(text)
    assert str(found[0].where) == place
    assert said in str(found[0])
    assert found[0].hint


CAUTION = "cautions:\n  - {id: a, level: note, text: A., source: [practice]}\n"
REMEDY = """\
remedies:
  - {id: a, title: A, for: next-batch, stage: acid, cures: {b: usually}, do: It., minutes: 1,
     source: [practice]}
"""
CHOOSING = """\
choosing:
  - id: a
    title: A
    when: {no_dairy: yes}
    then: {forbid: [strip], way_out: Another way.}
    because: It is.
    source: [practice]
    examples: [{given: {no_dairy: yes}, fires: true}, {given: {}, fires: false}]
"""


@pytest.mark.parametrize(
    ("text", "message", "hint"),
    [
        (
            CAUTION.replace(", source: [practice]", ""),
            "source is missing",
            "source: [practice], [judgement] or [{ref: a source, at: the page}]",
        ),
        (CAUTION.replace("[practice]", "[]"), "source is empty", "[practice], [judgement] or"),
        (CAUTION.replace("A.", '""'), "text is empty", "write it"),
        (
            CAUTION.replace("level: note, text: A., ", ""),
            "level and text are missing",
            "level: one of stop, warn, note; text: text",
        ),
        (
            REMEDY.replace("{b: usually}", "{}"),
            "cures is empty",
            "such as {bed-not-formed: usually}",
        ),
        (REMEDY.replace("minutes: 1", "minutes: -1"), "minutes cannot be -1", "of at least 0"),
        (REMEDY.replace("minutes: 1", "minutes: [1]"), "not a list", "a number alone"),
        (CHOOSING.replace(", way_out: Another way.", ""), "way_out goes with forbid", "both"),
        (CHOOSING.replace("[strip]", "[strip, strip]"), "forbid names something twice", "once"),
        (
            CHOOSING.replace(", {given: {}, fires: false}", ""),
            "examples holds 1, and at least 2 are needed",
            "one that fires and one that does not",
        ),
    ],
)
def test_a_fault_of_shape_says_what_to_write(text: str, message: str, hint: str) -> None:
    """What is missing, empty or too small comes with how it is written."""
    (problem,) = faults(text)
    assert message in problem.message
    assert hint in problem.hint


def test_all_faults_at_once() -> None:
    """Every unknown key and every missing one is told in one go, each once."""
    found = faults("sources:\n  - {id: a, foo: 1, bar: 2}\n  - {id: b, title: 7, mark: sen}\n")
    assert sorted((p.code, p.where.line, p.where.column) for p in found) == [
        ("shape-kind", 3, 20),
        ("shape-missing-key", 2, 5),
        ("shape-unknown-key", 2, 13),
        ("shape-unknown-key", 2, 21),
        ("shape-word", 3, 29),
    ]


def test_a_wrong_key_of_a_table_is_placed_at_the_key() -> None:
    """A table's key in the wrong spelling is told at the key, not at the table."""
    text = FILES["causes.yaml"].replace("shows: {gassy: usually}", "shows: {Gassy-Bottle: usually}")
    found = [p for p in faults(text) if p.code == "shape-id"]
    assert [p.where.text[p.where.column - 1 :][:12] for p in found] == ["Gassy-Bottle"]


def test_the_most_telling_fault_of_a_choice_of_shapes() -> None:
    """Where text or a mapping would do, a bad mapping is told for what is wrong inside it."""
    text = FILES["causes.yaml"].replace("{ref: invented-2001, at: p. 7}", "{reff: invented-2001}")
    found = {p.code: str(p) for p in faults(text)}
    assert "did you mean ref?" in found["shape-unknown-key"]
    assert "ref is missing" in found["shape-missing-key"]
