"""Blind tests: exact tails, panels, d' and rank tests, against scipy and printed tables."""

from __future__ import annotations

import math
import random
import statistics
import subprocess
import sys
from itertools import pairwise, permutations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from advisor.science import ranking, tasting

METHODS = st.sampled_from(tasting.METHODS)

TRIANGLE = {
    6: (5, 6, None), 7: (5, 6, 7), 8: (6, 7, 8), 9: (6, 7, 8), 10: (7, 8, 9), 11: (7, 8, 10),
    12: (8, 9, 10), 13: (8, 9, 11), 14: (9, 10, 11), 15: (9, 10, 12), 16: (9, 11, 12),
    17: (10, 11, 13), 18: (10, 12, 13), 19: (11, 12, 14), 20: (11, 13, 14), 21: (12, 13, 15),
    22: (12, 14, 15), 23: (12, 14, 16), 24: (13, 15, 16), 25: (13, 15, 17), 26: (14, 15, 17),
    27: (14, 16, 18), 28: (15, 16, 18), 29: (15, 17, 19), 30: (15, 17, 19), 36: (18, 20, 22),
    48: (22, 25, 27), 60: (27, 30, 33),
}  # fmt: skip
PAIRED = {
    6: (6, None, None), 7: (7, 7, None), 8: (7, 8, None), 10: (9, 10, 10), 12: (10, 11, 12),
    15: (12, 13, 14), 20: (15, 16, 18), 24: (17, 19, 20), 30: (20, 22, 24), 60: (37, 40, 43),
}  # fmt: skip


@pytest.mark.parametrize("n", sorted(TRIANGLE))
def test_triangle_table(n: int) -> None:
    """Fewest right answers at 5, 1 and 0.1 %: FAO V7180E Appendix A (ISO 4120 Table A.1)."""
    found = tuple(tasting.critical_count("triangle", n, a) for a in (0.05, 0.01, 0.001))
    assert found == TRIANGLE[n]


@pytest.mark.parametrize("n", sorted(PAIRED))
def test_paired_and_duo_trio_table(n: int) -> None:
    """One-sided counts at 5, 1 and 0.1 % (exact binomial; ISO 5495 and ISO 10399)."""
    for method in ("paired", "duo-trio"):
        found = tuple(tasting.critical_count(method, n, a) for a in (0.05, 0.01, 0.001))
        assert found == PAIRED[n]


@pytest.mark.parametrize(("n", "k"), [(6, 6), (10, 9), (12, 10), (20, 15), (30, 21)])
def test_two_sided_paired(n: int, k: int) -> None:
    """Two-sided 5 % counts of the paired test (exact binomial; ISO 5495)."""
    assert tasting.critical_count("paired-two-sided", n) == k


def test_knife_edge() -> None:
    """16 tasters, 9 right: exact p is 0.04996, just inside 5 %."""
    assert tasting.p_value("triangle", 9, 16) == pytest.approx(0.04996, abs=5e-6)


@pytest.mark.parametrize(
    ("k", "n", "p"), [(8, 12, 0.01876), (13, 24, 0.02844), (15, 30, 0.04348), (18, 30, 0.00246)]
)
def test_triangle_p_values(k: int, n: int, p: float) -> None:
    """Exact p to 1e-5 (binomial arithmetic)."""
    assert tasting.p_value("triangle", k, n) == pytest.approx(p, abs=1e-5)


@given(METHODS, st.integers(1, 150), st.data())
def test_p_value_agrees_with_scipy(method: str, n: int, data: st.DataObject) -> None:
    """Every p-value equals scipy's binomial test."""
    k = data.draw(st.integers(0, n))
    side = "two-sided" if method == "paired-two-sided" else "greater"
    oracle = stats.binomtest(k, n, tasting.chance(method), alternative=side).pvalue
    assert tasting.p_value(method, k, n) == pytest.approx(oracle, rel=1e-9, abs=1e-14)


