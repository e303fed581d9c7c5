"""``curdwise work taste``: what a blind test proves, how many tasters it takes, rankings."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from advisor.cli.work.doses import middle
from advisor.cli.work.job import job
from advisor.cli.work.options import amount, count, kind, plain
from advisor.cli.work.sheet import Sheet
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from advisor.science.estimate import Estimate

    Number = Estimate | float

__all__ = ["taste"]

_TEST = kind("--test", "method", "test", "Kind of test", default="triangle")
_ALPHA = plain(
    "--alpha", "alpha", "Chance of seeing a difference that is not there.", 0.0001, 0.5,
    default="0.05",
)
_BINOMIAL = "exact binomial, as in ISO 4120, ISO 5495 and ISO 10399"
_SCALE = "Ennis, J. Sens. Stud. 8 (1993) 353; Bi 2006; tetrad Ennis & Jesionka 2011 (from memory)"


@click.group()
def taste() -> None:
    """Blind tasting tests."""


@job(taste, name="result")
@_TEST
@count("--right", "correct", "Right answers.", 0, 100_000, required=True)
@count("--tasters", "tasters", "Tasters.", 1, 100_000, required=True)
@_ALPHA
def result(method: str, correct: int, tasters: int, alpha: float) -> Sheet:
    """What a count of right answers proves.

    \b
    curdwise work taste result --right 8 --tasters 12
    curdwise work taste result --test duo-trio --right 20 --tasters 30
    """
    from advisor.science import tasting
    from advisor.science.estimate import Estimate

    sheet = Sheet()
    p = tasting.p_value(method, correct, tasters)
    sheet.add("p_value", "chance of this by guessing", p, formula="upper tail of the binomial",
              source=_BINOMIAL)
    needed = tasting.critical_count(method, tasters, alpha)
    sheet.add("needed", f"right answers needed at {alpha:g}",
              "no count is enough" if needed is None else needed,
              formula="fewest whose chance by guessing is at most alpha", source=_BINOMIAL)
    if method != "paired-two-sided":
        told = tasting.similarity(method, correct, tasters)
        share = min(1.0, max(0.0, told.share))
        # The limits are one-sided at 95 %: between them lie 90 %.
        sheet.add(
            "discriminators", "tasters who truly told them apart",
            Estimate(100 * share, 100 * min(share, told.low), 100 * max(share, told.high), "%"),
            formula="(right share - guessing) / (1 - guessing), one-sided exact limits at 95 %",
            source="ASTM E1885 (similarity); limits Clopper & Pearson, Biometrika 26 (1934) 404",
        )
    two_sided = method == "paired-two-sided"
    counted = max(correct, tasters - correct) if two_sided else correct
    if counted != correct:
        sheet.notes.append(
            f"{counted} of {tasters} went the other way: d' is the size of that difference."
        )
    size = tasting.d_prime_interval("paired" if two_sided else method, counted, tasters)
    if size.value is None:
        sheet.notes.append(
            f"All {'one way' if two_sided else 'right'}: d' has no upper limit here; it is at "
            f"least {size.low:.2g} at 95 %."
        )
    else:
        # Without an upper limit the value alone is given, and the note says so.
        known = size.high is not None
        sheet.add("d_prime", "size of the difference, d'",
                  Estimate(size.value, size.low, size.high) if size.high is not None
                  else size.value,
                  formula="share of right answers turned into d' by the test's own rule, exact "
                  "limits at 95 %", source=_SCALE)
        if not known:
            sheet.notes.append(f"d' is at least {size.low:.2g} at 95 %, without an upper limit.")
    verdict = "A difference was found" if p <= alpha else "No difference was shown"
    sheet.notes.append(f"{verdict} at {alpha:g}; that none was shown never proves that none is.")
    return sheet


@job(taste, name="panel")
@_TEST
@amount("--share", "share", "%", "Share of tasters who truly tell them apart.")
@plain("--d-prime", "d", "Size of the difference, d'.", 0.05, 10.0)
@_ALPHA
@plain("--beta", "beta", "Chance of missing the difference.", 0.0001, 0.9, default="0.2")
@count("--tasters", "tasters", "A panel you have: adds its power.", 1, 20_000)
def panel(
    method: str, share: Number | None, d: float | None, alpha: float, beta: float,
    tasters: int | None,
) -> Sheet:
    """How many tasters find a difference of a size.

    \b
    curdwise work taste panel --share 30
    curdwise work taste panel --test tetrad --d-prime 1 --tasters 12
    """
    from advisor.science import tasting

    if (share is None) == (d is None):
        raise AdvisorError("options", "give one of the two", where="--share, --d-prime")
    if share is not None and not 0.0 < middle(share) < 100.0:
        raise AdvisorError(
            "out-of-range", f"{middle(share):g} % must lie above 0 % and below 100 %",
            where="--share",
        )
    sheet = Sheet()
    if share is not None:
        found = tasting.minimum_panel(method, middle(share) / 100, alpha, beta)
        right = tasting.discriminators(method, middle(share) / 100)
    else:
        size = d if d is not None else 0.0
        found = tasting.minimum_panel_for_d_prime(method, size, alpha, beta)
        right = tasting.share_correct(method, size)
    source = f"{_BINOMIAL}; {_SCALE}"
    formula = "smallest panel whose exact power reaches 1 - beta"
    sheet.add("panel", "tasters", found.first, formula=formula, source=source)
    sheet.add("needed", "right answers it then needs", found.correct_needed, formula=formula,
              source=source)
    sheet.add("stable_panel", "never lost again from", found.stable,
              formula="power saws up and down with the count", source=source)
    sheet.add("right_share", "right answers expected", 100 * right, "%",
              formula="guessing + (1 - guessing) x share, or from d'", source=source)
    if tasters is not None:
        sheet.add("power", f"power of {tasters} tasters",
                  100 * tasting.power(method, tasters, right, alpha), "%",
                  formula="exact binomial tail at the critical count", source=source)
    return sheet


@job(taste, name="rank")
@click.argument("rankings", nargs=-1, required=True, metavar="RANKING...")
@click.option("--ordered", is_flag=True,
              help="The samples are listed in an order that was foretold: adds Page's test.")
def rank(rankings: tuple[str, ...], ordered: bool) -> Sheet:
    """Do rankings differ more than by chance? One RANKING for each taster: "1,3,2".

    The places are those of the samples in their listed order; ties share the mean rank.

    \b
    curdwise work taste rank 1,2,3 1,3,2 1,2,3 2,1,3 1,2,3 1,2,3
    curdwise work taste rank 1,2,3 1,3,2 1,2,3 2,1,3 1,2,3 --ordered
    """
    from advisor.science import ranking

    rows = [_ranks(text) for text in rankings]
    found = ranking.friedman(rows)
    sheet = Sheet()
    source = f"ISO 8587; Friedman 1937 ({found.how})"
    for place, total in enumerate(found.rank_sums, start=1):
        sheet.add(f"rank_sum_{place}", f"rank sum of sample {place}", total,
                  formula="sum of its ranks; lower is nearer the first place", source="ISO 8587")
    sheet.add("friedman", "Friedman statistic", found.statistic,
              formula="12 / (j p (p + 1)) x squares of rank sums about their mean, over "
              "1 - sum of (t^3 - t) of the ties / (j (p^3 - p))", source=source)
    sheet.add("p_value", "chance of this without a difference", found.p_value,
              formula=_reached(found.how, "the statistic"), source=source)
    if ordered:
        page = ranking.page(rows)
        source = f"ISO 8587; Page, J. Am. Stat. Assoc. 58 (1963) 216 ({page.how})"
        sheet.add("page", "Page's L", page.statistic, formula="sum of place x rank sum",
                  source=source)
        sheet.add("page_p_value", "chance of this order without one", page.p_value,
                  formula=_reached(page.how, "L"), source=source)
    return sheet


def _reached(how: str, what: str) -> str:
    if how == "exact":
        return f"share of all rankings with the same ties that reach {what}"
    return f"{how} to the share of rankings that reach {what}"


def _ranks(text: str) -> list[float]:
    try:
        ranks = [float(part) for part in text.replace(",", " ").split()]
    except ValueError:
        ranks = []
    if not ranks or not all(0.5 <= r <= 12 for r in ranks):
        raise AdvisorError(
            "ranking", f"{text[:40]!r} is not a ranking", where="RANKING",
            hint='places from 1 to at most 12, for example "1,3,2"',
        )
    return ranks
