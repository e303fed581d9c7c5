"""Every check over a whole base: what it finds, where it puts it, and that a good base is clean."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import advisor.knowledge
from advisor.knowledge.audit.pages import pages
from tests.smallbase import FILES, changed, checked, codes

if TYPE_CHECKING:
    from advisor.errors import Problem

CAUSE = """\
causes:
  - {id: new-cause, title: New, stage: milk, prior: rare, operations: [strip], because: It is.,
     shows: {bitter: rarely}, source: [practice]}
"""
REMEDY = """\
remedies:
  - {id: new-remedy, title: New, for: this-batch, stage: milk, cures: {too-mild: rarely},
     do: Do it., minutes: 1, source: [practice]}
"""
RULE = """\
rules:
  - id: new-rule
    title: New
    stage: milk
    when: {bitter: yes}
    then: {suspect: {too-short: slight}}
    because: It is.
    source: [practice]
    examples:
      - {given: {bitter: yes}, fires: true}
      - {given: {bitter: no}, fires: false}
"""
FINDING = """\
findings:
  - {id: new_one, label: new, ask: New?, kind: yes-no, group: seen}
"""
FIGURE = """\
figures:
  - id: new_figure
    label: new
    calculation: batch.mix_volume
    inputs: {drink_ml: drink_volume, milk_ml: milk_volume, milk_kind: milk_kind}
    needs: [drink_volume]
