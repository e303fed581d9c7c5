"""``curdwise work`` as a person or a program calls it, each command against a published number."""

from __future__ import annotations

import inspect
import json
import math
import re
import shlex
import subprocess
import sys
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
import pytest
from scipy import stats

from advisor.cli import Exit, main
from advisor.cli.work import work
from advisor.cli.work.options import Kind
from advisor.cli.work.words import WORDS

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).parent.parent.parent


def results(capsys: pytest.CaptureFixture[str], line: str) -> dict[str, Any]:
    """The results of a command line, from its JSON."""
    assert main(["work", *shlex.split(line), "--json"]) == Exit.OK, capsys.readouterr().err
    found: dict[str, Any] = json.loads(capsys.readouterr().out)["results"]
    return found


def text(capsys: pytest.CaptureFixture[str], line: str) -> str:
    """What a command line prints."""
    assert main(["work", *shlex.split(line)]) == Exit.OK, capsys.readouterr().err
    return capsys.readouterr().out


def every_command() -> Iterator[tuple[str, click.Command]]:
    """All commands with their names, groups opened."""

    def leaves(command: click.Command, path: str) -> Iterator[tuple[str, click.Command]]:
        if not isinstance(command, click.Group):
            yield path, command
            return
        context = click.Context(command)
        for name in command.list_commands(context):
            one = command.get_command(context, name)
            assert one is not None
            yield from leaves(one, f"{path} {name}".strip())

    return leaves(work, "")


COMMANDS = dict(every_command())


def examples() -> list[str]:
    """Every example in every help text, continued lines joined."""
    groups = {id(work): work}
    for name in work.list_commands(click.Context(work)):
        one = work.get_command(click.Context(work), name)
        assert one is not None
        groups[id(one)] = one
        if isinstance(one, click.Group):
            groups |= {id(leaf): leaf for leaf in one.commands.values()}
    found: list[str] = []
    for command in groups.values():
        help_text = re.sub(r"\\\n\s*", "", inspect.cleandoc(command.help or ""))
        found += re.findall(r"^\s*curdwise (work .+)$", help_text, re.M)
    return found


@pytest.mark.parametrize("example", examples())
def test_every_example_of_the_help_runs(example, capsys):
    """What the help shows can be copied and works, as text and as JSON."""
    assert main(shlex.split(example)) == Exit.OK, capsys.readouterr().err
    assert capsys.readouterr().out.strip()
    assert main([*shlex.split(example), "--json"]) == Exit.OK
    assert json.loads(capsys.readouterr().out)["version"] == 1


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_help_with_an_example(name, capsys):
    """Nobody has to guess how a command is written."""
    assert main(["work", *name.split(), "--help"]) == Exit.OK
    shown = capsys.readouterr().out
    assert f"curdwise work {name}" in re.sub(r"Usage:.*", "", shown)
    undocumented = [
        p.name for p in COMMANDS[name].params if isinstance(p, click.Option) and not p.help
    ]
    assert undocumented == []


# -- a published number for each ---------------------------------------------------------------

