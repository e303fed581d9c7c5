"""What stands behind a condition: questions, figures and conclusions that it waits for."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product

import pytest

from advisor.knowledge.audit.asking import Asking
from advisor.knowledge.audit.book import Book, books
from advisor.knowledge.audit.reach import Reach
from advisor.knowledge.conditions import InRange, Is, Known
from advisor.knowledge.load import load
from advisor.knowledge.model import Choice, Finding
from tests.knowledge.audit.laid import laid_over_small

ASKED = "  - {id: ID, label: ID, ask: Is it ID?, kind: yes-no, group: seen, ask_when: WHEN}\n"
KEYS = ("a", "b", "c", "d")


def findings(**waiting: str) -> str:
    """Questions that are asked only when."""
    return "findings:\n" + "".join(
        ASKED.replace("ID", name).replace("WHEN", when) for name, when in waiting.items()
    )


def rule(when: str, fires: str, then: str = "{suspect: {too-warm: slight}}") -> str:
    """A rule of an overlay."""
    return f"""\
rules:
  - id: own-rule
    title: Own
    stage: milk
    when: {when}
    then: {then}
    because: It is.
    source: [practice]
    examples:
      - {{given: {fires}, fires: true}}
      - {{given: {{gassy: no}}, fires: false}}
"""


def found(tmp_path, monkeypatch, text: str) -> list[tuple[str, str]]:
    """Code and line of every error that a house file over the small base gives."""
    problems, lines = laid_over_small(tmp_path, monkeypatch, text)
    return [
        (p.code, lines[p.where.line - 1].strip()) for p in problems if p.severity == "error"
    ]


def test_questions_that_wait_for_each_other_never_come_up(tmp_path, monkeypatch) -> None:
    """A ring of three, of which each is asked only after the one before it."""
    text = findings(ring_one="{ring_two: yes}", ring_two="{ring_three: known}",
                    ring_three="{ring_one: [yes, no]}")
    text += rule("{ring_one: yes}", "{ring_one: yes}")
    told = found(tmp_path, monkeypatch, text)
    assert [code for code, _ in told].count("finding-never-asked") == 3
    assert ("rule-unreachable", "when: {ring_one: yes}") in told


def test_a_ring_with_a_way_in_is_none(tmp_path, monkeypatch) -> None:
    """One of them is asked on another ground as well, so all can come up."""
    text = findings(ring_one="{any: [{ring_two: yes}, {gassy: yes}]}", ring_two="{ring_one: yes}")
    text += rule("{ring_one: yes, ring_two: yes}", "{ring_one: yes, ring_two: yes}")
    assert found(tmp_path, monkeypatch, text) == []


def test_a_question_may_wait_for_what_is_not_known(tmp_path, monkeypatch) -> None:
    """That something is missing needs no question before."""
    text = findings(own="{own_two: missing}", own_two="{own: yes}")
    text += rule("{own: yes, own_two: yes}", "{own: yes, own_two: yes}")
    assert [code for code, _ in found(tmp_path, monkeypatch, text)] == []


@pytest.mark.parametrize(
    ("when", "never"), [("{haze_kind: fat}", False), ("{haze_kind: casein}", True)]
)
def test_a_question_behind_a_conclusion_that_rests_on_it(
    tmp_path, monkeypatch, when, never
) -> None:
    """The only rule that concludes the one word needs the answer; the other word stands free."""
    text = findings(own=when)
    text += rule("{own: yes}", "{own: yes}", "{conclude: {haze_kind: casein}}")
    text += rule(
        "{temperature: {above: 99}}", "{temperature: 100}", "{suspect: {too-warm: slight}}"
    ).replace("own-rule", "weak-curd-means-mild").removeprefix("rules:\n")
    told = [code for code, _ in found(tmp_path, monkeypatch, text)]
    assert ("finding-never-asked" in told) is never
    assert ("rule-unreachable" in told) is never


DEEP = findings(
    fat_one="{operation: fat-wash}", fat_two="{fat_one: yes}", fat_three="{fat_two: no}"
)


@pytest.mark.parametrize(
    ("operation", "lost"), [("strip", True), ("fat-wash", False), ("several", True)]
)
def test_a_question_three_steps_behind_another_operation(
    tmp_path, monkeypatch, operation, lost
) -> None:
    """Each step is followed to what it waits for in the end."""
    when = f"{{fat_three: yes, operation: {operation}}}"
    told = found(tmp_path, monkeypatch, DEEP + rule(when, when))
    assert told == ([("rule-not-asked", f"when: {when}")] if lost else [])


FIGURE = """\
figures:
  - id: own_mix
    label: own mix
    calculation: batch.mix_volume
    inputs: {drink_ml: own_drink, milk_ml: milk_volume, milk_kind: milk_kind}
    needs: [own_drink, milk_volume]
