"""A fixed panel of answers, some for each line of the base, with what was made of them.

It is a detector of change, not evidence of rightness: it was written by the program from
the base itself. A change that it shows is right when its reader says so.

Each line of the base has an entry: a few answers on which it fires, and for the causes that
it speaks of the decibans that all lines together then add up to, with everything else that
it does. Each rule has probes beside it: answers at the edge of its condition, just inside
and just outside of one test at a time, and whether the condition holds. Priors are listed
as they are.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from advisor.chain import Fact
from advisor.errors import AdvisorError
from advisor.evaluation.edges import edge_answers, some_inside
from advisor.evaluation.situations import Situation, example_situations
from advisor.reasoning.ledger import Entry, strongest_of_groups

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from pathlib import Path

    from advisor.chain import Chain
    from advisor.chain.port import Run
    from advisor.knowledge.conditions import Alternatives
    from advisor.knowledge.model import Base, Line

__all__ = [
    "Panel",
    "differences",
    "facts_of",
    "holds_on",
    "make_panel",
    "probe",
    "read_panel",
    "replay",
    "run_entry",
    "write_panel",
]



class Panel:
    """What was pinned: priors, and by line the answers and what followed."""

    def __init__(
        self,
        priors: Mapping[str, float],
        entries: Mapping[str, tuple[Any, str]],
        probes: Mapping[str, list[tuple[Any, bool]]],
    ) -> None:
        self.priors = dict(priors)
        self.entries = dict(entries)  # line -> (given, says)
        self.probes = dict(probes)  # rule -> (given, whether its condition holds)

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Panel)
            and self.priors == other.priors
            and self.entries == other.entries
            and self.probes == other.probes
        )

    __hash__ = None  # type: ignore[assignment]  # it may be long, and nobody keeps it in a set


def make_panel(base: Base, chain: Chain) -> Panel:
    """The panel of a base; ``chain`` is compiled from its lines."""
    lines = {line.id: line for line in base.lines}
    entries = {}
    for line in base.lines:
        given = _given(base, line)
        if given is not None:
            run = chain.run(facts_of(given))
            entries[line.id] = (given, run_entry(line, run, lines))
    probes = {
        rule.id: [(given, holds_on(rule.when, given)) for given in edge_answers(base, rule.when)]
        for rule in base.rules.values()
    }
    return Panel({c: round(p, 2) for c, p in base.priors.items()}, entries, probes)


def _given(base: Base, line: Line) -> dict[str, str | float] | None:
    """Answers on which the line fires: a rule's first firing example, else what its test asks."""
    rule = base.rules.get(line.id)
    if rule is not None and line.origin == "rule":
        for example in example_situations(base, rule):
            if any(all(example.meets(t) for t in option) for option in rule.when):
                return {key: _value(base, key, values[0]) for key, values in example.known.items()}
        return None
    return some_inside(base, line.when[0])


def _value(base: Base, key: str, value: str | float) -> str | float:
    """An example's value; for "known" some value that is one."""
    if value != "known":
        return value
    about = base.findings.get(key) or base.figures.get(key)
    if about is not None and about.words:
        return about.words[0]
    return getattr(about, "low", None) or 1.0


def facts_of(given: Mapping[str, str | float]) -> list[Fact]:
    """The answers as facts, each certain."""
    return [
        Fact(key, value) if isinstance(value, str) else Fact(key, number=float(value))
        for key, value in given.items()
    ]


def run_entry(line: Line, run: Run, lines: Mapping[str, Line]) -> str:
    """What follows for the targets of a line, in words and decibans; "silent" if it is silent."""
    fired = [firing.rule for firing in run.firings]
    if line.id not in fired:
        return "silent"
    entries = [
        Entry(effect.target, rule, lines[rule].group, effect.weight, effect.weight)
        for rule in fired
        for effect in lines[rule].effects
        if effect.weight
    ]
    sums: dict[str, float] = {}
    for entry in strongest_of_groups(entries):
        if entry.counted:
            sums[entry.cause] = sums.get(entry.cause, 0.0) + entry.weight
    said = [f"{cause} {sums.get(cause, 0.0):+.2f}" for cause in _targets(line)]
    said += [
        f"{effect.kind} {effect.target}{': ' + effect.word if effect.word else ''}"
        for effect in line.effects
        if not effect.weight
    ]
    return ", ".join(said)


