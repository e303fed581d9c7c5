"""Edits are made as a person would make them, and counted as caught by what catches them."""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path
from types import ModuleType

import pytest
from scipy.stats import binomtest

from advisor.chain import ChainRule, compile_chain
from advisor.cli import main
from advisor.errors import AdvisorError
from advisor.evaluation.mutation import (
    CATCHERS,
    EVIDENCE,
    KINDS,
    Catchers,
    Setup,
    differences,
    make_panel,
    mutants,
    mutate,
    read_panel,
    wilson,
    write_panel,
)
from advisor.evaluation.mutation.catch import CONCERNED, _concerns, _errors
from advisor.evaluation.situations import case_consultations
from advisor.knowledge import load as loading
from advisor.knowledge.audit import FAMILIES
from advisor.knowledge.audit.places import Places
from advisor.knowledge.load import check_folders, load, load_written
from advisor.reasoning.infer import Engine
from tests.evaluation.known import Batch
from tests.smallbase import changed, write_small

ROOT = Path(__file__).parent.parent.parent
PANEL = ROOT / "tests" / "data" / "standings.json"
DEMO = ROOT / "scenarios_demo"

CASES = {
    "gassy.yaml": "answers: {symptoms: [gassy]}\nexpect: {verdict: discard}\n",
    "flakes.yaml": (
        "answers: {symptoms: [cloudy], operation: strip, drop_test: flakes}\n"
        "expect: {cause: too-mild, stage: acid}\n"
    ),
}


@pytest.fixture
def shipped(tmp_path, monkeypatch):
    """The small base in the place of the shipped one."""
    folder = write_small(tmp_path / "shipped")
    monkeypatch.setattr(loading, "shipped_folder", lambda: folder)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return folder


@pytest.fixture
def edits(shipped):
    """Every edit of the small base."""
    base, gathered = load_written()
    return mutants(base, gathered, Places(base, gathered))


@pytest.fixture
def cases(tmp_path):
    """Two cases of the small base."""
    return write_small(tmp_path / "cases", CASES)


def the(edits, kind, subject, what):
    """The one edit that is meant."""
    found = [e for e in edits if (e.kind, e.subject) == (kind, subject) and what in e.what]
    assert len(found) == 1, [e.what for e in edits if (e.kind, e.subject) == (kind, subject)]
    return found[0]


# An edit on the model, and the same made by hand in the files.
BY_HAND = [
    ("drop-test", "fat-haze", "'haze kind is fat'",
     ("when: {all: [{haze_kind: fat}, {cloudy: yes}]}", "when: {cloudy: yes}")),
    ("negate-test", "fat-haze", "'haze kind is fat'",
     ("when: {all: [{haze_kind: fat}, {cloudy: yes}]}",
      "when: {all: [{haze_kind: {not: fat}}, {cloudy: yes}]}")),
    ("negate-test", "warm-mix", "'temperature is at least 40'",
     ("when: {temperature: {at_least: 40}}", "when: {temperature: {below: 40}}")),
    ("move-threshold", "very-warm-mix", "becomes 'temperature is at least 66'",
     ("when: {temperature: {at_least: 60}}", "when: {temperature: {at_least: 66}}")),
    ("swap-weight", "warm-mix", "moderate becomes strong",
     ("suspect: {too-warm: moderate}, conclude", "suspect: {too-warm: strong}, conclude")),
    ("drop-effect", "gas-is-growth", "no longer cautions keep-cold",
     ("then: {verdict: discard, caution: [keep-cold]}", "then: {verdict: discard}")),
    ("shows-word", "too-mild", "shows cloudy always, not usually",
     ("shows: {cloudy: usually, curd", "shows: {cloudy: always, curd")),
    ("shows-word", "too-mild", "shows curd: none usually, not sometimes",
     ("none: sometimes}", "none: usually}")),
    ("outcome-weight", "drop-test", "raises too-mild decisive, not strong",
     ("raises: {too-mild: strong}", "raises: {too-mild: decisive}")),
    ("prior", "gone-off", "seldom, not rare", ("prior: rare", "prior: seldom")),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "subject", "what", "by_hand"), BY_HAND)
