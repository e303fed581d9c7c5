"""What durable-rules 2.0.28 does wrong or dangerously does not show through the adapter.

Each trap was measured on that version; the tests run the situation that springs it.
"""

from __future__ import annotations

import gc
import sys
import threading
import time
import weakref
from concurrent.futures import ThreadPoolExecutor
from itertools import combinations
from typing import Any

import pytest

from advisor.chain import ChainRule, Fact, compile_chain
from advisor.errors import AdvisorError
from advisor.knowledge.conditions import InRange, Is, Known, Missing
from tests.chain.marks import needs_durable

pytestmark = needs_durable


def _fired(rules: list[ChainRule], facts: list[Fact]) -> list[str]:
    """The rules that fire on durable-rules, after a check that the reference agrees."""
    run = compile_chain(rules, "durable-rules").run(facts)
    assert run == compile_chain(rules, "reference").run(facts)
    return [firing.rule for firing in run.firings]


def test_words_that_look_like_numbers_stay_words() -> None:
    """The engine takes 5 for "5", and true for 1; here neither meets the other's test."""
    rules = [
        ChainRule("word-5", ((Is("x", ("5",)),),)),
        ChainRule("word-1", ((Is("x", ("1",)),),)),
        ChainRule("word-true", ((Is("x", ("true",)),),)),
        ChainRule("number-5", ((InRange("x", 5, 5, True, True),),)),
        ChainRule("number-1", ((InRange("x", 1, 1, True, True),),)),
    ]
    assert _fired(rules, [Fact("x", "5")]) == ["word-5"]
    assert _fired(rules, [Fact("x", number=5)]) == ["number-5"]
    assert _fired(rules, [Fact("x", number=1)]) == ["number-1"]
    assert _fired(rules, [Fact("x", "true")]) == ["word-true"]


def test_a_number_and_the_same_word_are_two_facts() -> None:
    """The engine drops a fact that differs from another only in type; here both count."""
    rules = [ChainRule("both", ((Is("x", ("1",)), InRange("x", 1, 1, True, True)),))]
    assert _fired(rules, [Fact("x", number=1), Fact("x", "1")]) == ["both"]


def test_whole_and_decimal_numbers_are_the_same_number() -> None:
    """5 and 5.0 are duplicates of one another, and meet the same tests."""
    rules = [ChainRule("r", ((InRange("x", 5.0, 5.0, True, True),),))]
    assert _fired(rules, [Fact("x", number=5), Fact("x", number=5.0)]) == ["r"]


def test_a_fact_told_twice_is_told_once() -> None:
    """A second assertion of a fact is an error in the engine; here it changes nothing."""
    rules = [ChainRule("r", ((Known("x"),),), (Fact("y", "yes"), Fact("y", "yes")))]
    assert _fired(rules, [Fact("x", "a"), Fact("x", "a"), Fact("x", "b")]) == ["r"]


@pytest.mark.parametrize(
    "number",
    [1e-5, -1e-5, 5e-324, 1e-300, 0.0, -0.0, 1e15, 1e16, 1e22, 1.7e308, 2**53 + 1, 2**63, -(2**70)],
)
def test_tiny_and_huge_numbers_are_compared_exactly(number: float) -> None:
    """Numbers that the engine cannot read (1e-05, 1e22) or saturates (2**63) are exact here."""
    rules = [
        ChainRule("below", ((InRange("x", None, number),),)),
        ChainRule("at", ((InRange("x", number, number, True, True),),)),
        ChainRule("above", ((InRange("x", number, None),),)),
    ]
    assert _fired(rules, [Fact("x", number=number)]) == ["at"]
    assert _fired(rules, [Fact("x", number=-1.75e308)]) == ["below"]
    assert _fired(rules, [Fact("x", number=1.75e308)]) == ["above"]


def test_neighbouring_numbers_are_told_apart() -> None:
    """0.1 + 0.2 lies above 0.3, as it does in Python."""
    rules = [ChainRule("above", ((InRange("x", 0.3, None),),))]
    assert _fired(rules, [Fact("x", number=0.1 + 0.2)]) == ["above"]
    assert _fired(rules, [Fact("x", number=0.3)]) == []


def test_any_text_may_stand_in_a_key_or_word() -> None:
    """Quotes, line ends, other alphabets, half characters and reserved names are only text."""
    texts = ["", '"', "\\", "a\nb", "наличие", "🥛", "\ud800", "\x00", "$and", "k0", "w0", "known"]
    rules = [
        ChainRule(f"{i}-{j}", ((Is(key, (word,)),),))
        for i, key in enumerate(texts)
        for j, word in enumerate(texts)
    ]
    chain = compile_chain(rules, "durable-rules")
    for i, key in enumerate(texts):
        for j, word in enumerate(texts):
            assert [f.rule for f in chain.run([Fact(key, word)]).firings] == [f"{i}-{j}"]


