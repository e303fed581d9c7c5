"""Trial files are read back as written, and refused with every fault and its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.errors import AdvisorError, ProblemsFound
from advisor.technique.trial import Base, plan_trial, read_trial, trial_from, trial_yaml
from advisor.technique.trial.trialfile import mark_of

if TYPE_CHECKING:
    from pathlib import Path

TRIAL = plan_trial("milk-share", tasters=8, base=Base(volume=900, strength=25, kind="black-tea"))
TEXT = trial_yaml(TRIAL)
NAMES = st.text(
    st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1, max_size=12
)


@settings(deadline=None, max_examples=60)
@given(st.lists(NAMES, min_size=6, max_size=7, unique=True), NAMES)
def test_any_name_comes_back(names: list[str], title: str) -> None:
    """Names that look like numbers, dates or YAML stay the names they were."""
    trial = plan_trial("milk-share", tasters=names, title=title)
    assert trial_from(trial_yaml(trial), "x") == trial


def test_a_file_comes_back(tmp_path: Path) -> None:
    """What is saved is what is read."""
    path = tmp_path / "trial.yaml"
    path.write_text(TEXT, encoding="utf-8")
    assert read_trial(path) == TRIAL


def test_the_mark_follows_the_cups_not_the_title() -> None:
    """Renaming a trial keeps its answers valid; other codes do not."""
    renamed = trial_from(TEXT.replace("title: trial", "title: my trial"), "x")
    assert mark_of(renamed) == mark_of(TRIAL)
    assert mark_of(plan_trial("milk-share", tasters=8, seed=2)) != mark_of(TRIAL)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("version: 1", "version: 7", "version 7 of a trial file is not known"),
        ("test: rate", "test: rte", "did you mean rate"),
        ("sense: astringency", "sense: dryness", "is not a sense"),
        ("seed: 1", "sed: 1", "did you mean seed?"),
        ("seed: 1\n", "", "seed is missing"),
        ("repeats: 1", "repeats: true", "repeats must be a whole number"),
        ("cup_ml: 15.0", "cup_ml: 9000", "must be a number from 2 to 200"),
        ("milk-share: 10.0", "milk-share: 0", "is the control"),
        ("milk-share: 10.0", "milk-share: 20.0", "the same as another"),
        ("  control: {}\n", "", "there is no control"),
        ("- milk-share\n", "- milk\n", "is not a dial"),
        (" s1\n", " control\n", "one cup of every sample"),
        ("number: 1\n", "number: 2\n", "must have flights 1 to 1"),
        ("- T8\n", "", "is not one of the tasters"),
        ("strength: 25", "strength: 250", "must lie between 0 and 96"),
        ("milk_kind: whole", "milk_kind: moon", "is no milk"),
        ("alone: false", "alone: true", "alone is for one taster"),
    ],
)
def test_a_damaged_file_says_what_and_where(old: str, new: str, said: str) -> None:
    """Each fault is named with its place in the file."""
    assert old in TEXT
    with pytest.raises(AdvisorError) as caught:
        trial_from(TEXT.replace(old, new), "f.yaml")
    assert said in str(caught.value)
    assert "f.yaml:" in str(caught.value)


def test_codes_that_clash_are_refused() -> None:
    """One code for two samples, a code twice in a flight, and a code that is none."""
    code = TRIAL.flights[0].cups[0].code
    other = TRIAL.flights[0].cups[1].code
    for new, said in ((other, "stands twice in one flight"), ("012", "is not a code"),
                      ("111", "is not a code")):  # fmt: skip
        with pytest.raises(ProblemsFound, match=said):
            trial_from(TEXT.replace(f"- {code} ", f"- {new} "), "x")
    head, flights = TEXT.split("flights:")
    first = flights.replace(code, "???", 1).replace(other, code, 1).replace("???", other, 1)
    with pytest.raises(ProblemsFound, match="stands for"):
        trial_from(f"{head}flights:{first}", "x")


@settings(deadline=None, max_examples=150)
@given(st.integers(0, len(TEXT) - 1), st.integers(0, 40), st.text(max_size=6))
def test_no_damage_ends_in_anything_but_a_reason(at: int, cut: int, put: str) -> None:
    """Any few characters cut and others put in: a trial, or an error for a person."""
    said = "a trial"
    try:
        trial_from(TEXT[:at] + put + TEXT[at + cut :], "x")
    except AdvisorError as error:
        said = error.message
    assert said


@pytest.mark.parametrize("raw", [b"", b"- 1", b"\xff\xfe\x00", b"a: [", b"version: 1", b"5"])
def test_what_is_no_trial_is_refused(raw: bytes) -> None:
    """Empty, foreign and broken files are refused with a reason."""
    with pytest.raises(AdvisorError):
        trial_from(raw, "x")


def test_a_missing_file_is_said(tmp_path: Path) -> None:
    """A file that is not there, a folder, and a name that cannot be."""
    for path in (tmp_path / "no.yaml", tmp_path, "bad\0name"):
        with pytest.raises(AdvisorError, match="cannot be read"):
            read_trial(path)
