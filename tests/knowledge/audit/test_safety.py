"""What no text may promise, and what no house may take away."""

from __future__ import annotations

import pytest

from advisor.knowledge import load as loading
from advisor.knowledge.audit.promises import promise_in
from advisor.knowledge.load import check_folders
from tests.knowledge.audit.laid import laid_over_small
from tests.smallbase import FILES, write_small

PROMISES = [
    ("Once strained it is milk-free.", "milk-free"),
    ("So the drink is DAIRY FREE.", "dairy free"),
    ("Clear, therefore dairy\n  free", "dairy free"),
    ("An allergen‑free serve", "allergen-free"),
    ("It is now free of all milk.", "free of all milk"),
    ("The liquid contains no dairy.", "contains no dairy"),
    ("It is  safe to serve.", "is safe"),
    ("Safe for every guest", "safe for"),
    ("After a night it becomes safe", "becomes safe"),
    ("The rest is sterile.", "sterile"),
    ("Alcohol sterilises it", "sterilises"),
    ("The acid and the alcohol sterilize the drink.", "sterilize"),
    ("Strong spirit kills all that was in it.", "kills all"),
    ("The wash kills germs", "kills germs"),
    ("A shelf stable drink", "shelf stable"),
    ("Above 20 % it never spoils.", "never spoils"),
    ("There is no risk to anyone.", "no risk to"),
    ("Suitable for people with an allergy.", "suitable for people"),
    # A denial of something else, or a stronger way of saying yes.
    ("No casein is left, so it is dairy free.", "dairy free"),
    ("Casein is not in the drink and it is milk-free.", "milk-free"),
    ("There is no doubt that it is safe to drink.", "is safe"),
    ("It is not only clear but sterile.", "sterile"),
    ("Nothing of the milk stays: dairy-free.", "dairy-free"),
    ('Write "dairy free" on the menu.', "dairy free"),
    ("Tell guests that it is safe to drink.", "is safe"),
    ("Was it strained twice? Then it is milk-free.", "milk-free"),
]
NONE = [
    "Never call it dairy free, milk-free or vegan.",
    "It is not safe for anybody with a milk allergy.",
    "A clear drink isn't sterile.",
    "Guests were told it is dairy free.",
    "Sold as dairy free after it met milk",
    "Words such as clear are read as free of milk.",
    'On the menu it said "dairy free".',
    "Is it dairy free? Is it safe to drink?",
    "Take the dairy-free claim down.",
    "Sterilise the bottles in boiling water.",
    "Rinse, then sterilise the bottle.",
    "Lactose-free milk is milk.",
    "Traces of fat kill the foam; weak alcohol kills slowly.",
    "Keep it in the safe place by the door.",
    "That is a lesser thing than killed.",
    "No nut paste is free of nuts.",
    "A guest who wants a dairy-free drink gets another one.",
    "Nobody may say that it is sterile.",
    "Contains milk: say so.",
]


@pytest.mark.parametrize(("text", "promise"), PROMISES)
def test_a_promise_is_found_as_it_is_written(text, promise) -> None:
    """Whatever the case, the spaces, the dashes and the clause before it."""
    assert promise_in(text) == promise


@pytest.mark.parametrize("text", NONE)
def test_a_promise_that_is_denied_reported_or_asked_about_is_none(text) -> None:
    """To forbid a word it has to be written."""
    assert promise_in(text) == ""


RULE = """\
rules:
  - id: ID
    title: TITLE
    stage: storage
    when: WHEN
    then: THEN
    because: BECAUSE
    source: [practice]
    examples:
      - {given: {gassy: yes, cloudy: yes, bitter: yes, haze_kind: casein}, fires: true}
      - {given: {gassy: no}, fires: false}
"""


def rule(
    name: str = "own",
    when: str = "{gassy: yes}",
    then: str = "{suspect: {gone-off: slight}}",
    title: str = "Own",
    because: str = "It is.",
) -> str:
    """A rule of an overlay."""
    text = RULE.replace("ID", name).replace("WHEN", when).replace("THEN", then)
    return text.replace("TITLE", title).replace("BECAUSE", because)


CAUSE = """\
causes:
  - {id: own-cause, title: Own, stage: milk, prior: rare, operations: [strip],
     because: It is., shows: {bitter: rarely}, source: [practice],
     looks_like: [{cause: too-short, tell: none}]}
"""
REMEDY = """\
remedies:
  - {id: own-remedy, title: Own, for: next-batch, stage: milk, cures: {too-mild: rarely},
     do: Do it., minutes: 1, risks: [{to: safety, text: none}], source: [practice]}
"""


