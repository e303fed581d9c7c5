"""The demo cases of the fictional training bar come out as they say."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from advisor.cli.schema import schema_text, schemas
from advisor.consult import Consultation, read_case
from advisor.knowledge.load import load
from advisor.report.model import report_on
from advisor.report.result import result
from advisor.report.screen import plain_lines

DEMO = Path(__file__).parent.parent / "scenarios_demo"
CASES = sorted(DEMO.glob("*.yaml"))


def consult(path: Path) -> Consultation:
    """A consultation on a demo case."""
    return Consultation.from_case(load(), path)


def test_there_are_enough_of_them():
    """A newcomer finds at least fifteen cases to try."""
    assert len(CASES) >= 15


@pytest.mark.parametrize("path", CASES, ids=lambda p: p.stem)
def test_a_demo_case_comes_out_as_it_expects(path):
    """Each case names the cause, stage or verdict that it was written to show."""
    case = read_case(path)
    assert case.invented, "demo data says that it is invented"
    consultation = consult(path)
    verdict = consultation.advice.verdict
    expect = dict(case.expect)
    told = [
        (c, round(consultation.inference.standing[c], 3)) for c in consultation.inference.ranked[:5]
    ]
    if "verdict" in expect:
        assert verdict.kind == expect["verdict"], told
    if "cause" in expect:
        assert verdict.cause == expect["cause"], told
    if "among" in expect:
        assert verdict.cause in expect["among"], told
    if "stage" in expect:
        assert verdict.stage == expect["stage"], told


@pytest.mark.parametrize("path", CASES, ids=lambda p: p.stem)
def test_a_demo_result_fits_the_published_schema(path):
    """Whatever a case gives, a program can read it by the schema that ships."""
    data = json.loads(json.dumps(result(consult(path)), allow_nan=False))
    jsonschema.validate(data, schemas()["result"]())


@pytest.mark.parametrize("path", CASES, ids=lambda p: p.stem)
def test_a_demo_report_reads_in_order(path):
    """The verdict stands first, then the save, the next batch, the reasons and the cautions."""
    report = report_on(consult(path))
    order = [
        "WHY IT COMES FIRST",
        "THIS CANNOT ALL BE TRUE",
        "DO NOW",
        "SAVE THIS BATCH",
        "THIS BATCH",
        "MEANWHILE",
        "APART FROM THAT",
        "NEXT TIME",
        "IF THAT FAILS",
        "IT COULD BE",
        "ASK NEXT",
        "WHY",
        "STILL UNEXPLAINED",
        "SAY AND MIND",
        "HOUSE KNOWLEDGE",
    ]
    headings = [b.heading.split("   ")[0] for b in report.blocks]
    assert headings == [h for h in order if h in headings]
    assert "SAY AND MIND" in headings
    if report.tone == "stop":
        assert "SAVE THIS BATCH" not in headings
        assert ("NEXT TIME" in headings) == ("APART FROM THAT" in headings)
    text = "\n".join(plain_lines(report))
    assert "{" not in text
    assert all(len(line) <= 80 or " " not in line.strip() for line in text.splitlines())


@pytest.mark.parametrize("path", CASES, ids=lambda p: p.stem)
def test_both_engines_give_the_same_advice(path):
    """The report says which engine ran; what it says does not depend on it."""
    from advisor.chain import available

    if "durable-rules" not in available():
        pytest.skip("durable-rules is not installed here")
    one = Consultation.from_case(load(), path, backend="durable-rules").inference
    two = Consultation.from_case(load(), path, backend="reference").inference
    assert (one.backend, two.backend) == ("durable-rules", "reference")
    assert one.run == two.run
    assert one.standing == two.standing


@pytest.mark.parametrize("name", ["knowledge", "case", "result"])
def test_the_schemas_that_ship_are_the_ones_in_force(name):
    """A schema file is written again whenever the shape behind it changes."""
    shipped = Path(__file__).parent.parent / "advisor" / "schemas" / f"{name}.schema.json"
    assert shipped.read_text() == schema_text(name), f"curdwise schema {name} > {shipped.name}"


@pytest.mark.parametrize("path", CASES, ids=lambda p: p.stem)
def test_a_demo_file_fits_the_schema_of_case_files(path):
    """An editor that checks a demo case by the published schema finds nothing wrong."""
    from advisor.knowledge.yamlread import read_yaml

    jsonschema.validate(read_yaml(path.read_bytes(), path.name).data, schemas()["case"]())


def test_whatever_touched_dairy_says_that_it_contains_milk():
    """No case that used milk, butter, ghee or whey is reported without the caution."""
    for path in CASES:
        consultation = consult(path)
        answers = consultation.answers
        milky = (
            (
                "milk_kind" in answers
                and answers["milk_kind"].value not in ("oat", "soy", "almond", "coconut", "rice")
            )
            or (
                "fat_kind" in answers
                and answers["fat_kind"].value in ("plain-butter", "brown-butter", "ghee")
            )
            or "whey_kind" in answers
        )
        if milky:
            assert "contains-milk" in consultation.advice.cautions, path.stem
