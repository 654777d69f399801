"""`balmbook stock`: what is left of every lot, what runs out, what to buy."""

from __future__ import annotations

import argparse
import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from workbench.core.trouble import Trouble
from workbench.core.wording import say

if TYPE_CHECKING:
    from workbench.core.batch.record import SessionSummary
    from workbench.core.catalogue.catalogue import Catalogue
    from workbench.core.recipe.model import Recipe
    from workbench.core.review.reactions import Flags
    from workbench.core.review.stock import Need, Stock, TinCost, ToBuy


def stock_(words: list[str]) -> int:
    """Print it, or one JSON object for scripts."""
    parser = argparse.ArgumentParser(
        prog="balmbook stock",
        description="What is left of every bottle and bag: as counted, less what real batches weighed out of "
        "it since; what runs out or grows old; what to buy.",
    )
    parser.add_argument("project", type=Path, help="a project, or an exported .json")
    parser.add_argument("--recipe", help="what a batch of this recipe would need, and what a tin of it costs")
    parser.add_argument("--json", action="store_true", help="one JSON object, for scripts")
    given = parser.parse_args(words)
    from workbench.core.recipe.amounts import work_out
    from workbench.core.recipe.weighed import Where
    from workbench.core.review.stock import needs, shopping, stock, tin_costs

    catalogue, recipes, summaries, flagged = _held(given.project)
    made = stock(catalogue.shelf, summaries, datetime.now(UTC).astimezone().date())
    wanted: tuple[Need, ...] = ()
    costs: tuple[TinCost, ...] = ()
    if given.recipe is not None:
        recipe = _recipe(recipes, given.recipe, given.project)
        weighed = work_out(recipe, catalogue)
        lots = {(Where.BASE, at): line.lot for at, line in enumerate(recipe.base)}
        lots |= {(Where.SCENT, at): line.lot for at, line in enumerate(recipe.scent)}
        lines = [(line.material, lots.get((line.where, line.index)), line.exact_g) for line in weighed.lines]
        wanted = needs(lines, made)
        costs = tin_costs(weighed.cost.amount, [(tin.name, tin.count, tin.fill_g) for tin in weighed.tins])
    kinds = {key: material.kind for key, material in catalogue.materials.items()}
    report = _report(made, wanted, shopping(made, wanted, kinds), costs, catalogue, flagged)
    if given.json:
        print(json.dumps(report, indent=2, ensure_ascii=False))
    else:
        _print(report)
    return 0


def _held(path: Path) -> tuple[Catalogue, Mapping[str, Recipe], Mapping[str, SessionSummary], Flags]:
    from workbench.core.review.keeping import FAULT_SEEN, WORD_FROM_WEARER
    from workbench.core.review.reactions import flags, reactions
    from workbench.store.resources import load_catalogue

    told: dict[str, dict[str, object]] = {WORD_FROM_WEARER: {}, FAULT_SEEN: {}}
    if path.suffix == ".json":
        from workbench.store.interchange import read_document
        from workbench.store.meaning import summarise

        document = read_document(path)
        recipes = {part.name: part.revisions[-1].recipe for part in document.recipes if not part.put_away}
        made = {part.id: summarise([each.event for each in part.events]) for part in document.sessions}
        shelf = document.shelf
        for part in sorted(document.documents, key=lambda each: each.revision):
            if part.kind in told:
                told[part.kind][part.key] = part.body
    else:
        from workbench.store.project import Project

        with Project.open(path, read_only=True) as project:
            recipes = {entry.name: entry.recipe for entry in project.recipes()}
            made = {entry.id: entry.summary for entry in project.sessions()}
            shelf = project.shelf()
            for kind, held in told.items():
                held.update({each.key: each.body for each in project.documents(kind)})
    found = {key: each for key, each in made.items() if each is not None and each.ended is not None}
    catalogue = load_catalogue().over(shelf)
    reported = reactions(told[WORD_FROM_WEARER], told[FAULT_SEEN])
    return catalogue, recipes, found, flags(reported, found, catalogue.materials)


def _recipe(recipes: Mapping[str, Recipe], name: str, path: Path) -> Recipe:
    found = next((recipe for held, recipe in recipes.items() if held.casefold() == name.casefold()), None)
    if found is None:
        names = ", ".join(recipes) or "none"
        raise Trouble(
            say(
                "There is no recipe “{name}” in {path}. It holds: {names}.",
                name=name,
                path=path.name,
                names=names,
            )
        )
    return found


