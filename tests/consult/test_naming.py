"""A remedy that was tried, as people name it."""

from __future__ import annotations

import pytest

from advisor.consult import Consultation
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


def test_what_somebody_wrote_is_repeated_short() -> None:
    """The beginning is enough to know it by; what is short stays whole."""
    assert shortened("a" * 60) == "a" * 60
    assert shortened("a" * 61) == "a" * 57 + "..."
    long = "it's \n" * 50
    said = shortened_in(f"there is no {long!r}, {long.strip()} or {'b' * 80}", long, "b")
    assert len(said) < 260
    assert "b" * 80 in said