"""
DRINK = """\
findings:
  - {id: own_drink, label: own drink, ask: How much?, kind: quantity, group: batch, unit: mL,
     range: [1, 900], ask_when: {operation: fat-wash}}
"""
READING = """\
  - {id: own_reading, label: own reading, ask: How much?, kind: quantity, group: measured, unit: mL,
     range: [1, 900], measures: own_mix}
"""


@pytest.mark.parametrize("reading", ["", READING])
@pytest.mark.parametrize("operation", ["strip", "fat-wash"])
def test_a_figure_is_there_where_it_can_be_worked_out_or_read(
    tmp_path, monkeypatch, reading, operation
) -> None:
    """What it needs is asked after fat washes only; a reading stands in anywhere."""
    when = f"{{own_mix: {{above: 20}}, operation: {operation}}}"
    fires = f"{{own_mix: 30, operation: {operation}}}"
    told = found(tmp_path, monkeypatch, DRINK + reading + FIGURE + rule(when, fires))
    lost = operation == "strip" and not reading
    assert told == ([("rule-not-asked", f"when: {when}")] if lost else [])


def test_a_conclusion_that_another_operation_draws(tmp_path, monkeypatch) -> None:
    """Casein is only concluded from a curd, and a curd is only asked about after a strip."""
    when = "{haze_kind: casein, operation: fat-wash}"
    assert found(tmp_path, monkeypatch, rule(when, when)) == [
        ("rule-not-asked", f"when: {when}")
    ]
    other = when.replace("casein", "fat")
    assert found(tmp_path, monkeypatch, rule(other, other)) == []


@pytest.mark.parametrize(("operation", "lost"), [("strip", True), ("fat-wash", False)])
def test_a_remedy_or_a_question_that_waits_for_what_is_never_known(
    tmp_path, monkeypatch, operation, lost
) -> None:
    """A remedy for strips that needs an answer about fat washes is offered to nobody."""
    when = f"{{fat_two: yes, operation: {operation}}}"
    remedy = (
        "remedies:\n  - {id: own, title: Own, for: this-batch, stage: milk,\n"
        f"     cures: {{too-warm: usually}}, do: Own., minutes: 1, source: [practice],\n"
        f"     when: {when}}}\n"
    )
    asked = ASKED.replace("ID", "fat_four").replace("WHEN", when)
    text = DEEP + asked + remedy + rule("{fat_four: yes}", "{fat_four: yes}")
    told = [code for code, _ in found(tmp_path, monkeypatch, text)]
    assert ("remedy-unreachable" in told) is lost
    assert ("finding-never-asked" in told) is lost


@pytest.mark.parametrize("test", ["known", "{not: fat}"])
def test_conclusions_that_rest_on_each_other_however_they_are_tested(
    tmp_path, monkeypatch, test
) -> None:
    """That another conclusion is known at all is a ground as good as its word, and as circular."""
    text = """\
findings:
  - {id: own, label: own, ask: Not asked., kind: choice, group: derived, asked: false,
     choices: [{value: a, label: a}, {value: b, label: b}]}
