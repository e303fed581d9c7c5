"""Techniques and rules of choosing: every fault is named, and a diagnosis knows nothing of them."""

from __future__ import annotations

import pytest

from advisor.errors import ProblemsFound
from advisor.knowledge.load import load

BASE = load()

_RULE = """
choosing:
  - id: house-rule
    title: A rule of the house
    when: {when}
    then: {then}
    because: It is.
    source: [practice]
    examples:
      - {{given: {{goal_clear: yes}}, fires: true}}
      - {{given: {{goal_clear: no}}, fires: false}}
"""


def house(tmp_path, text: str):
    """The shipped base with a house file laid over it."""
    folder = tmp_path / "house"
    folder.mkdir()
    (folder / "house.yaml").write_text(text)
    return load([folder], cache=False)


def refused(tmp_path, text: str) -> str:
    """What is said of a house file that is refused."""
    with pytest.raises(ProblemsFound) as found:
        house(tmp_path, text)
    return str(found.value)


def effects(base, rule: str) -> dict[tuple[str, str], float]:
    """The weights of a rule by kind and technique."""
    return {(e.kind, e.target): e.weight for e in base.choosing[rule].effects}


def test_a_family_stands_for_all_its_techniques(tmp_path):
    """every-strip is each technique with a strip in it; one named by itself has its own weight."""
    base = house(
        tmp_path,
        _RULE.format(
            when="{goal_clear: yes}", then="{avoid: {every-strip: slight, strip: strong}}"
        ),
    )
    found = effects(base, "house-rule")
    assert found["avoid", "strip"] == -10.0
    assert found["avoid", "fat-wash-then-strip"] == -2.0
    assert ("avoid", "agar-clarify") not in found


def test_every_milk_covers_whatever_may_bring_milk(tmp_path):
    """A family goes by what is brought as well as by what is done."""
    base = house(
        tmp_path,
        _RULE.format(
            when="{goal_clear: yes}", then="{forbid: [every-milk], way_out: Use something else.}"
        ),
    )
    found = {target for kind, target in effects(base, "house-rule") if kind == "forbid"}
    assert found == {t.id for t in base.techniques.values() if "milk" in t.may_bring}


@pytest.mark.parametrize(
    ("when", "then", "said"),
    [
        ("{goal_clear: yes}", "{prefer: {stripp: slight}}", "did you mean strip"),
        ("{goal_clear: yes}", "{forbid: [strip]}", "way_out"),
        ("{goal_clear: yes}", "{forbid: [strop], way_out: Take agar.}", "there is no technique"),
        ("{goal_clear: yes}", "{caution: [no-such]}", "there is no caution"),
        ("{goal_clear: maybe}", "{prefer: {strip: slight}}", "has no answer"),
        ("{cloud_at_filtr: yes}", "{prefer: {strip: slight}}", "did you mean cloud_at_filter"),
        # A batch's figures are worked out from a batch: a brief cannot speak of them.
        ("{mix_ph: {above: 5}}", "{prefer: {strip: slight}}", "no finding or figure 'mix_ph'"),
        ("{goal_clear: yes}", "{suspect: {low-acid-base: slight}}", "not a key of this place"),
    ],
)
def test_a_faulty_rule_is_refused_with_its_place(tmp_path, when, then, said):
    """file:line:column, what is wrong, and the nearest right word."""
    text = refused(tmp_path, _RULE.format(when=when, then=then))
    assert said in text
    assert "house.yaml:" in text


def test_a_diagnosis_cannot_speak_of_a_brief(tmp_path):
    """A rule of a diagnosis that names a goal is refused."""
    text = """
rules:
  - id: house-rule
    title: A rule of the house
    stage: acid
    when: {goal_clear: yes}
    then: {suspect: {low-acid-base: slight}}
    because: It is.
    source: [practice]
    examples:
      - {given: {acid_drop: flakes}, fires: true}
      - {given: {acid_drop: nothing}, fires: false}
"""
    assert "no finding or figure 'goal_clear'" in refused(tmp_path, text)


@pytest.mark.parametrize(
    ("field", "written", "said"),
    [
        ("needs", "[kit_papr]", "did you mean kit_paper"),
        ("needs", "[base_strength]", "there is no yes-no finding"),
        ("brings", "[mlik]", "brings"),
        ("does", "{goal_cleer: much}", "did you mean goal_clear"),
        ("does", "{goal_clear: lots}", "goal_clear"),
        ("shortest", "500", "longer than work and waiting"),
    ],
)
def test_a_faulty_technique_is_refused(tmp_path, field, written, said):
    """Kit, what it brings, goals and times are checked against what there is."""
    fields = {
        "id": "house-wash",
        "title": "House wash",
        "operations": "[rinse]",
        "about": "It is rinsed.",
        "needs": "[]",
        "brings": "[]",
        "minutes": "5",
        "wait": "0",
        "shortest": "5",
        "does": "{goal_clear: some}",
        "effects": "{taste: as it was, colour: same, strength: same, body: same, label: same}",
        "because": "It is.",
        "source": "[judgement]",
        field: written,
    }
    body = "\n".join(f"    {key}: {value}" for key, value in fields.items())
    text = "techniques:\n  - " + body.lstrip() + "\n"
    assert said in refused(tmp_path, text)


def test_an_example_that_does_not_hold_is_found(tmp_path):
    """The check of a base runs the examples of choosing rules too."""
    from advisor.knowledge.load import check_folders

    folder = tmp_path / "house"
    folder.mkdir()
    text = _RULE.format(when="{goal_foam: yes}", then="{prefer: {strip: slight}}")
    (folder / "house.yaml").write_text(text)
    _, problems = check_folders([folder])
    assert {p.code for p in problems if "house.yaml" in p.where.name} >= {"example-fails"}


def test_a_house_may_switch_a_choosing_rule_off(tmp_path):
    """What a house changes of the choosing is reported like any other change."""
    base = house(
        tmp_path, "switch_off:\n  - {id: very-sharp-and-cold-milk, why: we use hot milk}\n"
    )
    assert "very-sharp-and-cold-milk" not in base.choosing
    assert any("very-sharp-and-cold-milk" in change for change in base.overlays)


@pytest.mark.parametrize("rule", BASE.choosing.values(), ids=lambda r: r.id)
def test_a_choosing_rule_fires_on_its_own_examples(rule):
    """A rule does what its author wrote beside it, and has one example of each kind."""
    from advisor.knowledge.audit import example_holds

    for example in rule.examples:
        assert example_holds(rule.when, example.given) is example.fires
    assert {example.fires for example in rule.examples} == {True, False}


def test_what_choosing_needs_is_not_loaded_for_the_first_question():
    """A base from the cache answers the first question of a diagnosis without any of it."""
    load()
    kept = load()
    assert "findings" in vars(kept)
    assert kept.lines  # a diagnosis has begun, and still nothing of the choosing is there
    assert "causes" in vars(kept)
    assert not {"rules", "techniques", "choosing", "brief_findings"} & set(vars(kept))
    assert kept.techniques
    assert "choosing" in vars(kept)
