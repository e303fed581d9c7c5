"""Seams between the ranges of rules and of outcomes: single numbers, wider holes, overlaps."""

from __future__ import annotations

import pytest

from tests.knowledge.audit.laid import laid_over_small

RULE = """\
  - id: ID
    title: Own
    stage: milk
    when: WHEN
    then: THEN
    because: It is.
    source: [practice]GROUP
    examples:
      - {given: {milk_volume: 7000, cloudy: yes}, fires: true}
      - {given: {cloudy: no}, fires: false}
"""
FOR, AGAINST = "{suspect: {too-short: slight}}", "{doubt: {too-short: strong}}"
SEAMS = {"ranges-gap", "ranges-hole", "ranges-overlap", "outcome-hole", "outcome-missing"}


def rules(*several: tuple[str, str], group: str = "") -> str:
    """Rules of an overlay from their conditions and what follows."""
    return "rules:\n" + "".join(
        RULE.replace("ID", f"own-{n}")
        .replace("WHEN", when)
        .replace("THEN", then)
        .replace("GROUP", f"\n    group: {group}" if group else "")
        for n, (when, then) in enumerate(several)
    )


def seams(tmp_path, monkeypatch, text: str) -> list[tuple[str, str, str]]:
    """Code, severity and line of every seam that is told."""
    problems, lines = laid_over_small(tmp_path, monkeypatch, text)
    return [
        (p.code, p.severity, lines[p.where.line - 1].strip())
        for p in problems
        if p.code in SEAMS
    ]


@pytest.mark.parametrize("group", ["", "own"])
@pytest.mark.parametrize(
    ("one", "two", "code"),
    [
        ("below: 300", "above: 300", "ranges-gap"),
        ("at_most: 300", "above: 300", ""),
        ("at_most: 400", "above: 300", "ranges-overlap"),
        ("above: 100, below: 400", "above: 300", "ranges-overlap"),
        ("above: 300", "above: 350, below: 400", ""),  # an exception
    ],
)
@pytest.mark.parametrize("turned", [False, True])
def test_for_and_against_one_cause_meet_without_a_seam(
    tmp_path, monkeypatch, group, one, two, code, turned
) -> None:
    """Rules that speak for and against one cause are held together with or without a group."""
    when = [f"{{cloudy: yes, milk_volume: {{{bound}}}}}" for bound in (one, two)]
    says = [(when[0], FOR), (when[1], AGAINST)]
    text = rules(*(reversed(says) if turned else says), group=group)
    later = when[0] if turned else when[1]
    expected = [(code, "error", f"when: {later}")] if code else []
    assert seams(tmp_path, monkeypatch, text) == expected


def test_what_says_the_same_or_stands_beside_other_tests_has_no_seam(
    tmp_path, monkeypatch
) -> None:
    """Steps of one suspicion, other causes and other conditions are no split."""
    same = rules(("{milk_volume: {below: 300}}", FOR), ("{milk_volume: {above: 300}}", FOR))
    assert seams(tmp_path, monkeypatch, same) == []
    other = "{doubt: {too-warm: slight}}"
    causes = rules(("{milk_volume: {below: 400}}", FOR), ("{milk_volume: {above: 300}}", other))
    assert seams(tmp_path, monkeypatch, causes) == []
    beside = rules(
        ("{milk_volume: {below: 400}, cloudy: yes}", FOR),
        ("{milk_volume: {above: 300}, cloudy: no}", AGAINST),
    )
    assert seams(tmp_path, monkeypatch, beside) == []


@pytest.mark.parametrize(("group", "told"), [("own", True), ("", False)])
def test_a_hole_between_rules_is_noted_in_a_group(tmp_path, monkeypatch, group, told) -> None:
    """Three rules with one hole: it is told once, with both its ends."""
    text = rules(
        ("{milk_volume: {at_least: 900}}", AGAINST),
        ("{milk_volume: {below: 300}}", FOR),
        ("{milk_volume: {at_least: 300, below: 500}}", "{suspect: {too-short: moderate}}"),
        group=group,
    )
    expected = [("ranges-hole", "note", "when: {milk_volume: {at_least: 300, below: 500}}")]
    assert seams(tmp_path, monkeypatch, text) == (expected if told else [])
    if told:
        problems, _ = laid_over_small(tmp_path, monkeypatch, text)
        (hole,) = [p for p in problems if p.code == "ranges-hole"]
        assert "own-2 ends at 500 and own-0 begins at 900" in hole.message


