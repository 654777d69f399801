"""A session at one of its steps, asked directly: no clock, no journal."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from functools import lru_cache
from typing import Any

from workbench.core.batch import commands as ask
from workbench.core.batch.commands import Command, Moment, Refused
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.needs import unread_cautions
from workbench.core.batch.plan import Plan
from workbench.core.batch.rules import Rules
from workbench.core.batch.session import decide_on, fold
from workbench.core.batch.state import SessionState
from workbench.core.recipe.model import Heat
from workbench.testing import BEGIN, Maker, begin, sample_plan, sample_rules


@lru_cache(maxsize=64)
def _story(step: str, heat: Heat, scented: bool) -> tuple[AnyEvent, ...]:
    conductor, clock, journal = begin(sample_plan(heat=heat, scented=scented))
    Maker(conductor, clock).go_to(step)
    return tuple(journal.events)


class Bench:
    """`do` must be taken and gives the events; `refused` must be refused and gives the refusal."""

    def __init__(self, state: SessionState, rules: Rules | None = None) -> None:
        self.state = state
        self.now_s = state.at_s
        self.rules = rules or sample_rules()

    @classmethod
    def at(cls, step: str, *, heat: Heat = Heat.WATER_BATH, scented: bool = True, read: bool = True) -> Bench:
        """At the beginning of a step, its cautions read unless `read` is False."""
        bench = cls(fold(_story(step, heat, scented)))
        if read and unread_cautions(bench.state):
            bench.do(ask.ReadCautions(step))
        return bench

    @property
    def step(self) -> str:
        return self.state.step_id

    @property
    def moment(self) -> Moment:
        return Moment(self.now_s, BEGIN + timedelta(seconds=self.now_s))

    def ask(self, command: Command) -> tuple[AnyEvent, ...] | Refused:
        before = self.state
        decided = decide_on(self.state, command, self.moment, self.rules)
        assert self.state is before
        if isinstance(decided, Refused):
            return decided
        self.state = fold(decided.events, self.state)
        assert decided.after == self.state
        return decided.events

    def do(self, command: Command) -> tuple[AnyEvent, ...]:
        decided = self.ask(command)
        assert not isinstance(decided, Refused), decided.says
        return decided

    def refused(self, command: Command) -> Refused:
        decided = self.ask(command)
        assert isinstance(decided, Refused), [event.kind for event in decided]
        assert decided.says.endswith((".", "?", "!")), decided.says
        return decided

    def kinds(self, command: Command) -> list[str]:
        return [event.kind for event in self.do(command)]

    def wait(self, seconds: float, *, look: bool = True) -> list[str]:
        self.now_s += seconds
        return self.kinds(ask.LookAgain()) if look else []

    def read(self, celsius: float, *, stirred: bool = True, sure: bool = True) -> list[str]:
        return self.kinds(ask.ReadTemperature(self.step, celsius, f"{celsius}", stirred, sure))

    def with_temperatures(self, **changes: Any) -> Bench:
        """The same session with other limits in force."""
        temperatures = self.state.temperatures.model_copy(update=changes)
        self.state = replace(self.state, temperatures=temperatures)
        self.rules = replace(self.rules, reckon=None)
        return self


def started(plan: Plan) -> Bench:
    bench = Bench(SessionState())
    bench.do(ask.Start(plan))
    return bench
