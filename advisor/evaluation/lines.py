"""An evaluation as lines of text for a person."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.evaluation.evaluation import Condition, Evaluation
    from advisor.evaluation.outcome import Outcome
    from advisor.evaluation.scores import Share
    from advisor.evaluation.summary import Forecasts, Minutes, Row, Summary

__all__ = ["evaluation_lines", "miss_lines", "table_lines"]

_MOST = 15


def evaluation_lines(evaluation: Evaluation) -> Iterator[str]:
    """The report, without the tables by fault and the list of misses."""
    summary = evaluation.summary
    simulated = sum(o.seed is not None for o in evaluation.outcomes)
    files = len(evaluation.outcomes) - simulated
    said = [f"{files} case files"] * bool(files) + [f"{simulated} simulated batches"] * bool(
        simulated
    )
    yield f"{' and '.join(said)}, at most {evaluation.settings.limit} questions each"
    if evaluation.settings.simulator:
        yield f"Simulated: {evaluation.settings.simulator}"
    yield ""
    yield from _main_lines(summary)
    yield ""
    yield from _question_lines(summary)
    if summary.forecasts:
        yield ""
        yield from _forecast_lines(summary.forecasts)
    if summary.minutes:
        yield ""
        yield from _minute_lines(summary.minutes)
    if evaluation.conditions:
        yield ""
        yield from _condition_lines(evaluation.conditions)
    if evaluation.confusions:
        yield ""
        yield "WHAT WAS TAKEN FOR WHAT"
        yield f"{'times':>7}  {'stage right':>11}  true -> named first"
        for each in evaluation.confusions[:_MOST]:
            yield f"{each.n:>7}  {each.stage_right:>11}  {each.true} -> {each.named}"
        more = len(evaluation.confusions) - _MOST
        if more > 0:
            yield f"{'':>7}  {'':>11}  and {more} other pairs"
    for what in ("stage", "symptom"):
        rows = evaluation.by(what)
        if rows:
            yield ""
            yield from table_lines(what, rows)


def _main_lines(summary: Summary) -> Iterator[str]:
    yield f"{'':<40}{'right':>7}{'of':>6}{'share':>9}   95 % interval"
    rows = [
        ("right cause or verdict first", summary.top1),
        ("in the first three", summary.top3),
        ("right stage", summary.stage),
        ("true cause first, whatever the verdict", summary.cause_first),
        ("both of two faults in the first three", summary.both),
        ("both of two faults in one set", summary.together),
        ("decided by a verdict, and right", summary.by_verdict),
        ("right, where a cause was named", summary.named),
        ("left open, though it has a cause", summary.open),
        ("hazard not recognized", summary.hazards_missed),
        ("false discard, stop or all-well", summary.false_alarms),
    ]
    for name, each in rows:
        if each.of:
            yield f"{name:<40}{each.right:>7}{each.of:>6}{_percent(each):>9}   {_interval(each)}"


def _percent(each: Share) -> str:
    return "" if each.share is None else f"{100 * each.share:.1f} %"


def _interval(each: Share) -> str:
    return f"{100 * each.low:.1f} to {100 * each.high:.1f}"


def _question_lines(summary: Summary) -> Iterator[str]:
    if summary.questions is None or summary.questions95 is None:
        return
    yield (
        f"Questions: median {summary.questions:g}, 95 % need at most {summary.questions95:g}, "
        f"after {summary.recipe:g} about the recipe; {_percent(summary.at_limit)} ran to the limit."
    )
    ended = ", ".join(f"{name or 'unfinished'} {n}" for name, n in summary.stopped)
    yield f"Asking ended: {ended}."


def _forecast_lines(made: Forecasts) -> Iterator[str]:
    yield f"CAN THE PROBABILITIES BE RELIED ON ({made.n} cases with a probability)"
    yield (
        f"First cause: Brier {made.brier:.4f} = reliability {made.parts.reliability:.4f} "
        f"- resolution {made.parts.resolution:.4f} + uncertainty {made.parts.uncertainty:.4f} "
        f"{made.parts.within:+.4f} within bins; log score {made.log:.4f} nats; "
        f"mean distance {100 * made.calibration_error:.1f} points."
    )
    yield "Two names of one fault share its probability, so a twin does not count as right here."
    yield f"All causes: Brier {made.brier_all:.4f} (0 to 2), log score {made.log_all:.4f} nats."
    yield f"{'said':>12}{'n':>6}{'mean':>9}{'right':>9}"
    for each in made.table:
        if each.said is None or each.was is None:
            continue
        flag = "   more than 10 points off" if each.off else ""
        yield (
            f"{f'{100 * each.low:.0f}-{100 * each.high:.0f} %':>12}{each.n:>6}"
            f"{100 * each.said:>7.1f} %{100 * each.was:>7.1f} %{flag}"
        )


def _minute_lines(spent: Minutes) -> Iterator[str]:
    yield f"MINUTES UNTIL CURED, EXPECTED ({spent.n} cases that some remedy on the list can cure)"
    yield f"{'in the order advised':<36}{spent.advised:>8.1f}"
    yield f"{'likeliest cause first':<36}{spent.likely_first:>8.1f}"
    yield f"{'in random order':<36}{spent.at_random:>8.1f}"
    yield f"{'for somebody who knows the fault':<36}{spent.knowing:>8.1f}"
    yield (
        f"The first remedy cures {100 * spent.first_cures:.0f} %; nothing on the list cures "
        f"{100 * spent.uncured:.0f} %. In {spent.no_cure} other cases no remedy for this batch "
        "was on the list that can cure the fault."
    )


def _condition_lines(conditions: tuple[Condition, ...]) -> Iterator[str]:
    yield "UNDER WORSE CONDITIONS (the same cases, undisturbed and disturbed)"
    yield (
        f"{'':<20}{'n':>6}{'first':>9}{'three':>9}{'stage':>9}{'questions':>11}{'Brier':>9}"
        f"{'unchanged':>11}"
    )
    yield _condition_line("undisturbed", conditions[0].undisturbed)
    for each in conditions:
        yield f"{_condition_line(each.name, each.summary)}{_percent(each.unchanged):>11}"
    for each in conditions:
        yield f"  {each.name}: {each.means}"


def _condition_line(name: str, summary: Summary) -> str:
    brier = f"{summary.forecasts.brier:.4f}" if summary.forecasts else ""
    return (
        f"{name:<20}{summary.n:>6}{_percent(summary.top1):>9}{_percent(summary.top3):>9}"
        f"{_percent(summary.stage):>9}{_plain(summary.questions):>11}{brier:>9}"
    )


def _plain(number: float | None) -> str:
    return "" if number is None else f"{number:g}"


def table_lines(what: str, rows: tuple[Row, ...]) -> Iterator[str]:
    """A table by fault, stage, symptom, operation or number of questions, worst first."""
    width = max([12, *(len(row.name) for row in rows)])
    yield f"BY {what.upper()}"
    yield (
        f"{'':<{width}}{'n':>6}{'first':>9}{'three':>9}{'stage':>9}{'said':>9}{'questions':>11}"
        "  most often named instead"
    )
    for row in rows:
        said = "" if row.probability is None else f"{100 * row.probability:.1f} %"
        instead = f"  {row.instead} ({row.instead_n})" if row.instead else ""
        yield (
            f"{row.name:<{width}}{row.n:>6}{_percent(row.top1):>9}{_percent(row.top3):>9}"
            f"{_percent(row.stage):>9}{said:>9}{_plain(row.questions):>11}{instead}"
        )


def miss_lines(outcome: Outcome) -> Iterator[str]:
    """One miss: what was true, what was named, and what spoke for either."""
    miss = outcome.miss
    if miss is None:
        return
    said = "" if outcome.probability is None else f" {100 * outcome.probability:.0f} %"
    stage = " (right stage)" if outcome.stage_right else ""
    yield f"{outcome.case}: {outcome.true} -> {outcome.named}{said}{stage}"
    if outcome.symptoms:
        yield f"    symptoms  {', '.join(outcome.symptoms)}"
    if miss.answers:
        yield f"    asked     {', '.join(f'{name}={answer}' for name, answer in miss.answers)}"
    yield f"    ended     {outcome.stopped or 'unfinished'}, verdict {outcome.verdict}"
    if miss.for_named:
        yield f"    {outcome.named}: {_ledger(miss.for_named)}"
    if miss.rank is not None:
        yield (
            f"    the truth stands at {miss.rank} with {100 * miss.probability:.1f} %: "
            f"{_ledger(miss.for_true) or 'nothing speaks for it'}"
        )


def _ledger(entries: tuple[tuple[str, float], ...]) -> str:
    return ", ".join(f"{line} {weight:+.1f} dB" if weight else line for line, weight in entries)
