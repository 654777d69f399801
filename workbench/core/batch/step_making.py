"""Makes worded steps for one plan: texts filled in, needs, guards and cautions chosen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from workbench.core.batch.plan import PlannedTemperatures
from workbench.core.batch.step_words import StepTable
from workbench.core.batch.steps import Guard, Need, NeedKind, SavedWords, Step, StepKind
from workbench.core.batch.words import saved
from workbench.core.catalogue.model import Caution, SignalWord
from workbench.core.wording import Said, say

LONGEST_BENCH = 60
SPARE_IN_BENCH = 2  # the same sentence in other units may be a little longer
_SEVERITY = {SignalWord.DANGER: 0, SignalWord.WARNING: 1, SignalWord.CAUTION: 2, SignalWord.NOTICE: 3}


@dataclass(frozen=True, slots=True)
class StepMaker:
    """`equipment` are condition words of the kitchen that hold for hot steps; see cautions.toml."""

    table: StepTable
    cautions: tuple[Caution, ...]
    temperatures: PlannedTemperatures

    def step(
        self,
        id_: str,
        kind: StepKind,
        wording: str,
        *,
        values: dict[str, object] | None = None,
        known: bool = True,
        needs: Iterable[Need] = (),
        guards: tuple[Guard, ...] = (),
        conditions: Iterable[str] = (),
        **more: Any,
    ) -> Step:
        """One step; `known` chooses the wording that names temperatures, `conditions` the cautions."""
        words, filled = self.table.wording(wording), values or {}
        instruction = (
            words.instruction if known or not words.instruction_unknown else words.instruction_unknown
        )
        bench = words.bench if known or not words.bench_unknown else words.bench_unknown
        texts: dict[str, Said] = {
            "title": _filled(words.title, filled),
            "instruction": _filled(instruction, filled, words.instruction_one),
            "bench": short_enough(bench, filled, words.bench_one),
        }
        return Step(
            id=id_,
            kind=kind,
            title=str(texts["title"]),
            instruction=str(texts["instruction"]),
            reason=words.reason,
            bench=str(texts["bench"]),
            timer_s=None if words.timer_min is None else words.timer_min * 60,
            timer_says=words.timer_says,
            least_s=None if words.least_min is None else words.least_min * 60,
            needs=tuple(needs),
            guards=guards,
            cautions=self.chosen(conditions),
            done_when=words.done_when,
            safe_action=words.safe_action,
            said=_kept(texts),
            **more,
        )

    def chosen(self, conditions: Iterable[str]) -> tuple[str, ...]:
        """Cautions whose conditions all hold, the gravest and most particular first."""
        held = set(conditions)
        if not held:
            return ()
        fitting = [each for each in self.cautions if each.when and set(each.when) <= held]
        fitting.sort(key=lambda each: (_SEVERITY[each.word], -len(each.when)))
        return tuple(each.key for each in fitting)

    def need(self, key: str, kind: NeedKind, **more: Any) -> Need:
        """A need with its label from the table, under the part of its key before a colon."""
        label = more.pop("label", None) or self.table.needs[key.split(":")[0]]
        return Need(key=key, kind=kind, label=label, **more)

    def reading(self, *, required: bool = True) -> Need:
        return self.need("reading", NeedKind.TEMPERATURE, unit="°C", required=required)


def _kept(texts: dict[str, Said]) -> dict[str, SavedWords]:
    return {name: saved(text) for name, text in texts.items() if text.values}


def _filled(template: str, values: dict[str, object], one: str = "") -> Said:
    """The sentence with the values it names, and no others."""
    return say(template, one, **{key: value for key, value in values.items() if "{" + key + "}" in template})


def short_enough(template: str, values: dict[str, object], one: str = "") -> Said:
    """The bench wording, its longest name cut until it fits."""
    made = say(template, one, **values)
    used = {key: value for key, value in values.items() if "{" + key + "}" in template}
    names = [key for key, value in used.items() if isinstance(value, str)]
    if len(made) <= LONGEST_BENCH - SPARE_IN_BENCH or not names:
        return say(template, one, **used)
    longest = max(names, key=lambda key: len(str(used[key])))
    room = len(str(used[longest])) - (len(made) - LONGEST_BENCH + SPARE_IN_BENCH) - 1
    return say(template, one, **{**used, longest: str(used[longest])[: max(1, room)].rstrip(" ,") + "…"})