def test_an_edit_of_the_model_is_the_edit_of_the_file(
    edits, tmp_path, kind, subject, what, by_hand
) -> None:
    """Compiling the edited file gives the very base that the edit on the model gives."""
    made = the(edits, kind, subject, what).make().base
    built, _ = check_folders([write_small(tmp_path / "edited", changed(by_hand))])
    assert built is not None
    assert {line.id: line for line in made.lines} == {line.id: line for line in built.lines}
    assert dict(made.priors) == dict(built.priors)
    assert dict(made.rules) == dict(built.rules)


def test_every_kind_of_edit_is_made(edits) -> None:
    """Each kind occurs, each edit has its own place in a file, and no edit changes nothing."""
    base, _ = load_written()
    assert {e.kind for e in edits} == set(KINDS)
    for edit in edits:
        made = edit.make()
        assert edit.where.line > 0
        assert made.kind == edit.kind
        assert made.base.lines != base.lines or made.base.priors != base.priors
        assert made.base.hash == base.hash  # only what was edited is another
    count = Counter(e.kind for e in edits)
    assert count["drop-rule"] == len(base.rules)
    assert count["prior"] == len(base.causes)
    assert count["shows-word"] == 7  # cells of the small base's tables


def test_an_edit_leaves_the_base_as_it_was(edits) -> None:
    """Edits are made on copies."""
    base, gathered = load_written()
    again = mutants(base, gathered, Places(base, gathered))
    for edit in again:
        edit.make()
    assert base.lines == load_written()[0].lines


def test_each_catcher_catches_what_it_should(edits, cases) -> None:
    """Known edits are caught by the catcher that looks at them, or survive without one."""
    base, _ = load_written()
    chain = compile_chain(tuple(map(ChainRule.of, base.lines)), "reference")
    panel = make_panel(base, chain)
    told = case_consultations(base, [cases])
    bare, cased, full = Catchers(base), Catchers(base, told), Catchers(base, told, (), panel)
    assert len(cased.cases) == 2

    def caught(kind, subject, what):
        change = the(edits, kind, subject, what).make()
        return [each.catch(change) for each in (bare, cased, full)]

    # An example says that 20 degrees does not fire.
    assert caught("negate-test", "warm-mix", "'temperature is at least 40'") == ["examples"] * 3
    # No example has another volume: a hole that only the panel sees.
    assert caught("drop-test", "weak-curd-means-mild", "mix volume") == ["", "", "panel"]
    # Without the rule nothing raises the caution; and the case is no longer discarded.
    assert caught("drop-rule", "gas-is-growth", "") == ["checks", "cases", "cases"]
    assert caught("swap-weight", "warm-mix", "moderate becomes strong") == ["checks"] * 3
    assert caught("swap-weight", "fat-haze", "slight becomes moderate") == ["", "", "panel"]
    assert caught("prior", "gone-off", "") == ["", "", "panel"]


def test_a_case_that_does_not_come_out_catches_nothing(shipped, tmp_path) -> None:
    """A case which is wrong already cannot show that something broke."""
    base, _ = load_written()
    folder = write_small(
        tmp_path / "wrong", {"a.yaml": "answers: {symptoms: [gassy]}\nexpect: {cause: too-warm}\n"}
    )
    assert Catchers(base, case_consultations(base, [folder])).cases == []


def test_checks_that_are_left_out_would_have_seen_nothing(edits) -> None:
    """For every edit the checks that are run find what all checks would find."""
    base, _ = load_written()
    before = _errors(base, FAMILIES)
    catchers = Catchers(base)
    assert set(CONCERNED) == set(KINDS)
    for edit in edits:
        change = edit.make()
        if not change.rule or change.rule not in change.base.rules:
            whole = not _errors(change.base, FAMILIES) <= before
        else:  # the rule's own examples are another catcher's business
            rest = tuple(f for f in FAMILIES if f != "examples")
            whole = not _errors(change.base, rest) <= before
        assert catchers._by_checks(change) is whole, (edit.kind, edit.subject, edit.what)


