"""How people spell units, the measures that have a spread, and the words that are refused."""

from __future__ import annotations

from typing import NamedTuple

__all__ = [
    "ALONE",
    "COMPOUNDS",
    "EXACT_CASE",
    "NUMBER_WORDS",
    "PARTS_OF_ONE",
    "PHRASES",
    "REFUSED",
    "SPELLINGS",
    "Measure",
]


class Measure(NamedTuple):
    """A unit as somebody may mean it: a definition, how many of it, and its spread.

    ``low`` and ``high`` are for one of the measure, in the base unit of its kind; None
    where the word means one exact amount.
    """

    name: str
    times: float = 1.0
    low: float | None = None
    high: float | None = None


# Spreads in mL. An ounce, teaspoon, tablespoon or cup that does not say whose is the US
# one; it may be the UK ounce (28.41), the 30 mL bar ounce (also the fluid ounce of US
# food labels, 21 CFR 101.9), the 5 mL spoon, 15 mL spoon or 250 mL cup. Bar measures
# are common practice, no source; the spread of drop, jigger and shot is judgement.
# "*" stands for "with or without s", "~" for a space.
_VOLUME = """
milliliter | ml mls millilitre* milliliter* cc
microliter | ul microlitre* microliter*
centiliter | cl centilitre* centiliter*
deciliter | dl decilitre* deciliter*
liter | l litre* liter* ltr*
us_fluid_ounce | oz ozs ounce* fl~oz floz fl~ounce* fluid~oz fluid~ounce* | 28.4130625 30
us_fluid_ounce | us~oz us~ounce* us~fl~oz us~floz us~fluid~ounce* american~ounce*
uk_fluid_ounce | uk~oz uk~ounce* uk~fl~oz uk~floz uk~fluid~ounce* imp~oz imp~fl~oz
uk_fluid_ounce | imperial~oz imperial~ounce* imperial~fl~oz imperial~fluid~ounce* british~ounce*
us_teaspoon | tsp* teaspoon* tea~spoon* | 4.92892159375 5
us_teaspoon | us~tsp* us~teaspoon*
us_tablespoon | tbsp* tbs tbl tablespoon* table~spoon* | 14.78676478125 15
us_tablespoon | us~tbsp* us~tablespoon*
us_cup | cup* | 236.5882365 250
us_cup | us~cup*
metric_cup | metric~cup*
us_pint | us~pint* us~pt american~pint*
uk_pint | uk~pint* uk~pt imperial~pint* british~pint*
us_quart | qt* quart* us~quart* us~qt*
uk_quart | uk~quart* imperial~quart*
us_gallon | us~gallon* us~gal
uk_gallon | uk~gallon* uk~gal imperial~gallon*
jigger | jigger* | 42.6 50
shot | shot* | 25 50
pony | pony ponies pony~shot* | 28.4 30
barspoon | barspoon* bar~spoon* bsp | 2.5 5
dash | dash dashes | 0.6 0.92
drop | drop* | 0.03 0.06
splash | splash splashes | 3.7 7
"""
# A month and a year have spreads too: 28 to 31 and 365 to 366 days, in seconds.
_TIME = """
second | s sec* second*
minute | m min* minute*
hour | h hr* hour*
day | d day*
week | w wk* week*
month | month* | 2419200 2678400
year | year* yr* | 31536000 31622400
"""
_SPELLED = {
    "volume": _VOLUME,
    "weight": """
        microgram | ug mcg microgram* microgramme*
        milligram | mg mgs milligram* milligramme*
        gram | g gm gms gram* gramme*
        kilogram | kg kgs kilo* kilogram* kilogramme*
        ounce | oz ozs ounce* avoirdupois~ounce*
        pound | lb lbs pound*""",
    "temperature": """
        degC | c °c degc deg~c degree~c degrees~c celsius centigrade °celsius
        degC | degree~celsius degrees~celsius deg~celsius degree~centigrade degrees~centigrade
        degC | ° degree* deg
        degF | f °f degf deg~f degree~f degrees~f fahrenheit degree~fahrenheit degrees~fahrenheit
        degF | deg~fahrenheit °fahrenheit
        kelvin | k kelvin*""",
    "time": _TIME,
    "strength": """
        percent_vol | % percent per~cent pct %vol vol% vol %volume %by~volume percent~vol
        percent_vol | percent~by~volume per~cent~by~volume %abv abv percent~abv %v/v %(v/v)
        percent_vol | %alc %alc/vol %alc~vol %alcohol %alc~by~vol alc/vol %alcohol~by~volume
        us_proof | proof us~proof °proof degrees~proof american~proof""",
    "share": """
        percent | % percent per~cent pct
        ratio | ratio""",
    "acidity": "acidity | ph",
    "weight per volume": "percent_weight_by_volume | %w/v %by~weight/volume",
    "volume per volume": "",
    "weight per weight": "",
    "amount per volume": """
        millimole_per_liter | millimolar
        mole_per_liter | molar""",
    "amount": """
        millimole | mmol* millimole*
        mole | mol* mole*""",  # only ever above the line of a concentration
    "length": """
        micrometer | um micron* micrometre* micrometer*
        millimeter | mm millimetre* millimeter*
        centimeter | cm centimetre* centimeter*
        meter | m metre* meter*
        inch | in inch inches""",
    "count": "piece | count time* pass passes piece* pc pcs wash washes round*",
    "evidence": "deciban | db deciban*",
    "turbidity": "turbidity_unit | ntu",
    "sugar": "brix | brix °brix degbx °bx bx degree~brix degrees~brix deg~brix",
}

