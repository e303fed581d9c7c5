"""Explanations on demand: as data that fits its schema, and as short plain lines."""

from __future__ import annotations

import doctest
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import advisor
from advisor.consult import Consultation
from advisor.errors import AdvisorError
from advisor.knowledge.load import load
from advisor.knowledge.model import BRACES
from advisor.report.explanationlines import explanation_blocks
from advisor.report.explanations import explanations
from advisor.report.explanationwords import odds_words, ordinal
from advisor.report.model import Block, Line
from advisor.report.namings import condition_words, value_words
from advisor.report.result import result
from advisor.report.resultshape import result_schema
from advisor.report.screen import plain_blocks
from advisor.report.wanted import Wanted
from tests.smallbase import small_base

if TYPE_CHECKING:
    from advisor.knowledge.model import Base

CLOUDY: dict[str, Any] = {"cloudy": "yes", "operation": "strip", "curd": "weak"}
VOLUMES: dict[str, Any] = {"drink_volume": "600 ml", "milk_volume": "200 ml", "milk_kind": "whole"}
EVERYTHING = Wanted(
    why_not=("too-warm", "too-mild"),
    rather=(("too-mild", "too-warm"), ("gone-off", "too-mild")),
    what_changes=True,
    what_if=(("temperature", "70 C"),),
    without_practice=True,
)
DEMO = sorted((Path(__file__).parents[2] / "scenarios_demo").glob("*.yaml"))


def consulted(base: Base, **answers: object) -> Consultation:
    made = Consultation(base, backend="reference")
    for name, raw in answers.items():
        made = made.tell(name, raw)
    return made


def said(made: Consultation, wanted: Wanted, width: int = 80, units: str = "metric") -> str:
    blocks = explanation_blocks(explanations(made, wanted, units=units))
    return "\n".join(plain_blocks(blocks, width)).strip()


def test_the_library_example_is_so() -> None:
    """The few lines at the head of the package work as printed."""
    failed, tried = doctest.testmod(advisor)
    assert (failed, tried) == (0, 5)


def test_only_what_is_wanted_is_there(small: Base) -> None:
    """A result has explanations only when they are asked for, and only those."""
    made = consulted(small, **CLOUDY)
    assert "explanations" not in result(made)
    assert "explanations" not in result(made, wanted=Wanted())
    data = result(made, wanted=Wanted(why_not=("too-warm",), without_practice=True))
    assert set(data["explanations"]) == {"why_not", "without_practice"}


def test_every_explanation_fits_the_schema(small: Base) -> None:
    """A program can read each of them by the schema of results."""
    for answers in ({}, CLOUDY, {**CLOUDY, **VOLUMES}, {"gassy": "yes"}):
        data = result(consulted(small, **answers), wanted=EVERYTHING)
        jsonschema.validate(json.loads(json.dumps(data, allow_nan=False)), result_schema())
        assert set(data["explanations"]) == {
            "why_not",
            "rather",
            "what_changes",
            "what_if",
            "without_practice",
        }


def test_the_schema_refuses_another_key(small: Base) -> None:
    """The schema holds the explanations to what is documented."""
    data = result(consulted(small, **CLOUDY), wanted=EVERYTHING)
    data["explanations"]["why_not"][0]["perhaps"] = 1
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(json.loads(json.dumps(data)), result_schema())


@pytest.mark.parametrize("path", [DEMO[0], DEMO[14], DEMO[18]], ids=lambda p: p.stem)
def test_the_explanations_of_a_demo_case(path: Path) -> None:
    """On the shipped knowledge each explanation fits the schema, and every line the screen."""
    made = Consultation.from_case(load(), path)
    one, two = [c for c in made.inference.ranked if c in made.base.causes][:2]
    wanted = Wanted((two,), ((one, two),), True, (("cloud_after_days", "yes"),), True)
    data = result(made, wanted=wanted)
    jsonschema.validate(json.loads(json.dumps(data, allow_nan=False)), result_schema())
    lines = list(plain_blocks(explanation_blocks(data["explanations"])))
    assert all(len(line) <= 80 for line in lines)
    headings = [line for line in lines if line and not line.startswith(" ")]
    assert headings == [
        "WHY NOT",
        "THIS RATHER THAN THAT",
        "WHAT WOULD CHANGE THIS",
        "WHAT IF",
        "WITHOUT COMMON PRACTICE",
    ]


