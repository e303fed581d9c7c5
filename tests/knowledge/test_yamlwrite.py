"""What is written as YAML is read back as the same data."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.knowledge.yamlread import read_yaml
from advisor.knowledge.yamlwrite import yaml_text

_WORDS = st.text(st.characters(min_codepoint=32, max_codepoint=0x17F, exclude_categories=["Cc"]))


@pytest.mark.parametrize("quote", ["'", '"'])
@pytest.mark.parametrize(
    "text",
    ["1e5", "0o17", "0x1F", "12", "1.5", "null", "~", "true", "yes", "2026-01-01", "1:30", "x: y"],
)
def test_text_that_looks_like_something_else_stays_text(text: str, quote: str) -> None:
    """Scalars that YAML 1.2 (core schema, 10.3.2) or 1.1 reads as no text come back as text."""
    written = yaml_text({"answer": text, "list": [text]}, quote=quote)
    assert read_yaml(written, "x").data == {"answer": text, "list": [text]}


@given(st.dictionaries(st.from_regex(r"[a-z]{1,8}", fullmatch=True), _WORDS, min_size=1))
def test_any_words_come_back(data: dict[str, Any]) -> None:
    """Whatever is typed as an answer or a story, reading gives it back."""
    assert read_yaml(yaml_text(data), "x").data == data


@pytest.mark.parametrize("width", [40, 96, 100])
def test_lines_break_at_the_width_asked_for(width: int) -> None:
    """Prose is broken after the first word that passes the width, and keys keep their order."""
    lines = yaml_text({"story": "word " * 99 + "word", "a": 1}, width=width).splitlines()
    longest = max(map(len, lines))
    assert width < longest <= width + len(" word")
    assert lines[-1] == "a: 1"


def test_the_quote_is_the_one_asked_for() -> None:
    """Only what needs quotes gets them, of the kind asked for."""
    assert yaml_text({"a": "1e5", "b": "flakes"}) == "a: '1e5'\nb: flakes\n"
    assert yaml_text({"a": "1e5", "b": "flakes"}, quote='"') == 'a: "1e5"\nb: flakes\n'
