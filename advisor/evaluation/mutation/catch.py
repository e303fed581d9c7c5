"""What catches an edit, from the cheapest to the dearest, and from evidence to mere change.

Examples, cases, static checks and simulated batches say something about rightness. The
panel only says that something is no longer what it was; it comes last, so that it is
credited with nothing that one of the others catches.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from advisor.chain import ChainRule, compile_chain
from advisor.evaluation.mutation.panel import probe, replay
from advisor.evaluation.situations import Situation, known_from
from advisor.knowledge.audit import FAMILIES, audit_part
from advisor.knowledge.audit.book import Book
from advisor.knowledge.audit.examples import rule_example_problems
from advisor.knowledge.audit.places import Places
from advisor.reasoning.advise import advise
from advisor.reasoning.infer import Engine

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from advisor.consult import Consultation
    from advisor.evaluation.mutation.mutant import Changed
    from advisor.evaluation.mutation.panel import Panel
    from advisor.knowledge.model import Base, Line

__all__ = ["CATCHERS", "CONCERNED", "Catchers"]

CATCHERS = ("examples", "cases", "checks", "simulated", "panel")

# The families of static checks that an edit of a kind can make fail; the others see the same.
_CONDITION = ("reach", "between", "ranges", "causes", "evidence", "use")
_WEIGHTS = ("between", "ranges", "causes", "evidence")
CONCERNED = {
    "drop-rule": ("reach", "causes", "use"),
    "drop-test": _CONDITION,
    "negate-test": _CONDITION,
    "move-threshold": _CONDITION,
    "swap-weight": _WEIGHTS,
    "swap-cause": _WEIGHTS,
    "drop-effect": ("reach", "between", "ranges", "causes", "use"),
    "shows-word": ("causes",),
    "outcome-weight": ("causes",),
    "prior": ("causes",),
}


class _Pinned(NamedTuple):
    """A batch that comes out as it should, and where it comes to rest."""

    told: Consultation
    rest: Situation


class Catchers:
    """Everything that may catch an edit of one base, made ready once."""

    def __init__(
        self,
        base: Base,
        cases: Iterable[tuple[str, Consultation]] = (),
        simulated: Iterable[tuple[str, Consultation]] = (),
        panel: Panel | None = None,
    ) -> None:
        self.base = base
        self.engine = Engine(base, "reference")
        self._errors = _errors(base, FAMILIES)
        self.cases = self._right(cases)
        self.simulated = self._right(simulated)
        self.panel = panel
        self._panel_rest = {} if panel is None else self._rest_of(panel)

    def catch(self, changed: Changed) -> str:
        """The first catcher that notices, or the empty string."""
        if changed.rule in changed.base.rules and self._by_examples(changed):
            return "examples"
        cases = [p for p in self.cases if _concerns(changed, p.rest)]
        simulated = [p for p in self.simulated if _concerns(changed, p.rest)]
        engine = Engine(changed.base, "reference") if cases or simulated else None
        if engine is not None and not all(_comes_out(engine, p.told) for p in cases):
            return "cases"
        if self._by_checks(changed):
            return "checks"
        if engine is not None and not all(_comes_out(engine, p.told) for p in simulated):
            return "simulated"
        if self.panel is not None and self._by_panel(self.panel, changed):
            return "panel"
        return ""

    def _by_examples(self, changed: Changed) -> bool:
        base = changed.base
        book = Book("rules", base.rules, base.findings, base.figures)
        return any(rule_example_problems(book, base.rules[changed.rule], Places(base)))

    def _by_checks(self, changed: Changed) -> bool:
        families = CONCERNED[changed.kind]
        # What a rule concludes decides what others can reach; then all are looked at.
        lines = (*changed.before, *changed.after)
        concludes = any(e.kind == "conclude" for line in lines for e in line.effects)
        only = "" if concludes else changed.rule
        return not _errors(changed.base, families, only) <= self._errors

    def _by_panel(self, panel: Panel, changed: Changed) -> bool:
        if changed.priors:
            now = {cause: round(prior, 2) for cause, prior in changed.base.priors.items()}
            return now != panel.priors
        lines = {line.id: line for line in changed.base.lines}
        if lines.keys() != {line.id for line in self.base.lines}:
            return True
        if changed.rule and not probe(panel, changed.rule, changed.base.rules[changed.rule].when):
            return True
        names = [n for n, rest in self._panel_rest.items() if _concerns(changed, rest)]
        rules = tuple(map(ChainRule.of, changed.base.lines))
        return not replay(panel, names, compile_chain(rules, "reference"), lines)

    def _right(self, cases: Iterable[tuple[str, Consultation]]) -> list[_Pinned]:
        """Only batches that come out as they should can show that something broke."""
        return [
            _Pinned(told, _rest(name, self.engine, told))
            for name, told in cases
            if told.expect and _comes_out(self.engine, told)
        ]

    def _rest_of(self, panel: Panel) -> dict[str, Situation]:
        from advisor.evaluation.mutation.panel import facts_of

        chain = self.engine.chain
        found = {}
        for name, (given, _) in panel.entries.items():
            run = chain.run(facts_of(given))
            fired = frozenset(firing.rule for firing in run.firings)
            found[name] = Situation(name, "panel", known_from(run.facts), fired)
        return found


def _rest(name: str, engine: Engine, told: Consultation) -> Situation:
    run = engine.infer(told.answers, told.tried).run
    fired = frozenset(firing.rule for firing in run.firings)
    return Situation(name, "case", known_from(run.facts), fired)


def _concerns(changed: Changed, rest: Situation) -> bool:
    """Whether an edit can make any difference to a batch.

    It cannot when no line that was changed fired, and none fires as it is now: then the
    batch comes to rest where it did. (A line that fires only once another edit's
    conclusions are there does not come into it: there is one edit at a time.)
    """
    return (
        changed.priors
        or any(line.id in rest.fired for line in changed.before)
        or any(_holds(line, rest) for line in changed.after)
    )


def _holds(line: Line, rest: Situation) -> bool:
    return any(all(rest.meets(test) for test in option) for option in line.when)


def _comes_out(engine: Engine, told: Consultation) -> bool:
    """Whether a batch gets the verdict that it expects."""
    expect: Mapping[str, object] = told.expect
    inference = engine.infer(told.answers, told.tried)
    verdict = advise(engine, inference).verdict
    among = expect.get("among")
    return (
        ("verdict" not in expect or verdict.kind == expect["verdict"])
        and ("cause" not in expect or verdict.cause == expect["cause"])
        and ("stage" not in expect or verdict.stage == expect["stage"])
        and (not isinstance(among, list | tuple) or verdict.cause in among)
    )


def _errors(base: Base, families: Collection[str], only: str = "") -> set[tuple[str, str]]:
    found = audit_part(base, Places(base), families, only)
    return {(p.code, p.message) for p in found if p.severity == "error"}