@pytest.mark.parametrize(
    "text",
    [
        rule(title="The rest is dairy free"),
        rule(because="Then it is sterile."),
        CAUSE.replace("title: Own", "title: Now it is milk-free"),
        CAUSE.replace("because: It is.", "because: Alcohol kills all germs."),
        CAUSE.replace("tell: none", "tell: that one is safe to drink"),
        REMEDY.replace("title: Own", "title: Make it sterile"),
        REMEDY.replace("text: none", "text: it is safe for all"),
    ],
)
def test_every_text_is_looked_at(tmp_path, monkeypatch, text) -> None:
    """Titles, reasons, risks and what tells causes apart, at their own lines."""
    problems, lines = laid_over_small(tmp_path, monkeypatch, text)
    (told,) = [p for p in problems if p.code == "text-promises"]
    assert promise_in(lines[told.where.line - 1])


def test_a_denial_in_a_rule_is_no_promise(tmp_path, monkeypatch) -> None:
    """The same words where they are forbidden."""
    text = rule(title="Called dairy free, and it is not", because="Never call it sterile.")
    problems, _ = laid_over_small(tmp_path, monkeypatch, text)
    assert [p for p in problems if p.code == "text-promises"] == []


def softened(tmp_path, monkeypatch, text: str) -> list[str]:
    """The lines at which a house is told that it softened something."""
    problems, lines = laid_over_small(tmp_path, monkeypatch, text)
    assert all(p.severity == "error" for p in problems if p.code == "safety-softened")
    return [lines[p.where.line - 1].strip() for p in problems if p.code == "safety-softened"]


def caution(level: str, name: str = "has-milk") -> str:
    """A shipped caution in other words."""
    return (
        f"cautions:\n  - id: {name}\n    level: {level}\n    text: Milk is in it.\n"
        "    source: [practice]\n"
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (caution("note"), ["level: note"]),
        (caution("warn"), ["level: warn"]),
        (caution("stop"), []),
        (caution("note", "keep-cold"), []),  # it was no stop
        (caution("stop", "keep-cold"), []),
    ],
)
def test_a_stop_caution_is_reworded_and_not_lowered(tmp_path, monkeypatch, text, told) -> None:
    """A house may raise a level and change words."""
    assert softened(tmp_path, monkeypatch, text) == told


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("gas-is-growth", True),  # discards
        ("hot-and-cloudy-stop", True),  # stops
        ("casein-haze-not-warm", True),  # raises a caution of level stop
        ("weak-curd-means-mild", True),  # concludes what that one rests on
        ("cold-is-fine", False),  # clears
        ("very-warm-mix", False),
        ("longer-next", False),
    ],
)
def test_what_protects_is_not_switched_off(tmp_path, monkeypatch, name, told) -> None:
    """Stops, discards, stop cautions and what they rest on stay."""
    line = f"- {{id: {name}, why: we like it so}}"
    found = softened(tmp_path, monkeypatch, f"switch_off:\n  {line}\n")
    assert found == ([line] if told else [])


@pytest.mark.parametrize(
    ("when", "then", "told"),
    [
        ("{gassy: yes}", "{verdict: discard, caution: [keep-cold]}", ""),
        ("{gassy: yes}", "{verdict: discard}", ""),  # keep-cold is no stop
        ("{any: [{gassy: yes}, {bitter: yes}]}", "{conclude: {verdict: discard}}", ""),
        ("{gassy: yes}", "{verdict: stop}", "then"),
        ("{gassy: yes}", "{caution: [keep-cold]}", "then"),
        ("{gassy: yes, cloudy: yes}", "{verdict: discard}", "when"),
        ("{bitter: yes}", "{verdict: discard}", "when"),
    ],
)
def test_a_rule_that_discards_is_kept_or_widened(tmp_path, monkeypatch, when, then, told) -> None:
    """It may fire more often and say more, never less."""
    expected = {"then": [f"then: {then}"], "when": [f"when: {when}"], "": []}[told]
    text = rule("gas-is-growth", when, then)
    assert softened(tmp_path, monkeypatch, text) == expected


@pytest.mark.parametrize(
    ("then", "told"),
    [
        ("{doubt: {too-warm: moderate}, suggest: [add-acid]}", True),
        ("{caution: [has-milk]}", False),
        ("{verdict: stop, caution: [keep-cold, has-milk]}", False),
    ],
)
def test_a_rule_keeps_its_stop_caution(tmp_path, monkeypatch, then, told) -> None:
    """What it suspects may change, what it warns of not."""
    text = rule("casein-haze-not-warm", "{haze_kind: casein}", then)
    assert softened(tmp_path, monkeypatch, text) == ([f"then: {then}"] if told else [])


