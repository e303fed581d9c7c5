"""Reports: the result as data, and the lines a person reads."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.consult import Consultation
from advisor.report.explain import how, how_lines, why, why_lines
from advisor.report.model import in_ten, report_on
from advisor.report.result import RESULT_VERSION, result
from advisor.report.screen import plain_lines
from tests.smallbase import small_base

if TYPE_CHECKING:
    from advisor.knowledge.model import Base

KEYS = {
    "version": int,
    "title": str,
    "invented": bool,
    "verdict": dict,
    "causes": list,
    "explains": dict,
    "together": list,
    "unexplained": list,
    "remedies": list,
    "hold_for": list,
    "fault": str,
    "otherwise": list,
    "cautions": list,
    "figures": list,
    "figures_refused": dict,
    "asked": list,
    "answers": dict,
    "tried": list,
    "rests_on": dict,
    "practice_share": float,
    "knowledge": dict,
    "engine": str,
}
BATCHES: dict[str, dict[str, Any]] = {
    "nothing": {},
    "cause": {
        "cloudy": "yes",
        "operation": "strip",
        "curd": "weak",
        "drink_volume": "600 ml",
        "milk_volume": "about 200 ml",
        "milk_kind": "whole",
    },
    "discard": {"gassy": "yes", "cloudy": "yes"},
    "stop": {"temperature": 90, "cloudy": "yes"},
    "nothing-wrong": {"temperature": 3, "curd": "firm"},
}


def consulted(base: Base, answers: dict[str, Any], *tried: str) -> Consultation:
    made = Consultation(base, backend="reference", title="A batch", invented=True)
    for name, raw in answers.items():
        made = made.tell(name, raw)
    for remedy in tried:
        made = made.failed(remedy)
    return made


def as_json(made: Consultation, **options: Any) -> str:
    return json.dumps(result(made, **options), allow_nan=False)


@pytest.mark.parametrize("name", sorted(BATCHES))
def test_the_result_has_its_keys(small: Base, name: str) -> None:
    """Every result has the same keys with the same kinds of values, ready for JSON."""
    made = consulted(small, BATCHES[name], "add-acid")
    data = json.loads(as_json(made))
    assert data["version"] == RESULT_VERSION
    assert set(data) - {"how", "next_question"} == set(KEYS)
    assert {k: type(data[k]) for k in KEYS if not isinstance(data[k], KEYS[k])} in (
        {},
        {"practice_share": int},
    )
    assert data["verdict"]["kind"] == (name if name != "nothing" else "open")
    assert ("how" in data) is bool(made.advice.verdict.cause)
    assert "how" not in result(made, explain=False)


def test_what_a_remedy_says_as_data(small: Base) -> None:
    """A remedy carries its sentence with the dose filled in, and the dose's figure and interval."""
    data = result(consulted(small, BATCHES["cause"]))
    remedy = data["remedies"][0]
    assert remedy["id"] == "add-acid"
    dose = remedy["dose"][0]
    assert dose["low"] < dose["value"] < dose["high"]
    assert dose["text"] in remedy["do"]
    assert (dose["figure"], dose["unit"]) == ("mix_volume", "mL")
    assert remedy["risks"] == [{"to": "flavour", "text": "sourer"}]
    figure = data["figures"][0]
    assert figure["inputs"] == {
        "drink_ml": "600 ml",
        "milk_ml": "about 200 ml",
        "milk_kind": "whole",
    }
    assert "OIML" in figure["source"]


def test_a_dose_that_is_not_known_is_left_out(small: Base) -> None:
    """Without its figure a remedy is told in the words meant for that, and nothing in braces."""
    data = result(consulted(small, {"cloudy": "yes", "operation": "strip", "curd": "weak"}))
    remedy = data["remedies"][0]
    assert (remedy["do"], remedy["dose"]) == ("Stir in acid, 1 ml per 250 ml.", [])
    assert remedy["expect"] == ""


