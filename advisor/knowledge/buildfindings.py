"""Sources, findings, figures and cautions from gathered records, and what every builder shares."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.errors import Problem, did_you_mean
from advisor.knowledge.conditionread import ConditionReader, Vocabulary, example_answers
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN
from advisor.knowledge.model import (
    Caution,
    Choice,
    Citation,
    Example,
    Figure,
    Finding,
    Source,
)
from advisor.knowledge.physical import bounds_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from advisor.knowledge.conditions import Alternatives
    from advisor.knowledge.gather import Gathered, Record
    from advisor.science.registry import Calculation, Input

__all__ = ["FindingBuilder", "one_line"]

_YES_NO = (Choice("yes", "yes"), Choice("no", "no"))
_VERDICTS = ("discard", "stop", "nothing-wrong")


class FindingBuilder:
    """Builds what conditions and tables speak of; problems are collected."""

    def __init__(self, gathered: Gathered, calculations: Mapping[str, Calculation]) -> None:
        self.gathered = gathered
        self.calculations = calculations
        self.problems = gathered.problems
        # Two vocabularies: a brief may speak of a batch's findings, a batch never of a brief's.
        self.vocabulary = Vocabulary()
        self.brief_vocabulary = Vocabulary()
        self._learn_words()
        self.sources = self._each("sources", self._source)
        built = self._each("findings", self._finding)
        self.findings = {k: f for k, f in built.items() if f.group != "brief"}
        self.brief_findings = {k: f for k, f in built.items() if f.group == "brief"}
        figures = self._each("figures", self._figure)
        of_brief = {k for k, r in gathered.section("figures").items() if self._of_brief(r)}
        self.figures = {k: f for k, f in figures.items() if k not in of_brief}
        self.brief_figures = {k: f for k, f in figures.items() if k in of_brief}
        self.cautions = self._each("cautions", self._caution)

    def _each(self, section: str, build: Callable[[Record], Any]) -> dict[str, Any]:
        built = {}
        for key, record in self.gathered.section(section).items():
            before = len(self.problems)
            value = build(record)
            if len(self.problems) == before:
                built[key] = value
        return built

    # Vocabulary first: conditions may speak of any finding or figure.

    def _learn_words(self) -> None:
        for key, record in self.gathered.section("findings").items():
            data = record.data
            for vocabulary in self._speaking_of(record):
                if data["kind"] == "quantity":
                    low, high = data.get("range") or (None, None)
                    vocabulary.units[key] = (str(data.get("unit", "")), low, high)
                elif data["kind"] == "yes-no":
                    vocabulary.words[key] = ("yes", "no")
                else:
                    vocabulary.words[key] = tuple(c["value"] for c in data.get("choices", []))
        for key, record in self.gathered.section("figures").items():
            known = self.calculations.get(record.data["calculation"])
            if known is None:
                continue
            # A batch's figures are worked out from a batch: a brief cannot speak of them.
            vocabulary = self._vocabulary_of(record)
            if known.choices:
                vocabulary.words[key] = tuple(known.choices)
            else:
                vocabulary.units[key] = (known.unit, *bounds_of(known.unit, signed=known.signed))
        self.vocabulary.words.setdefault("verdict", _VERDICTS)

    @staticmethod
    def _of_brief(record: Record) -> bool:
        """Whether a record speaks of a brief: a finding, figure or rule of choosing."""
        return record.data.get("group") == "brief" or record.path[0] in ("techniques", "choosing")

    def _vocabulary_of(self, record: Record) -> Vocabulary:
        return self.brief_vocabulary if self._of_brief(record) else self.vocabulary

    def _speaking_of(self, record: Record) -> tuple[Vocabulary, ...]:
        if self._of_brief(record):
            return (self.brief_vocabulary,)
        return (self.vocabulary, self.brief_vocabulary)

    def _source(self, record: Record) -> Source:
        data = record.data
        return Source(
            id=record.id,
            title=data["title"],
            by=data.get("by", ""),
            year=data.get("year"),
            where=data.get("where", ""),
            mark=data["mark"],
            note=data.get("note", ""),
            place=record.place(),
        )

    def _finding(self, record: Record) -> Finding:
        data = record.data
        kind = data["kind"]
        choices: tuple[Choice, ...] = ()
        low = high = None
        if kind == "choice":
            choices = self._choices(record)
        elif kind == "yes-no":
            share = data.get("usual")
            choices = (
                _YES_NO
                if share is None
                else (
                    Choice("yes", "yes", share),
                    Choice("no", "no", 1 - share),
                )
            )
        else:
            self._unit(record)
            low, high = data.get("range") or (None, None)
            if low is None:
                self._problem("finding-range", "a quantity needs its range", record)
            elif low >= high:
                self._problem("finding-range", "the range is empty", record, "range")
        for key, wanted in (("unit", "quantity"), ("range", "quantity"), ("choices", "choice")):
            if key in data and kind != wanted:
                self._problem("finding-form", f"{key} is only for a {wanted}", record, key)
        if data["group"] == "symptom" and kind != "yes-no":
            self._problem("finding-form", "a symptom is a yes-no finding", record, "kind")
        return Finding(
            id=record.id,
            label=data["label"],
            ask=data["ask"],
            kind=kind,
            choices=choices,
            unit=data.get("unit", ""),
            low=low,
            high=high,
            group=data["group"],
            help=data.get("help", ""),
            measures=self._measured(record),
            ask_when=self._condition(record, "ask_when"),
            asked=data.get("asked", True),
            ratio_of=self._ratio_of(record),
            opening=float(data.get("opening", 0)),
            closing=float(data.get("closing", 0)),
            minutes=float(data.get("minutes", 0.5)),
            place=record.place(),
        )

    def _choices(self, record: Record) -> tuple[Choice, ...]:
        written = record.data.get("choices")
        if not written:
            self._problem("finding-form", "a choice needs its choices", record)
            return ()
        choices = tuple(Choice(c["value"], c["label"], c.get("usual")) for c in written)
        if len({c.value for c in choices}) < len(choices):
            self._problem("finding-form", "two choices have the same value", record, "choices")
        shares = [c.usual for c in choices if c.usual is not None]
        if shares and (len(shares) < len(choices) or abs(sum(shares) - 1) > 0.011):
            self._problem(
                "finding-usual",
                f"the usual shares sum to {sum(shares):.3g}, not 1",
                record,
                "choices",
                hint="give every choice its share, or none",
            )
        if any(s == 0 for s in shares):
            self._problem(
                "finding-usual",
                "no answer has a share of nothing",
                record,
                "choices",
                hint="give the rarest answers 0.01",
            )
        return choices

    def _ratio_of(self, record: Record) -> str:
        other: str = record.data.get("ratio_of", "")
        units = self._vocabulary_of(record).units
        if other and other not in self.gathered.section("findings"):
            self._unknown("finding", other, units, record, "ratio_of")
        elif other:
            self._same_unit(record, record.id, units.get(other, ("",))[0], other, "ratio_of")
        return other

    def _measured(self, record: Record) -> str:
        measures: str = record.data.get("measures", "")
        figures = self.gathered.section("figures")
        if measures and measures not in figures:
            self._unknown("figure", measures, figures, record, "measures")
        if measures and record.data.get("kind", "quantity") != "quantity":
            self._problem("finding-form", "measures is only for a quantity", record, "measures")
        elif measures in figures and measures in self._vocabulary_of(record):
            wanted = self._vocabulary_of(record).units.get(measures, ("",))[0]
            self._same_unit(record, record.id, wanted, measures, "measures")
        return measures

    def _unit(self, record: Record) -> None:
        from advisor.quantities import UNITS

        unit = record.data.get("unit", "")
        if unit not in UNITS:
            self._problem(
                "unit-unknown",
                f"{unit!r} is not a unit of this base" if unit else "a quantity needs its unit",
                record,
                *(("unit",) if unit else ()),
                hint=did_you_mean(unit, UNITS) or f"the units are {', '.join(UNITS)}",
            )

    def _figure(self, record: Record) -> Figure:
        data = record.data
        calc = self.calculations.get(data["calculation"])
        inputs: dict[str, str] = dict(data["inputs"])
        if calc is None:
            self._unknown(
                "calculation", data["calculation"], self.calculations, record, "calculation"
            )
        else:
            self._figure_inputs(record, calc, inputs)
        for index, name in enumerate(data["needs"]):
            if name not in inputs.values():
                self._problem(
                    "figure-needs",
                    f"{name!r} is needed but feeds no input",
                    record,
                    "needs",
                    index,
                )
        return Figure(
            id=record.id,
            label=data["label"],
            calculation=data["calculation"],
            unit=calc.unit if calc else "",
            inputs=inputs,
            needs=tuple(data["needs"]),
            constants=dict(data.get("constants", {})),
            words=calc.choices if calc else (),
            measures=self._measured(record),
            place=record.place(),
        )

    def _figure_inputs(self, record: Record, calc: Calculation, inputs: Mapping[str, str]) -> None:
        given = {**inputs, **record.data.get("constants", {})}
        for argument in given:
            if argument not in calc.inputs:
                part = "inputs" if argument in inputs else "constants"
                self._unknown(f"input of {calc.id}", argument, calc.inputs, record, part, argument)
        for argument, wanted in calc.inputs.items():
            if wanted.required and argument not in given:
                self._problem(
                    "figure-input", f"{calc.id} needs {argument} ({wanted.unit})", record, "inputs"
                )
            key = inputs.get(argument)
            if key is None:
                continue
            where = ("inputs", argument)
            vocabulary = self._vocabulary_of(record)
            if key not in vocabulary:
                self._unknown("finding or figure", key, vocabulary.keys(), record, *where)
            elif wanted.unit == "word":
                extra = [w for w in vocabulary.words.get(key, ()) if w not in wanted.choices]
                if key not in vocabulary.words or (wanted.choices and extra):
                    self._problem(
                        "figure-words",
                        f"{argument} does not know {', '.join(extra) or key}",
                        record,
                        *where,
                        hint=f"it knows {', '.join(wanted.choices)}",
                    )
            else:
                self._same_unit(record, key, wanted.unit, f"{argument} of {calc.id}", *where)
        for argument, value in record.data.get("constants", {}).items():
            if argument in calc.inputs:
                self._constant(record, argument, calc.inputs[argument], value)

    def _constant(self, record: Record, argument: str, wanted: Input, value: object) -> None:
        """A fixed argument is used as it stands: a number in the unit, or a word that is known."""
        if wanted.unit == "word":
            fault = not isinstance(value, str) or (
                bool(wanted.choices) and value not in wanted.choices
            )
            hint = did_you_mean(str(value), wanted.choices)
            hint = hint or f"its words are {', '.join(wanted.choices)}"
            unit = "in words"
        else:
            least, most = bounds_of(wanted.unit)
            low = wanted.low if wanted.low is not None else least
            high = wanted.high if wanted.high is not None else most
            fault = not _inside(value, low, high)
            hint = f"write a number, which is taken in {wanted.unit}"
            if isinstance(value, int | float):
                hint = f"it goes from {_or_open(low)} to {_or_open(high)}"
            unit = f"in {wanted.unit}"
        if fault:
            self._problem(
                "figure-constant",
                f"{value!r} is no value of {argument}, which is {unit}",
                record,
                "constants",
                argument,
                hint=hint,
            )

    def _same_unit(
        self, record: Record, key: str, unit: str, fed: str, *where: str | int
    ) -> None:
        """Nothing is converted on the way from an answer to what it feeds: the units are one."""
        known = self.vocabulary.units.get(key) or self.brief_vocabulary.units.get(key)
        if known is not None and known[0] == unit:
            return
        written = self.gathered.section("findings").get(key)
        place = record.place(*where)
        # What a house wrote is told at the house's own line.
        if written is not None and self._of_house(key) and not self._of_house(record.id):
            place = written.place("unit" if "unit" in written.data else "kind")
            if any(p.code == "unit-mismatch" and p.where == place for p in self.problems):
                return
        given = "is in words" if known is None else f"is in {known[0]}"
        self.problems.append(
            Problem(
                "unit-mismatch",
                f"{key} {given}, and {fed} is in {unit or 'words'}"
                + (": nothing would be converted" if known is not None and unit else ""),
                place,
                f"write {key} in {unit}; people may still type other units"
                if known is not None and _convertible(known[0], unit)
                else "name a finding or figure of that unit",
            )
        )

    def _of_house(self, id: str) -> bool:
        return id in self.gathered.house

    def _caution(self, record: Record) -> Caution:
        data = record.data
        return Caution(
            id=record.id,
            text=one_line(data["text"]),
            level=data["level"],
            jurisdiction=data.get("jurisdiction", ""),
            source=self._citations(record),
            place=record.place(),
        )

    # Shared pieces.

    def _condition(self, record: Record, key: str) -> Alternatives:
        if key not in record.data:
            return ()
        return self._condition_at(record, record.data[key], key)

    def _condition_at(self, record: Record, written: Any, *where: str | int) -> Alternatives:
        vocabulary = self._vocabulary_of(record)
        reader = ConditionReader(record.document, vocabulary, self.problems)
        return reader.read(written, record.at(*where))

    def _examples(self, record: Record) -> tuple[Example, ...]:
        examples = []
        vocabulary = self._vocabulary_of(record)
        reader = ConditionReader(record.document, vocabulary, self.problems)
        for index, entry in enumerate(record.data["examples"]):
            for key, value in entry["given"].items():
                here = record.at("examples", index, "given", key)
                if value in ("known", "missing", UNKNOWN, NOT_NOW) or key not in vocabulary.units:
                    reader.test(key, value, here)
                else:
                    reader.number(key, value, here)
            examples.append(
                Example(
                    example_answers(entry["given"]), entry["fires"], entry.get("known_gap", False)
                )
            )
        return tuple(examples)

    def _citations(self, record: Record, key: str = "source") -> tuple[Citation, ...]:
        citations = []
        sources = self.gathered.section("sources")
        for index, entry in enumerate(record.data.get(key, ())):
            if isinstance(entry, str):
                citations.append(Citation(entry))
                continue
            if entry["ref"] not in (*sources, "practice", "judgement"):
                self._unknown("source", entry["ref"], sources, record, key, index, "ref")
            citations.append(
                Citation(
                    entry["ref"],
                    entry.get("at", ""),
                    entry.get("derived", False),
                    one_line(entry.get("says", "")),
                )
            )
        return tuple(citations)

    def _causes_known(self, record: Record, named: Iterable[str], *where: str | int) -> None:
        causes = self.gathered.section("causes")
        for cause in named:
            if cause not in causes:
                self._unknown("cause", cause, causes, record, *where, cause)

    def _known_ids(
        self, what: str, ids: Iterable[str], section: str, record: Record, *where: str | int
    ) -> None:
        known = self.gathered.section(section)
        for index, key in enumerate(ids):
            if key not in known:
                self._unknown(what, key, known, record, *where, index)

    def _unknown(
        self, what: str, id: str, known: Iterable[str], record: Record, *where: str | int
    ) -> None:
        self.problems.append(
            Problem(
                "unknown-id",
                f"there is no {what} {id!r}",
                record.place(*where) if where else record.place(),
                did_you_mean(id, known),
            )
        )

    def _problem(
        self, code: str, message: str, record: Record, *where: str | int, hint: str = ""
    ) -> None:
        self.problems.append(Problem(code, f"{record.id}: {message}", record.place(*where), hint))


def _inside(value: object, low: float | None, high: float | None) -> bool:
    return (
        isinstance(value, int | float)
        and not isinstance(value, bool)
        and (low is None or value >= low)
        and (high is None or value <= high)
    )


def _or_open(end: float | None) -> str:
    return "any" if end is None else f"{end:g}"


def _convertible(one: str, two: str) -> bool:
    from advisor.quantities import UNITS, same_dimension

    return one in UNITS and two in UNITS and same_dimension(one, two)


def one_line(text: str) -> str:
    """Text that was folded over several lines, as one."""
    return " ".join(text.split())
