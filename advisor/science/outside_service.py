"""Outside checks of keeping, labels, residues, fire, tasting and ranking.

Yes-or-no rows count 1 for the published answer.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from advisor.science import hazards, keeping, labels, ranking, residues, tasting
from advisor.science.outside import OutsideCheck

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["bad_references", "checks"]

_EU = "EU Regulation 1169/2011 Annex II"
_FDA = "FD&C Act 201(qq); FDA allergen guidance Edition 5, 6 January 2025"


def _food_code(ph: float, aw: float, heated: bool, word: str) -> float:
    return float(keeping.needs_control(ph, aw, heated_and_packaged=heated) == word)


def _milk_everywhere(kind: str) -> float:
    found = labels.labels([kind], ["fine-filter", "dilute"]).values()
    return float(all("milk" in label.declare for label in found))


def _declares(kind: str, form: str, place: str, group: str) -> float:
    return float(group in labels.labels([labels.Ingredient(kind, form)])[place].declare)


def _undeclared(kind: str, place: str) -> float:
    return float(not labels.labels([kind])[place].declare)


def _protein() -> float:
    return residues.whey_protein_per_serve(250, 1000, 90).value


def _needed(n: int, alpha: float) -> float:
    count = tasting.critical_count("triangle", n, alpha)
    return -1.0 if count is None else float(count)


def _panel(method: str, beta: float) -> float:
    return float(tasting.minimum_panel(method, 0.3, beta=beta).first)


# One row a line reads as the table it is.
# fmt: off
def _keeping_and_labels() -> Iterator[OutsideCheck]:
    for ph, aw, heated, answer in (
        (4.1, 0.97, False, "non-tcs"), (4.2, 0.97, False, "assess"), (5.1, 0.89, False, "assess"),
        (4.6, 0.96, True, "non-tcs"), (4.7, 0.96, True, "assess"),
    ):
        table = "A" if heated else "B"
        yield OutsideCheck(f"food-code-{table}-{ph}", f"Table {table}, pH {ph}, aw {aw}: {answer}",
                           partial(_food_code, ph, aw, heated, answer), 1.0, 0.0,
                           "FDA Food Code 1-201.10", "seen")
    for kind in ("milk", "whey", "butter", "brown-butter", "ghee", "cream", "yoghurt", "casein"):
        yield OutsideCheck(f"milk-{kind}", f"{kind} is declared as milk in every place",
                           partial(_milk_everywhere, kind), 1.0, 0.0,
                           f"{_EU}; FD&C Act; Canada's list", "seen")
    for kind, form, place, group, source in (
        ("peanut-oil", "plain", "us", "peanuts", _FDA),
        ("toasted-sesame-oil", "plain", "us", "sesame", _FDA),
        ("peanut-oil", "refined", "eu", "peanuts", _EU),
        ("toasted-sesame-oil", "plain", "eu", "sesame", _EU),
    ):
        yield OutsideCheck(f"{place}-{kind}-{form}", f"{form} {kind} is declared ({place})",
                           partial(_declares, kind, form, place, group), 1.0, 0.0, source, "seen")
    yield OutsideCheck("us-coconut", "coconut is no US tree nut",
                       partial(_undeclared, "coconut", "us"), 1.0, 0.0, _FDA, "seen")
    yield OutsideCheck("protein-serve", "mg milk protein in 90 mL, 250 mL milk per L of batch",
                       _protein, 149, 1.0,
                       "33 g/L protein, 20 % whey protein (Fox & McSweeney 1998, p. 149)",
                       "derived")
    yield OutsideCheck("lactose-serve", "g lactose in 90 mL of that batch",
                       partial(residues.lactose_per_serve, 250, 1000, 90), 1.1, 0.05, "arithmetic",
                       "derived")
    yield OutsideCheck("vapour", "200 mL of 40 % per m3 over the lower flammable limit",
                       partial(hazards.vapour_share, 200, 40, 1.0), 1.0, 1e-9,
                       "lower flammable limit 3.3 %, gas arithmetic", "derived")


def _tasting() -> Iterator[OutsideCheck]:
    for n, alpha, k in ((12, 0.05, 8), (24, 0.05, 13), (30, 0.05, 15), (30, 0.01, 17),
                        (30, 0.001, 19)):
        yield OutsideCheck(f"triangle-{n}-{alpha}", f"right answers of {n} at {alpha:g}",
                           partial(_needed, n, alpha), k, 0.0,
                           "FAO V7180E Appendix A (ISO 4120)", "seen")
    yield OutsideCheck("triangle-8-12", "p of 8 right in 12",
                       partial(tasting.p_value, "triangle", 8, 12), 0.01876, 1e-5, "binomial",
                       "derived")
    for method, share in (("triangle", 0.4180), ("duo-trio", 0.5825), ("paired", 0.7602),
                          ("3-afc", 0.6337), ("tetrad", 0.4938)):
        yield OutsideCheck(f"d1-{method}", f"share right at d' 1, {method}",
                           partial(tasting.share_correct, method, 1.0), share, 1e-4,
                           "Ennis 1993; Bi 2006", "derived")
    for method, sizes in (("triangle", (40, 53, 66)), ("duo-trio", (69, 93, 119))):
        for beta, size in zip((0.2, 0.1, 0.05), sizes, strict=True):
            yield OutsideCheck(f"panel-{method}-{beta}", f"{method} panel for 30 % at beta {beta}",
                               partial(_panel, method, beta), size, 0.0,
                               "binomial (ISO 4120, ISO 10399)", "derived")
    yield OutsideCheck("friedman-10-3", "Friedman limit, 10 judges, 3 samples",
                       partial(ranking.friedman_critical, 10, 3), 6.20, 5e-4, "enumeration",
                       "derived")
    for judges, samples, alpha, limit in ((10, 3, 0.05, 128), (10, 3, 0.01, 131),
                                          (5, 4, 0.05, 137), (5, 4, 0.01, 141)):
        yield OutsideCheck(f"page-{judges}-{samples}-{alpha}", "Page L limit",
                           partial(ranking.page_critical, judges, samples, alpha), limit, 0.0,
                           "enumeration (Page 1963 agrees, from memory)", "derived")


def checks() -> tuple[OutsideCheck, ...]:
    """All rows of this room."""
    return (*_keeping_and_labels(), *_tasting())


def _no_centrifuge_stop(strength: float) -> float:
    return float(not any(c.stop for c in hazards.centrifuge(strength)))


def bad_references() -> tuple[OutsideCheck, ...]:
    """Wrong or lapsed statements that must not be matched."""
    return (
        OutsideCheck("bad-casein-wine", "casein needs no declaration (list of 2005)",
                     partial(_undeclared, "casein", "eu"), 1.0, 0.0, "SI 2005/456, lapsed", "seen"),
        OutsideCheck("bad-nuts-spirits", "walnuts as flavour of spirits are exempt (list of 2005)",
                     partial(_undeclared, "walnut", "uk"), 1.0, 0.0, "SI 2005/456, lapsed", "seen"),
        OutsideCheck("bad-24-percent", "24 %vol clears a centrifuge (transport exemption)",
                     partial(_no_centrifuge_stop, 24.0), 1.0, 0.0, "ADR/UN transport exemption",
                     "memory"),
    )
# fmt: on
