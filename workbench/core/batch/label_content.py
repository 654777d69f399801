"""What goes on the labels of one batch, and whether they may be called final.

Nothing is set in type here and nothing is put into words of a language: this
is the content, with a reason for every part that is left out or missing.

A label is final only when the batch was made and finished, is no practice,
is within its limits for skin, and nothing is missing that the place asks for.
Where the verdict is unknown because a bought blend has no composition, the
supplier's certificate and allergen sheet can stand in for it; then the label
names that footing.  Over a limit it is never final.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from workbench.core.batch.label_final import (
    Footing,
    LabelWish,
    footing_of,
    missing_parts,
    names_of,
    reasons_of_verdict,
)
from workbench.core.batch.label_subject import LabelSubject
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note, Place, Use
from workbench.core.catalogue.shelf import Lot
from workbench.core.recipe.composition import Composition, expand
from workbench.core.recipe.model import Recipe
from workbench.core.skin import notices as skin_notices
from workbench.core.skin.assess import assess
from workbench.core.skin.durability import (
    Durability,
    durability,
    shortest,
)
from workbench.core.skin.label import (
    LAST_DAY_OLD_LIST_NEW_PRODUCTS,
    IngredientList,
    ingredient_list,
)
from workbench.core.skin.label_rules import LabelPlace, Part, PlaceRules, rules_of
from workbench.core.skin.verdict import SkinVerdict, Verdict
from workbench.core.trouble import Trouble
from workbench.core.wording import Said, say

# Keys of the phrases a label may carry, the most needed first; the wording is paper/phrases.
EXTERNAL, NOT_FOR_LIPS, OUT_OF_REACH = "external", "not_for_lips", "out_of_reach"
ALWAYS = (EXTERNAL, OUT_OF_REACH)
_OF_NOTICES = (
    skin_notices.SUN,
    skin_notices.PATCH_TEST,
    skin_notices.PREGNANCY,
    skin_notices.CHILDREN,
    skin_notices.ASTHMA,
    skin_notices.BROKEN_SKIN,
    skin_notices.PETS,
)
PRECAUTIONS = (EXTERNAL, NOT_FOR_LIPS, *_OF_NOTICES, OUT_OF_REACH)


@dataclass(frozen=True, slots=True)
class LabelContent:
    """Everything a label says, in no language yet."""

    subject: LabelSubject
    rules: PlaceRules
    place: LabelPlace
    uses: tuple[Use, ...]
    ingredients: IngredientList
    plain: tuple[str, ...]  # materials by weight, leftovers taken apart, for who reads no Latin
    scent: tuple[tuple[Note, str], ...]  # top first; materials of the recipe that are in the balm
    precautions: tuple[str, ...]
    untested: bool
    durability: Durability
    maker_line: str
    parts: tuple[Part, ...]  # that are printed
    final: bool
    over: bool
    why_not_final: tuple[Said, ...]
    footing: tuple[Footing, ...]
    notes: tuple[Said, ...]
    verdict: SkinVerdict | None

    def prints(self, part: Part) -> bool:
        return part in self.parts

    def known(self, catalogue: Catalogue) -> Catalogue:
        """The catalogue with what the batch was made of, where it is not known any more."""
        return replace(catalogue, materials={**self.subject.materials, **catalogue.materials})


def label_content(subject: LabelSubject, catalogue: Catalogue, wish: LabelWish, today: date) -> LabelContent:
    """What the labels say under the rules of a place, on a day.

    `catalogue` is that of today with the maker's shelf on top; what is known
    now wins over what was known when the batch was made.  Raises `Trouble`
    where the balm holds a material nobody knows, or the maker's date is later
    than what is in it.
    """
    catalogue = replace(catalogue, materials={**subject.materials, **catalogue.materials})
    recipe, rules = subject.recipe, rules_of(wish.place)
    law = wish.place.law
    listed_on = today if law is not None else max(today, LAST_DAY_OLD_LIST_NEW_PRODUCTS + timedelta(days=1))
    ingredients = ingredient_list(subject.composition, catalogue, law or Place.EU, listed_on)
    leaves = expand(subject.composition, catalogue.materials)
    lasting, date_notes, date_wrong = _durability(subject, catalogue, wish, today)
    verdict = (
        assess(subject.composition, catalogue, recipe.uses, law or recipe.place)
        if subject.composition.portions
        else None
    )
    over = subject.set_aside or (verdict is not None and verdict.verdict is Verdict.OVER)
    footing = footing_of(leaves, catalogue, verdict)
    parts = tuple(
        part
        for part in rules.printed
        if rules.asks_for(part) or part not in wish.leave_out
    )  # fmt: skip
    parts = tuple(
        part for part in parts if part is not Part.MAKER or wish.maker_line.strip() or rules.asks_for(part)
    )
    reasons = [
        *subject.not_final,
        *reasons_of_verdict(verdict, over, subject.set_aside, footing),
        *date_wrong,
        *missing_parts(subject, rules, wish, ingredients, catalogue),
    ]
    notes = [ingredients.allergens.rule.says if wish.place is not LabelPlace.PRESENT else rules.notes[0]]
    notes += [each for each in rules.notes if each not in notes]
    notes += [*date_notes, *(each.says for each in footing)]
    if ingredients.without_inci:
        notes.append(
            say(
                "Named by their trade name, for want of the name that belongs on a label: {names}.",
                names=names_of(ingredients.without_inci, catalogue),
            )
        )
    notes.append(skin_notices.FOLLOW_THE_PAPERS)
    return LabelContent(
        subject=subject,
        rules=rules,
        place=wish.place,
        uses=recipe.uses,
        ingredients=ingredients,
        plain=tuple(p.material for p in sorted(leaves.portions, key=lambda p: -p.mass_g)),
        scent=_scent(recipe, leaves),
        precautions=_precautions(recipe, subject.composition, catalogue, today),
        untested=wish.untested and wish.place is LabelPlace.US,
        durability=lasting,
        maker_line=wish.maker_line.strip(),
        parts=parts,
        final=not reasons,
        over=over,
        why_not_final=tuple(reasons),
        footing=footing,
        notes=tuple(dict.fromkeys(notes)),
        verdict=verdict,
    )  # fmt: skip


# --- scent and precautions ---


def _scent(recipe: Recipe, leaves: Composition) -> tuple[tuple[Note, str], ...]:
    inside = leaves.as_dict()
    order = list(Note)
    lines = [line for line in recipe.scent if line.material in inside]
    # within a note the strongest first, as it was weighed
    lines.sort(key=lambda line: (order.index(line.note), -inside[line.material]))
    return tuple((line.note, line.material) for line in lines)


def _precautions(
    recipe: Recipe, composition: Composition, catalogue: Catalogue, today: date
) -> tuple[str, ...]:
    # whoever reads the label may go into the sun, whatever the brief says
    brief = recipe.brief.model_copy(update={"worn_in_sun": True})
    called = {notice.key for notice in skin_notices.notices(brief, composition, catalogue, today)}
    called |= set(ALWAYS)
    if Use.LIPS not in recipe.uses:
        called.add(NOT_FOR_LIPS)
    return tuple(key for key in PRECAUTIONS if key in called)


# --- dates ---


def _lot_words(lot: Lot, catalogue: Catalogue) -> str:
    name = catalogue.material(lot.material).name
    return say("{name}, lot {number}", name=name, number=lot.supplier_lot) if lot.supplier_lot else name


def _durability(
    subject: LabelSubject, catalogue: Catalogue, wish: LabelWish, today: date
) -> tuple[Durability, list[Said], list[Said]]:
    """The mark, what is to be said about it, and what is wrong with it."""
    made_on = subject.made_on or today
    lots = {lot.key: lot for lot in catalogue.shelf.lots}
    dated: list[tuple[str, date]] = []
    undated: list[str] = []
    for portion in subject.composition.portions:
        used = [lots[key] for key in subject.lots.get(portion.material, ()) if key in lots]
        if not used and subject.made_on is None:
            used = list(catalogue.lots_of(portion.material))  # of a plan: whatever may be taken
        known = [(lot.key, lot.best_before) for lot in used if lot.best_before is not None]
        dated += known
        if not known or len(known) < len(used):
            undated.append(portion.material)
    first = shortest(dated)
    notes: list[Said] = []
    wrong: list[Said] = []
    if undated:
        names = names_of(undated, catalogue)
        notes.append(
            say("No lot with a date is known for: {names}.", names=names)
            if first is None
            else say("No lot with a date is known for: {names}. The date rests on the others.", names=names)
        )
        if wish.best_before is None and rules_of(wish.place).asks_for(Part.DURABILITY):
            wrong.append(
                say("How long it keeps is not known: give every lot its date, or give the date yourself.")
            )
    if wish.best_before is not None:
        if first is not None and wish.best_before > first[1]:
            raise Trouble(
                say(
                    "The lot {lot} is good until {date}, so the balm cannot be good for longer. Choose that day or an earlier one.",
                    lot=_lot_words(lots[first[0]], catalogue),
                    date=f"{first[1]:%Y-%m-%d}",
                )
            )
        first = ("", wish.best_before)
        notes.append(say("The date was given by the maker."))
    elif first is not None:
        notes.append(
            say(
                "The shortest-lived lot is {lot}, good until {date}.",
                lot=_lot_words(lots[first[0]], catalogue),
                date=f"{first[1]:%Y-%m-%d}",
            )
        )
    if first is not None and first[1] < made_on:
        wrong.append(say("Its date {date} had passed before it was made.", date=f"{first[1]:%Y-%m-%d}"))
    made = durability(
        wish.place,
        made_on,
        None if first is None else first[1],
        lot="" if first is None else first[0],
        months_open=wish.months_open,
    )
    return made, notes, wrong