"""


def test_the_small_base_is_clean(tmp_path: Path) -> None:
    """A base with one of everything and nothing wrong gives no problem and no note."""
    assert checked(tmp_path, FILES) == []


# code, what is changed, what is added, what must be said, the text on the line that is named
CASES: list[tuple[str, tuple[tuple[str, str], ...], str, str, str]] = [
    # References.
    (
        "unknown-id",
        (("cures: {too-short: usually}", "cures: {too-shrt: usually}"),),
        "",
        "did you mean too-short",
        "too-shrt",
    ),
    ("unknown-id", (("suggest: [add-acid]", "suggest: [add-acd]"),), "", "add-acid", "add-acd"),
    (
        "unknown-id",
        (("caution: [keep-cold]", "caution: [keep-cool]"),),
        "",
        "keep-cold",
        "keep-cool",
    ),
    ("unknown-id", (("caution: [just-so-you-know]", "caution: [just-so]"),), "", "", "just-so"),
    (
        "unknown-id",
        (("finding: drop_test\n", "finding: drip_test\n"),),
        "",
        "drop_test",
        "drip_test",
    ),
    ("unknown-id", (("shows: {gassy: usually}", "shows: {gasy: usually}"),), "", "gassy", "gasy"),
    ("unknown-id", (("curd: {weak: usually,", "curd: {weka: usually,"),), "", "weak", "weka"),
    ("unknown-id", (("{cause: too-warm, tell", "{cause: too-worm, tell"),), "", "warm", "too-worm"),
    (
        "unknown-id",
        (("check: drop-test", "check: drip-test"),),
        "",
        "drop-test",
        "drip-test",
    ),
    (
        "unknown-id",
        (("{ref: invented-2001, at: p. 8}", "{ref: invented-2002, at: p. 8}"),),
        "",
        "invented-2001",
        "invented-2002",
    ),
    (
        "unknown-id",
        (("measures: mix_volume", "measures: mix_volum"),),
        "",
        "mix_volume",
        "mix_volum",
    ),
    (
        "unknown-id",
        (("calculation: batch.mix_volume", "calculation: batch.mix_volum"),),
        "",
        "batch.mix_volume",
        "batch.mix_volum",
    ),
    (
        "unknown-id",
        (("drink_ml: drink_volume", "drink_cl: drink_volume"),),
        "",
        "drink_ml",
        "drink_cl",
    ),
    (
        "unknown-id",
        (("drink_ml: drink_volume", "drink_ml: drink_volum"),),
        "",
        "drink_volume",
        "drink_ml",
    ),
    (
        "unknown-id",
        (("raises: {too-mild: strong}", "raises: {too-mld: strong}"),),
        "",
        "too-mild",
        "too-mld",
    ),
    (
        "unknown-id",
        (("conclude: {haze_kind: casein}", "conclude: {haze_knd: casein}"),),
        "",
        "haze_kind",
        "haze_knd",
    ),
    (
        "unknown-id",
        (("conclude: {haze_kind: casein}", "conclude: {haze_kind: casin}"),),
        "",
        "casein",
        "casin",
    ),
    (
        "unknown-id",
        (("do: Stir acid into the {mix_volume}", "do: Stir acid into the {mix_volum}"),),
        "",
        "mix_volume",
        "mix_volum",
    ),
    ("id-twice", (), CAUSE.replace("new-cause", "too-mild"), "stands at", "too-mild"),
    ("id-twice", (), CAUSE.replace("new-cause", "add-acid"), "stands at", "add-acid"),
    # Findings and figures.
    (
        "finding-form",
        (),
        FINDING.replace("yes-no, ", "yes-no, unit: mL, "),
        "only for a quantity",
        "unit: mL",
    ),
    ("finding-form", (), FINDING.replace("yes-no, ", "choice, "), "needs its choices", "new_one"),
    (
        "finding-form",
        (),
        FINDING.replace("yes-no", "choice, choices: [{value: a, label: a}, {value: a, label: b}]"),
        "same value",
        "choices",
    ),
    (
        "finding-form",
        (),
        FINDING.replace("yes-no, group: seen", "quantity, group: symptom, unit: mL, range: [1, 2]"),
        "a symptom is a yes-no",
        "quantity",
    ),
    (
        "finding-range",
        (),
        FINDING.replace("yes-no", "quantity, unit: mL"),
        "needs its range",
        "new_one",
    ),
    (
        "finding-range",
        (),
        FINDING.replace("yes-no", "quantity, unit: mL, range: [2, 1]"),
        "empty",
        "range",
    ),
    (
        "finding-usual",
        (("label: soft, usual: 0.3", "label: soft, usual: 0.5"),),
        "",
        "sum to 1.2",
        "",
    ),
    ("finding-usual", (("label: soft, usual: 0.3", "label: soft"),), "", "every choice", ""),
    (
        "finding-usual",
        (
            ("label: soft, usual: 0.3", "label: soft, usual: 0.4"),
            ("label: nothing, usual: 0.1", "label: nothing, usual: 0"),
        ),
        "",
        "a share of nothing",
        "",
    ),
    (
        "unit-unknown",
        (("group: process, unit: degC", "group: process, unit: degF"),),
        "",
        "did you mean degC",
        "degF",
    ),
    ("unit-unknown", (("unit: degC, range", "range"),), "", "needs its unit", "temperature"),
    (
        "unit-mismatch",
        (("milk_ml: milk_volume", "milk_ml: temperature"),),
        "",
        "milk_ml of batch.mix_volume is in mL",
        "temperature",
    ),
    (
        "unit-mismatch",
        (("unit: mL, range: [1, 40000]", "unit: g, range: [1, 40000]"),),
        "",
        "mix_volume is in mL",
        "measures: mix_volume",
    ),
    (
        "figure-input",
        (
            ("inputs: {drink_ml: drink_volume, milk_ml", "inputs: {milk_ml"),
            ("needs: [drink_volume, ", "needs: ["),
        ),
        "",
        "needs drink_ml",
        "",
    ),
    (
        "figure-needs",
        (("needs: [drink_volume,", "needs: [temperature,"),),
        "",
        "feeds no input",
        "temperature",
    ),
    (
        "figure-words",
        (("{value: skim, label", "{value: yak, label"),),
        "",
        "does not know yak",
        "milk_kind: milk_kind",
    ),
    (
        "figure-circular",
        (),
        FIGURE.replace("milk_ml: milk_volume", "milk_ml: new_figure"),
        "from itself",
        "milk_ml: new_figure",
    ),
    # Tables.
    (
        "shows-number",
        (
            (
                "shows: {gassy: usually}",
                "shows: {gassy: usually, temperature: often}".replace("often", "usually"),
            ),
        ),
        "",
        "a rule with a range",
        "temperature",
    ),
    (
        "shows-form",
        (("shows: {gassy: usually}", "shows: {gassy: usually, curd: usually}"),),
        "",
        "say which answer",
        "curd",
    ),
    (
        "outcome-form",
        (("{is: clear, says", "{is: {not: clear}, says"),),
        "",
        "word, words or a range",
        "not: clear",
    ),
    (
        "unknown-word",
        (("{is: clear, says", "{is: cleer, says"),),
        "",
        "did you mean clear",
        "cleer",
    ),
    # Rules.
    ("unknown-finding", (("when: {gassy: yes}", "when: {gasy: yes}"),), "", "gassy", "gasy"),
    (
        "rule-untested",
        (("- {given: {gassy: no}, fires: false}", "- {given: {gassy: yes}, fires: true}"),),
        "",
        "does not fire",
        "gas-is-growth",
    ),
    (
        "rule-untested",
        (("- {given: {gassy: yes}, fires: true}", "- {given: {gassy: no}, fires: false}"),),
        "",
        "that fires",
        "gas-is-growth",
    ),
    (
        "example-fails",
        (("{given: {temperature: 40}, fires: true}", "{given: {temperature: 39}, fires: true}"),),
        "",
        "should fire and does not",
        "{temperature: 39}, fires: true",
    ),
    (
        "example-fails",
        (
            (
                "{given: {temperature: 20 degC}, fires: false}",
                "{given: {temperature: 104 degF}, fires: false}",
            ),
        ),
        "",
        "fires and should not",
        "{temperature: 104 degF}",
    ),
    (
        "example-gap-closed",
        (),
        RULE + "      - {given: {bitter: yes}, fires: true, known_gap: true}\n",
        "holds now",
        "known_gap: true",
    ),
    (
        "rule-unreachable",
        (
            ("{temperature: {above: 80}}", "{temperature: {above: 100}}"),
            (
                "{temperature: 90, cloudy: yes}, fires: true",
                "{temperature: 90, cloudy: yes}, fires: false",
            ),
        ),
        "",
        "above 100",
        "temperature: {above: 100}",
    ),
    (
        "rule-unreachable",
        (("when: {temperature: {at_least: 60}}", "when: {temperature: {below: -10}}"),),
        "",
        "below -10",
        "temperature: {below: -10}",
    ),
    (
        "rule-duplicate",
        (),
        RULE + RULE.replace("rules:\n", "").replace("new-rule", "newer-rule"),
        "the same as new-rule",
        "newer-rule",
    ),
    (
        "rule-contradicts-itself",
        (),
        RULE.replace("slight}}", "slight}, doubt: {too-short: slight}}"),
        "suspects and doubts",
        "doubt: {too-short: slight}",
    ),
    (
        "conclusion-dead-end",
        (
            (
                "when: {all: [{haze_kind: fat}, {cloudy: yes}]}",
                "when: {all: [{haze_kind: casein}, {cloudy: yes}]}",
            ),
            (
                "{haze_kind: fat, cloudy: yes}, fires: true",
                "{haze_kind: casein, cloudy: yes}, fires: true",
            ),
        ),
        "",
        "haze_kind: fat, which nothing uses",
        "conclude: {haze_kind: fat}",
    ),
    # The whole.
    ("cause-no-remedy", (), CAUSE, "no remedy speaks of new-cause", "new-cause"),
    (
        "cause-unreachable",
        (("shows: {gassy: usually}", "shows: {curd: {none: usually}}"),),
        "",
        "name a symptom",
        "shows: {",
    ),
    (
        "cause-unreachable",
        (
            ("shows: {gassy: usually}", "shows: {gassy: never}"),
            (
                "group: symptom,\n     usual: 0.02",
                "group: symptom,\n     usual: 0.5",
            ),
        ),
        "",
        "name a symptom",
        "shows: {",
    ),
    ("finding-unused", (), FINDING, "nothing depends on", "new_one"),
    (
        "finding-unasked",
        (),
        FINDING.replace("group: seen", "group: derived, asked: false"),
        "no rule concludes it",
        "new_one",
    ),
    (
        "text-promises",
        (("do: Wait longer.", "do: Wait longer; then it is safe."),),
        "",
        "is safe",
        "do: Wait longer",
    ),
    (
        "text-promises",
        (("text: Keep it in the fridge.", "text: Kept cold it is shelf-stable."),),
        "",
        "shelf-stable",
        "keep-cold",
    ),
    (
        "remedy-otherwise",
        (("    otherwise: Stir in acid, 1 ml per 250 ml.\n", ""),),
        "",
        "not known",
        "do: Stir acid",
    ),
    (
        "remedy-otherwise",
        (("1 ml per 250 ml.", "to the {mix_volume}."),),
        "",
        "no braces",
        "otherwise",
    ),
    (
        "remedy-braces",
        (("out of {mix_volume}", "out of {mix-volume}"),),
        "",
        "under_scores",
        "expect",
    ),
    (
        "condition-never",
        (("when: {gassy: yes}", "when: {all: [{gassy: yes}, {gassy: no}]}"),),
        "",
        "never hold",
        "gassy",
    ),
]


@pytest.mark.parametrize(
    ("code", "changes", "more", "said", "on_line"),
    CASES,
    ids=[f"{c[0]}-{i}" for i, c in enumerate(CASES)],
)
def test_each_fault_is_found(
    tmp_path: Path,
    code: str,
    changes: tuple[tuple[str, str], ...],
    more: str,
    said: str,
    on_line: str,
) -> None:
    """One thing wrong in a good base is found, under its code, at its line, with advice."""
    problems = checked(tmp_path, changed(*changes, more=more))
    found = [p for p in problems if p.code == code and said in str(p)]
    assert found, "\n".join(map(str, problems)) or "nothing was found"
    assert any(on_line in p.where.text for p in found), found
    assert all(p.severity == "error" for p in found)
    assert all(p.hint for p in found), "what to do about it is missing"


@pytest.mark.parametrize(
    ("code", "changes", "more"),
    [
        ("cause-no-next", (("cures: {too-short: always},", "cures: {too-mild: rarely},"),), ""),
        ("source-unused", (), "sources:\n  - {id: unread-2000, title: Unread, mark: seen}\n"),
    ],
)
def test_notes_do_not_refuse_a_base(
    tmp_path: Path, code: str, changes: tuple[tuple[str, str], ...], more: str
) -> None:
    """What is only worth knowing is a note: the base still counts as right."""
    problems = checked(tmp_path, changed(*changes, more=more))
    assert [(p.code, p.severity) for p in problems] == [(code, "note")]
    assert str(problems[0]).partition(": ")[2].startswith("note: ")


def test_an_example_may_be_a_known_gap(tmp_path: Path) -> None:
    """An example that ought to hold and does not yet is no fault when it says so."""
    gap = "      - {given: {cloudy: yes}, fires: true, known_gap: true}\n"
    assert codes(checked(tmp_path, changed(more=RULE + gap))) == set()


def test_every_check_has_its_test() -> None:
    """Each code that the builders and the audit report is provoked here or on its page."""
    folder = Path(advisor.knowledge.__file__).parent
    made = set()
    files = [folder / f"{name}.py" for name in ("build", "buildfindings", "gather", "load")]
    for path in (*files, *(folder / "audit").glob("*.py")):
        text = path.read_text(encoding="utf-8")
        made |= set(re.findall(r'(?:Problem|_problem)\(\s*"([a-z-]+)"', text))
    elsewhere = {"base-missing"}  # test_overlay
    here = {case[0] for case in CASES}
    shown = {p.code for p in pages() if "```yaml" in p.section("With the fault")}
    assert made - here - shown - elsewhere == set()
    assert len(made) > 40


def test_all_faults_of_a_base_come_at_once(tmp_path: Path) -> None:
    """Faults in several files are told together, in the order of their places."""
    problems: list[Problem] = checked(
        tmp_path,
        changed(
            ("shows: {gassy: usually}", "shows: {gasy: usually}"),
            ("when: {gassy: yes}", "when: {gasy: yes}"),
            ("cures: {too-short: usually}", "cures: {too-shrt: usually}"),
        ),
    )
    assert [Path(p.where.name).name for p in problems] == [
        "causes.yaml",
        "remedies.yaml",
        "rules.yaml",
    ]
