"""An exam on paper: the paper, the booklet of results and the sheet, as Markdown and YAML."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from advisor.drills.choices import plausible, remedies_for, statements
from advisor.drills.costs import LEVELS, cost_of, level_of
from advisor.drills.exam import first_standing
from advisor.drills.session import DrillSession, opening
from advisor.knowledge.words import FULL_STAGES
from advisor.report.drilldebrief import answer_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.drills.exam import Booklet, Exam
    from advisor.drills.scenario import Scenario
    from advisor.knowledge.model import Base

__all__ = ["booklet_page", "paper", "sheet_page"]

_GROUPS = {
    "ask": "Ask whoever made it",
    "look": "Look",
    "taste": "Smell or taste",
    "measure": "Measure or try",
    "new-batch": "Make a new batch",
    "symptom": "Look for something else that is wrong",
}


def paper(base: Base, exam: Exam, numbers: Booklet) -> str:
    """The paper that a class works on, in Markdown. It gives no result and no solution away."""
    lines = [
        f"# Drills, exam {exam.id}",
        "",
        f"{len(exam.scenarios)} batches. For each: read what is seen, then ask, look, taste, "
        "measure or try whatever you need, one thing at a time.",
        "",
        "- Each thing has a number and costs minutes. Look its number up in the booklet, and write "
        "its name down on your sheet before you look the next one up.",
        "- When you know what it is, write down the verdict (`cause`, `discard`, `stop` or "
        "`nothing-wrong`), the cause, its stage, how sure you are in per cent, the remedy, its "
        "dose with the unit, and what must be said.",
        "- Causes, remedies and statements are written by the names in brackets.",
        "- Fewer minutes are better, guessing is not.",
        "",
        f"Stages: {', '.join(FULL_STAGES)}.",
    ]
    for number, scenario in enumerate(exam.scenarios, 1):
        lines += ["", *_one(base, exam, number, scenario, numbers)]
    lines += ["", "General information only: local food and alcohol law decides.", ""]
    return "\n".join(lines)


def _one(
    base: Base, exam: Exam, number: int, scenario: Scenario, numbers: Booklet
) -> Iterator[str]:
    seen = opening(base, scenario)
    yield f"## {number}. {scenario.title}" + ("  (invented)" if scenario.invented else "")
    yield ""
    yield scenario.story
    yield ""
    yield "What is seen at once:"
    yield ""
    for finding in scenario.symptoms:
        yield f"- {base.findings[finding].label}"
    for finding in scenario.seen:
        answer = seen.answers[finding]
        words = answer.text if isinstance(answer.value, float) else ""
        words = words or answer_words(base, finding, answer.value or "unknown")
        yield f"- {base.findings[finding].label}: {words}"
    yield ""
    yield "### What can be asked"
    own = numbers.numbers[number - 1]
    for group in (*LEVELS, "symptom"):
        found = [f for f in own if _group(base, f) == group]
        if not found:
            continue
        yield ""
        yield f"**{_GROUPS[group]}**"
        yield ""
        yield "| number | min | name | what |"
        yield "|---|---|---|---|"
        for finding in found:
            check = next((c for c in base.checks.values() if c.finding == finding), None)
            what = check.title if check else base.findings[finding].ask
            minutes = cost_of(base, finding).minutes
            yield f"| {own[finding]} | {minutes:.3g} | {finding} | {_cell(what)} |"
    yield ""
    yield "### What it may be"
    yield ""
    causes = plausible(base, scenario, first_standing(base, scenario))
    for cause in causes:
        yield f"- {base.causes[cause].title} [{cause}], stage {base.causes[cause].stage}"
    yield ""
    yield "### What may be done"
    yield ""
    session = DrillSession(base, scenario, exam.made)
    listed: dict[str, None] = {}
    for cause in causes:
        listed.update(dict.fromkeys(remedies_for(base, session, (cause,), "")))
    listed.update(dict.fromkeys(scenario.remedies))
    for remedy in sorted(listed, key=lambda r: base.remedies[r].title):
        yield f"- {base.remedies[remedy].title} [{remedy}]"
    yield ""
    yield "### What may be said"
    yield ""
    for name, text in statements(base, scenario):
        yield f"- {text} [{name}]"


def _group(base: Base, finding: str) -> str:
    return "symptom" if base.findings[finding].symptom else level_of(base, finding)


def _cell(text: str) -> str:
    return text.replace("|", "/").replace("\n", " ")


def booklet_page(base: Base, exam: Exam, numbers: Booklet) -> str:
    """The booklet of results, by number, in Markdown."""
    lines = [
        f"# Results, exam {exam.id}",
        "",
        "Look up one number at a time. What you look up costs its minutes.",
        "",
    ]
    for number, (finding, answer) in sorted(numbers.results.items()):
        lines.append(f"- **{number}** {answer_words(base, finding, answer)}")
    return "\n".join([*lines, ""])


def sheet_page(exam: Exam, learner: str = "", group: str = "") -> str:
    """A sheet for one learner to fill in, in YAML."""
    lines = [
        "# Fill in what you know; leave the rest empty. Give it back as it is.",
        f"exam: {_quoted(exam.id)}",
        f"learner: {_quoted(learner)}",
        f"group: {_quoted(group)}",
        "drills:",
    ]
    for number, scenario in enumerate(exam.scenarios, 1):
        lines += [
            f'  "{number}":  # {scenario.title}'.replace("\n", " "),
            "    ask: []         # names in the order you looked them up: [acid_drop, strip_ph]",
            "    verdict:        # cause, discard, stop or nothing-wrong",
            "    causes: []      # one name, or two when there are two faults",
            "    stage:",
            "    confidence:     # in per cent: 80 %",
            "    remedy:",
            "    dose:           # with its unit: 12 ml",
            "    say: []         # names: [contains-milk]",
        ]
    return "\n".join([*lines, ""])


def _quoted(text: str) -> str:
    """As YAML text whatever it looks like: a JSON string is one."""
    return json.dumps(text, ensure_ascii=False) if text else ""
