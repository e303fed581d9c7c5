"""The time line: nothing begins before it may, one pair of hands, and what decides the length."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.technique.protocol.timeline import Job, schedule
from tests.technique.protocol.briefs import PUNCH, SPIRIT, made


@st.composite
def jobs(draw):
    """Jobs in an order in which each waits only for earlier ones."""
    count = draw(st.integers(1, 9))
    made_ = []
    for number in range(1, count + 1):
        after = draw(st.lists(st.integers(1, number - 1), unique=True)) if number > 1 else []
        made_.append(
            Job(
                number,
                f"job {number}",
                draw(st.integers(0, 30)) / 1.0,
                draw(st.integers(0, 300)) / 1.0,
                draw(st.booleans()),
                tuple(after),
            )
        )
    return made_


@given(jobs())
def test_a_schedule_is_possible(given_):
    """No job begins before those it waits for have ended, and hands do one thing at a time."""
    timeline = schedule(given_)
    bars = {bar.number: bar for bar in timeline.bars}
    assert set(bars) == {job.number for job in given_}
    for job in given_:
        for before in job.after:
            assert bars[job.number].start >= bars[before].end - 1e-9
    busy = sorted((b.start, b.busy_until) for b in timeline.bars if b.busy_until > b.start)
    for (_, until), (start, _) in pairwise(busy):
        assert start >= until - 1e-9


@given(jobs())
def test_its_length_lies_between_the_two_bounds(given_):
    """At least the longest chain and all the work, at most everything one after the other.

    Both bounds are Graham's (1969, SIAM J. Appl. Math. 17:416) for one resource.
    """
    timeline = schedule(given_)
    end: dict[int, float] = {}
    for job in given_:
        begin = max((end[n] for n in job.after), default=0.0)
        end[job.number] = begin + job.hands_on + job.wait
    work = sum(j.hands_on + (j.wait if j.attended else 0.0) for j in given_)
    everything = sum(j.hands_on + j.wait for j in given_)
    assert timeline.total >= max(max(end.values()), work) - 1e-9
    assert timeline.total <= everything + 1e-9
    assert timeline.hands_on == pytest.approx(work)


@given(jobs())
def test_the_critical_path_reaches_the_end(given_):
    """The steps that decide the length end with the last one to end, and touch each other."""
    timeline = schedule(given_)
    bars = {bar.number: bar for bar in timeline.bars}
    path = [bars[n] for n in timeline.critical]
    assert path[-1].end == pytest.approx(timeline.total)
    for one, following in pairwise(path):
        assert following.start <= one.end + 1e-9


def test_work_is_done_while_something_waits():
    """A worked example: 5 min of work and 60 of waiting, beside it 10 of work, then 5 for both."""
    timeline = schedule(
        [
            Job(1, "steep", 5, 60, False, ()),
            Job(2, "syrup", 10, 0, False, ()),
            Job(3, "mix", 5, 0, False, (1, 2)),
        ]
    )
    assert timeline.total == 70
    assert timeline.beside == ((1, 2),)
    assert timeline.critical == (1, 3)


def test_whey_is_made_while_the_fat_steeps():
    """In a fat wash with whey, the whey is made beside the steep and costs no time of its own."""
    together = made(SPIRIT, "fat-wash-then-whey")
    numbers = {s.id: s.number for s in together.steps}
    steps = {s.id: s for s in together.steps}
    assert steps["whey_make.curdle"].start < steps["fat_wash.part"].start
    assert any(
        other == numbers["whey_make.curdle"] for _, other in together.timeline.beside
    )


def test_steps_are_numbered_in_the_order_they_begin():
    """Numbers rise with the start, and every step waits only for earlier numbers."""
    for technique in ("strip", "fat-strip-whey", "whey-dose"):
        steps = made(PUNCH, technique).steps
        assert [s.number for s in steps] == list(range(1, len(steps) + 1))
        assert [s.start for s in steps] == sorted(s.start for s in steps)
        assert all(n < s.number for s in steps for n in s.after)
