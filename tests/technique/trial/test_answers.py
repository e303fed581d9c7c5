"""Answers: from YAML and CSV alike, and every fault of a taster or a typist is caught."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.errors import AdvisorError, ProblemsFound
from advisor.technique.trial import Answer, answers_from, answers_yaml, plan_trial
from advisor.technique.trial.answers import checked
from tests.technique.trial.panels import answers_of

RATE = plan_trial("milk-share", tasters=6)
RANK = plan_trial("milk-share", tasters=6, test="rank")
PICK = plan_trial("milk-share", [20], tasters=6, test="triangle")
TETRAD = plan_trial("milk-share", [20], tasters=6, test="tetrad")


@pytest.mark.parametrize("trial", [RATE, RANK, PICK, TETRAD], ids=lambda t: t.test)
@pytest.mark.parametrize("seed", [1, 2])
def test_answers_come_back_from_their_file(trial: object, seed: int) -> None:
    """What is saved is what is read, for every kind of test."""
    said = answers_of(trial, lambda s: 5 - s.get("milk-share", 0) / 10, seed)  # type: ignore[arg-type]
    assert answers_from(trial, answers_yaml(trial, said), "a.yaml") == tuple(said)  # type: ignore[arg-type]


def test_a_table_says_the_same_as_yaml() -> None:
    """CSV with commas, semicolons or tabs, ranks tied or not, reads like YAML."""
    codes = RANK.flights[0].codes
    for cut in ",;\t":
        rows = [cut.join(("Taster", "Flight", "Code", "Rank"))]
        rows += [cut.join(("T1", "1", code, rank)) for code, rank in
                 zip(codes, ("2.5", "1", "2.5", "4"), strict=True)]  # fmt: skip
        (answer,) = answers_from(RANK, "\n".join(rows), "table.CSV")
        assert answer.ranked == ((codes[1],), (codes[0], codes[2]), (codes[3],))
    pair = TETRAD.flights[0].codes[:2]
    (picked,) = answers_from(TETRAD, f"taster,flight,picked\nT1,1,{pair[0]} {pair[1]}", "a.csv")
    assert picked.picked == pair


@pytest.mark.parametrize(
    ("ranks", "good"),
    [
        ("1 2 3 4", True), ("4 1 2 3", True), ("1 1 3 4", True), ("1 1 2 3", True),
        ("1.5 1.5 3 4", True), ("2.5 2.5 2.5 2.5", True), ("1 1 1 1", True),
        ("0 1 2 3", False), ("2 3 4 5", False), ("1 2 3 5", False), ("1.5 2 3 4", False),
    ],
)  # fmt: skip
def test_ranks_run_from_one(ranks: str, good: bool) -> None:
    """A rank that cannot be is a slip of the typist, and would be taken for an answer (the ways
    to write ties are common practice, no source)."""
    rows = "\n".join(
        f"T1,1,{code},{rank}"
        for code, rank in zip(RANK.flights[0].codes, ranks.split(), strict=True)
    )
    text = f"taster,flight,code,rank\n{rows}"
    if good:
        assert len(answers_from(RANK, text, "a.csv")) == 1
        return
    with pytest.raises(ProblemsFound, match="run from 1"):
        answers_from(RANK, text, "a.csv")


def test_a_taster_is_known_in_small_letters() -> None:
    """t1 is T1 where no other is meant, in a table and in YAML."""
    code = PICK.flights[0].codes[0]
    for text, name in (
        (f"taster,flight,picked\nt1,1,{code}", "a.csv"),
        (f"answers: [{{taster: t1, flight: 1, picked: {code}}}]", "a.yaml"),
    ):
        assert answers_from(PICK, text, name) == (Answer("T1", 1, picked=(code,)),)
    two = plan_trial("milk-share", [20], tasters=["Ann", "ANN", "Bo"], test="triangle")
    with pytest.raises(ProblemsFound, match="nobody is called"):
        answers_from(two, f"taster,flight,picked\nann,1,{two.flights[0].codes[0]}", "a.csv")


def test_numbers_for_codes_are_read_as_codes() -> None:
    """A typist who leaves out quotation marks is understood."""
    code = PICK.flights[0].codes[0]
    text = f"answers: [{{taster: T1, flight: 1, picked: {code}}}]"
    assert answers_from(PICK, text, "a.yaml") == (Answer("T1", 1, picked=(code,)),)


@pytest.mark.parametrize("mark", ["01234567", "12e45678", "77272687"])
def test_a_mark_or_a_taster_of_digits_alone_is_read_as_written(
    mark: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Some trials have such a mark, and a panel may number its tasters."""
    monkeypatch.setattr("advisor.technique.trial.answers.mark_of", lambda trial: mark)
    trial = plan_trial("milk-share", [20], tasters=["007", "008", "009"], test="triangle")
    code = trial.flights[0].codes[0]
    text = f"trial: {mark}\nanswers: [{{taster: 007, flight: 1, picked: {code}}}]"
    assert answers_from(trial, text, "a.yaml") == (Answer("007", 1, picked=(code,)),)
    with pytest.raises(ProblemsFound, match="belong to trial"):
        answers_from(trial, text.replace(mark, "1"), "a.yaml")


