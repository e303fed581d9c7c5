"""Why not, rather, what changes and what if, on small bases whose numbers are worked by hand."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pytest

from advisor.consult import Consultation
from advisor.errors import AdvisorError, ProblemsFound
from advisor.knowledge.words import NOT_LISTED
from advisor.reasoning.contrast import Supposing, cause_named
from tests.smallbase import changed, checked, write_small

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.knowledge.model import Base

CLOUDY: dict[str, Any] = {"cloudy": "yes", "operation": "strip", "curd": "weak"}
# What these three answers weigh, from the tables' words (usually 0.8, sometimes 0.4) and the usual
# shares (cloudy 0.1, a weak curd 0.3); the two named curds promise more than 0.97 together and are
# scaled down: 0.8 * 0.97 / 1.2.
MILD_CLOUDY = 10 * math.log10(0.8 / 0.1)
WARM_CLOUDY = 10 * math.log10(0.4 / 0.1)
MILD_WEAK = 10 * math.log10(0.8 * 0.97 / 1.2 / 0.3)


def consulted(base: Base, **answers: object) -> Consultation:
    made = Consultation(base, backend="reference")
    for name, raw in answers.items():
        made = made.tell(name, raw)
    return made


# Names.


@pytest.mark.parametrize(
    ("said", "cause"),
    [
        ("too-warm", "too-warm"),
        ("Too_Warm", "too-warm"),
        ("Mixed too warm.", "too-warm"),
        ("mixed warm", "too-warm"),
        ("short contact", "too-short"),
        ("the off", "gone-off"),
        ("not listed", NOT_LISTED),
    ],
)
def test_a_cause_is_known_by_its_id_its_title_or_some_words(
    small: Base, said: str, cause: str
) -> None:
    """Nobody has to remember an id."""
    assert cause_named(small, said) == cause


@pytest.mark.parametrize(
    ("said", "hint"),
    [
        ("too warmm", "did you mean too-warm"),
        ("too", "did you mean too-mild or too-warm or too-short?"),
        ("quantum", "name one"),
        ("", "name one"),
    ],
)
def test_a_cause_that_is_not_known_is_refused_with_what_may_be_meant(
    small: Base, said: str, hint: str
) -> None:
    """A misspelt or an ambiguous name is answered with those that come near."""
    with pytest.raises(AdvisorError) as caught:
        cause_named(small, said)
    assert caught.value.code == "unknown-cause"
    assert hint in caught.value.hint


# Why not.


def test_why_not_names_the_place_and_the_distance(small: Base) -> None:
    """A cause's place, its probability in number and word, and how far it stands behind."""
    made = consulted(small, **CLOUDY)
    found = made.why_not("too-warm")
    assert (found.place, found.of, found.first) == (2, 5, "too-mild")
    assert found.probability == made.inference.standing["too-warm"]
    assert found.words == "unlikely"
    behind = (MILD_CLOUDY + MILD_WEAK) - (-4.0 + WARM_CLOUDY)
    assert found.behind == pytest.approx(behind, abs=0.02)


def test_why_not_says_on_which_condition_each_rule_failed(small: Base) -> None:
    """A rule that did not fire is told with the test that failed and what was found instead."""
    found = consulted(small, **CLOUDY, temperature=30).why_not("too-warm")
    missed = {m.line: m for m in found.missed}
    assert {"warm-mix", "very-warm-mix"} <= set(missed)
    (state,) = missed["warm-mix"].tests
    assert (str(state.test), state.state) == ("temperature is at least 40", "fails")
    assert state.fact is not None
    assert state.fact.number == 30.0
    assert missed["very-warm-mix"].weight == 10.0


def test_why_not_tells_a_failed_condition_from_one_that_is_open(small: Base) -> None:
    """Of a rule's conditions those that hold, fail and are not known are kept apart."""
    waiting = {m.line: m for m in consulted(small, **CLOUDY).why_not("too-warm").waiting}
    states = {t.test.key: t.state for t in waiting["fat-haze"].tests}
    assert states == {"cloudy": "holds", "haze_kind": "open"}
    told = consulted(small, **CLOUDY, drink_volume=600, milk_volume=200, milk_kind="whole")
    missed = {m.line: m for m in told.why_not("too-warm").missed}
    states = {t.test.key: t.state for t in missed["fat-haze"].tests}
    assert states == {"cloudy": "holds", "haze_kind": "fails"}  # it was concluded to be casein


