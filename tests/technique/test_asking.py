"""What is asked about a brief: the whole of it once, then only what could change the choice."""

from __future__ import annotations

import pytest

from advisor.knowledge.load import load
from advisor.technique.asking import asked_of_briefs, discriminating, opening_items, told_all
from advisor.technique.brief import LISTS, brief_base, brief_from
from advisor.technique.choose import chooser_for

BASE = load()
TEA = {
    "goals": ["less_astringent", "clear"],
    "base_kind": "tea-or-coffee",
    "base_strength": 20,
    "base_acid_kind": "lemon-juice",
    "base_tannin": "much",
}


def test_goals_come_first_then_base_then_limits_and_kit():
    """The order in which a developer thinks: what for, of what, within what."""
    items = list(opening_items(BASE, brief_from(BASE, {}), ()))
    kinds = [item.kind for item in items]
    assert kinds[0] == "goals"
    assert items[1].findings[0].id == "base_kind"
    first_list = kinds.index("holds")
    assert kinds[first_list : first_list + 3] == ["holds", "limits", "kit"]
    assert set(kinds) == {*LISTS, "finding"}


def test_what_was_told_is_not_asked_again():
    """A finding with an answer and a list that is done are left out."""
    brief = brief_from(BASE, TEA)
    items = list(opening_items(BASE, brief, {"goals", "kit"}))
    assert not {"goals", "kit"} & {item.kind for item in items}
    asked = {f.id for item in items if item.kind == "finding" for f in item.findings}
    assert not asked & set(brief.answers)


def test_a_question_is_asked_only_where_it_applies():
    """Nobody is asked for the fat who wants none, nor for the colour where it cannot matter."""
    plain = brief_from(BASE, {"goals": ["foam"]})
    fatty = brief_from(BASE, {"goals": ["fat_flavour"]})
    names = [
        {f.id for i in opening_items(BASE, brief, {"goals"}) if i.kind == "finding"
         for f in i.findings}
        for brief in (plain, fatty)
    ]
    assert "wanted_fat" not in names[0]
    assert "base_colour" not in names[0]
    assert "wanted_fat" in names[1]


def test_a_list_answers_all_that_it_holds():
    """Picking two limits says no to the others."""
    told = told_all("limits", {"no_dairy", "keep_colour"}, brief_base(BASE))
    assert {k for k, a in told.items() if a.value == "yes"} == {"no_dairy", "keep_colour"}
    assert {a.value for a in told.values()} == {"yes", "no"}


def test_only_what_can_change_the_first_choice_is_asked():
    """Every question offered has an answer that flips the choice, to what it says."""
    brief = brief_from(BASE, TEA)
    chooser = chooser_for(BASE)
    now = chooser.looking_ahead.weigh(brief).order[0]
    flips = discriminating(chooser, brief)
    assert flips
    assert "no_dairy" in {flip.finding.id for flip in flips}
    for flip in flips:
        assert flip.finding.id not in brief.answers
        assert 0.0 < flip.share <= 1.0
        assert all(technique != now for _, technique in flip.changes)


@pytest.mark.parametrize("limit", ["no_dairy", "no_animal"])
def test_a_flip_comes_true(limit):
    """Answered as it says, the question changes the first choice to what it said."""
    brief = brief_from(BASE, TEA)
    chooser = chooser_for(BASE)
    flip = next(f for f in discriminating(chooser, brief) if f.finding.id == limit)
    said, promised = flip.changes[0]
    assert said == "yes"
    then = brief_from(BASE, {**TEA, limit: "yes"})
    assert chooser.weigh(then).order[0] == promised


def test_an_answered_brief_leaves_nothing_to_ask():
    """When every limit, list and measure is told, no question is left."""
    told = {f.id: "no" for f in asked_of_briefs(BASE) if f.kind == "yes-no"}
    told |= {"goal_clear": "yes", "kit_cloth": "yes", "kit_scale": "yes", "kit_paper": "yes"}
    told |= {"base_kind": "juice", "base_acid_kind": "lime-juice", "base_aroma": "faint"}
    told |= {"acid_wanted": "any", "time_limit": "48 h", "keep_wanted": "2 days"}
    told |= {"base_ph": "2.3", "base_acid": "40", "base_sugar": "20", "batch_volume": "2 l"}
    told |= {"base_tannin": "none", "base_bitter": "none", "base_colour": "pale"}
    told |= {"serve_size": "90 ml", "milk_wanted": "any"}
    assert discriminating(chooser_for(BASE), brief_from(BASE, told)) == ()