A, B, C, D = RATE.flights[0].codes
FULL = f"{A}: 1, {B}: 2, {C}: 3, {D}: 4"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (f"answers: [{{taster: T9, flight: 1, scored: {{{FULL}}}}}]", "nobody is called 'T9'"),
        (f"answers: [{{taster: T1, flight: 2, scored: {{{FULL}}}}}]", "has flights 1 to 1, not 2"),
        (f"answers: [{{taster: T1, scored: {{{A}: 1}}}}]", "nothing is said of"),
        (f"answers: [{{taster: T1, scored: {{{FULL}, 999: 3}}}}]", "is not in flight 1"),
        (f"answers: [{{taster: T1, scored: {{{FULL.replace('4', '11')}}}}}]", "run from 0 to 10"),
        (f"answers: [{{taster: T1, scored: {{{FULL.replace(': 4', ': 1.234')}}}}}]", "decimals"),
        (f"answers: [{{taster: T1, scored: {{{FULL.replace(': 4', ': much')}}}}}]", "to a number"),
        (f"answers: [{{taster: T1, picked: {A}}}]", "says what was scored"),
        ("answers: [{taster: T1, picked: [[1]]}]", "a code is three digits"),
        ("answers: [3]", "an answer is a mapping"),
        ("answers: [{flight: 1}]", "taster is missing"),
        ("answers: [{taster: T1, flight: one}]", "flight must be a whole number"),
        ("answers: [{taster: T1, score: 3}]", "did you mean scored"),
        ("answers: []\ntrail: x", "did you mean trial?"),
        ("answers: []\ntrial: 00000000", "belong to trial"),
        ("version: 9\nanswers: []", "version 9 of an answer file"),
        (f"answers: [{{taster: T1, scored: {{{FULL}}}}}, {{taster: T1, scored: {{{FULL}}}}}]",
         "answers flight 1 again"),
    ],
)  # fmt: skip
def test_faulty_answers_are_refused(text: str, said: str) -> None:
    """Unknown codes and people, gaps, doubles and foreign trials are said with their line."""
    with pytest.raises(ProblemsFound) as caught:
        answers_from(RATE, text, "a.yaml")
    assert said in str(caught.value)
    assert "a.yaml:" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty"),
        ("taster,flight,score\nT1,1,3", "column 'code' is missing"),
        ("taster,taster,flight,code,score", "same name"),
        (f"taster,flight,code,score\nT1,1,{A},x", "score must be a number"),
        (f"taster,flight,code,score\nT1,1,{A},nan", "score must be a number"),
        (f"taster,flight,code,score\nT1,one,{A},3", "flight must be a whole number"),
        (f"taster,flight,code,score\nT1,1,{A}", "3 cells where the first line has 4"),
        (f"taster,flight,code,score\nT1,1,{A},3\nT1,1,{A},4", "stands twice"),
        (b"\xff\xfe", "not UTF-8"),
        ('a,"b', "cannot be read"),
    ],
)
def test_faulty_tables_are_refused(text: str | bytes, said: str) -> None:
    """The same for tables."""
    with pytest.raises(AdvisorError) as caught:
        answers_from(RATE, text, "a.csv")
    assert said in str(caught.value)


def test_a_cup_ranked_twice_is_refused() -> None:
    """A ranking names every cup once."""
    a, b, c, _ = RANK.flights[0].codes
    with pytest.raises(ProblemsFound, match="named twice"):
        checked(RANK, [Answer("T1", 1, ranked=((a,), (b,), (c,), (a,)))])


def test_answers_in_any_order_are_the_same_answers() -> None:
    """Answers are put in the order of the flights."""
    said = answers_of(PICK, lambda s: 0.0)
    assert checked(PICK, reversed(said)) == tuple(said)


@settings(deadline=None, max_examples=100)
@given(st.binary(max_size=120) | st.text(max_size=120), st.sampled_from(["a.yaml", "a.csv"]))
def test_rubbish_is_refused_with_a_reason(raw: bytes | str, name: str) -> None:
    """Whatever is given: answers, or an error for a person."""
    said = "answers"
    try:
        answers_from(RATE, raw, name)
    except AdvisorError as error:
        said = error.message
    assert said
