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

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from workbench.core.batch.plan import Plan
from workbench.core.batch.record import record
from workbench.core.batch.state import Phase, SessionState
from workbench.core.batch.steps import StepKind
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Material, Note, Place, Use
from workbench.core.recipe.composition import Composition, expand
from workbench.core.recipe.model import Recipe
from workbench.core.skin import notices as skin_notices
from workbench.core.skin.assess import assess
from workbench.core.skin.durability import (
    USUAL_MONTHS_OPEN,
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
from workbench.core.wording import Said, Share, say

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
class TinKind:
    """All tins of one kind that get the same label; `content_g` is the least of their contents."""

    key: str
    name: str
    numbers: tuple[int, ...]
    content_g: float
    weighed: bool


@dataclass(frozen=True, slots=True)
class LabelSubject:
    """A batch as planned or as made, with whatever keeps its labels from being final."""

    recipe: Recipe
    revision: int
    batch_code: str
    made_on: date | None  # None: not made yet
    composition: Composition
    lots: Mapping[str, tuple[str, ...]]  # material -> lots used
    tins: tuple[TinKind, ...]
    materials: Mapping[str, Material]
    not_final: tuple[Said, ...]
    set_aside: bool  # a limit for skin was set aside


@dataclass(frozen=True, slots=True)
class LabelWish:
    """What the maker chooses for the labels."""

    place: LabelPlace
    maker_line: str = ""
    months_open: int = USUAL_MONTHS_OPEN
    best_before: date | None = None  # of the maker's own; never later than the shortest-lived lot
    leave_out: frozenset[Part] = frozenset()  # of what is not asked for
    untested: bool = False  # US: print that its safety was not determined


@dataclass(frozen=True, slots=True)
class Footing:
    """A supplier's paper on which a label rests."""

    material: str
    name: str
    edition: str
    category: str
    paper: str
    says: Said


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


def subject_of_plan(plan: Plan) -> LabelSubject:
    """A plan: its labels are drafts."""
    return LabelSubject(
        recipe=plan.recipe,
        revision=plan.revision,
        batch_code="",
        made_on=None,
        composition=Composition.of([(line.material, line.exact_g) for line in plan.lines]),
        lots=_planned_lots(plan),
        tins=_kinds((tin.tin, tin.name, tin.number, tin.fill_g, False) for tin in plan.tins),
        materials=plan.materials,
        not_final=(say("It is a plan: nothing was made yet."),),
        set_aside=False,
    )


def _planned_lots(plan: Plan) -> dict[str, tuple[str, ...]]:
    return {line.material: (line.lot,) for line in plan.lines if line.lot}


def subject_of_session(state: SessionState) -> LabelSubject:
    """A session, as far as it went.  Raises `Trouble` for one that never began."""
    plan = state.plan
    if plan is None or state.started_wall is None:
        raise Trouble(say("This batch never began, so there is nothing to label."))
    made = record(state)
    not_final: list[Said] = []
    if state.rehearsal:
        not_final.append(say("It was a practice run: there is no balm."))
    if state.phase is Phase.ENDED_EARLY:
        not_final.append(say("The batch was ended early: {reason}", reason=state.ended_because or "-"))
    elif state.phase is not Phase.FINISHED:
        not_final.append(say("The batch is not finished."))
    poured_s = max((tin.at_s for tin in state.poured.values()), default=0.0)
    return LabelSubject(
        recipe=plan.recipe,
        revision=state.revision,
        batch_code=state.batch_code or f"{state.started_wall:%y%m%d}-{state.revision}",
        made_on=(state.started_wall + timedelta(seconds=poured_s)).date(),
        composition=made.composition,
        lots={**_planned_lots(plan), **{line.material: line.lots for line in made.lines if line.lots}},
        tins=_tins_made(state, plan),
        materials=plan.materials,
        not_final=tuple(not_final),
        set_aside=state.over_skin_limit,
    )


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
    footing = _footing(leaves, catalogue, verdict)
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
        *_of_verdict(verdict, over, subject.set_aside, footing, catalogue),
        *date_wrong,
        *_missing(subject, rules, wish, ingredients, catalogue),
    ]
    notes = [ingredients.allergens.rule.says if wish.place is not LabelPlace.PRESENT else rules.notes[0]]
    notes += [each for each in rules.notes if each not in notes]
    notes += [*date_notes, *(each.says for each in footing)]
    if ingredients.without_inci:
        notes.append(
            say(
                "Named by their trade name, for want of the name that belongs on a label: {names}.",
                names=_names(ingredients.without_inci, catalogue),
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


# --- tins ---


def _kinds(tins: Iterable[tuple[str, str, int, float, bool]]) -> tuple[TinKind, ...]:
    grouped: dict[str, list[tuple[str, str, int, float, bool]]] = {}
    for tin in tins:
        grouped.setdefault(tin[0], []).append(tin)
    return tuple(
        TinKind(
            key=key,
            name=same[0][1],
            numbers=tuple(each[2] for each in same),
            content_g=min(each[3] for each in same),
            weighed=all(each[4] for each in same),
        )
        for key, same in grouped.items()
    )


def _tins_made(state: SessionState, plan: Plan) -> tuple[TinKind, ...]:
    """What was poured, by the weight of the set tin where it was weighed."""
    weighed = {
        need: float(recorded.value)
        for progress in state.steps
        if progress.step.kind is StepKind.WEIGH_TINS
        for need, recorded in progress.recorded.items()
    }
    names = {tin.tin: tin.name for tin in plan.tins}
    return _kinds(
        (
            tin.tin,
            names.get(tin.tin, tin.tin),
            tin.number,
            weighed.get(f"tin:{tin.number}", tin.mass_g),
            f"tin:{tin.number}" in weighed,
        )
        for tin in state.poured.values()
    )


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
        names = _names(undated, catalogue)
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
                    lot=first[0],
                    date=f"{first[1]:%Y-%m-%d}",
                )
            )
        first = ("", wish.best_before)
        notes.append(say("The date was given by the maker."))
    elif first is not None:
        notes.append(
            say("The shortest-lived lot is {lot}, good until {date}.", lot=first[0], date=f"{first[1]:%Y-%m-%d}")
        )  # fmt: skip
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


