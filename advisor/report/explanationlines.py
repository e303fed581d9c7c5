"""The explanations on demand in short plain lines, from their data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.report.explain import short
from advisor.report.explanationwords import (
    chance_words,
    effort_words,
    first_sentence,
    gist_words,
    leading_words,
    lower_first,
    odds_words,
    ordinal,
    remedy_words,
    standing_words,
    upper_first,
)
from advisor.report.model import Block, Line

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

__all__ = ["explanation_blocks"]

_MOST_ROWS = 5
_MOST_RAISES = 4
_MOST_OPEN = 5  # questions, the nearest answer of each
_MOST_GIVEN = 4
_NAMED = 3  # in one sentence
_FIRM = ("discard", "stop")
_STANDS_FIRST = "That stands whatever the cause is. Do as it says first."


def explanation_blocks(data: Mapping[str, Any]) -> Iterator[Block]:
    """A block under its heading for each explanation in ``data`` (see ``explanations``)."""
    for each in data.get("why_not", ()):
        yield Block("WHY NOT", tuple(_why_not(each)))
    for each in data.get("rather", ()):
        yield Block("THIS RATHER THAN THAT", tuple(_rather(each)))
    if "what_changes" in data:
        yield Block("WHAT WOULD CHANGE THIS", tuple(_what_changes(data["what_changes"])))
    if "what_if" in data:
        yield Block("WHAT IF", tuple(_what_if(data["what_if"])))
    if "without_practice" in data:
        yield Block("WITHOUT COMMON PRACTICE", tuple(_without(data["without_practice"])))


# Why not.


def _why_not(data: Mapping[str, Any]) -> Iterator[Line]:
    sure, title = standing_words(data), upper_first(short(data["title"]))
    if data["place"] == 1:
        yield Line(f"{title}. It is what stands first: {sure}.", tone="strong")
    else:
        first = data["first"]
        yield Line(f"{title}. It stands {ordinal(data['place'])}: {sure}.", tone="strong")
        leads = lower_first(short(first["title"]))
        yield Line(f"First of {data['of']} is {leads}: {standing_words(first)}.")
    rows = [r for r in data["ledger"] if r["counted"] and abs(r["weight"]) >= 1.0]
    against = [r for r in rows if r["weight"] < 0.0]
    yield from _weights("Against it:", against, "Nothing much speaks against it.")
    yield from _weights("For it:", [r for r in rows if r["weight"] > 0.0], "Nothing speaks for it.")
    missed = data["missed"][:_MOST_ROWS]
    if missed:
        yield Line("What would speak for it, but was found otherwise:")
        for each in missed:
            yield Line(f"{each['title']} ({each['word']})", depth=1)
            yield Line("; ".join(_failed(each["tests"])), depth=2, tone="quiet")
    raises = data["could_raise"][:_MOST_RAISES]
    if raises:
        yield Line("What could still raise it:")
        for each in raises:
            first = " and put it first" if each["first"] and data["place"] != 1 else ""
            yield Line(
                f"{upper_first(each['label'])}: {each['answer']}."
                f" It would be {standing_words(each)}{first}.",
                effort_words(each),
                depth=1,
            )
    else:
        yield Line("Nothing that can still be told would raise it much.")


def _weights(heading: str, rows: list[Mapping[str, Any]], otherwise: str) -> Iterator[Line]:
    if not rows:
        yield Line(otherwise)
        return
    yield Line(heading)
    rows = sorted(rows, key=lambda r: -abs(r["weight"]))
    for row in rows[:_MOST_ROWS]:
        sign = "+" if row["weight"] > 0.0 else "-"
        tone = "for" if row["weight"] > 0.0 else "against"
        yield Line(f"{sign} {row['word']:<9} {row['title']}", depth=1, tone=tone)
    if len(rows) > _MOST_ROWS:
        yield Line(f"and {len(rows) - _MOST_ROWS} more", depth=1, tone="quiet")


def _failed(tests: list[Mapping[str, Any]]) -> Iterator[str]:
    """What a rule asks for and what was found; the title of a table's line says what it asks."""
    for test in tests:
        if len(tests) == 1 and test["state"] == "fails":
            yield f"here: {test['found']}"
            continue
        if test["state"] == "fails":
            yield f"needs {test['test']}; here: {test['found']}"
        elif test["state"] == "open":
            yield f"needs {test['test']}; not known"


# Rather.