PUBLISHED = [
    # OIML R 22 (Council Directive 76/766/EEC), derived
    ("strength mix '500 ml at 100 %' '500 ml'", "strength", 51.834, 0.002),
    ("strength mix '500 ml at 96 %' '500 ml'", "volume", 969.61, 0.02),
    ("strength mix '500 ml at 96 %' '500 ml'", "contraction", 30.39, 0.02),
    ("strength mix '500 ml at 40 %' '250 ml of water'", "strength", 26.705, 0.002),
    ("strength dilute --volume '1 L' --strength 96 --to 40", "water", 1470.5, 0.2),
    ("strength dilute --volume '750 ml' --strength 63 --to 45", "water", 310.35, 0.2),
    ("strength dilute --volume '1 L' --strength 40 --to 15", "water", 1665.5, 0.2),
    ("strength density --density 950", "strength", 38.764, 0.005),
    ("strength density --density 944.67 --at 25", "strength", 40.0, 0.01),
    ("strength density --strength 40", "density", 948.05, 0.02),
    ("strength density --strength '80 proof'", "mass_percent", 33.300, 0.005),
    ("strength volume --volume '1 L' --strength 40 --at -18", "volume", 976.6, 0.1),
    # four parts of drink to one of milk: arithmetic, less what contracts and what is solid in milk
    ("strength restore --drink '1 L' --strength 40 --milk '250 ml'", "batch_overbuild", 1.25, 1e-9),
    ("strength restore --drink '1 L' --strength 40 --milk '250 ml'", "batch_mix_strength", 32.0,
     0.1),
    # lower flammable limit 3.3 % by volume: 200 mL of 40 %vol per m3 of air, derived
    ("strength fire --strength 40 --spirit '4 L' --room 20", "fire_vapour_share", 100.0, 0.1),
    # freezing: Melinder 2010 (IIR), the tables differ by 1.5 degC
    ("strength freeze --strength 20.2", "ethanol_freezing_point", -7.5, 1.5),
    ("strength freeze --strength 25", "ethanol_ice_share", 27.0, 2.0),
    ("strength freeze --strength 25", "ethanol_lowest_liquid_strength", 33.7, 0.5),
    # flash point of 40 %vol, working value from two readings of one table and a UNIFAC estimate
    ("strength fire --strength 40", "ethanol_flash_point", 27.0, 1.0),
    # US standard drink (NIH): 1.5 US fl oz of 40 %; UK unit 10 mL
    ("strength serve --serve '1 1/2 us oz' --strength 40", "ethanol", 14.0, 0.01),
    ("strength serve --serve '1 1/2 us oz' --strength 40", "drinks_us", 1.0, 0.001),
    ("strength serve --serve '25 ml' --strength 40", "drinks_uk", 1.0, 1e-9),
    # published modern tea-and-vodka wash: 2.25 g citric acid in 250 mL milk, 1.5 times the need
    ("acid mix --drink '1 L' --milk '250 ml' --acid citric --dose '2.25 g'",
     "acid_per_litre_milk", 9.0, 0.01),
    ("acid mix --drink '1 L' --milk '250 ml' --acid citric --dose '2.25 g'",
     "acid_excess", 1.5, 0.15),
    # glucono-delta-lactone anchor (J. Dairy Sci. 1960): 53 mmol H+/L (45-60), 6.35 g of citric acid
    ("acid dose --milk '1 L' --milk-kind skim --acid citric --to 4.6", "dose", 6.35, 0.8),
    # Chandan & Kilara 2011, p. 299: 2.0-2.5 g citric monohydrate per kg at 70-82 degC, pH 5.3-5.4
    ("acid dose --milk '971 ml' --at 75 --acid citric-monohydrate --to 5.35", "dose", 2.25, 0.3),
    # Van Slyke-type arithmetic on FAO 2013 composition: 250 mL whole milk gives 70 g of wet curd
    ("curd --drink '1 L' --milk '250 ml' --reading 4.2 --step 0.01 --strength 0",
     "curd_mass", 70.0, 4.0),
    ("curd --drink '1 L' --milk '250 ml' --reading 4.2 --step 0.01 --strength 0",
     "curd_liquid_held", 55.0, 4.0),
    # FAO 2013: lactose 9-10 g and calcium 200-240 mg per litre of a wash of one part in five
    ("curd --drink '800 ml' --milk '200 ml' --serve '1 L'", "lactose_per_serve", 9.5, 0.5),
    ("curd --drink '800 ml' --milk '200 ml' --serve '1 L'", "calcium_left", 220.0, 20.0),
    # Ye et al. 2013, Food Res. Int. 53:449: 73 % of the catechins of green tea at 40 % milk
    ("strip taken --drink '600 ml' --milk '400 ml' --base green-tea", "strip_removal", 73.0, 13.0),
    # Codex CXS 279: butter holds at most 16 % water; with OIML R 22
    ("fat wash --fat plain-butter --amount '113.4 g' --spirit '750 ml' --strength 40",
     "fat_water_strength", 39.07, 0.01),
    # LaClair & Etzel has no dose: this one is arithmetic
    ("whey dose --drink '750 ml' --strength 20 --share 25", "whey_for_share", 250.0, 1e-9),
    # Larson & Rolleri 1955, in Lyster 1970: 47 % native after 30 min at 74 degC, +-12 points
    ("whey heat --at 74 --for '30 min'", "beta_lactoglobulin", 47.0, 12.0),
    ("whey heat --at 74 --for '30 min'", "alpha_lactalbumin", 75.0, 12.0),
    # Rickwood 1978: 1.118e-5 r rpm^2
    ("spin --rpm 3000 --radius '10 cm'", "pull", 1006.0, 1.0),
    ("spin --pull 6000 --radius '100 mm'", "rpm", 7326.0, 2.0),
    # Stokes; Fox & McSweeney 1998, p. 106: about 50 h for globules of 4 um
    ("settle --particle '4 um' --heavier -119 --viscosity 2 --height '10 cm'", "speed", 0.52, 0.01),
    ("settle --particle '4 um' --heavier -119 --viscosity 2 --height '10 cm'", "time", 50.0, 5.0),
    # Darcy's law
    ("filter --particle '30 um' --known '2 h' --volume 4 --area 2", "time", 4.0, 1e-9),
    # 1 EBC = 4 NTU, from memory, not yet verified
    ("clarity --turbidity 8", "ebc", 2.0, 1e-9),
    # ISO 4120; ASTM E1885; Ennis 1993
    ("taste result --right 8 --tasters 12", "p_value", 0.01876, 1e-5),
    ("taste result --right 18 --tasters 30", "discriminators", 40.0, 1e-6),
    ("taste result --right 15 --tasters 30", "d_prime", 1.466, 0.001),
    ("taste result --right 18 --tasters 30", "needed", 15, 0),
    ("taste panel --share 30", "panel", 40, 0),
    ("taste panel --share 30", "stable_panel", 42, 0),
    ("taste panel --test tetrad --d-prime 1", "panel", 61, 0),
    # 1000 mL at 90 % yield in serves of 60 mL: 15, rounded down
    ("cost serve --finished '900 ml' --serve '60 ml'", "cost_serves", 15, 0),
]  # fmt: skip


@pytest.mark.parametrize(("line", "key", "expected", "tolerance"), PUBLISHED)
def test_each_command_gives_the_published_number(line, key, expected, tolerance, capsys):
    """The number on the screen is that of the source named in the table above."""
    row = results(capsys, line)[key]
    assert row["value"] == pytest.approx(expected, abs=tolerance + 1e-12)
    assert row["low"] <= row["value"] <= row["high"]


def test_similarity_limits_are_exact(capsys):
    """18 of 30 in a triangle: the limits of Clopper & Pearson 1934 at 90 %, by scipy."""
    oracle = stats.binomtest(18, 30).proportion_ci(0.90, method="exact")
    limits = [100 * (1.5 * one - 0.5) for one in (oracle.low, oracle.high)]
    row = results(capsys, "taste result --right 18 --tasters 30")["discriminators"]
    assert (row["low"], row["high"]) == pytest.approx(limits, abs=0.1)


def test_all_right_is_no_certainty(capsys):
    """One of one, or twelve of twelve: an exact limit below 100 % stands there (Clopper & Pearson
    1934: the share behind 12 of 12 is at least 0.05^(1/12) = 0.779 at 95 %)."""
    one = results(capsys, "taste result --right 1 --tasters 1")["discriminators"]
    assert (one["low"], one["high"]) == (0.0, 100.0)
    twelve = results(capsys, "taste result --right 12 --tasters 12")["discriminators"]
    assert twelve["low"] == pytest.approx(100 * (1.5 * 0.05 ** (1 / 12) - 0.5), abs=0.01)


def test_a_preference_counts_the_way_that_most_went(capsys):
    """2 of 12 is 10 of 12 the other way: the same chance and the same d' (Bi 2006: d' is
    root 2 times the normal quantile of the share)."""
    found = results(capsys, "taste result --test paired-two-sided --right 2 --tasters 12")
    other = results(capsys, "taste result --test paired-two-sided --right 10 --tasters 12")
    assert found["p_value"]["value"] == other["p_value"]["value"]
    assert found["d_prime"]["value"] == other["d_prime"]["value"] == pytest.approx(1.368, abs=1e-3)
    assert "10 of 12 went the other way" in text(
        capsys, "taste result --test paired-two-sided --right 2 --tasters 12"
    )


