"""Makes the files in `sample_projects/` again: `python -m tests.make_samples`.

The recipes, lots and batches are invented.  The past batches were run on the
simulated pot, with fixed seeds and a fixed calendar, so that the files come
out the same each time.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

from workbench.core.batch.alarms import parse_alarms
from workbench.core.batch.events import AnyEvent, SessionStarted
from workbench.core.batch.procedure import make_plan
from workbench.core.batch.real_rules import rules_for
from workbench.core.batch.step_words import parse_steps
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Confidence, Figure, Note, Place, Use
from workbench.core.catalogue.shelf import Lot, Shelf
from workbench.core.recipe.model import (
    Amount,
    BaseLine,
    BatchSize,
    Brief,
    Heat,
    Measure,
    Recipe,
    ScentLine,
    TinCount,
)
from workbench.core.rehearsal.run import rehearse
from workbench.core.trouble import Trouble
from workbench.store.interchange import export_project
from workbench.store.project import Project
from workbench.store.resources import load_catalogue, load_starter_shelf, resource_bytes

FOLDER = Path(__file__).parent.parent / "sample_projects"
SUMMER, WINTER = timezone(timedelta(hours=2)), timezone(timedelta(hours=1))


def parts(value: float) -> Amount:
    return Amount(value=value, measure=Measure.PARTS)


def percent(value: float) -> Amount:
    return Amount(value=value, measure=Measure.PERCENT)


def base(material: str, amount: Amount) -> BaseLine:
    return BaseLine(material=material, amount=amount)


def scent(material: str, amount: Amount, note: Note) -> ScentLine:
    return ScentLine(material=material, amount=amount, note=note)


def lot(material: str, number: str, price_per_kg: float, opened: date, best_before: date) -> Lot:
    return Lot(
        key=f"{material}_{number}",
        material=material,
        supplier_lot=number.upper(),
        price_per_kg=price_per_kg,
        opened=opened,
        best_before=best_before,
    )


def shelf(*lots: Lot) -> Shelf:
    return load_starter_shelf().model_copy(
        update={
            "lots": lots,
            "room_c": Figure(value=20.0, source="sample kitchen", confidence=Confidence.SUPPLIER),
        }
    )


HARBOUR = Recipe(
    name="Harbour Evening",
    brief=Brief(for_whom="M. R.", occasion="for a long walk by the water", liked="dry woods, tea", pets=True),
    base=(
        base("beeswax", parts(2)),
        base("mango_butter", parts(2)),
        base("jojoba", parts(5)),
    ),
    scent=(
        scent("petitgrain", parts(4), Note.TOP),
        scent("clary_sage", parts(3), Note.MIDDLE),
        scent("cedarwood_virginia", parts(2), Note.BASE),
        scent("vetiver", parts(1), Note.BASE),
    ),
    load_percent=6,
    uses=(Use.PERFUME,),
    place=Place.EU,
    heat=Heat.WATER_BATH,
    vessel="beaker_250",
    thermometer="probe",
    size=BatchSize(tins=(TinCount(tin="round_15", count=5),), jug_allowance_percent=6),
)

HARBOUR_FIRST = HARBOUR.model_copy(
    update={
        "load_percent": 5.0,
        "scent": (
            scent("petitgrain", parts(5), Note.TOP),
            scent("clary_sage", parts(3), Note.MIDDLE),
            scent("cedarwood_virginia", parts(2), Note.BASE),
        ),
    }
)

ORCHARD = Recipe(
    name="Orchard Ledger",
    brief=Brief(occasion="market table, autumn", liked="soft flowers", selling=True),
    base=(
        base("rice_bran_wax", percent(9)),
        base("cocoa_butter", percent(21)),
        base("sunflower", percent(50)),
        base("jojoba", percent(20)),
    ),
    scent=(
        scent("geranium", parts(5), Note.TOP),
        scent("palmarosa", parts(3), Note.MIDDLE),
        scent("ylang", parts(1), Note.MIDDLE),
        scent("sandalwood", parts(4), Note.BASE),
        scent("benzoin", parts(2), Note.BASE),
    ),
    load_percent=5,
    uses=(Use.PERFUME,),
    place=Place.UK,
    heat=Heat.MICROWAVE,
    vessel="beaker_250",
    microwave="microwave_800",
    thermometer="probe",
    size=BatchSize(tins=(TinCount(tin="round_30", count=4),), jug_allowance_percent=5),
)

NOON = Recipe(
    name="Noon Ferry",
    brief=Brief(for_whom="A.", occasion="summer crossing", liked="everything citrus", worn_in_sun=True),
    base=(
        base("beeswax", percent(35)),
        base("shea_butter", percent(20)),
        base("sweet_almond", percent(45)),
    ),
    scent=(
        scent("bergamot", parts(4), Note.TOP),
        scent("lemon", parts(5), Note.TOP),
        scent("grapefruit", parts(4), Note.TOP),
        scent("neroli", parts(3), Note.MIDDLE),
        scent("frankincense", parts(2), Note.BASE),
    ),
    load_percent=7,
    uses=(Use.PERFUME, Use.LIPS),
    place=Place.EU,
    heat=Heat.WATER_BATH,
    vessel="beaker_250",
    thermometer="probe",
    size=BatchSize(mass_g=60),
)

# What the same scent becomes once it keeps to the limits and has a window.
NOON_TAMED = NOON.model_copy(
    update={
        "base": (
            base("beeswax", percent(14)),
            base("shea_butter", percent(26)),
            base("sweet_almond", percent(60)),
        ),
        "scent": (
            scent("petitgrain", parts(6), Note.TOP),
            scent("neroli", parts(2), Note.MIDDLE),
            scent("patchouli", parts(2), Note.BASE),
        ),
        "load_percent": 3.0,
        "uses": (Use.PERFUME,),
    }
)

LOTS_HARBOUR = (
    lot("beeswax", "w07", 24.0, date(2026, 3, 2), date(2028, 3, 1)),
    lot("mango_butter", "b19", 21.5, date(2026, 5, 11), date(2027, 9, 30)),
    lot("jojoba", "j44", 38.0, date(2026, 2, 14), date(2028, 1, 31)),
    lot("petitgrain", "p03", 190.0, date(2026, 6, 1), date(2027, 12, 31)),
    lot("clary_sage", "c11", 310.0, date(2026, 6, 1), date(2028, 6, 30)),
    lot("cedarwood_virginia", "v20", 120.0, date(2025, 11, 20), date(2029, 1, 31)),
    lot("vetiver", "h02", 420.0, date(2025, 11, 20), date(2030, 1, 31)),
)

LOTS_ORCHARD = (
    lot("rice_bran_wax", "r01", 29.0, date(2026, 1, 8), date(2029, 1, 31)),
    lot("cocoa_butter", "k12", 18.0, date(2026, 4, 3), date(2027, 10, 31)),
    lot("sunflower", "s90", 7.5, date(2026, 8, 20), date(2027, 4, 30)),
    lot("jojoba", "j45", 38.0, date(2026, 8, 20), date(2028, 5, 31)),
    lot("geranium", "g08", 280.0, date(2026, 7, 2), date(2028, 7, 31)),
    lot("palmarosa", "q05", 150.0, date(2026, 7, 2), date(2028, 7, 31)),
    lot("ylang", "y31", 260.0, date(2026, 7, 2), date(2028, 7, 31)),
    lot("sandalwood", "n04", 1900.0, date(2026, 7, 2), date(2031, 7, 31)),
    lot("benzoin", "z17", 95.0, date(2026, 7, 2), date(2030, 7, 31)),
)


def from_lots(recipe: Recipe, lots: Sequence[Lot]) -> Recipe:
    """The recipe with each line taken from the lot of its material."""
    key = {each.material: each.key for each in lots}
    return recipe.model_copy(
        update={
            "base": tuple(line.model_copy(update={"lot": key.get(line.material)}) for line in recipe.base),
            "scent": tuple(line.model_copy(update={"lot": key.get(line.material)}) for line in recipe.scent),
        }
    )


HARBOUR, HARBOUR_FIRST = from_lots(HARBOUR, LOTS_HARBOUR), from_lots(HARBOUR_FIRST, LOTS_HARBOUR)
ORCHARD = from_lots(ORCHARD, LOTS_ORCHARD)


# (recipe, revision, first day, seed, whether it stands for a batch that was really made)
Past = tuple[Recipe, int, datetime, int, bool]

SAMPLES: tuple[tuple[str, Shelf, tuple[Recipe, ...], tuple[Past, ...]], ...] = (
    (
        "harbour-evening",
        shelf(*LOTS_HARBOUR),
        (HARBOUR_FIRST, HARBOUR),
        (
            (HARBOUR_FIRST, 1, datetime(2026, 9, 12, 10, 5, tzinfo=SUMMER), 21, True),
            (HARBOUR, 2, datetime(2026, 10, 31, 15, 30, tzinfo=WINTER), 22, True),
        ),
    ),
    (
        "orchard-ledger",
        shelf(*LOTS_ORCHARD),
        (ORCHARD,),
        ((ORCHARD, 1, datetime(2026, 11, 7, 9, 40, tzinfo=WINTER), 31, True),),
    ),
    (
        "noon-ferry",
        shelf(),
        (NOON_TAMED, NOON),
        ((NOON_TAMED, 1, datetime(2026, 7, 4, 11, 0, tzinfo=SUMMER), 41, False),),
    ),
)


class Kept:
    """A journal that only keeps what it is given."""

    def __init__(self) -> None:
        self.events: list[AnyEvent] = []

    def append(
        self,
        session: str,
        first_seq: int,
        events: Sequence[AnyEvent],
        done: Callable[[Trouble | None], None],
    ) -> None:
        self.events.extend(events)
        done(None)


def run(past: Past, catalogue: Catalogue) -> list[AnyEvent]:
    """The events of one past batch, made on the simulated pot."""
    recipe, revision, began, seed, made = past
    plan = make_plan(
        recipe,
        revision,
        catalogue,
        parse_steps("steps.toml", resource_bytes("steps.toml")),
        today=began.date(),
    )
    kept = Kept()
    rules = rules_for(catalogue, parse_alarms("alarms.toml", resource_bytes("alarms.toml")))
    for _ in rehearse(
        plan,
        catalogue,
        journal=kept,
        rules=rules,
        began=began,
        seed=seed,
        batch_code=f"{began:%y%m%d}",
    ):
        pass
    first = kept.events[0]
    if made and isinstance(first, SessionStarted):
        kept.events[0] = first.model_copy(update={"rehearsal": False, "seed": None, "maker": "sample"})
    return kept.events


def make(stem: str, kitchen: Shelf, recipes: Sequence[Recipe], pasts: Sequence[Past], folder: Path) -> Path:
    """One sample as JSON in `folder`."""
    began = min(past[2] for past in pasts)
    catalogue = load_catalogue().over(kitchen)
    target = folder / f"{stem}.json"
    with (
        tempfile.TemporaryDirectory() as scratch,
        Project.create(Path(scratch) / f"{stem}.balmbook", now=lambda: began) as project,
    ):
        project.save_shelf(kitchen)
        for recipe in recipes:
            project.save_recipe(recipe)
        for past in pasts:
            session, events = project.new_session(), run(past, catalogue)
            for seq, event in enumerate(events, start=1):
                project.append(session, seq, [event])
        export_project(project, target)
    return target


def main() -> int:
    FOLDER.mkdir(exist_ok=True)
    for stem, kitchen, recipes, pasts in SAMPLES:
        print(f"made {make(stem, kitchen, recipes, pasts, FOLDER).name}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
