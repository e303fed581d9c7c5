"""What a protocol holds, once it has been worked out. All of it is frozen."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.model import Citation
    from advisor.science.estimate import Estimate

__all__ = [
    "Bar",
    "CheckPoint",
    "Cost",
    "Dose",
    "Expected",
    "Flow",
    "LabelCard",
    "MadeFrom",
    "Protocol",
    "Purchase",
    "Quantity",
    "Setting",
    "Step",
    "Timeline",
]


@dataclass(frozen=True, slots=True)
class Quantity:
    """Something that a text may name. ``exact`` amounts are measured out, others expected."""

    amount: Estimate | None = None
    word: str = ""
    exact: bool = False


@dataclass(frozen=True, slots=True)
class Setting:
    """A dial as it was set, with the span of practice, and why it stands there.

    ``footing`` is practice, given (by whoever asked) or calculated.
    """

    id: str  # part.dial
    label: str
    value: float
    low: float
    high: float
    unit: str
    footing: str
    because: str = ""
    source: tuple[Citation, ...] = ()


@dataclass(frozen=True, slots=True)
class Dose:
    """Something measured out, with its interval and where the number comes from.

    ``footing`` is calculated, practice, given or assumed. ``linear`` doses follow the amount of
    drink. ``notes`` say how to measure it where a scale or a jug is too coarse.
    """

    id: str  # part.quantity
    label: str
    amount: Estimate
    formula: str
    source: str
    footing: str
    linear: bool = True
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CheckPoint:
    """The point to check at a step, and what follows when it is not as it should be.

    ``tell`` are the answers for the diagnosis, whose verdict is expected at ``stage``.
    """

    finding: str
    label: str
    should: str
    tell: Mapping[str, str]
    cause: str
    cause_title: str
    stage: str
    remedy: str
    do: str

    @property
    def command(self) -> str:
        """The line that asks the diagnosis."""
        import shlex

        words = " ".join(f"-a {shlex.quote(f'{key}={value}')}" for key, value in self.tell.items())
        return f"curdwise diagnose {words}"


@dataclass(frozen=True, slots=True)
class Step:
    """One step. Times are minutes; ``after`` are the numbers of the steps it waits for.

    ``template`` names quantities in braces, ``scope`` is the part whose they are: see
    ``wording.step_text``.
    """

    number: int
    id: str  # part.step
    scope: str
    part_title: str
    title: str
    template: str
    hands_on: float
    wait: float
    attended: bool
    after: tuple[int, ...]
    start: float
    kit: tuple[str, ...] = ()
    check: CheckPoint | None = None
    cautions: tuple[str, ...] = ()
    source: tuple[Citation, ...] = ()

    @property
    def end(self) -> float:
        """Minutes from the beginning until it is over."""
        return self.start + self.hands_on + self.wait


@dataclass(frozen=True, slots=True)
class Bar:
    """A step on the time line: minutes from the beginning."""

    number: int
    title: str
    start: float
    busy_until: float
    end: float
    critical: bool


@dataclass(frozen=True, slots=True)
class Timeline:
    """How long it takes one person, what decides it and what runs beside what. Minutes."""

    total: float
    hands_on: float
    bars: tuple[Bar, ...]
    critical: tuple[int, ...]
    beside: tuple[tuple[int, int], ...]  # the second step is worked on while the first waits


@dataclass(frozen=True, slots=True)
class Flow:
    """What goes in and what goes out, for the balance: mL at 20 degC and mL of ethanol."""

    part: str
    what: str
    direction: str  # in, out
    volume: float
    ethanol: float


@dataclass(frozen=True, slots=True)
class Cost:
    """Money, in whatever currency the prices were; ``missing`` have no price."""

    total: float
    per_litre: float
    per_serve: float | None
    items: Mapping[str, float]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Expected:
    """What should come of it. Protein, lactose and drinks are of one serve."""

    volume: Estimate
    strength: Estimate
    ph: Estimate | None
    curd: Estimate | None
    acid_excess: Estimate | None  # acid put in over acid that the milk needs
    whey_protein: Estimate | None  # mg/L
    protein_per_serve: Estimate | None
    lactose_per_serve: Estimate | None
    sugar: Estimate | None  # g/L
    serve_ml: float
    serves: tuple[int, int, int]
    drinks: Mapping[str, Estimate]  # jurisdiction -> standard drinks or units
    keep_days: int
    keep_band: str
    keep_why: tuple[str, ...]
    cost: Cost | None = None


@dataclass(frozen=True, slots=True)
class Purchase:
    """A line of the shopping list; ``amount`` is with the spare, ``needed`` without."""

    group: str
    item: str
    text: str
    needed: Estimate | None = None
    amount: float = 0.0
    unit: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class LabelCard:
    """What stands on the bottle: words first, the law's own answer for each place."""

    name: str
    ingredients: tuple[str, ...]
    statements: Mapping[str, str]  # jurisdiction -> allergen statement
    list_exempt: Mapping[str, bool]
    contains_milk: bool
    strength: Estimate
    serve_ml: float
    drinks: Mapping[str, Estimate]
    lactose: Estimate | None
    storage: tuple[str, ...]
    made: str
    use_by: str
    deferral: str


@dataclass(frozen=True, slots=True)
class MadeFrom:
    """What a protocol was worked out from, enough to work it out again."""

    technique: str
    answers: Mapping[str, str | float]
    batch_ml: float | None
    overrides: Mapping[str, str | float]
    prices: Mapping[str, float]
    title: str = ""
    made: str = ""
    invented: bool = False


@dataclass(frozen=True, slots=True)
class Protocol:
    """Ordered steps with quantities for one batch, and what to expect of it."""

    technique: str
    title: str
    brief_title: str
    batch_ml: float
    drink_ml: float
    from_: MadeFrom
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
    settings: tuple[Setting, ...]
    doses: tuple[Dose, ...]
    quantities: Mapping[str, Quantity]  # part.name
    steps: tuple[Step, ...]
    timeline: Timeline
    expected: Expected
    flows: tuple[Flow, ...]
    shopping: tuple[Purchase, ...]
    not_linear: tuple[str, ...]
    cautions: tuple[str, ...]  # ids, stops first
    label: LabelCard
    circumstances: frozenset[str] = field(default_factory=frozenset)
    own_acid: float = 0.0  # g/L of the drink itself, as citric acid
    told: Mapping[str, str] = field(default_factory=dict)  # what the diagnosis would be told
    knowledge: str = ""

    def dose(self, id: str) -> Dose:
        """One dose by ``part.quantity``; ``KeyError`` when there is none."""
        for dose in self.doses:
            if dose.id == id:
                return dose
        raise KeyError(id)
