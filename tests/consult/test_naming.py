"""A remedy that was tried, as people name it."""

from __future__ import annotations

import pytest

from advisor.consult import Consultation
from advisor.consult.naming import answer_named
from advisor.errors import AdvisorError, shortened, shortened_in
from advisor.knowledge.load import load


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("refreeze-and-cold-paper", "refreeze-and-cold-paper"),
        ("Refreeze and cold_paper", "refreeze-and-cold-paper"),
        ("Freeze it again and strain through cold wet paper", "refreeze-and-cold-paper"),
        ("freeze it again and strain through cold wet paper.", "refreeze-and-cold-paper"),
        ("freeze again through wet paper", "refreeze-and-cold-paper"),
    ],
)
def test_a_remedy_is_known_by_name_title_or_words(said: str, meant: str) -> None:
    """Whoever read a title on the screen can say that it did not help."""
    assert Consultation(load()).failed(said).tried == (meant,)


def test_every_title_names_its_remedy() -> None:
    """No title is taken for another remedy, but for one of the same title."""
    base = load()
    for remedy in base.remedies.values():
        (found,) = Consultation(base).failed(remedy.title).tried
        assert base.remedies[found].title.lower() == remedy.title.lower()


@pytest.mark.parametrize(
    ("said", "hint"),
    [
        ("add-acd-in-steps", "did you mean add-acid-in-steps"),
        ("Freze it again and strane through cold paper", "did you mean refreeze-and-cold-paper"),
        ("acid", "(Finish the split with a little acid)"),
        ("prayer", "curdwise knowledge list remedy"),
        ("", "curdwise knowledge list remedy"),
    ],
)
def test_a_remedy_that_is_none_is_told_with_the_nearest(said: str, hint: str) -> None:
    """And always with the command that lists them."""
    with pytest.raises(AdvisorError) as caught:
        Consultation(load()).failed(said)
    assert caught.value.code == "unknown-remedy"
    assert hint in caught.value.hint
    assert "curdwise knowledge list remedy" in caught.value.hint


@pytest.mark.parametrize(
    ("finding", "said", "meant"),
    [
        ("milk_kind", "semi-skimmed", "two-percent"),
        ("milk_kind", "Semi skimmed milk", "two-percent"),
        ("milk_kind", "2%", "two-percent"),
        ("milk_kind", "2 %", "two-percent"),
        ("milk_kind", "UHT", "long-life"),
        ("milk_kind", "uht milk", "long-life"),
        ("milk_kind", "whole milk", "whole"),
        ("milk_kind", "kefir", "buttermilk"),
        ("milk_kind", "cream", "cream"),
        ("milk_kind", "the usual carton", "whole"),
        ("acid_kind", "citric acid", "citric"),
        ("fat_kind", "coconut", "coconut-oil"),
        ("operation", "milk wash", "strip"),
    ],
)
def test_an_answer_is_known_by_the_words_of_its_label(
    finding: str, said: str, meant: str
) -> None:
    """On the command line and in a case file an answer need not be spelt as the base spells it."""
    assert Consultation(load()).tell(finding, said).answers[finding].value == meant


@pytest.mark.parametrize(
    ("finding", "said"),
    [
        ("milk_kind", "homogenised"),  # the label that has the word denies it
        ("milk_kind", "cow milk"),  # several
        ("milk_kind", "milk"),
        ("milk_kind", "2"),
        ("order", "drink poured milk"),  # another order of the words means another thing
    ],
)
def test_an_answer_that_is_not_plain_is_refused(finding: str, said: str) -> None:
    """Nobody's batch is diagnosed on a guess of what they meant."""
    with pytest.raises(AdvisorError) as caught:
        Consultation(load()).tell(finding, said)
    assert caught.value.code == "unknown-word"


def test_every_answer_means_itself() -> None:
    """Neither its value nor its label is taken for another answer."""
    for finding in load().findings.values():
        for choice in finding.choices:
            assert answer_named(finding, choice.value) == choice.value
            assert answer_named(finding, choice.label) in (choice.value, choice.label)


def test_what_somebody_wrote_is_repeated_short() -> None:
    """The beginning is enough to know it by; what is short stays whole."""
    assert shortened("a" * 60) == "a" * 60
    assert shortened("a" * 61) == "a" * 57 + "..."
    long = "it's \n" * 50
    said = shortened_in(f"there is no {long!r}, {long.strip()} or {'b' * 80}", long, "b")
    assert len(said) < 260
    assert "b" * 80 in said
