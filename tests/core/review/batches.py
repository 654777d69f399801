"""Batches for tests of looking back: rows of a list made by hand, and whole sessions led in virtual time."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta, timezone
from functools import lru_cache
from typing import Any

from workbench.core.batch import commands as ask
from workbench.core.batch.record import SUMMARY_FORM, SessionSummary
from workbench.core.batch.state import SessionState
from workbench.core.batch.steps import Guard
from workbench.core.review.past import PastRow, row_of
from workbench.store.sessions import SessionEntry
from workbench.testing import Maker, begin, sample_plan

FIRST = datetime(2026, 1, 5, 9, 0, tzinfo=timezone(timedelta(hours=1)))
PLAIN = SessionSummary(
    recipe_name="Evening ember",
    revision=1,
    batch_code="E-1",
    rehearsal=False,
    started=FIRST,
    ended=FIRST + timedelta(hours=2),
    phase="finished",
    took_s=7200.0,
    made_g=44.0,
    in_tins_g=42.0,
    yield_percent=95.5,
    loss_g=2.0,
    leftover_g=0.0,
    tins=3,
    deviations=0,
    alarms=0,
    corrections=0,
    readings=20,
    highest_c=66.0,
    sink_depth_mm=0.5,
    over_skin_limit=False,
    form=SUMMARY_FORM,
    materials=("beeswax", "shea_butter", "jojoba"),
    lots=("b1",),
    tin_counts=(("round_15", 3),),
    vessel="beaker_250",
    heat="water-bath",
    stove="electric",
    melt_s=1200.0,
    addition_c=60.0,
    pour_c=57.0,
    window_s=300.0,
    window_k=20.0,
    net_g=14.0,
    target_g=14.0,
)


def entry(number: int, *, recipe: str = "Evening ember", day: int = 0, **changes: Any) -> SessionEntry:
    """A listed session; `changes` are of its summary, `end` and `rehearsal` of the entry too."""
    started = FIRST + timedelta(days=day or number)
    end = changes.pop("end", "finished")
    code = changes.pop("code", f"E-{number}")
    rehearsal = changes.pop("rehearsal", False)
    summary = None
    if end:
        summary = replace(PLAIN, recipe_name=recipe, started=started, batch_code=code, **changes)
    return SessionEntry(f"s{number}", number, started, recipe, 1, rehearsal, code, end, summary)


def row(number: int, *, faults: tuple[str, ...] = (), flagged: bool = False, **changes: Any) -> PastRow:
    return row_of(entry(number, **changes), faults, flagged)


class SlowMaker(Maker):
    """The same hand in a colder or warmer kitchen."""

    def __init__(self, *given: Any, cooling_k_s: float) -> None:
        super().__init__(*given)
        self.cooling_k_s = cooling_k_s


@lru_cache(maxsize=16)
def led(
    *,
    scented: bool = True,
    cooling_k_s: float = 1.5 / 60,
    weigh: tuple[tuple[str, float], ...] = (),
    spoon: str = "firm",
    add: tuple[str, float] | None = None,
    cool_to_c: float | None = None,
    note: str = "",
) -> SessionState:
    """A finished session.  `weigh`: material and grams instead of the plan's; `cool_to_c`: poured that cool."""
    conductor, clock, _ = begin(sample_plan(scented=scented))
    maker = SlowMaker(conductor, clock, cooling_k_s=cooling_k_s)
    for material, mass_g in weigh:
        maker.go_to(f"weigh:{material}")
        maker.read_cautions()
        maker.send(ask.Weigh(maker.step.id, f"mass:{material}", mass_g, f"{mass_g}"))
        maker.send(ask.FinishStep(maker.step.id, sure=True))
    maker.go_to("spoon")
    maker.read_cautions()
    maker.send(ask.Answer("spoon", "firmness", spoon))
    if add is not None:
        maker.send(ask.Add("spoon", add[0], add[1], f"{add[1]}", "spoon"))
    maker.fill()
    maker.send(ask.FinishStep("spoon", sure=True))
    maker.go_to("add" if scented else "pour:1")
    if cool_to_c is not None:
        while maker.jug_c > cool_to_c:
            maker.wait(60.0)
            maker.jug_c -= 60.0 * cooling_k_s
            maker.read()
    maker.go_to("pour:1")
    floor_c = maker.state.temperatures.pour_floor_c
    if floor_c is not None and maker.jug_c < floor_c + 3.0:
        maker.send(ask.SetAside("pour:1", Guard.POUR_FLOOR, "it still flows"))
    if note:
        maker.send(ask.WriteNote(note))
    maker.go_to_end()
    return conductor.state
