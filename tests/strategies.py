"""Random rules and facts, as Hypothesis strategies and from a seeded generator.

The strategies shrink to a small example; the seeded generator makes thousands of bases
in the time that a comparison of backends can afford. Both mix words and numbers under
one key, ranges, absence, loops, other alphabets and words that look like something else.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from hypothesis import strategies as st

from advisor.chain import ChainRule, Fact, check_strata
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, InRange, Is, Known, Missing

if TYPE_CHECKING:
    from collections.abc import Sequence
    from random import Random

    from advisor.knowledge.conditions import Test

__all__ = ["ASKED", "DERIVED", "NUMBERS", "WORDS", "fact_sets", "random_base", "rule_bases"]

ASKED = ("curd", "mix_ph", "colour", "наличие", "a b", "k1")
DERIVED = ("cause", "stage", "d'accord", "level")
WORDS = ("yes", "no", "weak", "5", "5.0", "true", "café", 'a"b\\', "a\nb", "", UNKNOWN, NOT_NOW)
NUMBERS = (
    0,
    -0.0,
    5,
    5.0,
    4.6,
    0.1 + 0.2,
    0.3,
    -1.5,
    1e-5,
    1e-12,
    2.5e-320,
    1e22,
    1.7e308,
    -1e15,
    2**63,
    2**63 + 2048,
)
_KEYS = ASKED + DERIVED


def _range(key: str, one: float, two: float, low_in: bool, high_in: bool, open_end: int) -> InRange:
    low, high = sorted((one, two))
    return InRange(
        key,
        None if open_end == 1 else low,
        None if open_end == 2 else high,
        low_in,
        high_in,
    )


_words = st.sampled_from(WORDS)
_numbers = st.one_of(
    st.sampled_from(NUMBERS), st.floats(allow_nan=False, allow_infinity=False, width=64)
)


def _facts_of(keys: tuple[str, ...]) -> st.SearchStrategy[Fact]:
    key = st.sampled_from(keys)
    return st.one_of(st.builds(Fact, key, word=_words), st.builds(Fact, key, number=_numbers))


def _tests_of(keys: tuple[str, ...]) -> st.SearchStrategy[Test]:
    key = st.sampled_from(keys)
    return st.one_of(
        st.builds(Is, key, st.lists(_words, min_size=1, max_size=3, unique=True).map(tuple)),
        st.builds(_range, key, _numbers, _numbers, st.booleans(), st.booleans(), st.integers(0, 2)),
        st.builds(Known, key),
        st.builds(Missing, key),
    )


def fact_sets() -> st.SearchStrategy[list[Fact]]:
    """Facts to run on, with duplicates and several facts of one key."""
    return st.lists(_facts_of(_KEYS), max_size=8)


@st.composite
def rule_bases(draw: st.DrawFn) -> list[ChainRule]:
    """Rules that can be run: no circle through a missing key, each id once."""
    bodies = st.lists(st.lists(_tests_of(_KEYS), max_size=3).map(tuple), max_size=3).map(tuple)
    several = draw(
        st.lists(st.tuples(bodies, st.lists(_facts_of(DERIVED), max_size=2)), max_size=8)
    )
    rules: list[ChainRule] = []
    for when, concludes in several:
        rule = ChainRule(f"rule-{len(rules)}", when, tuple(concludes))
        if check_strata([*rules, rule]):
            rule = ChainRule(rule.id, when)
        rules.append(rule)
    return rules


class _Vocabulary:
    """The few keys, words and numbers of one random base, so that rules do fire."""

    def __init__(self, rng: Random) -> None:
        self.rng = rng
        self.asked = rng.sample(ASKED, rng.randint(2, 4))
        self.derived = rng.sample(DERIVED, rng.randint(1, len(DERIVED)))
        self.words = rng.sample(WORDS, 4)
        self.numbers = [*rng.sample(NUMBERS, 4), round(rng.uniform(-10, 10), 2)]

    def fact(self, keys: Sequence[str]) -> Fact:
        key = self.rng.choice(keys)
        if self.rng.random() < 0.6:
            return Fact(key, word=self.rng.choice(self.words))
        return Fact(key, number=self.rng.choice(self.numbers))

    def test(self, keys: Sequence[str]) -> Test:
        rng, key = self.rng, self.rng.choice(keys)
        kind = rng.random()
        if kind < 0.45:
            return Is(key, tuple(rng.sample(self.words, rng.choice((1, 1, 2, 3)))))
        if kind < 0.75:
            one, two = rng.choices(self.numbers, k=2)
            ends = (rng.random() < 0.5, rng.random() < 0.5, rng.choice((0, 0, 1, 2)))
            return _range(key, one, two, *ends)
        return Known(key) if kind < 0.87 else Missing(key)


def random_base(rng: Random, size: int, runs: int = 2) -> tuple[list[ChainRule], list[list[Fact]]]:
    """``size`` rules that can be run and some sets of facts to run them on.

    About half of the bases are free of loops.
    """
    vocabulary = _Vocabulary(rng)
    asked, derived = vocabulary.asked, vocabulary.derived
    ordered = rng.random() < 0.6
    rules: list[ChainRule] = []
    for number in range(size):
        height = rng.randint(0, len(derived))  # rests on the keys below, concludes those above
        tested = asked + (derived[:height] if ordered else derived)
        targets = derived[height:] if ordered else derived
        when = tuple(
            tuple(vocabulary.test(tested) for _ in range(rng.choice((1, 1, 2, 2, 3, 4))))
            for _ in range(rng.choice((1, 1, 1, 2, 3)))
        )
        if rng.random() < 0.03:
            when = rng.choice((((),), ()))
        many = rng.choice((0, 1, 1, 2)) if targets else 0
        concludes = tuple(vocabulary.fact(targets) for _ in range(many))
        rules.append(ChainRule(f"rule-{number}", when, concludes))
    while problems := check_strata(rules):
        stuck = {problem.where.name for problem in problems}
        rules = [ChainRule(r.id, r.when) if r.id in stuck else r for r in rules]
    return rules, [_random_facts(vocabulary) for _ in range(runs)]


def _random_facts(vocabulary: _Vocabulary) -> list[Fact]:
    rng = vocabulary.rng
    keys = [*vocabulary.asked, *vocabulary.asked, *vocabulary.derived]
    facts = [vocabulary.fact(keys) for _ in range(rng.randint(0, 9))]
    return facts + facts[: rng.choice((0, 0, 1, 2))]
