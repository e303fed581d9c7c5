"""The base can be read, searched, published and drawn, and every link leads somewhere."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import yaml

from advisor.cli import Exit, main
from advisor.errors import AdvisorError
from advisor.knowledge import load as loading
from advisor.knowledge.load import load, shipped_folder
from advisor.report.browse.entries import entries
from advisor.report.browse.model import KINDS, plain
from advisor.report.browse.pages import MARKER, html_page, markdown_pages, write_pages
from advisor.report.browse.picture import Box, Edge, Picture, crossings, picture, svg
from advisor.report.browse.search import chosen, find, search
from advisor.report.browse.text import entry_lines
from tests.smallbase import small_base, write_small

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from advisor.knowledge.model import Base
    from advisor.report.browse.model import Entry

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def base() -> Base:
    return load()


@pytest.fixture(scope="module")
def shipped(base) -> Mapping[str, Entry]:
    return entries(base)


def test_every_record_of_the_base_is_an_entry(base, shipped):
    """Nothing that the advice may rest on is left out of the pages."""
    written = {r["id"] for _, r in _written()}
    assert written == set(shipped)
    groups = ("techniques", "choosing", "parts", "brief_findings", "brief_figures")
    assert {key for group in groups for key in getattr(base, group)} <= set(shipped)
    assert {e.kind for e in shipped.values()} == set(KINDS)


def test_every_link_leads_to_an_entry(shipped):
    """A reader never meets a dead end."""
    dead = [(e.id, link) for e in shipped.values() for link in e.links if link not in shipped]
    assert not dead


def _written() -> list[tuple[str, dict[str, Any]]]:
    """Every record as it stands in the YAML, read by another reader than ours, with its list."""
    found = []
    for file in sorted(shipped_folder().rglob("*.yaml")):
        data = yaml.load(file.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506
        for section, records in data.items():
            if isinstance(records, list):
                found += [(section, record) for record in records]
    return found


def _refs(data: Any) -> Iterator[str]:
    """Every source that is cited, at any depth."""
    if isinstance(data, dict):
        if "ref" in data:
            yield data["ref"]
        for value in data.values():
            yield from _refs(value)
    elif isinstance(data, list):
        for value in data:
            yield from _refs(value)


def test_a_source_lists_all_that_rests_on_it(base, shipped):
    """Whoever doubts a publication sees what falls with it: every citation in the files is told,
    by the source's entry, by its filter, and on the pages of both kinds."""
    resting: dict[str, set[str]] = {source: set() for source in base.sources}
    for _, record in _written():
        for ref in _refs(record):
            if ref not in ("practice", "judgement"):
                resting[ref].add(record["id"])
    assert sum(map(len, resting.values())) > 800
    html = html_page(base, shipped)
    markdown = markdown_pages(base, shipped)["sources.md"]
    for source, ids in resting.items():
        assert ids == set(shipped[source].links), source
        assert ids == {e.id for e in chosen(shipped, source=source)}, source
        article = html.partition(f'id="{source}"')[2].partition("</article>")[0]
        assert ids == set(re.findall(r'href="#([^"]+)"', article)), source
        section = markdown.partition(f'<a id="{source}"></a>')[2].partition("<a id=")[0]
        assert ids == set(re.findall(r"\]\([a-z-]+\.md#([^)]+)\)", section)), source
    assert not [source for source, ids in resting.items() if not ids]


@pytest.mark.parametrize("section", ["techniques", "choosing", "parts", "protocols"])
def test_what_chooses_and_makes_is_listed_found_and_linked(shipped, section):
    """Each is in its list, found by its title, on a page, and speaks of others with links."""
    written = [r for s, r in _written() if s == section]
    kind = section if section == "choosing" else section.removesuffix("s")
    assert [e.id for e in chosen(shipped, kind=kind)] == [r["id"] for r in written]
    for record in written:
        entry = shipped[record["id"]]
        assert entry.title == record["title"]
        assert entry.links
        assert entry.id in {e.id for e in search(shipped, entry.title, 5)}


def test_a_technique_says_what_speaks_of_it_and_how_it_is_done(base, shipped):
    """Whatever a choosing rule does to a technique is on the technique's page."""
    for rule in base.choosing.values():
        for effect in rule.effects:
            if effect.target in base.techniques:
                assert rule.id in shipped[effect.target].links
                assert effect.target in shipped[rule.id].links
    for technique, protocol in base.protocols.items():
        assert protocol.id in shipped[technique].links
        assert {use.part for use in protocol.parts} <= set(shipped[protocol.id].links)


