"""A brief: what a developer wants of a drink, what it is made of, and within which limits.

The same file is the input of ``choose`` and ``protocol``, a test and a worked example.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError, Place, Problem, ProblemsFound, did_you_mean
from advisor.files import read_bounded
from advisor.reasoning.answers import Answer, finding_name, is_ratio, read_answer
from advisor.technique.briefwrite import write_brief
from advisor.technique.impossible import impossible

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from advisor.knowledge.model import Base, Finding
    from advisor.knowledge.yamlread import Document

__all__ = [
    "LISTS",
    "Brief",
    "brief_base",
    "brief_from",
    "brief_schema",
    "finding_names",
    "members",
    "read_brief",
    "write_brief",
]

# A list in a brief stands for yes to all it names and no to the rest of its kind.
LISTS: Mapping[str, tuple[str, ...]] = {
    "goals": ("goal_",),
    "limits": ("no_", "keep_"),
    "kit": ("kit_",),
    "holds": ("has_",),
}
# Quantities that are named like a limit and are none of the list.
_NOT_LISTED = ("keep_wanted",)
_MOST_BYTES = 2_000_000


@dataclass(frozen=True)
class Brief:
    """A brief as told: checked answers by finding, and what the file says about itself."""

    answers: Mapping[str, Answer]
    title: str = ""
    story: str = ""
    invented: bool = False
    expect: Mapping[str, Any] = field(default_factory=dict)
    name: str = ""

    def word(self, finding: str) -> str | None:
        """The word answered, or ``None`` when there is none."""
        answer = self.answers.get(finding)
        value = answer.value if answer is not None and answer.given else None
        return value if isinstance(value, str) else None

    def number(self, finding: str) -> float | None:
        """The number answered, in the finding's own unit, or ``None`` when there is none."""
        answer = self.answers.get(finding)
        value = answer.value if answer is not None and answer.given else None
        return None if value is None or isinstance(value, str) else float(value)

    def yes(self, finding: str) -> bool:
        """Whether the answer is yes; silence and "don't know" are not."""
        return self.word(finding) == "yes"

    def wants(self, goal: str) -> bool:
        """Whether a goal is wanted: ``wants("foam")`` or ``wants("goal_foam")``."""
        return self.yes(goal if goal.startswith("goal_") else f"goal_{goal}")

    @property
    def goals(self) -> tuple[str, ...]:
        """The goals that are wanted, by name."""
        return tuple(sorted(k for k in self.answers if k.startswith("goal_") and self.yes(k)))

    @property
    def limits(self) -> tuple[str, ...]:
        """The limits of yes and no that were set, by name."""
        return tuple(sorted(k for k in self.answers if _listed(k, "limits") and self.yes(k)))

    def with_answer(self, finding: str, answer: Answer) -> Brief:
        """A brief that says this as well, or instead."""
        return replace(self, answers={**self.answers, finding: answer})

    def without(self, finding: str) -> Brief:
        """A brief that says nothing of this."""
        return replace(self, answers={k: a for k, a in self.answers.items() if k != finding})


_VIEWS: dict[int, tuple[Base, Base]] = {}


def brief_base(base: Base) -> Base:
    """The same base as a brief sees it: its own findings and figures stand in place of a batch's.

    Everything that reads answers and works out figures can be used on it.
    """
    kept = _VIEWS.get(id(base))
    if kept is None or kept[0] is not base:
        if len(_VIEWS) > 8:
            _VIEWS.clear()
        seen = replace(
            base,
            findings=base.brief_findings,
            figures=base.brief_figures,
            lines=(),
            checks={},
        )
        kept = _VIEWS[id(base)] = (base, seen)
    return kept[1]


