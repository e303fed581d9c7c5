"""A small, complete, invented knowledge base for tests, and ways to spoil it.

Nothing in it is advice. It has one of everything, so that a test can change one thing and
see what follows: symptoms, a choice, quantities, a figure bound to a real calculation, a
check with outcomes, causes with tables, rules with groups, conclusions and verdicts,
remedies with a dose, cautions and sources.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from advisor.knowledge.load import check_folders

if TYPE_CHECKING:
    from advisor.errors import Problem
    from advisor.knowledge.model import Base

__all__ = ["FILES", "changed", "checked", "codes", "load_small", "small_base", "write_small"]

FILES = {
    "base.yaml": """\
base: {name: invented small base, version: "1.0"}

sources:
  - id: invented-2001
    title: An invented book of tests
    by: Writer A, Other B
    year: 2001
    where: Nowhere
    mark: seen
  - {id: remembered-1999, title: An invented paper, mark: memory}

cautions:
  - {id: has-milk, level: stop, text: "Contains milk: say so.", source: [practice]}
  - {id: keep-cold, level: warn, text: Keep it in the fridge., jurisdiction: Nowhere,
     source: [judgement]}
  - {id: just-so-you-know, level: note, text: A note on the side., source: [judgement]}
""",
    "findings.yaml": """\
findings:
  - {id: cloudy, label: still cloudy, ask: Is it still cloudy?, kind: yes-no, group: symptom,
     usual: 0.1}
  - {id: bitter, label: still bitter, ask: Is it still bitter?, kind: yes-no, group: symptom}
  - {id: gassy, label: gas in the bottle, ask: Does it fizz?, kind: yes-no, group: symptom,
     usual: 0.02}
  - id: operation
    label: what was made
    ask: What did you make?
    kind: choice
    group: batch
    opening: 1
    choices:
      - {value: strip, label: a strip}
      - {value: fat-wash, label: a fat wash}
      - {value: several, label: several}
  - id: curd
    label: what the curd looks like
    ask: What did the milk do?
    kind: choice
    group: seen
    choices:
      - {value: firm, label: grains, usual: 0.6}
      - {value: weak, label: soft, usual: 0.3}
      - {value: none, label: nothing, usual: 0.1}
    ask_when: {operation: [strip, several]}
  - {id: drink_volume, label: how much drink, ask: How much drink?, kind: quantity, group: batch,
     unit: mL, range: [1, 20000]}
  - {id: milk_volume, label: how much milk, ask: How much milk?, kind: quantity, group: batch,
     unit: mL, range: [1, 20000]}
  - {id: milk_kind, label: which milk, ask: Which milk?, kind: choice, group: batch,
     choices: [{value: whole, label: whole milk}, {value: skim, label: skimmed milk}]}
  - {id: mix_reading, label: the mix as measured, ask: How much is it together?, kind: quantity,
     group: measured, unit: mL, range: [1, 40000], measures: mix_volume}
  - {id: temperature, label: temperature of the drink, ask: How warm was it?, kind: quantity,
     group: process, unit: degC, range: [-10, 100]}
  - {id: drop_test, label: the drop test, ask: What does a drop of acid do?, kind: choice,
     group: seen,
     choices: [{value: flakes, label: flakes, usual: 0.3}, {value: clear, label: stays clear,
        usual: 0.7}]}
  - {id: haze_kind, label: kind of haze, ask: Not asked., kind: choice, group: derived,
     asked: false,
     choices: [{value: casein, label: casein}, {value: fat, label: fat}]}
  - {id: verdict, label: verdict, ask: Not asked., kind: choice, group: derived, asked: false,
     choices: [{value: discard, label: discard}, {value: stop, label: stop},
               {value: nothing-wrong, label: nothing is wrong}]}

figures:
  - id: mix_volume
    label: volume of the mix
    calculation: batch.mix_volume
    inputs: {drink_ml: drink_volume, milk_ml: milk_volume, milk_kind: milk_kind}
    needs: [drink_volume, milk_volume, milk_kind]

