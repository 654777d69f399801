"""Every limit that counts for the chosen uses, place and edition, as rows of one matrix.

One row per limit and category.  `coefficients @ per cent of each material` is
the concentration that the row compares with its limit, so checking, headroom
and the largest load are all the same few lines of linear algebra.

Three sorts of rows are not in the table but follow from it:
the sum of phototoxic percentages (at most 100), and a supplier's certificate,
which gives a row of its own and bounds what the material can hold of anything
the industry standard limits: if C % of the material keeps within a limit of
l %, then the material holds at most l / C of it.  That is how the paper
replaces our typical maxima, for that material, edition and category alone,
and adds up honestly with other sources.  A law is never touched by it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum, auto

import numpy as np
import numpy.typing as npt

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Confidence, Limit, Place, Use
from workbench.core.skin.tables import SkinTables, Vector, tables_of
from workbench.core.trouble import Trouble
from workbench.core.wording import say

# The newest compilation that could be found is "The complete IFRA Standards up to and including
# the 51st Amendment" (January 2024).
NEWEST_EDITION = "51st Amendment"

# "shall not exceed": exactly at the limit passes; this forgives the last bit of arithmetic
FORGIVEN = 1 + 1e-9

INDUSTRY = "industry standard"
LAW = "law"
CERTIFICATE = "supplier's certificate"
PHOTOTOXIC = "phototoxic"
BERGAPTEN = "bergapten_total"


class Sort(Enum):
    SINGLE = auto()
    PHOTOTOXIC_OIL = auto()  # a phototoxic oil by its own limit
    PHOTOTOXIC_SUM = auto()
    BERGAPTEN = auto()
    CERTIFICATE = auto()


@dataclass(frozen=True, slots=True)
class Rule:
    """One row: a limit in one category."""

    key: str
    name: str
    category: str
    sort: Sort
    regime: str
    basis: str
    source: str
    confidence: Confidence
    limit_percent: float
    limit: Limit | None

    @property
    def subject(self) -> object:
        """What is limited; two regimes on the same subject are compared, and the stricter binds."""
        if self.limit is None:
            return self.key
        if self.limit.group and self.limit.group != PHOTOTOXIC:
            return self.limit.group
        return (frozenset(self.limit.constituents), frozenset(self.limit.restricted_as))


@dataclass(frozen=True, slots=True)
class Silent:
    """A limit that exists, but without a number for some of the chosen categories."""

    limit: Limit
    categories: tuple[str, ...]
    coefficients: Vector


Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Rules:
    tables: SkinTables
    uses: tuple[Use, ...]
    categories: tuple[str, ...]
    place: Place
    edition: str
    rows: tuple[Rule, ...]
    coefficients: Vector  # rows x materials
    limits: Vector  # per cent
    silent: tuple[Silent, ...]
    bergapten_sources: Mask  # by material, itself: phototoxic by a limit on the whole oil
    bergapten_known: Mask  # its content stands in the table
    bergapten_measured: Mask  # its content comes from the supplier's papers
    certified: Mask  # by material, itself: a certificate for every chosen category
    phototoxic_rows: Mask = field(repr=False)
    bergapten_rows: Mask = field(repr=False)

    def leaves(self, amounts: Vector) -> Mask:
        """Which materials are in there, looking into leftovers."""
        present: Mask = (amounts @ self.tables.leaf) > 0
        return present

    def bergapten_by_table(self, leaves: Mask) -> bool:
        """Every source of bergapten that is present has its content in the table."""
        return bool(np.all(self.bergapten_known[leaves & self.bergapten_sources]))

    def bergapten_decides(self, leaves: Mask) -> bool:
        """Total bergapten replaces the single limits: every source was measured by its supplier.

        A content out of a book is not "known" for the bottle at hand; then the
        single limits stay in force beside the total.
        """
        sources = leaves & self.bergapten_sources
        return bool(sources.any()) and bool(np.all(self.bergapten_measured[sources]))

    def in_force(self, leaves: Mask) -> Mask:
        """The rows that decide for a balm with these materials."""
        if self.bergapten_decides(leaves):
            return ~self.phototoxic_rows
        if self.bergapten_by_table(leaves):
            return np.ones(len(self.rows), dtype=bool)
        return ~self.bergapten_rows


_kept: list[Rules] = []
_KEEP = 8


def rules_for(
    catalogue: Catalogue, uses: Iterable[Use], place: Place, edition: str = NEWEST_EDITION
) -> Rules:
    """The rows for these uses; kept, because an editor asks again with every key."""
    wanted = tuple(dict.fromkeys(uses))
    for rules in _kept:
        if (
            rules.tables.catalogue is catalogue
            and rules.uses == wanted
            and rules.place is place
            and rules.edition == edition
        ):
            return rules
    rules = compile_rules(tables_of(catalogue), wanted, place, edition)
    _kept.insert(0, rules)
    del _kept[_KEEP:]
    return rules


def compile_rules(tables: SkinTables, uses: tuple[Use, ...], place: Place, edition: str) -> Rules:
    """Build the rows.  Raises `Trouble` for no use, or one without a category."""
    categories = _categories(tables.catalogue, uses)
    papers = _certificates(tables, categories, edition)
    rows: list[Rule] = []
    coefficients: list[Vector] = []
    silent: list[Silent] = []
    for limit in tables.catalogue.limits:
        is_law = bool(limit.places)
        if is_law and place not in limit.places:
            continue
        share = tables.share_of(limit.constituents, limit.restricted_as)
        known = [category for category in categories if category in limit.max_percent]
        if len(known) < len(categories):
            unknown = tuple(category for category in categories if category not in known)
            silent.append(Silent(limit, unknown, tables.leaf @ share))
        for category in known:
            most = limit.max_percent[category]
            bounded = share if is_law else _bounded(share, papers[category], most)
            rows.append(_rule(limit, category, most, is_law))
            coefficients.append(tables.leaf @ bounded)
    _add_sums(categories, rows, coefficients)
    _add_certificates(tables, papers, rows, coefficients)
    width = len(tables.materials)
    sources, known_content, measured = _bergapten(tables)
    certified = np.zeros(width, dtype=bool)
    for material in range(width):
        certified[material] = all(material in papers[category] for category in categories)
    return Rules(
        tables=tables,
        uses=uses,
        categories=categories,
        place=place,
        edition=edition,
        rows=tuple(rows),
        coefficients=np.array(coefficients).reshape(len(rows), width),
        limits=np.array([row.limit_percent for row in rows]),
        silent=tuple(silent),
        bergapten_sources=sources,
        bergapten_known=known_content,
        bergapten_measured=measured,
        certified=certified,
        phototoxic_rows=np.array(
            [row.sort in (Sort.PHOTOTOXIC_OIL, Sort.PHOTOTOXIC_SUM) for row in rows], dtype=bool
        ),
        bergapten_rows=np.array([row.sort is Sort.BERGAPTEN for row in rows], dtype=bool),
    )


def _categories(catalogue: Catalogue, uses: tuple[Use, ...]) -> tuple[str, ...]:
    if not uses:
        raise Trouble(say("No intended use is chosen. Choose at least one, so that limits can be compared."))
    found: dict[str, None] = {}
    for use in uses:
        if use not in catalogue.categories:
            raise Trouble(
                say(
                    "No category is known for the use “{use}”. Choose another use or complete the tables.",
                    use=use.value,
                )
            )
        found[catalogue.categories[use]] = None
    return tuple(found)


def _ordinal(edition: str) -> str:
    number = re.search(r"\d+", edition)
    return number.group() if number else edition.strip().casefold()


@dataclass(frozen=True, slots=True)
class _Paper:
    max_percent: float
    paper: str
    edition: str


def _certificates(
    tables: SkinTables, categories: tuple[str, ...], edition: str
) -> dict[str, dict[int, _Paper]]:
    """Certificates of the asked edition by category and material; of two, the stricter counts."""
    found: dict[str, dict[int, _Paper]] = {category: {} for category in categories}
    for paper in tables.catalogue.shelf.certificates:
        place = tables.index.get(paper.material)
        if place is None or paper.category not in found or _ordinal(paper.edition) != _ordinal(edition):
            continue
        earlier = found[paper.category].get(place)
        if earlier is None or paper.max_percent < earlier.max_percent:
            found[paper.category][place] = _Paper(paper.max_percent, paper.paper, paper.edition)
    return found


def _bounded(share: Vector, papers: dict[int, _Paper], most: float) -> Vector:
    if not papers or most == 0:  # what may not be in there at all stays so, whatever a paper says
        return share
    bounded = share.copy()
    for place, paper in papers.items():
        bounded[place] = min(bounded[place], most / paper.max_percent)
    return bounded


def _rule(limit: Limit, category: str, most: float, is_law: bool) -> Rule:
    sort = Sort.SINGLE
    if not is_law and limit.group == PHOTOTOXIC and limit.restricted_as:
        sort = Sort.PHOTOTOXIC_OIL
    elif limit.group == BERGAPTEN:
        sort = Sort.BERGAPTEN
    return Rule(
        key=limit.key,
        name=limit.name,
        category=category,
        sort=sort,
        regime=LAW if is_law else INDUSTRY,
        basis=limit.basis,
        source=limit.source,
        confidence=limit.confidence,
        limit_percent=most,
        limit=limit,
    )


def _add_sums(categories: tuple[str, ...], rows: list[Rule], coefficients: list[Vector]) -> None:
    for category in categories:
        terms = [
            (row, share)
            for row, share in zip(rows, coefficients, strict=True)
            if row.category == category
            and row.regime == INDUSTRY
            and row.limit is not None
            and row.limit.group == PHOTOTOXIC
            and row.limit_percent > 0
        ]
        if not terms:
            continue
        # Sum of 100 x concentration / limit "shall not exceed 100"
        total = np.sum([100.0 * share / row.limit_percent for row, share in terms], axis=0)
        first = terms[0][0]
        rows.append(
            Rule(
                key="phototoxic_sum",
                name="Phototoxic oils together",
                category=category,
                sort=Sort.PHOTOTOXIC_SUM,
                regime=INDUSTRY,
                basis="sum of the percentages of the single limits, at most 100",
                source=first.source,
                confidence=first.confidence,
                limit_percent=100.0,
                limit=None,
            )
        )
        coefficients.append(total)


def _add_certificates(
    tables: SkinTables, papers: dict[str, dict[int, _Paper]], rows: list[Rule], coefficients: list[Vector]
) -> None:
    for category, by_material in papers.items():
        for place, paper in by_material.items():
            material = tables.material(place)
            rows.append(
                Rule(
                    key=f"certificate_{material.key}",
                    name=say("{name}, by its certificate", name=material.name),
                    category=category,
                    sort=Sort.CERTIFICATE,
                    regime=CERTIFICATE,
                    basis=paper.edition,
                    source=paper.paper,
                    confidence=Confidence.SUPPLIER,
                    limit_percent=paper.max_percent,
                    limit=None,
                )
            )
            coefficients.append(tables.leaf[:, place].copy())


def _bergapten(tables: SkinTables) -> tuple[Mask, Mask, Mask]:
    """Which materials are sources, whose content is in the table, and whose was measured."""
    width = len(tables.materials)
    whole: set[str] = set()
    constituents: set[str] = set()
    for limit in tables.catalogue.limits:
        if limit.group == PHOTOTOXIC and not limit.places:
            whole.update(limit.restricted_as)
        elif limit.group == BERGAPTEN:
            constituents.update(limit.constituents)
    sources = np.zeros(width, dtype=bool)
    known = np.zeros(width, dtype=bool)
    measured = np.zeros(width, dtype=bool)
    for place in range(width):
        sources[place] = bool(whole.intersection(tables.material(place).restricted_as))
        found = [part for key, part in tables.contents[place].items() if key in constituents]
        known[place] = bool(found)
        measured[place] = any(
            (part.max_confidence or part.confidence) is Confidence.SUPPLIER for part in found
        )
    return sources, known, measured