def test_tests_agree_with_an_independent_library(capsys):
    """scipy gives the same chance by guessing and the same Friedman statistic."""
    stats = pytest.importorskip("scipy.stats")
    row = results(capsys, "taste result --test duo-trio --right 20 --tasters 30")["p_value"]
    exact = stats.binomtest(20, 30, 0.5, alternative="greater").pvalue
    assert row["value"] == pytest.approx(exact, rel=1e-9)
    ranks = [(1, 2, 3), (1, 3, 2), (1, 2, 3), (2, 1, 3), (1, 2, 3), (1, 2, 3)]
    line = " ".join(",".join(map(str, row)) for row in ranks)
    found = results(capsys, f"taste rank {line} --ordered")
    statistic = stats.friedmanchisquare(*zip(*ranks, strict=True)).statistic
    assert found["friedman"]["value"] == pytest.approx(statistic)
    # L of Page 1963 by its definition: sum of place x rank sum
    assert found["page"]["value"] == 1 * 7 + 2 * 12 + 3 * 17


def test_black_tea_keeps_more_than_green(capsys):
    """Ye et al. 2013: casein takes a smaller share of black tea's polyphenols than of green's."""
    line = "strip taken --drink '600 ml' --milk '400 ml' --base {} --sense tannin"
    green = results(capsys, line.format("green-tea"))["strip_removal"]["value"]
    assert results(capsys, line.format("black-tea"))["strip_removal"]["value"] < green


def test_dilute_raise_and_mix_agree(capsys):
    """Raising undoes what mixing shows: ethanol is conserved."""
    spirit = results(
        capsys, "strength raise --volume '900 ml' --strength 31 --to 35 --with 60"
    )["spirit"]["value"]
    mixed = results(capsys, f"strength mix '900 ml at 31 %' '{spirit} ml at 60 %'")
    assert mixed["strength"]["value"] == pytest.approx(35.0, abs=1e-6)


def test_milk_for_a_reduction_is_the_removal_turned_round(capsys):
    """The milk that is advised takes what was asked for."""
    milk = results(capsys, "strip milk --drink '1 L' --base coffee --sense tannin --take 30")
    amount = milk["strip_milk_for_reduction"]["value"]
    taken = results(
        capsys,
        f"strip taken --drink '1 L' --milk '{amount} ml' --milk-kind whole --base coffee",
    )["strip_removal"]["value"]
    assert taken == pytest.approx(30.0, abs=0.5)


def test_a_reading_is_corrected_for_alcohol(capsys):
    """0.006 to 0.014 pH per %vol (Prenesti et al. 2012): a strip in spirit reads too high."""
    found = results(
        capsys, "acid reading --reading 5.2 --step 0.1 --drink '800 ml' --strength 40 "
        "--milk '200 ml'",
    )  # fmt: skip
    strength = 32.0
    assert found["acid_read_ph"]["value"] == pytest.approx(5.2 - 0.010 * strength, abs=0.02)
    assert found["curd_expected"]["word"] == "partial"
    assert found["acid_still_needed_citric"]["value"] > 0


def test_a_titration_finds_the_milk_that_made_it(capsys):
    """Readings of a milk that buffers 1.3 times the table are fitted back to 1.3."""
    from advisor.science.milk_buffer import mix_ph

    doses = (0.0, 0.2, 0.4, 0.6, 0.8)
    pairs = " ".join(
        f"{dose}={mix_ph(0.0, 100.0, 'whole', (('citric', dose),), scale=1.3).ph:.2f}"
        for dose in doses
    )
    found = results(capsys, f"acid fit --milk '100 ml' --step 0.01 {pairs}")["buffering"]
    assert found["value"] == pytest.approx(1.3, abs=0.1)
    assert found["low"] < 1.3 < found["high"]


def test_a_titration_finds_the_acid_of_a_drink(capsys):
    """50 g/L citric acid has pH 1.87 and 48 g/L with potassium 2.0-2.6; here 5 g/L in water."""
    from advisor.science.acids import CITRIC, CITRIC_MASS
    from advisor.science.equilibrium import solve_ph

    pairs = " ".join(
        f"{dose}={solve_ph([(CITRIC, (5.0 + 10.0 * dose) / CITRIC_MASS)], guess=2.5).ph:.2f}"
        for dose in (0.0, 0.5, 1.0)
    )
    found = results(capsys, f"acid fit --drink '100 ml' --step 0.01 {pairs}")["own_acid"]
    assert found["low"] < 5.0 < found["high"]


def test_the_trial_fit_is_mass_action(capsys):
    """Half left at 20 % milk of 26 g/L casein: k = 1 / (0.2 x 26) by the definition."""
    found = results(capsys, "strip fit '20 %=50 %' --take 50 --drink '1 L'")
    assert found["affinity"]["value"] == pytest.approx(1 / (0.2 * 26))
    assert found["milk_share"]["value"] == pytest.approx(20.0)
    assert found["milk"]["value"] == pytest.approx(250.0)


def test_aroma_follows_its_partition_constant(capsys):
    """log Kow 4.57 (limonene) goes into fat, -1.34 (diacetyl) hardly does."""
    line = "fat aroma --fat olive-oil --amount '100 ml' --spirit '750 ml' --strength 40"
    into = {
        name: results(capsys, f"{line} --compound {name}")["fat_aroma_taken"]["value"]
        for name in ("limonene", "diacetyl")
    }
    assert into["limonene"] > 90
    assert into["diacetyl"] < 10


def test_an_oil_stops_floating_where_densities_meet(capsys):
    """Butterfat of about 911 kg/m3 meets spirit of 57 to 62 %vol (OIML R 22)."""
    line = "fat wash --fat ghee --amount '100 g' --spirit '750 ml' --strength {}"
    found = results(capsys, line.format(40))
    assert found["fat_floats"]["word"] == "floats"
    assert 57 < found["fat_stops_floating_at"]["value"] < 62
    assert results(capsys, line.format(75))["fat_floats"]["word"] == "sinks"


@pytest.mark.parametrize(
    ("ph", "word"), [("3.4", "low"), ("4.6", "high"), ("3.8", "possible")]
)
def test_whey_haze_follows_the_published_zones(ph, word, capsys):
    """LaClair & Etzel 2009: clear to pH 3.6, turbid from 4.0."""
    line = f"whey dose --drink '750 ml' --strength 20 --whey '250 ml' --ph {ph}"
    assert results(capsys, line)["whey_haze_risk"]["word"] == word


