"""Hold a document against a JSON Schema and say what is wrong in a person's words."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

from advisor.errors import Problem, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from jsonschema import ValidationError

    from advisor.knowledge.yamlread import Document, Path

__all__ = ["shape_problems"]

_KINDS = {
    "string": "text",
    "object": "a mapping (key: value)",
    "array": "a list",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "null": "nothing",
}


def shape_problems(
    document: Document, schema: Callable[[], dict[str, Any]], skip: Iterable[str] = ()
) -> list[Problem]:
    """Every way in which the document departs from the schema.

    Below a key named in ``skip`` only its own reader judges.
    """
    skipped = frozenset(skip)
    problems: list[Problem] = []
    for error in _validator(schema).iter_errors(document.data):
        for leaf in _leaves(error):
            path = _path(leaf)
            if skipped.isdisjoint(path) or path[-1:] == ("",):
                problems.extend(_problems(leaf, path, document))
    return list(dict.fromkeys(problems))


@lru_cache(maxsize=8)
def _validator(schema: Callable[[], dict[str, Any]]) -> Any:
    import jsonschema

    return jsonschema.Draft202012Validator(schema())


def _leaves(error: ValidationError) -> list[ValidationError]:
    """The most telling errors inside a failed choice of shapes."""
    if error.validator != "anyOf" or not error.context:
        return [error]
    options: dict[int, list[Any]] = {}
    for inner in error.context:
        options.setdefault(int(inner.schema_path[0]), []).append(inner)
    right_kind = [
        inner for inner in options.values() if not any(_of_wrong_kind(e, error) for e in inner)
    ]
    if len(right_kind) == 1:
        return [leaf for inner in right_kind[0] for leaf in _leaves(inner)]
    return [error]


def _path(error: ValidationError) -> Path:
    return tuple(p if isinstance(p, int) else str(p) for p in error.absolute_path)


def _of_wrong_kind(inner: ValidationError, outer: ValidationError) -> bool:
    if inner.absolute_path != outer.absolute_path:
        return False
    return inner.validator in ("type", "const") or (
        inner.validator == "enum" and not isinstance(inner.instance, str)
    )


def _problems(error: ValidationError, path: Path, document: Document) -> list[Problem]:
    got = error.instance
    if error.validator == "additionalProperties" and isinstance(got, dict):
        known = list(_part(error, "properties", {}))
        return [
            Problem(
                "shape-unknown-key",
                f"{extra!r} is not a key of this place",
                document.key_place((*path, extra)),
                did_you_mean(extra, known) or f"the keys are {', '.join(known)}",
            )
            for extra in got
            if extra not in known
        ]
    return [_problem(error, path, document)]


def _part(error: ValidationError, name: str, otherwise: Any) -> Any:
    schema: Any = error.schema
    return schema.get(name, otherwise) if isinstance(schema, dict) else otherwise


def _problem(error: ValidationError, path: Path, document: Document) -> Problem:
    name = str(path[-1]) if path and isinstance(path[-1], str) else "this"
    where = document.place(path)
    got = error.instance
    limit: Any = error.validator_value
    match error.validator:
        case "required" if isinstance(got, dict):
            absent = [k for k in limit if k not in got]
            return Problem("shape-missing-key", f"{' and '.join(absent)} is missing", where)
        case "type":
            kinds = limit if isinstance(limit, list) else [limit]
            wanted = " or ".join(_KINDS.get(str(k), str(k)) for k in kinds)
            bare = "string" in kinds and isinstance(got, bool | int | float)
            hint = "put it between quotation marks to make it text" if bare else ""
            return Problem("shape-kind", f"{name} must be {wanted}, not {_shown(got)}", where, hint)
        case "enum":
            words = [str(v) for v in limit]
            return Problem(
                "shape-word",
                f"{name} cannot be {_shown(got)}",
                where,
                did_you_mean(str(got), words) or f"one of {', '.join(words)}",
            )
        case "const":
            wanted = "true" if limit is True else "false" if limit is False else str(limit)
            return Problem("shape-word", f"{name} can only be {wanted}", where)
        case "pattern":
            if (*path, str(got)) in document.key_places:  # a key rather than a value
                where = document.key_place((*path, str(got)))
            return Problem(
                "shape-id",
                f"{_shown(got)} is not written as {name} should be",
                where,
                _pattern_hint(str(limit)),
            )
        case "anyOf":
            return Problem(
                "shape-kind",
                f"{name} cannot be {_shown(got)}",
                where,
                str(_part(error, "description", "")),
            )
        case _:
            return Problem("shape-value", f"{name}: {error.message[:200]}", where)


def _pattern_hint(pattern: str) -> str:
    if "_" in pattern and pattern.startswith("^[a-z][a-z0-9_]"):
        return "small letters, digits and under_scores"
    if pattern.startswith("^[a-z][a-z0-9-]"):
        return "small letters, digits and hyphens"
    return ""


def _shown(value: Any) -> str:
    if isinstance(value, dict | list):
        return _KINDS["object" if isinstance(value, dict) else "array"]
    if value is None:
        return "empty"
    if isinstance(value, bool):
        return "true" if value else "false"
    return repr(value)[:60]
