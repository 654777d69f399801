"""What is left on the shelf: what was counted, less what the batches since then weighed out of it.

Only real batches count, and only once they are over.  A lot that was never
weighed has no amount left to tell; a lot whose count has no date (typed in by
an older program) is taken as counted before every batch of the project.
Counting again puts everything right, whatever was spilled or given away.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from statistics import median

from workbench.core.batch.record import SessionSummary
from workbench.core.catalogue.model import MaterialKind
from workbench.core.catalogue.shelf import Lot, Shelf
from workbench.core.recipe.change import make
from workbench.core.skin.durability import USUAL_MONTHS_OPEN, add_months
from workbench.core.wording import Grams, Number, Said, say

SOON_DAYS = 60  # a best-before this near is worth a word (judged)
_USUAL_BATCHES = 5  # batches from which a usual amount is taken
_NAMED_BATCHES = 6  # batches that one sentence names
_ENOUGH_BATCHES = 2  # what is bought should last for so many (judged)


@dataclass(frozen=True, slots=True)
class Use:
    """What one batch took of one material; `lot` "" where none was named and none could be told.

    `named`: the lot was named when it was weighed.  Otherwise it is taken from
    the count of the only lot it can have been, but nothing proves that it was.
    """

    session: str
    at: datetime
    material: str
    lot: str
    mass_g: float
    named: bool = True
    batch: str = ""  # its code, else its session


@dataclass(frozen=True, slots=True)
class LotLeft:
    """One lot; `left_g` None where it was never counted, else never below 0.

    `over_g` is what batches took beyond what was counted: the count is wrong.
    `batches_left` is how many usual batches it lasts, None where that is not known.
    """

    lot: Lot
    used_g: float  # since it was counted
    batches: int  # real batches that took from it since
    left_g: float | None
    over_g: float = 0.0
    last_used: date | None = None
    batches_left: float | None = None
    old: bool = False  # past its best-before
    soon_old: bool = False
    long_open: bool = False
    unnamed: tuple[str, ...] = ()  # batches that took it without naming it, newest first


@dataclass(frozen=True, slots=True)
class Stock:
    """Every lot of the shelf in its order, and use that could be booked on none."""

    lots: tuple[LotLeft, ...]
    unbooked: tuple[Use, ...]
    usual_g: Mapping[str, float] = field(default_factory=dict)  # by material: what a batch usually takes

    def of(self, lot: str) -> LotLeft | None:
        return next((each for each in self.lots if each.lot.key == lot), None)

    def of_material(self, material: str) -> tuple[LotLeft, ...]:
        return tuple(each for each in self.lots if each.lot.material == material)


def uses(summaries: Mapping[str, SessionSummary], shelf: Shelf) -> tuple[Use, ...]:
    """What real batches took, oldest first.  `summaries` by session.

    Use without a lot is booked on the lot of that material where there is
    exactly one on the shelf, and it was not opened later than that batch.
    """
    only = _only_lots(shelf.lots)
    found = []
    for session, summary in summaries.items():
        if summary.rehearsal or summary.started is None:
            continue
        day, batch = summary.started.date(), summary.batch_code or session
        for material, lot, mass_g in summary.used:
            if mass_g <= 0:
                continue
            booked = lot
            if not lot and (held := only.get(material)) is not None and (held.opened or day) <= day:
                booked = held.key
            found.append(Use(session, summary.started, material, booked, mass_g, bool(lot), batch))
    return tuple(sorted(found, key=lambda each: each.at))


def _only_lots(lots: Iterable[Lot]) -> dict[str, Lot]:
    by_material: dict[str, list[Lot]] = {}
    for lot in lots:
        by_material.setdefault(lot.material, []).append(lot)
    return {material: held[0] for material, held in by_material.items() if len(held) == 1}


def stock(shelf: Shelf, summaries: Mapping[str, SessionSummary], today: date) -> Stock:
    """What is left of every lot on the shelf."""
    taken = uses(summaries, shelf)
    usual_g = _usual(taken)
    by_lot: dict[str, list[Use]] = {}
    for each in taken:
        by_lot.setdefault(each.lot, []).append(each)
    known = {lot.key for lot in shelf.lots}
    return Stock(
        tuple(_left(lot, by_lot.get(lot.key, ()), usual_g.get(lot.material), today) for lot in shelf.lots),
        tuple(each for each in taken if each.lot not in known),
        usual_g,
    )


def _usual(taken: Sequence[Use]) -> dict[str, float]:
    """Grams that a batch usually takes of a material: the median of the newest few."""
    by_batch: dict[str, dict[str, float]] = {}
    for each in taken:
        batches = by_batch.setdefault(each.material, {})
        batches[each.session] = batches.get(each.session, 0.0) + each.mass_g
    return {
        material: median(list(batches.values())[-_USUAL_BATCHES:]) for material, batches in by_batch.items()
    }


def _left(lot: Lot, taken: Sequence[Use], usual_g: float | None, today: date) -> LotLeft:
    since = [each for each in taken if lot.counted is None or each.at >= lot.counted]
    used_g = sum(each.mass_g for each in since)
    rest_g = None if lot.left_g is None else lot.left_g - used_g
    left_g = None if rest_g is None else max(0.0, rest_g)
    until = lot.best_before
    return LotLeft(
        lot=lot,
        used_g=used_g,
        batches=len({each.session for each in since}),
        left_g=left_g,
        over_g=0.0 if rest_g is None else max(0.0, -rest_g),
        last_used=taken[-1].at.date() if taken else None,
        batches_left=None if left_g is None or not usual_g else left_g / usual_g,
        old=until is not None and until < today,
        soon_old=until is not None and today <= until <= today + timedelta(days=SOON_DAYS),
        long_open=lot.opened is not None and add_months(lot.opened, USUAL_MONTHS_OPEN) < today,
        unnamed=tuple(dict.fromkeys(each.batch for each in reversed(taken) if not each.named)),
    )


def counted_again(shelf: Shelf, lot: str, left_g: float, at: datetime) -> Shelf:
    """The shelf with one lot weighed anew.  Raises `Trouble` where the amount cannot be."""
    lots = tuple(
        make(Lot, **{**dict(each), "left_g": left_g, "counted": at}) if each.key == lot else each
        for each in shelf.lots
    )
    return make(Shelf, **{**dict(shelf), "lots": lots})


def with_count_dates(before: Shelf, lots: Sequence[Lot], at: datetime) -> tuple[Lot, ...]:
    """Lots as they were typed in; one whose amount is another than before was counted now."""
    was = {each.key: each.left_g for each in before.lots}
    return tuple(
        make(Lot, **{**dict(each), "counted": None if each.left_g is None else at})
        if each.left_g != was.get(each.key)
        else each
        for each in lots
    )


def as_left(shelf: Shelf, made: Stock) -> Shelf:
    """The shelf with what is left now in the place of what was counted: for whoever plans with it."""
    lots = tuple(
        each.lot if each.left_g is None else make(Lot, **{**dict(each.lot), "left_g": each.left_g})
        for each in made.lots
    )
    return make(Shelf, **{**dict(shelf), "lots": lots})


def remark(each: LotLeft) -> Said | None:
    """The one thing about a lot that most wants doing; None where all is well."""
    lot = each.lot
    if each.old and lot.best_before is not None:
        return say(
            "Past its best-before date, {day}: do not use it on skin.", day=f"{lot.best_before:%Y-%m-%d}"
        )
    if each.over_g > 0:
        return say(
            "Batches took {over} more than was counted. Weigh it again.",
            over=Grams(each.over_g, _digits(each.over_g)),
        )
    if each.left_g == 0:
        return say("Used up.")
    if each.batches_left is not None and each.batches_left < 1:
        return say("Not enough for another batch like the last ones.")
    if each.soon_old and lot.best_before is not None:
        return say("Best before {day}: use it first.", day=f"{lot.best_before:%Y-%m-%d}")
    if each.long_open and lot.opened is not None:
        return say(
            "Open since {day}. Smell it before it is used; an old oil can be harsher on skin.",
            day=f"{lot.opened:%Y-%m-%d}",
        )
    if each.batches_left is not None and each.batches_left < _ENOUGH_BATCHES:
        return say("Enough for one batch like the last ones.")
    if each.left_g is None:
        return say("Never weighed. Weigh it once, and the program keeps count.")
    return None


def unnamed_words(each: LotLeft) -> Said | None:
    """That batches took from this lot, as it seems, without naming it; None where all of them named it."""
    if not each.unnamed:
        return None
    return say(
        "It was weighed without being named. It is taken off here because no other one of it stands on the "
        "shelf, but that it was this one is not known. In batch {batches}.",
        batches=some_of(each.unnamed),
    )


def some_of(batches: Sequence[str]) -> Said | str:
    """Names of batches in a sentence, newest first; beyond a few, how many more there are."""
    shown = ", ".join(batches[:_NAMED_BATCHES])
    if len(batches) <= _NAMED_BATCHES:
        return shown
    return say("{batches} and {more} more", batches=shown, more=Number(len(batches) - _NAMED_BATCHES, 0))


def _digits(mass_g: float) -> int:
    return 0 if mass_g >= 100 else 1 if mass_g >= 10 else 2


# --- what a planned batch needs ---


@dataclass(frozen=True, slots=True)
class Need:
    """What a batch would take of one material; `have_g` None where some lot of it was never counted."""

    material: str
    need_g: float
    have_g: float | None
    lot: str = ""  # the one the recipe names

    @property
    def missing_g(self) -> float:
        return 0.0 if self.have_g is None else max(0.0, self.need_g - self.have_g)


def needs(lines: Iterable[tuple[str, str | None, float]], made: Stock) -> tuple[Need, ...]:
    """(material, lot or None, grams) of a planned batch against what is left; leftovers are not bought.

    A line that names a lot is held against that lot, another against every
    lot of the material that is not past its date.
    """
    wanted: dict[tuple[str, str], float] = {}
    for material, lot, mass_g in lines:
        key = (material, lot or "")
        wanted[key] = wanted.get(key, 0.0) + mass_g
    found = []
    for (material, lot), need_g in wanted.items():
        held = made.of(lot) if lot else None
        lots = (held,) if held is not None else tuple(x for x in made.of_material(material) if not x.old)
        known = [each.left_g for each in lots if each.left_g is not None]
        complete = len(known) == len(lots)
        have_g = sum(known) if complete or sum(known) >= need_g else None
        found.append(Need(material, need_g, have_g, lot))
    return tuple(found)


# --- what to buy ---


@dataclass(frozen=True, slots=True)
class ToBuy:
    """One line of the shopping list; `amount_g` None where nothing tells how much."""

    material: str
    amount_g: float | None
    why: tuple[Said, ...]


def shopping(
    made: Stock, planned: Sequence[Need] = (), kinds: Mapping[str, MaterialKind] | None = None
) -> tuple[ToBuy, ...]:
    """What is missing for the planned batch, and what has run out or is past its date, by material.

    What runs out is bought for two batches like the last ones.  `kinds` by
    material keeps leftover balm off the list.
    """
    amounts: dict[str, float | None] = {}
    why: dict[str, list[Said]] = {}

    def buy(material: str, amount_g: float | None, because: Said) -> None:
        if kinds is not None and kinds.get(material) is MaterialKind.LEFTOVER:
            return
        before = amounts.get(material)
        amounts[material] = before if amount_g is None else max(amount_g, before or 0.0)
        why.setdefault(material, []).append(because)

    for need in planned:
        if need.missing_g > 0:
            buy(
                need.material,
                need.missing_g,
                say(
                    "The planned batch takes {need}, and {have} are left.",
                    need=Grams(need.need_g, _digits(need.need_g)),
                    have=Grams(need.have_g or 0.0, _digits(need.have_g or 0.0)),
                ),
            )
    for material in dict.fromkeys(each.lot.material for each in made.lots):
        lots = made.of_material(material)
        fresh = [each for each in lots if not each.old]
        usual_g = made.usual_g.get(material)
        enough_g = None if not usual_g else _ENOUGH_BATCHES * usual_g
        if not fresh:
            buy(material, enough_g, say("What is on the shelf is past its best-before date."))
            continue
        left = [each.left_g for each in fresh]
        if any(each is None for each in left):
            continue
        left_g = sum(each for each in left if each is not None)
        if left_g == 0:
            buy(material, enough_g, say("Used up."))
        elif usual_g and left_g < usual_g:
            buy(material, enough_g, say("Not enough for another batch like the last ones."))
    return tuple(ToBuy(material, amounts[material], tuple(reasons)) for material, reasons in why.items())


# --- what a tin costs ---


@dataclass(frozen=True, slots=True)
class TinCost:
    tin: str
    count: int
    each: float


def tin_costs(amount: float | None, tins: Iterable[tuple[str, int, float]]) -> tuple[TinCost, ...]:
    """The materials of a batch shared out over its tins by what each holds; losses are paid by all of them.

    `amount` is what the whole batch costs, None where a price is missing;
    `tins` are (name, count, fill in g).
    """
    held = [(name, count, fill_g) for name, count, fill_g in tins if count > 0 and fill_g > 0]
    whole_g = sum(count * fill_g for _, count, fill_g in held)
    if amount is None or whole_g <= 0:
        return ()
    return tuple(TinCost(name, count, amount * fill_g / whole_g) for name, count, fill_g in held)
