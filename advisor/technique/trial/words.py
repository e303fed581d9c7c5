"""What a judgement means, in plain words that claim no more than the answers do."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.science.tasting import DPrime
    from advisor.technique.trial.judge import Comparison, Judgement, Overall
    from advisor.technique.trial.model import Trial

__all__ = [
    "conclusion",
    "limits",
    "said_comparison",
    "said_d",
    "said_overall",
    "said_p",
    "size_word",
]

_SIZES = ((0.5, "hardly there"), (1.0, "slight"), (1.5, "noticeable"), (2.5, "clear"))


def size_word(d: float) -> str:
    """A d' in a word (judgement; at 1, three pairs in four are told apart in a paired test)."""
    return next((word for limit, word in _SIZES if d < limit), "plain to nearly everybody")


def said_p(p: float, how: str = "exact") -> str:
    """A p-value: never rounded to 0, and marked with how it was come by when not counted."""
    text = f"{p:.2g}" if p >= 1e-4 else f"{p:.1e}"
    return f"p = {text}" if how == "exact" else f"p = {text} ({how})"


def said_d(d: DPrime) -> str:
    """d' and its interval."""
    high = "no upper limit" if d.high is None else f"{d.high:.1f}"
    value = "above 3" if d.value is None else f"{d.value:.1f}"
    joint = f"{d.low:.1f} to {high}" if d.high is not None else f"{d.low:.1f} or more, {high}"
    return f"d' {value} (95 %: {joint})"


def said_comparison(trial: Trial, one: Comparison) -> str:
    """One comparison in a few sentences."""
    if not one.flights:
        return f"{one.title}: nobody has answered."
    counted = f"{_counted(trial, one)}, {said_p(one.p, 'exact' if one.exact else 'drawn')}"
    many = len(trial.treated) > 1
    if many:
        counted += f"; {said_p(one.adjusted)} as one of {len(trial.treated)} samples (Holm)"
    if one.found:
        return f"{one.title}: told from the control ({counted}). {_how_large(one)}"
    return f"{one.title}: no difference was shown ({counted}). {_not_shown(trial, one)}"


def _counted(trial: Trial, one: Comparison) -> str:
    if trial.method.kind == "pick" and trial.test != "paired":
        return f"{one.right} of {one.flights} right"
    if trial.foretold == 0:
        way = "one way"
    else:
        way = f"{'more' if trial.foretold > 0 else 'less'} {trial.asked.title}"
    ties = f", {one.ties} tied" if one.ties else ""
    return f"{one.right} of {one.flights} {way}{ties}"


def _how_large(one: Comparison) -> str:
    word = size_word(4.0 if one.d.value is None else one.d.value)
    text = f"Size: {said_d(one.d)}, {word}."
    if one.difference is not None:
        gap = one.difference
        text += f" Scores: {gap.value:.1f} apart ({gap.low:.1f} to {gap.high:.1f})."
    if one.d.low < 0.5:
        text += " The interval reaches down to hardly any difference: do not build on its size."
    return text


def _not_shown(trial: Trial, one: Comparison) -> str:
    texts = []
    if one.fewer:
        texts.append("Fewer were right than guessing gives: look whether cups were mixed up.")
    if one.reversed:
        texts.append(
            "Most answers went the other way than foretold. A one-sided test cannot prove that: if "
            "it matters, plan a new trial for it."
        )
        if one.d.high:
            texts.append(f"The foretold way, a difference of up to d' {one.d.high:.1f} still fits.")
    elif one.d.high is None:
        texts.append("The answers fit any difference, however large.")
    else:
        texts.append(
            f"That is no proof of sameness: a difference of up to d' {one.d.high:.1f} "
            f"({size_word(one.d.high)}) still fits the answers."
        )
        if one.d.high < trial.wanted and not one.fewer:
            texts.append(
                f"It is smaller than the d' {trial.wanted:g} that matters to you, at 95 %."
            )
    if one.finds is None or one.finds > trial.wanted:
        texts.append(_power(trial, one))
    return " ".join(texts)


