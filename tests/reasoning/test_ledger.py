"""The ledger: groups, standing, gain, and agreement with naive Bayes in another library."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.knowledge.words import decibans
from advisor.reasoning.ledger import (
    Entry,
    entropy_bits,
    expected_gain,
    probability_words,
    standings,
    strongest_of_groups,
    to_decibans,
    to_probability,
)
from tests.reasoning.networks import naive_posterior

_weights = st.floats(-30, 30)
_entries = st.lists(
    st.builds(
        lambda cause, line, group, weight: Entry(cause, line, group, weight, weight),
        st.sampled_from("ab"),
        st.sampled_from("xyz"),
        st.sampled_from(("", "g", "h")),
        _weights | st.sampled_from([5.0, -5.0, 10.0]),
    ),
    max_size=10,
)


def _sums(entries: list[Entry]) -> dict[str, float]:
    sums: dict[str, float] = {}
    for entry in strongest_of_groups(entries):
        if entry.counted:
            sums[entry.cause] = sums.get(entry.cause, 0.0) + entry.weight
    return sums


def test_only_the_strongest_of_a_group_counts() -> None:
    """Of one cause and group the strongest counts, for or against; ties go to the first."""
    entries = [
        Entry("a", "1", "g", 5, 5),
        Entry("a", "2", "g", -10, -10),
        Entry("a", "3", "g", 10, 10),
        Entry("b", "3", "g", 2, 2),
        Entry("a", "4", "", 2, 2),
        Entry("a", "5", "", 2, 2),
    ]
    counted = [(e.cause, e.line) for e in strongest_of_groups(entries) if e.counted]
    assert counted == [("a", "2"), ("b", "3"), ("a", "4"), ("a", "5")]


def test_what_counts_is_the_weight_after_doubt() -> None:
    """A heavy line that rests on little gives way to a lighter one that rests on a lot."""
    entries = [Entry("a", "1", "g", 20, 2), Entry("a", "2", "g", 5, 5)]
    assert [e.counted for e in strongest_of_groups(entries)] == [False, True]


@given(_entries)
def test_one_entry_of_each_group_counts(entries: list[Entry]) -> None:
    """Each cause and group has exactly one entry that counts, and nothing is lost or reordered."""
    marked = strongest_of_groups(entries)
    assert [(e.cause, e.line, e.weight) for e in marked] == [
        (e.cause, e.line, e.weight) for e in entries
    ]
    for cause, group in {(e.cause, e.group) for e in entries if e.group}:
        mine = [e for e in marked if (e.cause, e.group) == (cause, group)]
        assert sum(e.counted for e in mine) == 1
    assert all(e.counted for e in marked if not e.group)


@given(_entries, st.sampled_from(("", "g", "h")), st.floats(0, 30), st.integers(0, 10))
def test_more_evidence_for_a_cause_never_lowers_it(
    entries: list[Entry], group: str, weight: float, at: int
) -> None:
    """Adding an entry that speaks for a cause never makes it less likely."""
    priors = {"a": 0.0, "b": -4.0, "c": -8.0}
    before = standings(priors, _sums(entries))["a"]
    more = [*entries[:at], Entry("a", "new", group, weight, weight), *entries[at:]]
    assert standings(priors, _sums(more))["a"] >= before - 1e-12


@given(
    st.dictionaries(st.text(max_size=3), st.floats(-500, 500), min_size=1, max_size=8), st.data()
)
def test_standings_sum_to_one(priors: dict[str, float], data: st.DataObject) -> None:
    """Probabilities sum to one and stay between nothing and one, however heavy the evidence."""
    sums = data.draw(st.dictionaries(st.sampled_from(sorted(priors)), st.floats(-500, 500)))
    found = standings(priors, sums)
    assert math.isclose(math.fsum(found.values()), 1.0, abs_tol=1e-9)
    assert all(0.0 <= p <= 1.0 for p in found.values())


def test_no_causes_no_standing() -> None:
    """Without causes there is nothing to stand."""
    assert standings({}, {}) == {}


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.floats(0.05, 1.0), min_size=2, max_size=5),
    st.lists(st.lists(st.floats(0.01, 0.99), min_size=5, max_size=5), min_size=1, max_size=4),
)
def test_standing_is_naive_bayes(raw: list[float], tables: list[list[float]]) -> None:
    """Priors and likelihoods added up in decibans give the posterior that pgmpy gives."""
    prior = [p / sum(raw) for p in raw]
    under = [table[: len(prior)] for table in tables]
    # pgmpy rejects priors that do not sum to one to the last digits.
    prior[-1] = 1.0 - sum(prior[:-1])
    wanted = naive_posterior(prior, under)
    names = [str(i) for i in range(len(prior))]
    sums = {n: sum(decibans(table[i]) for table in under) for i, n in enumerate(names)}
    found = standings({n: decibans(p) for n, p in zip(names, prior, strict=True)}, sums)
    assert list(found.values()) == pytest.approx(wanted, abs=1e-9)


@given(st.floats(1e-9, 1 - 1e-9))
def test_odds_and_back(probability: float) -> None:
    """A probability survives the way to decibans and back."""
    assert to_probability(to_decibans(probability)) == pytest.approx(probability, rel=1e-6)


@given(st.lists(st.floats(0.01, 1.0), min_size=2, max_size=6), st.data())
def test_information_is_never_negative_nor_more_than_there_is(
    raw: list[float], data: st.DataObject
) -> None:
    """A question tells between nothing and everything that is still open (Shannon 1948)."""
    prior = {str(i): p / sum(raw) for i, p in enumerate(raw)}
    likelihood = {}
    for cause in prior:
        chance = data.draw(st.floats(0, 1))
        likelihood[cause] = {"yes": chance, "no": 1 - chance}
    gain = expected_gain(prior, likelihood)
    assert 0.0 <= gain <= min(entropy_bits(prior.values()), 1.0) + 1e-9


def test_information_of_plain_cases() -> None:
    """A question that splits four equal causes in two tells one bit; one that does not, none."""
    prior = dict.fromkeys("abcd", 0.25)
    halves = {c: {"yes": float(c in "ab"), "no": float(c in "cd")} for c in prior}
    assert expected_gain(prior, halves) == pytest.approx(1.0)
    same = {c: {"yes": 0.3, "no": 0.7} for c in prior}
    assert expected_gain(prior, same) == pytest.approx(0.0, abs=1e-12)


def test_words_for_probabilities_rise() -> None:
    """Every probability has a word, and the words change in one direction only."""
    words = list(dict.fromkeys(probability_words(i / 1000) for i in range(1001)))
    assert words[0] == "very unlikely"
    assert words[-1] == "almost certain"
    assert len(words) == 7
