"""Which dial is tried for a protocol, and around which doses."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import AdvisorError, ProblemsFound
from advisor.technique.trial import Base, leverages, trial_for
from advisor.technique.trial.choose import DOSES, ORDER, levels_around
from advisor.technique.trial.dials import DIALS

ALL = {"milk_share": 20.0, "acid_g_per_l_milk": 6.0, "fat_rate": 15.0, "steep_h": 4.0,
       "whey_share": 10.0, "contact_min": 60.0}  # fmt: skip


def test_the_goal_decides_among_the_dials() -> None:
    """Less astringency tries the milk, more body the whey, flavour of the fat the fat."""
    for goal, dial in (("goal_less_astringent", "milk-share"), ("goal_more_body", "whey-share"),
                       ("goal_fat_flavour", "fat-rate")):  # fmt: skip
        trial = trial_for("all-three", ALL, goals=[goal])
        assert trial.dials == (dial,)
        assert trial.why


def test_what_is_known_least_comes_first() -> None:
    """The order is by how far the result may be off; acid, which is seen in the jug, is last."""
    ranked = leverages(ALL)
    assert [r.spread for r in ranked] == sorted((r.spread for r in ranked), reverse=True)
    assert {ranked[-1].dial, ranked[-2].dial} == {"acid-dose", "contact-time"}
    assert set(ORDER) == set(DIALS) == set(DOSES.values())


def test_knowing_the_base_narrows_the_question() -> None:
    """A told base leaves less open than an untold one, by the interval of the strip model."""
    (told,) = leverages({"milk_share": 20}, base=Base(kind="green-tea"))
    (untold,) = leverages({"milk_share": 20})
    assert told.spread < untold.spread


def test_words_of_a_protocol_are_understood() -> None:
    """The part before the dot is passed over, and so are doses that no trial turns."""
    trial = trial_for("strip", {"strip.milk_share": 25.0, "strip.drain": 0.5, "a.steep": 4.0},
                      goals=["goal_less_astringent"])  # fmt: skip
    assert trial.dials == ("milk-share",)
    assert trial.fixed == {"steep-time": 4.0}


def test_doses_that_are_not_turned_stay_put() -> None:
    """The other doses of the protocol are made as planned."""
    trial = trial_for("fat-wash-then-strip", ALL, goals=["goal_less_bitter"])
    assert trial.fixed["fat-rate"] == 15.0
    assert "milk-share" not in trial.fixed
    assert trial.sense == "bitterness"
    assert trial.title.startswith("fat-wash-then-strip")


def test_a_goal_that_no_dose_serves_falls_back_to_all() -> None:
    """A goal without a dial, or unknown to a trial, does not end in nothing."""
    assert trial_for("strip", {"milk_share": 20}, goals=["goal_foam", "goal_keeps_longer"]).dials


@given(st.sampled_from(sorted(DIALS)), st.data())
def test_levels_around_a_dose_stay_in_range(dial: str, data: st.DataObject) -> None:
    """Three rising levels inside the dial's range, the dose among or between them."""
    about = DIALS[dial]
    dose = data.draw(st.floats(about.low, about.high))
    low, middle, high = levels_around(dial, dose)
    assert about.low * 0.99 <= low < middle < high <= about.high * 1.01
    assert low * 0.99 <= dose <= high * 1.01


def test_fractions_for_percent_are_caught() -> None:
    """0.2 for 20 % is asked back, never tried as a fifth of a percent."""
    with pytest.raises(ProblemsFound, match="give percent"):
        trial_for("strip", {"milk_share": 0.2})


def test_a_protocol_without_a_dial_says_so() -> None:
    """Agar has no dose that a trial turns."""
    with pytest.raises(AdvisorError, match="no dose of agar-clarify"):
        trial_for("agar-clarify", {"dose_per_litre": 3.0})
