"""``curdwise work acid``: pH of a mix, dose to a pH, a reading judged, a titration fitted."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from advisor.cli.work.curdling import contradicts, curdles
from advisor.cli.work.doses import acid_inputs, middle, pairs
from advisor.cli.work.job import job
from advisor.cli.work.options import amount, kind, shared
from advisor.cli.work.sheet import Sheet, contains
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from advisor.cli.work.plots import Curve, Series
    from advisor.science.estimate import Estimate

    Number = Estimate | float

__all__ = ["acid", "curdling_levels"]

_BATCH = ("drink", "drink_strength", "milk", "milk_kind")
_MILK = ("at", "own_acid", "buffering")
_OVER = 5.0  # times the need; a published recipe at 11 times is the warning case
_SCALE = "pH as if the alcohol were water; a strip or meter reads higher."


@click.group()
def acid() -> None:
    """Acid and pH of milk and drink together."""


def curdling_levels(
    milk_kind: str, temperature: float, strength: float
) -> tuple[tuple[str, float], ...]:
    """The curdling window of a plot; empty for a drink that makes no curd."""
    from advisor.science.curd import onset_ph
    from advisor.science.milk_buffer import coagulation_ph
    from advisor.science.milks import milk

    if milk(milk_kind).curd == "no":
        return ()
    return (
        ("first flakes below", onset_ph(temperature, milk_kind, strength)),
        ("full split below", coagulation_ph(temperature, milk_kind)),
    )


@job(acid, name="mix", plots=True)
@shared(*_BATCH, "acid", "dose", *_MILK, must=("drink", "milk", "acid"))
def mix(acid_kind: str, dose: dict[str, Number] | None, **batch: Any) -> Sheet:
    """pH of drink, milk and acid together, whether it splits, and how far over or under it is.

    \b
    curdwise work acid mix --drink "750 ml" --strength 38 --milk "200 ml" \\
        --acid lemon-juice --dose "1 oz"
    curdwise work acid mix --drink "1 L" --milk "250 ml" --acid citric --dose "2.25 g" --plot
    """
    given = batch | acid_inputs(acid_kind, dose)
    sheet = Sheet()
    sheet.figure("acid.mix_ph", **given)
    curdles(sheet, given)
    if given.get("drink_strength") is not None:
        sheet.figure("acid.expected_reading", **given)
    sheet.figure("acid.per_litre_milk", **given)
    sheet.figure_if_it_holds("acid.excess", unit="times", **given)
    sheet.notes += _over(sheet)
    sheet.figure_if_it_holds("acid.still_needed_citric", **given)
    sheet.figure_if_it_holds("acid.still_needed_juice", **given)
    sheet.notes += [_SCALE, contains(given.get("milk_kind"))]
    sheet.curve = lambda: _titration(given)
    return sheet


def _over(sheet: Sheet) -> list[str]:
    """A word when there is far too much acid."""
    from advisor.science.estimate import Estimate

    found = sheet.lines[-1].value
    if sheet.lines[-1].key != "acid_excess" or not isinstance(found, Estimate):
        return []
    if found.value <= _OVER:
        return []
    return [f"More than about {_OVER:g} times the need is over-acid (common practice, no source)."]


def _titration(given: dict[str, Any]) -> Curve:
    """pH of this mix against the dose of its acid, everything else as it is."""
    from advisor.cli.work.plots import Curve, Series, curve_of
    from advisor.science.acids import acidulant

    item = acidulant(given["acid_kind"])
    name, unit = ("acid_g", "g") if item.form == "powder" else ("acid_ml", "ml")
    if not item.acids:
        raise AdvisorError(
            "plot", "without an acid there is no dose to draw the pH against", where="--plot"
        )
    dose = middle(given.get(name) or given.get("acid_g") or 0.0)
    if name == "acid_ml" and given.get("acid_ml") is None:
        dose /= item.density
    fixed = {
        k: v for k, v in given.items() if k not in ("acid_g", "acid_ml") and v is not None
    }

    def ph(at: float) -> Estimate:
        return Sheet().number("acid.mix_ph", **fixed, **{name: at})

    most = 2.0 * dose or 0.02 * middle(given["milk_ml"])
    if name == "acid_ml":
        most = min(most, middle(given["drink_ml"]))
    line = curve_of("pH of the mix", 0.0, most, ph, points=31)
    here = Series("this mix", (dose,), (ph(dose).value,), dots=True)
    strength = 0.0
    if given.get("drink_strength") is not None:
        strength = Sheet().number("batch.mix_strength", **given).value
    levels = curdling_levels(
        given.get("milk_kind") or "whole", middle(given.get("mix_temperature") or 20.0), strength
    )
    return Curve(
        "Titration of this mix", f"{item.title}, {unit}", "pH", (line, here), levels
    )


@job(acid, name="dose")
@shared("milk", "milk_kind", "at", "buffering", must=("milk",))
@kind("--acid", "acid_kind", "acid", "Acid or juice; citric if not said", default="citric")
@amount("--to", "target_ph", "pH", "Wanted pH; that of a full split if not said.")
def dose(
    milk_ml: Number, milk_kind: str | None, mix_temperature: Number | None,
    milk_buffering: Number | None, acid_kind: str, target_ph: Number | None,
) -> Sheet:
    """Acid that takes milk to a pH, cold or hot, for a drink without acid of its own.

    \b
    curdwise work acid dose --milk "1 L"
    curdwise work acid dose --milk "250 ml" --milk-kind skim --acid lemon-juice
    curdwise work acid dose --milk "1 L" --at 75 --acid citric-monohydrate --to 5.35
    """
    from advisor.science.acids import acidulant
    from advisor.science.batch_dose import BALANCE, needed_citric
    from advisor.science.estimate import Estimate, propagate
    from advisor.science.milk_buffer import coagulation_ph, dose_to_ph, supply
    from advisor.science.milks import milk
    from advisor.science.registry import get

    item = acidulant(acid_kind)
    if not item.acids:
        raise AdvisorError("word", "a dose needs an acid, got 'none'", where="--acid")
    unit = "g" if item.form == "powder" else "mL"
    content = Estimate(1.0, 1.0 - item.spread, 1.0 + item.spread)
    temperature = 20.0 if mix_temperature is None else mix_temperature
    of = milk_kind or "whole"
    sheet = Sheet()
    if target_ph is not None:
        half = milk(of).spread
        scale = milk_buffering or Estimate(1.0, 1.0 - half, 1.0 + half)
        amount = propagate(
            lambda milk, ph, temperature, scale, content: (
                milk / 1000.0
                * dose_to_ph(of, acid_kind, ph, temperature=temperature, scale=scale) / content
            ),
            {"milk": milk_ml, "ph": target_ph, "temperature": temperature, "scale": scale,
             "content": content},
            unit=unit,
        )
        sheet.add("dose", f"{item.title} to pH {middle(target_ph):g}", _not_below(amount),
                  formula="hydrogen ions the milk takes up to that pH / those a g (ml) gives there",
                  source=f"{BALANCE}; {item.source}")
    else:
        target = coagulation_ph(middle(temperature), of)
        gives = supply(item, 1.0, target)
        if gives <= 0.0:
            raise ValueError(f"acid kind is {acid_kind!r}; it cannot bring milk to pH {target:g}")
        per = supply(acidulant("citric"), 1.0, target) / gives
        base: dict[str, Any] = {
            "milk_ml": milk_ml, "milk_kind": milk_kind, "mix_temperature": mix_temperature,
            "milk_buffering": milk_buffering,
        }
        calc = get("acid.next_dose_citric")
        for key, title, grams, how in (
            ("dose", f"{item.title}, just enough", needed_citric(**base),
             "citric acid that takes the milk to its working pH, by hydrogen ions at that pH"),
            ("usual_dose", f"{item.title}, usual dose",
             Sheet().number("acid.next_dose_citric", **base), calc.formula),
        ):
            amount = propagate(
                lambda grams, content: grams * per / content,
                {"grams": grams, "content": content}, unit=unit,
            )
            sheet.add(key, title, _not_below(amount), formula=how,
                      source=f"{calc.source}; {item.source}")
        sheet.notes.append(f"Full split at pH {target:.1f} at this temperature.")
    sheet.notes.append("A drink with acid of its own needs less: see acid mix.")
    return sheet


def _not_below(given: Estimate) -> Estimate:
    """A dose is not negative."""
    from advisor.science.estimate import Estimate

    return Estimate(given.value, max(0.0, given.low), given.high, given.unit)


@job(acid, name="reading")
@amount("--reading", "strip_ph", "pH", "What the strip or meter shows.", required=True)
@amount("--step", "strip_step", "pH", "Step of the strip or meter; 0.5 if not said.")
@shared(*_BATCH, "acid", "dose", *_MILK, must=("drink", "milk"))
def reading(acid_kind: str | None, dose: dict[str, Number] | None, **batch: Any) -> Sheet:
    """A strip or meter reading judged: the pH behind it, and the acid still needed.

    \b
    curdwise work acid reading --reading 5.2 --drink "750 ml" --strength 38 --milk "200 ml"
    """
    given = batch | (acid_inputs(acid_kind, dose) if acid_kind or dose else {})
    sheet = Sheet()
    sheet.figure("acid.read_ph", **given)
    if contradicts(sheet, given):
        sheet.notes += [_SCALE, contains(given.get("milk_kind"))]
        return sheet
    curdles(sheet, given)
    sheet.figure_if_it_holds("acid.still_needed_citric", **given)
    sheet.figure_if_it_holds("acid.still_needed_juice", **given)
    if "acid_kind" in given:
        sheet.figure_if_it_holds("acid.excess", unit="times", **given)
    sheet.notes += [_SCALE, contains(given.get("milk_kind"))]
    return sheet


@job(acid, name="fit", plots=True)
@click.argument("readings", nargs=-1, required=True, metavar="DOSE=READING...")
@shared("milk", "drink", "milk_kind", "drink_strength", "at")
@kind("--acid", "acid_kind", "acid", "Acid that was added; citric if not said", default="citric")
@amount("--step", "step", "pH", "Step of the strip or meter; 0.5 if not said.", default="0.5")
def fit(
    readings: tuple[str, ...], milk_ml: Number | None, drink_ml: Number | None,
    milk_kind: str | None, drink_strength: Number | None, mix_temperature: Number | None,
    acid_kind: str, step: Number,
) -> Sheet:
    """Fit your own milk or drink from a titration in a glass.

    Give the total dose so far and the reading after it. With --milk the milk's buffering is fitted
    (--drink is then a drink without acid); with --drink alone, the drink's own acid.

    \b
    curdwise work acid fit --milk "100 ml" --acid citric --step 0.1 0=6.7 0.3=5.7 0.6=4.7
    curdwise work acid fit --drink "100 ml" --strength 20 --acid citric 0=3.5 0.5=3.0
    """
    from advisor.science.acids import acidulant
    from advisor.science.titration import fit_drink, fit_milk

    item = acidulant(acid_kind)
    unit = "g" if item.form == "powder" else "mL"
    points = pairs(readings, unit, "pH", "DOSE=READING", "0=6.7 0.3=5.7")
    said: dict[str, Any] = {"acid": acid_kind, "step": middle(step)}
    if drink_strength is not None:
        said["strength"] = middle(drink_strength)
    sheet = Sheet()
    source = "least squares with a soft loss on the charge balance; weak beliefs from the tables"
    if milk_ml is not None:
        said |= {"milk_ml": middle(milk_ml), "kind": milk_kind or "whole"}
        said["drink_ml"] = middle(drink_ml or 0.0)
        said["temperature"] = middle(20.0 if mix_temperature is None else mix_temperature)
        found = fit_milk(points, **said)
        sheet.add("buffering", "buffering against the table", found.buffering, "times",
                  formula="factor on the milk's buffer groups; give it as --buffering",
                  source=source)
        sheet.add("offset", "readings lie above the model by", found.offset, "pH units",
                  formula="offset of the tool and of the milk's natural pH", source=source)
        sheet.add("scatter", "scatter left", found.scatter, "pH units",
                  formula="root mean square of reading - model", source=source)
        sheet.curve = lambda: _fitted(points, said, found.buffering, found.offset.value)
        return sheet
    if drink_ml is None:
        raise AdvisorError(
            "options", "neither is given: the volume that was titrated is missing",
            where="--milk, --drink",
        )
    own = fit_drink(points, drink_ml=middle(drink_ml), **said)
    sheet.add("own_acid", "own acid, as citric acid", own.own_acid,
              formula="acid less its salts, at pH 4.6; give it as --own-acid", source=source)
    sheet.add("total_acid", "acid behind it", own.total_acid, formula="acid and its salts",
              source=source)
    sheet.add("scatter", "scatter left", own.scatter, "pH units",
              formula="root mean square of reading - model", source=source)
    sheet.curve = lambda: _points_only(points, f"{item.title}, {unit}")
    return sheet


def _fitted(
    points: list[tuple[float, float]], said: dict[str, Any], buffering: Estimate, offset: float
) -> Curve:
    from advisor.cli.work.plots import Curve, curve_of
    from advisor.science.acids import acidulant
    from advisor.science.estimate import Estimate
    from advisor.science.milk_buffer import mix_ph

    item = acidulant(said["acid"])
    liquid = item.form == "liquid"

    def ph(dose: float, scale: float) -> float:
        drink = said["drink_ml"] + (dose if liquid else 0.0)
        return offset + mix_ph(
            drink, said["milk_ml"], said["kind"], ((said["acid"], dose),), scale=scale,
            temperature=said["temperature"],
        ).ph

    def span(dose: float) -> Estimate:
        found = [ph(dose, s) for s in (buffering.low, buffering.value, buffering.high)]
        return Estimate(found[1], min(found), max(found), "pH")

    most = 1.3 * max(dose for dose, _ in points)
    line = curve_of("fitted", 0.0, most, span, points=31)
    read = _readings(points)
    levels = curdling_levels(said["kind"], said["temperature"], said.get("strength", 0.0))
    x_name = f"{item.title}, {'ml' if liquid else 'g'}"
    return Curve("Titration", x_name, "pH", (line, read), levels)


def _readings(points: list[tuple[float, float]]) -> Series:
    from advisor.cli.work.plots import Series

    return Series("readings", tuple(x for x, _ in points), tuple(y for _, y in points), dots=True)


def _points_only(points: list[tuple[float, float]], x_name: str) -> Curve:
    from advisor.cli.work.plots import Curve

    return Curve("Titration", x_name, "pH", (_readings(points),))