def test_american_units(small: Base) -> None:
    """Amounts come in the units that were asked for."""
    made = consulted(small, BATCHES["cause"])
    assert "ml" in result(made)["remedies"][0]["do"]
    assert "oz" in result(made, units="us")["remedies"][0]["do"]


def test_the_order_of_a_report(small: Base) -> None:
    """The verdict first, then how to save it, what to change, what else, why, and cautions."""
    told = {"cloudy": "yes", "operation": "strip", "temperature": 45}
    lines = list(plain_lines(report_on(consulted(small, told))))
    assert lines[0] == "A batch  (invented)"
    assert lines[2].startswith("Too little acid")
    headings = [line for line in lines if re.fullmatch(r"[A-Z][A-Z ]+( {3}change: \w+)?", line)]
    assert headings == [
        "SAVE THIS BATCH",
        "NEXT TIME   change: acid",
        "IF THAT FAILS",
        "WHY",
        "SAY AND MIND",
    ]
    assert lines[-1].endswith(f"knowledge 1.0 ({small.hash[:8]})")


def test_a_report_of_a_drink_to_discard(small: Base) -> None:
    """A drink to discard is told so first, with the reason, and never how to save it."""
    text = "\n".join(plain_lines(report_on(consulted(small, BATCHES["discard"]))))
    assert text.index("Discard it") < text.index("WHY IT COMES FIRST") < text.index("SAY AND MIND")
    assert "Gas does not come from milk alone." in text
    assert "SAVE THIS BATCH" not in text


def test_an_open_report_asks(small: Base) -> None:
    """A report without a verdict says what could be and what to answer next."""
    text = "\n".join(plain_lines(report_on(consulted(small, {}))))
    assert "ASK NEXT" in text
    assert "--answer symptoms=" in text


def test_derivations_in_words(small: Base) -> None:
    """How and why name the tests, what was found, the formula and the place of each rule."""
    made = consulted(small, BATCHES["cause"])
    tree = how(made.engine, made.inference, "too-mild")
    text = "\n".join(how_lines(tree))
    assert "curd is weak or none: soft (told)" in text
    assert "mix volume is below 1500" in text
    assert "OIML" in text
    assert "rules.yaml:2:" in text
    reasons = "\n".join(why_lines(why(made.engine, made.inference, made.candidates[0])))
    assert "would put first: Too little acid" in reasons


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


@settings(max_examples=40, deadline=None)
@given(_told, st.sampled_from(["metric", "us"]), st.integers(30, 120))
def test_no_report_breaks(answers: dict[str, Any], units: str, width: int) -> None:
    """Any answers give JSON without NaN, lines within the width, and no figure left in braces."""
    made = consulted(small_base(), answers)
    data = as_json(made, units=units)
    assert not re.search(r"\{[a-z_]+\}", json.dumps(json.loads(data)["remedies"]))
    lines = list(plain_lines(report_on(made, units=units), width))
    assert not re.search(r"[{}]", "\n".join(lines))
    headings = {block.heading for block in report_on(made, units=units).blocks}
    assert all(len(x) <= width or x in headings or " " not in x.strip() for x in lines)
    assert "nan" not in "\n".join(lines).lower().split()


def test_chances_as_people_say_them() -> None:
    """A probability is said as a plain fraction, and a higher one never as a lower."""
    assert [in_ten(p) for p in (0.99, 0.95, 0.9, 0.5, 0.1, 0.05, 0.001)] == [
        "99 in 100",
        "19 in 20",
        "9 in 10",
        "5 in 10",
        "1 in 10",
        "1 in 20",
        "under 1 in 50",
    ]
    said = []
    for step in range(16, 1001):
        text = in_ten(step / 1000)
        if not text.startswith("under"):
            part, whole = text.split(" in ")
            said.append(int(part) / int(whole))
    assert said == sorted(said)
