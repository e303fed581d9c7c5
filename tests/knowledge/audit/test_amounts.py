"""Amounts on their way from an answer to a figure: one unit, and numbers that can be."""

from __future__ import annotations

import pytest

from tests.knowledge.audit.laid import laid_over_small
from tests.smallbase import changed, checked


def found(tmp_path, monkeypatch, text: str) -> list[tuple[str, str]]:
    """Code and line of every error that a house file over the small base gives."""
    problems, lines = laid_over_small(tmp_path, monkeypatch, text)
    assert all(p.where.name.endswith("house.yaml") for p in problems if p.severity == "error")
    return [
        (p.code, lines[p.where.line - 1].strip()) for p in problems if p.severity == "error"
    ]


QUANTITY = "  - {id: ID, label: ID, ask: How much ID?, kind: quantity, group: batch, unit: UNIT,\n"


def quantity(name: str, unit: str, rest: str) -> str:
    """A finding of an amount."""
    return QUANTITY.replace("ID", name).replace("UNIT", unit) + f"     {rest}}}\n"


FIGURE = """\
figures:
  - id: own_mix
    label: own mix
    calculation: batch.mix_volume
    inputs: {drink_ml: own_drink, milk_ml: milk_volume, milk_kind: milk_kind}
    needs: [own_drink, milk_volume, milk_kind]
"""


@pytest.mark.parametrize(("unit", "mended"), [("L", False), ("kg", False), ("mL", True)])
def test_a_finding_feeds_a_figure_in_its_own_unit(tmp_path, monkeypatch, unit, mended) -> None:
    """A litre that feeds millilitres is told, with the unit to write; a millilitre is right."""
    text = "findings:\n" + quantity("own_drink", unit, "range: [1, 90]") + FIGURE
    line = "inputs: {drink_ml: own_drink, milk_ml: milk_volume, milk_kind: milk_kind}"
    assert found(tmp_path, monkeypatch, text) == ([] if mended else [("unit-mismatch", line)])
    if unit == "L":
        problems, _ = laid_over_small(tmp_path, monkeypatch, text)
        (told,) = [p for p in problems if p.code == "unit-mismatch"]
        assert "write own_drink in mL" in told.hint


@pytest.mark.parametrize("unit", ["L", "degC"])
def test_a_shipped_finding_in_another_unit_is_told_once_where_the_house_wrote_it(
    tmp_path, monkeypatch, unit
) -> None:
    """The figure that it feeds is shipped; the fault is the house's."""
    written = quantity("milk_volume", unit, "range: [1, 20]")
    text = "findings:\n" + written
    assert found(tmp_path, monkeypatch, text) == [("unit-mismatch", written.splitlines()[0][2:])]


def test_a_figure_feeds_a_figure_in_its_own_unit(tmp_path, monkeypatch) -> None:
    """Grams per litre are not milligrams per litre: calculated amounts are held to it as well."""
    text = """\
figures:
  - id: own_share
    label: own share
    calculation: batch.milk_share
    inputs: {drink_ml: drink_volume, milk_ml: milk_volume}
    needs: [drink_volume, milk_volume]
  - id: twice
    label: twice
    calculation: batch.mix_volume
    inputs: {drink_ml: own_share, milk_ml: milk_volume, milk_kind: milk_kind}
    needs: [own_share, milk_volume, milk_kind]
"""
    line = "inputs: {drink_ml: own_share, milk_ml: milk_volume, milk_kind: milk_kind}"
    assert found(tmp_path, monkeypatch, text) == [("unit-mismatch", line)]


@pytest.mark.parametrize("rest", ["measures: mix_volume", "ratio_of: drink_volume"])
@pytest.mark.parametrize(("unit", "mended"), [("L", False), ("mL", True)])
def test_readings_and_ratios_are_in_the_unit_of_what_they_speak_of(
    tmp_path, monkeypatch, rest, unit, mended
) -> None:
    """A reading in litres would stand in for millilitres as it is."""
    text = "findings:\n" + quantity("own_drink", unit, f"range: [1, 90],\n     {rest}")
    rule = """\
rules:
  - id: own-rule
    title: Own
    stage: milk
    when: {own_drink: {above: 50}}
    then: {suspect: {too-short: slight}}
    because: It is.
    source: [practice]
    examples:
      - {given: {own_drink: 60}, fires: true}
      - {given: {own_drink: 40}, fires: false}
"""
    told = found(tmp_path, monkeypatch, text + rule)
    assert told == ([] if mended else [("unit-mismatch", rest + "}")])