@given(METHODS, st.integers(1, 200), st.sampled_from([0.1, 0.05, 0.01]))
def test_critical_count_is_the_smallest(method: str, n: int, alpha: float) -> None:
    """The count is significant and one fewer is not."""
    k = tasting.critical_count(method, n, alpha)
    if k is None:
        assert tasting.p_value(method, n, n) > alpha
        return
    assert tasting.p_value(method, k, n) <= alpha + 1e-12
    if k > 0:
        assert tasting.p_value(method, k - 1, n) > alpha - 1e-12


def test_similarity_example() -> None:
    """18/30 in a triangle: pd 0.400, error 0.134 (ASTM E1885 formula).

    Its limits, 0.179 and 0.621, are the share less and plus 1.645 errors; ours are exact, below.
    """
    found = tasting.similarity("triangle", 18, 30)
    assert found.share == pytest.approx(0.400, abs=5e-4)
    assert found.standard_error == pytest.approx(0.134, abs=5e-4)
    reach = stats.norm.ppf(0.95) * found.standard_error
    assert (found.share - reach, found.share + reach) == pytest.approx((0.179, 0.621), abs=5e-4)
    assert found.confidence == 0.90


@pytest.mark.parametrize(("correct", "tasters"), [(18, 30), (12, 12), (1, 1), (0, 9), (7, 8)])
def test_similarity_limits_agree_with_scipy(correct: int, tasters: int) -> None:
    """Clopper & Pearson 1934 by scipy at 90 %, turned into shares of a triangle: never a point."""
    found = tasting.similarity("triangle", correct, tasters)
    oracle = stats.binomtest(correct, tasters).proportion_ci(0.90, method="exact")
    limits = [min(1.0, max(0.0, 1.5 * one - 0.5)) for one in (oracle.low, oracle.high)]
    assert (found.low, found.high) == pytest.approx(limits, abs=1e-9)
    assert found.high > found.low or oracle.high < 1 / 3  # then fewer were right than by guessing


@given(st.integers(2, 200), st.data())
def test_similarity_limits_are_shares(n: int, data: st.DataObject) -> None:
    """Limits are shares in order; triangle pd = 1.5 pc - 0.5."""
    k = data.draw(st.integers(0, n))
    found = tasting.similarity("triangle", k, n)
    assert 0 <= found.low <= 1
    assert 0 <= found.high <= 1
    assert found.share == pytest.approx(1.5 * k / n - 0.5)


PC = {
    0.0: (0.3333, 0.5000, 0.5000, 0.3333, 0.3333),
    0.5: (0.3558, 0.5223, 0.6382, 0.4826, 0.3777),
    1.0: (0.4180, 0.5825, 0.7602, 0.6337, 0.4938),
    1.5: (0.5065, 0.6635, 0.8556, 0.7658, 0.6409),
    2.0: (0.6048, 0.7468, 0.9214, 0.8658, 0.7777),
    3.0: (0.7814, 0.8765, 0.9831, 0.9688, 0.9430),
}


@pytest.mark.parametrize("d", sorted(PC))
def test_share_correct_table(d: float) -> None:
    """Pc(d') to 1e-4 (Ennis 1993; Bi 2006): triangle, duo-trio, 2-AFC, 3-AFC, tetrad."""
    order = ("triangle", "duo-trio", "paired", "3-afc", "tetrad")
    found = [tasting.share_correct(m, d) for m in order]
    assert found == pytest.approx(PC[d], abs=1e-4)


