"""The charge balance against an independent program, limits and laws."""

from __future__ import annotations

import math
import time
from typing import Any

import phreeqpython
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.science.acids import (
    ACETIC,
    ACIDULANTS,
    CITRIC,
    LACTIC,
    MALIC,
    PHOSPHORIC,
    TARTARIC,
    acidulant,
    citric_equivalent,
    liquid_ph,
    solution,
)
from advisor.science.equilibrium import (
    WeakAcid,
    davies,
    ethanol_shift,
    mean_charge,
    protons_released,
    solve_ph,
)
from advisor.science.milk_buffer import milk_sites

ACIDS = (CITRIC, LACTIC, MALIC, TARTARIC, ACETIC, PHOSPHORIC)
AMOUNTS = st.lists(st.tuples(st.sampled_from(ACIDS), st.floats(1e-5, 0.5)), min_size=0, max_size=4)
_SPECIES = """
SOLUTION_MASTER_SPECIES
Citr Citr-3 0 189.10 189.10
Lact Lact- 0 89.07 89.07
SOLUTION_SPECIES
Citr-3 = Citr-3
 log_k 0
Citr-3 + H+ = HCitr-2
 log_k 6.40
Citr-3 + 2H+ = H2Citr-
 log_k 11.16
Citr-3 + 3H+ = H3Citr
 log_k 14.29
Lact- = Lact-
 log_k 0
Lact- + H+ = HLact
 log_k 3.86
END
"""


@pytest.fixture(scope="module")
def geochemist() -> Any:
    """PHREEQC with the same constants and its own Davies activities and solver."""
    program = phreeqpython.PhreeqPython(database="phreeqc.dat")
    program.ip.run_string(_SPECIES)
    return program


@pytest.mark.parametrize(
    ("citric", "lactic", "sodium"),
    [(0.1, 0.0, 0.0), (0.1, 0.0, 0.15), (0.02, 0.05, 0.04), (0.25, 0.0, 0.03), (0.01, 0.01, 0.035),
     (0.0, 0.1, 0.05), (0.05, 0.0, 0.145), (0.001, 0.0, 0.0)],
)  # fmt: skip
def test_agrees_with_phreeqc(geochemist: Any, citric: float, lactic: float, sodium: float) -> None:
    """pH within 0.03 of PHREEQC (molal, A = 0.5085) on mixtures of citric and lactic acid."""
    geochemist.ip.run_string(
        f"SOLUTION 9\n temp 25\n units mol/kgw\n pH 4 charge\n Na {sodium}\n Citr {citric}\n"
        f" Lact {lactic}\nSELECTED_OUTPUT\n -reset false\n -pH true\nEND\n"
    )
    other = float(geochemist.ip.get_selected_output_array()[1][0])
    mine = solve_ph([(CITRIC, citric), (LACTIC, lactic)], sodium).ph
    assert mine == pytest.approx(other, abs=0.03)


def test_pure_water_is_neutral() -> None:
    """Nothing dissolved gives pH 7; 0.1 mol/L strong base about 12.9, 1 mmol/L strong acid 3.02."""
    assert solve_ph([]).ph == pytest.approx(7.0, abs=1e-6)
    assert solve_ph([], 0.1).ph == pytest.approx(12.89, abs=0.01)
    assert solve_ph([], -0.001).ph == pytest.approx(3.015, abs=0.01)


@given(AMOUNTS, st.floats(-0.4, 1.5))
def test_balance_closes_and_is_finite(acids: list[tuple[WeakAcid, float]], strong: float) -> None:
    """The solved pH leaves no net charge, for every mixture."""
    state = solve_ph(acids, strong)
    assert math.isfinite(state.ph)
    gamma = 10.0 ** davies(state.ionic_strength)
    charge = (10.0**-state.ph - 1e-14 / 10.0**-state.ph) * gamma + strong
    charge += sum(n * mean_charge(acid, state.ph, state.ionic_strength) for acid, n in acids)
    assert abs(charge) <= 2e-6 * (state.buffering / math.log(10.0) + 1e-4) + 1e-9


@given(AMOUNTS, st.floats(0.0, 0.3), st.floats(1e-3, 0.2))
def test_more_acid_never_raises_ph(
    acids: list[tuple[WeakAcid, float]], strong: float, more: float
) -> None:
    """Adding citric acid lowers the pH, but for the pull of ionic strength on activities (0.1)."""
    before = solve_ph(acids, strong).ph
    after = solve_ph([*acids, (CITRIC, more)], strong).ph
    assert after <= before + 0.1


@given(AMOUNTS, st.floats(0.0, 0.3), st.floats(1e-3, 0.2))
def test_more_base_never_lowers_ph(
    acids: list[tuple[WeakAcid, float]], strong: float, more: float
) -> None:
    """Adding strong cation raises the pH, but for the pull of ionic strength (0.1)."""
    assert solve_ph(acids, strong + more).ph >= solve_ph(acids, strong).ph - 0.1


@given(AMOUNTS, st.floats(0.0, 0.5), st.floats(-1.0, 14.0))
def test_the_start_does_not_matter(
    acids: list[tuple[WeakAcid, float]], strong: float, guess: float
) -> None:
    """Any first guess leads to the same pH."""
    assert solve_ph(acids, strong, guess=guess).ph == pytest.approx(
        solve_ph(acids, strong).ph, abs=1e-5
    )