def test_one_fact_may_meet_several_tests_of_a_rule() -> None:
    """The engine by default wants a fact of its own for each condition."""
    rules = [ChainRule("r", ((Known("x"), InRange("x", 1, None), InRange("x", None, 9)),))]
    assert _fired(rules, [Fact("x", number=5)]) == ["r"]


def test_each_alternative_is_enough_and_never_fires_a_rule_twice() -> None:
    """A rule of three alternatives fires once, however many of them hold."""
    rules = [ChainRule("r", tuple((Known(key),) for key in "abc"), (Fact("y", "yes"),))]
    for size in range(4):
        for keys in combinations("abc", size):
            assert _fired(rules, [Fact(key, "1") for key in keys]) == ["r"] * bool(size)


def test_facts_that_no_rule_mentions_are_kept() -> None:
    """The engine refuses such a fact; here it is among the facts at the end."""
    rules = [ChainRule("r", ((InRange("x", 1, 2), Missing("z")),))]
    facts = [Fact("unheard-of", "yes"), Fact("x", number=7), Fact("x", "word")]
    run = compile_chain(rules, "durable-rules").run(facts)
    assert run.firings == ()
    assert run.facts == set(facts)


def test_rules_that_always_or_never_fire() -> None:
    """An empty "all" never fires in the engine; here it always does, and an empty "any" never."""
    rules = [
        ChainRule("always", ((),), (Fact("x", "yes"),)),
        ChainRule("never", ()),
        ChainRule("no-words", ((Is("x", ()),),)),
        ChainRule("empty-range", ((InRange("n", 5, 1),),)),
        ChainRule("then", ((Known("x"),),)),
    ]
    assert _fired(rules, [Fact("n", number=3)]) == ["always", "then"]


@pytest.mark.parametrize("count", [250, 255, 256, 257, 900])
def test_many_rules_may_share_one_condition(count: int) -> None:
    """With 256 rules on one condition the engine fires a wrong rule; here none."""
    shared = Is("symptom", ("yes",))
    rules = [ChainRule(f"r{n}", ((shared, Is(f"k{n % 40}", ("yes",))),)) for n in range(count)]
    rules += [ChainRule(f"alone{n}", ((shared,),)) for n in range(count)]
    facts = [Fact("symptom", "yes"), Fact("k7", "yes")]
    expected = [f"r{n}" for n in range(count) if n % 40 == 7]
    assert _fired(rules, facts) == expected + [f"alone{n}" for n in range(count)]
    assert _fired(rules, [Fact("k7", "yes")]) == []


@pytest.mark.parametrize("count", [60, 64, 65, 127, 128, 129, 300])
def test_many_rules_may_test_for_one_word_among_others(count: int) -> None:
    """A test of several words costs the engine a branch; it follows 64 and holds 127."""
    rules = [ChainRule(f"r{n}", ((Is("x", ("hub", f"w{n % 5}")),),)) for n in range(count)]
    assert _fired(rules, [Fact("x", "hub")]) == [rule.id for rule in rules]
    assert _fired(rules, [Fact("x", "w3")]) == [f"r{n}" for n in range(3, count, 5)]


def test_the_widest_tests_fit() -> None:
    """Sixteen tests of thirty words each are within what is promised."""
    words = tuple(f"w{n}" for n in range(30))
    rules = [ChainRule("r", (tuple(Is(f"k{n}", words) for n in range(16)),))]
    assert _fired(rules, [Fact(f"k{n}", words[n + 14]) for n in range(16)]) == ["r"]
    assert _fired(rules, [Fact(f"k{n}", words[n + 14]) for n in range(15)]) == []


def test_one_rule_may_hang_on_a_word_in_many_ways() -> None:
    """Sixteen tests that share a word count as sixteen on the same condition."""
    words = [f"w{n}" for n in range(16)]
    rules = [
        ChainRule(f"r{n}", (tuple(Is("x", ("hub", word)) for word in words),)) for n in range(60)
    ]
    assert _fired(rules, [Fact("x", "hub")]) == [rule.id for rule in rules]
    assert _fired(rules, [Fact("x", word) for word in words]) == [rule.id for rule in rules]
    assert _fired(rules, [Fact("x", word) for word in words[1:]]) == []


