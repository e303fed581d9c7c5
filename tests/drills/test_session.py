"""A drill under way: its steps, its order, and what it refuses."""

from __future__ import annotations

import pytest

from advisor.drills.costs import LIQUID_ML, cost_of
from advisor.drills.session import EXAM
from advisor.errors import AdvisorError
from advisor.knowledge.load import load
from advisor.reasoning.repair import WAITING
from tests.drills.stage import ENDED, played, scenario, started


def test_a_session_is_a_value():
    """A step gives a new session and leaves the old one as it was."""
    first = started()
    second = first.ask("acid_drop")
    assert first.steps == ()
    assert second.steps[0].answer == "flakes"
    assert first == started()


def test_the_clock_counts_work_waiting_and_drink():
    """The acid-drop test is a minute of work and five of waiting, and uses 50 ml up."""
    base = load()
    session = started().ask("acid-drop")
    assert session.minutes == pytest.approx(1 + 5 * WAITING)
    assert session.liquid_ml == 50
    assert (session.steps[0].work, session.steps[0].wait) == (1, 5)
    assert cost_of(base, "acid_drop").minutes == session.minutes


def test_what_nobody_can_tell_costs_little():
    """A check that the batch has no answer for is given up at once, and uses nothing up."""
    step = started().ask("warm_test").steps[0]
    assert step.answer == "unknown"
    assert step.minutes == 0.5
    assert step.liquid_ml == 0


def test_every_amount_used_up_stands_in_the_check_itself():
    """The table of liquid agrees with the instructions that a person reads."""
    base = load()
    for check, ml in LIQUID_ML.items():
        how = base.checks[check].how
        parts = {"enzyme-trial": "Two 50 ml", "spirit-test": "20 ml of the drink each",
                 "iodine-drop": "a spoonful"}  # fmt: skip
        assert parts.get(check, f"{ml:g} ml") in how, check


def test_a_measurement_may_be_repeated_and_a_question_not():
    """A check has fresh noise each time; a person says the same again."""
    session = started().ask("strip_ph").ask("strip_ph")
    session = session.ask("strip_ph").ask("strip_ph")
    assert len({step.answer for step in session.steps}) > 1
    assert session.consultation().answers["strip_ph"].value == session.steps[-1].answer
    asked = started().ask("filter_kind")
    with pytest.raises(AdvisorError, match="asked already"):
        asked.ask("filter_kind")


def test_a_symptom_that_is_not_there_is_answered_no():
    """Nobody lists what is not wrong; what is hidden comes out when it is looked for."""
    session = started().ask("greasy_or_louche").ask("cloud_on_chill")
    assert [step.answer for step in session.steps] == ["no", "yes"]


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("milk_kind", "told at the start"),
        ("cloud_at_filter", "told at the start"),
        ("fat_mass", "does not apply"),
        ("acid_dorp", "did you mean acid_drop"),
        ("", "nothing called"),
    ],
)
def test_what_cannot_be_asked_is_refused(name, said):
    """The reason is given, and the session stays as it was."""
    with pytest.raises(AdvisorError, match=said):
        started().ask(name)


def test_the_order_is_kept():
    """Ask, name, mend, say, end: nothing comes twice or before its turn."""
    session = started()
    for early in (lambda: session.treat(), lambda: session.say(), lambda: session.finish(ENDED)):
        with pytest.raises(AdvisorError, match="not at"):
            early()
    done = played()
    assert done.phase == "over"
    for late in (lambda: done.ask("torch"), lambda: done.name("cause"), lambda: done.finish(ENDED)):
        with pytest.raises(AdvisorError, match="not at"):
            late()


@pytest.mark.parametrize(
    "name",
    [
        lambda s: s.name("maybe"),
        lambda s: s.name("cause", ["acid"]),
        lambda s: s.name("cause", ["acid-swamped"], "cellar"),
        lambda s: s.name("cause", ["acid-swamped"], "", 80.0),
        lambda s: s.name("cause", ["acid-swamped"], "", float("nan")),
        lambda s: s.name("cause", ["acid-swamped", "low-acid-base", "mould-film"]),
        lambda s: s.name("cause", ["acid-swamped"]).treat("prayer"),
        lambda s: s.name("cause", ["acid-swamped"]).treat("add-acid-in-steps", "a lot"),
        lambda s: s.name("cause", ["acid-swamped"]).treat().say(["wrong-2"]),
        lambda s: s.name("cause", ["acid-swamped"]).treat().say(["be careful"]),
    ],
)
def test_what_is_not_known_is_refused(name):
    """A name that the base has not, an amount that is none, a confidence that is none."""
    with pytest.raises(AdvisorError):
        name(started())


def test_an_exam_gives_no_hints():
    """A hint costs minutes in practice and is refused in an exam."""
    assert started().hint("look at the acid").minutes == 3
    with pytest.raises(AdvisorError, match="no hints"):
        started(mode=EXAM).hint("look at the acid")


def test_the_stage_follows_from_the_cause():
    """Whoever names a cause need not name its stage."""
    named = started().name("cause", ["bed-not-formed"]).named
    assert named is not None
    assert named.stage == "separation"
    assert scenario().cause == "acid-short-casein-left"
