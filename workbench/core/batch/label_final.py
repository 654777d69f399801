"""Whether labels may be called final, and on whose paper they rest."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from workbench.core.batch.label_subject import LabelSubject
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.composition import Composition
from workbench.core.skin.durability import USUAL_MONTHS_OPEN
from workbench.core.skin.label import IngredientList
from workbench.core.skin.label_rules import LabelPlace, Part, PlaceRules
from workbench.core.skin.verdict import SkinVerdict, Verdict
from workbench.core.wording import Said, Share, say


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


def footing_of(leaves: Composition, catalogue: Catalogue, verdict: SkinVerdict | None) -> tuple[Footing, ...]:
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


def reasons_of_verdict(
    verdict: SkinVerdict | None,
    over: bool,
    set_aside: bool,
    footing: tuple[Footing, ...],
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
        # that no more was used than its certificate allows is a limit like any other, and judged above
        enough = certified.get(unknown.material, set()) >= set(verdict.categories)
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


def missing_parts(
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
                names=names_of(ingredients.allergens.unknown, catalogue),
            )
        )
    if wish.place is LabelPlace.PRESENT and subject.recipe.brief.selling:
        found.append(say("The recipe is meant to be sold, and then it is no present. Choose a place."))
    return found


def names_of(materials: Iterable[str], catalogue: Catalogue) -> str:
    return ", ".join(catalogue.material(key).name for key in dict.fromkeys(materials))
