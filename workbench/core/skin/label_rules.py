"""What each place asks a label to say, in what height of type, and what it leaves out.

Nothing here is legal advice; every rule carries its source and how far it can
be trusted.  Heights are in millimetres and are those of the small letter "x"
(or "o") where small letters occur, and of the figures for the net weight.

Sources
- EU: Regulation (EC) 1223/2009, Art. 19(1)(a) to (g); figures of the net weight: Directive
  76/211/EEC, Annex I 3.1 (recalled).  UK: the same texts as kept there, with their amendments.
- US: 21 CFR 701.3, 701.10 to 701.13, 740.2; FDA Cosmetic Labeling Guide (read in copies).
- A present: no law of cosmetics; what is asked is our own choice.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from workbench.core.catalogue.model import Confidence, Place
from workbench.core.wording import Said, say

INCH_MM = 25.4
SQUARE_INCH_MM2 = INCH_MM**2
OUR_FLOOR_MM = 1.2  # our own: below it small letters cannot be read by many; no law of labels for cosmetics
SMALL_LABEL_MM2 = 12 * SQUARE_INCH_MM2


class LabelPlace(StrEnum):
    """Whose rules a label follows."""

    EU = "EU"
    UK = "UK"
    US = "US"
    PRESENT = "a present"

    @property
    def law(self) -> Place | None:
        """The law on cosmetics that counts; None for a present."""
        return None if self is LabelPlace.PRESENT else Place(self.value)


class Part(StrEnum):
    """The parts of a label."""

    NAME = "name"
    FUNCTION = "what it is"
    SCENT = "scent line"
    NET_WEIGHT = "net weight"
    INGREDIENTS = "ingredients"
    ALLERGENS = "allergens"
    BATCH = "batch code"
    MADE_ON = "made on"
    DURABILITY = "best before"
    PRECAUTIONS = "precautions"
    MAKER = "maker's line"

    @property
    def in_front(self) -> bool:
        return self in (Part.NAME, Part.FUNCTION, Part.SCENT, Part.NET_WEIGHT)


@dataclass(frozen=True, slots=True)
class PartRule:
    """One part of a label with the reason for it."""

    part: Part
    says: Said
    source: str
    confidence: Confidence


@dataclass(frozen=True, slots=True)
class PlaceRules:
    """`needs` must be there; `also` is printed because it helps; `leaves_out` is not printed."""

    place: LabelPlace
    needs: tuple[PartRule, ...]
    also: tuple[PartRule, ...]
    leaves_out: tuple[PartRule, ...]
    notes: tuple[Said, ...] = ()

    @property
    def printed(self) -> tuple[Part, ...]:
        return tuple(rule.part for rule in (*self.needs, *self.also))

    def asks_for(self, part: Part) -> bool:
        return any(rule.part is part for rule in self.needs)


_EU = "Regulation (EC) 1223/2009, Art. 19(1)"
_SEEN, _SECOND, _MEMORY = Confidence.SEEN, Confidence.SECOND_HAND, Confidence.MEMORY
_OURS = "our own choice"


def _needs_of_eu(uk: bool) -> tuple[PartRule, ...]:
    who = (
        say("Name and address of the responsible person in the United Kingdom.")
        if uk
        else say("Name and address of the responsible person in the European Union.")
    )
    allergens = (
        say("The fragrance allergens of the older list, each above 0.001 %, in the list of ingredients.")
        if uk
        else say(
            "The fragrance allergens of the list in force, each above 0.001 %, in the list of ingredients."
        )
    )
    return (
        PartRule(Part.MAKER, who, f"{_EU}(a)", _SEEN),
        PartRule(
            Part.NET_WEIGHT,
            say("The weight when it was filled; it may be left out below 5 g."),
            f"{_EU}(b)",
            _SEEN,
        ),
        PartRule(
            Part.DURABILITY,
            say("Up to 30 months the date, beyond that the open jar with the months after opening."),
            f"{_EU}(c), Annex VII",
            _SECOND,
        ),
        PartRule(Part.PRECAUTIONS, say("The precautions for use."), f"{_EU}(d)", _SEEN),
        PartRule(Part.BATCH, say("The batch code."), f"{_EU}(e)", _SEEN),
        PartRule(Part.FUNCTION, say("What it is for, unless that is plain to see."), f"{_EU}(f)", _SEEN),
        PartRule(
            Part.INGREDIENTS,
            say("“Ingredients”, by weight; what is below 1 % may follow in any order."),
            f"{_EU}(g)",
            _SECOND,
        ),
        PartRule(
            Part.ALLERGENS,
            allergens,
            "Annex III of (EC) 1223/2009 as kept in Great Britain"
            if uk
            else "Annex III of (EC) 1223/2009, Regulation (EU) 2023/1545",
            _MEMORY if uk else _SEEN,
        ),
    )


def _ours(part: Part, says: Said) -> PartRule:
    return PartRule(part, says, _OURS, Confidence.DERIVED)


_NAME = _ours(Part.NAME, say("The name of the balm."))
_SCENT = _ours(Part.SCENT, say("What it smells of."))
_MADE_ON = _ours(Part.MADE_ON, say("When it was made; it helps the wearer and costs one line."))

_SELLING_EU = say(
    "Before anything is sold, the law also asks for a safety assessment, a product file and a notification. A label does not replace them."
)
_LANGUAGE_EU = say("Each country says in which language dates, precautions and use have to be printed.")

_RULES: dict[LabelPlace, PlaceRules] = {
    LabelPlace.EU: PlaceRules(
        LabelPlace.EU, _needs_of_eu(False), (_NAME, _SCENT, _MADE_ON), (), (_SELLING_EU, _LANGUAGE_EU)
    ),
    LabelPlace.UK: PlaceRules(
        LabelPlace.UK, _needs_of_eu(True), (_NAME, _SCENT, _MADE_ON), (), (_SELLING_EU,)
    ),
    LabelPlace.US: PlaceRules(
        LabelPlace.US,
        (
            PartRule(Part.FUNCTION, say("What it is, on the front."), "21 CFR 701.11", _SEEN),
            PartRule(
                Part.NET_WEIGHT,
                say("The weight in ounces and grams, in the lower part of the front."),
                "21 CFR 701.13; 15 USC 1453",
                _SECOND,
            ),
            PartRule(
                Part.INGREDIENTS,
                say("By weight, scent as “Fragrance”; what is 1 % or less may follow in any order."),
                "21 CFR 701.3(a), (f)",
                _SEEN,
            ),
            PartRule(Part.PRECAUTIONS, say("Warnings where there is cause."), "21 CFR 740.1", _MEMORY),
            PartRule(
                Part.MAKER,
                say(
                    "Name and place of business, and an address, telephone or e-mail for reports of a reaction."
                ),
                "21 CFR 701.12; FD&C Act 609(a)",
                _SECOND,
            ),
        ),
        (
            _NAME,
            _SCENT,
            _ours(Part.BATCH, say("The batch code: not asked for, but without it no tin can be found again.")),
            _MADE_ON,
            _ours(Part.DURABILITY, say("The date: not asked for, but the wearer wants to know.")),
        ),
        (
            PartRule(
                Part.ALLERGENS,
                say("No names of fragrance allergens: the rule that is to ask for them is not issued yet."),
                "FD&C Act 609(b)",
                _SEEN,
            ),
        ),
        (
            say("The label has to be in English; other languages may stand beside it."),
            say("Before anything is sold, the law also asks that its safety is substantiated."),
        ),
    ),
    LabelPlace.PRESENT: PlaceRules(
        LabelPlace.PRESENT,
        (
            _NAME,
            _ours(Part.INGREDIENTS, say("What is in it, in words that the wearer knows.")),
            _ours(Part.ALLERGENS, say("The fragrance allergens by the longer list: who is allergic must know.")),
            _ours(Part.PRECAUTIONS, say("The precautions, as on any other label.")),
        ),
        (
            _ours(Part.FUNCTION, say("What it is.")),
            _SCENT,
            _MADE_ON,
            _ours(Part.DURABILITY, say("Until when it is good.")),
            _ours(Part.BATCH, say("The batch code, so that a reaction can be traced.")),
            _ours(Part.MAKER, say("Whom it is from, where you have written it.")),
        ),
        (
            _ours(Part.NET_WEIGHT, say("The weight: nobody weighs a present.")),
        ),
        (
            say(
                "A private present is not placed on the market, so the law on cosmetics asks for nothing. A present that comes with a purchase is no present."
            ),
        ),
    ),
}  # fmt: skip


def rules_of(place: LabelPlace) -> PlaceRules:
    """What a label needs, what is printed besides, and what it leaves out."""
    return _RULES[place]


@dataclass(frozen=True, slots=True)
class Height:
    """The least height of type in mm; `of` says what is measured."""

    mm: float
    of: str  # "small letters" or "figures"
    legal: bool
    source: str
    confidence: Confidence


_OUR_HEIGHT = Height(OUR_FLOOR_MM, "small letters", False, _OURS, Confidence.DERIVED)

# (up to g, figures in mm): Directive 76/211/EEC, Annex I 3.1
_FIGURES_MM = ((50.0, 2.0), (200.0, 3.0), (1000.0, 4.0))
_FIGURES_BEYOND_MM = 6.0
# (up to square inches of front, inches): 21 CFR 701.13
_US_NET_IN = ((5.0, 1 / 16), (25.0, 1 / 8), (100.0, 3 / 16))
_US_NET_BEYOND_IN = 1 / 4


def least_height(
    place: LabelPlace, part: Part, *, net_g: float, front_mm2: float, label_mm2: float
) -> Height:
    """The least height for one part of a label.

    `front_mm2` is the area of the face that is shown, `label_mm2` all that can
    carry a label on the tin.  The greater of the law's height and our floor of
    1.2 mm counts.
    """
    legal = _legal_height(place, part, net_g, front_mm2, label_mm2)
    if legal is None or (legal.of == "small letters" and legal.mm < OUR_FLOOR_MM):
        return _OUR_HEIGHT
    return legal


def _legal_height(
    place: LabelPlace, part: Part, net_g: float, front_mm2: float, label_mm2: float
) -> Height | None:
    if place in (LabelPlace.EU, LabelPlace.UK) and part is Part.NET_WEIGHT:
        mm = next((high for most_g, high in _FIGURES_MM if net_g <= most_g), _FIGURES_BEYOND_MM)
        return Height(mm, "figures", True, "Directive 76/211/EEC, Annex I 3.1", _MEMORY)
    if place is not LabelPlace.US:
        return None
    if part is Part.NET_WEIGHT:
        inches = next(
            (high for most, high in _US_NET_IN if front_mm2 <= most * SQUARE_INCH_MM2), _US_NET_BEYOND_IN
        )
        return Height(inches * INCH_MM, "small letters", True, "21 CFR 701.13", _MEMORY)
    if part is Part.INGREDIENTS:
        if label_mm2 < SMALL_LABEL_MM2:
            return Height(INCH_MM / 32, "small letters", True, "21 CFR 701.3(b), small label", _SECOND)
        return Height(INCH_MM / 16, "small letters", True, "21 CFR 701.3(b)", _SEEN)
    if part is Part.PRECAUTIONS:
        return Height(INCH_MM / 16, "small letters", True, "21 CFR 740.2", _SECOND)
    return None
