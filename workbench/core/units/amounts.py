"""Amounts and temperatures as a maker types them: "2 tsp", "1/2 oz", "12 drops", "140 °F"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from workbench.core.units.numbers import MINUS_SIGNS, Unreadable, read_number, slip_in
from workbench.core.units.registry import factor, in_celsius
from workbench.core.wording import Count, Grams, Millilitres, Number, Said, say


class Measure(StrEnum):
    """What the number of an amount counts."""

    PARTS = "parts"
    PERCENT = "%"
    DROPS = "drops"
    GRAMS = "g"
    MILLILITRES = "mL"


class Spoons(StrEnum):
    """Whose spoons: a US teaspoon holds 4.93 mL, the other two 5 mL."""

    US = "US"
    METRIC = "metric"
    US_LABELLING = "labelling"


class TemperatureUnit(StrEnum):
    CELSIUS = "°C"
    FAHRENHEIT = "°F"


# Essential oils from ordinary droppers give 20 to 40 drops per mL; 20 drops weigh 0.66 g on
# average (three studies, 1999 to 2016, collected by the Tisserand Institute, "Drop size"), which
# is 27 drops per mL at the usual 0.9 g/mL.
DROPS_PER_ML_FEW, DROPS_PER_ML, DROPS_PER_ML_MANY = 20.0, 27.0, 40.0
# The same average for an oil whose density is not known.
DROP_G = 0.033


@dataclass(frozen=True, slots=True)
class ReadAmount:
    """An amount as understood: `value` counts `measure`; spoons became mL, ounces g.

    `grams` is None where it cannot be known (parts, per cent, a volume without
    a density).  `how` is a full sentence that shows the arithmetic.
    """

    value: float
    measure: Measure
    grams: float | None
    how: Said
    typed: str


def drops_g(count: float, density_g_ml: float | None) -> tuple[float, float, float]:
    """Mass in g of that many drops of an oil: typical, least and most."""
    density = DROP_G * DROPS_PER_ML if density_g_ml is None else density_g_ml
    return (
        count * density / DROPS_PER_ML,
        count * density / DROPS_PER_ML_MANY,
        count * density / DROPS_PER_ML_FEW,
    )


_VULGAR = {"½": 1 / 2, "⅓": 1 / 3, "⅔": 2 / 3, "¼": 1 / 4, "¾": 3 / 4, "⅛": 1 / 8, "⅜": 3 / 8}
_LEADING = re.compile(
    rf"""(?:(?P<mixed>[0-9]+)\s+)?(?P<top>[0-9]+)\s*/\s*(?P<bottom>[0-9]+)
    |(?P<whole>[0-9]+)?\s*(?P<vulgar>[{"".join(_VULGAR)}])
    |(?P<number>[+{MINUS_SIGNS}]?[0-9.,]+)""",
    re.VERBOSE,
)

_PLAIN = {
    **dict.fromkeys(("g", "gr", "gram", "grams", "gramme", "grammes"), "gram"),
    **dict.fromkeys(("mg", "milligram", "milligrams"), "milligram"),
    **dict.fromkeys(("kg", "kilo", "kilos", "kilogram", "kilograms"), "kilogram"),
    **dict.fromkeys(("oz", "ounce", "ounces", "us oz", "us ounce", "us ounces", "oz av", "oz avdp"), "ounce"),
    **dict.fromkeys(("labelling oz", "labelling ounce", "labelling ounces"), "labelling_ounce"),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), "pound"),
    **dict.fromkeys(("ml", "cc", "cm3", "cm³", "milliliter", "milliliters"), "millilitre"),
    **dict.fromkeys(("millilitre", "millilitres"), "millilitre"),
    **dict.fromkeys(("cl", "centilitre", "centilitres", "centiliter", "centiliters"), "centilitre"),
    **dict.fromkeys(("dl", "decilitre", "decilitres", "deciliter", "deciliters"), "decilitre"),
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), "litre"),
    **dict.fromkeys(
        ("imperial fl oz", "imperial fluid ounce", "imperial fluid ounces"), "imperial_fluid_ounce"
    ),
}
_MASSES = frozenset({"gram", "milligram", "kilogram", "ounce", "labelling_ounce", "pound"})
_SPOONS = {
    **dict.fromkeys(("tsp", "tsps", "teaspoon", "teaspoons"), "teaspoon"),
    **dict.fromkeys(("tbsp", "tbsps", "tbs", "tablespoon", "tablespoons"), "tablespoon"),
    **dict.fromkeys(("fl oz", "floz", "fluid ounce", "fluid ounces"), "fluid_ounce"),
    **dict.fromkeys(("cup", "cups"), "cup"),
}
_SHORT = {"teaspoon": "tsp", "tablespoon": "tbsp", "fluid_ounce": "fl oz", "cup": "cup"}
_OWNERS = {
    **dict.fromkeys(("us", "usa", "american"), "us"),
    "metric": "metric",
    **dict.fromkeys(("labelling", "labeling", "label", "nutrition"), "labelling"),
    **dict.fromkeys(("imperial", "imp", "uk", "british"), "imperial"),
}
_OWNER_OF = {Spoons.US: "us", Spoons.METRIC: "metric", Spoons.US_LABELLING: "labelling"}
_COUNTS = {
    **dict.fromkeys(("part", "parts", "pt", "pts"), Measure.PARTS),
    **dict.fromkeys(("%", "percent", "per cent", "pct"), Measure.PERCENT),
    **dict.fromkeys(("drop", "drops", "gtt"), Measure.DROPS),
}


def read_amount(
    text: str,
    *,
    spoons: Spoons = Spoons.US,
    density_g_ml: float | None = None,
    bare: Measure | None = None,
) -> ReadAmount:
    """An amount as typed, turned into parts, %, drops, g or mL.

    "tsp", "tbsp", "cup" and "fl oz" alone are the maker's own (`spoons`) and
    the sentence says so; "US tsp", "metric tsp", "labelling tsp" and
    "imperial fl oz" are explicit.  "oz" is always an ounce of mass.  `bare` is
    the measure of a number with nothing behind it.  Raises `Unreadable`.
    """
    typed = " ".join(text.split())
    value, unit = _split(typed)
    if value < 0:
        raise Unreadable(say("“{typed}” is less than nothing. Type an amount of 0 or more.", typed=typed))
    if not unit:
        if bare is None:
            raise Unreadable(
                say("“{typed}” does not say of what. Add g, mL, drops, parts, %, tsp or oz.", typed=typed)
            )
        unit = bare.value.lower()
    if unit in _COUNTS:
        return _counted(value, _COUNTS[unit], density_g_ml, typed)
    name, shown, assumed = _unit(unit, spoons, typed)
    if name in _MASSES:
        return _mass(value, name, unit, typed)
    return _volume(value, name, shown, assumed, density_g_ml, typed)


def read_mass(text: str, bare_unit: str = "g") -> float:
    """Grams from "12.3", "12,3 g" or "0.5 oz"; a bare number counts `bare_unit` ("g" or "oz").

    Raises `Unreadable`, also for a volume or a count.
    """
    typed = " ".join(text.split())
    value, unit = _split(typed)
    counted = unit in _COUNTS
    name = "" if counted else _unit(unit or bare_unit, Spoons.US, typed)[0]
    if name not in _MASSES:
        raise Unreadable(say("“{typed}” is not a weight. Type it in g or oz.", typed=typed))
    return value if name == "gram" else value * factor(name, "gram")


def _split(typed: str) -> tuple[float, str]:
    """The number in front, and the rest in lower case with its dots and owner words put in order."""
    match = _LEADING.match(typed)
    if match is None:
        return read_number(typed), ""  # never returns: it has the sentence for it
    rest = typed[match.end() :].strip()
    if rest[:1].isdigit():
        raise Unreadable(say("“{typed}” has a space inside the number. Type it without.", typed=typed))
    if match["vulgar"]:
        value = float(match["whole"] or 0) + _VULGAR[match["vulgar"]]
    elif match["top"]:
        top, bottom = int(match["top"]), int(match["bottom"])
        if bottom == 0 or top >= bottom:
            raise Unreadable(
                say("“{typed}” is not a plain fraction. Write one and a half as 1 1/2 or 1.5.", typed=typed)
            )
        value = float(match["mixed"] or 0) + top / bottom
    else:
        value = read_number(match["number"])
    return value, rest.lower().replace("u.s.", "us").replace(".", " ").strip()


def _unit(unit: str, spoons: Spoons, typed: str) -> tuple[str, str, bool]:
    """Name in the registry, how it is shown, and whether the maker's setting decided."""
    words = unit.split()
    owner = ""
    if len(words) > 1:
        # "metric tsp" and "tsp metric" are the same
        if words[0] in _OWNERS:
            owner, words = _OWNERS[words[0]], words[1:]
        elif words[-1] in _OWNERS:
            owner, words = _OWNERS[words[-1]], words[:-1]
    noun = " ".join(words)
    plain = _PLAIN.get(f"{owner} {noun}".strip())
    if plain is not None:
        return plain, f"{noun} {owner}".strip(), False
    spoon = _SPOONS.get(noun)
    if spoon is None or owner == "imperial" or (spoon == "fluid_ounce" and owner == "metric"):
        raise slip_in(typed) or Unreadable(
            say(
                "“{unit}” in “{typed}” is not a measure known here. Use g, mL, drops, parts, %, tsp, tbsp, oz or fl oz.",
                unit=unit,
                typed=typed,
            )
        )
    assumed = not owner
    owner = owner or _OWNER_OF[spoons]
    if spoon == "fluid_ounce" and owner == "metric":
        owner, assumed = "us", False  # there is no metric fluid ounce, so no setting decided
    word = "US" if owner == "us" else owner
    return f"{owner}_{spoon}", f"{_SHORT[spoon]} {word}", assumed