def test_why_not_puts_the_nearest_miss_first(small: Base) -> None:
    """Rules that miss one condition come before those that miss two."""
    found = consulted(small, cloudy="no", operation="strip", temperature=30).why_not("too-warm")
    misses = [m.failed + m.open for m in (*found.missed,)]
    assert misses == sorted(misses)
    assert misses[-1] == 2  # a haze of fat: not cloudy, and nothing known of the haze


def test_why_not_leaves_out_what_the_same_table_says_by_another_answer(small: Base) -> None:
    """A weak curd speaks for too little acid; that there was some curd is then no near miss."""
    found = consulted(small, **CLOUDY).why_not("too-mild")
    assert found.place == 1
    assert "shows/curd=none" not in {m.line for m in (*found.missed, *found.waiting)}


def test_what_could_still_raise_a_cause(small: Base) -> None:
    """Each open question is told by its best answer, with the check and the standing after it."""
    made = consulted(small, **CLOUDY)
    raises = {r.finding: r for r in made.why_not("too-warm").could_raise}
    hot = raises["temperature"]
    assert (hot.value, hot.first) == (70.0, True)  # the middle of 60 to 80: strong
    # 10 for the heat and 2 for the haze of fat that follows from it
    warm, mild = -4.0 + WARM_CLOUDY + 12.0, MILD_CLOUDY + MILD_WEAK
    assert warm > mild
    after = made.tell("temperature", 70)
    assert hot.probability == after.inference.standing["too-warm"]
    assert hot.band == (60.0, 80.0)
    assert "drop_test" not in raises  # it only ever speaks against warmth
    assert raises["bitter"].value == "yes"


def test_why_not_of_what_is_kept_for_the_unlisted(small: Base) -> None:
    """The reserved cause can be asked after like any other."""
    found = consulted(small, **CLOUDY).why_not("not-listed")
    assert (found.cause, found.missed) == (NOT_LISTED, ())
    assert found.place > 1


# Rather.


def test_rather_is_the_difference_of_the_ledgers(small: Base) -> None:
    """Prior, cloud and curd speak for too little acid by what the tables make of them."""
    found = consulted(small, **CLOUDY).rather("too-mild", "too-warm")
    apart = {row.line: row.apart for row in found.rows}
    assert apart == {
        "prior": pytest.approx(4.0),
        "shows/cloudy=yes": pytest.approx(MILD_CLOUDY - WARM_CLOUDY, abs=0.02),
        "shows/curd=weak": pytest.approx(MILD_WEAK, abs=0.02),
    }
    assert found.apart == pytest.approx(sum(apart.values()))
    assert found.speaks_against == ()


def test_rather_tells_what_would_turn_it_round(small: Base) -> None:
    """The likeliest answer after which the second would stand better, and how both then stand."""
    made = consulted(small, **CLOUDY)
    (turn,) = made.rather("too-mild", "too-warm").turns
    assert (turn.finding, turn.value, turn.was) == ("temperature", 70.0, False)
    after = made.tell("temperature", turn.value).inference.standing
    assert (turn.one, turn.other) == (after["too-mild"], after["too-warm"])
    assert turn.other > turn.one


def test_rather_falls_back_on_answers_that_were_given(small: Base) -> None:
    """Where nothing still open would turn it round, an answer given otherwise may."""
    made = consulted(small, **CLOUDY, bitter="no", temperature=20)
    assert "drop_test" in {c.finding for c in made.candidates}  # open, and would not turn it
    turns = made.rather("too-mild", "too-warm").turns
    assert [(t.finding, t.value, t.was) for t in turns] == [("curd", "firm", True)]
    assert made.tell("curd", "firm").inference.ranked[0] == "too-warm"


def test_rather_the_wrong_way_round_says_so(small: Base) -> None:
    """Asked why the second rather than the first, the sum is negative; of one cause it is nil."""
    made = consulted(small, **CLOUDY)
    assert made.rather("too-warm", "too-mild").apart < 0.0
    same = made.rather("too-mild", "too-mild")
    assert (same.apart, same.rows, same.turns) == (0.0, (), ())


def test_rather_leaves_out_what_a_stronger_line_of_its_group_silences(small: Base) -> None:
    """Of a warm and a hot mix only the heat counts, so only the heat is a row."""
    found = consulted(small, **CLOUDY, temperature=70).rather("too-warm", "too-mild")
    apart = {row.line: row.apart for row in found.rows}
    assert apart["very-warm-mix"] == 10.0
    assert "warm-mix" not in apart
    assert found.apart == pytest.approx(sum(apart.values()))


