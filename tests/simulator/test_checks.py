"""Checks agree with the state of the batch, inside the noise that is stated."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator import SimulatedBatch, fault_ids, perform, simulate
from advisor.simulator.faults import FAULTS

if TYPE_CHECKING:
    from collections.abc import Iterator


def _batches(per_fault: int = 5) -> Iterator[SimulatedBatch]:
    for name in fault_ids():
        for seed in range(per_fault):
            yield simulate(seed, faults=[name])


DRAWN = tuple(_batches())
COLD = ("chilled", "service")


def _told(batch: SimulatedBatch, finding: str) -> str | None:
    return batch.answers.get(finding, batch.told.get(finding))


def test_acid_drop_flakes_where_casein_is_left() -> None:
    """With more than 0.3 g/L of casein under its onset the drop flakes nine times in ten or more;
    with less than 0.005 it flakes one time in twenty or less."""
    yes = no = with_casein = without = 0
    for batch in DRAWN:
        answer = _told(batch, "acid_drop")
        if answer is None or batch.state is None:
            continue
        if batch.state.made.plan.moment in ("mixing",):
            continue
        left = batch.truth["casein_left_g_per_l"]
        if left > 0.3:
            with_casein += 1
            yes += answer == "flakes"
        elif left < 0.005:
            without += 1
            no += answer == "flakes"
    assert with_casein > 30
    assert without > 100
    assert yes / with_casein >= 0.9
    assert no / without <= 0.05


def test_paper_clears_particles_and_not_colloids() -> None:
    """No paper stops casein of 0.15 um (Hristov 2016): cloudy casein stays cloudy through it."""
    stays = cloudy = clears = dusty = 0
    for batch in DRAWN:
        answer = _told(batch, "paper_test")
        state = batch.state
        if answer is None or state is None or state.made.plan.moment == "mixing":
            continue
        parts = state.parts("fresh", 17.0)
        if parts.get("casein", 0.0) > 40.0 and answer != "blocks":
            cloudy += 1
            stays += answer == "cloudy-throughout"
        elif parts.get("fines", 0.0) > 6.0 and parts["fines"] > 0.8 * sum(parts.values()):
            dusty += 1
            clears += answer in ("clear-at-once", "clears-later")
    assert cloudy > 30
    assert dusty > 5
    assert stays / cloudy > 0.95
    assert clears / dusty > 0.8


def test_the_strip_reads_high_by_its_alcohol() -> None:
    """Mean of many readings lies 0.010 pH per %vol above the pH (Prenesti et al. 2012)."""
    gaps = []
    for seed in range(12):
        batch = simulate(seed, faults=["acid-short-casein-left"])
        reads = [perform(batch, "strip_ph", n) for n in range(25)]
        values = [float(read.split()[0]) for read in reads if read is not None]
        assert batch.state is not None
        liquid = batch.state.fresh
        gaps.append(sum(values) / len(values) - liquid.ph - 0.010 * liquid.strength)
    assert abs(sum(gaps) / len(gaps)) < 0.06
    assert max(abs(gap) for gap in gaps) < 0.25


def test_warmth_clears_what_cold_clouded() -> None:
    """Where the haze at 40 degC is a tenth of the cold haze, the warm test says so, as a rule."""
    said = seen = 0
    for batch in DRAWN:
        state = batch.state
        answer = _told(batch, "warm_test")
        if state is None or answer is None or state.made.plan.moment not in COLD:
            continue
        cold, warm = state.cloud("fresh", 4.0), state.cloud("fresh", 40.0)
        if cold > 15.0 and warm < 0.1 * cold:
            seen += 1
            said += answer in ("clears-and-returns", "fat-beads")
    assert seen >= 8
    assert said / seen > 0.9


def test_spirit_clears_oil_and_threads_pectin() -> None:
    """Oil clears with spirit; pectin and gum are thrown down by it."""
    for name, word in (
        ("oil-ingredient-louche", "spirit-clears"),
        ("gum-syrup-haze", "threads"),
    ):
        found = [_told(simulate(seed, faults=[name]), "spirit_test") for seed in range(10)]
        assert found.count(word) >= 7, (name, found)


def test_second_wash_helps_tannin_and_not_burn() -> None:
    """Fresh casein takes more tannin; peel, chilli and alcohol stay."""
    good = [
        _told(simulate(seed, faults=["milk-share-low-tannin"]), "second_wash_trial")
        for seed in range(10)
    ]
    none = [
        _told(simulate(seed, faults=["not-polyphenol-bite"]), "second_wash_trial")
        for seed in range(10)
    ]
    assert sum(word in ("less-bitter", "both") for word in good) >= 8
    assert none.count("no-change") >= 9


def test_refreezing_cures_soft_fat_and_not_oil() -> None:
    """Another night hardens bacon fat; olive oil stays soft."""
    soft = [_told(simulate(s, faults=["fat-not-set"]), "refreeze_trial") for s in range(10)]
    oil = [_told(simulate(s, faults=["liquid-oil-fat"]), "refreeze_trial") for s in range(10)]
    assert soft.count("clears") >= 8
    assert oil.count("same") >= 7


def test_iodine_shows_starch_alone() -> None:
    """Iodine turns blue-black with starch and with nothing else."""
    for batch in DRAWN:
        state = batch.state
        if state is None or _told(batch, "iodine_drop") is None:
            continue
        starch = state.fresh.amounts.get("starch", 0.0)
        if starch == 0.0:
            assert _told(batch, "iodine_drop") == "stays-brown"
        elif starch > 300.0:
            assert _told(batch, "iodine_drop") == "blue-black"


def test_enzyme_clears_pectin_alone() -> None:
    """Pectic enzyme clears pulp haze and leaves casein as it is."""
    pulp = [_told(simulate(s, faults=["pectin-pulp-haze"]), "enzyme_trial") for s in range(8)]
    casein = [
        _told(simulate(s, faults=["acid-short-casein-left"]), "enzyme_trial") for s in range(8)
    ]
    assert pulp.count("clears") >= 6
    assert casein.count("clears") == 0


def test_fat_shows_eyes_and_a_ring() -> None:
    """Free fat above 80 mg/L makes eyes under the torch and a ring overnight, as a rule."""
    eyes = rings = rich = 0
    for batch in DRAWN:
        state = batch.state
        if state is None or state.made.plan.moment not in ("fresh", "chilled"):
            continue
        amounts = state.fresh.amounts
        fat = amounts.get("wash_fat", 0.0) + amounts.get("milk_fat", 0.0)
        other = sum(v for k, v in state.parts("fresh", 5.0).items() if "fat" not in k)
        if fat > 80.0 and other < 5.0 and not amounts.get("bits"):
            rich += 1
            eyes += _told(batch, "torch") == "round-eyes"
            rings += _told(batch, "stand_test") == "ring-on-top"
    assert rich >= 5
    assert eyes / rich > 0.7
    assert rings / rich > 0.7


def test_the_maker_tells_what_was_believed() -> None:
    """A wrong bottle is told at the strength on the sheet; its label shows the truth."""
    for seed in range(8):
        batch = simulate(seed, faults=["wrong-bottle-strength"])
        assert batch.state is not None
        drink = batch.state.made.drink
        word = "weaker" if drink.spirit_strength < 40.0 else "stronger"
        assert perform(batch, "spirit_label", 0) == word
        if "spirit_strength" in batch.told:
            assert batch.told["spirit_strength"] == "40 %vol"


def test_unsafe_batches_are_never_only_a_cause() -> None:
    """A drink that is not fit is thrown away or the service stopped, whatever else it has."""
    for batch in DRAWN:
        if batch.state is not None and batch.state.kept.unsafe:
            assert batch.verdict in ("discard", "stop")


def test_common_faults_are_drawn_more_often() -> None:
    """Over 900 draws a fault met often turns up more than one met rarely (classes: judgement)."""
    drawn = [simulate(seed).faults[:1] for seed in range(900)]
    per_class: dict[str, list[int]] = {"often": [], "sometimes": [], "rare": []}
    for name in fault_ids():
        per_class[FAULTS[name].common].append(sum(f == (name,) for f in drawn))
    mean = {kind: sum(counts) / len(counts) for kind, counts in per_class.items()}
    assert mean["often"] > 1.4 * mean["sometimes"] > 1.4 * 1.4 * mean["rare"]
