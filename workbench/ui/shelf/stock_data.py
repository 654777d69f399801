"""What the page of the stock asks of the window, and its tables as they are taken out; no Qt in here."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from workbench.core.batch.record import SessionSummary, summary
from workbench.core.batch.session import fold
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.model import Recipe
from workbench.core.recipe.weighed import Weighed, Where
from workbench.core.review.keeping import FAULT_SEEN, WORD_FROM_WEARER
from workbench.core.review.reaction_words import uses_caution, wanted_of
from workbench.core.review.reactions import NO_FLAGS, Flags, flags, reactions
from workbench.core.review.stock import Need, Stock, ToBuy, remark
from workbench.core.wording import Said
from workbench.store.project import Project

if TYPE_CHECKING:
    from workbench.ui.editor.model import RecipeModel
    from workbench.ui.project_desk import ProjectDesk

STOCK_COLUMNS = (
    "lot", "material", "supplier_lot", "left_g", "counted_g", "counted_at", "used_since_g", "batches_since",
    "usual_batch_g", "opened", "best_before", "price_per_kg", "remark",
)  # fmt: skip
SHOPPING_COLUMNS = ("material", "amount_g", "why")


@dataclass(frozen=True, slots=True)
class Planned:
    """The recipe in the editor: (material, lot or None, g), what it costs, (tin, count, fill in g)."""

    name: str
    lines: tuple[tuple[str, str | None, float], ...]
    amount: float | None
    why_no_amount: str
    tins: tuple[tuple[str, int, float], ...]


def planned_of(recipe: Recipe, weighed: Weighed) -> Planned:
    lines = []
    for line in weighed.lines:
        own = recipe.base if line.where is Where.BASE else recipe.scent
        lot = own[line.index].lot if line.index < len(own) else None
        lines.append((line.material, lot, line.exact_g))
    return Planned(
        recipe.name,
        tuple(lines),
        weighed.cost.amount,
        weighed.cost.why,
        tuple((tin.name, tin.count, tin.fill_g) for tin in weighed.tins),
    )


def nothing_made() -> dict[str, SessionSummary]:
    return {}


def nothing_flagged() -> Flags:
    return NO_FLAGS


def nothing_planned() -> Planned | None:
    return None


def wall_now() -> datetime:
    return datetime.now().astimezone()


@dataclass(frozen=True)
class StockPorts:
    """`summaries` by session, newest first; `folder` is where files are proposed to go.

    `summaries` and `flagged` may raise `Trouble`.
    """

    summaries: Callable[[], Mapping[str, SessionSummary]] = nothing_made
    flagged: Callable[[], Flags] = nothing_flagged
    planned: Callable[[], Planned | None] = nothing_planned
    now: Callable[[], datetime] = wall_now
    folder: Callable[[], Path] = field(default=Path.home)


def summaries_of(project: Project | None) -> dict[str, SessionSummary]:
    """Summaries of the batches that are over, newest first."""
    entries = () if project is None else project.sessions()
    return {each.id: each.summary for each in entries if each.summary is not None}


def flags_of(project: Project | None, catalogue: Catalogue) -> Flags:
    """What reactions have flagged in a project, told by a wearer or seen by the maker.  May raise `Trouble`.

    What was in a batch that is not over yet is read from its events.
    """
    if project is None:
        return NO_FLAGS
    told = reactions(
        {each.key: each.body for each in project.documents(WORD_FROM_WEARER)},
        {each.key: each.body for each in project.documents(FAULT_SEEN)},
    )
    if not told:
        return NO_FLAGS
    entries = project.sessions()
    made = {each.id: each.summary for each in entries if each.summary is not None}
    for each in entries:
        if each.summary is None and any(one.is_about(each.id, each.batch_code) for one in told):
            made[each.id] = summary(fold(project.events(each.id)))
    return flags(told, made, catalogue.materials)


def caution_among(made: Flags, recipe: Recipe, catalogue: Catalogue) -> Said | None:
    """A sentence for wherever this recipe is opened or made; None where nothing was reported.

    It names the recipe before a lot that its lines take, and that before a material in common.
    """
    return uses_caution(made, wanted_of(recipe), catalogue.materials)


def ports_of(desk: ProjectDesk, model: RecipeModel) -> StockPorts:
    """The open project and the recipe in the editor."""

    def planned() -> Planned | None:
        made = model.evaluation
        return None if made is None else planned_of(model.recipe, made.weighed)

    def folder() -> Path:
        return Path.home() if desk.project is None else desk.project.path.parent

    return StockPorts(
        lambda: summaries_of(desk.project),
        lambda: flags_of(desk.project, model.context.catalogue),
        planned,
        folder=folder,
    )


def name_of(material: str, catalogue: Catalogue) -> str:
    row = catalogue.materials.get(material)
    return material if row is None else row.name


def stock_rows(made: Stock, catalogue: Catalogue) -> tuple[tuple[object, ...], ...]:
    """One row a lot."""
    return tuple(
        (
            each.lot.key, name_of(each.lot.material, catalogue), each.lot.supplier_lot, _round(each.left_g),
            each.lot.left_g, each.lot.counted.isoformat() if each.lot.counted else None, _round(each.used_g),
            each.batches, _round(made.usual_g.get(each.lot.material)), each.lot.opened, each.lot.best_before,
            each.lot.price_per_kg, str(remark(each) or ""),
        )
        for each in made.lots
    )  # fmt: skip


def shopping_rows(bought: Sequence[ToBuy], catalogue: Catalogue) -> tuple[tuple[object, ...], ...]:
    return tuple(
        (name_of(each.material, catalogue), _round(each.amount_g), " ".join(str(why) for why in each.why))
        for each in bought
    )


def _round(value: float | None) -> float | None:
    return None if value is None else round(value, 2)


def in_short(needs: Sequence[Need]) -> tuple[Need, ...]:
    """What is missing first, then what is not known, then what there is enough of."""
    return tuple(sorted(needs, key=lambda each: (each.missing_g <= 0, each.have_g is not None)))
