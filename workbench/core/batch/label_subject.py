"""The batch that gets labels, as planned or as made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from workbench.core.batch.plan import Plan
from workbench.core.batch.record import record
from workbench.core.batch.state import Phase, SessionState
from workbench.core.batch.steps import StepKind
from workbench.core.catalogue.model import Material
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.model import Recipe
from workbench.core.trouble import Trouble
from workbench.core.wording import Said, say


@dataclass(frozen=True, slots=True)
class TinKind:
    """All tins of one kind that get the same label; `content_g` is the least of their contents."""

    key: str
    name: str
    numbers: tuple[int, ...]
    content_g: float
    weighed: bool


@dataclass(frozen=True, slots=True)
class LabelSubject:
    """A batch as planned or as made, with whatever keeps its labels from being final."""

    recipe: Recipe
    revision: int
    batch_code: str
    made_on: date | None  # None: not made yet
    composition: Composition
    lots: Mapping[str, tuple[str, ...]]  # material -> lots used
    tins: tuple[TinKind, ...]
    materials: Mapping[str, Material]
    not_final: tuple[Said, ...]
    set_aside: bool  # a limit for skin was set aside


def subject_of_plan(plan: Plan) -> LabelSubject:
    """A plan: its labels are drafts."""
    return LabelSubject(
        recipe=plan.recipe,
        revision=plan.revision,
        batch_code="",
        made_on=None,
        composition=Composition.of([(line.material, line.exact_g) for line in plan.lines]),
        lots=_planned_lots(plan),
        tins=_kinds((tin.tin, tin.name, tin.number, tin.fill_g, False) for tin in plan.tins),
        materials=plan.materials,
        not_final=(say("It is a plan: nothing was made yet."),),
        set_aside=False,
    )


def _planned_lots(plan: Plan) -> dict[str, tuple[str, ...]]:
    return {line.material: (line.lot,) for line in plan.lines if line.lot}


def subject_of_session(state: SessionState) -> LabelSubject:
    """A session, as far as it went.  Raises `Trouble` for one that never began."""
    plan = state.plan
    if plan is None or state.started_wall is None:
        raise Trouble(say("This batch never began, so there is nothing to label."))
    made = record(state)
    not_final: list[Said] = []
    if state.rehearsal:
        not_final.append(say("It was a practice run: there is no balm."))
    if state.phase is Phase.ENDED_EARLY:
        not_final.append(say("The batch was ended early: {reason}", reason=state.ended_because or "-"))
    elif state.phase is not Phase.FINISHED:
        not_final.append(say("The batch is not finished."))
    poured_s = max((tin.at_s for tin in state.poured.values()), default=0.0)
    return LabelSubject(
        recipe=plan.recipe,
        revision=state.revision,
        batch_code=state.batch_code or f"{state.started_wall:%y%m%d}-{state.revision}",
        made_on=(state.started_wall + timedelta(seconds=poured_s)).date(),
        composition=made.composition,
        lots={**_planned_lots(plan), **{line.material: line.lots for line in made.lines if line.lots}},
        tins=_tins_made(state, plan) or subject_of_plan(plan).tins,
        materials=plan.materials,
        not_final=tuple(not_final),
        set_aside=state.over_skin_limit,
    )


def _kinds(tins: Iterable[tuple[str, str, int, float, bool]]) -> tuple[TinKind, ...]:
    grouped: dict[str, list[tuple[str, str, int, float, bool]]] = {}
    for tin in tins:
        grouped.setdefault(tin[0], []).append(tin)
    return tuple(
        TinKind(
            key=key,
            name=same[0][1],
            numbers=tuple(each[2] for each in same),
            content_g=min(each[3] for each in same),
            weighed=all(each[4] for each in same),
        )
        for key, same in grouped.items()
    )


def _tins_made(state: SessionState, plan: Plan) -> tuple[TinKind, ...]:
    """What was poured, by the weight of the set tin where it was weighed."""
    weighed = {
        need: float(recorded.value)
        for progress in state.steps
        if progress.step.kind is StepKind.WEIGH_TINS
        for need, recorded in progress.recorded.items()
    }
    names = {tin.tin: tin.name for tin in plan.tins}
    return _kinds(
        (
            tin.tin,
            names.get(tin.tin, tin.tin),
            tin.number,
            weighed.get(f"tin:{tin.number}", tin.mass_g),
            f"tin:{tin.number}" in weighed,
        )
        for tin in state.poured.values()
    )