# m and M differ by a thousand, so these are read only exactly as written
EXACT_CASE = {
    "amount per volume": {
        "mM": Measure("millimole_per_liter"),
        "M": Measure("mole_per_liter"),
    }
}

# kind -> (kind above the line, kind below it, the unit that base over base gives);
# the bases are those of ``BASES``
COMPOUNDS = {
    "weight per volume": ("weight", "volume", "gram_per_liter", 1000.0),
    "volume per volume": ("volume", "volume", "milliliter_per_liter", 1000.0),
    "weight per weight": ("weight", "weight", "gram_per_kilogram", 1000.0),
    "amount per volume": ("amount", "volume", "millimole_per_liter", 1000.0),
}


def _spell(listing: str) -> dict[str, Measure]:
    spelled: dict[str, Measure] = {}
    for line in filter(None, map(str.strip, listing.splitlines())):
        name, words, *spread = (part.strip() for part in line.split("|"))
        low, high = map(float, spread[0].split()) if spread else (None, None)
        for word in words.split():
            stem = word.replace("~", " ").rstrip("*")
            spelled[stem] = Measure(name, 1.0, low, high)
            if word.endswith("*"):
                spelled[stem + "s"] = spelled[stem]
    return spelled


SPELLINGS = {kind: _spell(listing) for kind, listing in _SPELLED.items()}
# measures that may stand without a number: "splash" is one splash
ALONE = {
    *("jigger", "shot", "pony", "barspoon", "dash", "drop", "splash", "us_cup", "metric_cup"),
    *("us_pint", "uk_pint", "us_quart", "uk_quart", "us_gallon", "uk_gallon"),
}

# whole phrases: value, low and high in the base unit; common practice, no source
_HOUR = 3600.0
PHRASES: dict[str, dict[tuple[str, ...], tuple[float, ...]]] = {
    "temperature": {
        ("room temperature", "room temp", "room", "ambient", "rt"): (21.0, 18.0, 24.0),
        ("fridge", "refrigerator", "fridge temperature", "fridge cold"): (4.0, 2.0, 5.0),
        ("freezer", "freezer temperature"): (-18.0, -22.0, -15.0),
        ("ice water", "ice bath", "iced water"): (1.0, 0.0, 2.0),
    },
    "time": {
        ("overnight", "over night", "night", "a night", "one night"): (
            12 * _HOUR,
            8 * _HOUR,
            16 * _HOUR,
        ),
        ("fortnight", "a fortnight"): (336 * _HOUR,) * 3,
    },
    "count": {
        ("once",): (1.0,) * 3,
        ("twice",): (2.0,) * 3,
        ("thrice",): (3.0,) * 3,
    },
    "share": {("equal parts", "equal", "same", "even"): (1.0,) * 3},
}

