"""Tables held against counted answers: the arithmetic, what is suggested, and the command."""

from __future__ import annotations

import json
import math
from collections import Counter

import pytest
from scipy.stats import entropy

from advisor.cli import main
from advisor.errors import AdvisorError
from advisor.evaluation.weighing import Picture, divergence, parting, picture_of, weigh
from advisor.knowledge.load import load, load_written
from advisor.knowledge.words import FREQUENCIES


@pytest.fixture(scope="module")
def base():
    return load()


def rows_of(base, picture, written):
    return {row.finding: row for row in weigh(base, written, picture)}


def seen(cause="cream-as-milk", batches=100, **answers):
    return Picture(cause, batches, {f: Counter(counts) for f, counts in answers.items()})


def test_divergence_of_a_worked_example():
    # Kullback S 1959, Information Theory and Statistics, example 2.1, from memory of reprints:
    # P = 9/25, 12/25, 4/25 against even thirds is 0.0852996 nats.
    found = divergence(
        {"a": 9 / 25, "b": 12 / 25, "c": 4 / 25}, dict.fromkeys("abc", 1 / 3)
    )
    assert found * math.log(10) / 10 == pytest.approx(0.0852996, abs=1e-7)


@pytest.mark.parametrize(
    ("model", "table"),
    [((0.9, 0.1), (0.06, 0.94)), ((0.2, 0.3, 0.5), (0.5, 0.3, 0.2)), ((0.25,) * 4, (0.25,) * 4)],
)
def test_divergence_against_a_reference_library(model, table):
    found = divergence(dict(enumerate(model)), dict(enumerate(table)))
    assert found == pytest.approx(10 / math.log(10) * entropy(model, table), abs=1e-9)


def test_a_missing_row_is_suggested_with_the_nearest_word(base):
    picture = seen(curd_floats={"yes": 90, "no": 10})
    row = rows_of(base, picture, {})["curd_floats"]
    assert (row.written, row.known) == ("", 100)
    assert row.better in ("always", "usually")
    assert row.base["yes"] == base.base_rates["curd_floats"]["yes"]
    assert row.apart > 5 > 1 > row.then >= 0


def test_a_row_that_fits_is_left_alone(base):
    row = rows_of(base, seen(curd_floats={"yes": 81, "no": 19}), {"curd_floats": "usually"})
    assert row["curd_floats"].better == "usually"
    assert row["curd_floats"].apart < 0.1


def test_what_is_as_usual_asks_for_no_row(base):
    usual = base.base_rates["torch"]
    picture = seen(torch={answer: round(1000 * share) for answer, share in usual.items()})
    row = rows_of(base, picture, {})["torch"]
    assert row.better == ""
    assert row.apart == pytest.approx(0, abs=0.02)


def test_a_choice_names_only_what_is_unusual(base):
    row = rows_of(base, seen(stand_test={"ring-on-top": 90, "no-change": 10}), {})["stand_test"]
    assert row.better["ring-on-top"] == "always"
    assert "gas-or-film" not in row.better  # seldom usual, and not seen here: nothing to say


def test_answers_too_seldom_known_are_left_out(base):
    assert "curd_floats" not in rows_of(base, seen(curd_floats={"yes": 5, "no": 4}), {})
    assert "curd_floats" not in rows_of(base, seen(batches=1000, curd_floats={"yes": 50}), {})


def test_answers_that_the_base_does_not_know_do_not_count(base):
    row = rows_of(base, seen(curd_floats={"yes": 20, "no": 20, "perhaps": 60}), {})["curd_floats"]
    assert row.known == 40
    assert row.model["yes"] == pytest.approx(0.5, abs=0.01)


def test_the_farthest_apart_comes_first(base):
    picture = seen(
        curd_floats={"yes": 90, "no": 10}, low_yield={"yes": 9, "no": 91}, torch={"even-glow": 70}
    )
    apart = [row.apart for row in weigh(base, {}, picture)]
    assert len(apart) == 3
    assert apart == sorted(apart, reverse=True)


def test_parting_sets_shares_beside_weights(base):
    here = seen("cream-as-milk", low_yield={"yes": 80, "no": 20}, too_sour={"no": 100})
    there = seen("fatty-curd-floats", low_yield={"yes": 8, "no": 92}, too_sour={"no": 100})
    tables = {"cream-as-milk": {}, "fatty-curd-floats": {}}
    found = {(t.finding, t.answer): t for t in parting(base, tables, here, there)}
    assert set(found) == {("low_yield", "yes"), ("low_yield", "no")}  # too_sour parts nothing
    yes = found["low_yield", "yes"]
    assert yes.model == pytest.approx(10, abs=0.3)  # 10 log10(0.8 / 0.08)
    assert yes.base == 0
    tables = {"cream-as-milk": {"low_yield": "usually"}, "fatty-curd-floats": {}}
    yes = next(t for t in parting(base, tables, here, there) if t.answer == "yes")
    assert yes.base == pytest.approx(10 * math.log10(0.8 / base.base_rates["low_yield"]["yes"]))