def _power(trial: Trial, one: Comparison) -> str:
    flights = "1 flight" if one.flights == 1 else f"{one.flights} flights"
    if one.power == 0.0:
        return f"With {flights} no answers at all could have shown one."
    chance = f"{100 * one.power:.0f} %" if one.power >= 0.01 else "less than 1 %"
    text = f"With {flights} a difference of d' {trial.wanted:g} is found with {chance} chance"
    return text + (f"; 8 times in 10 only from d' {one.finds:.1f}." if one.finds else ".")


def said_overall(trial: Trial, one: Overall) -> str:
    """A test over all samples in a sentence."""
    verdict = "yes" if one.p <= trial.alpha else "not shown"
    text = f"{one.what[:1].upper()}{one.what[1:]}: {verdict} ({said_p(one.p, one.how)}"
    if not one.exact and one.error:
        text += f", error of the draw {one.error:.1g}"
    return text + ")."


def conclusion(judgement: Judgement) -> str:
    """The whole in one sentence or two."""
    trial = judgement.trial
    who = _who(judgement)
    found = [c for c in judgement.comparisons if c.found]
    trend = [o for o in judgement.overall if o.id.startswith("page") and o.p <= trial.alpha]
    if found:
        names = "; ".join(c.title for c in found)
        return f"{who} told {'this' if len(found) == 1 else 'these'} from the control: {names}."
    if trend:
        return (
            f"{who} ranked the cups in the foretold order more often than chance would "
            f"({said_p(trend[0].p, trend[0].how)}), but no single sample stands out from the "
            "control."
        )
    overall = [o for o in judgement.overall if o.id in ("friedman", "any difference")]
    if overall and overall[0].p <= trial.alpha:
        return f"{who} found some difference between the samples, but not which one it is."
    highs = [c.d.high for c in judgement.comparisons]
    odd = any(c.reversed or c.fewer for c in judgement.comparisons)
    if not odd and all(h is not None and h < trial.wanted for h in highs):
        return (
            f"{who} showed no difference, and one of d' {trial.wanted:g}, the size that matters, "
            "no longer fits the answers."
        )
    return (
        f"{who} showed no difference. That does not prove that there is none: see what this trial "
        "could have found."
    )


def _who(judgement: Judgement) -> str:
    trial = judgement.trial
    if judgement.tasters == 1:
        return "This one taster"
    if trial.repeats > 1:
        return f"These {judgement.tasters} tasters"
    return f"The panel of {judgement.tasters}"


def limits(judgement: Judgement) -> tuple[str, ...]:
    """What the answers cannot show, whatever they say."""
    trial = judgement.trial
    texts = []
    if judgement.tasters == 1:
        texts.append(
            "One person tasted. This can show that this person tells the cups apart, today, in "
            "these batches. It says nothing of what guests would notice or like."
        )
        if trial.alone:
            texts.append(
                "Nobody else shuffled the cups: a glimpse of a label, a fill line or a colour "
                "would look just like tasting a difference."
            )
    elif trial.repeats > 1:
        texts.append(
            f"{judgement.tasters} people answered {judgement.answered} flights. Repeats prove it "
            "for these people; only more people prove it for guests."
        )
    elif judgement.tasters < 12:
        texts.append("A panel this small speaks for itself more than for your guests.")
    if judgement.answered < judgement.flights:
        missing = judgement.flights - judgement.answered
        texts.append(
            f"{missing} of {judgement.flights} flights are not answered; they were left out. Do "
            "not stop early because the answers please you: that makes chance look like proof."
        )
    if trial.method.kind != "pick" or trial.test == "paired":
        texts.append(
            f"It was about {trial.asked.title} only; it does not say which drink is better."
        )
    else:
        texts.append(
            f"A {trial.method.title} asks whether cups differ, not in what, nor which is better."
        )
    texts.append("One batch was made of each sample: another batch may differ by itself.")
    return tuple(texts)