@pytest.mark.parametrize(
    ("line", "word"),
    [
        ("keep --strength 18 --ph 4.1", "non-tcs"),
        ("keep --strength 18 --ph 4.2", "assess"),
        ("keep --strength 18 --ph 4.6 --heated-and-packaged", "non-tcs"),
        ("keep --strength 18 --ph '4.0 to 4.3'", "assess"),
        ("keep --strength 60", "assess"),
    ],
)
def test_keeping_follows_the_food_code(line, word, capsys):
    """FDA Food Code 1-201.10, Tables A and B; alcohol never clears a drink, nor does no pH."""
    assert results(capsys, line)["control"]["word"] == word


def test_the_last_day_counts_the_first(capsys):
    """FDA Food Code 3-501.17: made on the 1st, used by the 7th."""
    found = results(capsys, "keep --strength 18 --ph 4.4 --made 2026-03-01")
    assert found["last_day"]["word"] == "2026-03-07"


@pytest.mark.parametrize(
    ("line", "word"),
    [
        ("--out '5 h' --warmest 19", "serve-by"),
        ("--out '6 h' --warmest 19", "discard"),
        ("--out '3 to 5 h' --warmest 25", "discard"),
        ("--out '1 h' --start 12", "not-allowed"),
    ],
)
def test_time_out_of_the_fridge_follows_the_food_code(line, word, capsys):
    """FDA Food Code 3-501.19: 6 hours to 21 degC, else 4; the longest that was said counts."""
    assert results(capsys, f"keep --strength 12 --ph 4.4 {line}")["time_control"]["word"] == word


def test_what_stood_out_is_never_put_back(capsys):
    """FDA Food Code 3-501.19: served or discarded within the hours; nothing says to keep it."""
    shown = text(capsys, "keep --strength 12 --ph 4.4 --out '5 h' --warmest 19")
    assert "serve it by 6 h after it came out, then discard it" in shown
    assert "3-501.19" in shown
    assert "it came out at 5 °C (--start)" in " ".join(shown.split())
    assert "--warmest" not in shown


def test_the_rule_for_time_out_is_that_of_the_place(capsys):
    """SI 2013/2996 Sch. 4 para. 5 in England, where the US hours are no rule."""
    line = "keep --strength 12 --ph 4.4 --place england --out '5 h' --warmest '60 F' --start 7"
    found = results(capsys, line)
    assert found["time_control"]["word"] == "discard"
    assert "SI 2013/2996" in found["time_control"]["source"]


def test_what_needs_no_control_has_no_hours(capsys):
    """FDA Food Code 1-201.10 Table B, below 4.2: nothing to discard by the clock."""
    shown = text(capsys, "keep --strength 30 --ph 3.4 --out '50 h'")
    assert "no limit of hours" in shown
    assert "discard" not in shown


def test_a_bare_not_allowed_says_why(capsys):
    """Started at 20 degC, time may not stand in for temperature (FDA Food Code 3-501.19)."""
    shown = text(capsys, "keep --strength 12 --ph 4.4 --out '1 h' --start 20 --warmest 20")
    assert "not at 5 °C or below" in shown
    assert "discard it" in shown


def test_far_too_much_acid_is_said(capsys):
    """A published home recipe at 67 g of citric acid per litre of milk, 11 times the need."""
    line = "acid mix --drink '240 ml' --milk '60 ml' --acid citric --dose '4 g'"
    assert 8 < results(capsys, line)["acid_excess"]["value"] < 14
    assert "over-acid" in text(capsys, line)
    assert "over-acid" not in text(capsys, line.replace("4 g", "0.5 g"))


def test_labels_differ_by_law_where_the_laws_do(capsys):
    """Refined peanut oil: exempt in the US (FD&C Act), declared in the EU (1169/2011 Annex II)."""
    found = results(capsys, "label rum peanut-oil:refined")
    assert "Contains peanuts" in found["label_eu"]["word"]
    assert "Contains peanuts" not in found["label_us"]["word"]


@pytest.mark.parametrize(
    "line",
    [
        "label gin --step milk-wash --step filter --step centrifuge",
        "label gin whey",
        "curd --drink '1 L' --milk '250 ml'",
        "strip taken --drink '1 L' --milk '250 ml'",
        "acid mix --drink '1 L' --milk '250 ml' --acid citric --dose '2 g'",
        "fat wash --fat ghee --amount '100 g' --spirit '750 ml' --strength 40",
        "whey dose --drink '750 ml' --strength 20 --share 25",
    ],
)
def test_whatever_milk_touched_says_so(line, capsys):
    """No answer about such a drink leaves the milk out."""
    assert re.search(r"contains milk", text(capsys, line), re.I)


def test_a_plant_drink_is_not_called_milk(capsys):
    """Oats are what has to be declared there."""
    shown = text(capsys, "curd --drink '1 L' --milk '250 ml' --milk-kind oat")
    assert "Contains milk" not in shown
    assert "oat-drink" in shown


def test_a_spin_of_spirit_begins_with_a_stop(capsys):
    """UL 61010A-2-020, 1.1.1: bench centrifuges exclude flammable liquids."""
    minded = text(capsys, "spin --rpm 3000 --radius '10 cm'").partition("MIND")[2]
    assert minded.strip().startswith("STOP")


def test_a_larger_batch_keeps_its_amounts_and_says_what_does_not_follow(capsys):
    """Ten times as much of each, and a word about acid and filtering."""
    found = results(capsys, "cost scale --times 10 drink='750 ml' citric='2 g'")
    assert (found["drink"]["value"], found["drink"]["unit"]) == (7500.0, "mL")
    assert (found["citric"]["value"], found["citric"]["unit"]) == (20.0, "g")
    assert "Filtering" in text(capsys, "cost scale --times 10 drink='750 ml'")


# -- forms of output ---------------------------------------------------------------------------


def test_json_keys_are_the_promised_ones(capsys):
    """A program can rely on names, units and interval."""
    assert main(shlex.split("work curd --drink 'about 1 L' --milk '250 ml' --json")) == Exit.OK
    data = json.loads(capsys.readouterr().out)
    assert set(data) == {"version", "command", "inputs", "results", "notes", "cautions"}
    assert data["command"] == "work curd"
    assert data["inputs"]["drink_ml"] == {
        "text": "about 1 L", "value": 1000.0, "low": 950.0, "high": 1050.0, "unit": "mL",
    }  # fmt: skip
    assert set(data["results"]["curd_yield"]) == {
        "title", "value", "low", "high", "unit", "formula", "source",
    }  # fmt: skip


