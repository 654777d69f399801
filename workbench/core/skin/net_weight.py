"""The weight on the label: never more than is in the tin, in the units of the place.

An ounce is 28.349523125 g by definition (international avoirdupois pound of
0.45359237 kg, 1959; NIST Handbook 44, appendix C).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from workbench.core.skin.label_rules import LabelPlace
from workbench.core.wording import Grams, Said, say

OUNCE_G = 28.349523125
EXEMPT_BELOW_G = 5.0  # Regulation (EC) 1223/2009, Art. 19(1)(b): "less than five grams"
US_EXEMPT_BELOW_OZ = 0.25  # 21 CFR 701.13, recalled; so nothing is left out on its strength
_FORGIVEN = 1e-9


@dataclass(frozen=True, slots=True)
class NetWeight:
    """What stands on the label; `text` is "" where it may be left out and is."""

    content_g: float
    declared_g: float
    required: bool
    text: str
    why: Said


def declared_g(content_g: float) -> float:
    """Rounded down: to 0.1 g below 100 g, to 1 g from there."""
    step = 0.1 if content_g < 100 - _FORGIVEN else 1.0
    return round(floor(content_g / step + _FORGIVEN) * step, 1)


def declared_oz(content_g: float) -> float:
    """Ounces, rounded down to 0.01."""
    return floor(content_g / OUNCE_G * 100 + _FORGIVEN) / 100


def net_weight(place: LabelPlace, content_g: float, *, decimal_comma: bool = False) -> NetWeight:
    """The declaration for a content in grams.

    `content_g` is the least content among the tins that get the label, so that
    none of them holds less than it says.  Where a place exempts small
    contents the weight is left out and that is said.
    """
    grams = declared_g(content_g)
    metric = f"{_number(grams, 1, decimal_comma)}\u00a0g"
    if place is LabelPlace.PRESENT:
        return NetWeight(content_g, grams, False, metric, say("Nobody asks for the weight of a present."))
    if place is LabelPlace.US:
        ounces = declared_oz(content_g)
        # both amounts belong together; one line end inside is worse than a longer line
        text = f"Net Wt\u00a0{_number(ounces, 2, False)}\u00a0oz ({_number(grams, 1, False)}\u00a0g)"
        small = content_g / OUNCE_G < US_EXEMPT_BELOW_OZ
        why = (
            say(
                "Below a quarter of an ounce the US may not ask for it. That rule was recalled and not read, so the weight is printed."
            )
            if small
            else say("In ounces and grams, never more than is in the tin.")
        )
        return NetWeight(content_g, grams, not small, text, why)
    if content_g < EXEMPT_BELOW_G - _FORGIVEN:
        return NetWeight(
            content_g,
            grams,
            False,
            "",
            say("Left out: {mass} is below the 5 g from which it has to be printed.", mass=Grams(grams, 1)),
        )
    return NetWeight(content_g, grams, True, metric, say("In grams, never more than is in the tin."))


def _number(value: float, digits: int, comma: bool) -> str:
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.replace(".", ",") if comma else text