def _targets(line: Line) -> Iterator[str]:
    return iter(dict.fromkeys(effect.target for effect in line.effects if effect.weight))


def differences(pinned: Panel, now: Panel) -> list[str]:
    """Every difference in words; empty when there is none."""
    found = []
    for cause in {**pinned.priors, **now.priors}:
        one, two = pinned.priors.get(cause), now.priors.get(cause)
        if one != two:
            found.append(f"prior of {cause}: {one} before, {two} now")
    for line in {**pinned.entries, **now.entries}:
        before, after = pinned.entries.get(line), now.entries.get(line)
        if before != after:
            found.append(
                f"{line}: {before[1] if before else 'not there'} before, "
                f"{after[1] if after else 'not there'} now"
            )
    for rule in pinned.probes.keys() & now.probes.keys():
        before_, after_ = pinned.probes[rule], now.probes[rule]
        if before_ != after_:
            changed = [str(p) for p in before_ if p not in after_]
            changed += [str(p) for p in after_ if p not in before_]
            found.append(f"{rule}: its condition is another; see {'; '.join(changed[:4])}")
    return sorted(found)


def write_panel(path: Path, panel: Panel) -> None:
    """One line of the file for each line of the base, so that a difference can be read."""

    def rows(pairs: Iterable[tuple[str, Any]]) -> str:
        listed = [f"    {json.dumps(k)}: {json.dumps(v, ensure_ascii=False)}" for k, v in pairs]
        return ",\n".join(listed)

    entries = [(k, [given, says]) for k, (given, says) in sorted(panel.entries.items())]
    text = (
        '{\n  "version": 1,\n  "priors": {\n'
        + rows(sorted(panel.priors.items()))
        + '\n  },\n  "lines": {\n'
        + rows(entries)
        + '\n  },\n  "probes": {\n'
        + ",\n".join(
            f"    {json.dumps(rule)}: [\n"
            + ",\n".join(
                f"      {json.dumps([given, holds], ensure_ascii=False)}" for given, holds in probes
            )
            + "\n    ]"
            for rule, probes in sorted(panel.probes.items())
        )
        + "\n  }\n}\n"
    )
    path.write_text(text, encoding="utf-8")


def read_panel(path: Path) -> Panel:
    """Read a panel. Raises ``AdvisorError`` when the file is none."""
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        entries: dict[str, tuple[Any, str]] = {
            str(k): (dict(v[0]), str(v[1])) for k, v in data["lines"].items()
        }
        probes = {
            str(rule): [(dict(given), bool(holds)) for given, holds in listed]
            for rule, listed in data["probes"].items()
        }
        return Panel({str(k): float(v) for k, v in data["priors"].items()}, entries, probes)
    except (OSError, ValueError, KeyError, TypeError, IndexError, AttributeError) as error:
        raise AdvisorError(
            "panel-unreadable",
            f"this is no panel: {type(error).__name__}",
            where=str(path),
            hint="curdwise knowledge panel --write FILE makes one",
        ) from None


def replay(panel: Panel, names: Sequence[str], chain: Chain, lines: Mapping[str, Line]) -> bool:
    """Whether these entries of a panel still say the same on changed lines."""
    for name in names:
        given, says = panel.entries[name]
        line = lines.get(name)
        if line is None or run_entry(line, chain.run(facts_of(given)), lines) != says:
            return False
    return True


def probe(panel: Panel, rule: str, when: Alternatives) -> bool:
    """Whether a rule's condition still holds on the same probes."""
    return all(holds_on(when, given) is holds for given, holds in panel.probes.get(rule, ()))


def holds_on(when: Alternatives, given: Mapping[str, str | float]) -> bool:
    """Whether a condition holds when exactly these answers are known."""
    known = Situation("", "panel", {key: (value,) for key, value in given.items()})
    return any(all(known.meets(test) for test in option) for option in when)