def test_rather_counts_a_remedy_that_failed(small: Base) -> None:
    """What was tried without help stands among the rows, against what it would have cured."""
    found = consulted(small, **CLOUDY).failed("add-acid").rather("too-mild", "too-warm")
    (row,) = [r for r in found.rows if r.line == "tried/add-acid"]
    assert row.apart == pytest.approx(10 * math.log10(1 - 0.8))


# What changes.


def test_what_changes_finds_the_single_answers_that_flip(small: Base) -> None:
    """Heat puts warmth first, gas throws it away; a drop that stays clear changes nothing."""
    found = consulted(small, **CLOUDY).what_changes()
    flips = {(f.finding, f.value): f for f in found.flips}
    hot = flips["temperature", 70.0]
    assert hot.was is None
    assert (hot.after.kind, hot.after.cause) == ("cause", "too-warm")
    assert set(hot.changes) == {"cause", "stage", "remedy"}
    assert flips["gassy", "yes"].after.kind == "discard"
    assert flips["temperature", 90.0].after.kind == "stop"
    assert ("drop_test", "flakes") not in flips
    assert found.pairs == ()
    assert found.now.cause == "too-mild"


def test_what_changes_puts_the_likeliest_first(small: Base) -> None:
    """Flips come by the chance that their answer is the true one."""
    chances = [f.chance for f in consulted(small, **CLOUDY).what_changes().flips]
    assert chances == sorted(chances, reverse=True)
    assert all(0.0 <= c <= 1.0 for c in chances)


def test_what_was_measured_is_less_likely_wrong_than_what_was_told(tmp_path: Path) -> None:
    """The same answer is nearer to being another one when it was told than when it was measured."""
    chance = {}
    for group in ("seen", "measured"):
        old = "kind: choice\n    group: seen"
        base = load_small_with(tmp_path / group, (old, f"kind: choice\n    group: {group}"))
        flips = consulted(base, **CLOUDY, temperature=20).what_changes().flips
        chance[group] = next(f.chance for f in flips if (f.finding, f.value) == ("curd", "firm"))
    assert chance["seen"] > 2.0 * chance["measured"] > 0.0


def test_the_chance_of_a_mistake_follows_bayes_rule(small: Base) -> None:
    """The chance of another word is its chance without the answer, times a slip of 3 in 100."""
    made = consulted(small, **CLOUDY, temperature=20)
    flip = next(f for f in made.what_changes().flips if (f.finding, f.value) == ("curd", "firm"))
    rest = consulted(small, cloudy="yes", operation="strip", temperature=20).inference
    rates = {"firm": 0.6, "weak": 0.3, "none": 0.1}
    # The chance of each curd, cause by cause, from its ledger without the curd and with it.
    chance = dict.fromkeys(rates, 0.0)
    with_curd = {w: made.tell("curd", w).inference.sums for w in rates}
    for cause, standing in rest.standing.items():
        share = {
            w: r * 10 ** ((with_curd[w].get(cause, 0.0) - rest.sums.get(cause, 0.0)) / 10)
            for w, r in rates.items()
        }
        for word, value in share.items():
            chance[word] += standing * value / sum(share.values())
    said = {w: c * (0.97 if w == "weak" else 0.03 / 2) for w, c in chance.items()}
    assert flip.chance == pytest.approx(said["firm"] / sum(said.values()))


def test_an_amount_is_told_by_the_nearest_that_flips(small: Base) -> None:
    """Milk that makes the mix too big for a rule: the limit is found from the amount given."""
    told = {"drink_volume": 1000, "milk_volume": 300, "milk_kind": "whole"}
    # Too warm leads by a little, so that losing or keeping the rule on a small mix decides.
    made = consulted(small, cloudy="yes", operation="strip", curd="weak", temperature=70, **told)
    assert made.advice.verdict.cause == "too-mild"  # 10 for a weak curd in a small mix
    flips = [f for f in made.what_changes().flips if f.finding in ("drink_volume", "milk_volume")]
    for flip in flips:
        assert flip.was is not None
        after = made.tell(flip.finding, flip.value)
        assert after.inference.facts.figures["mix_volume"].value > 1300.0
        assert after.advice.verdict.cause == "too-warm"
        # A tenth of the way nearer to what was given, it does not flip yet.
        given = flip.was.value
        assert isinstance(given, float)
        near = given + 0.8 * (float(flip.value) - given)
        assert made.tell(flip.finding, near).advice.verdict.cause == "too-mild"
    assert {f.finding for f in flips} == {"drink_volume", "milk_volume"}