# --- final or not ---


def _footing(leaves: Composition, catalogue: Catalogue, verdict: SkinVerdict | None) -> tuple[Footing, ...]:
    """Certificates of what is inside, for the categories that count."""
    if verdict is None:
        return ()
    found = []
    for portion in leaves.portions:
        name = catalogue.material(portion.material).name
        for paper in catalogue.certificates_of(portion.material):
            if paper.category in verdict.categories:
                found.append(
                    Footing(
                        portion.material,
                        name,
                        paper.edition,
                        paper.category,
                        paper.paper,
                        say(
                            "Rests on the supplier's certificate for {name}: {paper}, {edition}, category {category}, at most {share}.",
                            name=name,
                            paper=paper.paper,
                            edition=paper.edition,
                            category=paper.category,
                            share=Share(paper.max_percent, 3),
                        ),
                    )
                )  # fmt: skip
    return tuple(found)


def _of_verdict(
    verdict: SkinVerdict | None,
    over: bool,
    set_aside: bool,
    footing: tuple[Footing, ...],
    catalogue: Catalogue,
) -> list[Said]:
    if verdict is None:
        return [say("Nothing was weighed, so nothing can be said about it.")]
    if over:
        found = [
            say(
                "Over its limit: {name} is at {share} and may be at most {limit}.",
                name=limit.name,
                share=Share(limit.concentration_percent or 0.0, 3),
                limit=Share(limit.limit_percent or 0.0, 3),
            )
            for limit in verdict.over
        ]
        if set_aside:
            found.append(say("A limit for skin was set aside in this batch."))
        return found
    if verdict.verdict is Verdict.WITHIN:
        return []
    certified: dict[str, set[str]] = {}
    for paper in footing:
        certified.setdefault(paper.material, set()).add(paper.category)
    reasons = []
    for unknown in verdict.unknown:
        enough = certified.get(unknown.material, set()) >= set(verdict.categories) and all(
            unknown.share_percent <= paper.max_percent
            for paper in catalogue.certificates_of(unknown.material)
            if paper.category in verdict.categories
        )
        if not enough:
            reasons.append(say("{why}", why=unknown.why))
    reasons += [
        say("{why}", why=limit.why)
        for limit in verdict.limits
        if limit.binding and limit.limit_percent is None and limit.used_percent is None
    ]
    if not reasons and not verdict.unknown:
        reasons.append(say("{why}", why=verdict.why))
    return reasons


def _missing(
    subject: LabelSubject,
    rules: PlaceRules,
    wish: LabelWish,
    ingredients: IngredientList,
    catalogue: Catalogue,
) -> list[Said]:
    found = []
    if rules.asks_for(Part.MAKER) and not wish.maker_line.strip():
        found.append(say("The maker's name and address are missing."))
    if rules.asks_for(Part.ALLERGENS) and ingredients.allergens.unknown:
        found.append(
            say(
                "Nobody stated the allergens of: {names}. Enter the supplier's allergen sheet on the shelf.",
                names=_names(ingredients.allergens.unknown, catalogue),
            )
        )
    if rules.asks_for(Part.NET_WEIGHT) and subject.made_on is not None and not subject.tins:
        found.append(say("No tin was poured, so there is nothing to weigh."))
    if wish.place is LabelPlace.PRESENT and subject.recipe.brief.selling:
        found.append(say("The recipe is meant to be sold, and then it is no present. Choose a place."))
    return found


def _names(materials: Iterable[str], catalogue: Catalogue) -> str:
    return ", ".join(catalogue.material(key).name for key in dict.fromkeys(materials))
