"""The chain on durable-rules, kept inside the small part of it that is right.

What is used: equality, membership and number ranges on one fact each, joined by "all";
facts asserted one by one; a session of its own for each run. What is done here because
the engine does it wrong or not at all: absence (settled phase by phase, then told as a
marker), "known" (a marker too), alternatives (a rule each), conclusions (queued by the
actions, asserted from outside), duplicates, types, explanations and bounds.

The engine never sees what a person wrote. Keys and words are numbered (``k3``, ``w7``),
numbers become places among the limits of their key, so quotes, other alphabets, tiny
numbers and words that look like numbers cannot be misread.
"""

from __future__ import annotations

import logging
import time
import weakref
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from itertools import count
from threading import Lock
from typing import TYPE_CHECKING, Any

from advisor.chain.limits import check_limits, shares
from advisor.chain.port import Run
from advisor.chain.reference import ReferenceChain
from advisor.chain.supports import explain, first_holding
from advisor.errors import AdvisorError, ProblemsFound
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, InRange, Is, Known

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from advisor.chain.port import Fact
    from advisor.chain.program import KeyTests, Program

__all__ = ["DurableChain", "load_engine"]

_BOOT = "boot"
_BOOT_RULE = {"m": {"$and": [{"k": _BOOT}, {"s": _BOOT}]}}
_BOOTED = -1  # the boot rule in the log; others stand there by the number of their body
_KNOWN = "known"  # markers; the words of facts are w0, w1 ...
_MISSING = "missing"
_NO_VALUE = (UNKNOWN, NOT_NOW)
_NAMES = count(1)


@dataclass(frozen=True, slots=True)
class _Engine:
    """The parts of durable-rules that are used."""

    new_host: Callable[[], Any]
    not_handled: type[Exception]
    delete_ruleset: Callable[[Any], object]


@cache
def load_engine() -> _Engine:
    """Import durable-rules and make it safe to use here.

    Raises ``AdvisorError`` where it is not installed or its extension does not load.
    """
    try:
        import durable.engine as engine
        import durable_rules_engine as extension

        class Host(engine.Host):  # type: ignore[misc]  # untyped, and only known at run time
            def _run(self) -> None:
                """Start no timer threads: actions then run in the caller's thread alone."""

        parts = _Engine(Host, engine.MessageNotHandledException, extension.delete_ruleset)
        # Its own clock warns on Python 3.12, and drops the rest of a run when the time of
        # day is set forward.
        engine._unix_now = time.monotonic
    except (ImportError, AttributeError, OSError, SystemError) as error:
        raise AdvisorError(
            "engine-not-loaded",
            f"durable-rules cannot be loaded here ({error})",
            hint="use the reference backend, or durable-rules 2.0.28 on Python 3.11 or 3.12",
        ) from error
    # What it logs is raised here as an error; nothing may leak onto a person's screen.
    logging.getLogger("durable").disabled = True
    return parts


class _Code:
    """Numbers for keys and words, so that the engine sees plain short tokens only."""

    def __init__(self) -> None:
        self._keys: dict[str, str] = {}
        self._words: dict[str, str] = {}

    def key(self, key: str) -> str:
        return self._keys.setdefault(key, f"k{len(self._keys)}")

    def word(self, word: str) -> str:
        return self._words.setdefault(word, f"w{len(self._words)}")


class _Log:
    """What the actions of a run report."""

    def __init__(self) -> None:
        self.bodies: list[int] = []
        self.caught: BaseException | None = None

    def add(self, body: int) -> None:
        self.bodies.append(body)

    def clear(self) -> None:
        self.bodies.clear()
        self.caught = None


@dataclass(slots=True)
class _Sight:
    """What one share of the rules looks for in one key."""

    token: str
    words: set[str] = field(default_factory=set)
    ranges: bool = False
    known: bool = False


