"""Make the entries of a base."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from advisor.report.browse.choosing import choosing_entries
from advisor.report.browse.model import Entry, Ref, parts, text_rows
from advisor.report.browse.words import (
    about,
    answer_row,
    cause_ref,
    citations,
    cited,
    condition,
    effect_row,
    test_row,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from advisor.knowledge.model import (
        Base,
        Cause,
        Caution,
        Check,
        Figure,
        Finding,
        Line,
        Remedy,
        Rule,
        Source,
    )
    from advisor.knowledge.protocols import Part as PartText
    from advisor.report.browse.model import Bit, Row

__all__ = ["entries"]

_OF = {"this-batch": "for this batch", "next-batch": "for the next batch"}


def entries(base: Base) -> Mapping[str, Entry]:
    """Every record of the base by id, in the order of kinds that pages use."""
    maker = _Maker(base, _Index.of(base))
    made: list[Entry] = []
    made += [maker.finding(f) for f in base.findings.values() if f.symptom]
    made += [maker.cause(c) for c in base.causes.values()]
    made += [maker.check(c) for c in base.checks.values()]
    made += [maker.remedy(r) for r in base.remedies.values()]
    made += [maker.rule(r) for r in base.rules.values()]
    made += choosing_entries(base)
    made += [maker.caution(c) for c in base.cautions.values()]
    made += [maker.figure(f) for f in {**base.figures, **base.brief_figures}.values()]
    findings = {**base.findings, **base.brief_findings}
    made += [maker.finding(f) for f in findings.values() if not f.symptom]
    rests = defaultdict(list)
    for entry in made:
        for source in entry.sources:
            rests[source].append(entry)
    made += [maker.source(s, rests[s.id]) for s in base.sources.values()]
    done = {c.id: c.verb for c in base.house if c.verb != "switched off"}
    return {e.id: replace(e, house=done.get(e.id, "")) for e in made}


@dataclass(frozen=True)
class _Index:
    """Who speaks of what."""

    by_cause: Mapping[str, list[tuple[Line, float]]]  # lines that weigh for or against a cause
    by_key: Mapping[str, list[Rule]]  # rules that test a finding or figure
    by_caution: Mapping[str, list[Rule | Check | PartText]]
    by_remedy: Mapping[str, list[Rule]]  # rules that suggest it
    symptoms: Mapping[str, tuple[str, ...]]  # cause -> symptoms that it shows, likeliest first
    dosed: Mapping[str, list[Remedy]]  # figure -> remedies whose text carries it

    @classmethod
    def of(cls, base: Base) -> _Index:
        from advisor.knowledge.model import BRACES

        by_key: dict[str, list[Rule]] = defaultdict(list)
        by_caution: dict[str, list[Rule | Check | PartText]] = defaultdict(list)
        by_remedy: dict[str, list[Rule]] = defaultdict(list)
        dosed: dict[str, list[Remedy]] = defaultdict(list)
        for rule in (*base.rules.values(), *base.choosing.values()):
            for key in dict.fromkeys(t.key for option in rule.when for t in option):
                by_key[key].append(rule)
            for effect in rule.effects:
                if effect.kind == "caution":
                    by_caution[effect.target].append(rule)
                elif effect.kind == "suggest":
                    by_remedy[effect.target].append(rule)
        for check in base.checks.values():
            for caution in check.caution:
                by_caution[caution].append(check)
        for part in base.parts.values():
            for caution in dict.fromkeys(c for step in part.steps for c in step.cautions):
                by_caution[caution].append(part)
        for remedy in base.remedies.values():
            for key in dict.fromkeys(BRACES.findall(remedy.do)):
                dosed[key].append(remedy)
        by_cause = _weighing(base)
        return cls(by_cause, by_key, by_caution, by_remedy, _symptoms(base, by_cause), dosed)


def _weighing(base: Base) -> dict[str, list[tuple[Line, float]]]:
    by_cause: dict[str, list[tuple[Line, float]]] = defaultdict(list)
    for line in base.lines:
        for effect in line.effects:
            if effect.kind in ("suspect", "doubt"):
                by_cause[effect.target].append((line, effect.weight))
    return by_cause


def _symptoms(
    base: Base, by_cause: Mapping[str, list[tuple[Line, float]]]
) -> dict[str, tuple[str, ...]]:
    shown: dict[str, tuple[str, ...]] = {}
    for cause, weighs in by_cause.items():
        rows = [
            (-weight, line.when[0][0].key)
            for line, weight in weighs
            if weight > 0 and line.origin == "shows" and line.id.endswith("=yes")
        ]
        shown[cause] = tuple(key for _, key in sorted(rows) if base.findings[key].symptom)
    return shown


class _Maker:
    """One method a kind; all of them only read the base and its index."""

    def __init__(self, base: Base, index: _Index) -> None:
        self.base = base
        self.index = index

    def finding(self, finding: Finding) -> Entry:
        """A symptom, with the causes it may come from, or any other finding."""
        base = self.base
        check = next((c for c in base.checks.values() if c.finding == finding.id), None)
        answers: list[Row] = []
        if finding.kind == "choice":
            answers = [(f"{c.value}: {c.label}",) for c in finding.choices]
        elif finding.kind == "quantity":
            answers = [(f"an amount in {finding.unit}, {finding.low:g} to {finding.high:g}",)]
        causes: Iterable[Row] = ()
        if finding.symptom:
            causes = self._causes_of(finding.id)
        elif finding.kind != "quantity":
            causes = self._speaks_for(finding)
        return Entry(
            kind="symptom" if finding.symptom else "finding",
            id=finding.id,
            title=finding.label,
            parts=parts(
                ("", text_rows(finding.ask, finding.help)),
                ("May be answered", answers),
                ("Learned by", [(Ref(check.id, check.title),)] if check else ()),
                ("May come from" if finding.symptom else "What each answer speaks for", causes),
                ("Rules that test it", self._rules(finding.id)),
                ("Asked only when", condition(base, finding.ask_when)),
            ),
            symptoms=(finding.id,) if finding.symptom else (),
            place=finding.place,
        )

    def _causes_of(self, symptom: str) -> Iterator[Row]:
        rows = [
            (effect.weight, effect.target)
            for line in self.base.lines
            if line.id == f"shows/{symptom}=yes"
            for effect in line.effects
            if effect.weight > 0 and effect.target in self.base.causes
        ]
        for weight, cause in sorted(rows, key=lambda r: (-r[0] - self.base.priors[r[1]], r[1])):
            record = self.base.causes[cause]
            yield (
                cause_ref(self.base, cause),
                f" ({record.stage}; met {record.prior}; +{weight:.1f} dB)",
            )

    def _speaks_for(self, finding: Finding) -> Iterator[Row]:
        raised: dict[Row, dict[str, float]] = {}
        for line in self.base.lines:
            if line.origin in ("shows", "outcome") and line.when[0][0].key == finding.id:
                found = raised.setdefault(answer_row(self.base, line.when[0][0]), {})
                for effect in line.effects:
                    if effect.kind == "suspect" and effect.target in self.base.causes:
                        found[effect.target] = max(found.get(effect.target, 0), effect.weight)
        for answer, weights in raised.items():
            row: list[Bit] = [*answer, " \N{RIGHTWARDS ARROW} "]
            for number, cause in enumerate(sorted(weights, key=lambda c: -weights[c])[:6]):
                row += ["; " if number else "", cause_ref(self.base, cause)]
            if weights:
                yield tuple(bit for bit in row if bit)

    def _rules(self, key: str) -> Iterator[Row]:
        for rule in self.index.by_key.get(key, ()):
            yield (Ref(rule.id, rule.title),)

    def cause(self, cause: Cause) -> Entry:
        """What went wrong: how it comes about, what it shows, what is taken for it, what helps."""
        base = self.base
        weighs = self.index.by_cause.get(cause.id, [])
        shows = sorted(
            ((w, line) for line, w in weighs if line.origin == "shows" and w > 0),
            key=lambda pair: (-pair[0], pair[1].id),
        )
        others = [(line, w) for line, w in weighs if line.origin in ("rule", "outcome")]
        cures = {
            of: sorted(
                (r for r in base.remedies.values() if r.of == of and cause.id in r.cures),
                key=lambda r: (-r.cures[cause.id], r.id),
            )
            for of in _OF
        }
        looks: list[Row] = []
        for twin in cause.looks_like:
            row: list[Bit] = [cause_ref(base, twin.cause), f": {twin.tell}"]
            if twin.check:
                row += [" (", Ref(twin.check, base.checks[twin.check].title), ")"]
            looks.append(tuple(row))
        return Entry(
            kind="cause",
            id=cause.id,
            title=cause.title,
            stage=cause.stage,
            operations=cause.operations,
            symptoms=self.index.symptoms.get(cause.id, ()),
            sources=cited(cause.source, cause.against),
            place=cause.place,
            parts=parts(
                (
                    "",
                    [
                        *text_rows(cause.because),
                        (f"Met {cause.prior}, in {', '.join(cause.operations)}.",),
                    ],
                ),
                (
                    "Shows",
                    [(*test_row(base, line.when[0][0]), f" (+{w:.1f} dB)") for w, line in shows],
                ),
                ("Taken for it", looks),
                ("Evidence for it", [self._evidence(line, w) for line, w in others if w > 0]),
                ("Evidence against it", [self._evidence(line, w) for line, w in others if w < 0]),
                *(
                    (
                        f"What helps {_OF[of]}",
                        [
                            (Ref(r.id, r.title), f" (cures it {r.cures[cause.id]:.0%} of the time)")
                            for r in cured
                        ],
                    )
                    for of, cured in cures.items()
                ),
                ("Source", citations(base, cause.source)),
                ("Disagreeing", citations(base, cause.against)),
            ),
        )

    def _evidence(self, line: Line, weight: float) -> Row:
        sign = "+" if weight > 0 else "\N{MINUS SIGN}"
        target = line.id if line.origin == "rule" else line.id.split("/")[1]
        return (Ref(target, line.title), f" ({sign}{abs(weight):.1f} dB)")

    def check(self, check: Check) -> Entry:
        """Something to do to learn a finding, and what each outcome means."""
        outcomes: list[Row] = []
        for outcome in check.outcomes:
            row: list[Bit] = [
                *answer_row(self.base, outcome.test),
                f" \N{EM DASH} {outcome.says}",
            ]
            for words, moved in (("; for ", outcome.raises), ("; against ", outcome.lowers)):
                for number, cause in enumerate(moved):
                    row += [words if not number else ", ", cause_ref(self.base, cause)]
            outcomes.append(tuple(row))
        time = f"{check.minutes:g} min of work" + (
            f" and {check.wait:g} min of waiting" if check.wait else ""
        )
        kit = f"; you need {', '.join(check.kit)}" if check.kit else ""
        label = self.base.findings[check.finding].label
        return Entry(
            kind="check",
            id=check.id,
            title=check.title,
            sources=cited(check.source),
            place=check.place,
            parts=parts(
                ("", [*text_rows(check.how), (f"{time}{kit}.",)]),
                ("Tells", [(Ref(check.finding, label),)]),
                ("Outcomes", outcomes),
                ("Mind", [(Ref(c, self.base.cautions[c].text),) for c in check.caution]),
                ("Source", citations(self.base, check.source)),
            ),
        )

    def remedy(self, remedy: Remedy) -> Entry:
        """What to change, with its dose, its risks and what it cures."""
        cures = sorted(remedy.cures.items(), key=lambda pair: (-pair[1], pair[0]))
        symptoms = dict.fromkeys(s for c, _ in cures for s in self.index.symptoms.get(c, ())[:3])
        return Entry(
            kind="remedy",
            id=remedy.id,
            title=remedy.title,
            stage=remedy.stage,
            symptoms=tuple(symptoms),
            sources=cited(remedy.source),
            place=remedy.place,
            parts=parts(
                (
                    "",
                    [
                        *text_rows(remedy.do),
                        (f"{_OF[remedy.of].capitalize()}; {_minutes(remedy)}.",),
                    ],
                ),
                ("When the figure is not known", text_rows(remedy.otherwise)),
                ("Try it small", text_rows(remedy.trial)),
                ("Expect", text_rows(remedy.expect)),
                ("It costs", [(f"{risk.to}: {risk.text}",) for risk in remedy.risks]),
                ("Only when", condition(self.base, remedy.when)),
                ("Cures", [(cause_ref(self.base, c), f" ({p:.0%} of the time)") for c, p in cures]),
                (
                    "Suggested by",
                    [(Ref(r.id, r.title),) for r in self.index.by_remedy.get(remedy.id, ())],
                ),
                ("Source", citations(self.base, remedy.source)),
            ),
        )

    def rule(self, rule: Rule) -> Entry:
        """A rule of thumb, as it reads aloud."""
        base = self.base
        keys = {t.key for option in rule.when for t in option}
        symptoms = [k for k in sorted(keys) if k in base.findings and base.findings[k].symptom]
        return Entry(
            kind="rule",
            id=rule.id,
            title=rule.title,
            stage=rule.stage,
            symptoms=tuple(symptoms),
            sources=cited(rule.source, rule.against),
            place=rule.place,
            parts=parts(
                ("When", condition(base, rule.when)),
                ("Then", [effect_row(base, e) for e in rule.effects]),
                ("Because", text_rows(rule.because)),
                ("Source", citations(base, rule.source)),
                ("Disagreeing", citations(base, rule.against)),
                ("Speaks of the same evidence as", text_rows(rule.group)),
            ),
        )

    def caution(self, caution: Caution) -> Entry:
        """What must be said and minded, and what raises it."""
        raised = self.index.by_caution.get(caution.id, ())
        where = f"Jurisdiction: {caution.jurisdiction}." if caution.jurisdiction else ""
        return Entry(
            kind="caution",
            id=caution.id,
            title=caution.id.replace("-", " "),
            sources=cited(caution.source),
            place=caution.place,
            parts=parts(
                ("", text_rows(caution.text, where)),
                ("Said when", [(Ref(r.id, r.title),) for r in raised]),
                ("Source", citations(self.base, caution.source)),
            ),
        )

    def figure(self, figure: Figure) -> Entry:
        """A calculated finding: its formula, what it is fed and what uses it."""
        from advisor.science.registry import get

        calculation = get(figure.calculation)
        inputs: list[Row] = []
        for argument, key in figure.inputs.items():
            found = about(self.base, key)
            inputs.append((f"{argument}: ", Ref(key, found.label if found else key)))
        return Entry(
            kind="figure",
            id=figure.id,
            title=figure.label,
            place=figure.place,
            parts=parts(
                (
                    "",
                    [
                        *text_rows(calculation.title),
                        (
                            f"In {figure.unit}."
                            if figure.unit != "word"
                            else f"In words: {', '.join(figure.words)}.",
                        ),
                    ],
                ),
                ("Formula", text_rows(calculation.formula)),
                ("Worked out from", inputs),
                ("Rests on", text_rows(calculation.source)),
                ("Rules that test it", self._rules(figure.id)),
                (
                    "Doses that carry it",
                    [(Ref(r.id, r.title),) for r in self.index.dosed.get(figure.id, ())],
                ),
            ),
        )

    def source(self, source: Source, rests: Iterable[Entry]) -> Entry:
        """A publication, and all that rests on it."""
        year = f" ({source.year})" if source.year else ""
        known = {
            "seen": "What is used of it was read there.",
            "derived": "What is used of it was worked out from it.",
            "memory": "Recalled, not verified: check before relying on it.",
        }
        kinds: dict[str, list[Row]] = defaultdict(list)
        for entry in rests:
            kinds[entry.kind].append((Ref(entry.id, entry.title),))
        return Entry(
            kind="source",
            id=source.id,
            title=source.title,
            place=source.place,
            parts=parts(
                (
                    "",
                    [
                        *text_rows(
                            f"{source.by}{year}".strip(),
                            source.where,
                            known[source.mark],
                            source.note,
                        )
                    ],
                ),
                *(
                    (f"{kind.capitalize()} entries that rest on it", rows)
                    for kind, rows in kinds.items()
                ),
            ),
        )


def _minutes(remedy: Remedy) -> str:
    wait = f" and {remedy.wait:g} min of waiting" if remedy.wait else ""
    return f"{remedy.minutes:g} min of work{wait}"
