"""Pages are self-contained, escape what they are given, and never overstate a share."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from jinja2 import UndefinedError

from advisor.report import html
from advisor.report.html import share, signed

_TEMPLATES = Path(html.__file__).parent / "templates"


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0 %"), (0.004, "< 1 %"), (0.5, "50 %"), (0.996, "> 99 %"), (1.0, "100 %"), (None, "–")],
)
def test_a_share_never_rounds_to_a_certainty(value, text):
    """Only true zero and true one are written as 0 % and 100 %."""
    assert share(value) == text


def test_a_signed_number_shows_its_sign():
    """Weights are read as for or against at a glance."""
    assert (signed(4.77), signed(-2.0)) == ("+4.8", "\N{MINUS SIGN}2.0")


@pytest.mark.parametrize("template", sorted(p.name for p in _TEMPLATES.glob("*.html")))
def test_no_template_fetches_or_runs_anything(template):
    """A page works from a file, without a network: no script, no address, no import."""
    text = (_TEMPLATES / template).read_text(encoding="utf-8")
    assert not re.search(r"<script|https?://|@import|<link|url\(", text)


def test_a_name_that_is_missing_is_an_error_not_a_gap():
    """A page with a hole in it is never made."""
    with pytest.raises(UndefinedError):
        html.render("base.html", title="x")


def test_what_a_page_is_given_is_escaped():
    """A story with angle brackets stays text."""
    page = html.render("base.html", title="<b>x</b>", version="1", knowledge="", date="")
    assert "<b>x</b>" not in page
    assert "&lt;b&gt;x&lt;/b&gt;" in page
