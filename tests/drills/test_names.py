"""Names are tidied the same way everywhere, and what cannot be kept is told."""

from __future__ import annotations

import pytest

from advisor.drills.names import alike, read_name
from advisor.errors import AdvisorError


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("Ann", "Ann"),
        ("  Ann \t B\n", "Ann B"),
        ("Ann\u00a0B\u2028C", "Ann B C"),
        ("Zoe\u0308", "Zo\u00eb"),
        ("'007", "'007"),
        ("\u0645\u06cc\u200c\u062e", "\u0645\u06cc\u200c\u062e"),  # a joiner is part of the word
        ("x" * 200, "x" * 200),
    ],
)
def test_a_name_is_one_line_in_one_form(written, name):
    """Spaces, tabs, line breaks and the two ways to write an accent make no other person."""
    assert read_name(written) == name


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("", "is empty"),
        (" \t\n", "is empty"),
        ("x" * 201, "201 characters"),
        ("A\x1b[31mnn", r"'\\x1b' stands in"),
        ("A\x9bnn", r"'\\x9b' stands in"),
        ("A\x00", r"'\\x00' stands in"),
        ("A\u202enn", r"'\\u202e' stands in"),
        ("\udc80", r"'\\udc80' stands in"),
    ],
)
def test_what_cannot_be_kept_is_told_with_its_place(written, said):
    """And what a terminal would act on is not printed."""
    with pytest.raises(AdvisorError, match=said) as refused:
        read_name(written, where="--learner")
    assert str(refused.value).startswith("--learner: ")
    assert str(refused.value).replace("\n", " ").isprintable()


def test_a_class_may_have_no_name():
    """Whoever practises alone is in none."""
    assert read_name(" ", "class", empty=True) == ""


def test_names_that_are_nearly_the_same_are_found():
    """Capitals and accents; a different name is another person."""
    names = ["Ann", "ann", "Anna", "Zoe", "Zo\u00eb", "Bo", "Bo"]
    assert alike(names) == [("Ann", "ann"), ("Zoe", "Zo\u00eb")]