def test_cases_that_are_left_out_would_have_seen_nothing(edits, cases) -> None:
    """Where an edit is held not to concern a case, its inference is the same to the last digit."""
    base, _ = load_written()
    catchers = Catchers(base, case_consultations(base, [cases]))
    passed_over = 0
    for edit in edits:
        change = edit.make()
        for told, rest in catchers.cases:
            if not _concerns(change, rest):
                passed_over += 1
                one = catchers.engine.infer(told.answers)
                two = Engine(change.base, "reference").infer(told.answers)
                assert one.standing == two.standing
                assert one.verdicts == two.verdicts
                assert one.cautions == two.cautions
    assert passed_over > 100


def test_a_panel_is_written_and_read_back(shipped, tmp_path) -> None:
    """Every line has an entry on which it fires; the file gives the same panel back."""
    base = load()
    panel = make_panel(base, compile_chain(tuple(map(ChainRule.of, base.lines)), "reference"))
    assert set(panel.entries) == {line.id for line in base.lines}
    assert not [line for line, (_, says) in panel.entries.items() if says == "silent"]
    assert {holds for _, holds in panel.probes["warm-mix"]} == {True, False}
    path = tmp_path / "panel.json"
    write_panel(path, panel)
    assert read_panel(path) == panel
    assert differences(panel, read_panel(path)) == []
    rows = path.read_text().splitlines()
    assert sum('"outcome/drop-test/1"' in row for row in rows) == 1  # a line of its own


def test_a_panel_names_what_changed(shipped, tmp_path, capsys) -> None:
    """A changed weight, prior and condition are each told, and the exit code is 1."""
    path = tmp_path / "panel.json"
    assert main(["knowledge", "panel", "--write", str(path)]) == 0
    assert main(["knowledge", "panel", "--against", str(path)]) == 0
    capsys.readouterr()
    files = changed(
        ("prior: rare", "prior: seldom"),
        ("{temperature: {at_least: 60}}", "{temperature: {at_least: 62}}"),
        ("raises: {too-mild: strong}", "raises: {too-mild: decisive}"),
        ("- {given: {temperature: 60}, fires: true}", "- {given: {temperature: 62}, fires: true}"),
    )
    write_small(shipped, files)
    assert main(["knowledge", "panel", "--against", str(path), "--json"]) == 1
    found = json.loads(capsys.readouterr().out)["differences"]
    assert any(d.startswith("prior of gone-off: ") for d in found)
    assert any(d.startswith("outcome/drop-test/1: too-mild +10.00") for d in found)
    assert any(d.startswith("very-warm-mix: its condition is another") for d in found)


@pytest.mark.parametrize("text", ["", "{}", "[]", '{"lines": {"a": 1}, "priors": {}}'])
def test_a_file_that_is_no_panel_is_refused(tmp_path, text) -> None:
    """Anything else than a panel is an error with advice."""
    path = tmp_path / "panel.json"
    path.write_text(text)
    with pytest.raises(AdvisorError, match="no panel"):
        read_panel(path)


@pytest.mark.parametrize(("caught", "of"), [(90, 100), (0, 7), (7, 7), (1, 500), (499, 500)])
def test_the_interval_is_the_score_interval(caught, of) -> None:
    """The 95 % interval of a sample is Wilson's, as SciPy computes it."""
    wanted = binomtest(caught, of).proportion_ci(0.95, method="wilson")
    assert wilson(caught, of) == pytest.approx((wanted.low, wanted.high), abs=1e-12)


