"""What a report says hangs together: what is saved, what is held, what cannot be true."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.consult import Consultation
from advisor.knowledge.load import load
from advisor.report.model import report_on
from advisor.report.result import result
from advisor.report.screen import plain_lines

STRIP: dict[str, Any] = {
    "operation": "strip",
    "drink_volume": "1 l",
    "drink_strength": "20 %",
    "milk_volume": "250 ml",
    "milk_kind": "whole",
    "acid_kind": "lemon-juice",
    "acid_volume": "60 ml",
}


def consulted(**told: Any) -> Consultation:
    """A batch of the shipped base."""
    made = Consultation(load())
    for finding, value in told.items():
        made = made.tell(finding, value)
    return made


def text_of(made: Consultation) -> str:
    return " ".join(" ".join(plain_lines(report_on(made), 400)).split())


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"strength_measured": "38 %", "abv_low": "yes"}, "Measured strength is 38 %vol; milk"),
        ({"volume_out": "2.3 l", "low_yield": "yes"}, "Volume that came out is 2300 mL; no more"),
        ({"acid_volume": "2 l", "too_sour": "yes"}, "Volume of the acid or juice is 2000 mL"),
    ],
)
def test_what_cannot_all_be_true_is_said_first(told: dict[str, Any], said: str) -> None:
    """In the words of the questions, right under the verdict, and no dose is made of it."""
    made = consulted(**{**STRIP, **told})
    report = report_on(made)
    headings = [b.heading for b in report.blocks if b.heading]
    assert headings[0] == "THIS CANNOT ALL BE TRUE"
    assert said in text_of(made)
    assert not any(d["figure"] == "top_up" for r in result(made)["remedies"] for d in r["dose"])
    assert "THIS CANNOT ALL BE TRUE" not in text_of(consulted(**STRIP))


def test_a_measured_strength_makes_the_dose() -> None:
    """What was read decides how much spirit brings it back, not what was planned."""
    doses = {}
    for read in (12, 16):
        made = consulted(**STRIP, abv_low="yes", volume_out="1 l", strength_measured=f"{read} %")
        rows = [d for r in result(made)["remedies"] for d in r["dose"]]
        doses[read] = next(d["value"] for d in rows if d["figure"] == "top_up")
    assert doses[12] == pytest.approx(200, rel=0.02)  # 1000 mL x (20 - 12) / (60 - 20)
    assert doses[16] == pytest.approx(100, rel=0.02)


def test_a_reported_symptom_never_goes_missing() -> None:
    """No cause of this operation makes it salty, so it is told to be unexplained."""
    made = consulted(cloud_at_filter="yes", operation="strip", acid_drop="flakes", salty="yes")
    assert made.inference.unexplained == ("salty",)
    assert "STILL UNEXPLAINED salty" in text_of(made)


def test_two_faults_are_told_where_one_alone_is_not_enough() -> None:
    """The likely cause leaves the yield open; some cause of that, however unlikely, joins it."""
    made = consulted(cloud_at_filter="yes", operation="strip", acid_drop="flakes", low_yield="yes")
    pairs = [s.causes for s in made.inference.sets if len(s.causes) == 2]
    assert any("acid-short-casein-left" in pair for pair in pairs)


def test_nothing_wrong_is_followed_by_no_rescue() -> None:
    """It gave back what a wash gives: nothing is stirred into it."""
    told = {**STRIP, "volume_out": "960 ml", "low_yield": "yes"}
    made = consulted(**told)
    assert made.advice.verdict.kind == "nothing-wrong"
    offered = {r.remedy.id for r in (*made.advice.this_batch, *made.advice.next_batch)}
    assert offered == {"drain-overnight-covered"}
    assert not {"SAVE THIS BATCH", "THIS BATCH"} & {b.heading for b in report_on(made).blocks}


def test_what_to_do_while_waiting_is_no_rescue() -> None:
    """A filter that slows as its layer grows is left to drip, and that is not called a rescue."""
    made = consulted(
        **STRIP, filter_slow="yes", minutes_filtering="12 min", cake="grainy",
        paper_first_liquid="slowed-gradually", filter_kind="cloth-then-paper",
    )  # fmt: skip
    assert made.advice.verdict.kind == "nothing-wrong"
    headings = {b.heading for b in report_on(made).blocks}
    assert "MEANWHILE" in headings
    assert "SAVE THIS BATCH" not in headings


def test_an_open_result_offers_no_change_for_a_faint_chance() -> None:
    """Fat that hangs and nothing else: every cause is at one in twenty or less."""
    made = consulted(fat_hangs="yes", operation="fat-wash")
    assert made.advice.verdict.kind == "open"
    assert "Too early to change anything" in text_of(made)
    assert "Or something that is not listed here" in text_of(made)


def test_a_remedy_for_another_cause_says_so() -> None:
    """What is not for the verdict's cause names the cause that it is for."""
    made = consulted(filter_slow="yes", operation="strip")
    assert made.advice.verdict.kind == "open"
    title = made.base.causes[made.advice.this_batch[0].treats].title.rstrip(".")
    assert f"mostly if it is this: {title[:1].lower()}{title[1:]}." in text_of(made)
    treated = [r.treats for r in made.advice.this_batch]
    assert all(made.inference.explains.get(t) or t == made.advice.verdict.cause for t in treated)


def test_the_next_dose_is_not_less_than_what_failed() -> None:
    """60 ml were too little by the strip, so the next batch takes more than 60."""
    made = consulted(**STRIP, curd_floats="yes", curd_feel="soft-web", rest_time="8 h", strip_ph=5)
    figures = {f["id"]: f["value"] for f in result(made)["figures"]}
    assert figures["next_dose_juice"] == pytest.approx(60 + figures["juice_still_needed"], rel=0.02)


def test_a_title_within_a_sentence_keeps_what_is_always_large() -> None:
    """An article becomes small, pH and UHT stay as they are."""
    from advisor.report.explanationwords import lower_first

    assert lower_first("A nut is not declared") == "a nut is not declared"
    assert lower_first("UHT milk") == "UHT milk"
    assert lower_first("pH too high") == "pH too high"