def test_tests_that_differ_only_in_spelling_count_together() -> None:
    """An open end may be written in two ways; to the engine they are one condition."""
    one, two = InRange("x", None, 5, False, True), InRange("x", None, 5, True, True)
    rules = [ChainRule(f"r{n}", ((one, two, Is("y", (f"w{n}",))),)) for n in range(240)]
    assert _fired(rules, [Fact("x", number=5), Fact("y", "w77")]) == ["r77"]
    assert _fired(rules, [Fact("x", number=6), Fact("y", "w77")]) == []


@pytest.mark.parametrize("count", [500, 511, 512, 513, 1200])
def test_many_keys_are_no_trouble(count: int) -> None:
    """With 512 keys the engine breaks, with 513 its compiler hangs; here neither."""
    rules = [ChainRule(f"r{n}", ((Known(f"k{n}"), Missing(f"m{n}")),)) for n in range(count)]
    facts = [Fact(f"k{n}", "yes") for n in range(0, count, 100)]
    assert _fired(rules, facts) == [f"r{n}" for n in range(0, count, 100)]


def test_many_words_of_one_key_are_no_trouble() -> None:
    """A key with 1 200 words is beyond one ruleset, not beyond the adapter."""
    rules = [ChainRule(f"r{n}", ((Is("x", (f"w{n}", f"v{n}")),),)) for n in range(600)]
    assert _fired(rules, [Fact("x", "w599"), Fact("x", "v0")]) == ["r0", "r599"]


def test_many_ranges_may_hold_at_once() -> None:
    """More than 64 tests of one key true at once are an error in the engine."""
    rules = [ChainRule(f"r{n}", ((InRange("x", n, 1000 + n),),)) for n in range(300)]
    assert _fired(rules, [Fact("x", number=500.5)]) == [rule.id for rule in rules]


def test_sixteen_tests_fit_in_one_alternative() -> None:
    """The most tests that the engine takes in one rule all count."""
    rules = [ChainRule("r", (tuple(Known(f"k{n}") for n in range(16)),))]
    facts = [Fact(f"k{n}", "yes") for n in range(16)]
    assert _fired(rules, facts) == ["r"]
    assert _fired(rules, facts[1:]) == []


def test_several_facts_for_each_test_fire_a_rule_once() -> None:
    """The engine fires once for every combination of facts; here a rule fires once."""
    words = ("a", "b", "c", "d")
    rules = [ChainRule("r", (tuple(Is(key, words) for key in "uvwx"),), (Fact("y", "yes"),))]
    assert _fired(rules, [Fact(key, word) for key in "uvwx" for word in words]) == ["r"]


@pytest.mark.parametrize("kind", [KeyboardInterrupt, SystemExit])
def test_an_interrupt_inside_an_action_is_not_swallowed(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], kind: type[BaseException]
) -> None:
    """Ctrl-C while a rule fires ends the run, and the next run is right."""
    chain: Any = compile_chain([ChainRule("r", ((Known("x"),),))], "durable-rules")
    with monkeypatch.context() as patch:
        patch.setattr(type(chain._log), "add", _raiser(kind))
        with pytest.raises(kind):
            chain.run([Fact("x", "yes")])
    assert [f.rule for f in chain.run([Fact("x", "yes")]).firings] == ["r"]
    assert capfd.readouterr() == ("", "")


def test_an_interrupt_at_any_moment_leaves_the_next_run_right() -> None:
    """Ctrl-C at each single call of a run, the engine's own calls included, spoils nothing."""
    rules = [
        ChainRule("one", ((Known("x"), Missing("q")),), (Fact("y", "yes"),)),
        ChainRule("two", ((Is("y", ("yes",)),),)),
    ]
    chain: Any = compile_chain(rules, "durable-rules")
    facts = [Fact("x", "a"), Fact("x", number=2)]
    expected = chain.reference.run(facts)
    calls = told = left = 0

    def interrupt(frame: Any, event: str, arg: Any) -> None:
        nonlocal left
        if frame.f_code.co_filename == weakref.__file__:
            return  # Python itself keeps back what is raised while something is given up
        if getattr(arg, "__self__", None) is chain._lock or arg is sys.setprofile:
            return  # and hands over no signal between a with block and its lock
        left -= event in ("call", "c_call")
        if not left:
            raise KeyboardInterrupt

    while True:
        calls += 1
        left = calls
        try:
            sys.setprofile(interrupt)
            run = chain.run(facts)
            break
        except (KeyboardInterrupt, AdvisorError):
            told += 1
        finally:
            sys.setprofile(None)
        assert chain.run(facts) == expected, f"after an interrupt at call {calls}"
    assert run == expected
    assert told == calls - 1
    assert calls > 100