def _rather(data: Mapping[str, Any]) -> Iterator[Line]:
    one, other = data["one"], data["other"]
    apart = data["apart_decibans"]
    odds = odds_words(abs(apart))
    both = f"{standing_words(one)}, against {standing_words(other)}"
    names = [short(each["title"]) for each in (one, other)]
    yield Line(f"{upper_first(names[0])}, rather than {lower_first(names[1])}.", tone="strong")
    if one["cause"] == other["cause"]:
        yield Line("These are one and the same cause.")
        return
    if apart < 0.0:
        yield Line(f"It is the other way round: {both}; {odds}.")
    elif apart == 0.0:
        yield Line(f"They stand alike: {standing_words(one)} each.")
    else:
        yield Line(f"{upper_first(both)}; {odds}.")
    speaks = [r for r in data["rows"] if abs(r["apart"]) >= 1.0]
    yield Line("For the first: " + _list([r for r in speaks if r["apart"] > 0.0]), tone="for")
    yield Line(
        "For the second: " + _list([r for r in speaks if r["apart"] < 0.0]), tone="against"
    )
    turn = next(iter(data["turns"]), None)
    if turn is None:
        yield Line("No single answer would turn it round.")
    elif turn["was"] is None:
        yield Line(
            f"It would turn round with {turn['label']}: {turn['answer']}.",
            effort_words(turn),
        )
    else:
        yield Line(
            "Nothing still to be told would turn it round;"
            f" {turn['label']}: {turn['answer']} (you said: {turn['was']}) would."
        )


def _list(rows: list[Mapping[str, Any]]) -> str:
    if not rows:
        return "nothing."
    said = [f"{lower_first(r['title'])} ({r['word']})" for r in rows[:_NAMED]]
    more = f"; and {len(rows) - _NAMED} more" if len(rows) > _NAMED else ""
    return "; ".join(said) + more + "."


# What changes.


def _what_changes(data: Mapping[str, Any]) -> Iterator[Line]:
    now = data["now"]
    yield Line("Now: " + gist_words(now))
    firm = now["verdict"] in _FIRM
    if firm:
        yield Line(_STANDS_FIRST, tone="stop")
    flips = data["flips"]
    still = _one_each(f for f in flips if f["was"] is None)
    given = _one_each(f for f in flips if f["was"] is not None)
    if still:
        yield Line("If you find:")
        for each in still[:_MOST_OPEN]:
            chance = f"chance {chance_words(each['chance'])}, {effort_words(each)}"
            yield Line(f"{upper_first(each['label'])}: {each['answer']}", chance, depth=1)
            yield Line(_then(each, now), depth=2)
    if given:
        wrong = "Only if this was told wrongly:" if firm else "If this was not so:"
        yield Line(wrong)
        for each in given[:_MOST_GIVEN]:
            yield Line(
                f"{upper_first(each['label'])}: {each['answer']} instead of {_was(each)}",
                f"chance {chance_words(each['chance'])}",
                depth=1,
            )
            yield Line(_then(each, now), depth=2)
    if flips:
        yield Line(
            f"{data['flips_in_all']} of {data['tried']} answers that were tried one by one"
            " would change it; the likeliest are named.",
            tone="quiet",
        )
        return
    yield Line(f"No single answer would change it: {data['tried']} were tried one by one.")
    for pair in data["pairs"]:
        both = " and ".join(f"{a['label']}: {a['answer']}" for a in pair["answers"])
        yield Line(f"{upper_first(both)}, both", f"chance {chance_words(pair['chance'])}", depth=1)
        yield Line(_then(pair, now), depth=2)


