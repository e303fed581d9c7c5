"""The development briefs of the invented training bar, from choice to protocol to trial."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.errors import AdvisorError
from advisor.knowledge.load import load
from advisor.technique.brief import read_brief
from advisor.technique.choose import choose
from advisor.technique.protocol import protocol
from advisor.technique.protocol.bench import bench_trial

BRIEFS = sorted((Path(__file__).parent.parent / "scenarios_demo" / "briefs").glob("*.yaml"))
# Those whose first choice has a dose that a bench trial can turn.
TRIED = {
    "brown-butter-whisky": "fat-rate",
    "coconut-highball": "fat-rate",
    "everything-at-once": "fat-rate",
    "paler-bitter-cup": "milk-share",
    "punch-for-a-wedding": "milk-share",
    "sesame-agave": "steep-time",
}


def first_protocol(path):
    """The protocol of the first choice of a brief."""
    base = load()
    brief = read_brief(path, base)
    return brief, protocol(base, brief, choose(base, brief).ranked[0].technique)


@pytest.mark.parametrize("path", BRIEFS, ids=lambda p: p.stem)
def test_every_brief_ends_in_a_protocol(path):
    """The first choice can be made: steps with amounts, a volume, a strength, a label."""
    brief, made = first_protocol(path)
    assert brief.invented
    assert len(made.steps) >= 4
    assert made.doses
    assert made.expected.volume.value > 0.0
    assert made.label


@pytest.mark.parametrize("path", [p for p in BRIEFS if p.stem in TRIED], ids=lambda p: p.stem)
def test_a_trial_would_prove_it(path):
    """A trial of the dial that matters most: a control, samples, codes and orders."""
    brief, made = first_protocol(path)
    trial = bench_trial(made, list(brief.goals), tasters=8)
    assert trial.dials == (TRIED[path.stem],)
    assert len(trial.samples) >= 3
    assert trial.flights


@pytest.mark.parametrize("path", [p for p in BRIEFS if p.stem not in TRIED], ids=lambda p: p.stem)
def test_where_nothing_can_be_turned_that_is_said(path):
    """A technique without a dose to vary has no trial, and says which doses there could be."""
    _, made = first_protocol(path)
    with pytest.raises(AdvisorError, match="is one that a trial can turn"):
        bench_trial(made, tasters=8)
