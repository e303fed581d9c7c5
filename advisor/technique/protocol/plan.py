"""A protocol while it is being worked out: what is in the jug, what went in, what was set."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, did_you_mean
from advisor.science.estimate import Estimate, exact
from advisor.science.weighing import stock_for
from advisor.technique.protocol.model import Dose, Flow, Quantity, Setting

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.model import Base
    from advisor.knowledge.protocols import Dial, Part, PartUse
    from advisor.technique.brief import Brief

__all__ = ["NOTHING", "Bought", "Ingredient", "Liquid", "Plan", "fixed", "scaled"]

NOTHING = exact(0.0)
_SCALE_STEP = 0.1  # g; what a kitchen scale shows
_LEAST_JUG = 5.0  # mL that a kitchen jug still measures
_LEAST_SYRINGE = 0.05  # mL, one drop
WET = Estimate(5.0, 2.0, 10.0, "mL")
"""What paper, cloth and vessel keep at each straining, whatever the size: judgement."""


def fixed(value: float, unit: str = "") -> Estimate:
    """A number that is measured out, so without spread."""
    return exact(value, unit)


def scaled(given: Estimate, factor: float, unit: str = "") -> Estimate:
    """An estimate times a number that is not negative."""
    return Estimate(
        given.value * factor, given.low * factor, given.high * factor, unit or given.unit
    )


@dataclass(frozen=True, slots=True)
class Liquid:
    """What is in the jug: mL, %vol, g/L of acid (as citric) and sugar, mg/L of milk protein,
    g/L of lactose; ``acid`` is what is free for the next milk."""

    volume: Estimate
    strength: Estimate
    acid: Estimate
    ph: Estimate | None = None
    sugar: Estimate | None = None
    protein: Estimate = NOTHING
    lactose: Estimate = NOTHING

    @property
    def ethanol(self) -> float:
        """mL of ethanol, at the central values."""
        return self.volume.value * self.strength.value / 100.0


@dataclass(frozen=True, slots=True)
class Bought:
    """Something for the shopping list: a group, a name, and how much of it."""

    group: str
    item: str
    text: str
    amount: Estimate | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Ingredient:
    """Something that went in: its word for the allergens, its name for the label, g."""

    word: str
    name: str
    grams: float
    aid: bool = False
    form: str = "plain"


@dataclass(slots=True)
class Plan:
    """Collects what the parts of a protocol come to. ``now`` is the part at work."""

    base: Base
    brief: Brief
    technique: str
    overrides: Mapping[str, str | float]
    drink: Liquid
    drink_ml: float
    circumstances: set[str]
    spirit: Liquid | None = None  # washed spirit that is still apart from the rest of its drink
    rest: Liquid | None = None
    whey_needed: float = 0.0
    whey_kept: Estimate | None = None
    now: tuple[Part, PartUse] | None = None
    quantities: dict[str, Quantity] = field(default_factory=dict)
    settings: list[Setting] = field(default_factory=list)
    doses: list[Dose] = field(default_factory=list)
    flows: list[Flow] = field(default_factory=list)
    assumptions: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    bought: list[Bought] = field(default_factory=list)
    ingredients: list[Ingredient] = field(default_factory=list)
    processes: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    told: dict[str, dict[str, str]] = field(default_factory=dict)
    used: set[str] = field(default_factory=set)
    own_acid: float = 0.0
    own_kind: str = ""  # the acidulant that its own acid is of, where it has salts of its own
    ph_measured: bool = False  # its pH is a reading, and nothing that changes it has been done
    curd: Estimate | None = None
    acid_excess: Estimate | None = None  # acid in over acid needed; the last wash's
    foam_within: int = 0
    keeps: list[tuple[int, str]] = field(default_factory=list)

    @property
    def part(self) -> Part:
        """The part at work; ``LookupError`` between parts."""
        if self.now is None:
            raise LookupError("no part of the protocol is at work")
        return self.now[0]

    @property
    def use(self) -> PartUse:
        """How the protocol uses the part at work; ``LookupError`` between parts."""
        if self.now is None:
            raise LookupError("no part of the protocol is at work")
        return self.now[1]

    @property
    def name(self) -> str:
        """The name of the part at work, empty between parts."""
        return self.now[1].name if self.now else ""

    @property
    def litres(self) -> float:
        """The drink put in, in litres."""
        return self.drink_ml / 1000.0

    # Circumstances.

    def holds(self, *names: str) -> bool:
        """Whether all of these circumstances hold."""
        return all(name in self.circumstances for name in names)

    def mark(self, name: str, holds: bool = True) -> None:
        """A circumstance that the numbers came to; a later part may find it otherwise."""
        if holds:
            self.circumstances.add(name)
        else:
            self.circumstances.discard(name)

    def assume(self, text: str) -> None:
        """Something that was not said and is taken to be so."""
        if text not in self.assumptions:
            self.assumptions.append(text)

    def warn(self, text: str) -> None:
        """Something that stands against this plan."""
        if text not in self.warnings:
            self.warnings.append(text)

    # Dials.

    def has_dial(self, id: str) -> bool:
        """Whether the part at work has such a dial."""
        return id in self.part.dials

    def dial(self, id: str, *, factor: float = 1.0) -> float:
        """The value of a dial of the part at work; ``factor`` is for what the numbers ask for.

        Order: what was asked for, what the protocol fixes, circumstances, practice.
        ``AdvisorError`` for a setting outside of what is allowed.
        """
        about = self.part.dials[id]
        given = self._given(id)
        if given is not None:
            value = self._asked(about, given)
            return self._set(about, value, "given", "asked for")
        value, because = self._usual(about)
        return self._set(about, value * factor, "practice", because)

    def _usual(self, about: Dial) -> tuple[float, str]:
        if about.id in self.use.dials:
            return self.use.dials[about.id], about.because
        for other in about.choose:
            if self.holds(*other.when):
                return other.value, other.because or about.because
        return about.value, about.because

    def _given(self, id: str) -> str | float | None:
        for key in (f"{self.name}.{id}", id):
            if key in self.overrides:
                self.used.add(key)
                return self.overrides[key]
        return None

    def asked_amount(self, id: str, unit: str) -> float | None:
        """An amount that was asked for by name (``milk``, ``fat``, ``acid`` ...), if it was."""
        given = self._given(id)
        if given is None:
            return None
        value = _number(given, unit, id)
        if not value > 0.0:
            raise AdvisorError(
                "amount-impossible",
                f"{id} cannot be {given}",
                where=f"set {id}",
                hint=f"give an amount in {unit} above nothing",
            )
        return value

    def _asked(self, about: Dial, given: str | float) -> float:
        from advisor.quantities import UNITS, say

        value = _number(given, about.unit, about.id)
        low, high = about.allowed
        if not low <= value <= high:
            spoken = about.unit in UNITS
            span = (
                f"{say(low, about.unit)} and {say(high, about.unit)}"
                if spoken
                else f"{low:g} and {high:g} {about.unit}"
            )
            raise AdvisorError(
                "dial-range",
                f"{about.id} ({about.label}) cannot be {given}",
                where=f"set {about.id}",
                hint=f"it lies between {span}",
            )
        return value

    def _set(self, about: Dial, value: float, footing: str, because: str) -> float:
        setting = Setting(
            f"{self.name}.{about.id}",
            about.label,
            value,
            min(value, about.usual[0]),
            max(value, about.usual[1]),
            about.unit,
            footing,
            because,
            about.source,
        )
        self.settings = [s for s in self.settings if s.id != setting.id]
        self.settings.append(setting)
        return value

    def reset(
        self, id: str, value: float, because: str, *, span: tuple[float, float] | None = None
    ) -> None:
        """Another value for a dial, because a calculation asks for it; ``span`` is of practice."""
        full = f"{self.name}.{id}"
        for place, old in enumerate(self.settings):
            if old.id == full:
                low, high = span or (old.low, old.high)
                self.settings[place] = replace(
                    old,
                    value=value,
                    low=min(value, low),
                    high=max(value, high),
                    footing="calculated",
                    because=because,
                )

    def unused(self) -> None:
        """``AdvisorError`` when something was asked for that this protocol does not have."""
        left = [key for key in self.overrides if key not in self.used]
        if left:
            known = [s.id.partition(".")[2] for s in self.settings]
            known += [d.id.partition(".")[2] for d in self.doses]
            raise AdvisorError(
                "dial-unknown",
                f"this protocol has no {left[0]!r} to set",
                where=f"set {left[0]}",
                hint=did_you_mean(left[0].rpartition(".")[2], known)
                or "it has " + ", ".join(sorted(set(known))),
            )

    # What texts name.

    def put(self, name: str, amount: Estimate, *, exactly: bool = False) -> None:
        """A quantity of the part at work."""
        self.quantities[f"{self.name}.{name}"] = Quantity(amount, exact=exactly)

    def word(self, name: str, text: str) -> None:
        """A word of the part at work."""
        self.quantities[f"{self.name}.{name}"] = Quantity(word=text)

    def dose(
        self,
        name: str,
        label: str,
        amount: Estimate,
        *,
        formula: str,
        source: str,
        footing: str = "calculated",
        linear: bool = True,
    ) -> None:
        """Something measured out. Nothing is rounded to zero: a note says how to measure it."""
        self.put(name, amount, exactly=True)
        notes = self._measuring(label, amount)
        self.doses.append(
            Dose(
                f"{self.name}.{name}", label, amount, formula, source, footing, linear, tuple(notes)
            )
        )

    def _measuring(self, label: str, amount: Estimate) -> list[str]:
        value = amount.value
        if value <= 0.0:
            return []
        if amount.unit == "g":
            return self._weighing(label, value)
        if amount.unit == "mL" and value < _LEAST_SYRINGE:
            return [f"{value:.2g} ml is less than a drop: make the batch larger."]
        if amount.unit == "mL" and value < _LEAST_JUG:
            return [f"Measure the {value:.2g} ml with a small syringe; a drop is about 0.05 ml."]
        return []

    def _weighing(self, label: str, grams: float) -> list[str]:
        if not self.holds("scale"):
            return [f"{label} needs a scale that shows tenths of a gram."]
        stock = stock_for(grams, _SCALE_STEP)
        if stock is None:
            return []
        return [
            f"A scale that shows {_SCALE_STEP:g} g is too coarse for {grams:.2g} g: dissolve "
            f"{stock.grams:g} g in water and make it up to {stock.made_ml:g} ml "
            f"({stock.percent:g} %), then use {stock.take_ml:.3g} ml of it. What does not "
            "dissolve is weighed for a larger lot and shared out."
        ]

    # The balance.

    def flow(self, what: str, direction: str, volume: float, ethanol: float) -> None:
        """Volume and ethanol that enter or leave."""
        if abs(volume) > 1e-12 or abs(ethanol) > 1e-12:
            self.flows.append(Flow(self.name, what, direction, volume, ethanol))


def _number(given: str | float, unit: str, id: str) -> float:
    if isinstance(given, int | float) and not isinstance(given, bool):
        value = float(given)
    else:
        from advisor.quantities import UNITS, parse

        if unit in UNITS:
            try:
                value = parse(str(given), unit).value
            except AdvisorError as error:
                raise AdvisorError(
                    error.code, f"{id}: {error.message}", where=f"set {id}", hint=error.hint
                ) from None
        else:
            try:
                value = float(str(given))
            except ValueError:
                value = float("nan")
    if not abs(value) < float("inf"):
        raise AdvisorError("quantity", f"{id}: {given!r} is not an amount", where=f"set {id}")
    return value
