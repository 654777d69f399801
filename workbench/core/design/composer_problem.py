"""The wish as a mixed-integer linear problem.

For oil j, whole number x_j of drops or scale steps and y_j whether it is in.
The base fixes the activities, so the concentration of every constituent at
the nose at a given moment is linear in x.  Divided by the concentration that
the dose-response curve asks for (its inverse), it is a dose: 1 means that
this constituent alone gives the strength wished.  A note is as strong as its
strongest constituent, so for each aim one constituent is chosen (z) to lead;
e is what it gives towards the aim, and h their sum, which is one of them:

    e <= dose,  e <= z,  sum z = 1,  h = sum e
    short  >= -log2(h), by four tangents
    over   >= dose - 1      for every constituent of the note
    others >= 2 (dose - 1)  for every constituent of the other notes

Skin limits, the phototoxic sum, load and stock are linear in x as they stand.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.design.in_stock import in_stock
from workbench.core.design.wish import Aim, Holds, Leaning, Wish
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.densities import density_of
from workbench.core.recipe.model import Recipe
from workbench.core.scent.course import course
from workbench.core.scent.notes import notes_for
from workbench.core.scent.strength import air_mg_m3, log_dose_for
from workbench.core.scent.volatility import Array, Carrier, Indices, Volatility, carrier_of, volatility_of
from workbench.core.skin.rules import Rules, rules_for
from workbench.core.units import drops_g
from workbench.core.wording import Said, say

MUST_SHARE = 0.02  # of the load: less of an oil that must be in would not be noticed
TANGENTS = (1.0, 0.5, 0.2, 0.06)
SHORT_MOST = 6.0  # doublings; an aim missed by more counts no worse
PER_OIL = 0.02  # a blend of fewer oils is preferred where nothing else decides
MORE, LESS = 1.5, 1.5  # worth in doublings of an oil that is the whole load
OTHER_SLOPE = 2.0  # doublings by which a stronger other note counts, per dose over the aim
LARGEST_SHARE = 0.6  # of the load: all one oil is not what is meant by a blend
NOTICED_SHARE = 0.01  # of the load: less of an oil is not worth a bottle opened
TRACE_DOSE = 0.05  # a constituent that cannot reach this share of its dose never leads


@dataclass(frozen=True, slots=True)
class Candidates:
    """The oils that may be used, with what one unit of each weighs and at most and at least comes to."""

    oils: tuple[str, ...]
    unit_g: Array
    most: Indices  # units
    least: Indices  # units, if it is in at all
    stock_g: Array  # infinite where nothing is said
    notes: tuple[Note, ...]
    left_out: tuple[tuple[str, str], ...]
    dated: tuple[Said, ...] = ()  # what was left out or counted less because of its date


@dataclass(frozen=True, slots=True, eq=False)
class Doses:
    """For one aim: doses per gram (rows: constituents that may matter; columns: oils)."""

    aim: Aim
    own: Array  # of oils of the note that is to lead
    own_places: Indices  # which constituent each row of `own` is, in `Volatility.keys`
    other: Array  # of each constituent in all other notes, note by note
    log_wanted: Array  # log10 mg/m3 of dose 1, by row of `own`


@dataclass(slots=True, eq=False)
class Problem:
    """Rows `low <= coefficients @ v <= high` over v = (x, y, z, e, (short, over, others, h) per aim)."""

    candidates: Candidates
    doses: tuple[Doses, ...]
    wish: Wish
    batch_g: float
    base: Composition
    carrier: Carrier
    volatility: Volatility
    leaders: tuple[tuple[int, int], ...]  # z: (aim, row of its doses)
    cost: Array
    integer: Array
    loose_most: Array  # units, by stock and load alone
    lower: Array
    upper: Array
    rows: list[Array] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    tags: list[tuple[Holds | None, str]] = field(default_factory=list)
    most_rows: list[int] = field(default_factory=list)  # x_j <= most_j y_j
    _matrix: Array | None = None

    def matrix(self) -> Array:
        """All rows in one array; built once, when the last row is there."""
        if self._matrix is None or len(self._matrix) != len(self.rows):
            self._matrix = np.array(self.rows)
        return self._matrix

    @property
    def count(self) -> int:
        return len(self.candidates.oils)

    def x(self, oil: int) -> int:
        return oil

    def y(self, oil: int) -> int:
        return self.count + oil

    def z(self, leader: int) -> int:
        return 2 * self.count + leader

    def gives(self, leader: int) -> int:
        return self.z(leader) + len(self.leaders)

    def short(self, aim: int) -> int:
        return 2 * self.count + 2 * len(self.leaders) + 4 * aim

    def over(self, aim: int) -> int:
        return self.short(aim) + 1

    def others(self, aim: int) -> int:
        return self.short(aim) + 2

    def led(self, aim: int) -> int:
        return self.short(aim) + 3

    @property
    def width(self) -> int:
        return self.short(len(self.doses))

    def add(self, row: Array, low: float, high: float, tag: tuple[Holds | None, str] = (None, "")) -> None:
        self.rows.append(row)
        self.low.append(low)
        self.high.append(high)
        self.tags.append(tag)

    def row(self) -> Array:
        return np.zeros(self.width)


def candidates(
    wish: Wish, recipe: Recipe, catalogue: Catalogue, batch_g: float, today: date | None = None
) -> Candidates:
    """Which oils may be used, and in what units; the rest with the reason.

    By `today` a bottle past its date is not counted; None asks for no dates.
    """
    rules = rules_for(catalogue, recipe.uses, recipe.place)
    asked = [key for key, leaning in wish.leanings.items() if leaning is Leaning.MUST]
    shelf = [lot.material for lot in catalogue.shelf.lots]
    offered = wish.oils or tuple(
        key for key in (dict.fromkeys(shelf) or catalogue.materials) if catalogue.material(key).kind.is_scent
    )
    left_out: list[tuple[str, str]] = []
    kept: list[str] = []
    dated: list[Said] = []
    held = {key: in_stock(key, catalogue, today) for key in dict.fromkeys((*asked, *offered))}
    for key, shelved in held.items():
        why = _why_not(key, wish, catalogue, rules)
        if why is None:
            why = shelved.gone
            dated += [said for said in (shelved.gone, shelved.remark) if said is not None]
        if why is None:
            kept.append(key)
        elif why:
            left_out.append((key, why))
    cap_g = batch_g * wish.load_percent / 100.0
    unit = np.array(
        [
            drops_g(1, density_of(key, catalogue.materials))[0] if wish.in_drops else wish.step_g
            for key in kept
        ]
    )
    stock = np.array([held[key].usable_g for key in kept])
    most = np.floor(np.minimum(cap_g, stock) / unit + 1e-9).astype(np.intp)
    least = np.maximum(1, np.ceil((0.0 if wish.in_drops else wish.smallest_g) / unit - 1e-9)).astype(np.intp)
    overruled = {line.material: line.note for line in recipe.scent}
    notes = notes_for(tuple(kept), catalogue, {k: n for k, n in overruled.items() if k in kept})
    return Candidates(
        tuple(kept),
        unit,
        most,
        least,
        stock,
        tuple(notes[key] for key in kept),
        tuple(left_out),
        tuple(dated),
    )


def _why_not(key: str, wish: Wish, catalogue: Catalogue, rules: Rules) -> Said | str | None:
    """None: may be used; "": the maker does not want it; else the reason."""
    material = catalogue.material(key)
    if wish.leanings.get(key) is Leaning.NOT:
        return ""
    at = rules.tables.index[key]
    leaves = rules.tables.leaf[at] > 0
    known = all(
        rules.tables.material(place).composition_known or rules.certified[place]
        for place in np.flatnonzero(leaves).tolist()
    )
    if wish.in_drops and density_of(key, catalogue.materials) is None:
        return say("{name} is too thick to be counted in drops; weigh it instead.", name=material.name)
    if not material.composition or not known or key in rules.tables.missing:
        return say("Nothing is known of what {name} is made of.", name=material.name)
    silent = [rule.limit.name for rule in rules.silent if rule.coefficients[at] > 0]
    if silent:
        return say(
            "No number is known for {limits} on the chosen uses, and {name} brings it.",
            limits=", ".join(silent),
            name=material.name,
        )
    banned = [
        rule.name
        for rule, row in zip(rules.rows, rules.coefficients, strict=True)
        if rule.limit_percent == 0 and row[at] > 0
    ]
    if banned:
        return say("{name} holds {limits}, which may not be in there.", name=material.name, limits=banned[0])
    return None


def build(
    wish: Wish,
    recipe: Recipe,
    catalogue: Catalogue,
    base: Composition,
    batch_g: float,
    chosen: Candidates,
) -> Problem:
    """The whole problem.  `base` is the base as worked out, `batch_g` the mass of the batch."""
    carrier = carrier_of(base, catalogue)
    limits = _limit_rows(wish, recipe, catalogue, base, batch_g, chosen)
    loose_most = chosen.most.astype(np.float64)
    chosen = _within_own_limits(chosen, wish, limits, batch_g)
    doses = tuple(_doses(aim, wish, catalogue, batch_g, carrier, chosen) for aim in wish.aims)
    leaders = tuple((k, row) for k, dose in enumerate(doses) for row in range(len(dose.own)))
    count = len(chosen.oils)
    width = 2 * count + 2 * len(leaders) + 4 * len(doses)
    problem = Problem(
        candidates=chosen,
        doses=doses,
        wish=wish,
        batch_g=batch_g,
        base=base,
        carrier=carrier,
        volatility=volatility_of(catalogue),
        leaders=leaders,
        cost=np.zeros(width),
        integer=np.zeros(width),
        loose_most=loose_most,
        lower=np.zeros(width),
        upper=np.full(width, np.inf),
    )
    _amounts(problem)
    _limits(problem, limits)
    _aims(problem)
    return problem


def _doses(
    aim: Aim, wish: Wish, catalogue: Catalogue, batch_g: float, carrier: Carrier, chosen: Candidates
) -> Doses:
    """Dose per gram of every constituent in every oil at the moment of the aim."""
    count = len(chosen.oils)
    if not count:
        nothing = np.zeros((0, 0))
        return Doses(aim, nothing, np.zeros(0, dtype=np.intp), nothing, np.zeros(0))
    # one gram of each in a batch of the right mass
    trial = Composition.of([(oil, 1.0) for oil in chosen.oils])
    run = course(trial, catalogue, np.array([aim.at_s]), carrier=carrier)
    air = air_mg_m3(run) * (run.balm_g / batch_g) * run.constituent_left[:, 0]
    smells = run.volatility.odour_max[run.constituents] > 0
    wanted = np.where(smells, log_dose_for(run, aim.strength), np.inf)
    per_mg = air / np.power(10.0, np.minimum(wanted, 300.0))
    matrix = np.zeros((len(run.constituents), count))
    at = np.searchsorted(run.constituents, run.entries.constituent)
    oil_of = {oil: chosen.oils.index(oil) for oil in run.oils}
    columns = np.array([oil_of[run.oils[row]] for row in run.entries.oil], dtype=np.intp)
    matrix[at, columns] = run.entries.mass_g * per_mg[at]
    most_g = chosen.most * chosen.unit_g
    cap_g = batch_g * wish.load_percent / 100.0
    leads = np.array([note is aim.note for note in chosen.notes])
    blocks = []
    for note in Note:
        if note is not aim.note:
            mask = np.array([one is note for one in chosen.notes])
            others = np.where(mask, matrix, 0.0)
            blocks.append(others[_that_matter(others, most_g, cap_g)])
    own = np.where(leads, matrix, 0.0)
    kept = _that_matter(own, most_g, cap_g)
    return Doses(aim, own[kept], run.constituents[kept], np.vstack(blocks), wanted[kept])


def _that_matter(matrix: Array, most_g: Array, cap_g: float) -> Indices:
    """Rows that can matter: not a trace beside their dose, and not always under another row."""
    reach = np.minimum(matrix * most_g, matrix * cap_g).max(axis=1, initial=0.0)
    there = np.flatnonzero(reach > TRACE_DOSE)
    kept = matrix[there]
    covers = np.all(kept[:, None, :] >= kept[None, :, :], axis=2)  # [a, b]: a is never below b
    same = covers & covers.T
    earlier = np.tri(len(kept), k=-1, dtype=bool).T  # [a, b]: a stands before b
    beaten = (covers & ~covers.T) | (same & earlier)
    keep = ~beaten.any(axis=0) if len(kept) else np.zeros(0, dtype=bool)
    made: Indices = there[keep]
    return made


def _amounts(problem: Problem) -> None:
    """Whole units, smallest amounts, load, stock, number of oils, and what is wanted more or less."""
    chosen, wish, count = problem.candidates, problem.wish, problem.count
    cap_g = problem.batch_g * wish.load_percent / 100.0
    problem.integer[: 2 * count + len(problem.leaders)] = 1
    problem.upper[count : 2 * count + len(problem.leaders)] = 1
    for j, oil in enumerate(chosen.oils):
        problem.upper[j] = chosen.most[j]
        row = problem.row()
        row[problem.x(j)], row[problem.y(j)] = 1.0, -float(chosen.most[j])
        problem.most_rows.append(len(problem.rows))
        problem.add(row, -np.inf, 0.0, (Holds.STOCK if chosen.stock_g[j] < cap_g else None, oil))
        row = problem.row()
        leaning = wish.leanings.get(oil)
        least = float(chosen.least[j])
        if leaning is Leaning.MUST:
            least = max(least, math.ceil(MUST_SHARE * cap_g / chosen.unit_g[j] - 1e-9))
        row[problem.x(j)], row[problem.y(j)] = 1.0, -least
        problem.add(row, 0.0, np.inf)
        if leaning is Leaning.MUST:
            problem.lower[problem.y(j)] = 1.0
        problem.cost[problem.y(j)] += PER_OIL
        share = chosen.unit_g[j] / cap_g
        if leaning is Leaning.MORE:
            problem.cost[problem.x(j)] -= MORE * share
        elif leaning is Leaning.LESS:
            problem.cost[problem.x(j)] += LESS * share
    row = problem.row()
    row[:count] = chosen.unit_g
    problem.add(row, 0.0, cap_g * (1 + 1e-9), (Holds.LOAD, ""))
    row = problem.row()
    row[count : 2 * count] = 1.0
    problem.add(row, 0.0, float(wish.most_oils), (Holds.COUNT, ""))
    problem.add(row.copy(), float(min(wish.least_oils, count)), np.inf)


@dataclass(frozen=True, slots=True, eq=False)
class LimitRow:
    """One limit: `per_g @ grams <= room`, in per cent of the balm."""

    per_g: Array
    room: float
    name: str


def _limit_rows(
    wish: Wish, recipe: Recipe, catalogue: Catalogue, base: Composition, batch_g: float, chosen: Candidates
) -> list[LimitRow]:
    """Every limit on skin that these oils could reach, base included, at the maximum of each range.

    Rows are in force as if every oil were in there; rows on total bergapten
    count even where the whole would be judged by single oils, so an answer is
    never over, and rarely more cautious than needed.
    """
    rules = rules_for(catalogue, recipe.uses, recipe.place)
    at = [rules.tables.index[oil] for oil in chosen.oils]
    of_it = rules.tables.percentages(base) if base.mass_g > 0 else np.zeros(len(rules.tables.materials))
    of_base = rules.coefficients @ of_it / 100.0
    present = of_it.copy()
    present[at] = 1.0
    force = rules.in_force(rules.leaves(present)) | rules.bergapten_rows
    found = []
    for index in np.flatnonzero(force).tolist():
        own = rules.coefficients[index, at] - of_base[index]
        room = float(rules.limits[index] - 100.0 * of_base[index])
        if np.any(own > 0) and wish.load_percent * float(own.max()) > room:
            found.append(LimitRow(own * 100.0 / batch_g, room, rules.rows[index].name))
    return found


def _within_own_limits(chosen: Candidates, wish: Wish, limits: list[LimitRow], batch_g: float) -> Candidates:
    """No oil beyond its own limits or a fair share; what is in is enough to be noticed.

    Tight bounds also make the problem quick to solve.
    """
    cap_g = batch_g * wish.load_percent / 100.0
    most_g = chosen.most * chosen.unit_g
    for row in limits:
        with np.errstate(divide="ignore", invalid="ignore"):
            alone = np.where(row.per_g > 0, max(row.room, 0.0) / row.per_g, np.inf)
        most_g = np.minimum(most_g, alone)
    if wish.least_oils > 1 and len(chosen.oils) > 1:
        most_g = np.minimum(most_g, LARGEST_SHARE * cap_g)
    most = np.floor(most_g / chosen.unit_g + 1e-9).astype(np.intp)
    noticed = np.floor(NOTICED_SHARE * cap_g / chosen.unit_g).astype(np.intp)
    return replace(chosen, most=most, least=np.maximum(chosen.least, np.minimum(noticed, most)))


def _limits(problem: Problem, limits: list[LimitRow]) -> None:
    for limit in limits:
        row = problem.row()
        row[: problem.count] = limit.per_g * problem.candidates.unit_g
        problem.add(row, -np.inf, limit.room, (Holds.LIMIT, limit.name))


def _aims(problem: Problem) -> None:
    chosen, count = problem.candidates, problem.count
    for k, dose in enumerate(problem.doses):
        problem.cost[[problem.short(k), problem.over(k)]] = 1.0
        problem.cost[problem.others(k)] = 1.0
        problem.upper[problem.short(k)] = SHORT_MOST
        own = dose.own * chosen.unit_g
        leaders = [at for at, (aim, _row) in enumerate(problem.leaders) if aim == k]
        problem.upper[problem.led(k)] = 1.0 if leaders else 0.0
        for point in TANGENTS:  # of -log2, which is convex
            row = problem.row()
            row[problem.led(k)], row[problem.short(k)] = 1.0 / (point * math.log(2.0)), 1.0
            problem.add(row, min(-math.log2(point) + 1.0 / math.log(2.0), SHORT_MOST), np.inf)
        if leaders:
            row = problem.row()
            row[[problem.z(at) for at in leaders]] = 1.0
            problem.add(row, 1.0, 1.0)
            row = problem.row()
            row[[problem.gives(at) for at in leaders]] = 1.0
            row[problem.led(k)] = -1.0
            problem.add(row, 0.0, 0.0)
        for at, doses in zip(leaders, own, strict=True):
            row = problem.row()
            row[:count], row[problem.gives(at)] = -doses, 1.0
            problem.add(row, -np.inf, 0.0)
            row = problem.row()
            row[problem.gives(at)], row[problem.z(at)] = 1.0, -1.0
            problem.add(row, -np.inf, 0.0)
            row = problem.row()
            row[:count], row[problem.over(k)] = -doses, 1.0
            problem.add(row, -1.0, np.inf)
        for doses in dose.other * chosen.unit_g:
            row = problem.row()
            row[:count], row[problem.others(k)] = -doses, 1.0 / OTHER_SLOPE
            problem.add(row, -1.0, np.inf)