def test_every_result_names_its_formula_and_source(capsys):
    """--how shows where each number comes from."""
    for example in examples():
        if re.match(r"work (checks|words)", example):
            continue
        assert main([*shlex.split(example), "--json"]) == Exit.OK
        for key, row in json.loads(capsys.readouterr().out)["results"].items():
            assert row["formula"], (example, key)
            assert row["source"], (example, key)
    shown = text(capsys, "acid dose --milk '1 L' --how")
    assert "source: Davies charge balance" in shown


def test_a_vague_amount_widens_the_answer(capsys):
    """An ounce that does not say whose reaches from 28.4 to 30 ml; so does the result."""
    row = results(capsys, "strength mix '1 oz at 40 %'")["volume"]
    assert (row["low"], row["high"]) == pytest.approx((28.41, 30.0), abs=0.01)


def test_us_units_are_for_the_reader_only(capsys):
    """The screen shows ounces and degrees Fahrenheit, the JSON stays in named units."""
    line = "strength dilute --volume '25.36 us oz' --strength 60 --to 40 --units us"
    assert "fl oz" in text(capsys, line)
    assert results(capsys, line)["water"]["unit"] == "mL"
    assert "°F" in text(capsys, "strength freeze --strength 25 --units us")


PLOTS = {
    "acid mix --drink '750 ml' --strength 38 --milk '200 ml' --acid lemon-juice --dose '30 ml'": (
        "first flakes below", "full split below",
    ),
    "acid fit --milk '100 ml' --step 0.1 0=6.7 0.3=5.7 0.6=4.9": ("readings", "full split below"),
    "acid fit --drink '100 ml' 0=3.5 0.5=3.0": ("readings",),
    "strength dilute --volume '1 L' --strength 63 --to 40": ("water added", "wanted"),
    "strip taken --drink '1 L' --milk '250 ml' --base black-tea": ("taken", "its interval"),
}  # fmt: skip


@pytest.mark.parametrize("line", PLOTS)
def test_a_plot_survives_a_pipe(line, capsys):
    """The drawing is plain text of a bounded width, with its legend, and without colour codes."""
    shown = text(capsys, f"{line} --plot")
    assert "\x1b" not in shown
    assert max(map(len, shown.splitlines())) <= 132
    assert "┤" in shown
    for words in PLOTS[line]:
        assert words in shown


@pytest.mark.parametrize("line", PLOTS)
def test_a_plot_can_be_read_aloud(line, capsys, monkeypatch):
    """The accessible mode gives rows of numbers instead of a drawing."""
    monkeypatch.setenv("ACCESSIBLE", "1")
    shown = text(capsys, f"{line} --plot")
    assert "┤" not in shown
    assert re.search(r"^  [\d.]+: -?[\d.]+", shown, re.M)


@pytest.mark.parametrize("line", PLOTS)
def test_a_plot_with_json_gives_its_points(line, capsys):
    """A program draws it itself; every number is finite and inside its interval."""
    assert main(["work", *shlex.split(line), "--plot", "--json"]) == Exit.OK
    for series in json.loads(capsys.readouterr().out)["curve"]["series"]:
        assert len(series["x"]) == len(series["y"]) > 0
        assert all(map(math.isfinite, series["x"] + series["y"]))
        for low, y, high in zip(series["low"], series["y"], series["high"], strict=False):
            assert low <= y <= high


def test_the_titration_falls_and_crosses_the_window(capsys):
    """More acid never raises the pH, and 60 ml of lemon in 200 ml of milk goes below 4.6."""
    line = "acid mix --drink '750 ml' --milk '200 ml' --acid lemon-juice --dose '30 ml'"
    assert main(["work", *shlex.split(line), "--plot", "--json"]) == Exit.OK
    curve = json.loads(capsys.readouterr().out)["curve"]
    ph = curve["series"][0]["y"]
    assert all(b < a for a, b in pairwise(ph))
    # full split near 4.6 (Zoller 1921), first flakes below 5.2 (dairy course of the ICAR)
    levels = {level["name"]: level["at"] for level in curve["levels"]}
    assert levels["full split below"] == pytest.approx(4.6)
    assert levels["first flakes below"] == pytest.approx(5.2)
    assert ph[0] > 6 > 4.6 > ph[-1]


@pytest.mark.parametrize(("name", "begins"), [("a.svg", b"<?xml"), ("b.PNG", b"\x89PNG")])
def test_a_plot_is_written_into_a_file(name, begins, tmp_path, capsys):
    """SVG keeps its words as text; the same numbers give the same file."""
    pytest.importorskip("matplotlib")
    line = "strength dilute --volume '1 L' --strength 63 --to 40 --plot-file"
    written = []
    for folder in ("one", "two"):
        path = tmp_path / folder / name
        path.parent.mkdir()
        assert main(["work", *shlex.split(line), str(path)]) == Exit.OK
        written.append(path.read_bytes())
    assert written[0].startswith(begins)
    assert written[0] == written[1]
    if name.endswith("svg"):
        assert b"water added, ml" in written[0]
    assert "Drawn into" in capsys.readouterr().err


def test_without_the_drawing_library_the_message_says_what_to_install(
    tmp_path, capsys, monkeypatch
):
    """matplotlib is an extra: who lacks it is told its name."""
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    line = f"strength dilute --volume '1 L' --strength 63 --to 40 --plot-file {tmp_path}/a.svg"
    assert main(["work", *shlex.split(line)]) == Exit.INPUT
    assert "curdwise[plot]" in capsys.readouterr().err


# -- bad input ---------------------------------------------------------------------------------

