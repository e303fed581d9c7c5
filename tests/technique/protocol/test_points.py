"""Every step has a point to check, and telling the diagnosis that it failed leads where it says."""

from __future__ import annotations

from functools import lru_cache

import pytest

from advisor.consult import Consultation
from advisor.errors import AdvisorError
from tests.technique.protocol.briefs import BRIEFS, PUNCH, SPIRIT, base, made

MORE = {
    **BRIEFS,
    "goat": {**PUNCH, "milk_wanted": "goat"},
    "hurried": {**PUNCH, "time_limit": "2 h"},
    "coconut": {**SPIRIT, "wanted_fat": "coconut-oil"},
    "peanut": {**SPIRIT, "wanted_fat": "peanut-butter"},
    "plain butter": {**SPIRIT, "wanted_fat": "plain-butter"},
    "yoghurt": {**SPIRIT, "milk_wanted": "yoghurt"},
    "bench": {**SPIRIT, "batch_volume": "50 ml"},
}


@lru_cache(maxsize=1)
def points():
    """Every different check of every protocol: (step id, check), the step once per recipe."""
    found = {}
    for given in MORE.values():
        for technique in base().protocols:
            try:
                protocol = made(given, technique)
            except AdvisorError:
                continue
            for step in protocol.steps:
                assert step.check is not None, f"{step.id} has no point to check"
                told_kinds = tuple(
                    step.check.tell.get(k) for k in ("operation", "milk_kind", "fat_kind")
                )
                key = (step.id.partition(".")[2], step.check.cause, told_kinds, technique)
                found.setdefault(key, (technique, step.id, step.check))
    return tuple(found.values())


def test_every_step_has_a_point():
    """No step of any protocol is without its check."""
    assert len(points()) > 60


def test_every_point_is_a_finding_and_cures_what_it_names():
    """The finding, cause and remedy exist, and the remedy says that it cures the cause."""
    for _, step, check in points():
        assert check.finding in base().findings, step
        assert base().causes[check.cause].stage == check.stage, step
        assert check.cause in base().remedies[check.remedy].cures, step


def told(check):
    """A consultation that was told what the check tells it."""
    consultation = Consultation(base())
    for name, value in check.tell.items():
        consultation = consultation.tell(name, value)
    return consultation


def test_a_failed_check_leads_to_its_stage():
    """Told so, the diagnosis puts a cause of the named stage first, and the cause itself high.

    "Something not listed" may stand above them all: one failed check is little to go on. The
    answers never contradict each other.
    """
    wrong = []
    for technique, step, check in points():
        consultation = told(check)
        assert not consultation.contradictions(), (technique, step)
        ranked = [c for c in consultation.inference.ranked if c in base().causes]
        first = base().causes[ranked[0]].stage
        if first != check.stage or check.cause not in ranked[:3]:
            wrong.append((technique, step, check.cause, ranked[:3]))
    assert wrong == []


def test_the_command_says_the_same():
    """The line to type holds every answer, quoted for a shell."""
    import shlex

    for _, _, check in points():
        words = shlex.split(check.command)
        assert words[:2] == ["curdwise", "diagnose"]
        answers = dict(w.split("=", 1) for w in words[3::2])
        assert answers == dict(check.tell)


@pytest.mark.parametrize("technique", ["strip", "fat-wash"])
def test_a_passed_check_does_not_point_there(technique):
    """With the check's good answer instead, its cause stands lower than with the bad one."""
    good = {"carton_smell": "fresh", "fat_set_on_contact": "no", "curd_press": "dry"}
    seen = 0
    for step in made(SPIRIT, technique).steps:
        check = step.check
        if check is None or check.finding not in good:
            continue
        failed = told(check).inference.standing[check.cause]
        passed = Consultation(base())
        for name, value in check.tell.items():
            if name not in ("dairy_taste", "smell_kind", "fat_too_little", "low_yield"):
                passed = passed.tell(name, good.get(name, value))
        assert passed.inference.standing[check.cause] < failed
        seen += 1
    assert seen