@pytest.mark.parametrize("d", [0.3, 1.0, 2.5, 6.0])
def test_integrals_agree_with_scipy(d: float) -> None:
    """The defining integrals by scipy's adaptive quadrature give the same to 1e-9."""
    phi, cdf = stats.norm.pdf, stats.norm.cdf
    far = d * math.sqrt(2 / 3)
    triangle = integrate.quad(
        lambda x: 2 * (cdf(-x * math.sqrt(3) + far) + cdf(-x * math.sqrt(3) - far)) * phi(x), 0, 20
    )[0]
    three = integrate.quad(lambda x: phi(x - d) * cdf(x) ** 2, -15, 20)[0]
    tetrad = (
        1
        - 2
        * integrate.quad(lambda x: phi(x) * (2 * cdf(x) * cdf(x - d) - cdf(x - d) ** 2), -15, 15)[0]
    )
    assert tasting.share_correct("triangle", d) == pytest.approx(triangle, abs=1e-9)
    assert tasting.share_correct("3-afc", d) == pytest.approx(three, abs=1e-9)
    assert tasting.share_correct("tetrad", d) == pytest.approx(tetrad, abs=1e-9)


@pytest.mark.parametrize(
    ("pc", "d"), [(0.5, 1.466), (0.6, 1.976), (0.6667, 2.322), (0.75, 2.797), (0.8, 3.129)]
)
def test_inverse_triangle(pc: float, d: float) -> None:
    """d' behind a share of right answers, to 1e-3 (inverse of the triangle table)."""
    assert tasting.d_prime("triangle", pc) == pytest.approx(d, abs=1e-3)


@given(METHODS, st.floats(0.05, 4))
def test_d_prime_round_trip(method: str, d: float) -> None:
    """d' to share and back."""
    assert tasting.d_prime(method, tasting.share_correct(method, d)) == pytest.approx(d, abs=1e-4)


@given(METHODS, st.floats(0, 9), st.floats(0, 1))
def test_share_correct_is_monotone(method: str, d: float, more: float) -> None:
    """A bigger difference is never found less often, and never below guessing."""
    low = tasting.share_correct(method, d)
    assert (
        tasting.chance(method) <= low <= tasting.share_correct(method, d + more) + 1e-12 <= 1 + 1e-9
    )


PANELS = {
    0.5: ((16, 20, 23), (23, 33, 42)),
    0.4: ((23, 30, 40), (37, 53, 67)),
    0.3: ((40, 53, 66), (69, 93, 119)),
    0.2: ((87, 117, 147), (158, 213, 268)),
    0.1: ((325, 447, 572), (620, 866, 1092)),
}


@pytest.mark.parametrize("share", sorted(PANELS))
def test_panel_sizes(share: float) -> None:
    """First n at alpha 0.05 and beta 0.2, 0.1, 0.05 (exact binomial; ISO 4120 A.3, ISO 10399).

    The printed ISO tables are from memory, not yet verified; scipy's binomial
    confirms the same numbers below.
    """
    for method, expected in zip(("triangle", "duo-trio"), PANELS[share], strict=True):
        found = tuple(tasting.minimum_panel(method, share, beta=b).first for b in (0.2, 0.1, 0.05))
        assert found == expected


def test_panel_with_strict_alpha_and_stable_counts() -> None:
    """alpha 0.01, beta 0.05, pd 50 %: 35; pd 30 % is stable from 42, 57 and 73 (enumeration)."""
    assert tasting.minimum_panel("triangle", 0.5, alpha=0.01, beta=0.05).first == 35
    stable = [tasting.minimum_panel("triangle", 0.3, beta=b).stable for b in (0.2, 0.1, 0.05)]
    assert stable == [42, 57, 73]


@pytest.mark.parametrize("method", ["triangle", "duo-trio", "paired-two-sided"])
def test_panel_walk_agrees_with_scipy(method: str) -> None:
    """First and stable n equal a brute search with scipy's binomial."""
    found = tasting.minimum_panel(method, 0.4)
    p0, p1 = tasting.chance(method), tasting.discriminators(method, 0.4)
    two = method == "paired-two-sided"

    def strength(n: int) -> float:
        k = int(stats.binom.isf(0.025 if two else 0.05, n, p0)) + 1
        other = stats.binom.sf(k - 1, n, 1 - p1) if two else 0.0
        return float(stats.binom.sf(k - 1, n, p1) + other)

    powers = [strength(n) for n in range(1, 300)]
    assert found.first == next(n for n, x in enumerate(powers, 1) if x >= 0.8)
    assert found.stable == max(n for n, x in enumerate(powers, 1) if x < 0.8) + 1
    assert tasting.power(method, found.first, p1) == pytest.approx(powers[found.first - 1])


