"""The worth of the simulator is that it knows nothing of the rules."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import advisor.simulator

ROOM = Path(advisor.simulator.__file__).parent
ALLOWED = ("advisor.simulator", "advisor.science", "advisor.errors", "advisor.quantities")
STANDARD = {
    "__future__", "collections.abc", "copy", "dataclasses", "functools", "math", "random", "types",
    "typing",
}  # fmt: skip


def test_it_imports_only_science_and_the_standard_library() -> None:
    """No module imports knowledge, chain, reasoning or anything else above the science."""
    for path in sorted(ROOM.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names: list[str] = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                assert node.level == 0, path
                names = [node.module or ""]
            for name in names:
                assert name.startswith(ALLOWED) or name in STANDARD, (path.name, name)


def test_nothing_of_the_rules_is_loaded_with_it() -> None:
    """A batch is drawn in a fresh process without any higher room or YAML reader coming in."""
    program = (
        "import sys\n"
        "from advisor.simulator import simulate\n"
        "simulate(1)\n"
        "rooms = ('knowledge', 'chain', 'reasoning', 'consult', 'technique', 'report')\n"
        "bad = [m for m in sys.modules if m.startswith(tuple('advisor.' + r for r in rooms))]\n"
        "bad += [m for m in sys.modules if m in ('yaml', 'ruamel', 'durable', 'pint')]\n"
        "sys.exit(repr(bad) if bad else 0)\n"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert run.returncode == 0, run.stderr


def test_no_chance_without_a_seed() -> None:
    """Only seeded generators are made; the module functions of ``random`` are never called."""
    for path in sorted(ROOM.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                assert "random" not in [alias.name for alias in node.names], path.name
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id == "Random"
            ):
                assert node.args, path.name