def test_a_cause_shows_its_mechanism_signs_twins_and_cures():
    """The small base's cause is laid out whole, for and against."""
    made = entries(small_base())
    cause = next(e for e in made.values() if e.kind == "cause")
    record = small_base().causes[cause.id]
    text = cause.text
    assert record.because.strip().splitlines()[0] in text
    headings = {p.heading for p in cause.parts}
    assert {"Shows", "Source"} <= headings
    assert any(h.startswith("What helps") for h in headings)


def test_filters_narrow_by_stage_symptom_and_source(base, shipped):
    """What a filter gives is exactly what the records say."""
    found = chosen(shipped, kind="cause", stage="acid")
    assert {e.id for e in found} == {c.id for c in base.causes.values() if c.stage == "acid"}
    some = next(r for r in base.rules.values() if any(c.published for c in r.source))
    ref = next(c.ref for c in some.source if c.published)
    assert some.id in {e.id for e in chosen(shipped, kind="rule", source=ref)}
    for entry in chosen(shipped, symptom="cloud-at-filter"):
        assert "cloud_at_filter" in entry.symptoms


@pytest.mark.parametrize(
    ("filters", "hint"),
    [
        ({"kind": "causes"}, "did you mean cause"),
        ({"stage": "acd"}, "did you mean acid"),
        ({"symptom": "cloud_at_filtr"}, "did you mean cloud_at_filter"),
        ({"operation": "strips"}, "did you mean strip"),
    ],
)
def test_a_filter_that_is_none_is_refused_with_a_hint(shipped, filters, hint):
    """A typing slip gives the right word, not an empty list."""
    with pytest.raises(AdvisorError, match=hint):
        chosen(shipped, **filters)


def test_a_search_finds_the_title_first_and_bends_words(shipped):
    """Words in a title beat words in a text; plural and singular are one."""
    assert "pectin-pulp-haze" in [e.id for e in search(shipped, "pectin pulp", 3)]
    assert {e.id for e in search(shipped, "acid drops")} >= {"acid-drop", "acid_drop"}


@pytest.mark.parametrize("words", ["", "  !! ", '"', "*"])
def test_a_search_without_a_word_is_refused(shipped, words):
    """Search signs alone are no search."""
    with pytest.raises(AdvisorError, match="no word"):
        search(shipped, words)


@pytest.mark.parametrize("words", ["AND ( * ) NEAR :", "x" * 5000, "пектин", "title : nothing-so"])
def test_search_signs_are_only_text(shipped, words):
    """What another search would take for a command finds what the words find."""
    assert all(e.id in shipped for e in search(shipped, words))


def test_an_id_may_be_written_with_either_dash(shipped):
    """Nobody has to remember which kind has hyphens."""
    assert find(shipped, "acid_short_casein_left").id == "acid-short-casein-left"
    assert find(shipped, "cloud-at-filter").id == "cloud_at_filter"
    with pytest.raises(AdvisorError, match="did you mean"):
        find(shipped, "acid-short-casein-lft")


def test_the_screen_keeps_to_its_width(shipped):
    """Only a single word may be longer than a line."""
    for entry in list(shipped.values())[::17]:
        for line in entry_lines(entry, 72):
            assert len(line) <= 72 or " " not in line.strip()


def test_markdown_links_resolve_to_anchors_that_exist(base, shipped):
    """Every link of every page names a page and an anchor in it."""
    pages = markdown_pages(base, shipped)
    anchors = {name: set(re.findall(r'<a id="([^"]+)"', text)) for name, text in pages.items()}
    assert sum(map(len, anchors.values())) == len(shipped)
    for name, text in pages.items():
        assert text.startswith(MARKER)
        for page, anchor in re.findall(r"(?<!\\)\]\(([a-z-]*(?:\.md)?)#([^)]+)\)", text):
            assert anchor in anchors[page or name], (name, page, anchor)


def test_the_html_page_holds_every_entry_once_and_links_inside(base, shipped):
    """One page, all anchors, no dead link, nothing fetched."""
    page = html_page(base, shipped)
    ids = re.findall(r'<article class="entry" id="([^"]+)"', page)
    assert sorted(ids) == sorted(shipped)
    anchors = set(re.findall(r' id="([^"]+)"', page))
    assert set(re.findall(r'href="#([^"]+)"', page)) <= anchors
    assert "<script" not in page


def test_pages_never_overwrite_a_strangers_file(tmp_path):
    """A file of somebody's own stays, and nothing else is written then."""
    (tmp_path / "b.md").write_text("mine", encoding="utf-8")
    with pytest.raises(AdvisorError, match="left alone"):
        write_pages(tmp_path, {"a.md": MARKER, "b.md": MARKER})
    assert not (tmp_path / "a.md").exists()
    assert (tmp_path / "b.md").read_text(encoding="utf-8") == "mine"
    (tmp_path / "b.md").write_text(MARKER, encoding="utf-8")
    write_pages(tmp_path, {"a.md": MARKER + "1", "b.md": MARKER + "2"})
    assert (tmp_path / "b.md").read_text(encoding="utf-8") == MARKER + "2"