def test_the_only_complaint_is_never_supposed_away(small: Base) -> None:
    """A batch without what is wrong with it is another batch; with two complaints either may go."""
    one = consulted(small, **CLOUDY).what_changes().flips
    assert "cloudy" not in {f.finding for f in one}
    two = consulted(small, **CLOUDY, bitter="yes").what_changes().flips
    assert "cloudy" in {f.finding for f in two}


def test_a_change_that_other_answers_rule_out_is_no_flip(small: Base) -> None:
    """The curd is asked of a strip only: while it is answered no flip makes it a fat wash."""
    with_curd = consulted(small, **CLOUDY).what_changes().flips
    assert ("operation", "fat-wash") not in {(f.finding, f.value) for f in with_curd}
    without = consulted(small, cloudy="yes", operation="strip").what_changes().flips
    assert ("operation", "fat-wash") in {(f.finding, f.value) for f in without}


def load_small_with(folder: Path, *changes: tuple[str, str], more: str = "") -> Base:
    """The small base with some of its text changed."""
    files = changed(*changes, more=more)
    problems = [p for p in checked(folder / "check", files) if p.severity == "error"]
    assert not problems, "\n".join(map(str, problems))
    from advisor.knowledge.load import check_folders

    base, _ = check_folders([write_small(folder / "base", files)])
    assert base is not None
    return base


PAIR = {
    "base.yaml": "base: {name: invented pair, version: '1.0'}\n",
    "findings.yaml": """\
findings:
  - {id: dull, label: dull, ask: Is it dull?, kind: yes-no, group: symptom}
  - {id: one, label: one, ask: One?, kind: yes-no, group: seen}
  - {id: two, label: two, ask: Two?, kind: yes-no, group: seen}
""",
    "causes.yaml": """\
causes:
  - {id: front, title: In front, stage: acid, prior: often, operations: [strip], because: Invented.,
     shows: {dull: usually}, source: [judgement]}
  - {id: behind, title: Behind, stage: milk, prior: seldom, operations: [strip],
     because: Invented., shows: {dull: usually}, source: [judgement]}
""",
    "rules.yaml": "rules:\n"
    + "".join(
        f"""\
  - id: {name}-speaks
    title: {name} speaks for what is behind
    stage: milk
    when: {{{name}: yes}}
    then: {{suspect: {{behind: moderate}}}}
    because: Invented.
    source: [judgement]
    examples:
      - {{given: {{{name}: yes}}, fires: true}}
      - {{given: {{{name}: no}}, fires: false}}
"""
        for name in ("one", "two")
    ),
    "remedies.yaml": """\
remedies:
  - {id: mend-front, title: Mend it, for: this-batch, stage: acid, cures: {front: always},
     do: Mend., minutes: 5, source: [practice]}
  - {id: mend-behind, title: Mend that, for: this-batch, stage: milk, cures: {behind: always},
     do: Mend that., minutes: 5, source: [practice]}
""",
}


def test_two_answers_that_flip_only_together(tmp_path: Path) -> None:
    """8 behind: 5 for one answer or the other is too little, 10 for both is enough."""
    from advisor.knowledge.load import check_folders

    base, problems = check_folders([write_small(tmp_path, PAIR)])
    assert base is not None, problems
    made = consulted(base, dull="yes")
    found = made.what_changes()
    assert found.now.cause == "front"
    assert found.flips == ()
    (pair,) = found.pairs
    assert (pair.findings, pair.values) == (("one", "two"), ("yes", "yes"))
    assert {"cause", "stage", "remedy"} <= set(pair.changes)
    assert made.tell("one", "yes").tell("two", "yes").advice.verdict.cause == "behind"
    assert made.tell("one", "yes").advice.verdict.cause == "front"


# What if.


