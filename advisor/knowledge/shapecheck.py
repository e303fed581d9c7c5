"""Hold a document against a JSON Schema and say what is wrong in a person's words."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

from advisor.errors import Problem, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from jsonschema import ValidationError

    from advisor.errors import Place
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
_KIND_HINTS = {
    "array": "write each thing on a line of its own behind a hyphen, or all as [one, two]",
    "object": "write it as key: value",
    "number": "write a number alone, without quotation marks and unit",
    "integer": "write a whole number alone",
    "boolean": "write true or false",
    "string": "write some text",
}
_BOUNDS = {
    "minimum": "of at least",
    "maximum": "of at most",
    "exclusiveMinimum": "above",
    "exclusiveMaximum": "below",
}
# How some things are written that a schema can only name, by definition or by key.
_KNOWLEDGE = "curdwise knowledge file"
_CITED = "[practice], [judgement] or [{ref: a source, at: the page}]"
_WRITTEN_AS = {
    "citations": _CITED,
    "source": _CITED,
    "against": _CITED,
    "weights": "an id and how much it weighs, such as {bed-not-formed: moderate}",
    "examples": "at least two, one that fires and one that does not: "
    "{given: {curd: weak}, fires: true}",
    "when": "a test, such as {curd: weak}",
    "then": "what follows, such as suspect: {bed-not-formed: moderate}",
    "shows": "what this cause brings on, such as {cloud_at_filter: usually}",
    "cures": "a cause and how often it is cured, such as {bed-not-formed: usually}",
    "range": "the least and the most that is possible, such as [0, 100]",
    "steps": "what is done, in order: {id: rest, title: Let it rest, do: …, source: [practice]}",
    "why": "the reason, in a few words",
}


def shape_problems(
    document: Document, schema: Callable[[], dict[str, Any]], skip: Iterable[str] = ()
) -> list[Problem]:
    """Every way in which the document departs from the schema.

    Below a key named in ``skip`` only its own reader judges.
    """
    skipped = frozenset(skip)
    problems: list[Problem] = []
    validator = _validator(schema)
    for error in validator.iter_errors(document.data):
        for leaf in _leaves(error):
            path = _path(leaf)
            if skipped.isdisjoint(path) or path[-1:] == ("",):
                problems.extend(_problems(leaf, path, document, validator.schema))
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


def _problems(
    error: ValidationError, path: Path, document: Document, schema: Mapping[str, Any]
) -> list[Problem]:
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
    return [_problem(error, path, document, schema)]


def _part(error: ValidationError, name: str, otherwise: Any) -> Any:
    schema: Any = error.schema
    return schema.get(name, otherwise) if isinstance(schema, dict) else otherwise


def _problem(
    error: ValidationError, path: Path, document: Document, schema: Mapping[str, Any]
) -> Problem:
    name = str(path[-1]) if path and isinstance(path[-1], str) else "this"
    where = document.place(path)
    got = error.instance
    limit: Any = error.validator_value
    match error.validator:
        case "required" if isinstance(got, dict):
            absent = [k for k in limit if k not in got]
            verb = "is" if len(absent) == 1 else "are"
            wanted = _part(error, "properties", {})
            hint = "; ".join(f"{k}: {_written_as(k, wanted.get(k, {}), schema)}" for k in absent)
            return Problem(
                "shape-missing-key", f"{' and '.join(absent)} {verb} missing", where, hint
            )
        case "type":
            kinds = limit if isinstance(limit, list) else [limit]
            wanted = " or ".join(_KINDS.get(str(k), str(k)) for k in kinds)
            bare = "string" in kinds and isinstance(got, bool | int | float)
            hint = "put it between quotation marks to make it text" if bare else _kind_hint(kinds)
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
            hint = f"write {wanted}, or leave the key out"
            return Problem("shape-word", f"{name} can only be {wanted}", where, hint)
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
            return _limit_problem(error, name, where, schema)


def _limit_problem(
    error: ValidationError, name: str, where: Place, schema: Mapping[str, Any]
) -> Problem:
    """Something of the right kind that is too short, too large or there twice."""
    got: Any = error.instance
    limit: Any = error.validator_value
    hint = ""
    message = f"{name}: {error.message[:200]}"
    match error.validator:
        case "minItems" | "minLength" | "minProperties":
            few = f"holds {len(got)}, and at least {limit} are needed"
            message = f"{name} {few if got else 'is empty'}"
            about = error.schema if isinstance(error.schema, dict) else {}
            hint = "write it" if got == "" else _written_as(name, about, schema)
        case "minimum" | "maximum" | "exclusiveMinimum" | "exclusiveMaximum":
            message = f"{name} cannot be {_shown(got)}"
            hint = f"write a number {_BOUNDS[str(error.validator)]} {limit:g}"
        case "dependentRequired":
            pairs = [
                (key, other) for key in got for other in limit.get(key, ()) if other not in got
            ]
            said = " and ".join(f"{other} goes with {key}" for key, other in pairs)
            return Problem("shape-missing-key", said, where, "write both, or neither")
        case "uniqueItems":
            message, hint = f"{name} names something twice", "name each once"
    return Problem("shape-value", message, where, hint)


def _written_as(key: str, wanted: Mapping[str, Any], schema: Mapping[str, Any]) -> str:
    """How a key is written, from the schema of its value."""
    shape = wanted
    while "$ref" in shape:
        of = str(shape["$ref"]).rpartition("/")[2]
        if of in _WRITTEN_AS:
            return _WRITTEN_AS[of]
        shape = schema.get("$defs", {}).get(of, {})
    of_knowledge = schema.get("title") == _KNOWLEDGE
    if of_knowledge and key in _WRITTEN_AS:
        return _WRITTEN_AS[key]
    if shape.get("description"):
        return str(shape["description"])
    if "enum" in shape:
        return f"one of {', '.join(map(str, shape['enum']))}"
    return _KINDS.get(str(shape.get("type", "")), "")


def _kind_hint(kinds: Sequence[Any]) -> str:
    return next((_KIND_HINTS[str(kind)] for kind in kinds if str(kind) in _KIND_HINTS), "")


def _pattern_hint(pattern: str) -> str:
    if pattern.startswith("^[0-9]+"):
        return 'numbers with points, between quotation marks: "1.0"'
    if "\\." in pattern:
        return "two names with a point, such as acid.mix_ph"
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
