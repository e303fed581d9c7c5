"""The page on the format names all that may be written, and its examples are true."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import yaml

from advisor.knowledge.load import check_folders
from advisor.knowledge.shapes import SECTIONS, knowledge_schema
from advisor.science.registry import calculations
from tests.smallbase import write_small

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "knowledge" / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```yaml\n(.*?)```", PAGE, re.DOTALL)


def _truth_keys(shape: Any) -> Iterator[str]:
    """Every key whose value is true or false."""
    if isinstance(shape, dict):
        for key, value in shape.get("properties", {}).items():
            if isinstance(value, dict) and (
                value.get("const") in (True, False) or value.get("type") == "boolean"
            ):
                yield key
        for value in shape.values():
            yield from _truth_keys(value)


def test_every_key_that_takes_a_truth_value_is_named() -> None:
    """Whoever wonders where true may stand finds the whole list."""
    told = PAGE.partition("are truth\nvalues.")[2].partition("No anchors")[0]
    keys = set(_truth_keys(knowledge_schema()))
    assert len(keys) > 5
    assert keys <= set(re.findall(r"`(\w+)`", told))


@pytest.mark.parametrize(
    ("section", "path", "line"),
    [
        ("findings", ("group",), r"group: seen +# (.*)"),
        ("remedies", ("risks", "items", "properties", "to"), r"text: sourer.*# (.*)"),
        ("causes", ("stage",), r"stage: acid +# (.*)"),
    ],
)
def test_every_word_of_a_list_is_named(section: str, path: tuple[str, ...], line: str) -> None:
    """Groups, stages and what a remedy may cost are all on the page."""
    shape: Any = knowledge_schema()["$defs"][section]["properties"]
    for key in path:
        shape = shape[key]
    found = re.search(line, PAGE)
    assert found
    assert set(shape["enum"]) <= set(re.findall(r"[\w-]+", found.group(1)))


def test_the_example_of_a_figure_fits_its_calculation() -> None:
    """Inputs and constants of the example are arguments of the calculation that it names."""
    (figure,) = (
        record for block in BLOCKS for record in (yaml.safe_load(block) or {}).get("figures", ())
    )
    known = calculations()[figure["calculation"]].inputs
    assert {*figure["inputs"], *figure["constants"]} <= set(known)
    assert {key for key, value in known.items() if value.required} <= set(figure["inputs"])


def test_the_example_of_a_house_is_sound(tmp_path: Path) -> None:
    """The block that replaces and switches off can be used as it stands, without a note."""
    (block,) = (block for block in BLOCKS if "switch_off:" in block)
    base, problems = check_folders([write_small(tmp_path / "house", {"a.yaml": block})])
    assert problems == []
    assert base is not None
    assert [(c.verb, c.id) for c in base.house] == [
        ("replaced", "serve-less-cold"),
        ("switched off", "add-peel-after"),
    ]


def test_every_list_has_a_place_on_the_page() -> None:
    """No list of a knowledge file goes unmentioned."""
    for section in (*SECTIONS, "switch_off"):
        assert f"{section}:" in PAGE or f"`{section}`" in PAGE
