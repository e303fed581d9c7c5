"""A protocol on the screen, as Markdown, as JSON by its schema, and as a page that prints."""

from __future__ import annotations

import json
from html.parser import HTMLParser

import jsonschema
import pytest

from advisor.errors import AdvisorError
from advisor.report.protocol import bar_lines, comparison_report, protocol_report
from advisor.report.protocoldata import comparison_data, protocol_data, read_protocol
from advisor.report.protocolmarkdown import comparison_markdown, protocol_markdown
from advisor.report.protocolpage import comparison_page, label_page, protocol_page
from advisor.report.protocolshape import protocol_schema
from advisor.report.screen import plain_lines
from advisor.technique.protocol import compare
from tests.technique.protocol.briefs import JUICE, PUNCH, SPIRIT, base, made

_ALONE = {"meta", "br", "hr", "img", "link", "input", "rect", "line", "circle"}


class Page(HTMLParser):
    """Collects the text and what the page would fetch; fails on tags that do not close."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.fetched: list[str] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        self.fetched += [given[k] for k in ("src", "href") if k in given]
        if tag == "script":
            self.fetched.append("script")
        if tag not in _ALONE:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag not in _ALONE:
            assert self.open.pop() == tag

    def handle_data(self, data):
        self.text += data


def on_screen(protocol, **more):
    return "\n".join(plain_lines(protocol_report(base(), protocol, **more)))


@pytest.mark.parametrize("technique", sorted(base().protocols))
def test_json_meets_its_schema(technique):
    """The JSON of every protocol meets the schema that ships, and survives being written."""
    given = JUICE if technique == "centrifuge-only" else SPIRIT
    data = json.loads(json.dumps(protocol_data(base(), made(given, technique)), allow_nan=False))
    jsonschema.Draft202012Validator(protocol_schema()).validate(data)


def test_the_schema_is_a_schema_and_ships():
    """It meets the meta-schema, and the file beside the package is the same."""
    from advisor.cli.schema import schema_text

    jsonschema.Draft202012Validator.check_schema(protocol_schema())
    from pathlib import Path

    import advisor

    shipped = Path(advisor.__file__).parent / "schemas" / "protocol.schema.json"
    assert shipped.read_text(encoding="utf-8") == schema_text("protocol")


def test_a_saved_protocol_reads_back_as_itself(tmp_path):
    """Worked out again from its file, a protocol says the same in every number and word."""
    protocol = made(
        PUNCH, "strip", overrides={"milk_share": "22 %"}, batch_ml=1500.0,
        prices={"milk": 1.2}, made="2026-11-25",
    )  # fmt: skip
    file = tmp_path / "punch.json"
    data = protocol_data(base(), protocol)
    file.write_text(json.dumps(data), encoding="utf-8")
    assert protocol_data(base(), read_protocol(base(), file)) == data


@pytest.mark.parametrize(
    "text", ["", "{}", "[1, 2]", "not json", '{"version": 1}', "[" * 5000, "\x00"]
)
def test_other_files_are_refused(tmp_path, text):
    """A file that is no protocol is refused with its name, whatever it holds."""
    file = tmp_path / "other.json"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(AdvisorError) as refused:
        read_protocol(base(), file)
    assert "other.json" in str(refused.value)


def test_a_missing_file_is_refused(tmp_path):
    """So is one that is not there."""
    with pytest.raises(AdvisorError, match="cannot be read"):
        read_protocol(base(), tmp_path / "none.json")


def test_the_screen_has_everything():
    """Stops first, then what to get, steps with checks, what to expect, time, label."""
    text = on_screen(made(PUNCH, "strip"), how=True)
    order = [
        "FIRST OF ALL", "STOP: Contains milk", "GET", "STEPS", "Check:", "If not:",
        "curdwise diagnose", "WHAT TO EXPECT", "TIME", "WHAT DOES NOT SCALE",
        "TAKEN FOR GRANTED", "WHERE THE AMOUNTS COME FROM", "LABEL", "SAY AND MIND",
    ]  # fmt: skip
    places = [text.index(word) for word in order]
    assert places == sorted(places)


def test_us_measures_have_no_millilitres_to_pour():
    """In US measures volumes are ounces and temperatures Fahrenheit; weights stay grams."""
    text = on_screen(made(PUNCH, "strip"), units="us")
    steps = text[text.index("STEPS") : text.index("WHAT TO EXPECT")]
    amounts = [line for line in steps.splitlines() if "diagnose" not in line and "-a" not in line]
    assert "fl oz" in steps
    assert "°F" in steps
    assert not [line for line in amounts if " litres" in line]


def test_the_time_line_shows_every_step():
    """One bar for each step, at least one mark each, none longer than the scale."""
    protocol = made(SPIRIT, "fat-wash-then-whey")
    bars = list(bar_lines(protocol))
    assert len(bars) == len(protocol.steps)
    assert all("#" in bar and len(bar) == len(bars[0]) for bar in bars)


def test_markdown_holds_the_steps_and_the_label():
    """Markdown has a heading, numbered steps, tables, and escapes what would be markup."""
    text = protocol_markdown(base(), made({**PUNCH}, "strip", answers={"base_strength": 21}))
    assert text.startswith("# ")
    assert "1. **" in text
    assert "| finished volume |" in text
    assert "Contains milk." in text


def test_the_page_stands_alone():
    """One file: nothing is fetched, no script, every tag closes; it holds card and label."""
    page = Page(protocol_page(base(), made(PUNCH, "strip", made="2026-11-25")))
    assert page.open == []
    assert [f for f in page.fetched if not f.startswith("#")] == []
    for word in ("Steps", "CONTAINS MILK", "Use by", "2026-12", "What does not scale", "Check"):
        assert word in page.text


def test_titles_are_escaped():
    """What somebody wrote in a brief is text, not markup."""
    from advisor.technique.brief import brief_from
    from advisor.technique.protocol import protocol

    brief = brief_from(base(), PUNCH, title="<script>alert(1)</script> & punch")
    made_ = protocol(base(), brief, "strip")
    for page in (protocol_page(base(), made_), label_page(base(), made_)):
        assert "<script>" not in page
        assert "&lt;script&gt;" in page
    assert "\\<script\\>" in protocol_markdown(base(), made_)


def test_the_page_prints_without_loose_ends():
    """Print rules: steps are not broken over pages and the label has a page of its own."""
    text = protocol_page(base(), made(PUNCH, "strip"))
    assert "@page" in text
    assert "break-inside: avoid" in text
    assert "break-before: page" in text


def test_a_comparison_in_every_form():
    """Screen, Markdown, JSON and page name what differs."""
    comparison = compare(made(PUNCH, "strip"), made(PUNCH, "strip-light"))
    lines = "\n".join(plain_lines(comparison_report(comparison)))
    assert "AMOUNTS" in lines
    assert "→" in lines
    assert "| A | B |" in comparison_markdown(comparison)
    rows = comparison_data(comparison)["rows"]
    assert any(r["differs"] for r in rows)
    assert any(not r["differs"] for r in rows)
    assert Page(comparison_page(comparison)).open == []


def test_cost_is_counted_from_the_prices_given():
    """Milk at 1.20 a litre and drink at 20: the sum, the litre, the serve, and what has no price.

    Plain arithmetic on the shopping amounts.
    """
    protocol = made(
        SPIRIT, "strip", answers={"base_cost": 20}, batch_ml=1000.0, prices={"milk": 1.2}
    )
    cost = protocol.expected.cost
    drink = protocol.dose("prepare.total").amount.value / 1000.0 * 20.0
    milk = protocol.dose("strip.milk").amount.value / 1000.0 * 1.2
    assert cost.total == pytest.approx(drink + milk)
    assert cost.per_litre == pytest.approx(cost.total / (protocol.batch_ml / 1000.0))
    assert cost.per_serve == pytest.approx(cost.total / protocol.expected.serves[1])
    assert any("citric" in m for m in cost.missing)
    assert "no price for" in on_screen(protocol)


def test_the_trial_that_would_prove_it_is_on_the_page_without_its_key():
    """A page with a trial has a sheet for each taster, and nothing on a sheet names a sample."""
    from advisor.technique.protocol.bench import bench_trial

    protocol = made(PUNCH, "strip")
    trial = bench_trial(protocol, ["goal_less_astringent"], tasters=6)
    assert trial.dials == ("milk-share",)
    text = protocol_page(base(), protocol, trial=trial)
    page = Page(text)
    assert page.open == []
    assert text.count("Tasting sheet:") == 6
    for sheet in text.split("Tasting sheet:")[1:]:
        assert "milk" not in sheet.split("</ul>")[1].split("</section>")[0].lower()


def test_a_protocol_without_a_dial_to_try_says_so():
    """Nothing can be turned in a settling: refused by name."""
    from advisor.technique.protocol.bench import bench_trial

    with pytest.raises(AdvisorError) as refused:
        bench_trial(made(PUNCH, "settle-and-filter"))
    assert refused.value.code == "trial-no-dial"