def test_why_not_in_words(small: Base) -> None:
    """The place, number and word; what speaks against it; the rule, its condition and what was
    found instead; and what could still raise it."""
    text = said(consulted(small, **CLOUDY, temperature=30), Wanted(why_not=("too-warm",)))
    assert "Mixed too warm. It stands 2nd: unlikely, " in text
    assert "First of 5 is too little acid: very likely, " in text
    assert "- moderate  how often it is met" in text
    assert "The mix was warm (moderate)\n      here: 30 °C" in text
    cold = said(consulted(small, **CLOUDY), Wanted(why_not=("too-warm",)))
    assert "Temperature of the drink: from 60 °C to 80 °C. It would be" in cold
    assert "and put it first" in cold


def test_why_not_what_stands_first(small: Base) -> None:
    """Asked why not the cause that stands first, it says that this one does."""
    text = said(consulted(small, **CLOUDY), Wanted(why_not=("too-mild",)))
    assert "Too little acid. It is what stands first: very likely, " in text


def test_rather_in_three_lines(small: Base) -> None:
    """What speaks for the first, what for the second, and what would turn it round."""
    text = said(consulted(small, **CLOUDY), Wanted(rather=(("too-mild", "too-warm"),)))
    lines = text.replace("\n  ", " ").replace("  ", " ")
    assert "Too little acid, rather than mixed too warm." in lines
    # 4 + 3.01 + 3.33 decibans: 10 to the 1.034
    assert "about 11 to 1" in lines
    assert "For the first: how often it is met (moderate); what the curd looks like: soft" in lines
    assert "For the second: nothing." in lines
    assert "It would turn round with temperature of the drink: from 60 °C to 80 °C." in lines
    other = said(consulted(small, **CLOUDY), Wanted(rather=(("too-warm", "too-mild"),)))
    assert "It is the other way round" in other


def test_what_changes_in_words(small: Base) -> None:
    """Each flip says what would have to be found, how likely that is, and what then follows."""
    text = said(consulted(small, **CLOUDY), Wanted(what_changes=True)).replace("\n", " ")
    text = re.sub(r" +", " ", text)
    assert "Now: Too little acid: very likely, " in text
    assert "To try first: add a little acid." in text
    assert "Temperature of the drink: from 60 °C to 80 °C [chance " in text
    assert "Then mixed too warm: more likely than anything else, " in text
    assert "Gas in the bottle: yes [chance " in text
    assert "Then: discard it: do not serve it" in text
    assert "answers that were tried one by one would change it" in text


def test_what_changes_says_when_nothing_would(small: Base) -> None:
    """Where no answer flips the advice that is said, with how many were tried."""
    made = consulted(small, gassy="yes", cloudy="yes").what_changes()
    assert [f for f in made.flips if f.was is None] == []
    text = said(consulted(small, gassy="yes"), Wanted(what_changes=True))
    assert "No single answer would change it: " in text
    assert "That stands whatever the cause is." in text


def test_what_if_in_words(small: Base) -> None:
    """What was supposed, what was said, and the advice before and after."""
    made = consulted(small, **CLOUDY, **VOLUMES)
    wanted = Wanted(what_if=(("milk_volume", "2 l"), ("temperature", "70 C")))
    text = said(made, wanted)
    assert "How much milk: 2 litres (now: 200 ml)" in text
    assert "Then: Mixed too warm: " in text
    assert "No longer said: Contains milk: say so." in text
    assert re.search(r"Volume of the mix: about 2\.60\d* litres .*\(now: about 80\d", text)
    same = said(made, Wanted(what_if=(("curd", "weak"),)))
    assert "That is what was said already." in same
    assert "Nothing would change" in same


def test_what_if_names_what_it_sets_aside(small: Base) -> None:
    """Answers that the change rules out are named in words."""
    text = said(consulted(small, **CLOUDY), Wanted(what_if=(("operation", "fat-wash"),)))
    assert "Set aside, because it would not be asked then: what the curd looks like." in text


def test_without_practice_in_words(small: Base) -> None:
    """Whether the advice stands, on how much, and that cautions hold whatever they rest on."""
    stands = said(consulted(small, **CLOUDY), Wanted(without_practice=True))
    assert "None of the weight behind too little acid rests on practice" in stands
    assert "The advice stands: Too little acid: " in stands
    assert "The remedy to try first is common practice itself." in stands
    falls = said(consulted(small, cloudy="yes", temperature=65), Wanted(without_practice=True))
    assert "With all: Mixed too warm" in falls
    assert "All of the weight behind mixed too warm rests on" in falls
    assert "With what is published: Too little acid: very likely, " in falls
    assert "+ strong    The mix was hot" in falls
    assert "Cautions hold whatever they rest on." in falls