def _report(
    made: Stock,
    wanted: tuple[Need, ...],
    bought: tuple[ToBuy, ...],
    costs: tuple[TinCost, ...],
    catalogue: Catalogue,
    flagged: Flags,
) -> dict[str, Any]:
    from workbench.core.review.reaction_words import lot_caution, lot_doubt
    from workbench.core.review.stock import remark

    def name(material: str) -> str:
        row = catalogue.materials.get(material)
        return material if row is None else row.name

    return {
        "lots": [
            {
                "lot": each.lot.key,
                "material": each.lot.material,
                "name": name(each.lot.material),
                "supplier_lot": each.lot.supplier_lot,
                "left_g": _rounded(each.left_g),
                "used_since_g": _rounded(each.used_g),
                "over_g": _rounded(each.over_g),
                "batches_left": _rounded(each.batches_left, 1),
                "best_before": _day(each.lot.best_before),
                "opened": _day(each.lot.opened),
                "says": str(remark(each) or ""),
                "reaction": str(
                    lot_caution(flagged, each.lot.key)
                    or lot_doubt(flagged, each.lot.material, each.lot.opened)
                    or ""
                ),
                "unnamed_in": list(each.unnamed),
            }
            for each in made.lots
        ],
        "unbooked": [
            {
                "session": use.session,
                "batch": use.batch,
                "material": use.material,
                "mass_g": _rounded(use.mass_g),
            }
            for use in made.unbooked
        ],
        "needs": [
            {
                "material": need.material,
                "name": name(need.material),
                "need_g": _rounded(need.need_g),
                "have_g": _rounded(need.have_g),
                "missing_g": _rounded(need.missing_g),
            }
            for need in wanted
        ],
        "buy": [
            {
                "material": each.material,
                "name": name(each.material),
                "amount_g": _rounded(each.amount_g),
                "why": [str(why) for why in each.why],
            }
            for each in bought
        ],
        "tins": [{"tin": tin.tin, "count": tin.count, "each": _rounded(tin.each)} for tin in costs],
        "currency": catalogue.shelf.currency,
    }


def _rounded(value: float | None, digits: int = 2) -> float | None:
    return None if value is None else round(value, digits)


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _print(report: Mapping[str, Any]) -> None:
    from rich.console import Console
    from rich.table import Table

    out = Console()
    table = Table(box=None, pad_edge=False, header_style="bold")
    for title, justify in (
        ("bottle or bag", "left"),
        ("left", "right"),
        ("used since", "right"),
        ("", "left"),
    ):
        table.add_column(title, justify=justify)  # type: ignore[arg-type]
    for each in report["lots"]:
        name = f"{each['name']}, lot {each['supplier_lot']}" if each["supplier_lot"] else each["name"]
        says = [each["reaction"], each["says"]]
        if each["unnamed_in"]:
            says.append(f"Not named in batch {', '.join(each['unnamed_in'])}: its lot is not known.")
        table.add_row(
            name, _grams(each["left_g"]), _grams(each["used_since_g"]), " ".join(one for one in says if one)
        )
    out.print(table if report["lots"] else "No bottle or bag stands on the shelf.")
    for use in report["unbooked"]:
        out.print(
            f"  batch {use['batch']}: {_grams(use['mass_g'])} of {use['material']} without naming a bottle; its "
            "lot is not known"
        )
    for need in report["needs"]:
        missing = f", {_grams(need['missing_g'])} missing" if need["missing_g"] else ""
        out.print(
            f"  takes {_grams(need['need_g'])} of {need['name']}, {_grams(need['have_g'])} left{missing}"
        )
    out.print("To buy:" if report["buy"] else "Nothing to buy, as far as it was weighed.")
    for each in report["buy"]:
        amount = "some" if each["amount_g"] is None else _grams(each["amount_g"])
        out.print(f"  {each['name']}: {amount}. {' '.join(each['why'])}")
    for tin in report["tins"]:
        out.print(f"  {tin['tin']}: materials for {tin['each']:.2f} {report['currency']} each")


def _grams(mass_g: float | None) -> str:
    return "not weighed" if mass_g is None else f"{mass_g:.2f} g"