def test_a_failure_inside_an_action_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """The engine hides what an action raises; here it becomes an error with a way out."""
    chain: Any = compile_chain([ChainRule("r", ((Known("x"),),))], "durable-rules")
    monkeypatch.setattr(type(chain._log), "add", _raiser(MemoryError))
    with pytest.raises(AdvisorError, match="reference backend") as caught:
        chain.run([Fact("x", "yes")])
    assert caught.value.code == "engine-failed"
    assert isinstance(caught.value.__cause__, MemoryError)


def _raiser(kind: type[BaseException]) -> Any:
    """A stand-in for the log that boots a session and fails at the first rule."""

    def add(self: Any, body: int) -> None:
        if body >= 0:
            raise kind
        self.bodies.append(body)

    return add


def test_a_firing_that_the_facts_do_not_bear_out_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Should the engine fire a wrong rule after all, that is an error, never advice."""
    rules = [ChainRule("right", ((Known("x"),),)), ChainRule("wrong", ((Known("z"),),))]
    chain: Any = compile_chain(rules, "durable-rules")

    def add(self: Any, body: int) -> None:
        self.bodies.append(1 if body == 0 else body)

    monkeypatch.setattr(type(chain._log), "add", add)
    with pytest.raises(AdvisorError, match="wrong fired without cause"):
        chain.run([Fact("x", "yes")])


def test_sessions_are_ended_after_each_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """More runs than the engine can hold sessions (1 024), good and failed ones alike."""
    chain: Any = compile_chain([ChainRule("r", ((Known("x"),),))], "durable-rules")
    for _ in range(1100):
        assert len(chain.run([Fact("x", "yes")]).firings) == 1
    with monkeypatch.context() as patch:
        patch.setattr(type(chain._log), "add", _raiser(ValueError))
        for _ in range(1100):
            with pytest.raises(AdvisorError):
                chain.run([Fact("x", "yes")])
    assert len(chain.run([Fact("x", "yes")]).firings) == 1


def test_a_malformed_fact_leaves_the_chain_usable() -> None:
    """A number that is not finite is refused before the engine sees anything."""
    chain = compile_chain([ChainRule("r", ((InRange("x", 0, None),),))], "durable-rules")
    for number in (float("nan"), float("inf")):
        with pytest.raises(AdvisorError, match="not a finite number"):
            chain.run([Fact("x", number=1), Fact("x", number=number)])
    assert len(chain.run([Fact("x", number=1)]).firings) == 1


def test_no_threads_are_started() -> None:
    """The engine starts timer threads that crash it; the adapter starts none."""
    before = set(threading.enumerate())
    chain = compile_chain([ChainRule("r", ((Known("x"),),))], "durable-rules")
    chain.run([Fact("x", "yes")])
    assert set(threading.enumerate()) == before


def test_the_engine_runs_on_a_clock_that_nobody_sets() -> None:
    """Its own clock drops rules when the time of day jumps, and warns on Python 3.12."""
    import durable.engine

    compile_chain([], "durable-rules")
    assert durable.engine._unix_now is time.monotonic


def test_threads_may_share_a_chain() -> None:
    """Runs from several threads at once give what each would have given alone."""
    rules = [ChainRule(f"r{n}", ((Is("x", (f"{n % 7}",)), Missing("q")),)) for n in range(50)]
    chain = compile_chain(rules, "durable-rules")
    expected = {n: chain.reference.run([Fact("x", f"{n}")]) for n in range(7)}
    with ThreadPoolExecutor(4) as pool:
        runs = pool.map(lambda n: (n % 7, chain.run([Fact("x", f"{n % 7}")])), range(400))
        assert all(run == expected[n] for n, run in runs)


@pytest.mark.slow
def test_memory_stays_flat_over_many_runs_and_rebuilds() -> None:
    """2 000 runs of one chain and 300 rebuilds leave the process no bigger."""
    psutil = pytest.importorskip("psutil")
    process = psutil.Process()
    rules = [
        ChainRule(f"r{n}", ((Is(f"k{n % 30}", ("yes",)), InRange(f"n{n % 20}", n, None)),))
        for n in range(120)
    ]
    facts = [Fact(f"k{n}", "yes") for n in range(15)]
    facts += [Fact(f"n{n}", number=50.0) for n in range(15)]
    chain = compile_chain(rules, "durable-rules")

    def grown(step: Any, warm: int, times: int) -> float:
        for _ in range(warm):
            step()
        gc.collect()
        before = process.memory_info().rss
        for _ in range(times):
            step()
        gc.collect()
        return float(process.memory_info().rss - before) / 2**20

    # One leaked session of this base is some 2.4 MB, one leaked ruleset more than 0.2 MB.
    assert grown(lambda: chain.run(facts), 200, 2000) < 4
    assert grown(lambda: compile_chain(rules, "durable-rules").run(facts), 50, 300) < 8
