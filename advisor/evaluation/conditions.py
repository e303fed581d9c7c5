"""The same batches under worse conditions: a wrong answer, fewer answers, other priors.

Every disturbance is drawn from the seed, the condition and the name of the case, so that one
case is disturbed alike whatever else is run beside it.
"""

from __future__ import annotations

import random
from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.knowledge.lines import priors
from advisor.knowledge.words import PRIORS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.evaluation.cases import KnownCase
    from advisor.evaluation.outcome import Outcome
    from advisor.knowledge.model import Base

__all__ = [
    "CONDITIONS",
    "FEWER_ANSWERS",
    "MOVED_PRIORS",
    "ONE_WRONG_ANSWER",
    "UNDISTURBED",
    "drawing",
    "fewer_answers",
    "moved_priors",
    "one_wrong_answer",
]

UNDISTURBED = "undisturbed"
ONE_WRONG_ANSWER = "one-wrong-answer"
FEWER_ANSWERS = "fewer-answers"
MOVED_PRIORS = "moved-priors"

# Each with what it means, as reports say it.
CONDITIONS: Mapping[str, str] = {
    UNDISTURBED: "as they are",
    ONE_WRONG_ANSWER: "one answer to a question replaced by another word",
    FEWER_ANSWERS: "a fifth of the answers turned into don't know",
    MOVED_PRIORS: "every cause's prior moved one class, up or down at random",
}

_FIFTH = 0.2


def drawing(seed: int, *what: str) -> random.Random:
    """The random numbers of one disturbance: the same wherever and whenever it is drawn."""
    return random.Random("/".join((str(seed), *what)))  # noqa: S311  nothing here is secret


def one_wrong_answer(
    base: Base, case: KnownCase, undisturbed: Outcome, draw: random.Random
) -> KnownCase:
    """One answer in words, of those that were asked for, replaced by another word.

    Where nothing was asked that had such an answer, something told in words is replaced, a
    symptom never. A case without any comes back as it is.
    """
    asked = [name for name in undisturbed.asked if name in case.answers]
    told = [name for name in case.told if not base.findings[name].symptom]
    known = {**case.told, **case.answers}
    for names in (asked, told):
        others = {name: _other_words(base, name, known[name]) for name in names}
        possible = sorted(name for name, words in others.items() if words)
        if possible:
            name = draw.choice(possible)
            wrong = {name: draw.choice(others[name])}
            if name in case.told:
                return replace(case, told={**case.told, **wrong})
            return replace(case, answers={**case.answers, **wrong})
    return case


def _other_words(base: Base, name: str, raw: object) -> list[str]:
    """The words that stand for anything but the answer; none for an amount or no answer."""
    from advisor.errors import AdvisorError
    from advisor.reasoning.answers import read_answer

    finding = base.findings.get(name)
    if finding is None or not finding.choices:
        return []
    try:
        _, answer = read_answer(base, name, raw)
    except AdvisorError:
        return []
    return [word for word in finding.words if word != answer.value] if answer.given else []


def fewer_answers(base: Base, case: KnownCase, draw: random.Random) -> KnownCase:
    """A fifth of everything that was told or could be asked, but no symptom, is not known."""
    names = sorted(
        name
        for name in {**case.told, **case.answers}
        if name not in base.findings or not base.findings[name].symptom
    )
    forgotten = set(draw.sample(names, round(_FIFTH * len(names))))
    return replace(
        case,
        told={k: v for k, v in case.told.items() if k not in forgotten},
        answers={k: v for k, v in case.answers.items() if k not in forgotten},
    )


def moved_priors(base: Base, draw: random.Random) -> Base:
    """A base in which every cause is one class more or less common than it says.

    A cause at the end of the scale can only move inwards.
    """
    classes = list(PRIORS)
    causes = {}
    for key, cause in base.causes.items():
        at = classes.index(cause.prior)
        to = [i for i in (at - 1, at + 1) if 0 <= i < len(classes)]
        causes[key] = replace(cause, prior=classes[draw.choice(to)])
    return replace(base, causes=causes, priors=priors(causes))
