"""YAML with its traps shut: what is read, what is refused, and where it stood."""

from __future__ import annotations

import json

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import ProblemsFound
from advisor.knowledge.yamlread import plain_value, read_yaml


def refusal(raw: bytes | str) -> ProblemsFound:
    with pytest.raises(ProblemsFound) as caught:
        read_yaml(raw, "file.yaml")
    return caught.value


@pytest.mark.parametrize(
    ("written", "elsewhere", "here"),
    [
        ("1:15", 75, "1:15"),
        ("12:30:45", 45045, "12:30:45"),
        ("on", True, "on"),
        ("off", False, "off"),
        ("yes", True, "yes"),
        ("no", False, "no"),
        ("0600", 384, 600),
        ("1e3", "1e3", 1000.0),
        ("0o17", "0o17", 15),
        ("1_000", 1000, "1_000"),
        ("2001-02-03", None, "2001-02-03"),
    ],
)
def test_traps_of_older_readers_are_shut(written: str, elsewhere: object, here: object) -> None:
    """Words and ratios keep their text (YAML 1.2.2 §10.3.2), where YAML 1.1 makes other things."""
    if elsewhere is not None:
        assert yaml.safe_load(written) == elsewhere  # PyYAML reads YAML 1.1
    read = read_yaml(f"key: {written}\n", "file.yaml").data["key"]
    assert (read, type(read)) == (here, type(here))


@pytest.mark.parametrize(
    ("written", "here"),
    [
        ("true", True),
        ("FALSE", False),
        ("null", None),
        ("~", None),
        ("", None),
        ("-12", -12),
        ("+.5", 0.5),
        ("1.", 1.0),
        ("0x1F", 31),
        ("-1.5e-3", -0.0015),
        (".inf", ".inf"),
        (".nan", ".nan"),
        ("1e999", "1e999"),
        ("'5'", "5"),
        ('"true"', "true"),
        ("|\n  5\n", "5\n"),
        (">\n  a\n  b\n", "a b\n"),
        ("! 5", "5"),
    ],
)
def test_scalars_follow_the_core_schema(written: str, here: object) -> None:
    """Plain scalars follow the core schema, quoted and block ones are text; never inf or NaN."""
    read = read_yaml(f"key: {written}\n", "file.yaml").data["key"]
    assert (read, type(read)) == (here, type(here))


@pytest.mark.parametrize(
    ("raw", "code", "line", "column"),
    [
        ("a: 1\nb: 2\na: 3\n", "yaml-duplicate-key", 3, 1),
        ("a: {b: 1, b: 2}\n", "yaml-duplicate-key", 1, 11),
        ("a: &x 1\n", "yaml-not-plain", 1, 4),
        ("a: 1\nb: *x\n", "yaml-not-plain", 2, 4),
        ("a: !!python/object:os.system {}\n", "yaml-not-plain", 1, 4),
        ("a: !!str 5\n", "yaml-not-plain", 1, 4),
        ("a: 1\n---\nb: 2\n", "yaml-two-documents", 2, 1),
        ("a: 1\n\tb: 2\n", "yaml-syntax", 2, 1),
        ("a: b: c\n", "yaml-syntax", 1, 5),
        ("a: [1, 2\n", "yaml-syntax", 2, 1),
        ('a: "open\n', "yaml-syntax", 2, 1),
        ("? [a, b]\n: 1\n", "yaml-key", 1, 3),
        ("[" * 31, "yaml-too-deep", 1, 31),
        (b"a: \xff\n", "yaml-not-text", 1, 1),
        (b"a: 1\nb: \x89PNG\n", "yaml-not-text", 2, 1),
        ("a: \x07\n", "yaml-not-text", 1, 4),
        ("a: 1\nb: \x00\n", "yaml-not-text", 2, 4),
        ("a: \ud800\n", "yaml-not-text", 1, 4),
        ("a: \x9b31m\n", "yaml-not-text", 1, 4),
    ],
)
def test_refusals_name_their_place(raw: bytes | str, code: str, line: int, column: int) -> None:
    """What cannot be read is refused with its code, line and column."""
    problem = refusal(raw).problems[0]
    assert (problem.code, problem.where.line, problem.where.column) == (code, line, column)
    assert str(problem).startswith(f"file.yaml:{line}:{column}: ")


