"""What is installed is whole: knowledge and schemas inside, and it runs from anywhere."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """The wheel of this checkout, unpacked into a folder of its own."""
    pytest.importorskip("hatchling")
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    (wheel,) = folder.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder / "site")
    return folder / "site"


def test_the_wheel_carries_the_whole_knowledge_base(installed):
    """Every knowledge file and schema of the checkout is inside the wheel."""
    shipped = {p.relative_to(ROOT / "knowledge") for p in (ROOT / "knowledge").rglob("*.yaml")}
    packed = {
        p.relative_to(installed / "advisor" / "_base")
        for p in (installed / "advisor" / "_base").rglob("*.yaml")
    }
    assert shipped == packed
    carried = (("schemas", "*.json"), ("report/html/templates", "*"), ("store", "**/*.py"))
    for folder, pattern in carried:
        here, there = ROOT / "advisor" / folder, installed / "advisor" / folder
        kept = {p.name for p in here.glob(pattern) if p.is_file()}
        assert kept == {p.name for p in there.glob(pattern) if p.is_file()}
        assert kept
    assert (installed / "advisor" / "py.typed").exists()


def test_the_wheel_runs_away_from_the_checkout(installed, tmp_path):
    """An installed curdwise diagnoses without the checkout beside it."""
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys; from advisor.cli import main; sys.exit(main())",
            "diagnose",
            "-a",
            "cloud_at_filter=yes",
            "-a",
            "acid_drop=flakes",
        ],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(installed), "XDG_CACHE_HOME": str(tmp_path)},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    assert "SAY AND MIND" in done.stdout


def test_drills_come_with_the_wheel(installed, tmp_path):
    """Practice alone needs no set-up: the written drills are inside."""
    packed = {p.name for p in (installed / "advisor").rglob("[0-9][0-9]-*.yaml")}
    drills = ROOT / "scenarios_demo" / "drills"
    assert {p.name for p in drills.glob("*.yaml")} <= packed


def test_a_missing_knowledge_folder_is_said_plainly(installed, tmp_path):
    """An installation without its knowledge says so, and what to do."""
    site = tmp_path / "site"
    subprocess.run(["cp", "-r", str(installed), str(site)], check=True)
    subprocess.run(["rm", "-r", str(site / "advisor" / "_base")], check=True)
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys; from advisor.cli import main; sys.exit(main())",
            "questions",
        ],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(site)},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 4
    assert "knowledge base is not there" in done.stderr
    assert "Traceback" not in done.stderr
