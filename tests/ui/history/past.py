"""Past batches for tests and pictures: a few that were really led, and as many as wanted made after them.

`led()` are whole sessions, each with a slip of its own.  `many(count)` are list
entries whose summaries are varied by a plain sum, for lists and trends; their
events are those of the batch they were made after.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from functools import lru_cache

from workbench.core.batch import commands as ask
from workbench.core.batch.commands import Correct, EndBatch, WriteNote
from workbench.core.batch.events import AnyEvent, SessionStarted
from workbench.core.batch.record import SessionSummary, summary
from workbench.core.batch.session import fold
from workbench.core.batch.steps import Need, NeedKind, StepKind
from workbench.core.recipe.model import Heat
from workbench.store.sessions import SessionEntry
from workbench.testing import BEGIN, Maker, begin, sample_plan

NAMES = ("Evening ember", "Wind over thyme", "Grey harbour", "Late orchard", "Salt and cedar")


class Hand(Maker):
    """A maker who weighs a little off, warms at a pace of their own and sees a dip."""

    off = 1.0
    dip_mm = 0.5

    def do_step(self) -> None:
        """What is weighed off is meant so."""
        if self.step.kind is StepKind.WEIGH and self.off != 1.0:
            self.fill()
            self.send(ask.FinishStep(self.step.id, sure=True))
            self.wait(2.0)
        else:
            super().do_step()

    def answer(self, need: Need) -> None:
        target = need.target or 0.0
        if need.kind is NeedKind.DEPTH:
            self.wait(1.0)
            self.send(ask.Answer(self.step.id, need.key, self.dip_mm, f"{self.dip_mm}"))
        elif need.kind is NeedKind.MASS and self.step.kind is StepKind.WEIGH and need.material == "lavender":
            self.wait(1.0)
            mass_g = round(target * self.off, 2)
            self.send(ask.Weigh(self.step.id, need.key, mass_g, f"{mass_g}", sure=True))
        else:
            super().answer(need)


@dataclass(frozen=True)
class Led:
    events: tuple[AnyEvent, ...]
    made: SessionSummary


def _led(
    *,
    tins: int = 3,
    heat: Heat = Heat.WATER_BATH,
    off: float = 1.0,
    dip_mm: float = 0.5,
    pace: float = 4.0,
    cooling: float = 1.5,
    note: str = "",
    correct: bool = False,
    hold: bool = False,
    end_at: str = "",
) -> Led:
    conductor, clock, journal = begin(sample_plan(tins=tins, heat=heat))
    hand = Hand(conductor, clock)
    hand.off, hand.dip_mm = off, dip_mm
    hand.warming_k_s, hand.cooling_k_s = pace / 60, cooling / 60
    hand.go_to("weigh:shea_butter")
    if correct:
        seq = next(entry.seq for entry in hand.state.entries if entry.material == "beeswax")
        hand.send(Correct(seq, 8.11, "8.11", "misread the scale"))
    if note:
        hand.send(WriteNote(note))
    if hold:
        hand.go_to("melt:bath")
        hand.send(ask.Hold("the door bell"))
        hand.wait(8.0)
        hand.send(ask.ConfirmSafe())
        hand.wait(45.0)
        hand.read()
        hand.send(ask.GoOn())
    if end_at:
        hand.go_to(end_at)
        hand.send(EndBatch("a call came"))
    else:
        hand.go_to_end()
    state = fold(journal.events)
    return Led(tuple(journal.events), summary(state))


@lru_cache(maxsize=1)
def led() -> tuple[Led, ...]:
    """Six batches: as planned, corrected, slow, cut short, a deep dip after a hold, in the microwave."""
    return (
        _led(),
        _led(correct=True, note="smells of warm wood", off=1.2),
        _led(pace=2.2, cooling=0.9, note="took ages to melt", tins=5),
        _led(end_at="mix"),
        _led(hold=True, dip_mm=3.5, cooling=2.4),
        _led(heat=Heat.MICROWAVE, off=0.8),
    )


def retold(
    events: Sequence[AnyEvent], *, days: int, name: str, code: str, rehearsal: bool
) -> tuple[AnyEvent, ...]:
    """The same batch on another day under another name."""
    told: list[AnyEvent] = []
    for event in events:
        changes: dict[str, object] = {"wall": event.wall + timedelta(days=days)}
        if isinstance(event, SessionStarted):
            changes |= {"recipe_name": name, "batch_code": code, "rehearsal": rehearsal}
        told.append(event.model_copy(update=changes))
    return tuple(told)


def many(count: int, practice_every: int = 7) -> tuple[SessionEntry, ...]:
    """Entries newest first, as the store lists them; every figure wanders a little, one in forty far."""
    batches = led()
    found = []
    for number in range(1, count + 1):
        made = batches[number * 5 % len(batches)].made
        wander = ((number * 7919) % 101 - 50) / 50  # -1 to 1, in no order one would see
        far = 4.0 if number % 40 == 17 else 1.0
        name = NAMES[number * 3 % len(NAMES)]
        rehearsal = number % practice_every == 0
        started = BEGIN + timedelta(days=number, hours=number % 9)
        if made.addition_c is not None:
            made = replace(
                made,
                addition_c=made.addition_c + 1.5 * wander * far,
                melt_s=None if made.melt_s is None else made.melt_s * (1 + 0.1 * wander * far),
                sink_depth_mm=None if made.sink_depth_mm is None else max(0.0, 1.0 + 0.8 * wander * far),
                window_s=None if made.window_s is None else made.window_s * (1 + 0.08 * wander * far),
                loss_g=made.loss_g + 0.4 * (1 + wander) * far,
            )
        code = f"B{number:04d}"
        made = replace(made, recipe_name=name, batch_code=code, rehearsal=rehearsal, started=started)
        found.append(
            SessionEntry(
                f"s{number}", number, started, name, 1 + number // 60, rehearsal, code,
                made.phase if made.phase in ("finished", "ended early") else "", made,
            )
        )  # fmt: skip
    return tuple(reversed(found))


class Shelf:
    """Events for `many`: each entry reads as the led batch it was made after."""

    def __init__(self) -> None:
        self.loaded: list[str] = []

    def load(self, session: str) -> tuple[AnyEvent, ...]:
        self.loaded.append(session)
        number = int(session.removeprefix("s"))
        batches = led()
        return retold(
            batches[number * 5 % len(batches)].events,
            days=number,
            name=NAMES[number * 3 % len(NAMES)],
            code=f"B{number:04d}",
            rehearsal=number % 7 == 0,
        )