def test_a_stop_holds_though_it_rests_on_practice(small: Base) -> None:
    """A stop that judgement alone says is told to hold all the same."""
    made = consulted(small, cloudy="yes", temperature=90)
    data = explanations(made, Wanted(without_practice=True))["without_practice"]
    assert (data["before"]["verdict"], data["stands"]) == ("stop", False)
    text = said(made, Wanted(without_practice=True)).replace("\n  ", " ")
    assert "it holds all the same: stop: go no further" in text


def test_american_units(small: Base) -> None:
    """Amounts come in the units that were asked for."""
    made = consulted(small, **CLOUDY, **VOLUMES)
    wanted = Wanted(what_if=(("milk_volume", "300 ml"),))
    assert "oz" in said(made, wanted, units="us")
    assert "oz" not in said(made, wanted)


def test_names_that_do_not_exist_are_refused(small: Base) -> None:
    """A cause or an answer that is not known ends in an error that a person can act on."""
    made = consulted(small, **CLOUDY)
    for wanted in (
        Wanted(why_not=("warmth of heart",)),
        Wanted(rather=(("too-mild", "nobody"),)),
        Wanted(what_if=(("curdd", "weak"),)),
    ):
        with pytest.raises(AdvisorError):
            explanations(made, wanted)


def test_odds_and_places_as_people_say_them() -> None:
    """Decibans become plain odds (20 decibans are 100 to 1), a rank becomes a place."""
    said = [odds_words(x) for x in (0.0, 3.0103, 10.0, 20.0, 26.43, 30.0)]
    assert said == [
        "about even",
        "about 2 to 1",
        "about 10 to 1",
        "about 100 to 1",
        "about 440 to 1",
        "more than 1000 to 1",
    ]
    places = [ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 111, 122)]
    assert " ".join(places) == "1st 2nd 3rd 4th 11th 12th 13th 21st 111th 122nd"


def test_a_number_never_parts_from_its_percent_sign() -> None:
    """However narrow the screen, no line begins with a percent sign, and the text stays plain."""
    text = "a word or two and then 12 % of it, or 3 %, or as much as 100 % of all that there is"
    for width in range(12, 90):
        lines = list(plain_blocks([Block("", (Line(text),))], width))[1:]
        assert not any(line.lstrip().startswith("%") for line in lines)
        assert " ".join(line.strip() for line in lines) == text


def test_conditions_in_words(small: Base) -> None:
    """A condition is told by the labels that a person was asked with, numbers with their unit."""
    tests = [t for line in small.rules.values() for option in line.when for t in option]
    words = {condition_words(small, t) for t in tests}
    assert "what the curd looks like: soft or nothing" in words
    assert "temperature of the drink: at least 40 °C" in words
    assert "volume of the mix: below 1.5 litre" in {w.rstrip("s") for w in words}
    assert value_words(small, "curd", "unknown") == "not known"


_told = st.fixed_dictionaries(
    {},
    optional={
        "cloudy": st.sampled_from(["yes", "no", "unknown"]),
        "bitter": st.sampled_from(["yes", "no"]),
        "gassy": st.sampled_from(["yes", "no", "not-now"]),
        "operation": st.sampled_from(["strip", "fat-wash", "several"]),
        "curd": st.sampled_from(["firm", "weak", "none", "unknown"]),
        "drink_volume": st.floats(1, 20000),
        "milk_volume": st.floats(1, 20000),
        "milk_kind": st.sampled_from(["whole", "skim"]),
        "mix_reading": st.floats(1, 40000),
        "temperature": st.floats(-10, 100),
        "drop_test": st.sampled_from(["flakes", "clear"]),
    },
)


@settings(max_examples=30, deadline=None)
@given(
    _told,
    st.sampled_from([*small_base().causes, "not-listed"]),
    st.sampled_from([*small_base().causes, "not-listed"]),
    st.sampled_from(["metric", "us"]),
    st.integers(40, 120),
)
def test_no_explanation_breaks(
    answers: dict[str, Any], one: str, other: str, units: str, width: int
) -> None:
    """Any answers give JSON without NaN that fits the schema, and lines within the width that
    name neither NaN nor a figure in braces nor an id with an underscore."""
    made = consulted(small_base(), **answers)
    wanted = Wanted((one,), ((one, other),), True, (("temperature", "55"),), True)
    data = result(made, units=units, wanted=wanted)
    jsonschema.validate(json.loads(json.dumps(data, allow_nan=False)), result_schema())
    text = said(made, wanted, width, units)
    assert all(len(line) <= width or " " not in line.strip() for line in text.splitlines()[1:])
    assert not BRACES.search(text)
    assert not re.search(r"\bnan\b|\binf\b|None\b(?! of the weight)|_", text)