checks:
  - id: drop-test
    title: Drop test
    finding: drop_test
    level: measure
    minutes: 1
    wait: 5
    kit: [lemon juice, a glass]
    how: Stir a drop of lemon juice into a spoonful.
    outcomes:
      - {is: flakes, says: casein was still dissolved, raises: {too-mild: strong},
         lowers: {too-warm: slight}}
      - {is: clear, says: no casein was left, lowers: {too-mild: moderate}}
    caution: [just-so-you-know]
    source: [judgement]
""",
    "causes.yaml": """\
causes:
  - id: too-mild
    title: Too little acid
    stage: acid
    prior: often
    operations: [strip]
    because: Casein stays dissolved in a mild mix.
    shows: {cloudy: usually, curd: {weak: usually, none: sometimes}}
    looks_like:
      - {cause: too-warm, tell: a drop of acid makes flakes only when acid was short,
         check: drop-test}
    source: [{ref: invented-2001, at: p. 7}]
  - id: too-warm
    title: Mixed too warm
    stage: temperature
    prior: sometimes
    operations: [strip, fat-wash]
    because: Fat melts and passes the filter.
    shows: {cloudy: sometimes, bitter: rarely}
    looks_like: [{cause: too-mild, tell: a drop of acid makes flakes there}]
    source: [practice]
  - id: too-short
    title: Too short a contact
    stage: contact
    prior: seldom
    operations: [strip]
    because: Binding takes time.
    shows: {bitter: usually}
    source: [{ref: remembered-1999, derived: true}]
    against: [{ref: invented-2001, at: p. 9, says: it does not}]
  - id: gone-off
    title: It has gone off
    stage: storage
    prior: rare
    operations: [strip, fat-wash]
    because: Something grows in it.
    shows: {gassy: usually}
    source: [judgement]
""",
    "rules.yaml": """\
rules:
  - id: weak-curd-means-mild
    title: A weak curd in a small mix
    stage: acid
    when: {all: [{curd: [weak, none]}, {mix_volume: {below: 1500}}]}
    then: {suspect: {too-mild: strong}, conclude: {haze_kind: casein}}
    because: Invented.
    source: [{ref: invented-2001, at: ch. 1}]
    examples:
      - {given: {curd: weak, mix_volume: 900 mL}, fires: true}
      - {given: {curd: firm, mix_volume: 900}, fires: false}
  - id: casein-haze-not-warm
    title: A casein haze is not a matter of warmth
    stage: temperature
    when: {haze_kind: casein}
    then: {doubt: {too-warm: moderate}, caution: [has-milk], suggest: [add-acid]}
    because: Invented.
    source: [practice]
    examples:
      - {given: {haze_kind: casein}, fires: true}
      - {given: {haze_kind: fat}, fires: false}
  - id: warm-mix
    title: The mix was warm
    stage: temperature
    when: {temperature: {at_least: 40}}
    then: {suspect: {too-warm: moderate}, conclude: {haze_kind: fat}}
    because: Invented.
    source: [judgement]
    group: warmth
    examples:
      - {given: {temperature: 40}, fires: true}
      - {given: {temperature: 20 degC}, fires: false}
  - id: very-warm-mix
    title: The mix was hot
    stage: temperature
    when: {temperature: {at_least: 60}}
    then: {suspect: {too-warm: strong}}
    because: Invented.
    source: [judgement]
    group: warmth
    examples:
      - {given: {temperature: 60}, fires: true}
      - {given: {temperature: 59}, fires: false}
  - id: fat-haze
    title: A haze of fat
    stage: temperature
    when: {all: [{haze_kind: fat}, {cloudy: yes}]}
    then: {suspect: {too-warm: slight}}
    because: Invented.
    source: [practice]
    examples:
      - {given: {haze_kind: fat, cloudy: yes}, fires: true}
      - {given: {haze_kind: fat, cloudy: no}, fires: false}
  - id: gas-is-growth
    title: Gas is growth
    stage: storage
    when: {gassy: yes}
    then: {verdict: discard, caution: [keep-cold]}
    because: Gas does not come from milk alone.
    source: [{ref: invented-2001, at: p. 99}]
    examples:
      - {given: {gassy: yes}, fires: true}
      - {given: {gassy: no}, fires: false}
  - id: hot-and-cloudy-stop
    title: Hot and cloudy
    stage: temperature
    when: {all: [{temperature: {above: 80}}, {cloudy: yes}]}
    then: {verdict: stop}
    because: Invented.
    source: [judgement]
    examples:
      - {given: {temperature: 90, cloudy: yes}, fires: true}
      - {given: {temperature: 80, cloudy: yes}, fires: false}
  - id: cold-is-fine
    title: Cold and firm
    stage: temperature
    when: {all: [{temperature: {below: 5}}, {curd: firm}]}
    then: {verdict: nothing-wrong}
    because: Invented.
    source: [judgement]
    examples:
      - {given: {temperature: 4, curd: firm}, fires: true}
      - {given: {temperature: 5, curd: firm}, fires: false}
