"""What is written twice, helps nobody, answers what is asked, or is never used."""

from __future__ import annotations

import pytest

from advisor.knowledge.load import check_folders
from tests.knowledge.audit.laid import laid_over_small


def told(tmp_path, monkeypatch, text: str, *codes: str) -> list[tuple[str, str, str]]:
    """Code, severity and line of what is found of these codes."""
    problems, lines = laid_over_small(tmp_path, monkeypatch, text)
    assert all(p.where.name.endswith("house.yaml") for p in problems if p.code in codes)
    return [
        (p.code, p.severity, lines[p.where.line - 1].strip()) for p in problems if p.code in codes
    ]


FINDING = "findings:\n  - {id: own, label: LABEL, ask: ASK, kind: yes-no, group: seen}\n"
REMEDY = """\
remedies:
  - id: own
    title: Own
    for: FOR
    stage: milk
    cures: {too-mild: rarely}
    do: DO
    minutes: 1
    source: [practice]
"""
CHECK = """\
checks:
  - id: own
    title: Own
    finding: curd
    level: look
    minutes: 1
    how: HOW
    outcomes:
      - {is: [firm, weak, none], says: nothing, raises: {too-warm: slight}}
    source: [practice]
"""
CAUSE = """\
causes:
  - id: own
    title: TITLE
    stage: milk
    prior: rare
    operations: [strip]
    because: It is.
    shows: {bitter: usually, gassy: usually}
    source: [practice]
"""
CAUTION = "cautions:\n  - id: own\n    level: stop\n    text: TEXT\n    source: [practice]\n"


def own_finding(label: str, ask: str) -> str:
    """A question of a house."""
    return FINDING.replace("LABEL", label).replace("ASK", ask)


TWICE = [
    (own_finding("still bitter", "is it still  bitter"), "- {id: own,"),
    (REMEDY.replace("FOR", "next-batch").replace("DO", "USE more acid"), "do: USE"),
    (CHECK.replace("HOW", "Stir a drop of lemon juice  into a spoonful"), "how: Stir"),
    (CAUSE.replace("TITLE", "Too little Acid"), "title: Too"),
    (CAUTION.replace("TEXT", '"contains milk:  say so"'), "text:"),
]
ONCE = [
    own_finding("still bitter", "Is it bitter at all?"),
    own_finding("bitter at all", "Is it still bitter?"),
    REMEDY.replace("FOR", "this-batch").replace("DO", "Use more acid."),
    CHECK.replace("HOW", "Stir two drops of lemon juice into a spoonful."),
    CAUSE.replace("TITLE", "Too little acid by far"),
    CAUTION.replace("TEXT", "Contains whey - say so."),
]


@pytest.mark.parametrize(("text", "line"), TWICE)
def test_the_same_words_twice_are_told(tmp_path, monkeypatch, text, line) -> None:
    """Whatever the case, the spaces and the full stop; at the house's own line."""
    ((code, severity, at),) = told(tmp_path, monkeypatch, text, "same-wording")
    assert (code, severity) == ("same-wording", "error")
    assert at.startswith(line)


@pytest.mark.parametrize("text", ONCE)
def test_other_words_are_no_copy(tmp_path, monkeypatch, text) -> None:
    """One word of difference is one; so is what it is for."""
    assert told(tmp_path, monkeypatch, text, "same-wording") == []


def test_a_shipped_record_in_new_words_is_told_at_the_house(tmp_path, monkeypatch) -> None:
    """The shipped one that it repeats stands after it."""
    text = "cautions:\n  - {id: has-milk, level: stop, text: Keep it in the fridge,\n"
    text += "     source: [practice]}\n"
    line = "- {id: has-milk, level: stop, text: Keep it in the fridge,"
    assert told(tmp_path, monkeypatch, text, "same-wording") == [("same-wording", "error", line)]


HELP = """\
remedies:
  - {id: own-help, title: Help, for: next-batch, stage: milk, do: Help it., minutes: 1,
     cures: {own: usually, too-warm: rarely}, source: [practice], when: WHEN}
"""
NO_HELP = [
    ("{operation: fat-wash}", True),  # the cause belongs to strips
    ("{operation: [fat-wash, several]}", False),  # several may hold a strip
    ("{operation: several, bitter: yes}", False),
    ("{bitter: yes}", False),
    ("{any: [{operation: fat-wash}, {bitter: yes}]}", False),
    ("{temperature: {above: 100}}", True),
    ("{operation: strip, curd: known}", False),
]


@pytest.mark.parametrize(("when", "lost"), NO_HELP)
def test_a_remedy_that_is_not_offered_where_the_cause_is_helps_nobody(
    tmp_path, monkeypatch, when, lost
) -> None:
    """A cause of strips whose only remedy is for fat washes has none."""
    text = CAUSE.replace("TITLE", "Own") + HELP.replace("WHEN", when)
    found = told(tmp_path, monkeypatch, text, "cause-no-remedy")
    assert found == ([("cause-no-remedy", "error", "- id: own")] if lost else [])


