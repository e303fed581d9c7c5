"""What the README shows is what the program does: ``python -m tests.test_readme`` rewrites it."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
_BLOCK = re.compile(r"<!-- output-of: (?P<command>.+?) -->\n```\w*\n(?P<output>.*?)```", re.S)
_CODE = re.compile(r"<!-- library -->\n```python\n(?P<code>.*?)```", re.S)
# The engine differs by Python version, the hash with every change of the knowledge.
_CHANGING = re.compile(r"engine (?:durable-rules|reference)|(?<=\()[0-9a-f]{8}(?=\))")


def _run(command: str) -> str:
    words = shlex.split(command)
    assert words[0] == "curdwise"
    done = subprocess.run(
        [sys.executable, "-m", "advisor", *words[1:]],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, "COLUMNS": "80"},
    )
    return done.stdout or done.stderr


def _settled(text: str) -> str:
    return _CHANGING.sub("…", text)


def _blocks() -> list[tuple[str, str]]:
    return [(m["command"], m["output"]) for m in _BLOCK.finditer(README.read_text())]


def test_the_readme_shows_output():
    """There is something to hold the README to."""
    assert len(_blocks()) >= 2


@pytest.mark.parametrize(("command", "shown"), _blocks(), ids=lambda v: v[:60])
def test_the_output_shown_is_the_output_given(command, shown):
    """A reader who types the command sees what the page shows."""
    assert _settled(_run(command)) == _settled(shown), "python -m tests.test_readme writes it again"


def test_the_library_example_runs():
    """The lines of Python in the README work as printed."""
    (code,) = _CODE.findall(README.read_text())
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 0, done.stderr
    assert done.stdout


def test_every_command_is_documented():
    """No command is left out of the README."""
    listed = re.findall(r"^  (\w+)  ", _run("curdwise --help").split("Commands:")[1], re.M)
    text = README.read_text()
    assert listed
    for name in listed:
        assert f"curdwise {name}" in text, name


def main() -> None:
    """Write every output block again."""
    README.write_text(
        _BLOCK.sub(
            lambda m: f"<!-- output-of: {m['command']} -->\n```\n{_run(m['command'])}```",
            README.read_text(),
        )
    )


if __name__ == "__main__":
    main()
