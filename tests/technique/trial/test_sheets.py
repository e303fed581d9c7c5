"""Sheets on paper and on the screen: blind for tasters, complete for whoever pours."""

from __future__ import annotations

import re

import pytest

from advisor.report.screen import plain_lines
from advisor.report.trial import judged_report, plan_report
from advisor.report.trialdata import judged_data, plan_data
from advisor.report.trialsheets import SHEETS, html, markdown
from advisor.science.wording import banned_words
from advisor.technique.trial import Base, fit, judge, plan_trial
from advisor.technique.trial.dials import DIALS
from tests.technique.trial.panels import answers_of

BASE = Base(volume=900, strength=25, acid=6, kind="black-tea")
PLANS = [
    plan_trial("milk-share", tasters=8, base=BASE),
    plan_trial("milk-share", tasters=6, test="rank", base=BASE),
    plan_trial("milk-share", [20], tasters=9, test="triangle", repeats=2, base=BASE),
    plan_trial("fat-rate", [16], tasters=9, test="duo-trio"),
    plan_trial("whey-share", [16], tasters=9, test="tetrad", base=BASE),
    plan_trial("fat-rate", [8, 16], second="steep-time", second_levels=[1, 4], tasters=9),
    plan_trial("milk-share"),
]
IDS = [f"{t.test}-{len(t.tasters)}-{len(t.dials)}" for t in PLANS]


@pytest.mark.parametrize("trial", PLANS, ids=IDS)
@pytest.mark.parametrize("make", [markdown, html])
def test_tasters_see_codes_and_nothing_else(trial: object, make: object) -> None:
    """No sample, level, dial or seed stands on a taster's sheet, and codes stand in order."""
    page = make(trial, "tasters")  # type: ignore[operator]
    words = re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL).lower()
    for dial in trial.dials:  # type: ignore[attr-defined]
        assert dial.replace("-", " ") not in words
        assert DIALS[dial].title not in words
    for sample in trial.samples:  # type: ignore[attr-defined]
        assert not re.search(rf"\b{sample.id}\b", words) or sample.is_control
    assert "control" not in words
    where = [page.index(">" + c + "<" if make is html else f" {c} ")
             for c in trial.flights[0].codes]  # type: ignore[attr-defined]  # fmt: skip
    assert where == sorted(where)
    assert page.count("Tasting sheet:") == len(trial.tasters)  # type: ignore[attr-defined]


@pytest.mark.parametrize("trial", PLANS, ids=IDS)
def test_the_key_says_what_every_cup_is(trial: object) -> None:
    """Every code of every flight stands in the key beside its sample."""
    key = markdown(trial, "key")  # type: ignore[arg-type]
    assert all(c.code in key for f in trial.flights for c in f.cups)  # type: ignore[attr-defined]
    assert "Keep it away from everybody who tastes" in key


@pytest.mark.parametrize("trial", PLANS, ids=IDS)
@pytest.mark.parametrize("sheet", SHEETS)
def test_pages_stand_alone_and_promise_nothing(trial: object, sheet: str) -> None:
    """HTML fetches nothing and runs nothing; no banned word stands on any page."""
    page = html(trial, sheet)  # type: ignore[arg-type]
    assert page.startswith("<!doctype html>")
    assert not re.search(r"<script|src=|href=.http|@import", page)
    text = markdown(trial, sheet)  # type: ignore[arg-type]
    assert not banned_words(text)


def test_names_are_escaped() -> None:
    """A taster called <b> is a taster, not markup."""
    names = ["<b>Ann</b>", "B&o", "Cy", "Di", "Ed", "Flo"]
    page = html(plan_trial("milk-share", tasters=names), "tasters")
    assert "<b>Ann" not in page
    assert "&lt;b&gt;Ann" in page


def test_long_evenings_are_cut() -> None:
    """Twelve triangles are 36 cups: the sheet says where to stop for the day."""
    assert markdown(plan_trial("milk-share"), "tasters").count("Stop here") == 1


def test_pouring_lists_count_every_cup() -> None:
    """The cups on the preparation sheet add up to the cups of the trial, references included."""
    trial = PLANS[0]
    text = markdown(trial, "preparation")
    counted = sum(
        int(found.group(1) or 1)
        for line in re.findall(r"into each cup: (.*)", text)
        for found in re.finditer(r"(?:\d{3}|R)(?: \((\d+) cups\))?", line)
    )
    assert counted == sum(trial.cups_of(s.id) for s in trial.samples) == 8 * 5


def test_ounces_are_spoken() -> None:
    """US units reach the preparation sheet."""
    assert "fl oz" in markdown(PLANS[0], "preparation", units="us")


@pytest.mark.parametrize("trial", PLANS, ids=IDS)
def test_reports_and_data_hold_together(trial: object) -> None:
    """Plan and judgement print and serialise; the data hold no NaN and the text no banned word."""
    import json

    text = "\n".join(plain_lines(plan_report(trial)))  # type: ignore[arg-type]
    data = plan_data(trial)  # type: ignore[arg-type]
    assert json.loads(json.dumps(data, allow_nan=False)) == data or data
    assert 0 <= data["power"] <= 1
    said = answers_of(trial, lambda s: 6 - s.get("milk-share", 0) / 10)  # type: ignore[arg-type]
    judgement = judge(trial, said)  # type: ignore[arg-type]
    fits = fit(judgement, said)
    text += "\n".join(plain_lines(judged_report(judgement, fits)))
    found = json.loads(json.dumps(judged_data(judgement, fits), allow_nan=False))
    assert found["conclusion"]
    assert len(found["comparisons"]) == len(trial.treated)  # type: ignore[attr-defined]
    assert not banned_words(text)
    assert "WHAT THIS CANNOT SHOW" in text


def test_a_small_chance_is_never_shown_as_none() -> None:
    """A hopeless panel says less than 1 % or its few percent, not 0 %."""
    trial = plan_trial("milk-share", [20], test="triangle", tasters=3, wanted=0.3)
    text = "\n".join(plain_lines(plan_report(trial)))
    assert "with 0 %" not in text
    assert "yours cannot find anything" in text  # three ranked pairs can never reach 5 %


def test_one_person_alone_is_told_how_and_what_it_shows() -> None:
    """The plan for one person holds the procedure and its limits."""
    text = "\n".join(plain_lines(plan_report(plan_trial("milk-share"))))
    assert "Close your eyes" in text
    assert "It shows nothing of what guests" in " ".join(text.split())