def _one_each(flips: Iterable[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """The nearest flip of each question."""
    found: dict[str, Mapping[str, Any]] = {}
    for flip in flips:
        found.setdefault(flip["finding"], flip)
    return list(found.values())


def _was(flip: Mapping[str, Any]) -> str:
    return f"{flip['was']} (which was assumed)" if flip["basis"] == "assumed" else flip["was"]


def _then(flip: Mapping[str, Any], now: Mapping[str, Any]) -> str:
    """What the advice would come to, as far as it differs."""
    after = flip["advice"]
    changes = flip["changes"]
    if after["verdict"] in (*_FIRM, "nothing-wrong"):
        if "verdict" in changes:
            return f"Then: {lower_first(after['text'])}"
        first = f"but first: {remedy_words(after)}" if after["remedy"] else "and nothing to try"
        return f"Then the same verdict, {first}."
    parts = []
    if "cause" in changes or "verdict" in changes:
        parts.append(_leads(after))
    elif after["cause"] is None:
        parts.append("Still nothing listed here leads")
    else:
        parts.append(f"The same cause ({chance_words(after['probability'])})")
    if "remedy" in changes:
        parts.append(f"to try first: {remedy_words(after)}")
    elif "stage" in changes and after["verdict"] == "cause":
        parts.append(f"stage to change: {after['stage']}")
    return "; ".join(parts) + "."


def _leads(after: Mapping[str, Any]) -> str:
    if after["verdict"] == "open":
        return f"Then it is open: {leading_words(after)}"
    return f"Then {lower_first(short(after['title']))}: {standing_words(after)}"


# What if.


def _what_if(data: Mapping[str, Any]) -> Iterator[Line]:
    for each in data["answers"]:
        before = f" (now: {each['before']})" if each["before"] else ""
        after = each["after"] or "not said"
        yield Line(f"{upper_first(each['label'])}: {after}{before}", tone="strong")
    if not data["answers"]:
        yield Line("That is what was said already.", tone="strong")
    if data["set_aside"]:
        labels = "; ".join(e["label"] for e in data["set_aside"])
        yield Line(f"Set aside, because it would not be asked then: {labels}.", tone="quiet")
    if data["nothing_changes"]:
        yield Line(f"Nothing would change: {gist_words(data['before'])}")
        return
    if data["changes"]:
        yield Line("Now: " + gist_words(data["before"]))
        yield Line("Then: " + gist_words(data["after"]))
    else:
        yield Line("The advice would stay: " + gist_words(data["after"]))
    yield from _movements(data["moved"])
    yield from _remedies(data)
    yield from _figures(data["figures"])
    for mark, tone, key in (
        ("Mind as well", "stop", "cautions_gained"),
        ("No longer said", "quiet", "cautions_lost"),
    ):
        for each in data[key]:
            if each["level"] != "note":
                yield Line(f"{mark}: {first_sentence(each['text'])}", tone=tone)


def _figures(rows: list[Mapping[str, Any]]) -> Iterator[Line]:
    """Calculated amounts that differ, those that remedies name before the rest."""
    if not rows:
        return
    yield Line("What would be worked out:")
    for each in sorted(rows, key=lambda r: not r["dose"])[:_MOST_ROWS]:
        one, two = (v["text"] if v else "not known" for v in (each["before"], each["after"]))
        yield Line(f"{upper_first(each['label'])}: {two} (now: {one})", depth=1)
    if len(rows) > _MOST_ROWS:
        yield Line(f"and {len(rows) - _MOST_ROWS} more", depth=1, tone="quiet")


def _remedies(data: Mapping[str, Any]) -> Iterator[Line]:
    """Remedies that the other advice has and this one has not, and the other way round."""
    before = [r["id"] for r in data["remedies_before"]]
    after = [r["id"] for r in data["remedies_after"]]
    gained = [r["title"] for r in data["remedies_after"] if r["id"] not in before]
    lost = [r["title"] for r in data["remedies_before"] if r["id"] not in after]
    if gained:
        yield Line(f"Remedies that come in: {_titles(gained)}.")
    if lost:
        yield Line(f"Remedies that drop out: {_titles(lost)}.")


def _movements(rows: list[Mapping[str, Any]]) -> Iterator[Line]:
    if not rows:
        return
    yield Line("How the causes would stand:")
    for each in rows[:_MOST_ROWS]:
        yield Line(
            f"{short(each['title'])}: {each['words']}, {chance_words(each['after'])}"
            f" (now: {chance_words(each['before'])})",
            depth=1,
        )
    if len(rows) > _MOST_ROWS:
        yield Line(f"and {len(rows) - _MOST_ROWS} more", depth=1, tone="quiet")


def _titles(titles: list[str]) -> str:
    more = f"; and {len(titles) - _NAMED} more" if len(titles) > _NAMED else ""
    return "; ".join(lower_first(t).rstrip(".") for t in titles[:_NAMED]) + more


# Without practice.


def _without(data: Mapping[str, Any]) -> Iterator[Line]:
    before, after = data["before"], data["after"]
    if before["verdict"] == "cause":
        share = {0.0: "None", 1.0: "All"}.get(data["share"]) or chance_words(data["share"])
        yield Line(
            f"{upper_first(share)} of the weight behind {lower_first(short(before['title']))}"
            " rests on practice or judgement alone."
        )
    yield Line(
        f"Rules and table rows that spoke: {data['fired']}. Left out here:"
        f" {data['fired_left_out']} whole, {data['fired_cut']} in part.",
        tone="quiet",
    )
    if data["stands"]:
        yield Line("The advice stands: " + gist_words(after), tone="strong")
    else:
        yield Line("With all: " + gist_words(before))
        yield Line("With what is published: " + gist_words(after), tone="strong")
    yield from _weights_left_out(data["left_out"], before)
    remedy = next((r for r in data["remedies"] if r["id"] == after["remedy"]), None)
    if remedy is not None:
        ground = "cites a publication" if remedy["published"] else "is common practice itself"
        yield Line(f"The remedy to try first {ground}.")
    if before["verdict"] in _FIRM and after["verdict"] != before["verdict"]:
        yield Line(
            "What says so is practice or judgement, and it holds all the same: "
            + lower_first(before["text"]),
            tone="stop",
        )
    yield Line("Cautions hold whatever they rest on.", tone="quiet")


def _weights_left_out(
    rows: list[Mapping[str, Any]], before: Mapping[str, Any]
) -> Iterator[Line]:
    mine = [r for r in rows if r["cause"] == before["cause"] and abs(r["weight"]) >= 1.0]
    if not mine:
        return
    yield from _weights(f"Left out for {lower_first(short(before['title']))}:", mine, "")
