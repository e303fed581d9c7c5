"""Every rule that cites a publication has been read against it since it was last changed.

`tests/data/rules_reviewed.yaml` says of each rule what the reading found (`verdict`) and which
text was read (`by_text`, a key over its condition, conclusions, reason and sources). Whoever
changes or adds such a rule reads it once more against what the publication says, at the place
cited, and then accepts it:

    python -m tests.knowledge.test_reviewed --list
    python -m tests.knowledge.test_reviewed --accept RULE... [--verdict WORD] [--note TEXT]
"""

from __future__ import annotations

import argparse
import copy
import hashlib
import json
import sys
from pathlib import Path

import pytest

from advisor.knowledge.load import knowledge_files, shipped_folder
from advisor.knowledge.yamlread import read_yaml

RECORD = Path(__file__).resolve().parent.parent / "data" / "rules_reviewed.yaml"
SECTIONS = ("rules", "choosing")
READ = ("when", "then", "because", "source")
VERDICTS = ("supports", "derived", "practice", "judgement", "mended")
HEAD = """\
# What the rereading of each rule against its source found. Written by
# `python -m tests.knowledge.test_reviewed --accept RULE...`; see there. Verdicts: supports (the
# source says it, at that place), derived (worked out from the source), practice, judgement,
# mended (something was wrong and was put right, the note says what). `by_text` is the start of
# the SHA-256 over the rule's when, then, because and source.
"""


def written() -> dict[str, dict]:
    """The shipped rules as they are written, by id."""
    rules = {}
    for file in knowledge_files(shipped_folder()):
        data = read_yaml(file.read_bytes(), file.name).data
        for section in SECTIONS:
            rules.update({rule["id"]: rule for rule in data.get(section) or []})
    return rules


def sources() -> dict[str, dict]:
    """The sources as they are written, by id."""
    found = {}
    for file in knowledge_files(shipped_folder()):
        data = read_yaml(file.read_bytes(), file.name).data
        found.update({source["id"]: source for source in data.get("sources") or []})
    return found


def by_text(rule: dict) -> str:
    """The key of what was read: it moves with any word, number, weight or citation."""
    part = {name: rule.get(name) for name in READ}
    text = json.dumps(part, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def published(rule: dict) -> list[dict]:
    """The citations of a rule that name a publication."""
    given = rule["source"] if isinstance(rule["source"], list) else [rule["source"]]
    return [c for c in given if isinstance(c, dict) and c["ref"] not in ("practice", "judgement")]


def fitting(rule: dict) -> str:
    """The verdict that the citations of a rule claim for it."""
    cited = published(rule)
    if cited:
        return "derived" if all(c.get("derived") for c in cited) else "supports"
    words = [c if isinstance(c, str) else c["ref"] for c in rule["source"]]
    return "practice" if "practice" in words else "judgement"


def reviewed(record: Path = RECORD) -> dict[str, dict]:
    """The record of readings, by rule."""
    return dict(read_yaml(record.read_bytes(), record.name).data or {}) if record.exists() else {}


def unread(rules: dict[str, dict], read: dict[str, dict]) -> list[str]:
    """The rules with a publication that were added or changed since they were last read."""
    return [
        name
        for name, rule in rules.items()
        if published(rule) and by_text(rule) != read.get(name, {}).get("by_text")
    ]


def accept(names: list[str], verdict: str | None, note: str | None, record: Path = RECORD) -> None:
    """Rewrite the entries of the named rules, and of no others; a rule that is gone is dropped."""
    rules, read = written(), reviewed(record)
    for name in names:
        if name not in rules and name not in read:
            raise SystemExit(f"there is no rule {name}")
    for name in names:
        if name not in rules:
            del read[name]
            continue
        rule = rules[name]
        read[name] = {
            "verdict": verdict or fitting(rule),
            "by_text": by_text(rule),
            "note": read.get(name, {}).get("note", "") if note is None else note,
        }
    lines = [
        f'{name}: {{verdict: {e["verdict"]}, by_text: "{e["by_text"]}"'
        + (f", note: {json.dumps(e['note'], ensure_ascii=False)}" if e.get("note") else "")
        + "}\n"
        for name, e in sorted(read.items())
    ]
    beside = record.with_suffix(".new")
    beside.write_text(HEAD + "".join(lines), encoding="utf-8")
    beside.replace(record)


def test_every_rule_with_a_publication_was_read_against_it():
    """No rule with a publication has been added or changed since somebody read it beside that."""
    stale = unread(written(), reviewed())
    assert not stale, (
        f"{len(stale)} rule(s) were added or changed and not read against their source: "
        f"{' '.join(stale)}\nRead each beside what its source says at the place cited (statement, "
        "threshold, unit, direction, derived or not), then run\n"
        "  python -m tests.knowledge.test_reviewed --accept RULE..."
    )


def test_the_record_speaks_of_rules_that_exist():
    """A rule that was taken out leaves no reading behind."""
    gone = sorted(set(reviewed()) - set(written()))
    assert not gone, f"no longer there, accept them once more to drop them: {' '.join(gone)}"


def test_a_verdict_fits_the_citations():
    """Nothing is recorded as supported or derived that cites no publication, nor the reverse."""
    rules = written()
    for name, entry in reviewed().items():
        assert entry["verdict"] in VERDICTS, name
        rule = rules.get(name)
        if rule and entry["verdict"] != "mended" and by_text(rule) == entry["by_text"]:
            assert entry["verdict"] == fitting(rule), name
        if entry["verdict"] == "mended":
            assert entry.get("note"), f"{name}: say what was mended"


RULE = {
    "id": "x",
    "when": {"all": [{"curd": "weak"}, {"mix_ph": {"above": 4.8}}]},
    "then": {"suspect": {"acid-short": "strong"}},
    "because": "Casein is least soluble near pH 4.6.\n",
    "source": [{"ref": "zoller-1921", "at": "p. 510"}],
    "examples": [],
}


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("when", "all", 1, "mix_ph", "above"), 4.9),
        (("then", "suspect", "acid-short"), "decisive"),
        (("because",), "Casein is least soluble near pH 4.7.\n"),
        (("source", 0, "at"), "p. 511"),
        (("source", 0, "derived"), True),
    ],
)
def test_any_change_of_substance_asks_for_a_new_reading(path, value):
    """A threshold, a weight, a word, a place and a derived mark each move the key."""
    changed = copy.deepcopy(RULE)
    inner = changed
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = value
    read = {"x": {"by_text": by_text(RULE)}}
    assert unread({"x": RULE}, read) == []
    assert unread({"x": changed}, read) == ["x"]