def plain_number(value: float) -> Number:
    """A number for a sentence with as many decimals as it needs, at most four."""
    text = f"{value:.4f}".rstrip("0")
    return Number(value, len(text) - text.index(".") - 1)


def _counted(value: float, measure: Measure, density_g_ml: float | None, typed: str) -> ReadAmount:
    count = plain_number(value)
    if measure is Measure.PARTS:
        how = (
            say("{number} parts; what they weigh depends on the whole recipe.", number=count)
            if count.digits
            else say(
                "{count} parts; what they weigh depends on the whole recipe.",
                "{count} part; what it weighs depends on the whole recipe.",
                count=Count(value),
            )
        )
        return ReadAmount(value, measure, None, how, typed)
    if measure is Measure.PERCENT:
        if value > 100:
            raise Unreadable(say("“{typed}” is more than the whole. Type 100 % or less.", typed=typed))
        how = say("{share} %; what that weighs depends on the whole recipe.", share=count)
        return ReadAmount(value, measure, None, how, typed)
    if value != int(value):
        raise Unreadable(say("“{typed}” is not a whole number of drops. Count whole drops.", typed=typed))
    grams, low, high = drops_g(value, density_g_ml)
    how = say(
        "{count} drops weigh about {mass}, and with another dropper {low} to {high}.",
        "{count} drop weighs about {mass}, and with another dropper {low} to {high}.",
        count=Count(value),
        mass=Grams(grams, 2),
        low=Grams(low, 2),
        high=Grams(high, 2),
    )
    return ReadAmount(value, measure, grams, how, typed)


