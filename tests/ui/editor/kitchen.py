"""Recipes to try the editor on, of our own invention."""

from __future__ import annotations

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import MaterialKind, Note
from workbench.core.recipe.model import Amount, BaseLine, BatchSize, Measure, Recipe, ScentLine, TinCount


def parts(value: float) -> Amount:
    return Amount(value=value, measure=Measure.PARTS)


BASE = (
    BaseLine(material="beeswax", amount=parts(20)),
    BaseLine(material="shea_butter", amount=parts(20)),
    BaseLine(material="jojoba", amount=parts(60)),
)

# cedarwood and lavender flash high enough for a soft base: there is a window
OPEN = Recipe(
    name="Evening ember",
    base=BASE,
    scent=(
        ScentLine(material="cedarwood_virginia", amount=parts(3), note=Note.BASE),
        ScentLine(material="lavender", amount=parts(2), note=Note.MIDDLE),
    ),
    load_percent=4,
    size=BatchSize(tins=(TinCount(tin="round_15", count=3),)),
    vessel="beaker_250",
    thermometer="probe",
)

# neat citrus in a firm base flashes before it is cool enough, and burns in the sun
SHUT = OPEN.model_copy(
    update={
        "name": "Citrus quay",
        "base": (
            BaseLine(material="beeswax", amount=parts(1)),
            BaseLine(material="shea_butter", amount=parts(1)),
            BaseLine(material="jojoba", amount=parts(2)),
        ),
        "scent": (
            ScentLine(material="bergamot", amount=parts(3), note=Note.TOP),
            ScentLine(material="lavender", amount=parts(2), note=Note.MIDDLE),
        ),
        "load_percent": 7.0,
    }
)


def forty_lines(catalogue: Catalogue) -> Recipe:
    """A recipe of 40 lines: every kind of base there is, and oils until it is full."""
    of_base = [
        m.key
        for m in catalogue.materials.values()
        if m.kind in (MaterialKind.WAX, MaterialKind.BUTTER, MaterialKind.CARRIER)
    ]
    of_scent = [m.key for m in catalogue.materials.values() if m.kind is MaterialKind.OIL]
    base = tuple(BaseLine(material=key, amount=parts(1)) for key in of_base[:12])
    scent = tuple(
        ScentLine(material=key, amount=parts(1), note=Note.MIDDLE) for key in of_scent[: 40 - len(base)]
    )
    return Recipe(name="Forty lines", base=base, scent=scent, size=BatchSize(mass_g=500.0))