BAD = [
    ("strength dilute --volume '700 ml' --strength 140 --to 40", "--strength is 140 %vol; it must"),
    ("strength dilute --volume '700 ml' --strength 40 --to 60", "--to is 60 %vol; it must lie"),
    ("strength dilute --volume '700 g' --strength 60 --to 40", "--volume"),
    ("strength dilute --volume 'lots' --strength 60 --to 40", '--volume "lots"'),
    ("strength mix '500 ml of bears'", "neither water nor one of"),
    ("strength mix '0 ml'", "at least one part must have some"),
    ("strength raise --volume '1 L' --strength 30 --to 40 --with 35", "--to is 40 %vol"),
    ("strength density", "--strength, --density"),
    ("strength density --strength 20 --at -18", "begins to freeze"),
    ("strength density --density 5000", "--density: '5000' must be a number from 700 to 1400"),
    ("strength freeze --strength 20 --at -90", "--at is -90 degC; it must lie between"),
    ("strength fire --strength 40 --room 20", "--spirit, --room"),
    ("strength restore --drink '1 L' --strength 40 --milk '200 ml' --with 30", "--with is 30 %vol"),
    ("strength fire --strength 4", "--strength is 4 %vol; it must lie between 10 and 100"),
    ("acid mix --drink '1 L' --milk 0 --acid citric --dose 2", "--milk is 0 mL; it must lie"),
    ("acid mix --drink '1 L' --milk '200 ml' --acid citrc --dose 2", "did you mean citric"),
    ("acid mix --drink '1 L' --milk '200 ml' --acid citric", "give it as --dose"),
    ("acid mix --drink '1 L' --milk '200 ml' --acid citric --dose '30 ml'", "dosed in g"),
    ("acid mix --drink '50 ml' --milk '200 ml' --acid lemon-juice --dose '1 L'", "--dose is 1000"),
    ("acid dose --milk '1 L' --milk-kind oat", "--milk-kind is 'oat'; it makes no curd"),
    ("acid dose --milk '1 L' --acid none", "needs an acid"),
    ("acid dose --milk '1 L' --to 1", "--to is 1 pH"),
    ("acid fit --milk '100 ml' 0=6.7", "at least two different doses"),
    ("acid fit 0=6.7 1=5", "--milk, --drink"),
    ("acid fit --milk '100 ml' 0,6.7", "DOSE=READING"),
    ("curd --drink '1 L' --milk '250 ml' --at 300", "--at is 300 degC"),
    ("curd --drink '1 L' --milk '250 ml' --dose 3", "name it with --acid"),
    ("strip taken --drink '1 L' --milk '3 L'", "--milk is 3000 mL for 1000 mL of drink"),
    ("strip milk --drink '1 L' --take 99", "--take is 99 %"),
    ("strip fit '20 %=100 %'", "share left must lie between 0 and 1"),
    ("fat wash --fat ghee --amount 100 --spirit '1 L' --strength 40", "grams or millilitres"),
    ("fat wash --fat gee --amount '100 g' --spirit '1 L' --strength 40", "did you mean ghee"),
    ("fat wash --fat ghee --amount '100 g' --spirit 0 --strength 40", "--spirit is 0 mL"),
    ("whey dose --drink '1 L' --strength 20", "exactly one of the three"),
    ("whey dose --drink '1 L' --strength 20 --protein 50", "--protein"),
    ("whey heat --at 500 --for 1", "--at is 500 degC"),
    ("spin --radius '10 cm'", "--rpm, --pull"),
    ("spin --rpm 3000 --radius '10 cm' --particle '1 um'", "--inner, --heavier"),
    ("settle --particle '500 um' --heavier 50", "--particle is 500 um"),
    ("settle --particle '10 um' --heavier x", "--heavier: 'x' must be a number"),
    ("clarity --turbidity -1", "--turbidity"),
    ("keep --strength 20 --ph 19", "--ph is 19 pH"),
    ("keep --strength 20 --made yesterday", "write it like 2026-03-01"),
    ("keep --strength 20 --place mars", "is not one of us"),
    ("label peanut-oil:fried", "form must be one of plain, refined, distilled"),
    ("label gin --step prayer", "--step"),
    ("taste result --right 13 --tasters 12", "must be a whole number from 0 to 12"),
    ("taste result --right 8.5 --tasters 12", "--right: '8.5' must be a whole number"),
    ("taste panel", "--share, --d-prime"),
    ("taste panel --share 30 --alpha 2", "--alpha: '2' must be a number"),
    ("taste rank 1,2,3 1,1,1", "judge 2"),
    ("taste rank 1,2,3 x", "is not a ranking"),
    ("cost serve --serve '60 ml'", "--mix, --finished"),
    ("cost serve --serve '60 ml' --finished '1 L' --paid spirit=free", "NAME=MONEY"),
    ("cost serve --serve '2 L' --finished '1 L' --paid spirit=3", "not make one whole serve"),
    ("strip fit '20 %=50 %' --casein 0", "--casein must be above 0"),
    ("acid fit 0=6.7 1=5 --drink 0", "--drink is 0 mL"),
    ("cost scale --times 0 milk='1 L'", "--times: '0' must be a number from 0.001"),
    ("cost scale --times 2 milk=200", "has no unit"),
    ("words bears", "is not one of milk"),
    ("strength dilute --volume '1 L' --strength 63 --to 40 --plot-file x.jpg", ".svg or .png"),
    ("strength dilute --volume '1 L' --strength 63 --to 40 --plot-file no/where.svg",
     "cannot be written"),
    ("acid mix --drink '1 L' --milk '200 ml' --acid none --plot", "--plot: without an acid"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "said"), BAD)
def test_bad_input_names_the_option_and_ends_with_its_code(line, said, capsys):
    """A sentence with option, value and range; nothing on standard output; never a traceback."""
    assert main(["work", *shlex.split(line)]) == Exit.INPUT
    shown = capsys.readouterr()
    assert said in shown.err
    assert shown.out == ""
    assert "Traceback" not in shown.err


@pytest.mark.parametrize("name", sorted(set(COMMANDS) - {"checks", "words"}))
@pytest.mark.parametrize("value", ["nan", "inf", "-1e300", "1e300", "", "x" * 200, "٣", "1/0"])
def test_no_option_lets_nonsense_through(name, value, capsys):
    """Every amount and number refuses what is not one, with a message of its own."""
    command = COMMANDS[name]
    tried = [
        p for p in command.params
        if isinstance(p, click.Option) and p.type.name in ("amount", "number", "count", "dose")
    ]  # fmt: skip
    for option in tried:
        line = [*name.split(), option.opts[0], value]
        for other in command.params:
            if isinstance(other, click.Option) and other.required and other is not option:
                word = next(iter(WORDS[other.type.of]())) if isinstance(other.type, Kind) else "5"
                line += [other.opts[0], word]
            elif isinstance(other, click.Argument) and other.required:
                line += ["1=5"]
        code = main(["work", *line])
        shown = capsys.readouterr()
        if code == Exit.OK:  # an Arabic three is a three
            assert value == "٣", line
            assert not re.search(r"\b(nan|inf)\b", shown.out)
        else:
            assert code == Exit.INPUT, line
            assert shown.err.startswith("curdwise: "), line