def test_a_picture_counts_what_batches_show():
    picture = picture_of("acid-short-casein-left", batches=25, seed=5)
    assert 20 <= picture.batches <= 25
    assert all(sum(counts.values()) <= picture.batches for counts in picture.answers.values())
    assert picture.answers["acid_drop"]["flakes"] > picture.batches / 2  # what the check is for
    assert picture == picture_of("acid-short-casein-left", batches=25, seed=5)


def test_a_cause_that_the_model_does_not_know():
    with pytest.raises(AdvisorError, match="no fault"):
        picture_of("no-such-thing", batches=20)


def test_the_command_shows_rows_and_what_would_come_nearer(capsys):
    assert main(["knowledge", "weigh", "acid-short-casein-left", "--batches", "30",
                 "--apart", "0"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("acid-short-casein-left: 30 batches\n")
    assert "dB apart" in out
    assert "(base " in out


def test_the_command_as_json_against_another(capsys):
    assert main(["knowledge", "weigh", "cream-as-milk", "--against", "acid-short-casein-left",
                 "--batches", "30", "--json"]) == 0
    (data,) = json.loads(capsys.readouterr().out)
    assert (data["cause"], data["against"]) == ("cream-as-milk", "acid-short-casein-left")
    kinds = {a["answer"] for a in data["answers"] if a["finding"] == "milk_kind"}
    assert "cream" in kinds


def test_the_command_names_a_cause_it_does_not_know(capsys):
    assert main(["knowledge", "weigh", "cream-as-mlik"]) != 0
    error = capsys.readouterr().err
    assert "there is no cause 'cream-as-mlik'" in error
    assert "cream-as-milk" in error


def test_every_row_written_is_one_the_reader_takes(base):
    """What is suggested can be written down as it stands: its words are those of the tables."""
    _, gathered = load_written()
    known = gathered.section("causes")
    picture = picture_of("weak-milk-curd", batches=30)
    rows = weigh(base, known["weak-milk-curd"].data["shows"], picture)
    assert rows
    for row in rows:
        if isinstance(row.better, dict):
            assert set(row.better) <= set(base.base_rates[row.finding])
            assert set(row.better.values()) <= set(FREQUENCIES)
        elif row.better:
            assert base.findings[row.finding].kind == "yes-no"
            assert row.better in FREQUENCIES


def test_an_outcome_counts_with_the_row_and_once(base):
    """The outcome of a check weighs without a row; a row of the same check adds nothing to it."""
    picture = seen("just-enough-acid-web", acid_drop={"flakes": 95, "nothing": 5})
    silent = rows_of(base, picture, {})["acid_drop"]
    assert "outcome/acid-drop/1" in silent.counted
    assert silent.base["flakes"] > 3 * base.base_rates["acid_drop"]["flakes"]
    weaker = rows_of(base, picture, {"acid_drop": {"flakes": "sometimes"}})["acid_drop"]
    weighs = [
        10 * math.log10(row.base["flakes"] / row.base["nothing"]) for row in (silent, weaker)
    ]
    assert weighs[1] == pytest.approx(weighs[0], abs=1.5)  # the weaker of a group says nothing


def test_what_needs_more_than_the_answer_is_named_and_not_counted(base):
    picture = seen("just-enough-acid-web", milk_temperature={"room": 100})
    row = rows_of(base, picture, {})["milk_temperature"]
    assert "dose-just-at-the-edge" in row.not_counted
    assert row.base == pytest.approx(base.base_rates["milk_temperature"])


@pytest.mark.parametrize("cause", ["just-enough-acid-web", "cream-as-milk", "fat-layer-bottle"])
def test_it_weighs_an_answer_as_the_advisor_would(base, cause):
    """Two answers to one question differ by as much here as in the ledger of a consultation."""
    from advisor.reasoning.answers import Answer
    from advisor.reasoning.infer import infer

    _, gathered = load_written()
    table = gathered.section("causes")[cause].data["shows"]
    looked_at = 0
    for finding in sorted({c.finding for c in base.checks.values()} & set(base.base_rates)):
        rate = base.base_rates[finding]
        picture = seen(cause, **{finding: dict.fromkeys(rate, 50)})
        row = rows_of(base, picture, {f: r for f, r in table.items() if f == finding}).get(finding)
        if row is None or not (row.written or row.counted):
            continue
        looked_at += 1
        mine = {*row.counted, *(f"shows/{finding}={answer}" for answer in rate)}
        beyond = []
        for answer, usual in rate.items():
            entries = infer(base, {finding: Answer(answer)}).ledger(cause)
            told = math.fsum(e.weight for e in entries if e.counted and e.line in mine)
            beyond.append(10 * math.log10(row.base[answer] / usual) - told)
        # One scale for all answers; what is below 0.3 dB gets no line in the ledger.
        assert max(beyond) - min(beyond) < 0.65, finding
    assert looked_at >= 3