def test_a_question_about_other_operations_is_no_way_to_a_remedy(tmp_path, monkeypatch) -> None:
    """The curd is asked about after strips only, so no fat wash is helped by what rests on it."""
    cause = CAUSE.replace("TITLE", "Own")
    remedy = HELP.replace("WHEN", "{curd: weak}")
    assert told(tmp_path, monkeypatch, cause + remedy, "cause-no-remedy") == []
    fat = cause.replace("[strip]", "[fat-wash]")
    asked = """\
findings:
  - id: curd
    label: what the curd looks like
    ask: What did the milk do?
    kind: choice
    group: seen
    choices: [{value: firm, label: grains}, {value: weak, label: soft}, {value: none, label: none}]
    ask_when: {operation: strip}
"""
    found = told(tmp_path, monkeypatch, fat + remedy + asked, "cause-no-remedy")
    assert found == [("cause-no-remedy", "error", "- id: own")]


@pytest.mark.parametrize(("word", "lost"), [("never", True), ("rarely", False)])
def test_what_never_cures_is_no_remedy(tmp_path, monkeypatch, word, lost) -> None:
    """Told where the house took the cure away from a shipped cause."""
    line = f"cures: {{too-short: {word}, too-mild: rarely}}"
    text = REMEDY.replace("FOR", "next-batch").replace("DO", "Wait for it.")
    text = text.replace("id: own", "id: longer-next").replace("cures: {too-mild: rarely}", line)
    text += text.removeprefix("remedies:\n").replace("longer-next", "second-pass").replace(
        "next-batch", "this-batch"
    )
    found = told(tmp_path, monkeypatch, text, "cause-no-remedy")
    assert found == ([("cause-no-remedy", "error", line)] if lost else [])


RULE = """\
rules:
  - id: own
    title: Own
    stage: milk
    when: WHEN
    then: THEN
    because: It is.
    source: [practice]
    examples:
      - {given: {curd: weak, gassy: yes, haze_kind: fat, operation: strip}, fires: true}
      - {given: {gassy: no}, fires: false}
"""
AGAINST = [
    ("{curd: weak}", "{conclude: {curd: none}}", "conclusion-against-answer", "error"),
    ("{curd: {not: none}}", "{conclude: {curd: firm}}", "conclusion-against-answer", "error"),
    ("{haze_kind: fat}", "{conclude: {haze_kind: casein}}", "conclusion-against-answer", "error"),
    (
        "{any: [{gassy: yes}, {curd: firm}]}",
        "{conclude: {curd: weak}}",
        "conclusion-against-answer",
        "error",
    ),
    ("{curd: weak}", "{conclude: {bitter: yes}}", "conclusion-asked", "error"),  # a symptom
    ("{gassy: yes}", "{conclude: {curd: none}}", "conclusion-asked", "note"),
    ("{curd: unknown}", "{conclude: {curd: none}}", "conclusion-asked", "note"),
    ("{gassy: yes}", "{conclude: {haze_kind: fat}}", "", ""),
    ("{gassy: yes}", "{verdict: stop}", "", ""),
]


@pytest.mark.parametrize(("when", "then", "code", "severity"), AGAINST)
def test_a_conclusion_is_not_an_answer(tmp_path, monkeypatch, when, then, code, severity) -> None:
    """What is asked is for people to answer, and what is tested is not turned round."""
    text = RULE.replace("WHEN", when).replace("THEN", then)
    found = told(tmp_path, monkeypatch, text, "conclusion-against-answer", "conclusion-asked")
    assert found == ([(code, severity, f"then: {then}")] if code else [])


FIGURE = """\
figures:
  - id: own_FIG
    label: own
    calculation: batch.mix_volume
    inputs: {drink_ml: FED, milk_ml: milk_volume, milk_kind: milk_kind}
    needs: [FED, milk_volume, milk_kind]
"""


def test_a_figure_that_nothing_uses_is_noted(tmp_path, monkeypatch) -> None:
    """One that feeds another is used; the last of the row is not."""
    first = FIGURE.replace("FIG", "one").replace("FED", "drink_volume")
    second = FIGURE.replace("FIG", "two").replace("FED", "own_one").removeprefix("figures:\n")
    found = told(tmp_path, monkeypatch, first + second, "figure-unused")
    assert found == [("figure-unused", "note", "- id: own_two")]
    named = REMEDY.replace("FOR", "this-batch").replace("DO", '"Stir {own_two} in."')
    named = named.replace("    minutes: 1\n", "    minutes: 1\n    otherwise: Stir it in.\n")
    assert told(tmp_path, monkeypatch, first + second + named, "figure-unused") == []


def test_a_figure_that_stands_in_for_another_is_used(tmp_path, monkeypatch) -> None:
    """A corrected reading counts through what it replaces."""
    text = FIGURE.replace("FIG", "one").replace("FED", "drink_volume")
    text += "    measures: mix_volume\n"
    assert told(tmp_path, monkeypatch, text, "figure-unused") == []


def test_the_shipped_base_has_no_error() -> None:
    """Every check that there is, on the base that is shipped."""
    base, problems = check_folders([])
    assert base is not None
    assert [str(p) for p in problems if p.severity == "error"] == []