"""
    text += rule(f"{{haze_kind: {test}}}", "{haze_kind: casein}", "{conclude: {own: a}}")
    back = rule("{own: known}", "{own: a}", "{conclude: {haze_kind: casein}}")
    text += back.replace("own-rule", "own-back").removeprefix("rules:\n")
    told = [code for code, _ in found(tmp_path, monkeypatch, text)]
    assert told == ["rule-circular"]


@pytest.mark.parametrize("seed", range(8))
def test_whatever_can_be_answered_is_held_to_be_possible(small, seed) -> None:
    """On random questions that wait for each other, every set of answers is tried."""
    rng = random.Random(seed)
    yes_no = (Choice("yes", "yes"), Choice("no", "no"))

    def some_tests() -> tuple[Is | Known, ...]:
        keys = rng.sample(KEYS, rng.randint(1, 2))
        return tuple(
            Known(k) if rng.random() < 0.2 else Is(k, (rng.choice(("yes", "no")),)) for k in keys
        )

    clashed = 0
    for _ in range(60):
        asked = {
            key: Finding(
                key, key, key, "yes-no", yes_no,
                ask_when=tuple(some_tests() for _ in range(rng.choice((0, 0, 1, 2)))),
            )
            for key in KEYS
        }
        book = Book("rules", {}, asked, {})
        reach, asking = Reach.of(book), Asking(book)
        batches = []
        for answers in product(("", "yes", "no"), repeat=len(KEYS)):
            known = {k: v for k, v in zip(KEYS, answers, strict=True) if v}

            def holds(option, known=known) -> bool:
                return all(t.key in known and t.holds_word(known[t.key]) for t in option)

            # What was asked was asked in some order: from nothing, each where its turn had come.
            come: dict[str, str] = {}
            while len(come) < len(known):
                new = {
                    k: v
                    for k, v in known.items()
                    if k not in come
                    and (
                        not asked[k].ask_when
                        or any(
                            all(t.key in come and t.holds_word(come[t.key]) for t in o)
                            for o in asked[k].ask_when
                        )
                    )
                }
                if not new:
                    break
                come.update(new)
            if len(come) == len(known):
                batches.append(holds)
        for _ in range(10):
            tests = tuple({t.key: t for t in (*some_tests(), *some_tests())}.values())
            seen = any(holds(tests) for holds in batches)
            excluded = reach.blocking(tests) is not None or asking.clash(tests) is not None
            assert not (seen and excluded), (asked, tests)
            clashed += excluded
    assert clashed > 20


def test_the_shipped_base_is_followed_to_the_end_and_fits() -> None:
    """No shipped rule needs what is never known with the rest of it, and no step is cut short."""
    base = load()
    for book in books(base):
        asking = Asking(book)
        for each in book.rules.values():
            for option in each.when:
                assert asking.clash(option) is None, each.id


def test_a_condition_is_not_followed_without_end(small) -> None:
    """Where there are very many ways it is taken as possible rather than tried for ever."""
    yes_no = (Choice("yes", "yes"), Choice("no", "no"))
    asked = {"end": Finding("end", "end", "end", "yes-no", yes_no)}
    for n in range(40):
        before = [f"q{n - 1}", f"q{n - 2}"] if n > 1 else ["end"]
        asked[f"q{n}"] = Finding(
            f"q{n}", "q", "q", "yes-no", yes_no,
            ask_when=tuple((Is(k, ("yes",)), Is("end", ("no",))) for k in before),
        )
    book = Book("rules", {}, asked, {})
    told = Asking(book).clash((Is("q39", ("yes",)), Is("end", ("yes",))))
    assert told is None or told.key == "q39"


def test_numbers_are_held_against_what_a_question_waits_for(small) -> None:
    """A question for large amounts is not asked where the amount is small."""
    asked = dict(small.findings)
    big = replace(asked["bitter"], id="big", ask_when=((InRange("drink_volume", 500, None),),))
    asked["big"] = big
    asking = Asking(replace(books(small)[0], findings=asked))
    small_batch = InRange("drink_volume", None, 400)
    clash = asking.clash((Is("big", ("yes",)), small_batch))
    assert clash is not None
    assert clash.key == "big"
    assert asking.clash((Is("big", ("yes",)), InRange("drink_volume", None, 600))) is None
