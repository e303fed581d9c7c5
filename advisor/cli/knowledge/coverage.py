"""``curdwise knowledge coverage``: what no example and no case exercises, and why."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from advisor.cli.exits import Exit
from advisor.cli.options import HOUSE, json_option

if TYPE_CHECKING:
    from advisor.evaluation.coverage import Coverage, RuleCoverage

__all__ = ["coverage"]

# Cases that are named one by one; more are counted.
_NAMED = 5


@click.command()
@click.option(
    "--cases",
    multiple=True,
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Case files or folders of them, beside the rules' own examples.",
)
@click.option("--simulated", type=click.IntRange(0, 100_000), default=0, metavar="N",
              help="So many batches of the simulator as well.")
@click.option("--seed", type=click.IntRange(0), default=1, help="The first simulated batch.")
@click.option("--rule", "rules", multiple=True, metavar="ID", help="Only this rule.")
@HOUSE
@click.option("--suggest", is_flag=True, help="Write the near misses that are missing.")
@json_option("Everything as JSON.")
def coverage(
    cases: tuple[Path, ...],
    simulated: int,
    seed: int,
    rules: tuple[str, ...],
    house: tuple[Path, ...],
    suggest: bool,
    as_json: bool,
) -> int:
    """Show which rule, alternative and test nothing exercises, and why.

    A test is exercised when some example or case fires the rule with it true, and some
    example or case fails only because of it.

    \b
    Examples:
      curdwise knowledge coverage --cases scenarios_demo
      curdwise knowledge coverage --rule acid-short-of-full-split
    """
    from advisor.evaluation import coverage as covering
    from advisor.evaluation.situations import case_situations, simulated_situations
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.load import load_written

    base, gathered = load_written(house)
    _known(rules, list(base.rules))
    situations = case_situations(base, cases) if cases else []
    if simulated:
        situations += simulated_situations(base, simulated, seed)
    found = covering.coverage(base, situations, Places(base, gathered))
    shown = [r for r in found.rules if not rules or r.rule in rules]
    if as_json:
        click.echo(json.dumps(_data(found, shown), indent=2, ensure_ascii=False))
        return Exit.OK
    for rule in shown:
        _print_rule(rule, found.cases > 0, suggest)
        if rules:
            _print_by_what(rule, found.cases > 0)
    for line in () if rules else found.lines:
        click.echo(f"{line.where}: {line.line}: no case fires it: {line.why}")
    if not rules:
        _print_sums(found)
    return Exit.OK


def _known(rules: tuple[str, ...], known: list[str]) -> None:
    from advisor.errors import AdvisorError, did_you_mean

    for rule in rules:
        if rule not in known:
            raise AdvisorError(
                "unknown-rule", f"there is no rule {rule!r}", where="--rule",
                hint=did_you_mean(rule, known),
            )


def _print_rule(rule: RuleCoverage, with_cases: bool, suggest: bool) -> None:
    if with_cases and not rule.cases:
        click.echo(f"{rule.where}: {rule.rule}: no case fires it: {rule.why}")
    for alternative in rule.alternatives:
        if not alternative.exercised:
            tests = " and ".join(map(str, alternative.tests))
            click.echo(f"{rule.where}: {rule.rule}: never by '{tests}': {alternative.why}")
    for test in rule.tests:
        if not test.exercised:
            lacks = "never true" if not test.decides_true else "never decides"
            click.echo(f"{test.where}: {rule.rule}: '{test.test}' {lacks}: {test.why}")
        if test.idle_words and test.decides_true:
            words = " or ".join(test.idle_words)
            click.echo(f"{test.where}: {rule.rule}: '{test.test}': nothing fires it with {words}")
        if not test.exercised and suggest and test.near_miss:
            given = ", ".join(f"{k}: {_written(v)}" for k, v in test.near_miss.items())
            click.echo(f"      - {{given: {{{given}}}, fires: false}}")


def _print_by_what(rule: RuleCoverage, with_cases: bool) -> None:
    """One rule that was asked about: how much of it is exercised, and by what."""
    tests = [t for t in rule.tests if t.exercised and not t.idle_words]
    if len(tests) == len(rule.tests) and all(a.exercised for a in rule.alternatives):
        click.echo(f"{rule.where}: {rule.rule}: every alternative and test is exercised")
    fires = f"{rule.examples} of its examples {'fires' if rule.examples == 1 else 'fire'} it"
    if with_cases:
        few = [*rule.cases[:_NAMED], *(["and more"] if len(rule.cases) > _NAMED else [])]
        cases = f"{len(rule.cases)} {'case' if len(rule.cases) == 1 else 'cases'}"
        fires += f", and {cases}" + (f" ({', '.join(few)})" if few else "")
    click.echo(f"  {fires}")
    for test in rule.tests:
        if test.exercised:
            true, false = test.shown_by
            click.echo(f"  '{test.test}': true in {true}, false alone in {false}")


def _written(value: str | float) -> str:
    return value if isinstance(value, str) else f"{value:g}"


def _print_sums(found: Coverage) -> None:
    def share(pair: tuple[int, int]) -> str:
        done, whole = pair
        return f"{done} of {whole} ({done / whole:.0%})" if whole else "0 of 0"

    say = [
        f"alternatives exercised: {share(found.alternatives)}",
        f"tests exercised both ways: {share(found.tests)}",
        f"words of lists that fire their rule: {share(found.words)}",
    ]
    if found.cases:
        fired = found.table_lines - len(found.lines)
        say.append(f"rules that fire in one of {found.cases} cases: {share(found.fired)}")
        say.append(f"table lines that fire in a case: {share((fired, found.table_lines))}")
    for line in say:
        click.echo(line, file=sys.stderr)


def _data(found: Coverage, shown: list[RuleCoverage]) -> dict[str, Any]:
    return {
        "version": 1,
        "cases": found.cases,
        "alternatives": dict(zip(("exercised", "of"), found.alternatives, strict=True)),
        "tests": dict(zip(("exercised", "of"), found.tests, strict=True)),
        "words_of_lists": dict(zip(("fire", "of"), found.words, strict=True)),
        "rules_in_cases": dict(zip(("fired", "of"), found.fired, strict=True)),
        "table_lines_idle": [
            {"line": line.line, "place": str(line.where), "why": line.why} for line in found.lines
        ],
        "table_lines": found.table_lines,
        "rules": [
            {
                "rule": rule.rule,
                "place": str(rule.where),
                "examples_that_fire": rule.examples,
                "cases_that_fire": list(rule.cases),
                "why_no_case": rule.why,
                "alternatives": [
                    {"tests": [str(t) for t in a.tests], "exercised": a.exercised, "why": a.why}
                    for a in rule.alternatives
                ],
                "tests": [
                    {
                        "test": str(t.test),
                        "place": str(t.where),
                        "true_and_fires": t.decides_true,
                        "false_and_alone": t.decides_false,
                        "why": t.why,
                        "words_that_fire_nothing": list(t.idle_words),
                        "shown_by": list(t.shown_by),
                        "near_miss": t.near_miss and dict(t.near_miss),
                    }
                    for t in rule.tests
                ],
            }
            for rule in shown
        ],
    }
