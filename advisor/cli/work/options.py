"""What the options take: amounts, doses, words and counts as people write them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from advisor.errors import AdvisorError, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from click.shell_completion import CompletionItem

    from advisor.science.estimate import Estimate

if TYPE_CHECKING:
    Type = click.ParamType[Any]
else:
    Type = click.ParamType  # older releases cannot be subscripted

__all__ = [
    "GIVEN",
    "Amount",
    "Count",
    "Dose",
    "Kind",
    "Plain",
    "Type",
    "amount",
    "count",
    "flag_of",
    "kind",
    "noted",
    "plain",
    "read_amount",
    "shared",
]

GIVEN = "curdwise.work.given"


def flag_of(param: click.Parameter | None) -> str:
    """How a parameter is called on the command line."""
    if param is None:
        return ""
    if isinstance(param, click.Option):
        return max(param.opts, key=len)
    return param.make_metavar(click.Context(click.Command("x"))).strip("[].")


def read_amount(text: str, unit: str, where: str) -> Estimate | float:
    """An amount in ``unit``; an interval when the wording leaves one open."""
    from advisor.quantities import parse
    from advisor.science.estimate import Estimate

    try:
        found = parse(text, unit)
    except AdvisorError as error:
        place = f"{where} {error.where}".strip()
        raise AdvisorError(error.code, error.message, where=place, hint=error.hint) from None
    if found.low == found.high:
        return found.value
    return Estimate(found.value, found.low, found.high, unit)


def noted(ctx: click.Context | None, param: click.Parameter | None, text: str, read: Any) -> Any:
    """Keep what was written, for the JSON."""
    if ctx is not None and param is not None and param.name:
        low, value, high = (getattr(read, end, read) for end in ("low", "value", "high"))
        entry: dict[str, Any] = {"text": text}
        if isinstance(value, int | float):
            entry |= {"value": value, "low": low, "high": high}
            entry["unit"] = getattr(param.type, "unit", "")
        kept = ctx.meta.setdefault(GIVEN, {})
        if param.multiple if isinstance(param, click.Option) else param.nargs == -1:
            kept.setdefault(param.name, []).append(entry)
        else:
            kept[param.name] = entry
    return read


class Amount(Type):
    """An amount in ``unit``: a float, or an ``Estimate`` where the wording leaves it open."""

    name = "amount"

    def __init__(self, unit: str) -> None:
        self.unit = unit

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> Estimate | float:
        if not isinstance(value, str):
            return value  # type: ignore[no-any-return]
        return noted(ctx, param, value, read_amount(value, self.unit, flag_of(param)))  # type: ignore[no-any-return]


class Dose(Type):
    """A weight or a volume: ``{"g": amount}``, ``{"mL": amount}``, or both for a bare number."""

    name = "dose"
    unit = ""

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> dict[str, Estimate | float]:
        if not isinstance(value, str):
            return value  # type: ignore[no-any-return]
        found: dict[str, Estimate | float] = {}
        failed: AdvisorError | None = None
        for unit in ("g", "mL"):
            try:
                found[unit] = read_amount(value, unit, flag_of(param))
            except AdvisorError as error:
                failed = error
        if not found and failed is not None:
            raise AdvisorError(
                failed.code, failed.message, where=failed.where, hint="for example 8 g or 30 ml"
            )
        noted(ctx, param, value, None)
        return found


class Kind(Type):
    """One of the words of a list in ``words``, with completion and a hint for a near miss."""

    name = "kind"
    unit = ""

    def __init__(self, of: str) -> None:
        self.of = of

    def _known(self) -> Iterable[str]:
        from advisor.cli.work.words import WORDS

        return WORDS[self.of]()

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> str:
        known = list(self._known())
        word = str(value).strip().lower().replace(" ", "-")
        if word not in known:
            raise AdvisorError(
                "word",
                f"{str(value)[:40]!r} is not one of {', '.join(known)}",
                where=flag_of(param),
                hint=did_you_mean(word, known),
            )
        return noted(ctx, param, str(value), word)  # type: ignore[no-any-return]

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        from click.shell_completion import CompletionItem

        return [CompletionItem(word) for word in self._known() if word.startswith(incomplete)]


class Plain(Type):
    """A plain number from ``low`` to ``high``."""

    name = "number"
    whole = False

    def __init__(self, low: float, high: float, unit: str = "") -> None:
        self.low, self.high, self.unit = low, high, unit

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float | int:
        if not isinstance(value, str):
            return value  # type: ignore[no-any-return]
        from advisor.quantities import figure

        number: float | int | None
        hint = ""
        try:
            number = int(value.strip()) if self.whole else figure(value)
        except ValueError:
            number = None
        except AdvisorError as error:
            number, hint = None, error.hint
        if number is None or not self.low <= number <= self.high:
            what = "a whole number" if self.whole else "a number"
            said = f"{value[:40]!r} must be {what} from {self.low:g} to {self.high:g} {self.unit}"
            raise AdvisorError("number", said.rstrip(), where=flag_of(param), hint=hint)
        return noted(ctx, param, value, number)  # type: ignore[no-any-return]


class Count(Plain):
    """A whole number from ``low`` to ``high``."""

    name = "count"
    whole = True


_SPELLED = {"%vol": "%", "degC": "°C", "ratio": "a ratio", "um": "µm", "mL": "ml"}


def amount(flag: str, name: str, unit: str, help: str, **more: Any) -> Callable[[Any], Any]:
    """An option that takes an amount; the help names the unit of a bare number."""
    spelled = _SPELLED.get(unit, unit)
    return click.option(
        flag, name, type=Amount(unit), metavar="AMOUNT", help=f"{help} [{spelled}]", **more
    )


def kind(flag: str, name: str, of: str, help: str, **more: Any) -> Callable[[Any], Any]:
    """An option that takes a word; ``curdwise work words`` lists them."""
    return click.option(
        flag, name, type=Kind(of), metavar="KIND", help=f"{help} (curdwise work words {of})", **more
    )


def count(
    flag: str, name: str, help: str, low: int, high: int, **more: Any
) -> Callable[[Any], Any]:
    """An option that takes a whole number."""
    return click.option(flag, name, type=Count(low, high), metavar="N", help=help, **more)


def plain(
    flag: str, name: str, help: str, low: float, high: float, unit: str = "", **more: Any
) -> Callable[[Any], Any]:
    """An option that takes a plain number."""
    return click.option(
        flag, name, type=Plain(low, high, unit), metavar="NUMBER", help=help, **more
    )


_SHARED: dict[str, Callable[[bool], Callable[[Any], Any]]] = {
    "drink": lambda must: amount(
        "--drink", "drink_ml", "mL", "Everything but the milk, juice included.", required=must
    ),
    "drink_strength": lambda must: amount(
        "--strength", "drink_strength", "%vol", "Strength of the drink before the milk.",
        required=must,
    ),
    "milk": lambda must: amount("--milk", "milk_ml", "mL", "Milk.", required=must),
    "milk_kind": lambda must: kind(
        "--milk-kind", "milk_kind", "milk", "Kind of milk; whole if not said", required=must
    ),
    "acid": lambda must: kind(
        "--acid", "acid_kind", "acid", "Acid or juice in the drink, or none", required=must
    ),
    "dose": lambda must: click.option(
        "--dose", type=Dose(), metavar="AMOUNT", required=must,
        help="How much of that acid; a bare number is g of a powder, ml of a liquid.",
    ),
    "at": lambda must: amount(
        "--at", "mix_temperature", "degC", "Temperature of the mix; 20 if not said.", required=must
    ),
    "own_acid": lambda must: amount(
        "--own-acid", "own_acid", "g/L", "Other acid of the drink, as citric acid.", required=must
    ),
    "buffering": lambda must: amount(
        "--buffering", "milk_buffering", "ratio",
        "Your milk's buffering against the table, from acid fit.", required=must,
    ),
    "serve": lambda must: amount("--serve", "serve_ml", "mL", "One serve.", required=must),
}  # fmt: skip


def shared(*names: str, must: tuple[str, ...] = ()) -> Callable[[Any], Any]:
    """The options that describe a batch, in this order; those in ``must`` are needed."""

    def decorate(function: Any) -> Any:
        for name in reversed(names):
            function = _SHARED[name](name in must)(function)
        return function

    return decorate