# kind -> word -> (what is wrong, what to write instead)
_PINT = ("a pint is 473 ml in the US and 568 ml in the UK", "write US pint, UK pint, or ml")
_GALLON = (
    "a gallon is 3.785 litres in the US and 4.546 litres in the UK",
    "write US gallon, UK gallon, or litres",
)
_GILL = ("a gill is 118 ml in the US and 142 ml in the UK", "write the amount in ml")
_FIFTH = (
    "a fifth was 757 ml, and the bottles sold today hold 750 or 700",
    "write the amount in ml",
)
_DRAM = ("a dram has no one size (3.7 ml by US measure, a pour in a bar)", "write it in ml")
_SIZELESS = ("{word} has no fixed size", "measure it and write ml or oz")
_VAGUELY = ("{word} does not say how much", "measure it; an estimate such as about 10 is fine")
_GRAIN = ("gr may be gram or grain (0.065 g)", "write g for grams")
_WEIGHT_SHARE = (
    "a strength by weight is not a strength by volume",
    "write the strength by volume, as on the label",
)
_UK_PROOF = ("UK proof is another scale than US proof", "write the strength in % vol")
_NORMAL = (
    "N counts hydrogen ions, not moles: for citric acid they differ threefold",
    "write mmol/l of the acid itself",
)
_PPM = ("ppm may be by weight or by volume", "write mg per litre")


def _refuse(words: str, reason: tuple[str, str]) -> dict[str, tuple[str, str]]:
    return {word.replace("~", " "): reason for word in words.split()}


REFUSED = {
    "volume": {
        **_refuse("pint pints pt pts", _PINT),
        **_refuse("gallon gallons gal gals", _GALLON),
        **_refuse("gill gills", _GILL),
        **_refuse("fifth fifths", _FIFTH),
        **_refuse("dram drams", _DRAM),
        **_refuse(
            "bottle bottles magnum glass glasses spoon spoons spoonful spoonfuls carton cartons "
            "can cans glug glugs part parts measure measures squeeze pour pours ladle handful "
            "pinch scoop scoops lemon lemons lime limes",
            _SIZELESS,
        ),
        **_refuse("bit little lot some", _VAGUELY),
    },
    "weight": {
        **_refuse("gr grs", _GRAIN),
        **_refuse("pinch pinches knob scoop scoops spoon spoons handful part parts", _SIZELESS),
        **_refuse("bit little lot some", _VAGUELY),
    },
    "time": _refuse("while bit little moment long", _VAGUELY),
    "strength": {
        **_refuse(
            "%w/w %abw abw %by~weight percent~by~weight %w/v %weight %(w/w) %mass", _WEIGHT_SHARE
        ),
        **_refuse("uk~proof british~proof imperial~proof", _UK_PROOF),
    },
    "amount per volume": _refuse("n normal meq/l meq meq/litre eq/l", _NORMAL),
    "weight per volume": _refuse("ppm", _PPM),
}

_TO_TWENTY = """
zero one two three four five six seven eight nine ten eleven twelve thirteen
fourteen fifteen sixteen seventeen eighteen nineteen twenty
"""
_TENS = {"thirty": 30.0, "forty": 40.0, "fifty": 50.0, "sixty": 60.0, "ninety": 90.0}
NUMBER_WORDS = {word: float(n) for n, word in enumerate(_TO_TWENTY.split())} | _TENS
PARTS_OF_ONE = {
    "half": 1 / 2,
    "halves": 1 / 2,
    "third": 1 / 3,
    "thirds": 1 / 3,
    "quarter": 1 / 4,
    "quarters": 1 / 4,
    "eighth": 1 / 8,
    "eighths": 1 / 8,
}
