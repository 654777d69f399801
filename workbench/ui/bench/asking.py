"""From what was typed into the one field to the command that records it.  No Qt.

Reading can fail: then `Trouble` carries the sentence for the maker and the
text stays in the field.
"""

from __future__ import annotations

from workbench.core.batch.commands import (
    Answer,
    Command,
    CountDrops,
    KeepLeftover,
    Pour,
    ReadTemperature,
    Weigh,
)
from workbench.core.batch.state import SessionState
from workbench.core.batch.steps import Need, NeedKind, StepKind
from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.now import Option, options

TIN = "tin:"
LEFTOVER = "leftover"


def command_for(
    state: SessionState,
    need: Need,
    text: str,
    measures: Measures,
    *,
    stirred: bool = False,
    lot: str | None = None,
    sure: bool = False,
) -> Command:
    """The command that records `text` for `need` of the current step.

    Masses and temperatures are read in the maker's units.  A tick or a choice
    is typed as its number on the card, also while the field stands for the
    temperature.  Raises `Trouble` with a sentence.
    """
    step = state.step_id
    typed = text.strip()
    if need.kind in (NeedKind.TEMPERATURE, NeedKind.TICK, NeedKind.CHOICE):
        option = _option(state, typed)
        if option is not None:
            return Answer(step, option.need, option.value, typed)
    match need.kind:
        case NeedKind.MASS:
            mass_g = measures.read_mass(typed)
            if (
                need.key.startswith(TIN)
                and state.step is not None
                and state.step.kind
                in (
                    StepKind.POUR,
                    StepKind.MEND,
                )
            ):
                return Pour(step, _tin_number(need), mass_g, typed, sure)
            if need.key == LEFTOVER:
                return KeepLeftover(step, mass_g, typed)
            return Weigh(step, need.key, mass_g, typed, lot, sure)
        case NeedKind.DROPS:
            return CountDrops(step, need.key, _whole(typed, measures, "drops", "drop"), typed, lot)
        case NeedKind.TEMPERATURE:
            return ReadTemperature(step, measures.read_temperature(typed), typed, stirred, sure)
        case NeedKind.COUNT:
            return Answer(step, need.key, float(_whole(typed, measures, need.unit)), typed)
        case NeedKind.DEPTH:
            depth_mm = measures.read_number(_bare(typed, "mm"))
            if depth_mm < 0:
                raise Trouble(say("A depth is 0 mm or more. Type it without a minus."))
            return Answer(step, need.key, depth_mm, typed)
        case NeedKind.CHOICE | NeedKind.TICK:
            raise Trouble(
                say(
                    "Nothing on this list has the number “{typed}”. Type a number that stands there.",
                    typed=typed,
                )
            )
        case NeedKind.WORDS:
            return Answer(step, need.key, typed, typed)
        case NeedKind.BURST:
            raise ValueError("a burst is started, not typed")


def _bare(typed: str, *units: str) -> str:
    """Without the unit of the field, where somebody typed it too."""
    for unit in units:
        if unit and typed.lower().endswith(unit.lower()):
            return typed[: -len(unit)].rstrip()
    return typed


def _whole(typed: str, measures: Measures, *units: str) -> int:
    value = measures.read_number(_bare(typed, *units))
    if value < 0 or value != int(value):
        raise Trouble(say("“{typed}” is not a whole number. Type how many there were.", typed=typed))
    return int(value)


def _option(state: SessionState, typed: str) -> Option | None:
    """What stands under a small whole number; None where the text is something else."""
    if not typed.isdecimal() or len(typed) > 2:
        return None
    return next((each for each in options(state) if each.number == int(typed)), None)


def _tin_number(need: Need) -> int:
    tail = need.key.removeprefix(TIN)
    return int(tail) if tail.isdigit() else 1