def test_a_step_inside_another_leaves_no_hole(tmp_path, monkeypatch) -> None:
    """The furthest reach counts, not the range that happens to come before."""
    text = rules(
        ("{milk_volume: {at_most: 900}}", FOR),
        ("{milk_volume: {at_most: 300}}", "{suspect: {too-short: strong}}"),
        ("{milk_volume: {above: 900}}", AGAINST),
        group="own",
    )
    assert seams(tmp_path, monkeypatch, text) == []


def test_a_house_rule_beside_a_shipped_one_is_told_at_its_own_line(tmp_path, monkeypatch) -> None:
    """The shipped rule suspects from 40 degrees on."""
    when = "{temperature: {below: 45}}"
    text = rules((when, "{doubt: {too-warm: slight}}"))
    assert seams(tmp_path, monkeypatch, text) == [("ranges-overlap", "error", f"when: {when}")]


CHECK = """\
findings:
  - {id: own, label: own, ask: What does it say?, kind: KIND}
checks:
  - id: own-check
    title: Own
    finding: own
    level: measure
    minutes: 1
    how: Look.
    outcomes:
OUTCOMES    source: [practice]
"""
NUMBER = "quantity, group: measured, unit: NTU, range: [0, 100]"
WORDS = (
    "choice, group: seen, choices: [{value: a, label: a}, {value: b, label: b},\n"
    "     {value: c, label: c}]"
)


@pytest.mark.parametrize(
    ("tests", "told"),
    [
        (("{below: 10}", "{above: 60}"), [("outcome-hole", 1)]),
        (("{above: 60}", "{at_least: 20, at_most: 30}", "{below: 20}"), [("outcome-hole", 1)]),
        (("{below: 10}", "{at_least: 10}"), []),
        (("{below: 10}", "{above: 10}"), [("ranges-gap", 1)]),
        (("{above: 5, below: 10}", "{at_least: 10}"), [("outcome-missing", None)]),
        (("{at_most: 10}", "{above: 10, below: 99}"), [("outcome-missing", None)]),
        (("{at_least: 0, at_most: 10}", "{above: 10, at_most: 100}"), []),
    ],
)
def test_every_number_of_a_check_has_its_outcome(tmp_path, monkeypatch, tests, told) -> None:
    """A hole in the middle is an error, an end that is left out a note."""
    outcomes = [f"- {{is: {test}, says: s, raises: {{too-warm: slight}}}}" for test in tests]
    text = CHECK.replace("KIND", NUMBER).replace(
        "OUTCOMES", "".join(f"      {o}\n" for o in outcomes)
    )
    expected = [
        (
            code,
            "note" if at is None else "error",
            "outcomes:" if at is None else outcomes[at],
        )
        for code, at in told
    ]
    assert seams(tmp_path, monkeypatch, text) == expected


@pytest.mark.parametrize(
    ("kind", "tests", "missing"),
    [
        (WORDS, ("a", "[b, c]"), ""),
        (WORDS, ("a", "c"), "b"),
        (WORDS, ("b",), "a or c"),
        ("yes-no, group: seen", ("yes",), "no"),
        ("yes-no, group: seen", ("yes", "no"), ""),
    ],
)
def test_every_word_of_a_check_has_its_outcome(tmp_path, monkeypatch, kind, tests, missing) -> None:
    """Each answer that no outcome speaks of is named in a note."""
    outcomes = "".join(
        f"      - {{is: {test}, says: s, raises: {{too-warm: slight}}}}\n" for test in tests
    )
    text = CHECK.replace("KIND", kind).replace("OUTCOMES", outcomes)
    expected = [("outcome-missing", "note", "outcomes:")] if missing else []
    assert seams(tmp_path, monkeypatch, text) == expected
    problems, _ = laid_over_small(tmp_path, monkeypatch, text)
    assert [p for p in problems if p.severity == "error"] == []
    assert all(f"what {missing} means" in p.message for p in problems if p.code in SEAMS)