""",
    "remedies.yaml": """\
remedies:
  - id: add-acid
    title: Add a little acid
    for: this-batch
    stage: acid
    cures: {too-mild: usually}
    do: Stir acid into the {mix_volume} of mix.
    otherwise: Stir in acid, 1 ml per 250 ml.
    minutes: 10
    wait: 60
    trial: 1 ml in 50 ml first.
    expect: clears in an hour, out of {mix_volume}
    risks: [{to: flavour, text: sourer}]
    source: [practice]
  - id: chill-and-filter
    title: Chill and filter again
    for: this-batch
    stage: chill
    cures: {too-warm: usually, too-mild: rarely}
    do: Chill overnight and filter cold.
    minutes: 15
    wait: 600
    source: [{ref: invented-2001, at: p. 8}]
  - id: second-pass
    title: A second pass
    for: this-batch
    stage: contact
    cures: {too-short: usually}
    do: Pass it through fresh curd.
    minutes: 30
    when: {operation: [strip, several]}
    source: [practice]
  - {id: more-acid-next, title: More acid, for: next-batch, stage: acid, cures: {too-mild: always},
     do: Use more acid., minutes: 1, source: [practice]}
  - {id: cooler-next, title: Mix cooler, for: next-batch, stage: temperature,
     cures: {too-warm: always},
     do: Mix it cold., minutes: 1, source: [practice]}
  - {id: longer-next, title: Longer contact, for: next-batch, stage: contact,
     cures: {too-short: always},
     do: Wait longer., minutes: 1, source: [practice]}
  - {id: cleaner-next, title: Cleaner bottles, for: next-batch, stage: storage,
     cures: {gone-off: usually},
     do: Scald the bottles., minutes: 5, source: [judgement]}
""",
}


def write_small(folder: Path, files: dict[str, str] | None = None) -> Path:
    """Write the base into a folder (made if need be) and give the folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in (FILES if files is None else files).items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def load_small(folder: Path) -> Base:
    """The small base, written, checked clean, and built."""
    base, problems = check_folders([write_small(folder)])
    assert base is not None, "\n".join(map(str, problems))
    return base


@lru_cache(maxsize=1)
def small_base() -> Base:
    """The small base, built once."""
    with TemporaryDirectory() as folder:
        return load_small(Path(folder) / "base")


def changed(*changes: tuple[str, str], more: str = "") -> dict[str, str]:
    """The files with each text (found exactly once) put in place of another, and one file more."""
    files = dict(FILES)
    for old, new in changes:
        holders = [name for name, text in files.items() if old in text]
        assert len(holders) == 1, f"{old!r} stands in {holders}"
        name = holders[0]
        assert files[name].count(old) == 1, f"{old!r} stands several times in {name}"
        files[name] = files[name].replace(old, new)
    if more:
        files["more.yaml"] = more
    return files


def checked(folder: Path, files: dict[str, str]) -> list[Problem]:
    """What a check of these files finds."""
    return check_folders([write_small(folder, files)])[1]


def codes(problems: list[Problem]) -> set[str]:
    """The codes of problems, without notes."""
    return {p.code for p in problems if p.severity == "error"}