def test_power_is_a_saw() -> None:
    """One taster more can lower power, so no rule may assume otherwise."""
    powers = [tasting.power("triangle", n, 0.533) for n in range(20, 60)]
    assert any(b < a for a, b in pairwise(powers))


D_PANELS = {
    1.0: ((202, 220), (228, 241), (61, 65), (23, 26), (16, 22)),
    1.5: ((53, 57), (60, 65), (16, 20), (13, 13), (9, 9)),
    2.0: ((23, 23), (26, 28), (7, 9), (8, 8), (5, 5)),
}


@pytest.mark.parametrize("d", sorted(D_PANELS))
def test_panels_by_d_prime(d: float) -> None:
    """First and stable n for d' at alpha 0.05, power 0.8 (enumeration)."""
    order = ("triangle", "duo-trio", "tetrad", "paired", "3-afc")
    found = [tasting.minimum_panel_for_d_prime(m, d) for m in order]
    assert tuple((p.first, p.stable) for p in found) == D_PANELS[d]


def test_twelve_tasters_see_only_large_differences() -> None:
    """A triangle of twelve finds d' 1 in a quarter of trials or fewer, d' 3 nearly always."""
    assert tasting.power("triangle", 12, tasting.share_correct("triangle", 1)) < 0.25
    assert tasting.power("triangle", 12, tasting.share_correct("triangle", 3)) > 0.85


FRIEDMAN = {
    (5, 3): 6.40, (6, 3): 7.00, (7, 3): 7.143, (8, 3): 6.25, (10, 3): 6.20, (12, 3): 6.50,
    (5, 4): 7.80, (6, 4): 7.60,
}  # fmt: skip


@pytest.mark.parametrize("size", sorted(FRIEDMAN))
def test_friedman_critical_values(size: tuple[int, int]) -> None:
    """Exact 5 % limits by enumeration (ISO 8587)."""
    assert ranking.friedman_critical(*size) == pytest.approx(FRIEDMAN[size], abs=5e-4)


def test_friedman_limits_for_large_panels() -> None:
    """Chi-square limits 5.991 and 7.815 beyond the exact range (scipy as oracle)."""
    assert ranking.friedman_critical(40, 3) == pytest.approx(5.991, abs=5e-4)
    assert ranking.friedman_critical(40, 4) == pytest.approx(7.815, abs=5e-4)
    for samples in range(2, 10):
        assert ranking.friedman_critical(90, samples, 0.01) == pytest.approx(
            stats.chi2.isf(0.01, samples - 1), abs=1e-6
        )


@pytest.mark.parametrize("judges", [2, 3, 4])
def test_friedman_exact_agrees_with_brute_force(judges: int) -> None:
    """Exact p equals counting all rankings one by one."""
    rows = list(permutations((1, 2, 3)))
    observed = [rows[0], rows[1], rows[0], rows[2]][:judges]
    mine = ranking.friedman(observed)
    reached = total = 0
    for others in product(rows, repeat=judges):
        sums = [sum(r[i] for r in others) for i in range(3)]
        value = 12 * sum((s - 2 * judges) ** 2 for s in sums) / (judges * 12)
        total += 1
        reached += value >= mine.statistic - 1e-9
    assert mine.exact
    assert mine.p_value == pytest.approx(reached / total)