def test_what_if_shows_what_would_differ(small: Base) -> None:
    """Another answer changes verdict, standings, remedies, figures and cautions, side by side."""
    told = {"drink_volume": "600 ml", "milk_volume": "200 ml", "milk_kind": "whole"}
    made = consulted(small, **CLOUDY, **told)
    found = made.what_if({"milk_volume": "2 l", "temperature": "70 C"})
    assert [key for key, *_ in found.answers] == ["milk_volume", "temperature"]
    assert (found.before.cause, found.after.cause) == ("too-mild", "too-warm")
    assert set(found.changes) == {"cause", "stage", "remedy"}
    first = found.moved[0]
    assert first.before == made.inference.standing[first.cause]
    (figure,) = found.figures
    assert figure.figure == "mix_volume"
    assert figure.before is not None
    assert figure.after is not None
    assert (figure.before.value, figure.after.value) == (
        pytest.approx(800, rel=0.01),
        pytest.approx(2600, rel=0.01),
    )
    assert found.cautions_lost == ("has-milk",)  # no casein haze in so big a mix
    assert not found.empty


def test_what_if_leaves_the_consultation_alone(small: Base) -> None:
    """The answers, the inference and the advice are the same after as before."""
    made = consulted(small, **CLOUDY)
    answers, advice = dict(made.answers), made.advice
    made.what_if({"temperature": 90})
    made.what_changes()
    made.without_practice()
    assert dict(made.answers) == answers
    assert made.advice == advice == consulted(small, **CLOUDY).advice


def test_what_if_sets_aside_what_the_change_rules_out(small: Base) -> None:
    """Supposing a fat wash, the curd of the strip is left out, and that is said."""
    found = consulted(small, **CLOUDY).what_if({"operation": "fat-wash"})
    assert found.set_aside == ("curd",)
    assert found.after == consulted(small, cloudy="yes", operation="fat-wash").what_if({}).before


def test_what_if_takes_an_answer_back(small: Base) -> None:
    """An answer may be supposed not to be known."""
    found = consulted(small, **CLOUDY).what_if({"curd": "unknown"})
    ((key, before, after),) = found.answers
    assert key == "curd"
    assert before is not None
    assert after is not None
    assert (before.value, after.given) == ("weak", False)
    one = {m.cause: m.after for m in found.moved}
    rest = consulted(small, cloudy="yes", operation="strip").inference.standing
    assert one["too-mild"] == pytest.approx(rest["too-mild"])


def test_what_if_with_other_complaints(small: Base) -> None:
    """All complaints may be supposed at once, as they are told at the start."""
    made = Consultation(small, backend="reference").tell_symptoms(["cloudy"])
    found = made.what_if({"symptoms": "bitter, gassy"})
    assert found.after.kind == "discard"
    other = made.tell_symptoms(["bitter", "gassy"])
    assert found.remedies_after == tuple(r.remedy.id for r in other.advice.this_batch)


def test_what_if_refuses_every_fault_at_once(small: Base) -> None:
    """Misspelt names and impossible values are all told, each with its place."""
    with pytest.raises(ProblemsFound) as caught:
        consulted(small, **CLOUDY).what_if({"curdd": "weak", "temperature": 900})
    assert {p.code for p in caught.value.problems} == {"unknown-finding", "out-of-range"}


def test_what_if_refuses_a_change_that_the_rest_rules_out(small: Base) -> None:
    """The curd of a fat wash cannot be supposed while it is said to be a fat wash."""
    made = consulted(small, cloudy="yes", operation="fat-wash")
    with pytest.raises(ProblemsFound) as caught:
        made.what_if({"curd": "weak"})
    assert [p.code for p in caught.value.problems] == ["contradiction"]
    assert made.what_if({"curd": "weak", "operation": "strip"}).set_aside == ()


def test_supposing_sees_that_a_rule_comes_to_rest_on_something_firmer(tmp_path: Path) -> None:
    """A rule that fired on a calculation counts for more once what was told holds as well."""
    base = load_small_with(
        tmp_path,
        (
            "when: {all: [{curd: [weak, none]}, {mix_volume: {below: 1500}}]}",
            "when: {any: [{drop_test: flakes},"
            " {all: [{curd: [weak, none]}, {mix_volume: {below: 1500}}]}]}",
        ),
    )
    made = consulted(base, **CLOUDY, drink_volume=600, milk_volume=200, milk_kind="whole")
    supposing = Supposing(made.engine, made.inference)
    after = made.tell("drop_test", "flakes").inference
    assert supposing.after("drop_test", "flakes").sums == after.sums
    line = "weak-curd-means-mild"
    assert made.inference.sureness[line] < after.sureness[line] == 1.0
