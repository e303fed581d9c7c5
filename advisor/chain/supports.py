"""Which facts stand behind each firing.

Engines differ in the match that they happen to see first, so supports are worked out
here from the finished run, the same way for every backend: the first alternative of
the rule that holds, and for each test the smallest fact that meets it.

Where rules feed one another in a loop, "the facts at the end" could make a rule rest on
its own conclusion. Such rules are replayed round by round instead, and explained by
the first round in which they could fire, so that following supports always ends at
what was given.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.chain.port import Firing

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from advisor.chain.port import Fact
    from advisor.chain.program import Program

__all__ = ["explain", "first_holding"]


def explain(
    program: Program,
    fired: Iterable[int],
    support: Sequence[Fact | None],
    absent: Collection[int],
    given: Iterable[Fact],
) -> tuple[Firing, ...]:
    """The firings of these rules, in the order of the rules.

    ``support`` is the smallest fact behind each test at the end of the run, ``absent``
    the tests for a missing key that hold, ``given`` the facts that the run began with.
    """
    order = sorted(fired)
    replayed = (
        {}
        if program.looping.isdisjoint(order)
        else _replay(program, order, absent, program.supports_from(given))
    )
    found = []
    for rule in order:
        firing = replayed.get(rule)
        if firing is None:
            options = program.bodies_of[rule]
            body = options[0]
            if len(options) > 1:
                body = first_holding(program, rule, support, absent)
            firing = _firing(program, rule, body, support)
        found.append(firing)
    return tuple(found)


def first_holding(
    program: Program, rule: int, support: Sequence[Fact | None], absent: Collection[int]
) -> int:
    """The first alternative of the rule that holds on these supports; -1 for none."""
    for body in program.bodies_of[rule]:
        for test in program.bodies[body]:
            if support[test] is None and test not in absent:
                break
        else:
            return body
    return -1


def _firing(program: Program, rule: int, body: int, support: Sequence[Fact | None]) -> Firing:
    tests, wording = program.bodies[body], program.wording[body]
    behind = (
        ((wording[0], support[tests[0]]),)  # the usual case, at a tenth of the cost
        if len(tests) == 1
        else tuple(zip(wording, [support[test] for test in tests], strict=True))
    )
    return Firing(program.rules[rule].id, body - program.bodies_of[rule].start, behind)


def _replay(
    program: Program, fired: Sequence[int], absent: Collection[int], held: list[Fact | None]
) -> dict[int, Firing]:
    """Explain the looping rules by the first round in which each could fire."""
    waiting = [rule for rule in fired if rule in program.looping]
    for rule in fired:
        if rule not in program.looping:
            program.supports_from(program.rules[rule].concludes, held)
    done: dict[int, Firing] = {}
    while waiting:
        ready: list[tuple[int, int]] = []
        rest: list[int] = []
        for rule in waiting:
            body = first_holding(program, rule, held, absent)
            if body < 0:
                rest.append(rule)
            else:
                ready.append((rule, body))
        if not ready:
            break
        for rule, body in ready:
            done[rule] = _firing(program, rule, body, held)
        for rule, _ in ready:  # only now: no rule of this round may rest on another of it
            program.supports_from(program.rules[rule].concludes, held)
        waiting = rest
    return done
