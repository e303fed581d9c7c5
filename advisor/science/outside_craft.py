"""Outside checks of stripping, fat, whey, separation, keeping, labels, tasting and cost.

Yes-or-no rows count 1 for the published answer. Rows marked ``memory`` are from
memory, not yet verified.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from advisor.science import (
    cost,
    fat,
    fats,
    hazards,
    keeping,
    labels,
    partition,
    polyphenols,
    ranking,
    residues,
    separation,
    strip,
    tasting,
    whey,
)
from advisor.science.outside import OutsideCheck

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

__all__ = ["craft_bad_references", "craft_checks"]

_YE = "Ye, Fan, Xu & Liang 2013, Food Res. Int. 53:449-455"
_IUPAC = "IUPAC Gold Book F02503; worked extractions of the textbook kind (Harris, ch. 23)"
_FOOD_CODE = "FDA Food Code 1-201.10"
_LI = "arithmetic on Li & Yalkowsky 1998 (form); ethanol coefficients from memory"
_EU = "EU Regulation 1169/2011 Annex II"
_FDA = "FD&C Act 201(qq); FDA allergen guidance Edition 5, 6 January 2025"


def _truth(call: Callable[[], bool]) -> Callable[[], float]:
    return lambda: float(call())


def _catechins(base: str, milk_share: float = 0.4) -> float:
    """Share of all catechins of a tea that casein holds, as Ye et al. measured it."""
    amounts = {n: g * (1 - milk_share) for n, g in polyphenols.BASES[base].items()}
    k = {n: polyphenols.CLASSES[n].k.value for n in amounts}
    shares = strip.bound_shares(amounts, k, 26.0 * milk_share)
    names = [n for n in amounts if n.endswith("catechins")]
    return sum(shares[n] * amounts[n] for n in names) / sum(amounts[n] for n in names)


def _strip() -> Iterator[OutsideCheck]:
    yield OutsideCheck(
        "tea-green",
        "share of green-tea catechins on casein at 40 % milk",
        partial(_catechins, "green-tea"),
        0.73,
        0.15,
        _YE,
        "seen",
    )
    yield OutsideCheck(
        "tea-black",
        "share of black-tea catechins on casein at 40 % milk",
        partial(_catechins, "black-tea"),
        0.351,
        0.15,
        _YE,
        "seen",
    )
    yield OutsideCheck(
        "tea-order",
        "black tea below green",
        _truth(lambda: _catechins("black-tea") < _catechins("green-tea")),
        1.0,
        0.0,
        _YE,
        "seen",
    )
    for dose, rate in ((2.0, 5.2), (10.0, 26.0), (250.0, 650.0)):
        yield OutsideCheck(
            f"casein-rate-{dose:g}",
            f"{dose:g} mL milk per L in g casein/hL",
            partial(strip.casein_rate, dose, 1000.0),
            rate,
            0.05 * rate,
            "27 CFR 24.246 doses; 26 g casein per L of milk",
            "derived",
        )
    for id, k, v1, v2, n, left, tolerance in (
        ("k3-once", 3, 100, 500, 1, 0.0625, 1e-4),
        ("k3-five", 3, 100, 100, 5, 0.00098, 1e-5),
        ("d10-once", 10, 50, 100, 1, 0.0476, 1e-4),
        ("d10-five", 10, 50, 20, 5, 0.00032, 1e-5),
        ("k2-four", 2, 100, 50, 4, 0.0625, 1e-9),
    ):
        yield OutsideCheck(
            f"wash-{id}",
            f"share left: K {k}, {n} x {v2} on {v1} mL",
            partial(strip.multistage_left, k, v1, v2, n),
            left,
            tolerance,
            _IUPAC,
            "seen",
        )


def _fat() -> Iterator[OutsideCheck]:
    for grams, strength in ((113.4, 39.07), (100.0, 39.17)):
        yield OutsideCheck(
            f"butter-{grams:g}",
            f"{grams:g} g butter in 750 mL of 40 %, %vol",
            lambda g=grams: fat.strength_after("plain-butter", g, 750, 40).value,  # type: ignore[misc]
            strength,
            0.05,
            "Codex CXS 279-1971; OIML R 22",
            "derived",
        )
    for rho, strength in ((920, 55.0), (915, 57.3), (910, 59.6), (900, 64.0)):
        yield OutsideCheck(
            f"float-{rho}",
            f"strength whose density is that of oil of {rho} kg/m3",
            partial(fat.stops_floating_at, rho),
            strength,
            0.5,
            "OIML R 22",
            "derived",
        )
    butter = fats.FATS["plain-butter"]
    yield OutsideCheck(
        "butter-fat",
        "fat in butter, %",
        lambda: butter.fat,
        80.0,
        0.0,
        "Codex CXS 279-1971",
        "seen",
    )
    yield OutsideCheck(
        "butter-water",
        "water in butter, at most, %",
        lambda: butter.water,
        16.0,
        0.0,
        "Codex CXS 279-1971",
        "seen",
    )
    yield OutsideCheck(
        "ghee-fat",
        "fat in ghee, %",
        lambda: fats.FATS["ghee"].fat,
        99.6,
        0.0,
        "Codex CXS 280-1973",
        "seen",
    )
    for name, percent, tolerance in (
        ("diacetyl", 1.1, 0.06),
        ("vanillin", 30.0, 0.5),
        ("eugenol", 66.0, 0.5),
        ("linalool", 84.0, 0.5),
        ("limonene", 98.1, 0.05),
    ):
        kow = partition.COMPOUNDS[name].log_kow
        yield OutsideCheck(
            f"in-oil-{name}",
            f"% of {name} in oil, 1 to 10 of 40 % spirit",
            lambda kow=kow: (
                100
                * partition.share_in_fat(  # type: ignore[misc]
                    partition.constant(kow, 40), 1, 10
                )
            ),
            percent,
            tolerance,
            _LI,
            "memory",
        )
    shared = partition.exchange(50.0, 0.0, 4.27, 100, 1000)
    yield OutsideCheck(
        "vanillin-stays",
        "% of 50 mg left in the fat at K 4.27, 100 on 1000 mL",
        lambda: 2 * shared.in_fat,
        29.9,
        0.05,
        "arithmetic",
        "derived",
    )
    yield OutsideCheck(
        "vanillin-sum",
        "mg in fat and spirit together",
        lambda: shared.in_fat + shared.in_spirit,
        50.0,
        1e-9,
        "arithmetic",
        "derived",
    )
    for n, left in ((1, 0.701), (2, 0.679)):
        yield OutsideCheck(
            f"fat-portions-{n}",
            f"share left in spirit after {n} portion(s)",
            partial(partition.left_in_spirit, 4.27, 100, 1000, n),
            left,
            5e-4,
            "arithmetic",
            "derived",
        )
    for kind in ("toasted-sesame-oil", "sunflower-oil", "corn-oil", "soybean-oil"):
        yield OutsideCheck(
            f"fridge-{kind}",
            f"{kind} is not set at 4 degC",
            _truth(lambda k=kind: fat.sets_at(k).value != "fridge"),
            1.0,
            0.0,  # type: ignore[misc]
            "Physical properties of fats and oils; sesame, sunflower from memory",
            "seen" if kind in ("corn-oil", "soybean-oil") else "memory",
        )


def _whey_and_separation() -> Iterator[OutsideCheck]:
    for ph, word in ((3.6, "low"), (4.0, "high")):
        yield OutsideCheck(
            f"whey-{ph}",
            f"haze risk of a whey drink at pH {ph} is {word}",
            _truth(lambda p=ph, w=word: whey.haze_risk(p).value == w),
            1.0,
            0.0,  # type: ignore[misc]
            "LaClair & Etzel 2009, J. Food Sci. 74",
            "seen",
        )
    for mass, dissolved in ((20.0, 12.3), (32.0, 8.8), (40.0, 6.5)):
        yield OutsideCheck(
            f"lactose-{mass:g}",
            f"lactose at {mass:g} % ethanol by mass, g/100 g",
            lambda m=mass: whey.lactose_solubility(m, 25).value,  # type: ignore[misc]
            dissolved,
            0.06,
            "Weston et al. 2004, Chemeca",
            "derived",
        )
    for radius, rpm, pull in ((10, 3000, 1006), (10, 12_000, 16_103), (15, 5000, 4192)):
        yield OutsideCheck(
            f"rcf-{radius}-{rpm}",
            f"pull at {radius} cm and {rpm} rpm, g",
            partial(separation.rcf, radius, rpm),
            pull,
            pull * 1e-3,
            "Rickwood 1978",
            "derived",
        )
    yield OutsideCheck(
        "rpm-6000",
        "rpm for 6000 g at 10 cm",
        partial(separation.rpm_for, 6000, 10),
        7326,
        7.3,
        "Rickwood 1978",
        "derived",
    )
    yield OutsideCheck(
        "stokes-grain",
        "50 um, 1670 kg/m3 heavier, 1 mPa s, cm/s",
        lambda: separation.settling_speed(50, 1670, 1.0) * 1e-4,
        0.2275,
        2.3e-4,
        "soil-mechanics textbook",
        "seen",
    )
    yield OutsideCheck(
        "cream-line",
        "hours for a 4 um globule to rise 10 cm",
        partial(separation.rise_time, 4, -119, 2.0, 100),
        50,
        5,
        "Fox & McSweeney 1998, p. 106",
        "seen",
    )
    yield OutsideCheck(
        "ebc",
        "NTU in 1 EBC",
        partial(separation.ntu_from_ebc, 1.0),
        4.0,
        0.0,
        "brewing scale",
        "memory",
    )
    yield OutsideCheck(
        "serves",
        "whole 60 mL serves of 1000 mL at 90 %",
        partial(cost.serves, 1000, 60, 0.9),
        15,
        0.0,
        "arithmetic",
        "derived",
    )


def _keeping_and_labels() -> Iterator[OutsideCheck]:
    for ph, aw, heated, answer in (
        (4.1, 0.97, False, "non-tcs"),
        (4.2, 0.97, False, "assess"),
        (5.1, 0.89, False, "assess"),
        (4.6, 0.96, True, "non-tcs"),
        (4.7, 0.96, True, "assess"),
    ):
        table = "A" if heated else "B"
        yield OutsideCheck(
            f"food-code-{table}-{ph}",
            f"Table {table}, pH {ph}, aw {aw}: {answer}",
            _truth(
                lambda p=ph, a=aw, h=heated, w=answer: (  # type: ignore[misc]
                    keeping.needs_control(p, a, heated_and_packaged=h) == w
                )
            ),
            1.0,
            0.0,
            _FOOD_CODE,
            "seen",
        )
    for kind in ("milk", "whey", "butter", "brown-butter", "ghee", "cream", "casein"):
        yield OutsideCheck(
            f"milk-{kind}",
            f"{kind} is declared as milk in every place",
            _truth(
                lambda k=kind: all(
                    "milk" in x.declare
                    for x in labels.labels([k], ["fine-filter"]).values()  # type: ignore[misc]
                )
            ),
            1.0,
            0.0,
            f"{_EU}; FD&C Act; Canada's list",
            "seen",
        )
    for kind, group in (("peanut-oil", "peanuts"), ("toasted-sesame-oil", "sesame")):
        yield OutsideCheck(
            f"us-{kind}",
            f"unrefined {kind} is declared in the US",
            _truth(lambda k=kind, g=group: g in labels.labels([k])["us"].declare),  # type: ignore[misc]
            1.0,
            0.0,
            _FDA,
            "seen",
        )
    yield OutsideCheck(
        "us-coconut",
        "coconut is no US tree nut",
        _truth(lambda: not labels.labels(["coconut"])["us"].declare),
        1.0,
        0.0,
        _FDA,
        "seen",
    )
    yield OutsideCheck(
        "eu-refined-peanut",
        "refined peanut oil is declared in the EU",
        _truth(
            lambda: (
                "peanuts"
                in labels.labels([labels.Ingredient("peanut-oil", "refined")])["eu"].declare
            )
        ),
        1.0,
        0.0,
        _EU,
        "seen",
    )
    yield OutsideCheck(
        "protein-serve",
        "mg milk protein in 90 mL, 250 mL milk per L batch",
        lambda: residues.whey_protein_per_serve(250, 1000, 90).value,
        149,
        1.0,
        "33 g/L protein, 20 % whey protein (Fox & McSweeney 1998, p. 149)",
        "derived",
    )
    yield OutsideCheck(
        "lactose-serve",
        "g lactose in 90 mL of that batch",
        partial(residues.lactose_per_serve, 250, 1000, 90),
        1.1,
        0.05,
        "arithmetic",
        "derived",
    )
    yield OutsideCheck(
        "vapour",
        "200 mL of 40 % per m3 over the lower flammable limit",
        partial(hazards.vapour_share, 200, 40, 1.0),
        1.0,
        1e-9,
        "lower flammable limit 3.3 %, gas arithmetic",
        "derived",
    )


def _tasting() -> Iterator[OutsideCheck]:
    for n, alpha, k in (
        (12, 0.05, 8),
        (24, 0.05, 13),
        (30, 0.05, 15),
        (30, 0.01, 17),
        (30, 0.001, 19),
    ):
        yield OutsideCheck(
            f"triangle-{n}-{alpha}",
            f"right answers of {n} at {alpha:g}",
            lambda n=n, a=alpha: float(  # type: ignore[misc]
                tasting.critical_count("triangle", n, a) or -1
            ),
            k,
            0.0,
            "FAO V7180E Appendix A (ISO 4120)",
            "seen",
        )
    yield OutsideCheck(
        "triangle-8-12",
        "p of 8 right in 12",
        partial(tasting.p_value, "triangle", 8, 12),
        0.01876,
        1e-5,
        "binomial",
        "derived",
    )
    for method, share in (
        ("triangle", 0.4180),
        ("duo-trio", 0.5825),
        ("paired", 0.7602),
        ("3-afc", 0.6337),
        ("tetrad", 0.4938),
    ):
        yield OutsideCheck(
            f"d1-{method}",
            f"share right at d' 1, {method}",
            partial(tasting.share_correct, method, 1.0),
            share,
            1e-4,
            "Ennis 1993; Bi 2006",
            "derived",
        )
    for method, sizes in (("triangle", (40, 53, 66)), ("duo-trio", (69, 93, 119))):
        for beta, size in zip((0.2, 0.1, 0.05), sizes, strict=True):
            yield OutsideCheck(
                f"panel-{method}-{beta}",
                f"{method} panel for 30 % at beta {beta}",
                lambda m=method, b=beta: float(  # type: ignore[misc]
                    tasting.minimum_panel(m, 0.3, beta=b).first
                ),
                size,
                0.0,
                "binomial (ISO 4120, ISO 10399)",
                "derived",
            )
    yield OutsideCheck(
        "friedman-10-3",
        "Friedman limit, 10 judges, 3 samples",
        partial(ranking.friedman_critical, 10, 3),
        6.20,
        5e-4,
        "enumeration",
        "derived",
    )
    for judges, samples, alpha, limit in (
        (10, 3, 0.05, 128),
        (10, 3, 0.01, 131),
        (5, 4, 0.05, 137),
        (5, 4, 0.01, 141),
    ):
        yield OutsideCheck(
            f"page-{judges}-{samples}-{alpha}",
            "Page L limit",
            partial(ranking.page_critical, judges, samples, alpha),
            limit,
            0.0,
            "enumeration (Page 1963 agrees, from memory)",
            "derived",
        )


def craft_checks() -> tuple[OutsideCheck, ...]:
    """All rows of this room that must hold."""
    return (*_strip(), *_fat(), *_whey_and_separation(), *_keeping_and_labels(), *_tasting())


def _refused(call: Callable[[], float]) -> float:
    """The value, or a number no source prints when the call is rightly refused."""
    try:
        return call()
    except ValueError:
        return -1.0


def craft_bad_references() -> tuple[OutsideCheck, ...]:
    """Widely copied values of this room that are wrong and must not be matched."""
    return (
        OutsideCheck(
            "bad-extraction",
            "% left after five washes at K 3, misprinted",
            lambda: 100 * strip.multistage_left(3, 100, 100, 5),
            0.98,
            0.1,
            "worked page prints 0.98 % for 0.098 %",
            "seen",
        ),
        OutsideCheck(
            "bad-ebc",
            "NTU in 1 EBC, inverted",
            partial(separation.ntu_from_ebc, 1.0),
            0.25,
            0.1,
            "brewing discussion text",
            "seen",
        ),
        OutsideCheck(
            "bad-stokes",
            "m/s of a ball of 2 mm radius",
            lambda: _refused(lambda: separation.settling_speed(4000, 6800, 1.5) * 1e-6),
            0.0436,
            0.01,
            "physics exercise page",
            "seen",
        ),
        OutsideCheck(
            "bad-casein-wine",
            "casein needs no declaration (list of 2005)",
            _truth(lambda: not labels.labels(["casein"])["eu"].declare),
            1.0,
            0.0,
            "SI 2005/456, lapsed",
            "seen",
        ),
        OutsideCheck(
            "bad-nuts-spirits",
            "walnuts as flavour of spirits are exempt (list of 2005)",
            _truth(lambda: not labels.labels(["walnut"])["uk"].declare),
            1.0,
            0.0,
            "SI 2005/456, lapsed",
            "seen",
        ),
        OutsideCheck(
            "bad-24-percent",
            "24 %vol clears a centrifuge (transport exemption)",
            _truth(lambda: not any(c.stop for c in hazards.centrifuge(24.0))),
            1.0,
            0.0,
            "ADR/UN transport exemption",
            "memory",
        ),
    )