# -- the table of checks -----------------------------------------------------------------------


def test_the_checks_pass_and_are_counted(capsys):
    """Every published value is met and every bad one missed, by their own tolerance."""
    assert main(["work", "checks", "--json"]) == Exit.OK
    data = json.loads(capsys.readouterr().out)
    assert data["failed"] == 0
    assert data["count"] == len(data["checks"]) > 300
    assert len({row["id"] for row in data["checks"]}) == data["count"]
    assert {row["must_match"] for row in data["checks"]} == {True, False}
    for row in data["checks"]:
        near = abs(row["value"] - row["expected"]) <= row["tolerance"]
        assert row["pass"] is (near is row["must_match"])
        assert row["source"]


def test_the_checks_are_shown_as_a_table(capsys):
    """Verdict, value, expected, tolerance and source stand in one line each."""
    assert main(["work", "checks", "--about", "iso 4120"]) == Exit.OK
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) > 5
    assert all(re.match(r"pass  .+ ± .+ISO 4120", line) for line in lines)


def test_a_failing_check_is_told_and_ends_with_one(capsys, monkeypatch):
    """A value off its tolerance, and a bad reference that is met, both fail."""
    from advisor.science import outside
    from advisor.science.outside import OutsideCheck

    def refuses() -> float:
        raise ValueError("out of range")

    off = OutsideCheck("off", "a value that is off", lambda: 2.0, 1.0, 0.5, "a table", "seen")
    refused = OutsideCheck("refused", "a refusal", refuses, 1.0, 0.5, "a table", "seen")
    met = OutsideCheck("met", "a bad value that is met", lambda: 1.0, 1.0, 0.5, "a copy", "seen")
    monkeypatch.setattr(outside, "outside_checks", lambda: (off, refused))
    monkeypatch.setattr(outside, "bad_references", lambda: (met,))
    assert main(["work", "checks", "--failed"]) == Exit.FOUND
    shown = capsys.readouterr()
    assert shown.out.count("FAIL") == 3
    assert "refused" in shown.out
    assert shown.err.strip().endswith("3 failed")


# -- the rest ----------------------------------------------------------------------------------