@given(
    st.integers(2, 5).flatmap(
        lambda p: st.lists(st.permutations(list(range(1, p + 1))), min_size=2, max_size=12)
    )
)
def test_friedman_statistic_agrees_with_scipy(ranks: list[list[int]]) -> None:
    """The statistic, and the approximate p where it is used, equal scipy's."""
    mine = ranking.friedman(ranks)
    assert 0 <= mine.p_value <= 1
    if len(ranks[0]) < 3:
        return
    oracle = stats.friedmanchisquare(*zip(*ranks, strict=True))
    assert mine.statistic == pytest.approx(oracle.statistic, abs=1e-9)
    if not mine.exact:
        assert mine.p_value == pytest.approx(oracle.pvalue, abs=1e-9)


def test_friedman_with_ties_agrees_with_scipy() -> None:
    """Ties share mean ranks and are corrected for (scipy as oracle)."""
    ranks = [[1, 2.5, 2.5, 4], [1.5, 1.5, 3, 4], [2, 1, 3, 4], [1, 2, 4, 3]]
    mine = ranking.friedman(ranks)
    oracle = stats.friedmanchisquare(*zip(*ranks, strict=True))
    assert mine.exact
    assert mine.statistic == pytest.approx(oracle.statistic)
    many = ranking.friedman(ranks * 4)
    oracle = stats.friedmanchisquare(*zip(*ranks * 4, strict=True))
    assert many.how == "chi-square approximation"
    assert many.p_value == pytest.approx(oracle.pvalue)


TIED = [
    [[1, 2.5, 2.5], [1, 2, 3], [2, 1, 3]],
    [[1.5, 1.5, 3], [1, 2.5, 2.5], [3, 1.5, 1.5], [1, 2, 3]],
    [[2, 2, 2], [1, 2, 3], [1.5, 1.5, 3]],
]


@pytest.mark.parametrize("ranks", TIED)
def test_tied_rankings_are_counted_as_brute_force_counts_them(ranks: list[list[float]]) -> None:
    """Every way to exchange each judge's own ranks, counted one by one (a permutation test;
    Edgington & Onghena, Randomization Tests, 2007)."""
    spread = page = ways = 0
    friedman, trend = ranking.friedman(ranks), ranking.page(ranks)

    def far(rows: tuple[tuple[float, ...], ...] | list[list[float]]) -> tuple[float, float]:
        sums = [sum(column) for column in zip(*rows, strict=True)]
        middle = sum(sums) / len(sums)
        return (
            sum((s - middle) ** 2 for s in sums),
            sum(place * s for place, s in enumerate(sums, start=1)),
        )

    seen = far(ranks)
    for rows in product(*(permutations(row) for row in ranks)):
        now = far(rows)
        ways += 1
        spread += now[0] >= seen[0] - 1e-9
        page += now[1] >= seen[1] - 1e-9
    assert friedman.exact
    assert trend.exact
    assert friedman.p_value == pytest.approx(spread / ways)
    assert trend.p_value == pytest.approx(page / ways)


def test_eight_identical_tied_rankings() -> None:
    """Two pairs of ties have six orders (4! / (2! 2!)): all eight alike in the foretold one has a
    chance of (1/6)^8, and all tied one of 1."""
    found = ranking.page([[1.5, 1.5, 3.5, 3.5]] * 8)
    assert found.p_value == pytest.approx((1 / 6) ** 8)
    assert ranking.page([[2.5] * 4] * 8).p_value == 1.0
    assert ranking.page([[4.0] * 7] * 8).p_value == 1.0


def test_the_variance_of_tied_trends_is_that_of_the_permutation() -> None:
    """Beyond what is counted: the normal law with the mean and variance of 20 000 shuffles."""
    rng = random.Random(7)
    ranks = [[1.5, 1.5, 3.5, 3.5, 6, 6, 6]] * 3 + [[1.0, 2, 3, 4, 5, 6, 7]] * 2
    ranks = [rng.sample(row, len(row)) for row in ranks]
    mine = ranking.page(ranks)
    assert mine.how == "normal approximation"
    drawn = [
        sum(
            place * rank
            for row in ranks
            for place, rank in enumerate(rng.sample(row, len(row)), start=1)
        )
        for _ in range(20_000)
    ]
    z = stats.norm.isf(mine.p_value)
    mean, deviation = statistics.fmean(drawn), statistics.stdev(drawn)
    assert (mine.statistic - mean) / deviation == pytest.approx(z, abs=0.05)


