"""The recipe as it was made: its amounts from what was weighed, and none of them for the noise of a scale.

What a scale cannot tell from the plan stays as it is written.  Amounts that
only say proportions (parts; or grams that nothing but their like stands
beside) are free by one factor: it is chosen so that as much as possible stays
as it is, and one line that came out heavier does not rewrite all the others.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.recipe import change
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.lines import as_meant
from workbench.core.recipe.model import Amount, BaseLine, Measure, Recipe, ScentLine
from workbench.core.recipe.weighed import Line, Weighed, Where
from workbench.core.scent.notes import note_of
from workbench.core.trouble import Trouble
from workbench.core.wording import Share, say

DIGIT_G = 0.01  # of a fine kitchen scale, where no scale is known
LOAD_DIGITS = 2  # of a fragrance load, as it is shown
LEAST_PERCENT = 0.01  # that is written
_SLACK = 1 + 1e-9
_Line = TypeVar("_Line", BaseLine, ScentLine)


def digit_g(line: Line | None) -> float:
    """Grams by which a line may differ without anybody having seen it: a digit of its scale, or half a drop."""
    if line is None or line.readability_g is None:
        return DIGIT_G
    counted = next((way.drops for way in line.ways_out if way.drops is not None), None)
    if not line.weighable and counted is not None:
        return line.exact_g / counted.typical / 2
    return line.readability_g


def same_share(made_percent: float, planned_percent: float, digits: int = LOAD_DIGITS) -> bool:
    """Whether two shares are the same figure on the screen."""
    return str(Share(made_percent, digits)) == str(Share(planned_percent, digits))


def written(recipe: Recipe, made_g: Mapping[str, float], catalogue: Catalogue) -> Recipe:
    """The recipe whose shares are those that were made, in the measures it is written in.

    `made_g`: grams by material, more than nothing in all.  The recipe itself
    where the scales cannot tell the two apart.  Raises `Trouble` for a line
    that had no amount and was weighed.
    """
    weighed = work_out(recipe, catalogue)
    scale = weighed.batch_g / sum(made_g.values())  # grams of this recipe for a gram that was made
    planned_base, planned_scent = _lines_of(weighed, Where.BASE), _lines_of(weighed, Where.SCENT)
    base = _Group.of(recipe.base, planned_base, made_g, scale, proportions=True)
    scent = _Group.of(recipe.scent, planned_scent, made_g, scale, proportions=not recipe.load_from_scent)
    known = {line.material for line in recipe.base} | {line.material for line in recipe.scent}
    for key, grams in made_g.items():
        if key in known:
            continue
        if catalogue.material(key).kind.is_scent:
            scent.seen_g += grams * scale
            amount = scent.alike(grams * scale)
            scent.add(
                ScentLine(material=key, amount=amount, note=note_of(key, catalogue).proposed or Note.MIDDLE)
            )
        else:
            base.seen_g += grams * scale
            base.add(BaseLine(material=key, amount=base.alike(grams * scale)))
    update: dict[str, object] = {"base": base.whole(), "scent": scent.whole()}
    load = round(100.0 * scent.seen_g / (base.seen_g + scent.seen_g), 3)
    if not recipe.load_from_scent and not same_share(load, recipe.load_percent):
        update["load_percent"] = load
    return change.change(recipe, **update)


def _lines_of(weighed: Weighed, where: Where) -> list[Line]:
    return sorted((line for line in weighed.lines if line.where is where), key=lambda line: line.index)


@dataclass(slots=True)
class _Group(Generic[_Line]):
    """The lines of base or scent as they will be written; `kept` are those that stay as they were."""

    lines: list[_Line]
    kept: list[bool]
    planned: Sequence[tuple[Amount, float]]  # as the recipe has them, and grams
    seen_g: float  # what went in; as planned where the scale cannot tell it from that
    factor: float  # on what says proportions only
    free: Callable[[Measure], bool]

    @classmethod
    def of(
        cls,
        lines: Sequence[_Line],
        planned: Sequence[Line],
        made_g: Mapping[str, float],
        scale: float,
        *,
        proportions: bool,
    ) -> _Group[_Line]:
        """`proportions`: grams too say nothing but proportions where no parts stand beside them."""
        measures = {line.amount.measure for line in lines}

        def free(measure: Measure) -> bool:
            if Measure.PARTS in measures or not proportions:
                return measure is Measure.PARTS
            return measure is not Measure.PERCENT

        planned_g = [line.exact_g for line in planned]
        wanted_g = [made_g.get(line.material, 0.0) * scale for line in lines]
        digits_g = [digit_g(line) * scale for line in planned]
        rows = list(zip(planned_g, wanted_g, digits_g, strict=True))
        factor = _steadiest([row for row, line in zip(rows, lines, strict=True) if free(line.amount.measure)])
        # of its group, which may have grown or shrunk
        in_group = sum(planned_g) / sum(wanted_g) if sum(wanted_g) > 0 else 1.0
        percent = sum(line.amount.value for line in lines if line.amount.measure is Measure.PERCENT)
        adds_up = measures != {Measure.PERCENT} or abs(percent - 100.0) < LEAST_PERCENT / 2
        seen_g = sum(planned if _same(planned, wanted, digit) else wanted for planned, wanted, digit in rows)
        made = cls(
            [], [], list(zip((line.amount for line in lines), planned_g, strict=True)), seen_g, factor, free
        )
        for line, (planned_one, wanted_one, digit) in zip(lines, rows, strict=True):
            if wanted_one <= 0:
                continue  # nothing of it went in
            if planned_one <= 0:
                raise Trouble(
                    say("“{name}” had no amount in the recipe. Give it one first.", name=line.material)
                )
            measure = line.amount.measure
            wanted = wanted_one * (
                factor if free(measure) else in_group if measure is Measure.PERCENT else 1.0
            )
            amount = _times(line.amount, wanted / planned_one)
            same = _same(planned_one, wanted, digit) and measure is not Measure.DROPS
            if adds_up and (same or as_meant(amount) == as_meant(_untyped(line.amount))):
                made.add(line, kept=True)
            else:
                made.add(line.model_copy(update={"amount": amount}))
        return made

    def add(self, line: _Line, *, kept: bool = False) -> None:
        self.lines.append(line)
        self.kept.append(kept)

    def alike(self, mass_g: float) -> Amount:
        """An amount for a new line in the measure its neighbours are written in: parts or per cent, else g."""
        for measure in (Measure.PARTS, Measure.PERCENT):
            alike = [(amount.value, grams) for amount, grams in self.planned if amount.measure is measure]
            grams = sum(each for _, each in alike)
            if grams > 0:
                factor = self.factor if self.free(measure) else 1.0
                return _written(factor * mass_g * sum(value for value, _ in alike) / grams, measure)
        return _written(mass_g * (self.factor if self.free(Measure.GRAMS) else 1.0), Measure.GRAMS)

    def whole(self) -> tuple[_Line, ...]:
        """Lines in per cent add up to 100 again where nothing else shares the group."""
        if any(line.amount.measure is not Measure.PERCENT for line in self.lines) or all(self.kept):
            return tuple(self.lines)
        stay = sum(line.amount.value for line, kept in zip(self.lines, self.kept, strict=True) if kept)
        moved = [at for at, kept in enumerate(self.kept) if not kept]
        if 100.0 - stay < LEAST_PERCENT * len(moved):  # no room is left beside them: all of it moves
            stay, moved = 0.0, list(range(len(self.lines)))
        factor = (100.0 - stay) / sum(self.lines[at].amount.value for at in moved)
        whole = list(self.lines)
        for at in moved:
            whole[at] = whole[at].model_copy(update={"amount": _times(whole[at].amount, factor)})
        most = max(moved, key=lambda at: whole[at].amount.value)
        rest = sum(line.amount.value for at, line in enumerate(whole) if at != most)
        whole[most] = whole[most].model_copy(update={"amount": _written(100.0 - rest, Measure.PERCENT)})
        return tuple(whole)


def _steadiest(rows: Sequence[tuple[float, float, float]]) -> float:
    """The factor on what is wanted by which most of what was planned stays as it is; rows are grams."""

    def stays(factor: float) -> tuple[int, float]:
        """How many lines, and how heavy they are."""
        same = [planned for planned, wanted, digit in rows if _same(planned, wanted * factor, digit)]
        return len(same), sum(same)

    return max(
        (1.0, *(planned / wanted for planned, wanted, _ in rows if wanted > 0 and planned > 0)), key=stays
    )


def _same(planned_g: float, made_g: float, digit_g: float) -> bool:
    return made_g > 0 and abs(made_g - planned_g) <= digit_g * _SLACK


def _untyped(amount: Amount) -> Amount:
    return Amount(value=amount.value, measure=amount.measure)


def _times(amount: Amount, factor: float) -> Amount:
    value = amount.value * factor
    if amount.measure is Measure.DROPS:
        return Amount(value=max(1.0, float(round(value))), measure=amount.measure)
    return _written(value, amount.measure)


def _written(value: float, measure: Measure) -> Amount:
    """With as many figures as a kitchen can weigh, so that the recipe stays one that can be read."""
    if measure is Measure.PERCENT:
        return Amount(value=max(LEAST_PERCENT, round(value, 2)), measure=measure)
    return Amount(value=float(f"{value:.4g}"), measure=measure)