def test_names_that_look_like_numbers_stay_as_written() -> None:
    """Under the keys that were told, at any depth; elsewhere and unquoted they are numbers."""
    text = "taster: 007\ncount: 007\nrows: [{taster: 1e5, n: 1e5}, {taster: true}]\nsaid:\n"
    data = read_yaml(text, "x.yaml", as_written=("taster", "said")).data
    assert data == {
        "taster": "007",
        "count": 7,
        "rows": [{"taster": "1e5", "n": 1e5}, {"taster": "true"}],
        "said": None,
    }


def test_too_large_a_file_is_refused_unread() -> None:
    """More than two megabytes are refused, and so are more values than anybody wrote by hand."""
    assert refusal(b"#" * 2_000_001).code == "yaml-too-large"
    assert refusal("- 1\n" * 200_001).code == "yaml-too-large"


def test_every_problem_of_a_file_comes_at_once() -> None:
    """Several faults in one file are reported together, in the order of their places."""
    found = refusal("a: 1\na: 2\nb: *x\nc: !t 3\nd: &e 4\n")
    assert [(p.code, p.where.line) for p in found.problems] == [
        ("yaml-duplicate-key", 2),
        ("yaml-not-plain", 3),
        ("yaml-not-plain", 4),
        ("yaml-not-plain", 5),
    ]


def test_a_key_that_is_no_word_does_not_shift_the_rest() -> None:
    """After a key that is a list the other keys of the mapping are still read as keys."""
    found = refusal("? [a]\n: 1\nb: 2\nb: 3\n")
    assert [p.code for p in found.problems] == ["yaml-key", "yaml-duplicate-key"]


def test_a_byte_order_mark_is_no_fault() -> None:
    """A file saved with a byte order mark reads like one without."""
    assert read_yaml(b"\xef\xbb\xbfa: 1\n", "x").data == {"a": 1}


def test_places_are_those_of_key_and_value() -> None:
    """Every value and every key knows its line, column and line of text."""
    document = read_yaml("a:\n  - b: 12\n    c: x\n", "f")
    assert str(document.place(("a", 0, "c"))) == "f:3:8"
    assert str(document.key_place(("a", 0, "c"))) == "f:3:5"
    assert document.place(("a", 0, "c")).text == "    c: x"
    assert str(document.place(("a", 0, "nothing", "there"))) == "f:2:5"


@pytest.mark.parametrize(
    "escape",
    [
        "\\e[31mred",
        "\\a",
        "\\x0B",
        "\\x7f",
        "\\x9b31m",
        "\\r",
        "\\uFFFE",
        "\\uFFFF",
        "\\u202E",
        "\\u2066",
        "\\0",
    ],
)
def test_an_escape_brings_in_nothing_that_is_no_text(escape: str) -> None:
    """Controls and marks of direction are refused however they are written, in values and keys."""
    for text, column in ((f'a: 1\nb: "x {escape}"\n', 4), (f'a: 1\n"x {escape}": 2\n', 1)):
        (problem,) = refusal(text).problems
        assert (problem.code, problem.where.line, problem.where.column) == (
            "yaml-not-text",
            2,
            column,
        )
        assert problem.hint


def test_text_of_any_language_is_read() -> None:
    """Tabs, new lines, emoji and the joiners that languages need are text."""
    written = 'a: "x\\ty\\nz \\u200d \\u200f 漢 \U0001f95b"\n'
    assert read_yaml(written, "x").data == {"a": "x\ty\nz \u200d \u200f 漢 \U0001f95b"}


def test_a_line_that_is_shown_moves_no_terminal() -> None:
    """What stands beside a fault is shown without its controls."""
    (problem,) = refusal("a: 1\na: 2  # \u202e b\n").problems
    assert problem.where.text == "a: 2  # ? b"


_TEXT = st.text(
    st.characters(
        blacklist_categories=("Cc", "Cs"),
        blacklist_characters="\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufffe\uffff",
        whitelist_characters="\t\n",
    ),
    max_size=12,
)
_plain = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**12), 10**12) | _TEXT,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(_TEXT.filter(bool), inner, max_size=3)
    ),
    max_leaves=12,
)


@given(_plain)
def test_quoted_data_reads_back_as_written(data: object) -> None:
    """What JSON can say (a part of YAML 1.2) is read as JSON reads it."""
    text = json.dumps(data, ensure_ascii=True).replace("\x7f", "\\u007f")
    if "\\ud" in text:  # half a character, or a pair that YAML writes in another way
        return
    assert read_yaml(text, "x").data == json.loads(text)


@given(st.text(max_size=40))
def test_a_plain_value_never_raises(text: str) -> None:
    """Any text at all is a word, a finite number, a truth value or nothing."""
    value = plain_value(text)
    assert not isinstance(value, float) or abs(value) < 1e300