def test_other_lines_and_rules_without_a_publication_ask_for_none():
    """An example or a title may change, and practice has nothing to be read against."""
    other = {**RULE, "title": "another", "examples": [{"given": {"curd": "weak"}, "fires": False}]}
    assert by_text(other) == by_text(RULE)
    assert unread({"y": {**RULE, "source": ["practice", "judgement"]}}, {}) == []
    assert unread({"y": {**RULE, "source": ["practice", *RULE["source"]]}}, {}) == ["y"]


def test_accepting_rewrites_the_named_rules_only(tmp_path):
    """Of two stale rules only the one that was named is taken as read, and its note is kept."""
    one, two = [name for name, rule in written().items() if published(rule)][:2]
    record = tmp_path / "record.yaml"
    record.write_text(
        "".join(
            f'{name}: {{verdict: mended, by_text: "0", note: "kept"}}\n' for name in (one, two)
        )
        + 'taken-out: {verdict: supports, by_text: "0"}\n'
    )
    accept([one, "taken-out"], None, None, record)
    rules, read = written(), reviewed(record)
    assert set(read) == {one, two}
    assert read[one] == {
        "verdict": fitting(rules[one]),
        "by_text": by_text(rules[one]),
        "note": "kept",
    }
    assert two in unread(rules, read)
    assert one not in unread(rules, read)
    with pytest.raises(SystemExit, match="there is no rule"):
        accept(["never-was"], None, None, record)


def main(argv: list[str] | None = None) -> int:
    """List what has not been read, or take the named rules as read."""
    parser = argparse.ArgumentParser(prog="python -m tests.knowledge.test_reviewed")
    parser.add_argument("--list", action="store_true", help="show what was not read, with sources")
    parser.add_argument("--accept", nargs="+", metavar="RULE", help="these were read")
    parser.add_argument("--verdict", choices=VERDICTS, help="left out: what the citations claim")
    parser.add_argument("--note", help="what was found, in a few words")
    asked = parser.parse_args(argv)
    if asked.accept:
        accept(asked.accept, asked.verdict, asked.note)
    if not asked.list:
        return 0
    rules, read, known = written(), reviewed(), sources()
    stale = unread(rules, read)
    for name in stale:
        rule = rules[name]
        sys.stdout.write(f"{name}{'' if name in read else ' (new)'}\n")
        sys.stdout.write(f"  when {json.dumps(rule['when'], ensure_ascii=False)}\n")
        sys.stdout.write(f"  then {json.dumps(rule['then'], ensure_ascii=False)}\n")
        sys.stdout.write(f"  because {' '.join(rule['because'].split())}\n")
        for cited in published(rule):
            source = known.get(cited["ref"], {})
            sys.stdout.write(
                f"  {cited['ref']} at {cited.get('at', '-')}"
                f"{' (derived)' if cited.get('derived') else ''}: {source.get('title', '?')}"
                f" [{source.get('mark', '?')}] {source.get('note', '')}\n"
            )
    gone = sorted(set(read) - set(rules))
    sys.stdout.write(f"{len(stale)} to read; {len(gone)} gone {' '.join(gone)}\n")
    return 1 if stale or gone else 0


if __name__ == "__main__":
    raise SystemExit(main())