def test_the_first_help_loads_nothing_of_it():
    """curdwise --help stays quick: no science, no units, no drawing."""
    code = (
        "import sys\n"
        "from advisor.cli import main\n"
        "main(['--help'])\n"
        "loaded = [m for m in sys.modules if m.startswith(('advisor.science', 'advisor.cli.work.',"
        " 'advisor.quantities'))]\n"
        "loaded += sorted({'pint', 'plotext', 'matplotlib', 'scipy', 'numpy'} & set(sys.modules))\n"
        "print(loaded, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT)
    assert done.stderr.strip() == "[]"
    assert re.search(r"^\s+work\b", done.stdout, re.M)


def test_words_are_listed_for_every_option_that_takes_one(capsys):
    """Whoever is asked for a KIND can see the kinds, and a shell can complete them."""
    listed = json.loads(_out(capsys, "words --json"))["words"]
    assert {"whole", "oat"} <= set(listed["milk"])
    for command in COMMANDS.values():
        for option in command.params:
            if isinstance(option.type, Kind):
                assert listed[option.type.of]
                first = next(iter(listed[option.type.of]))
                complete = option.type.shell_complete(click.Context(command), option, first[:3])
                assert first in [item.value for item in complete]


def _out(capsys: pytest.CaptureFixture[str], line: str) -> str:
    assert main(["work", *shlex.split(line)]) == Exit.OK
    return capsys.readouterr().out


def test_the_command_runs_in_a_process_of_its_own():
    """As a person calls it, answer on standard output and nothing else there."""
    done = subprocess.run(
        [sys.executable, "-m", "advisor", "work", "strength", "dilute", "--volume", "700 ml",
         "--strength", "60", "--to", "40"],
        capture_output=True, text=True, cwd=ROOT, timeout=60,
    )  # fmt: skip
    assert done.returncode == Exit.OK
    assert done.stderr == ""
    assert done.stdout.startswith("water to add  360 ml")


# -- nothing is dropped without a word ------------------------------------------------------------


def refused(capsys: pytest.CaptureFixture[str], line: str) -> str:
    """What a command line that is refused says."""
    assert main(["work", *shlex.split(line)]) == Exit.INPUT, capsys.readouterr().out
    said = capsys.readouterr()
    assert said.out == ""
    assert "Traceback" not in said.err
    return " ".join(said.err.split())


def test_money_under_the_same_name_adds_up(capsys):
    """Two bottles at 22 are 44: 44 over 15 serves of 60 mL (arithmetic)."""
    line = "cost serve --finished 900 --serve 60 --paid spirit=22 --paid spirit=22"
    assert results(capsys, line)["cost_per_serve"]["value"] == pytest.approx(44 / 15)
    comma = "cost serve --finished 900 --serve 60 --paid spirit=22,50"
    assert results(capsys, comma)["cost_per_serve"]["value"] == pytest.approx(1.5)


def test_amounts_under_the_same_name_add_up(capsys):
    """750 and 200 mL, twice as much, are 1900 (arithmetic); weight and volume do not add."""
    found = results(capsys, "cost scale --times 2 drink=750ml drink=200ml")
    assert found["drink"]["value"] == pytest.approx(1900)
    assert "by weight and by volume" in refused(capsys, "cost scale --times 2 a=750ml a=20g")


def test_a_bare_temperature_is_refused_in_us_units(capsys):
    """75 may be a hot milk in Celsius or a warm room in Fahrenheit: nothing is guessed."""
    line = "acid dose --milk '1 L' --units us --at "
    assert '"75 F" or "75 C"' in refused(capsys, line + "75")
    assert text(capsys, line + "'75 C'") == text(capsys, line + "'167 F'")
    assert text(capsys, "acid dose --milk '1 L' --units us")


def test_a_dose_of_no_acid_is_refused(capsys):
    """An amount that changes nothing is a mistake of the one who wrote it."""
    assert "no acid has no dose" in refused(
        capsys, "acid mix --drink '1 L' --milk '250 ml' --acid none --dose 5"
    )


# -- curdling: what is known is said ---------------------------------------------------------------


def test_where_nothing_curdles_all_the_protein_stays(capsys):
    """Whole milk holds 3.2 to 3.4 g of protein in 100 g (FAO 2013, Table 3.1): 200 mL of it in 950
    come to about 7 g per litre, and there is neither curd nor finished drink."""
    line = "curd --drink '750 ml' --milk '200 ml' --acid none"
    found = results(capsys, line)
    assert found["curd_expected"]["word"] == "none"
    assert 6500 <= found["protein_left"]["value"] <= 7600
    assert found["protein_per_serve"]["value"] == pytest.approx(
        0.09 * found["protein_left"]["value"]
    )
    assert not {"curd_mass", "curd_yield", "protein_whey_left"} & set(found)
    assert "no finished drink" in " ".join(text(capsys, line).split())


def test_the_reasons_of_a_verdict_are_shown(capsys):
    """What the science knows beside the word: a cold clot waits, warm alcohol dissolves casein."""
    cold = "acid mix --drink '1 L' --strength 20 --milk '250 ml' --acid citric --dose '2 g' --at 4"
    assert "Below 8 °C the clot may not show" in text(capsys, cold)
    hot = "acid mix --drink '1 L' --strength 50 --milk '200 ml' --acid none --at 60"
    assert "casein dissolves in warm alcohol" in text(capsys, hot)


def test_a_clot_by_alcohol_is_put_in_words(capsys):
    """Davies & White 1958: cow milk clots near 42 %vol in the mix without any acid."""
    shown = text(capsys, "curd --drink '1 L' --strength 60 --milk '200 ml' --acid none")
    assert "clots on alcohol alone" in shown
    assert "ethanol-clot" not in shown


@pytest.mark.parametrize(
    "line",
    [
        "acid reading --reading 6.7 --drink '750 ml' --milk '200 ml' --acid lemon-juice --dose 200",
        "curd --reading 6.5 --drink '750 ml' --milk '200 ml' --acid citric --dose 5",
    ],
)
def test_a_reading_that_contradicts_the_recipe_gives_no_dose(line, capsys):
    """Milk is at pH 6.7 untouched (Fox & McSweeney 1998): with 10 g of citric acid it cannot be."""
    found = results(capsys, line)
    assert set(found) == {"acid_read_ph", "acid_mix_ph"}
    assert "both cannot be true" in " ".join(text(capsys, line).split())


def test_a_reading_that_fits_the_recipe_gives_a_dose(capsys):
    """The same juice at a pH that it can bring: the reading is judged as before."""
    line = "acid reading --reading 5.0 --drink '750 ml' --milk '200 ml' --acid citric --dose 1"
    assert "acid_still_needed_citric" in results(capsys, line)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("strength density --strength 20 --sugar 150", "sugar is only reckoned with a density"),
        ("filter --particle '30 um' --volume 4", "needs a time to start from"),
        ("strength restore --drink '1 L' --strength 40 --milk '250 ml' --finished '5 L'",
         "more than the 12"),
        ("fat wash --fat plain-butter --amount '0 g' --spirit '700 ml' --strength 40", "no fat"),
        ("fat wash --fat plain-butter --amount '10 kg' --spirit '700 ml' --strength 40",
         "more fat than spirit"),
        ("taste panel --share 0", "above 0 % and below 100 %"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_refused(line, said, capsys):
    """An option that would be passed over, or an amount that cannot be, is said and not used."""
    assert said in refused(capsys, line)


def test_a_weak_spirit_in_the_freezer_is_slush(capsys):
    """At -18 degC most of a 15 %vol spirit is ice, and 40 %vol has none (Melinder 2010)."""
    line = "fat wash --fat plain-butter --amount '60 g' --spirit '700 ml' --cold -18 --strength "
    assert "slush that holds the fat" in text(capsys, line + "15")
    assert "slush" not in text(capsys, line + "40")


def test_a_paste_is_hard_and_yet_no_cake(capsys):
    """Cold peanut butter is hard through (21 CFR 164.150: a paste); nothing lifts off it."""
    shown = text(
        capsys,
        "fat wash --fat peanut-butter --amount '100 g' --spirit '700 ml' --strength 40 --cold -18",
    )
    assert "never as a cake that lifts off" in shown
    assert "how much of its oil is solid" in shown


def test_a_drink_is_not_built_above_what_spirit_there_is(capsys):
    """Rectified spirit is sold at up to 96 %vol (common practice, no source)."""
    strong = "strength restore --drink '1 L' --strength 90 --milk '250 ml' --with 96"
    assert "batch_overbuild" not in results(capsys, strong)
    assert "it would take 112 % vol" in text(capsys, strong)
    weak = "strength restore --drink '1 L' --strength 40 --milk '250 ml' --to 20"
    assert "ethanol_top_up" not in results(capsys, weak)
    assert "water, not spirit" in text(capsys, weak)


def test_nothing_is_nothing(capsys):
    """To the strength that it has takes no water, and one part alone does not contract."""
    same = results(capsys, "strength dilute --volume '1 L' --strength 40 --to 40")
    assert same["water"]["value"] == 0.0
    assert results(capsys, "strength mix '500 ml at 40 %'")["contraction"]["value"] == 0.0
    dry = results(capsys, "curd --drink '1 L' --strength 0 --milk '250 ml'")["batch_mix_strength"]
    assert (dry["low"], dry["high"]) == (0.0, 0.0)


def test_a_turbidity_keeps_its_interval(capsys):
    """1 EBC is 4 NTU (from memory, not yet verified): 3 to 5 NTU is dull to cloudy."""
    found = results(capsys, "clarity --turbidity '3 to 5'")
    assert (found["ebc"]["low"], found["ebc"]["high"]) == pytest.approx((0.75, 1.25))
    assert found["clarity"]["word"] == "dull to cloudy"


def test_a_plant_drink_has_no_casein(capsys):
    """Casein is a protein of milk (Fox & McSweeney 1998): oat drink has its own protein."""
    shown = text(capsys, "strip taken --drink '1 L' --milk '250 ml' --milk-kind oat")
    assert "its own protein per drink, no casein" in shown


def test_a_plain_number_takes_a_decimal_comma(capsys):
    """ISO 80000-1: comma or point."""
    line = "taste result --right 8 --tasters 12 --alpha "
    assert results(capsys, line + "0,01") == results(capsys, line + "0.01")
    assert "write 1750 or 1.75" in refused(
        capsys, "strength dilute --volume '1,750 l' --strength 60 --to 40"
    )
