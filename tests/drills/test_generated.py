"""Scenarios made up from a seed: reproducible, solved, and complete."""

from __future__ import annotations

import pytest

from advisor.drills.check import check_scenario, solves
from advisor.drills.generated import generate, remake, topics
from advisor.drills.journal import Journal, unfinished
from advisor.drills.replay import expert
from advisor.drills.session import DrillSession
from advisor.errors import AdvisorError
from advisor.knowledge.load import load
from tests.drills.stage import BEGUN


def same(one, two) -> bool:
    """Whether two scenarios ask and answer the same."""
    return (
        one.digest == two.digest
        and dict(one.seen) == dict(two.seen)
        and (one.causes, one.accept, one.verdict, one.remedies, one.doses, one.say)
        == (two.causes, two.accept, two.verdict, two.remedies, two.doses, two.say)
        and all(
            one.batch.answer(f, n, 0) == two.batch.answer(f, n, 0)
            for f in load().findings
            for n in range(2)
        )
    )


@pytest.mark.parametrize("seed", range(6))
def test_a_seed_gives_the_same_drill_and_the_advisor_solves_it(seed):
    """The same seed, topic, difficulty and knowledge: the same batch, to the last reading."""
    base = load()
    one = generate(base, seed)
    assert same(one, generate(base, seed))
    assert same(one, remake(base, one.made_from))
    assert solves(base, one, expert(base, one))
    assert one.invented
    assert one.symptoms


def test_different_seeds_differ():
    """Ten seeds do not give one drill ten times."""
    base = load()
    drills = [generate(base, seed) for seed in range(10)]
    assert len({d.digest for d in drills}) == 10
    assert len({d.causes for d in drills}) > 4


@pytest.mark.parametrize("topic", ["strip", "fat-wash", "whey-dose"])
def test_a_topic_is_kept_to(topic):
    """Whoever asks for fat gets fat."""
    assert topic in topics()
    made = generate(load(), 1, topic=topic)
    assert made.topics == (topic,)
    assert made.seen["operation"] == topic


def test_what_must_be_said_follows_from_the_batch():
    """Whatever went through milk has to be called so, and the checker agrees."""
    base = load()
    for seed in range(4):
        made = generate(base, seed, topic="strip")
        assert "contains-milk" in made.say
        wrong = {p.code for p in check_scenario(base, made) if p.severity == "error"}
        assert not wrong & {"safety-missing", "safety-unfounded", "dose-off", "unknown-cause"}


def test_a_made_up_drill_can_be_left_and_gone_on_with(tmp_path):
    """Its journal holds what it was made from, and it is made again."""
    base = load()
    session = DrillSession(base, generate(base, 3), BEGUN, "Ann", seed=3)
    session = session.ask(expert(base, session.scenario).steps[0].finding)
    Journal.begin(tmp_path, session).close()
    (kept,) = unfinished(tmp_path)[0]
    journal, resumed = Journal.open(kept.path, base, remake)
    assert resumed.events == session.events
    assert same(resumed.scenario, session.scenario)
    journal.close()


def test_a_topic_that_is_none_is_refused():
    """The error names what there is."""
    with pytest.raises(AdvisorError, match="strip"):
        generate(load(), 1, topic="brandy")