def test_simulated_batches_catch_and_cover(shipped, monkeypatch, capsys) -> None:
    """Batches of the simulator take part by their seeds, once everything cheaper has been asked."""
    made = ModuleType("advisor.simulator")

    def simulate(seed, **_):
        return Batch(
            seed=seed,
            faults=("too-short",),
            accept=("too-short",),
            stage="contact",
            symptoms=("bitter",),
            told={"operation": "strip"},
            answers={},
        )

    made.simulate = simulate
    monkeypatch.setitem(sys.modules, "advisor.simulator", made)
    tally = mutate(Setup(simulated=2))
    assert tally.simulated == 2
    caught = [e for e in tally.results if e.by == "simulated"]
    assert [(e.subject, e.what) for e in caught] == [
        ("too-warm", "shows bitter sometimes, not rarely")
    ]
    assert not [e for e in mutate(Setup()).results if e.by == "simulated"]
    assert main(["knowledge", "coverage", "--simulated", "2", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["cases"] == 2
    assert "shows/bitter=yes" not in {row["line"] for row in data["table_lines_idle"]}


def test_a_sample_is_drawn_by_its_seed(shipped, cases) -> None:
    """The same seed gives the same edits; a sample has an interval, the whole has none."""
    setup = Setup(cases=(cases,))
    one, two = mutate(setup, sample=30, seed=4), mutate(setup, sample=30, seed=4)
    assert one == two
    assert one.sampled
    score = one.score()
    assert score.low < score.share < score.high
    other = mutate(setup, sample=30, seed=5)
    assert [e.what for e in other.results] != [e.what for e in one.results]
    whole = mutate(setup)
    assert not whole.sampled
    assert whole.score().low == whole.score().share == whole.score().high
    assert whole.score().caught + len(whole.survivors) == whole.total
    assert sum(whole.score(kind).of for kind in whole.kinds) == whole.total
    assert sum(whole.by_catcher().values()) == whole.total


def test_the_command_lists_survivors_and_scores(shipped, cases, tmp_path, capsys) -> None:
    """Survivors come with their place; the panel's part is told apart from the evidence."""
    arguments = ["knowledge", "mutate", "--sample", "0", "--processes", "1", "--cases", str(cases)]
    assert main(arguments) == 0
    out, err = capsys.readouterr()
    assert "knowledge/rules.yaml:5:41: survived: weak-curd-means-mild: drop-test" in out
    assert "by evidence of rightness" in out
    assert "every edit, held against 2 cases, 0 simulated batches, no panel" in err
    panel = tmp_path / "panel.json"
    assert main(["knowledge", "panel", "--write", str(panel)]) == 0
    capsys.readouterr()
    assert main([*arguments, "--panel", str(panel), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["caught"]["share"] > 0.98
    assert data["by_evidence"]["share"] < 0.8
    assert data["by_evidence"]["caught"] + data["by_panel_alone"]["caught"] == (
        data["caught"]["caught"]
    )
    assert set(data["kinds"]) == set(KINDS)
    assert data["panel"] is True


def test_the_pinned_panel_is_that_of_the_shipped_base() -> None:
    """A changed rule, table, check or prior shows here until somebody has looked at it."""
    base = load()
    now = make_panel(base, compile_chain(tuple(map(ChainRule.of, base.lines)), "reference"))
    found = differences(read_panel(PANEL), now)
    assert not found, "\n".join(
        [
            *found[:20],
            f"{len(found)} differences: look through them with `curdwise knowledge panel --against "
            "tests/data/standings.json`, then pin with --write",
        ]
    )


def test_nine_of_ten_edits_of_the_shipped_base_are_caught() -> None:
    """A fixed sample of edits: nine of ten at least are caught, a sixth of all by evidence alone.

    The panel has the greater part; it detects change and says nothing of rightness.
    """
    tally = mutate(Setup(cases=(DEMO,), panel=PANEL), sample=120, seed=20)
    assert tally.cases >= 15
    assert tally.score().share >= 0.90, tally.survivors
    assert tally.score(by=EVIDENCE).share >= 1 / 6
    assert set(tally.by_catcher()) <= {*CATCHERS, ""}