def test_a_graver_verdict_takes_the_place_of_a_stop(tmp_path, monkeypatch) -> None:
    """Throwing away stops as well."""
    when = "{all: [{temperature: {above: 70}}, {cloudy: yes}]}"
    graver = rule("hot-and-cloudy-stop", when, "{verdict: discard}")
    assert softened(tmp_path, monkeypatch, graver) == []
    narrower = rule("hot-and-cloudy-stop", when.replace("70", "90"), "{verdict: discard}")
    assert softened(tmp_path, monkeypatch, narrower) == [f"when: {when.replace('70', '90')}"]


@pytest.mark.parametrize(("level", "told"), [("stop", True), ("note", False)])
@pytest.mark.parametrize("off", [True, False])
def test_a_check_keeps_its_stop_caution(tmp_path, monkeypatch, level, told, off) -> None:
    """A check that can hurt warns of it."""
    shipped = dict(FILES)
    shipped["base.yaml"] = shipped["base.yaml"].replace(
        "just-so-you-know, level: note", f"just-so-you-know, level: {level}"
    )
    write_small(tmp_path / "shipped", shipped)
    check = FILES["findings.yaml"].partition("checks:\n")[2]
    line = "- {id: drop-test, why: no time}" if off else "- id: drop-test"
    text = "checks:\n" + check.replace("    caution: [just-so-you-know]\n", "")
    if off:
        text = f"switch_off:\n  {line}\n" + CAUSE.replace("own-cause", "too-mild")
    found = softened(tmp_path, monkeypatch, text)
    assert found == ([line] if told else [])


@pytest.mark.parametrize(("closing", "told"), [("", True), (", closing: 4", False)])
def test_a_closing_question_stays_one(tmp_path, monkeypatch, closing, told) -> None:
    """What everybody is asked because it can hurt is asked of everybody."""
    shipped = dict(FILES)
    old = "kind: yes-no, group: symptom,\n     usual: 0.02}"
    assert old in shipped["findings.yaml"]
    shipped["findings.yaml"] = shipped["findings.yaml"].replace(
        old, old.replace("}", ", closing: 1}")
    )
    write_small(tmp_path / "shipped", shipped)
    line = f"- {{id: gassy, label: gas, ask: Gas?, kind: yes-no, group: symptom{closing}}}"
    text = f"findings:\n  {line}\n"
    assert softened(tmp_path, monkeypatch, text) == ([line] if told else [])


def test_of_two_houses_the_last_one_counts(tmp_path, monkeypatch) -> None:
    """One rewords, the next switches off: that is told, and what a house added it may drop."""
    shipped = write_small(tmp_path / "shipped")
    monkeypatch.setattr(loading, "shipped_folder", lambda: shipped)
    rewords = rule("gas-is-growth", "{gassy: yes}", "{verdict: discard}")
    adds = rule("own-stop", "{bitter: yes}", "{verdict: stop}").removeprefix("rules:\n")
    write_small(tmp_path / "a", {"a.yaml": rewords + adds})
    switches = "switch_off:\n  - {id: own-stop, why: no}\n  - {id: gas-is-growth, why: no}\n"
    write_small(tmp_path / "b", {"b.yaml": switches})
    problems = check_folders([tmp_path / "a", tmp_path / "b"])[1]
    told = [p for p in problems if p.code == "safety-softened"]
    assert [(p.where.name[-6:], p.where.line) for p in told] == [("b.yaml", 3)]


def test_what_a_technique_brings_stays_said(tmp_path) -> None:
    """A shipped technique may not lose the milk that it brings, nor have it only at times."""
    house = tmp_path / "house"
    whole = (loading.shipped_folder() / "techniques").glob("*.yaml")
    written = next(t for t in (p.read_text("utf-8") for p in whole) if "- id: strip\n" in t)
    record = "  - id: strip\n" + written.partition("  - id: strip\n")[2].partition("\n  - id:")[0]
    assert "brings: [milk]" in record
    for brings, told in (("[milk]", False), ("[milk, egg]", False), ("[egg]", True), ("[]", True)):
        text = "techniques:\n" + record.replace("brings: [milk]", f"brings: {brings}") + "\n"
        write_small(house, {"house.yaml": text})
        found = [p for p in check_folders([house])[1] if p.code == "safety-softened"]
        assert bool(found) is told, brings
        assert all("brings" in p.where.text for p in found)
