"""``curdwise trial`` as a person or a program calls it."""

from __future__ import annotations

import io
import json
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from advisor.cli import Exit, main
from advisor.technique.trial import answers_from, read_answers, read_trial

ROOT = Path(__file__).parent.parent.parent
DEMO = ROOT / "scenarios_demo" / "trials"
NAMES = sorted(path.name.removesuffix(".trial.yaml") for path in DEMO.glob("*.trial.yaml"))


def answers_path(name: str) -> Path:
    (path,) = DEMO.glob(f"{name}.answers.*")
    return path


def run(capsys: pytest.CaptureFixture[str], line: str, *more: object) -> tuple[int, str, str]:
    """Exit code, standard output and standard error of a command line."""
    code = main(["trial", *shlex.split(line), *map(str, more)])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def data(capsys: pytest.CaptureFixture[str], line: str, *more: object) -> dict[str, Any]:
    """What a command line gives as JSON."""
    code, out, err = run(capsys, f"{line} --json", *more)
    assert code == Exit.OK, err
    found: dict[str, Any] = json.loads(out)
    return found


PLAN = "plan --dial milk-share --tasters 8 --strength 25 --own-acid 6"


def test_from_plan_to_next_dose(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Plan, sheets, answers from a table, judgement: each step reads the one before."""
    trial, answers = tmp_path / "t.yaml", tmp_path / "a.yaml"
    code, out, err = run(capsys, f"{PLAN} --set acid-dose=6 --save", trial)
    assert code == Exit.OK
    assert "HOW MANY TASTERS" in out
    assert "Keep it from whoever tastes" in err
    code, out, _ = run(capsys, "sheets", trial, "--into", tmp_path / "sheets", "--format", "html")
    assert code == Exit.OK
    assert sorted(p.name for p in (tmp_path / "sheets").iterdir()) == [
        "key.html", "preparation.html", "tasters.html",
    ]  # fmt: skip
    plan = read_trial(trial)
    rows = ["taster;flight;code;score"]
    for number, flight in enumerate(plan.flights):
        for cup in flight.cups:
            share = plan.sample(cup.sample).settings.get("milk-share", 0.0)
            rows.append(f"{flight.taster};1;{cup.code};{8 - share / 6 - number % 2:.2f}")
    table = tmp_path / "table.csv"
    table.write_text("\n".join(rows), encoding="utf-8")
    code, out, err = run(capsys, "answers", trial, "--from", table, "--save", answers)
    assert (code, out) == (Exit.OK, f"8 of 8 flights answered, saved in {answers}\n")
    code, out, _ = run(capsys, "judge", trial, answers)
    assert code == Exit.OK
    assert "The panel of 8 told these from the control" in out
    assert "NEXT MILK SHARE" in out
    found = data(capsys, "judge", trial, answers, "--aim", "40%")
    assert found["next"][0]["aim"].startswith("40 % less")
    assert all(c["p"] <= 2**-8 + 1e-12 for c in found["comparisons"])


@pytest.mark.parametrize("name", NAMES)
def test_demo_trials_are_judged(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Every trial of the demo holds together, prints, and has its limits."""
    trial = DEMO / f"{name}.trial.yaml"
    code, out, err = run(capsys, "judge", trial, answers_path(name))
    assert code == Exit.OK, err
    assert "WHAT THIS CANNOT SHOW" in out
    found = data(capsys, "judge", trial, answers_path(name))
    assert found["answered"] == found["flights"]
    assert "invented" in found["title"]


def test_demo_says_what_it_should(capsys: pytest.CaptureFixture[str]) -> None:
    """Tea punch settles a dose, one person alone does not, butter rum is ranked in order."""
    tea, alone, rum = (
        data(capsys, "judge", DEMO / f"{n}.trial.yaml", answers_path(n))
        for n in ("tea-punch", "alone", "butter-rum")
    )
    assert tea["next"][0]["settled"]
    assert tea["next"][0]["dose"]["low"] < 15 < tea["next"][0]["dose"]["high"]
    assert not alone["comparisons"][0]["found"]
    assert alone["tasters_answered"] == 1
    assert next(o for o in rum["overall"] if o["id"].startswith("page"))["p"] < 0.001


def test_plan_as_data_is_whole(capsys: pytest.CaptureFixture[str]) -> None:
    """The JSON of a plan has codes, quantities, panels and cautions."""
    found = data(capsys, PLAN)
    assert found["version"] == 1
    assert len(found["flights"]) == 8
    assert {s["sample"] for s in found["samples"]} == {"control", "s1", "s2", "s3"}
    assert 0 < found["power"] < 1
    assert found["alcohol_each"]["uk"] == pytest.approx(75 * 25 * 0.7 / 1000)
    assert any(c["stop"] for c in found["cautions"])
    assert {p["test"] for p in found["panels"]} >= {"triangle", "paired", "rank", "rate"}


def test_levels_are_read_as_people_write_them(capsys: pytest.CaptureFixture[str]) -> None:
    """Units, hours and days among the levels; US ounces for cups."""
    found = data(capsys, "plan --dial steep-time --levels '90 min; 4 h; 1 day' --tasters 8 "
                         "--cup '1/2 oz'")  # fmt: skip
    levels = [s["settings"].get("steep-time") for s in found["samples"]]
    assert levels == [None, 1.5, 4.0, 24.0]
    assert found["cup_ml"] == pytest.approx(14.8, abs=0.3)


def test_dials_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    """Every dial, sense and test has a line."""
    code, out, _ = run(capsys, "dials")
    assert code == Exit.OK
    found = data(capsys, "dials")
    for kind in ("dials", "senses", "tests"):
        assert all(word in out for word in found[kind])


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("plan --dial milkshare", "did you mean milk-share?"),
        ("plan --dial milk-share --tasters 2", "prove nothing"),
        ("plan --dial milk-share --levels 0,10", "is the control"),
        ("plan --dial milk-share --levels 1:4", "a ratio may be read"),
        ("plan --dial milk-share --levels a,b", "2 problems"),
        ("plan --dial milk-share --tasters 3 --taster Ann", "give names or a number"),
        ("plan --dial milk-share --second-levels 3", "no second dial"),
        ("plan --dial milk-share --set acid", "is not DIAL=LEVEL"),
        ("plan --dial milk-share --set acid-dose=6 --set acid-dose=7", "set twice"),
        ("plan --dial milk-share --set foo=6", "is not a dial"),
        ("plan --dial milk-share --seed x", "must be a whole number"),
        ("sheets no.yaml", "cannot be read"),
        ("judge no.yaml no.yaml", "cannot be read"),
    ],
)
def test_bad_input_is_said_and_ends_with_code_3(
    line: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is wrong and what to do on standard error, nothing on standard output."""
    code, out, err = run(capsys, line)
    assert (code, out) == (Exit.INPUT, "")
    assert said in err


def test_nothing_is_overwritten_unasked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A trial file that is out with tasters stays, unless replacing it is asked for."""
    trial = tmp_path / "t.yaml"
    assert run(capsys, f"{PLAN} --save", trial)[0] == Exit.OK
    before = trial.read_bytes()
    code, _, err = run(capsys, f"{PLAN} --seed 2 --save", trial)
    assert code == Exit.INPUT
    assert "is kept" in err
    assert trial.read_bytes() == before
    assert run(capsys, f"{PLAN} --seed 2 --replace --save", trial)[0] == Exit.OK
    assert trial.read_bytes() != before
    assert [p.name for p in tmp_path.iterdir()] == ["t.yaml"]


def typed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], lines: list[str],
    *words: object,
) -> tuple[int, str, str]:  # fmt: skip
    """The command with these lines typed in accessible mode."""
    monkeypatch.setenv("ACCESSIBLE", "1")
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n".join(lines) + "\n"))
    code = main(["trial", "answers", *map(str, words)])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


