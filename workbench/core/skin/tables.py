"""The skin tables of a catalogue, compiled into matrices once.

Rows of every matrix are materials in the order of `materials`.  A leftover or
a premix is its parts, all the way down, so whatever it holds counts through.
Contents are mass fractions 0..1 at the maximum of each oil's range, because
the maker cannot know which end of the range stands in the bottle.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.kept import Kept
from workbench.core.catalogue.model import Confidence, Content, Material
from workbench.core.recipe.composition import Composition
from workbench.core.trouble import Trouble
from workbench.core.wording import say

Vector = npt.NDArray[np.float64]

_TRUST = {
    Confidence.MEMORY: 0,
    Confidence.DERIVED: 1,
    Confidence.SECOND_HAND: 2,
    Confidence.SEEN: 3,
    Confidence.SUPPLIER: 3,
}


def weakest(values: list[Confidence]) -> Confidence | None:
    """The least trustworthy of several confidences; None for none."""
    return min(values, key=_TRUST.__getitem__, default=None)


@dataclass(frozen=True, slots=True)
class SkinTables:
    """What every skin question needs of one catalogue.

    `leaf[i, j]` is the share 0..1 of material j in material i (1 on the
    diagonal unless i is made of others); `content[j, k]` the greatest share of
    constituent k in material j itself.
    """

    catalogue: Catalogue
    materials: tuple[str, ...]
    index: Mapping[str, int]
    constituents: tuple[str, ...]
    constituent_index: Mapping[str, int]
    leaf: Vector
    content: Vector
    contents: tuple[Mapping[str, Content], ...]
    allergens: Vector  # share 0..1 of each material, itself, that goes under each name to be printed
    missing: Mapping[str, tuple[str, ...]]  # made-of parts that no table knows, by material

    def percentages(self, composition: Composition) -> Vector:
        """Per cent of the balm for every material.  Raises `Trouble` for a material nobody knows."""
        amounts = np.zeros(len(self.materials))
        total_g = composition.mass_g
        for portion in composition.portions:
            self.catalogue.material(portion.material)  # raises where nobody knows it
            amounts[self.index[portion.material]] += 100.0 * portion.mass_g / total_g
        return amounts

    def material(self, place: int) -> Material:
        return self.catalogue.materials[self.materials[place]]

    def share_of(self, constituents: tuple[str, ...], restricted_as: tuple[str, ...]) -> Vector:
        """Share 0..1 of every material, itself, that counts towards a limit on these.

        A material that is restricted as a whole counts whole; otherwise the
        maxima of its constituents add up, but never to more than itself.
        """
        columns = [self.constituent_index[key] for key in constituents if key in self.constituent_index]
        counted = (
            np.minimum(self.content[:, columns].sum(axis=1), 1.0)
            if columns
            else np.zeros(len(self.materials))
        )
        wanted = set(restricted_as)
        if wanted:
            for place, key in enumerate(self.materials):
                if wanted.intersection(self.catalogue.materials[key].restricted_as):
                    counted[place] = 1.0
        return counted


def compile_tables(catalogue: Catalogue) -> SkinTables:
    """Build the matrices of one catalogue.

    Raises `Trouble` where a material is made of itself.
    """
    keys = tuple(catalogue.materials)
    index = {key: place for place, key in enumerate(keys)}
    names = dict.fromkeys(catalogue.constituents)
    contents: list[Mapping[str, Content]] = []
    for key in keys:
        of_it = {} if catalogue.materials[key].made_of else _by_constituent(catalogue.materials[key])
        contents.append(of_it)
        names.update(dict.fromkeys(of_it))
    constituents = tuple(names)
    constituent_index = {name: place for place, name in enumerate(constituents)}
    content = np.zeros((len(keys), len(constituents)))
    for row, parts in enumerate(contents):
        for name, part in parts.items():
            content[row, constituent_index[name]] = part.most / 100.0
    leaf = np.zeros((len(keys), len(keys)))
    missing: dict[str, tuple[str, ...]] = {}
    for key in keys:
        lost: list[str] = []
        _spread(catalogue, index, key, 1.0, leaf[index[key]], (key,), lost)
        if lost:
            missing[key] = tuple(dict.fromkeys(lost))
    return SkinTables(
        catalogue=catalogue,
        materials=keys,
        allergens=_allergens(catalogue, constituent_index, content),
        index=index,
        constituents=constituents,
        constituent_index=constituent_index,
        leaf=leaf,
        content=content,
        contents=tuple(contents),
        missing=missing,
    )


def _allergens(catalogue: Catalogue, constituent_index: Mapping[str, int], content: Vector) -> Vector:
    """One row per name: its substances add up, and an oil with a name of its own counts whole."""
    counts_as: dict[str, list[str]] = {}
    for key, constituent in catalogue.constituents.items():
        if constituent.allergen:
            counts_as.setdefault(constituent.allergen, []).append(key)
    own: dict[str, list[int]] = {}
    for at, material in enumerate(catalogue.materials.values()):
        if material.own_allergen:
            own.setdefault(material.own_allergen, []).append(at)
    share = np.zeros((len(catalogue.allergens), len(content)))
    for row, allergen in enumerate(catalogue.allergens):
        wanted = {*allergen.constituents, *counts_as.get(allergen.label_name, ())}
        columns = [constituent_index[key] for key in wanted if key in constituent_index]
        if columns:
            share[row] = np.minimum(content[:, columns].sum(axis=1), 1.0)
        share[row, own.get(allergen.label_name, [])] = 1.0
    return share


def _by_constituent(material: Material) -> dict[str, Content]:
    found: dict[str, Content] = {}
    for part in material.composition:
        if part.constituent in found:
            raise Trouble(
                say(
                    "The composition of {name} lists {constituent} twice. Put it on one line.",
                    name=material.name,
                    constituent=part.constituent,
                )
            )
        found[part.constituent] = part
    return found


def _spread(
    catalogue: Catalogue,
    index: Mapping[str, int],
    key: str,
    share: float,
    row: Vector,
    seen: tuple[str, ...],
    lost: list[str],
) -> None:
    material = catalogue.materials[key]
    if not material.made_of:
        row[index[key]] += share
        return
    # the shares may miss 100 % by a hundredth; nothing must be lost over that
    whole = sum(part.share_percent for part in material.made_of)
    for part in material.made_of:
        if part.material in seen:
            raise Trouble(
                say(
                    "{name} is made of itself. Correct what it is made of on the shelf.",
                    name=material.name,
                )
            )
        if part.material not in index:
            lost.append(part.material)
            continue
        _spread(
            catalogue,
            index,
            part.material,
            share * part.share_percent / whole,
            row,
            (*seen, part.material),
            lost,
        )


tables_of: Final = Kept(compile_tables)  # of this very catalogue, built when first asked for