def test_all_ties_prove_nothing() -> None:
    """Judges who see no difference give p of 1, not an error."""
    assert ranking.friedman([[2, 2, 2], [2, 2, 2]]).p_value == 1.0


PAGE = {
    (5, 3): (66, 68), (6, 3): (79, 81), (8, 3): (104, 106), (10, 3): (128, 131),
    (12, 3): (153, 156), (5, 4): (137, 141), (6, 4): (163, 167),
}  # fmt: skip


@pytest.mark.parametrize("size", sorted(PAGE))
def test_page_critical_values(size: tuple[int, int]) -> None:
    """Page L at 5 and 1 % by enumeration (agrees with Page 1963, from memory)."""
    assert (ranking.page_critical(*size), ranking.page_critical(*size, 0.01)) == PAGE[size]


@pytest.mark.parametrize(("judges", "samples"), [(4, 3), (6, 4), (3, 5)])
def test_page_agrees_with_scipy(judges: int, samples: int) -> None:
    """Exact p equals scipy's page_trend_test."""
    rows = list(permutations(range(1, samples + 1)))
    ranks = [rows[(7 * i) % len(rows)] for i in range(judges)]
    mine = ranking.page(ranks)
    oracle = stats.page_trend_test(ranks, ranked=True, method="exact")
    assert mine.statistic == oracle.statistic
    assert mine.p_value == pytest.approx(oracle.pvalue)


def test_page_approximation_agrees_with_scipy() -> None:
    """Beyond six samples the normal approximation equals scipy's."""
    ranks = [[1, 2, 3, 4, 5, 7, 6], [2, 1, 3, 4, 6, 5, 7], [7, 1, 2, 3, 4, 5, 6]]
    mine = ranking.page(ranks)
    oracle = stats.page_trend_test(ranks, ranked=True, method="asymptotic")
    assert not mine.exact
    assert mine.p_value == pytest.approx(oracle.pvalue)


def test_importing_brings_no_statistics_library() -> None:
    """Importing the tasting and ranking modules loads neither scipy nor numpy."""
    code = (
        "import sys, advisor.science.tasting, advisor.science.ranking;"
        "sys.exit(any(m.split('.')[0] in ('scipy', 'numpy') for m in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize(
    "call",
    [
        lambda: tasting.p_value("guessing", 1, 2),
        lambda: tasting.p_value("triangle", 3, 2),
        lambda: tasting.p_value("triangle", 1, 0),
        lambda: tasting.p_value("triangle", 1.5, 2),  # type: ignore[arg-type]
        lambda: tasting.critical_count("triangle", 10, 0),
        lambda: tasting.power("triangle", 10, 0.2),
        lambda: tasting.minimum_panel("triangle", 0),
        lambda: tasting.minimum_panel("triangle", 0.005),
        lambda: tasting.minimum_panel_for_d_prime("triangle", 0),
        lambda: tasting.share_correct("triangle", 11),
        lambda: tasting.d_prime("triangle", 1.0),
        lambda: tasting.similarity("paired-two-sided", 5, 10),
        lambda: ranking.friedman([]),
        lambda: ranking.friedman([[1, 2, 3], [1, 2]]),
        lambda: ranking.friedman([[1, 1, 3], [1, 2, 3]]),
        lambda: ranking.friedman([[1, 2, 3]]),
        lambda: ranking.friedman_critical(2, 3, 0.01),
        lambda: ranking.page_critical(1, 3),
    ],
)
def test_bad_input_is_refused(call: object) -> None:
    """Impossible counts, ranks and levels are refused with a reason."""
    with pytest.raises(ValueError):
        call()  # type: ignore[operator]