class _Ruleset:
    """One share of the rules, compiled by the engine."""

    def __init__(
        self,
        engine: _Engine,
        program: Program,
        bodies: Sequence[int],
        code: _Code,
        log: _Log,
    ) -> None:
        self.sight: dict[str, _Sight] = {}
        self.absences: set[int] = set()
        self.always = any(not program.bodies[body] for body in bodies)
        self._engine = engine
        self._code = code
        self._log = log
        self._sessions = count(1)
        self._session = ""
        self.spoilt = False
        self._told: set[tuple[str, str | int]] = set()
        self._name = f"r{next(_NAMES)}"
        rules: dict[str, Any] = {"boot": {"all": [_BOOT_RULE], "run": self._action(_BOOTED)}}
        for body in bodies:
            tests = sorted(set(program.bodies[body]))
            rules[f"b{body}"] = {
                "all": [{f"m{at}": self._condition(program, t)} for at, t in enumerate(tests)]
                or [_BOOT_RULE],
                "dist": 0,  # one fact may meet several tests of a rule
                "run": self._action(body),
            }
        self._host = engine.new_host()
        self._host.set_rulesets({self._name: rules})
        self._ruleset = self._host.get_ruleset(self._name)
        # Not at interpreter exit, when the extension may be gone already.
        weakref.finalize(self, engine.delete_ruleset, self._ruleset._handle).atexit = False

    def _action(self, body: int) -> Callable[[Any], None]:
        log = self._log

        def action(_: Any) -> None:
            # The engine swallows whatever an action raises, Ctrl-C included.
            try:
                log.add(body)
            except BaseException as error:
                log.caught = error

        return action

    def _condition(self, program: Program, number: int) -> dict[str, Any]:
        test = program.tests[number]
        token = self._code.key(test.key)
        sight = self.sight.setdefault(test.key, _Sight(token))
        if isinstance(test, Is):
            sight.words.update(test.words)
            words: list[dict[str, Any]] = [
                {"s": self._code.word(word)} for word in dict.fromkeys(test.words)
            ]
            return {"$and": [{"k": token}, words[0] if len(words) == 1 else {"$or": words}]}
        if isinstance(test, InRange):
            sight.ranges = True
            low, high = program.keys[test.key].ranges[number]
            return {"$and": [{"k": token}, {"$gte": {"n": low}}, {"$lte": {"n": high}}]}
        if isinstance(test, Known):
            sight.known = True
            return {"$and": [{"k": token}, {"s": _KNOWN}]}
        self.absences.add(number)
        return {"$and": [{"k": token}, {"s": _MISSING}]}

    @contextmanager
    def session(self) -> Iterator[None]:
        """A session of its own, ended and its memory given back whatever happens.

        The boot rule fires first: ending a session where nothing ever fired crashes the
        engine, so one that fails to boot is left alone. Until a session has ended well the
        ruleset is ``spoilt`` and not to be used again: what an interrupt leaves inside the
        engine is anybody's guess.
        """
        self.spoilt = True
        self._session = f"s{next(self._sessions)}"
        self._told.clear()
        booted = False
        try:
            self._assert({"k": _BOOT, "s": _BOOT})
            if _BOOTED not in self._log.bodies:
                raise RuntimeError("the boot rule did not fire")
            self._log.bodies.remove(_BOOTED)
            booted = True
            yield
            self.spoilt = False
        finally:
            if booted:
                self._ruleset.delete_state(self._session)

    def show(self, fact: Fact, tests: KeyTests) -> None:
        """Assert what this share looks for in the fact."""
        sight = self.sight[fact.key]
        if fact.number is not None:
            if sight.ranges:
                self._tell(sight.token, "n", tests.place(fact.number))
        elif fact.word in sight.words:
            self._tell(sight.token, "s", self._code.word(fact.word))
        if sight.known and fact.word not in _NO_VALUE:
            self._tell(sight.token, "s", _KNOWN)

    def show_missing(self, key: str) -> None:
        """Assert that the key is missing."""
        self._tell(self.sight[key].token, "s", _MISSING)

    def _tell(self, token: str, name: str, value: str | int) -> None:
        if (token, value) in self._told:  # a second assertion of one fact is an error
            return
        self._told.add((token, value))
        self._assert({"k": token, name: value})

    def _assert(self, fact: dict[str, str | int]) -> None:
        try:
            state = self._host.assert_fact(self._name, {"sid": self._session, **fact})
        except self._engine.not_handled:  # a number outside every range of this share
            state = None
        if self._log.caught is not None:
            raise self._log.caught
        if state and "exception" in state:
            raise RuntimeError(state["exception"])


class _State:
    """What a run has found so far."""

    def __init__(self) -> None:
        self.facts: set[Fact] = set()
        self.by_key: dict[str, list[Fact]] = {}
        self.fired: set[int] = set()
        self.absent: set[int] = set()  # tests for a missing key that hold

    def add(self, fact: Fact) -> bool:
        """Whether the fact was new."""
        if fact in self.facts:
            return False
        self.facts.add(fact)
        self.by_key.setdefault(fact.key, []).append(fact)
        return True


