"""A new scenario to fill in; for a named cause it starts with that cause's ordinary picture."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, did_you_mean
from advisor.knowledge.conditions import Is
from advisor.knowledge.words import FULL_STAGES

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.knowledge.model import Base, Cause

__all__ = ["TO_FILL_IN", "scaffold"]

# What the writer has to put something else for, by its place in the file.
TO_FILL_IN = {
    "title": "TITLE, which gives nothing away",
    "story": "What the trainee is told: who made what, and what somebody complains of.",
    "teaching/note": "What the drill is there to teach.",
}

_SHOWS = 3.0  # decibans from which an answer belongs to the ordinary picture
_USUALLY = 0.8


def scaffold(base: Base, cause: str | None = None) -> str:
    """The text of a new scenario file. Raises ``AdvisorError`` for an unknown cause."""
    if cause is not None and cause not in base.causes:
        raise AdvisorError(
            "unknown-cause",
            f"there is no cause {cause[:60]!r}",
            hint=did_you_mean(cause, base.causes)
            or f"stages are {', '.join(FULL_STAGES)}; curdwise drill show shows a finished one",
        )
    about = base.causes[cause] if cause is not None else None
    return "\n".join(_lines(base, about)) + "\n"


def _lines(base: Base, cause: Cause | None) -> Iterator[str]:
    picture = _picture(base, cause) if cause else {}
    symptoms = [f for f in picture if base.findings[f].symptom and picture[f] == "yes"]
    rest = {f: a for f, a in picture.items() if not base.findings[f].symptom}
    checked = {check.finding for check in base.checks.values()}
    yield "# A drill. Fill it in, then run: curdwise drill check THIS-FILE"
    yield f"title: {TO_FILL_IN['title']}"
    yield "invented: true"
    yield "story: >"
    yield f"  {TO_FILL_IN['story']}"
    yield f"difficulty: {_difficulty(cause) if cause else 'easy'}   # easy, ordinary or hard"
    yield f"topics: [{cause.stage if cause else 'acid'}]"
    yield "seen:   # known before anything is asked; curdwise questions lists the names"
    yield f"  symptoms: [{', '.join(symptoms[:2]) or 'cloud_at_filter'}]"
    yield f"  operation: {cause.operations[0] if cause else 'strip'}"
    if cause is None or cause.operations[0] == "strip":
        yield "  milk_kind: whole"
    yield "hidden:   # what the batch answers when it is asked; what is not here nobody can tell"
    for finding, answer in rest.items():
        if finding not in ("operation", "milk_kind"):
            mark = "" if finding in checked else "   # told by whoever made it"
            yield f"  {finding}: {answer}{mark}"
    if not rest:
        yield "  acid_drop: flakes"
        yield "  strip_ph: {answer: 5.2, within: 0.2}   # a reading that varies"
    yield "solution:"
    yield "  verdict: cause   # or discard, stop, nothing-wrong"
    yield f"  causes: [{cause.id if cause else 'acid-short-casein-left'}]"
    yield "  accept: []   # causes that nothing asked could tell from it"
    remedies = [
        r.id
        for r in base.remedies.values()
        if cause and r.cures.get(cause.id, 0.0) >= _USUALLY and not r.when
    ]
    yield f"  remedies: [{', '.join(remedies) if cause else 'add-acid-in-steps'}]"
    yield "  # doses: [{of: lemon juice, from: 6 ml, to: 20 ml}]"
    milky = cause is None or cause.operations[0] != "fat-wash"
    yield f"  say: [{'contains-milk' if milky else ''}]"
    yield "  wrong_to_say:"
    yield "    - text: It is clear, so it is as good as dairy free."
    yield "      because: Whey protein stays in however clear it looks."
    yield "teaching:"
    yield f"  note: {TO_FILL_IN['teaching/note']}"
    yield "  red_herrings: {}   # finding: why it leads astray"
    if cause is not None and cause.looks_like:
        yield "  misconceptions:"
        for alike in cause.looks_like:
            yield f"    {alike.cause}: {_quoted(alike.tell)}"
    else:
        yield "  misconceptions: {}   # wrong cause: what somebody who names it overlooks"


def _difficulty(cause: Cause) -> str:
    return {"often": "easy", "sometimes": "ordinary"}.get(cause.prior, "hard")


def _picture(base: Base, cause: Cause) -> dict[str, str]:
    """For each finding that says most for the cause, the answer that does."""
    best: dict[str, tuple[float, str]] = {}
    for line in base.lines:
        if line.origin not in ("shows", "outcome") or len(line.when) != 1:
            continue
        tests = line.when[0]
        if len(tests) != 1 or not isinstance(tests[0], Is):
            continue
        finding = base.findings.get(tests[0].key)
        if finding is None or not finding.asked:
            continue
        for effect in line.effects:
            if effect.target != cause.id or effect.weight < _SHOWS:
                continue
            if effect.weight > best.get(finding.id, (0.0, ""))[0]:
                best[finding.id] = (effect.weight, tests[0].words[0])
    ranked = sorted(best.items(), key=lambda item: (-item[1][0], item[0]))
    return {finding: word for finding, (_, word) in ranked}


def _quoted(text: str) -> str:
    return '"' + " ".join(text.split()).replace("\\", "\\\\").replace('"', '\\"') + '"'
