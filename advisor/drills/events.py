"""What happens in a drill, as small values that go into its journal and come back the same."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any, TypeAlias

from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

__all__ = [
    "Asked",
    "Event",
    "Finished",
    "Hinted",
    "Named",
    "Said",
    "Treated",
    "data_of",
    "event_of",
]


@dataclass(frozen=True, slots=True)
class Asked:
    """Something was asked, looked at, tasted, measured or tried, and this came out."""

    finding: str
    answer: str | float
    minutes: float
    work: float
    wait: float
    liquid_ml: float


@dataclass(frozen=True, slots=True)
class Hinted:
    """A hint was taken; it costs minutes."""

    text: str
    minutes: float


@dataclass(frozen=True, slots=True)
class Named:
    """What the trainee holds it to be. ``confidence`` is from 0 to 1, or not stated."""

    verdict: str
    causes: tuple[str, ...]
    stage: str
    confidence: float | None


@dataclass(frozen=True, slots=True)
class Treated:
    """The remedy that was picked, and its dose as written."""

    remedy: str
    dose: str


@dataclass(frozen=True, slots=True)
class Said:
    """What the trainee would say to a guest or a colleague."""

    statements: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Finished:
    """The drill is over; ``at`` is the time (UTC)."""

    at: datetime


Event: TypeAlias = Asked | Hinted | Named | Treated | Said | Finished

_KINDS: dict[str, type[Any]] = {
    "asked": Asked,
    "hinted": Hinted,
    "named": Named,
    "treated": Treated,
    "said": Said,
    "finished": Finished,
}
_NAMES = {kind: name for name, kind in _KINDS.items()}


def data_of(event: Event) -> dict[str, Any]:
    """An event as plain data."""
    data: dict[str, Any] = {"event": _NAMES[type(event)], **asdict(event)}
    return {k: v.isoformat() if isinstance(v, datetime) else v for k, v in data.items()}


def event_of(data: Any) -> Event:
    """An event from its data. Raises ``AdvisorError`` (code ``journal``) when it is none."""
    try:
        name, reads = data["event"], _READ[data["event"]]
        made: Event = _KINDS[name](**{key: read(data[key]) for key, read in reads.items()})
    except (KeyError, TypeError, ValueError) as error:
        raise AdvisorError("journal", f"this is no step of a drill: {error}") from None
    return made


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError(f"{value!r} is no text")
    return value


def _number(value: Any) -> float:
    number = float(value)
    if isinstance(value, bool | str) or not 0.0 <= number < 1e9:
        raise ValueError(f"{value!r} is no amount")
    return number


def _answer(value: Any) -> str | float:
    if isinstance(value, str):
        return value
    number = float(value)
    if not -1e9 < number < 1e9:
        raise ValueError(f"{value!r} is no answer")
    return number


def _chance(value: Any) -> float | None:
    if value is None:
        return None
    chance = _number(value)
    if chance > 1.0:
        raise ValueError(f"{value!r} is no probability")
    return chance


def _texts(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise TypeError(f"{value!r} is no list")
    return tuple(map(_text, value))


def _time(value: Any) -> datetime:
    time = datetime.fromisoformat(_text(value))
    if time.tzinfo is None:
        raise ValueError(f"{value!r} does not say which time zone it is in")
    return time


_READ: Mapping[str, Mapping[str, Callable[[Any], Any]]] = {
    "asked": {
        "finding": _text,
        "answer": _answer,
        "minutes": _number,
        "work": _number,
        "wait": _number,
        "liquid_ml": _number,
    },
    "hinted": {"text": _text, "minutes": _number},
    "named": {"verdict": _text, "causes": _texts, "stage": _text, "confidence": _chance},
    "treated": {"remedy": _text, "dose": _text},
    "said": {"statements": _texts},
    "finished": {"at": _time},
}