class DurableChain:
    """Rules compiled for durable-rules.

    Runs one at a time: threads that share a chain wait for one another. Raises
    ``ProblemsFound`` for rules that durable-rules cannot hold, and ``AdvisorError`` where
    it cannot be loaded.
    """

    name = "durable-rules"
    note = ""

    def __init__(self, program: Program) -> None:
        load_engine()
        self.program = program
        problems = check_limits(program.rules)
        if problems:
            raise ProblemsFound("these rules do not fit durable-rules", problems)
        self._lock = Lock()
        self._log = _Log()
        self._reference: ReferenceChain | None = None
        self._rulesets: list[_Ruleset] = []
        self._seeing: dict[str, list[int]] = {}
        self._missing: dict[int, list[int]] = {}
        self._code = _Code()
        self._shares = list(shares(program))
        try:
            for number, bodies in enumerate(self._shares):
                ruleset = self._build(bodies)
                self._rulesets.append(ruleset)
                for key in ruleset.sight:
                    self._seeing.setdefault(key, []).append(number)
                for test in ruleset.absences:
                    self._missing.setdefault(test, []).append(number)
        except Exception as error:
            raise _failed(error) from error

    def _build(self, bodies: Sequence[int]) -> _Ruleset:
        return _Ruleset(load_engine(), self.program, bodies, self._code, self._log)

    @property
    def reference(self) -> ReferenceChain:
        """The same rules on the reference backend."""
        if self._reference is None:
            self._reference = ReferenceChain(self.program)
        return self._reference

    def run(self, facts: Iterable[Fact]) -> Run:
        """Chain forward to the fixpoint.

        Raises ``AdvisorError`` for a malformed fact and when the engine fails; whatever
        happens, the session is ended and the next run starts afresh.
        """
        given = tuple(facts)
        program = self.program
        support = program.supports_from(given)  # also refuses malformed facts
        state = _State()
        for fact in given:
            state.add(fact)
        with self._lock:
            try:
                self._settle(state)
            except Exception as error:
                raise _failed(error) from error
            finally:
                self._log.clear()
        program.supports_from(state.facts.difference(given), support)
        for rule in state.fired:
            if first_holding(program, rule, support, state.absent) < 0:
                raise _failed(RuntimeError(f"{program.rules[rule].id} fired without cause"))
        firings = explain(program, state.fired, support, state.absent, given)
        return Run(firings, frozenset(state.facts))

    def _settle(self, state: _State) -> None:
        """Take share after share to its fixpoint, until none has anything new to see.

        Only one session is ever open: the engine wants some 10 kB for each condition of an
        open session, and the next share can use what the last one gave back.
        """
        due = {number for number, ruleset in enumerate(self._rulesets) if ruleset.always}
        for key in state.by_key:
            due.update(self._seeing.get(key, ()))
        for phase in self.program.phases:
            for test in phase:
                if self.program.tests[test].key not in state.by_key:
                    state.absent.add(test)
                    due.update(self._missing.get(test, ()))
            while due:
                for number in sorted(due):
                    if number in due:
                        due.discard(number)
                        self._visit(number, state, due)

    def _visit(self, number: int, state: _State, due: set[int]) -> None:
        """Show one share everything, follow its own conclusions, note who else is to see them."""
        keys = self.program.keys
        if self._rulesets[number].spoilt:
            self._rulesets[number] = self._build(self._shares[number])
        ruleset = self._rulesets[number]
        with ruleset.session():
            for test in ruleset.absences & state.absent:
                ruleset.show_missing(self.program.tests[test].key)
            queue = [fact for key in ruleset.sight for fact in state.by_key.get(key, ())]
            while self._log.bodies or queue:
                for fact in self._concluded(state):
                    sees = self._seeing.get(fact.key, ())
                    due.update(sees)
                    if number in sees:
                        queue.append(fact)
                if queue:
                    fact = queue.pop()
                    ruleset.show(fact, keys[fact.key])
        due.discard(number)  # what it concluded itself it has seen

    def _concluded(self, state: _State) -> list[Fact]:
        """New facts from what the actions logged since last time.

        A rule may stand in the log once for each way in which it matched.
        """
        new = []
        for body in self._log.bodies:
            rule = self.program.owner[body]
            if rule not in state.fired:
                state.fired.add(rule)
                new += [fact for fact in self.program.rules[rule].concludes if state.add(fact)]
        self._log.bodies.clear()
        return new


def _failed(error: Exception) -> AdvisorError:
    return AdvisorError(
        "engine-failed",
        f"durable-rules failed ({error})",
        hint="run again with the reference backend",
    )