@given(st.sampled_from(ACIDS), st.floats(0.0, 14.0), st.floats(0.0, 14.0))
def test_release_grows_with_ph(acid: WeakAcid, a: float, b: float) -> None:
    """An acid gives up more hydrogen ions at a higher pH, never more than it has."""
    low, high = sorted((a, b))
    assert 0.0 <= protons_released(acid, low) <= protons_released(acid, high) + 1e-12
    assert protons_released(acid, high) <= len(acid.pkas)


def test_without_activities_the_buffer_table_is_missed() -> None:
    """The ideal model is off by more than 0.7 pH at McIlvaine's pH 5.4 (11.15 mL phosphate)."""
    acids = [(CITRIC, 0.1 * 8.85 / 20), (PHOSPHORIC, 0.2 * 11.15 / 20)]
    assert solve_ph(acids, 0.4 * 11.15 / 20, activity=False).ph - 5.4 > 0.7


def test_ethanol_shift_widens_and_ends() -> None:
    """Positive everywhere, wider beyond the 12 %vol that was measured, refused above 50."""
    at = [ethanol_shift(s) for s in (0.0, 6.0, 12.0, 20.0, 40.0)]
    assert [e.value for e in at] == sorted(e.value for e in at)
    widths = [e.high - e.low for e in at]
    assert widths == sorted(widths)
    assert 0.25 <= at[3].value <= 0.35
    assert at[4].low < 0.6
    assert at[4].high >= 0.75  # extrapolations say 0.6 to 0.9 at 40 %vol
    with pytest.raises(ValueError, match="strength"):
        ethanol_shift(51.0)


def test_ethanol_raises_the_ph_of_an_acid() -> None:
    """The sign is positive for a carboxylic acid and nil for phosphoric."""
    assert solve_ph([(LACTIC, 0.05)], strength=12.0).ph > solve_ph([(LACTIC, 0.05)]).ph + 0.05
    assert solve_ph([(PHOSPHORIC, 0.05)], strength=12.0).ph == pytest.approx(
        solve_ph([(PHOSPHORIC, 0.05)]).ph
    )


@pytest.mark.parametrize("amount", [-0.1, 25.0, math.nan])
def test_impossible_amounts_are_refused(amount: float) -> None:
    """The error names the acid and the range."""
    with pytest.raises(ValueError, match=r"citric .* 0 and 20 mol/L"):
        solve_ph([(CITRIC, amount)])


@given(st.floats(-20.0, 20.0), st.floats(-2.0, 16.0))
def test_strong_ions_alone_always_settle(strong: float, guess: float) -> None:
    """Every charge up to 20 mol/L has a finite pH on its own side of 7."""
    ph = solve_ph([], strong, guess=guess).ph
    assert (ph - 7.0) * strong >= -1e-9
    assert -2.0 < ph < 16.0


def test_a_balance_that_does_not_settle_is_refused() -> None:
    """Asking for an impossible tolerance raises instead of running on."""
    with pytest.raises(ValueError, match="did not settle"):
        solve_ph([(CITRIC, 0.1)], tolerance=0.0)


def test_a_solve_is_fast() -> None:
    """A mix with milk takes well under 300 microseconds (60 aimed at on a quiet machine)."""
    sites = milk_sites("whole")
    best = math.inf
    for _ in range(5):
        start = time.perf_counter()
        for i in range(100):
            solve_ph([(CITRIC, 0.01 + i * 1e-5)], 0.001, sites=sites, share=0.2, background=0.016)
        best = min(best, (time.perf_counter() - start) / 100)
    assert best < 300e-6


@pytest.mark.parametrize("item", [a for a in ACIDULANTS.values() if a.ph_range], ids=lambda a: a.id)
def test_liquids_land_in_their_published_ph(item: Any) -> None:
    """Every juice and vinegar has a pH inside the range it carries (its own source named there)."""
    low, high = item.ph_range
    assert low <= liquid_ph(item) <= high
    assert item.source


def test_bases_of_percent_are_told_apart() -> None:
    """15 % by weight holds 6 % more than 15 % by volume (density 1.06 from memory)."""
    by_volume = citric_equivalent(acidulant("citric-15"), 15.0)
    by_weight = citric_equivalent(acidulant("citric-15-by-weight"), 15.0)
    assert by_volume == pytest.approx(2.25, abs=0.005)
    assert by_weight == pytest.approx(2.385, abs=0.005)
    with pytest.raises(ValueError, match="w/v"):
        solution("x", "x", CITRIC, 192.12, 10.0, basis="%", density=1.0)


def test_bottled_juice_is_weaker_than_fresh() -> None:
    """Bottled lemon is a quarter below fresh (Penniston et al. 2008)."""
    ratio = citric_equivalent(acidulant("bottled-lemon-juice"), 1.0) / citric_equivalent(
        acidulant("lemon-juice"), 1.0
    )
    assert 0.70 <= ratio <= 0.82


def test_unknown_acid_lists_the_known() -> None:
    """A wrong word is answered with the right ones."""
    with pytest.raises(ValueError, match="lemon-juice"):
        acidulant("lemon")
    with pytest.raises(ValueError, match="powder"):
        liquid_ph(acidulant("citric"))
