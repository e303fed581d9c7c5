"""Bad input of every kind: only errors of ours ever come out, and nothing that is not a number.

Seeded, so that a failure can be repeated; ``CURDWISE_FUZZ`` sets how many cases are tried.
"""

from __future__ import annotations

import json
import os
import random
import tempfile
from pathlib import Path
from typing import Any

import pytest

from advisor.consult import Consultation
from advisor.consult.case import case_from
from advisor.errors import AdvisorError
from advisor.knowledge.load import check_folders
from advisor.report.model import report_on
from advisor.report.result import result
from advisor.report.screen import plain_lines
from tests.smallbase import FILES, small_base, write_small

MANY = int(os.environ.get("CURDWISE_FUZZ", "1"))

CASE = """\
title: A batch
answers:
  symptoms: [cloudy, bitter]
  operation: strip
  curd: weak
  drink_volume: 600 ml
  milk_volume: 1/4 L
  milk_kind: whole
  mix_reading: about 800 ml
  temperature: 20 C
tried: [add-acid]
expect: {cause: too-mild, among: [too-mild], figures: {mix_volume: [800, 900]}}
"""
SCRAPS = [
    "", " ", "\n", "\t", "\r", "\0", "\x1b[31m", "\x85", "\u2028", "\ufeff", "\ud83e", "é", "漢",
    "{", "}", "[", "]", ":", ": ", "- ", "? ", "| ", "> ", "&a ", "*a", "!t ", "!!str ", "<<: ",
    "#", "'", '"', "%", "@", "`", "---\n", "...\n", "~", "null", "true", "no", "1:15", "0600",
    "1e3", "1e999", "-1e999", ".nan", ".inf", "nan", "inf", "-0", "1/0", "0/0", "9" * 40, "9" * 400,
    "200 ml", "1 1/2 oz", "4:1", "half", "a dash", "pH 5", "20 C", "-300 C", "5 %", "a" * 300,
    "cloudy", "curd", "weak", "unknown", "not-now", "symptoms", "answers", "verdict", "mix_volume",
    "above", "all", "any", "none", "not", "known", "missing", "too-mild", "usually", "strong", "mL",
    "{mix_volume}", "\\", "\\ud800", "[[[[[[", "{a: {a: {a: ", "a: b: c", "\x7f", "\u0000",
]  # fmt: skip


def spoiled(text: str, rng: random.Random) -> str:
    """The text with a few things cut out, put in, doubled or swapped."""
    for _ in range(rng.randint(1, 4)):
        lines = text.split("\n")
        kind = rng.randrange(7)
        if kind == 0:
            at, end = sorted(rng.randrange(len(text) + 1) for _ in range(2))
            text = text[:at] + text[min(end, at + 30) :]
        elif kind == 1:
            at = rng.randrange(len(text) + 1)
            text = text[:at] + rng.choice(SCRAPS) + text[at:]
        elif kind == 2:
            at = rng.randrange(len(lines))
            lines.insert(rng.randrange(len(lines)), lines[at])
            text = "\n".join(lines)
        elif kind == 3:
            del lines[rng.randrange(len(lines))]
            text = "\n".join(lines)
        elif kind == 4:
            words = text.split(" ")
            words[rng.randrange(len(words))] = rng.choice(SCRAPS)
            text = " ".join(words)
        elif kind == 5:
            at = rng.randrange(len(lines))
            lines[at] = " " * rng.randint(0, 6) + lines[at].lstrip()
            text = "\n".join(lines)
        else:
            text = text[: rng.randrange(len(text) + 1)]
    return text


def as_bytes(text: str, rng: random.Random) -> bytes:
    raw = text.encode("utf-8", "surrogatepass")
    if rng.random() < 0.1 and raw:
        at = rng.randrange(len(raw))
        raw = raw[:at] + bytes([rng.randrange(256)]) + raw[at + 1 :]
    return raw


def told(error: AdvisorError) -> None:
    """An error that a person can read and a program can name."""
    assert error.code
    assert str(error)


def concluded(made: Consultation) -> None:
    """Everything that a person could be shown of a consultation, once."""
    json.dumps(result(made), allow_nan=False)
    text = "\n".join(plain_lines(report_on(made)))
    assert "{" not in text


def test_spoiled_case_files() -> None:
    """A spoiled case file is either understood or refused with an error of ours."""
    base = small_base()
    rng = random.Random(1)
    read = refused = 0
    for _ in range(3000 * MANY):
        text = spoiled(CASE, rng)
        raw: bytes | str = as_bytes(text, rng) if rng.random() < 0.8 else text
        try:
            made = Consultation.from_case(base, case_from(raw, "case.yaml"), backend="reference")
        except AdvisorError as error:
            refused += 1
            told(error)
            continue
        read += 1
        if read % 5 == 0:
            concluded(made)
    assert read > 20
    assert refused > 100


def test_spoiled_knowledge_files() -> None:
    """Spoiled knowledge is refused with problems that have a place, or is a base that reasons."""
    rng = random.Random(2)
    built = 0
    with tempfile.TemporaryDirectory() as place:
        folder = write_small(Path(place) / "k")
        for _ in range(500 * MANY):
            name = rng.choice(sorted(FILES))
            (folder / name).write_bytes(as_bytes(spoiled(FILES[name], rng), rng))
            base, problems = check_folders([folder])
            assert all(p.code and p.where.name and str(p) for p in problems)
            if base is None:
                assert any(p.severity == "error" for p in problems)
            elif built < 12 * MANY:
                built += 1
                some_answers(base, rng)
            (folder / name).write_text(FILES[name], encoding="utf-8")
    assert built > 0


def some_answers(base: Any, rng: random.Random) -> None:
    made = Consultation(base, backend="reference")
    for finding in base.findings.values():
        if finding.asked and rng.random() < 0.6:
            middle = ((finding.low or 0.0) + (finding.high or 0.0)) / 2
            made = made.tell(finding.id, rng.choice([*(finding.words or [middle]), "unknown"]))
    try:
        json.dumps(result(made), allow_nan=False)
        list(plain_lines(report_on(made)))
    except AdvisorError as error:  # rules that no chain can run
        told(error)


def test_any_answer_to_any_question() -> None:
    """Whatever is typed as an answer is taken, or refused with an error of ours."""
    base = small_base()
    rng = random.Random(3)
    taken = 0
    asked = [f.id for f in base.findings.values()]
    for _ in range(4000 * MANY):
        name = rng.choice([*asked, "mix_volume", rng.choice(SCRAPS)])
        raw: Any = rng.choice(SCRAPS)
        kind = rng.random()
        if kind < 0.3:
            raw = spoiled(rng.choice(["1 1/2 oz", "about 20 C", "600-700 ml", "weak", "yes"]), rng)
        elif kind < 0.5:
            raw = rng.choice([rng.uniform(-1e6, 1e6), 10**400, float("nan"), -float("inf"), True,
                              None, [], {}, 0, -0.0, 5e-324])  # fmt: skip
        try:
            made = Consultation(base, backend="reference").tell(name, raw)
        except AdvisorError as error:
            told(error)
            continue
        taken += 1
        if taken % 25 == 0:
            concluded(made)
    assert taken > 50


@pytest.mark.parametrize("size", [10, 1000, 20000])
def test_deep_and_long_files_cost_little(size: int) -> None:
    """Nesting and length beyond all measure are refused without deep recursion."""
    for text in ("[" * size, "{a: " * size, "- " * size + "x", "a: " + "[1]," * size, "&a " * size):
        with pytest.raises(AdvisorError):
            case_from(text, "case.yaml")
