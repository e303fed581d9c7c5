"""Protocol parts and protocols from gathered records, with every reference checked."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError
from advisor.knowledge.buildfindings import FindingBuilder, one_line
from advisor.knowledge.model import BRACES, Citation
from advisor.knowledge.protocols import (
    CIRCUMSTANCES,
    QUANTITIES,
    SHARED,
    Choosing,
    Dial,
    Item,
    Part,
    PartUse,
    Point,
    ProtocolText,
    StepText,
)
from advisor.science.allergen_sources import INGREDIENTS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.knowledge.gather import Record

__all__ = ["ProtocolBuilder"]


class ProtocolBuilder(FindingBuilder):
    """Builds parts and protocols; problems are collected."""

    def _part(self, record: Record) -> Part:
        data = record.data
        ids = [step["id"] for step in data["steps"]]
        for index, step in enumerate(ids):
            if step in ids[:index]:
                self._problem(
                    "id-twice", f"the step {step!r} is there twice", record, "steps", index
                )
        return Part(
            id=record.id,
            title=data["title"],
            work=data["work"],
            dials={key: self._dial(record, key) for key in data.get("dials", {})},
            steps=tuple(self._step(record, index) for index in range(len(ids))),
            item=self._item(record),
            place=record.place(),
        )

    def _item(self, record: Record) -> Item | None:
        data = record.data.get("item")
        if (data is not None) is not (record.data["work"] == "add"):
            self._problem("part-item", "the work `add`, and no other, names an item", record)
        if data is None:
            return None
        if data.get("contains") and data["contains"] not in INGREDIENTS:
            self._unknown(
                "ingredient word", data["contains"], INGREDIENTS, record, "item", "contains"
            )
        return Item(
            data["id"],
            data["name"],
            data["unit"],
            data.get("contains", ""),
            data.get("aid", False),
        )

    def _dial(self, record: Record, key: str) -> Dial:
        data = record.data["dials"][key]
        where = ("dials", key)
        low, high = data["allowed"]
        settings = [data["value"], *data["usual"]]
        settings += [entry["value"] for entry in data.get("choose", ())]
        if not low < high or any(not low <= value <= high for value in settings):
            self._problem(
                "dial-range",
                f"{key}: every setting must lie within what is allowed ({low:g} to {high:g})",
                record,
                *where,
            )
        if data["usual"][0] > data["usual"][1]:
            self._problem("dial-range", f"{key}: the usual span is empty", record, *where)
        if data["unit"]:
            self._unit_known(data["unit"], record, *where, "unit")
        return Dial(
            id=key,
            label=data["label"],
            unit=data["unit"],
            value=float(data["value"]),
            usual=(float(data["usual"][0]), float(data["usual"][1])),
            allowed=(float(low), float(high)),
            choose=tuple(
                Choosing(
                    self._circumstances(record, entry, "when", *where, "choose", index),
                    float(entry["value"]),
                    one_line(entry.get("because", "")),
                )
                for index, entry in enumerate(data.get("choose", ()))
            ),
            because=one_line(data.get("because", "")),
            source=self._cited(record, data["source"], *where, "source"),
        )

    def _unit_known(self, unit: str, record: Record, *where: str | int) -> None:
        from advisor.quantities import same_dimension

        try:
            same_dimension(unit, unit)
        except AdvisorError as error:
            self._problem("unit-unknown", error.message, record, *where, hint=error.hint)

    def _step(self, record: Record, index: int) -> StepText:
        data = record.data["steps"][index]
        where = ("steps", index)
        quantities = (*QUANTITIES[record.data["work"]], *SHARED)
        self._braces(record, data["do"], quantities, *where, "do")
        ids = [step["id"] for step in record.data["steps"]]
        for number, before in enumerate(data.get("after", ())):
            if before != "start" and before not in ids[:index]:
                self._unknown(
                    "earlier step", before, ids[:index], record, *where, "after", number
                )
        wait = data.get("wait", 0)
        if isinstance(wait, str) and wait not in quantities:
            self._unknown("quantity", wait, quantities, record, *where, "wait")
        self._known_ids("caution", data.get("cautions", ()), "cautions", record, *where, "cautions")
        point = data.get("point")
        return StepText(
            id=data["id"],
            title=data["title"],
            do=one_line(data["do"]),
            hands_on=float(data.get("hands_on", 0)),
            per_litre=float(data.get("per_litre", 0)),
            wait=wait if isinstance(wait, str) else float(wait),
            attended=data.get("attended", False),
            after=tuple(data.get("after", ())),
            when=self._circumstances(record, data, "when", *where),
            unless=self._circumstances(record, data, "unless", *where),
            kit=tuple(data.get("kit", ())),
            point=self._point(record, point, quantities, *where, "point") if point else None,
            cautions=tuple(data.get("cautions", ())),
            source=self._cited(record, data["source"], *where, "source"),
        )

    def _circumstances(
        self, record: Record, data: Any, key: str, *where: str | int
    ) -> tuple[str, ...]:
        """The words of a `when` or `unless`: below such keys no shape has been checked."""
        written = data.get(key, [])
        if not isinstance(written, list):
            self._problem(
                "shape-kind",
                f"{key} is a list of circumstances here",
                record,
                *where,
                key,
                hint=f"for example {key}: [hot-milk]",
            )
            return ()
        for index, word in enumerate(written):
            if word not in CIRCUMSTANCES:
                self._unknown(
                    "circumstance", str(word), CIRCUMSTANCES, record, *where, key, index
                )
        return tuple(map(str, written))

    def _point(
        self, record: Record, data: Any, quantities: tuple[str, ...], *where: str | int
    ) -> Point:
        findings = self.gathered.section("findings")
        for key in (data["finding"], *data["bad"]):
            if key not in findings:
                self._unknown("finding", key, findings, record, *where)
        for key, value in data["bad"].items():
            words = self.vocabulary.words.get(key)
            if words is not None and str(value) not in words:
                self._unknown(f"answer of {key}", str(value), words, record, *where, "bad", key)
        self._causes_known(record, [data["cause"]], *where)
        remedies = self.gathered.section("remedies")
        if data["remedy"] not in remedies:
            self._unknown("remedy", data["remedy"], remedies, record, *where, "remedy")
        elif data["cause"] not in remedies[data["remedy"]].data["cures"]:
            self._problem(
                "point-remedy",
                f"{data['remedy']} does not say that it cures {data['cause']}",
                record,
                *where,
                "remedy",
            )
        for key in ("should", "do"):
            self._braces(record, data[key], quantities, *where, key)
        return Point(
            finding=data["finding"],
            should=one_line(data["should"]),
            bad={key: str(value) for key, value in data["bad"].items()},
            cause=data["cause"],
            remedy=data["remedy"],
            do=one_line(data["do"]),
        )

    def _cited(
        self, record: Record, entries: Iterable[Any], *where: str | int
    ) -> tuple[Citation, ...]:
        """Citations that stand inside a record; ``_citations`` reads those of the record itself."""
        sources = self.gathered.section("sources")
        cited = []
        for index, entry in enumerate(entries):
            if isinstance(entry, str):
                cited.append(Citation(entry))
                continue
            if entry["ref"] not in (*sources, "practice", "judgement"):
                self._unknown("source", entry["ref"], sources, record, *where, index, "ref")
            cited.append(
                Citation(
                    entry["ref"],
                    entry.get("at", ""),
                    entry.get("derived", False),
                    one_line(entry.get("says", "")),
                )
            )
        return tuple(cited)

    def _braces(
        self, record: Record, text: str, known: tuple[str, ...], *where: str | int
    ) -> None:
        for name in BRACES.findall(text):
            if name not in known:
                self._unknown("quantity", name, known, record, *where)
        if re.search(r"[{}]", BRACES.sub("", text)):
            self._problem(
                "step-braces", "braces hold one quantity: {under_scores}", record, *where
            )

    def _protocol(self, record: Record) -> ProtocolText:
        data = record.data
        techniques = self.gathered.section("techniques")
        if data["technique"] not in techniques:
            self._unknown("technique", data["technique"], techniques, record, "technique")
        parts = self.gathered.section("parts")
        uses: list[PartUse] = []
        for index, entry in enumerate(data["parts"]):
            where = ("parts", index)
            part = parts.get(entry["part"])
            if part is None:
                self._unknown("part", entry["part"], parts, record, *where, "part")
                continue
            dials = part.data.get("dials", {})
            for key, value in entry.get("dials", {}).items():
                if key not in dials:
                    self._unknown("dial", key, dials, record, *where, "dials", key)
                elif not dials[key]["allowed"][0] <= value <= dials[key]["allowed"][1]:
                    self._problem(
                        "dial-range", f"{key} cannot be {value:g}", record, *where, "dials", key
                    )
            name = entry.get("name", part.data["work"].replace("-", "_"))
            if any(use.name == name for use in uses):
                self._problem(
                    "part-twice",
                    f"two parts are called {name}",
                    record,
                    *where,
                    hint="give the second one a name of its own",
                )
            uses.append(
                PartUse(
                    entry["part"],
                    name,
                    {key: float(value) for key, value in entry.get("dials", {}).items()},
                    dict(entry.get("words", {})),
                    entry.get("beside", False),
                    self._circumstances(record, entry, "when", *where),
                    self._circumstances(record, entry, "unless", *where),
                )
            )
        return ProtocolText(
            id=record.id,
            technique=data["technique"],
            title=data["title"],
            parts=tuple(uses),
            because=one_line(data.get("because", "")),
            source=self._citations(record),
            place=record.place(),
        )

    def _every_technique_has_one(self) -> None:
        written = {r.data["technique"] for r in self.gathered.section("protocols").values()}
        seen: set[str] = set()
        for record in self.gathered.section("protocols").values():
            technique = record.data["technique"]
            if technique in seen:
                self._problem(
                    "protocol-twice", f"{technique} has a protocol already", record, "technique"
                )
            seen.add(technique)
        for key, record in self.gathered.section("techniques").items():
            if written and key not in written:
                self._problem(
                    "technique-no-protocol",
                    "no protocol says how it is done",
                    record,
                    hint="add one under protocols, with technique: " + key,
                )