def brief_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of a brief file."""
    text = {"type": "string", "minLength": 1}
    names = {"type": "array", "items": text, "uniqueItems": True}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "curdwise brief file",
        "type": "object",
        "additionalProperties": False,
        "required": ["brief"],
        "properties": {
            "title": text,
            "story": text,
            "invented": {"type": "boolean", "description": "nobody ever wrote this brief"},
            "brief": {
                "type": "object",
                "description": "finding: answer; quantities as people write them",
                "properties": {
                    "goals": {**names, "description": "the goals; all others are not wanted"},
                    "limits": {**names, "description": "the limits; no others are set"},
                    "kit": {**names, "description": "the kit that is there; nothing else is"},
                    "holds": {**names, "description": "what the drink holds; nothing else"},
                },
                "additionalProperties": {"type": ["string", "number", "boolean"]},
            },
            "expect": {
                "type": "object",
                "additionalProperties": False,
                "minProperties": 1,
                "properties": {
                    "first": {"anyOf": [text, names], "description": "comes first, or one of"},
                    "among": {**names, "description": "all of these are in the first three"},
                    "refused": {**names, "description": "all of these are refused"},
                    "conflicts": {**names, "description": "these conflicts are named"},
                },
            },
        },
    }


def read_brief(path: Path | str, base: Base) -> Brief:
    """Read a brief file.

    Raises ``AdvisorError``; ``ProblemsFound`` lists every fault of form, answer and sense.
    """
    path = Path(path)
    raw = read_bounded(
        path,
        _MOST_BYTES,
        code="brief-unreadable",
        saying="the brief cannot be read",
        too_large=("brief-too-large", "a brief is never this large"),
        hint="check the name and the folder",
    )
    return _parsed(raw, str(path), base)


def _parsed(raw: bytes, name: str, base: Base) -> Brief:
    from advisor.knowledge.shapecheck import shape_problems
    from advisor.knowledge.yamlread import read_yaml

    document = read_yaml(raw, name)
    if document.data is None:
        raise AdvisorError(
            "brief-empty",
            "the brief is empty",
            where=name,
            hint="it needs at least: brief: {goals: [...], base_kind: ...}",
        )
    problems = shape_problems(document, brief_schema)
    if problems:
        raise ProblemsFound("this brief is not right", problems)
    data = document.data
    answers = _answers(base, data["brief"], document)
    return Brief(
        answers=answers,
        title=data.get("title", ""),
        story=data.get("story", ""),
        invented=data.get("invented", False),
        expect=data.get("expect", {}),
        name=name,
    )


def brief_from(base: Base, answers: Mapping[str, object], *, title: str = "") -> Brief:
    """A brief from answers as people write them, keyed by finding.

    ``goals``, ``limits``, ``kit`` and ``holds`` may be lists, which say no to what they leave
    out; once one goal is given the goals left out are not wanted. Raises ``ProblemsFound``
    with every answer that is none, and with quantities that cannot be true together.
    """
    return Brief(answers=_answers(base, answers, None), title=title)


def _answers(
    base: Base, written: Mapping[str, object], document: Document | None
) -> dict[str, Answer]:
    seen = brief_base(base)
    problems: list[Problem] = []
    places = _Places(document)
    told, listed = _spelt_out(seen, written, places, problems)
    answers: dict[str, Answer] = {}
    # A ratio is judged against another amount, so the amounts come first.
    for key in sorted(told, key=lambda k: isinstance(told[k], str) and is_ratio(str(told[k]))):
        try:
            name, answer = read_answer(seen, key, told[key], answers=answers)
        except AdvisorError as error:
            problems.append(Problem(error.code, error.message, places.of(key), _hint(error)))
            continue
        places.known_as(name, key)
        if name in answers:
            problems.append(
                Problem("answer-twice", f"{name} is answered twice", places.of(key), "keep one")
            )
        answers[name] = answer
    if problems:
        raise ProblemsFound("this brief is not right", problems)
    for name in _silent(seen, answers, listed):
        answers[name] = Answer("no", text="no")
    problems = [Problem(i.code, i.text, places.of(i.at), i.hint) for i in impossible(answers)]
    if problems:
        raise ProblemsFound("this brief cannot be true", problems)
    return {key: answers[key] for key in seen.findings if key in answers}


def _spelt_out(
    seen: Base, written: Mapping[str, object], places: _Places, problems: list[Problem]
) -> tuple[dict[str, object], set[str]]:
    """Single answers in place of lists, and the kinds of which a list was given."""
    told: dict[str, object] = {}
    listed = set()
    for key, value in written.items():
        kind = finding_name(str(key))
        if kind not in LISTS:
            told[str(key)] = value
            continue
        if isinstance(value, str) or not isinstance(value, list | tuple | set | frozenset):
            problems.append(
                Problem("answer-form", f"{kind} is a list of names", places.of(str(key)))
            )
            continue
        listed.add(kind)
        for index, entry in enumerate(value):
            name = _member(seen, kind, str(entry))
            places.listed(name or str(entry), (str(key), index))
            if name is None:
                known = _plain_names(seen, kind)
                problems.append(
                    Problem(
                        "unknown-finding",
                        f"there is no {entry!r} among the {kind}",
                        places.of(str(entry)),
                        did_you_mean(str(entry).replace("-", "_"), known)
                        or f"the {kind} are {', '.join(known)}",
                    )
                )
            else:
                told[name] = "yes"
    return told, listed


def _listed(key: str, kind: str) -> bool:
    return key.startswith(LISTS[kind]) and key not in _NOT_LISTED


def members(seen: Base, kind: str) -> list[Finding]:
    """The findings of one of ``LISTS``; ``seen`` is the base as ``brief_base`` gives it."""
    return [f for k, f in seen.findings.items() if _listed(k, kind) and f.kind == "yes-no"]


def finding_names(base: Base, kind: str) -> frozenset[str]:
    """The findings that a list of this kind (a key of ``LISTS``) speaks of."""
    return frozenset(f.id for f in members(brief_base(base), kind))


def _plain_names(seen: Base, kind: str) -> list[str]:
    """Names as they are written in a list: without the mark of their kind where there is one."""
    marks = LISTS[kind]
    return [f.id.removeprefix(marks[0]) if len(marks) == 1 else f.id for f in members(seen, kind)]


def _member(seen: Base, kind: str, entry: str) -> str | None:
    name = finding_name(entry)
    known = {f.id for f in members(seen, kind)}
    return next((n for n in (name, *(f"{m}{name}" for m in LISTS[kind])) if n in known), None)


def _silent(seen: Base, answers: Mapping[str, Answer], listed: Iterable[str]) -> list[str]:
    kinds = set(listed)
    if any(k.startswith("goal_") for k in answers):
        kinds.add("goals")
    return [f.id for kind in LISTS if kind in kinds for f in members(seen, kind)
            if f.id not in answers]


def _hint(error: AdvisorError) -> str:
    return error.hint.replace(
        "curdwise questions lists them", "curdwise choose --list lists what a brief may say"
    )


class _Places:
    """Where each answer was written."""

    def __init__(self, document: Document | None) -> None:
        self._document = document
        self._paths: dict[str, tuple[str | int, ...]] = {}
        self._names: dict[str, str] = {}

    def listed(self, name: str, path: tuple[str | int, ...]) -> None:
        self._paths[name] = path

    def known_as(self, name: str, written: str) -> None:
        self._names[name] = written

    def of(self, key: str) -> Place:
        written = self._names.get(key, key)
        if self._document is None:
            return Place(f"answer {written}")
        path = self._paths.get(written)
        if path is not None:
            return self._document.place(("brief", *path))
        return self._document.key_place(("brief", written))