def _mass(value: float, name: str, unit: str, typed: str) -> ReadAmount:
    if name == "gram":
        return ReadAmount(value, Measure.GRAMS, value, say("{mass}.", mass=Grams(value, 2)), typed)
    grams = value * factor(name, "gram")
    how = say(
        "{count} {unit} by weight = {mass}.", count=plain_number(value), unit=unit, mass=Grams(grams, 2)
    )
    return ReadAmount(grams, Measure.GRAMS, grams, how, typed)


def _volume(
    value: float, name: str, shown: str, assumed: bool, density_g_ml: float | None, typed: str
) -> ReadAmount:
    ml = value if name == "millilitre" else value * factor(name, "millilitre")
    count, volume = plain_number(value), Millilitres(ml, 2)
    if density_g_ml is None:
        if assumed:
            how = say(
                "{count} {spoon} (the spoons you have set) = {volume}; without a density its weight is not known.",
                count=count,
                spoon=shown,
                volume=volume,
            )
        else:
            how = say(
                "{count} {spoon} = {volume}; without a density its weight is not known.",
                count=count,
                spoon=shown,
                volume=volume,
            )
        return ReadAmount(ml, Measure.MILLILITRES, None, how, typed)
    grams = ml * density_g_ml
    values = {"volume": volume, "density": plain_number(density_g_ml), "mass": Grams(grams, 1)}
    if name == "millilitre":
        how = say("{volume} × {density} g/mL = {mass}.", **values)
    elif assumed:
        how = say(
            "{count} {spoon} (the spoons you have set) = {volume} × {density} g/mL = {mass}.",
            count=count,
            spoon=shown,
            **values,
        )
    else:
        how = say("{count} {spoon} = {volume} × {density} g/mL = {mass}.", count=count, spoon=shown, **values)
    return ReadAmount(ml, Measure.MILLILITRES, grams, how, typed)


_TEMPERATURE = re.compile(rf"\s*([+{MINUS_SIGNS}]?[0-9.,]+)\s*(.*?)\s*")
_SCALES = {
    **dict.fromkeys(("c", "celsius", "centigrade"), "degree_celsius"),
    **dict.fromkeys(("f", "fahrenheit"), "degree_fahrenheit"),
    **dict.fromkeys(("k", "kelvin"), "kelvin"),
}
_DEGREE_SIGNS = re.compile(r"°|º|˚|\bdegrees?\b|\bdeg\b\.?")


def read_temperature(text: str, default: TemperatureUnit = TemperatureUnit.CELSIUS) -> float:
    """°C from "140 °F", "60", "60C", "333 K"; a bare number is in `default`.

    Raises `Unreadable` for anything else and for what lies below absolute zero.
    """
    match = _TEMPERATURE.fullmatch(text)
    if match is None:
        raise Unreadable(
            say("“{typed}” is not a temperature. Type it like 62.5 or 144 °F.", typed=text.strip())
        )
    value = read_number(match[1])
    word = match[2].replace("℃", "c").replace("℉", "f").lower()
    word = _DEGREE_SIGNS.sub("", word).strip()
    if word:
        scale = _SCALES.get(word, "")
    else:
        scale = "degree_fahrenheit" if default is TemperatureUnit.FAHRENHEIT else "degree_celsius"
    if not scale:
        raise slip_in(text.strip()) or Unreadable(
            say("“{unit}” is not a temperature scale known here. Use °C or °F.", unit=match[2])
        )
    celsius = in_celsius(value, scale)
    if celsius < -273.15:
        raise Unreadable(say("“{typed}” is colder than cold can be. Read it again.", typed=text.strip()))
    return celsius