@pytest.mark.parametrize("symptom", ["cloud_at_filter", "slush", "safety_doubt", "thin-body"])
def test_a_picture_is_valid_and_its_lines_join_boxes(base, symptom):
    """What is drawn is well-formed; boxes do not overlap; weights are the base's."""
    drawn = picture(base, symptom)
    boxes = {b.id: b for b in drawn.boxes}
    assert len(boxes) == len(drawn.boxes)
    assert all(e.start in boxes and e.end in boxes for e in drawn.edges)
    for column in (0, 1, 2):
        placed = sorted((b for b in drawn.boxes if b.column == column), key=lambda b: b.y)
        for above, below in pairwise(placed):
            assert above.y + above.height <= below.y + 0.2
    assert all(b.y >= 0 and b.y + b.height <= drawn.height for b in drawn.boxes)
    tree = ET.fromstring(svg(drawn))  # noqa: S314  (made here)
    assert tree.tag == f"{SVG}svg"
    assert len(tree.findall(f"{SVG}path")) == len(drawn.edges)
    assert len(tree.findall(f"{SVG}g")) == len(drawn.boxes)


def test_a_picture_says_each_line_in_words_and_names_its_boxes(base):
    """Every line has a title with its weight; every box and line an id of its own."""
    drawn = picture(base, "cloud_at_filter")
    tree = ET.fromstring(svg(drawn))  # noqa: S314
    lines = tree.findall(f"{SVG}path")
    told = [line.findtext(f"{SVG}title") for line in lines]
    assert sorted(told) == sorted(edge.says for edge in drawn.edges)
    assert all(re.search(r"\(\w+, [+\u2212]\d+\.\d dB\)|\(cures it \d+% of", t) for t in told)
    names = [e.get("id") for e in (*lines, *tree.findall(f"{SVG}g"))]
    assert None not in names
    assert len(set(names)) == len(names)


@pytest.mark.parametrize(
    ("symptom", "at_most"),
    [("cloud_at_filter", 700), ("cloud_on_chill", 400), ("bitter_still", 400)],
)
def test_few_lines_of_a_picture_cross(base, symptom, at_most):
    """Twelve causes stay readable: in the order of likelihood far more lines would cross."""
    drawn = picture(base, symptom)
    columns = [
        sorted((b for b in drawn.boxes if b.column == column), key=lambda b: b.y)
        for column in (0, 1, 2)
    ]
    ranked = [
        sorted(column, key=lambda b: int(b.lines[0].partition(".")[0])) if number == 1 else column
        for number, column in enumerate(columns)
    ]
    found = crossings(columns, drawn.edges)
    assert found <= at_most
    assert found < crossings(ranked, drawn.edges)
    # The strongest line of every box is drawn, whatever was left out.
    touched = {e.start for e in drawn.edges} | {e.end for e in drawn.edges}
    assert touched >= {b.id for b in drawn.boxes}


def test_a_picture_is_xml_whatever_its_texts_hold():
    """Markup and characters that no XML may hold do no harm."""
    text = 'Bad \x1b[31m & <b> "q" ]]> \x0b\ufffe\ud800 \U0001f95b --> x'
    drawn = Picture(
        title=text,
        boxes=(Box("a=yes", 0, (text,)), Box("b", 1, (text, text))),
        edges=(Edge("a=yes", "b", 5.0, 1.0, text),),
        width=1.0,
        height=1.0,
        left_out=0,
    )
    tree = ET.fromstring(svg(drawn))  # noqa: S314
    shown = tree.findtext(f"{SVG}title") or ""
    assert shown.startswith('Bad \ufffd[31m & <b> "q" ]]>')
    assert "\U0001f95b" in shown


def test_a_picture_of_no_symptom_is_refused(base):
    """A cause's name gives a hint, not an empty picture."""
    with pytest.raises(AdvisorError, match="symptom"):
        picture(base, "acid-short-casein-left")


def test_every_symptom_can_be_drawn(base):
    """No symptom is without a cause, and none breaks the drawing."""
    for finding in base.findings.values():
        if finding.symptom:
            drawn = picture(base, finding.id)
            assert any(b.column == 1 for b in drawn.boxes), finding.id


