"""Every code has a page, every page a code, and the examples on the pages are true."""

from __future__ import annotations

import ast
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import advisor
from advisor.cli import main
from advisor.errors import AdvisorError
from advisor.knowledge.audit.pages import SECTIONS, page, pages
from tests.knowledge.audit.laid import laid_over_small

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOMS = ("knowledge", "chain")
# Files beside the rooms that report a code of the checks.
BESIDE = ("evaluation/coverage.py",)
# Calls whose first argument is a code; for the last ones the second.
_FIRST = {"Problem", "AdvisorError", "_problem", "_only"}
_SECOND = {"_too_many"}
_FENCE = re.compile(r"```(\w+)\n(.*?)```", re.DOTALL)


def _sources() -> Iterator[Path]:
    package = Path(advisor.__file__).parent
    for room in ROOMS:
        yield from sorted((package / room).rglob("*.py"))
    for name in BESIDE:
        yield package / name


def _texts(node: ast.AST) -> Iterator[str]:
    for part in ast.walk(node):
        if isinstance(part, ast.Constant) and isinstance(part.value, str):
            yield part.value


def _codes() -> tuple[set[str], set[str]]:
    """The codes that calls report, and every text that stands in these rooms."""
    reported: set[str] = set()
    everything: set[str] = set()
    for path in _sources():
        tree = ast.parse(path.read_text(encoding="utf-8"))
        everything.update(_texts(tree))
        for call in ast.walk(tree):
            if not isinstance(call, ast.Call):
                continue
            name = call.func.attr if isinstance(call.func, ast.Attribute) else ""
            name = call.func.id if isinstance(call.func, ast.Name) else name
            at = 0 if name in _FIRST else 1 if name in _SECOND else None
            if at is not None and len(call.args) > at:
                reported.update(_texts(call.args[at]))
    return reported, everything


def _example(text: str) -> tuple[str, str]:
    found = _FENCE.fullmatch(text)
    assert found, text
    return found.group(1), found.group(2)


def test_every_code_has_a_page() -> None:
    """Whatever loading, checking or the chain reports can be explained."""
    reported, _ = _codes()
    assert len(reported) > 60
    assert reported - {p.code for p in pages()} == set()


def test_every_page_has_a_code() -> None:
    """No page explains what is never reported."""
    _, everything = _codes()
    assert {p.code for p in pages()} - everything == set()


@pytest.mark.parametrize("each", pages(), ids=lambda p: p.code)
def test_a_page_has_the_one_shape(each) -> None:
    """Code, one line, and the five sections in their order, none of them empty."""
    lines = each.text.splitlines()
    assert lines[0] == f"# {each.code}"
    assert each.summary.endswith(".")
    assert [h for h in lines if h.startswith("## ")] == [f"## {s}" for s in SECTIONS]
    assert all(each.section(s) for s in SECTIONS)
    assert max(map(len, lines)) <= 120


EXAMPLES = [p for p in pages() if _example(p.section("With the fault"))[0] == "yaml"]


def test_most_pages_have_an_example_that_runs() -> None:
    """Only what no house file can show is told in plain text."""
    assert len(EXAMPLES) > 0.7 * len(pages())


@pytest.mark.parametrize("each", EXAMPLES, ids=lambda p: p.code)
def test_the_example_of_a_page_has_the_fault(each, tmp_path, monkeypatch) -> None:
    """The faulty example is reported under its code, at the line and place that is marked."""
    _, text = _example(each.section("With the fault"))
    problems, lines = laid_over_small(tmp_path, monkeypatch, text)
    found = [p for p in problems if p.code == each.code]
    assert found, "\n".join(map(str, problems)) or "nothing was found"
    marked = [n for n, line in enumerate(lines, 1) if line.endswith("# here")]
    assert marked, "the example marks its line"
    for problem in found:
        assert Path(problem.where.name).name == "house.yaml"
        assert problem.where.line in marked, str(problem)
        assert lines[problem.where.line - 1] == problem.where.text
        assert problem.where.text[problem.where.column - 1] not in " #"
        assert problem.message
    if found[0].severity != "error":
        assert {p.severity for p in found} == {"note"}


@pytest.mark.parametrize("each", EXAMPLES, ids=lambda p: p.code)
def test_the_mended_example_of_a_page_is_clean(each, tmp_path, monkeypatch) -> None:
    """The same example mended is not reported, and brings no other error in."""
    _, text = _example(each.section("Mended"))
    problems, _ = laid_over_small(tmp_path, monkeypatch, text)
    assert [str(p) for p in problems if p.severity == "error" or p.code == each.code] == []


@pytest.mark.parametrize("written", ["rule-subsumed", "[rule-subsumed]", " Rule-Subsumed "])
def test_a_page_is_found_as_people_write_it(written: str) -> None:
    """A code may be copied with its brackets."""
    assert page(written).code == "rule-subsumed"


def test_an_unknown_code_says_what_was_meant() -> None:
    """A slip in a code is met with the nearest ones."""
    with pytest.raises(AdvisorError, match="there is no code") as raised:
        page("rule-subsummed")
    assert "rule-subsumed" in raised.value.hint


def test_the_command_lists_and_shows(capsys) -> None:
    """Without a code all are listed; with one its page is printed; both also as JSON."""
    assert main(["knowledge", "explain"]) == 0
    listed = capsys.readouterr().out.splitlines()
    assert len(listed) == len(pages())
    assert main(["knowledge", "explain", "ranges-gap"]) == 0
    assert capsys.readouterr().out.strip() == page("ranges-gap").text
    assert main(["knowledge", "explain", "ranges-gap", "--json"]) == 0
    shown = json.loads(capsys.readouterr().out)
    assert shown["code"] == "ranges-gap"
    assert shown["mended"].startswith("```yaml")
    assert main(["knowledge", "explain", "--json"]) == 0
    assert {row["code"] for row in json.loads(capsys.readouterr().out)["codes"]} == {
        p.code for p in pages()
    }
    assert main(["knowledge", "explain", "no-such"]) == 3
    assert "unknown-code" in capsys.readouterr().err