@pytest.fixture
def triangle(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A triangle of three people."""
    path = tmp_path / "t.yaml"
    line = "plan --dial milk-share --levels 20 --test triangle --taster Ann --taster Bo --taster Cy"
    assert run(capsys, f"{line} --save", path)[0] == Exit.OK
    return path


def test_answers_are_typed_line_by_line(
    triangle: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """Numbers or codes pick a cup, back takes one back, skip leaves one open, all is saved."""
    answers = tmp_path / "a.yaml"
    code = read_trial(triangle).flights_of("Bo")[0].codes[2]
    lines = ["1", "back", "2", code, "skip"]
    done, out, err = typed(monkeypatch, capsys, lines, triangle, "--save", answers)
    assert done == Exit.OK
    assert "2 of 3 flights answered" in out
    assert "Still to come: Cy" in out
    found = read_answers(read_trial(triangle), answers)
    assert [a.picked for a in found] == [(read_trial(triangle).flights[0].codes[1],), (code,)]
    assert "control" not in err
    done, out, _ = typed(monkeypatch, capsys, ["x", "9", "3"], triangle, "--save", answers)
    assert "3 of 3 flights answered" in out


def test_stopping_and_running_dry_lose_nothing(
    triangle: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """Stop, the end of the input, and asking one taster only."""
    for lines in (["1", "stop"], ["1"]):
        answers = tmp_path / f"{len(lines)}.yaml"
        done, _, _ = typed(monkeypatch, capsys, lines, triangle, "--save", answers)
        assert done == Exit.OK
        assert len(read_answers(read_trial(triangle), answers)) == 1
    one = tmp_path / "one.yaml"
    typed(monkeypatch, capsys, ["1"], triangle, "--save", one, "--taster", "Cy")
    assert [a.taster for a in read_answers(read_trial(triangle), one)] == ["Cy"]
    done, _, err = typed(monkeypatch, capsys, [], triangle, "--save", one, "--taster", "Cyd")
    assert (done, "did you mean Cy?" in err) == (Exit.INPUT, True)


def test_interrupted_typing_is_saved_and_says_130(
    triangle: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """Ctrl-C keeps what was answered and ends with 130."""

    class Typist(io.StringIO):
        def readline(self, *size: int) -> str:
            line = super().readline(*size)
            if not line:
                raise KeyboardInterrupt
            return line

    monkeypatch.setenv("ACCESSIBLE", "1")
    monkeypatch.setattr(sys, "stdin", Typist("1\n"))
    answers = tmp_path / "a.yaml"
    assert main(["trial", "answers", str(triangle), "--save", str(answers)]) == Exit.INTERRUPTED
    assert len(read_answers(read_trial(triangle), answers)) == 1
    assert "What was answered is saved" in capsys.readouterr().err


def test_scores_and_ranks_are_typed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A score off the scale and an incomplete ranking are asked for again."""
    for test, lines in (("rate", ["12", "3", "much", "4.5", "5", "6", "stop"]), ("rank", None)):
        path, answers = tmp_path / f"{test}.yaml", tmp_path / f"{test}-a.yaml"
        assert run(capsys, f"{PLAN} --test {test} --save", path)[0] == Exit.OK
        trial = read_trial(path)
        a, b, c, d = trial.flights[0].codes
        lines = lines or [f"{a} {b}", f"{a}={b}, {c} {d}", "stop"]
        typed(monkeypatch, capsys, lines, path, "--save", answers)
        (said,) = read_answers(trial, answers)
        assert said.scored == {a: 3, b: 4.5, c: 5, d: 6} or said.ranked == ((a, b), (c,), (d,))


def test_a_taster_who_answers_twice_is_refused_across_files(
    triangle: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same table again adds nothing; another answer for the same flight is refused."""
    codes = read_trial(triangle).flights[0].codes
    table, answers = tmp_path / "t.csv", tmp_path / "a.yaml"
    for picked, code in ((codes[0], Exit.OK), (codes[0], Exit.OK), (codes[1], Exit.INPUT)):
        table.write_text(f"taster,flight,picked\nAnn,1,{picked}\n", encoding="utf-8")
        done, _, err = run(capsys, "answers", triangle, "--from", table, "--save", answers)
        assert done == code, err
    text = answers.read_text(encoding="utf-8")
    assert answers_from(read_trial(triangle), text, "a.yaml")[0].picked == (codes[0],)


def test_no_terminal_names_the_way_out(triangle: Path, tmp_path: Path) -> None:
    """In a pipe nothing is asked: exit code 2 and the option to use, in a real process."""
    done = subprocess.run(
        [sys.executable, "-m", "advisor", "trial", "answers", str(triangle), "--save",
         str(tmp_path / "a.yaml")],
        stdin=subprocess.DEVNULL, capture_output=True, text=True, cwd=ROOT, check=False,
    )  # fmt: skip
    assert done.returncode == Exit.USAGE
    assert "--from FILE" in done.stderr
    assert "Traceback" not in done.stderr


def test_sheets_go_down_a_pipe(triangle: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without a folder the tasters' sheets are printed; JSON is for lists of files."""
    code, out, _ = run(capsys, "sheets", triangle)
    assert code == Exit.OK
    assert out.startswith("# Tasting sheet: Ann")
    assert run(capsys, "sheets --json", triangle)[0] == Exit.INPUT
    files = data(capsys, "sheets", triangle, "--which", "key", "--into", triangle.parent / "s")
    assert list(files["files"]) == ["key"]


def test_a_judgement_needs_no_statistics_library() -> None:
    """Judging loads neither scipy nor numpy: they are for the tests."""
    code = (
        "import sys; from advisor.cli import main;"
        f"main(['trial', 'judge', {str(DEMO / 'alone.trial.yaml')!r},"
        f" {str(answers_path('alone'))!r}]);"
        "sys.exit(any(m.split('.')[0] in ('scipy', 'numpy') for m in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False,
                          capture_output=True).returncode == 0  # fmt: skip
