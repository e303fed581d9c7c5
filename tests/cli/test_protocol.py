"""``curdwise protocol`` and ``curdwise compare`` at the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from advisor.cli import Exit, main

BRIEF = """\
title: A test punch
invented: true
brief:
  base_kind: mixed-drink
  base_strength: 20 %
  base_acid: 6
  holds: [has_citrus]
  batch_volume: 1 l
"""


@pytest.fixture
def punch(tmp_path: Path) -> str:
    """A brief file."""
    file = tmp_path / "punch.yaml"
    file.write_text(BRIEF, encoding="utf-8")
    return str(file)


def run(capsys, *words: str) -> tuple[int, str, str]:
    """Exit code, standard output, standard error."""
    code = main(list(words))
    said = capsys.readouterr()
    return code, said.out, said.err


def test_a_brief_becomes_steps(capsys, punch):
    """Data to standard output, nothing but talk to standard error."""
    code, out, err = run(capsys, "protocol", "--brief", punch, "--technique", "strip")
    assert code == Exit.OK
    assert "STEPS" in out
    assert "Milk wash" in out
    assert err == ""


def test_without_a_technique_the_first_choice_is_taken(capsys, punch):
    """The choice is made, and said on standard error."""
    code, out, err = run(capsys, "protocol", "--brief", punch, "-a", "goals=less_astringent")
    assert code == Exit.OK
    assert "the first choice" in err
    assert "STEPS" in out


def test_answers_alone_do(capsys):
    """No file is needed, and no question is asked."""
    code, out, _ = run(
        capsys, "protocol", "-a", "base_kind=spirit", "-a", "base_strength=45 %", "--technique",
        "fat-wash", "--batch", "24 oz", "--units", "oz",
    )  # fmt: skip
    assert code == Exit.OK
    assert "fl oz" in out


def test_json_markdown_and_pages(capsys, punch, tmp_path):
    """One command writes JSON or Markdown, a page and a label card."""
    page, card = tmp_path / "p.html", tmp_path / "l.html"
    code, out, err = run(
        capsys, "protocol", "--brief", punch, "--technique", "strip", "--json", "--html",
        str(page), "--label", str(card), "--made", "2026-11-25",
    )  # fmt: skip
    assert code == Exit.OK
    assert json.loads(out)["label"]["made"] == "2026-11-25"
    assert "CONTAINS MILK" in page.read_text(encoding="utf-8")
    assert "CONTAINS MILK" in card.read_text(encoding="utf-8")
    assert err.count("Written to") == 2
    code, out, _ = run(
        capsys, "protocol", "--brief", punch, "--technique", "strip", "--markdown"
    )
    assert code == Exit.OK
    assert out.startswith("# A test punch")


def test_saved_protocols_are_compared(capsys, punch, tmp_path):
    """A protocol saved today and one made otherwise stand side by side."""
    file = tmp_path / "saved.json"
    code, _, _ = run(
        capsys, "protocol", "--brief", punch, "--technique", "strip", "--save", str(file),
        "--set", "milk_share=25 %",
    )  # fmt: skip
    assert code == Exit.OK
    code, out, _ = run(capsys, "compare", str(file), f"{punch}@strip", "--json")
    assert code == Exit.OK
    rows = json.loads(out)["rows"]
    share = next(r for r in rows if r["name"].startswith("milk in the mix"))
    assert (share["a"], share["b"], share["differs"]) == ("25 %", "20 %", True)


def test_two_techniques_are_compared(capsys, punch):
    """Technique names stand for the protocols of one brief."""
    code, out, _ = run(capsys, "compare", "strip", "strip-light", "--brief", punch)
    assert code == Exit.OK
    assert "AMOUNTS" in out


@pytest.mark.parametrize(
    ("words", "shown"),
    [
        (("--vary", "milk_wanted=goat"), "goat milk"),
        (("--within", "4 h"), "TIME"),
        (("--vary", "base_strength=30 %"), "strength"),
    ],
)
def test_the_same_but(capsys, punch, words, shown):
    """What is varied shows what changes, and only that."""
    code, out, _ = run(capsys, "protocol", "--brief", punch, "--technique", "strip", *words)
    assert code == Exit.OK
    assert shown in out
    assert "differences" in out


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("--without", "milk"), Exit.INPUT, "limit-broken"),
        (("--within", "20 min"), Exit.INPUT, "longest step"),
        (("--within", "soon"), Exit.INPUT, "--within"),
        (("--batch", "3 kg"), Exit.INPUT, "--batch"),
        (("--batch", "5 ml"), Exit.INPUT, "batch"),
        (("--set", "milk_share=99 %"), Exit.INPUT, "dial-range"),
        (("--set", "nonsense"), Exit.INPUT, "NAME=VALUE"),
        (("--price", "milk=free"), Exit.INPUT, "no price"),
        (("--price", "nonsense=20"), Exit.INPUT, "it can be drink, milk"),
        (("--price", "white-rum=20"), Exit.INPUT, "price-unknown"),
        (("--price", "milk=1,200"), Exit.INPUT, "write 1200 or 1.2"),
        (("--price", "milk=1", "--price", "milk=2"), Exit.INPUT, "two prices"),
        (("--price", "white-rum=20", "--vary", "milk_wanted=goat"), Exit.INPUT, "price-unknown"),
        (("--made", "today"), Exit.INPUT, "not a date"),
        (("-a", "base_strength=hot"), Exit.INPUT, "base_strength"),
        (("--html", "/nowhere/at/all.html"), Exit.INPUT, "cannot be written"),
        (("--units", "stone"), Exit.USAGE, "units"),
    ],
)
def test_bad_words_are_refused_without_a_traceback(capsys, punch, words, code, said):
    """Each wrong word has its exit code and says what is wrong."""
    found, _, err = run(capsys, "protocol", "--brief", punch, "--technique", "strip", *words)
    assert found == code
    assert said in err
    assert "Traceback" not in err


def test_an_unknown_technique_is_refused(capsys, punch):
    """A technique that is none is answered with the nearest."""
    code, _, err = run(capsys, "protocol", "--brief", punch, "--technique", "stripe")
    assert code == Exit.INPUT
    assert "did you mean strip" in err


def test_without_anything_there_is_nobody_to_ask(capsys, monkeypatch):
    """No brief, no answer, no terminal: told which words to give."""
    monkeypatch.delenv("ACCESSIBLE", raising=False)
    code, _, err = run(capsys, "protocol")
    assert code == Exit.USAGE
    assert "--brief FILE" in err


def test_the_schema_is_printed(capsys):
    """``curdwise schema protocol`` prints what --json meets."""
    code, out, _ = run(capsys, "schema", "protocol")
    assert code == Exit.OK
    assert json.loads(out)["title"] == "curdwise protocol"


def test_every_demo_brief_gives_a_protocol_or_a_reason(capsys):
    """The invented briefs that ship all work from the command line."""
    briefs = sorted((Path(__file__).parents[2] / "scenarios_demo" / "briefs").glob("*.yaml"))
    assert briefs
    for file in briefs:
        code, out, err = run(capsys, "protocol", "--brief", str(file))
        assert code == Exit.OK or "nothing-fits" in err, (file.name, err)
        assert code != Exit.OK or "STEPS" in out


def test_a_trial_goes_with_the_page(capsys, punch, tmp_path):
    """--trial adds tasters' sheets to the page; its key is a file that trial judge reads."""
    page, key = tmp_path / "p.html", tmp_path / "t.yaml"
    code, _, _ = run(
        capsys, "protocol", "--brief", punch, "--technique", "strip", "--html", str(page),
        "--trial", "6", "--trial-file", str(key),
    )  # fmt: skip
    assert code == Exit.OK
    assert page.read_text(encoding="utf-8").count("Tasting sheet:") == 6
    from advisor.technique.trial import read_trial

    assert len(read_trial(key).tasters) == 6