@pytest.mark.parametrize("kind", ["yes-no", "choice"])
def test_words_measure_no_figure(tmp_path, monkeypatch, kind) -> None:
    """Only a number can stand in the place of a calculated one."""
    more = ", choices: [{value: a, label: a}, {value: b, label: b}]" if kind == "choice" else ""
    text = (
        f"findings:\n  - {{id: own, label: own, ask: Own?, kind: {kind}, group: seen{more},\n"
        "     measures: mix_volume}\n"
    )
    assert found(tmp_path, monkeypatch, text) == [("finding-form", "measures: mix_volume}")]


def test_a_number_measures_no_figure_in_words(tmp_path) -> None:
    """What is worked out as a word is not read off a scale."""
    files = changed(
        ("calculation: batch.mix_volume", "calculation: curd.expected"),
        ("{curd: [weak, none]}, {mix_volume: {below: 1500}}", "{curd: [weak, none]}"),
    )
    told = [p.where.text for p in checked(tmp_path, files) if p.code == "unit-mismatch"]
    assert told
    assert all("measures: mix_volume" in text for text in told)


@pytest.mark.parametrize(
    ("written", "right"),
    [
        ("1000", True),
        ("0.5", False),  # the calculation takes no less than 1 mL
        ("-1", False),
        ("1000 g", False),
        ("a litre", False),
        ('"1000"', False),
    ],
)
def test_a_constant_is_a_number_of_its_unit(tmp_path, monkeypatch, written, right) -> None:
    """It goes into the calculation as it stands."""
    text = FIGURE.replace("drink_ml: own_drink, ", "").replace("[own_drink, ", "[")
    text += f"    constants: {{drink_ml: {written}}}\n"
    told = found(tmp_path, monkeypatch, text)
    assert told == ([] if right else [("figure-constant", f"constants: {{drink_ml: {written}}}")])


@pytest.mark.parametrize(("word", "right"), [("whole", True), ("whol", False), ("3", False)])
def test_a_constant_is_a_word_that_is_known(tmp_path, monkeypatch, word, right) -> None:
    """A slip in a word is met with the nearest ones."""
    text = FIGURE.replace("own_drink", "drink_volume").replace(", milk_kind: milk_kind", "")
    text = text.replace(", milk_kind]", "]") + f"    constants: {{milk_kind: {word}}}\n"
    told = found(tmp_path, monkeypatch, text)
    assert told == ([] if right else [("figure-constant", f"constants: {{milk_kind: {word}}}")])


RULE = """\
rules:
  - id: own-rule
    title: Own
    stage: milk
    when: {mix_volume: {BOUND}}
    then: {suspect: {too-short: slight}}
    because: It is.
    source: [practice]
    examples:
      - {given: {mix_volume: 10}, fires: true}
      - {given: {mix_volume: 1000}, fires: false}
"""


@pytest.mark.parametrize(
    ("bound", "code"),
    [
        ("below: -3", "threshold-outside-range"),
        ("below: 0", "rule-unreachable"),
        ("at_most: 20", ""),
    ],
)
def test_a_worked_out_amount_is_not_less_than_nothing(tmp_path, monkeypatch, bound, code) -> None:
    """A figure has the bounds of its unit, at the very limit as well."""
    text = RULE.replace("BOUND", bound)
    told = [c for c, _ in found(tmp_path, monkeypatch, text)]
    assert [c for c in told if c != "example-fails"] == ([code] if code else [])


@pytest.mark.parametrize(
    ("unit", "inside", "outside"),
    [
        ("pH", (0, 14), (-0.1, 14.1)),
        ("%vol", (0, 100), (-1, 101)),
        ("degC", (-273, 5000), (-274,)),
        ("mg/L", (0, 1e9), (-1e-6,)),
        ("dB", (-50, 50), ()),
    ],
)
def test_units_have_the_bounds_of_what_they_measure(unit, inside, outside) -> None:
    """Absolute zero, the ends of a share, and nothing below nothing."""
    from advisor.knowledge.physical import bounds_of

    low, high = bounds_of(unit)

    def fits(number: float) -> bool:
        return (low is None or number >= low) and (high is None or number <= high)

    assert all(map(fits, inside))
    assert not any(map(fits, outside))