def test_the_commands_print_and_write(tmp_path, capsys):
    """list, search, show, pages and picture do their work from the command line."""
    assert main(["knowledge", "list", "cause", "--stage", "acid", "--json"]) == Exit.OK
    rows = json.loads(capsys.readouterr().out)["found"]
    assert {r["stage"] for r in rows} == {"acid"}
    assert main(["knowledge", "search", "pectin", "haze"]) == Exit.OK
    assert "pectin-pulp-haze" in capsys.readouterr().out
    assert main(["knowledge", "show", "fox-mcsweeney-1998"]) == Exit.OK
    assert "REST ON IT" in capsys.readouterr().out
    assert main(["knowledge", "show", "acid-drop", "--json"]) == Exit.OK
    assert json.loads(capsys.readouterr().out)["entries"][0]["kind"] == "check"
    assert main(["knowledge", "pages", str(tmp_path / "pages")]) == Exit.OK
    assert (tmp_path / "pages" / "knowledge.html").is_file()
    assert (tmp_path / "pages" / "index.md").is_file()
    target = tmp_path / "p.svg"
    assert main(["knowledge", "picture", "slush", "-o", str(target)]) == Exit.OK
    assert ET.parse(target).getroot().tag == f"{SVG}svg"  # noqa: S314
    missing = str(tmp_path / "no" / "p.svg")
    assert main(["knowledge", "picture", "slush", "-o", missing]) == Exit.INPUT
    assert main(["knowledge", "show", "nonsense-here"]) == Exit.INPUT
    assert "Traceback" not in capsys.readouterr().err


CHANGES = """\
cautions:
  - {id: house-log, level: note, text: Write it down., source: [practice]}
  - {id: keep-cold, level: stop, text: Keep it on ice., source: [judgement]}
rules:
  - id: house-log-a-rescue
    title: A rescue is written down
    stage: service
    when: {cloudy: yes}
    then: {caution: [house-log]}
    because: We want to know.
    source: [practice]
    examples:
      - {given: {cloudy: yes}, fires: true}
      - {given: {cloudy: no}, fires: false}
switch_off:
  - {id: second-pass, why: no paper <left>}
"""


@pytest.fixture
def changed_by_a_house(tmp_path, monkeypatch):
    """The small base with a house over it."""
    folder = write_small(tmp_path / "shipped")
    monkeypatch.setattr(loading, "shipped_folder", lambda: folder)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return write_small(tmp_path / "house", {"house.yaml": CHANGES})


def test_pages_say_what_is_the_houses(changed_by_a_house, tmp_path, capsys):
    """What a house added and replaced is marked, and what it switched off is told with why."""
    house = ["--knowledge", str(changed_by_a_house)]
    assert main(["knowledge", "pages", str(tmp_path / "pages"), *house]) == Exit.OK
    index = (tmp_path / "pages" / "index.md").read_text(encoding="utf-8")
    told = index.partition("## What the house changes")[2].partition("##")[0]
    assert told.split("\n")[2:-2] == [
        "- added: caution [house-log](cautions.md#house-log)",
        "- replaced: caution [keep-cold](cautions.md#keep-cold)",
        "- added: rule [A rescue is written down](rules-service.md#house-log-a-rescue)",
        "- switched off: remedy A second pass: no paper \\<left\\>",
    ]
    cautions = (tmp_path / "pages" / "cautions.md").read_text(encoding="utf-8")
    assert "`keep-cold` · replaced by the house" in cautions
    assert "`has-milk`\n" in cautions
    page = (tmp_path / "pages" / "knowledge.html").read_text(encoding="utf-8")
    assert "switched off: remedy A second pass: no paper &lt;left&gt;" in page
    assert page.count("by the house</strong>") == 3
    assert main(["knowledge", "pages", str(tmp_path / "plain")]) == Exit.OK
    assert "house" not in (tmp_path / "plain" / "index.md").read_text(encoding="utf-8")


def test_show_and_list_say_what_is_the_houses(changed_by_a_house, capsys):
    """On the screen and for a program; what is switched off is told as that, with its reason."""
    house = ["--knowledge", str(changed_by_a_house)]
    assert main(["knowledge", "show", "keep-cold", *house]) == Exit.OK
    assert "caution · keep-cold · replaced by the house" in capsys.readouterr().out
    assert main(["knowledge", "show", "keep-cold", "house-log", "has-milk", "--json", *house]) == 0
    shown = json.loads(capsys.readouterr().out)["entries"]
    assert [e["house"] for e in shown] == ["replaced", "added", None]
    assert main(["knowledge", "list", "caution", *house]) == Exit.OK
    assert "house-log  house log · added by the house" in capsys.readouterr().out
    assert main(["knowledge", "show", "second_pass", *house]) == Exit.INPUT
    said = capsys.readouterr().err
    assert "switched remedy second-pass off: no paper <left> [switched-off]" in said


def test_a_house_entry_is_seen_with_its_own_place(tmp_path):
    """What a house changed shows its own file."""
    demo = Path(__file__).parents[3] / "scenarios_demo" / "house"
    made = entries(load([demo]))
    assert any("house" in e.place.name for e in made.values())
    assert all(plain(row) for e in made.values() for row in e.rows())
