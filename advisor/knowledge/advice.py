"""What to do about a fault, where the place that found it says nothing of its own."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.errors import Problem

__all__ = ["ADVICE", "with_advice"]

ADVICE = {
    "condition-form": "a test is `finding: word`, `finding: [word, word]` or `finding: {above: 5}`",
    "condition-never": "no answer meets all of its tests at once: take one out, or put `any` above",
    "dial-range": "let `allowed` reach from the least to the most of `value`, `usual` and `choose`",
    "figure-input": "name the finding or figure that feeds it, or give it under `constants`",
    "figure-needs": "`needs` names findings or figures that stand under `inputs`",
    "finding-form": "a yes-no has neither `choices`, `unit` nor `range`; a choice has `choices` "
    "with different values; a quantity has `unit` and `range`; a symptom is a yes-no",
    "finding-range": "write the least and the most that is possible, such as range: [0, 100]",
    "finding-usual": "shares lie between 0 and 1 and sum to 1",
    "id-twice": "give one of them another name",
    "outcome-form": "write one of the finding's answers, a list of them, or a range",
    "part-item": "add `item` to a part with the work `add`, or take it out of another",
    "point-remedy": "add the cause to what the remedy cures, or name a remedy that cures it",
    "protocol-twice": "keep one protocol for each technique",
    "remedy-braces": "name one figure in each pair of braces, and close every pair",
    "remedy-otherwise": "`do` may name figures; `otherwise` says the same with a dose per litre",
    "shape-unknown-key": "correct its name or take it out",
    "shape-value": "the page of this list in knowledge/README.md shows how it is written",
    "step-braces": "name one quantity in each pair of braces, and close every pair",
    "technique-time": "`shortest` is the least from start to glass: lower it, or raise the others",
    "unit-mismatch": "use a finding of the same kind of amount, or change its unit",
    "unknown-finding": "curdwise knowledge search finds names by words",
    "unknown-id": "curdwise knowledge search finds names by words",
    "unknown-word": "curdwise knowledge show lists the answers of a finding",
    "yaml-syntax": "look at the line above as well: brackets, quotation marks and indentation",
}

_OF_CALCULATIONS = ("there is no input of ", "there is no calculation ")
_CALCULATIONS = "curdwise knowledge calculations lists them with what each takes"


def with_advice(problem: Problem) -> Problem:
    """The problem with a suggestion, if there is one for its code and it has none."""
    if problem.hint or problem.code not in ADVICE:
        return problem
    of_calculation = problem.message.startswith(_OF_CALCULATIONS)
    return replace(problem, hint=_CALCULATIONS if of_calculation else ADVICE[problem.code])
