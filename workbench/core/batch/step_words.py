"""The wording of steps, from its table."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from workbench.core.batch.tables import parse_rows
from workbench.core.catalogue.model import Row, Text
from workbench.core.trouble import Fault, Trouble
from workbench.core.wording import PLACE_OF_COUNT, say

Minutes = Annotated[float, Field(gt=0, le=24 * 60)]


class StepWording(Row):
    """The texts of one kind of step, with placeholders; times in minutes."""

    key: Text
    title: Text
    instruction: Text
    instruction_one: str = ""  # of one, where it counts
    instruction_unknown: str = ""  # where a temperature it names is not known
    reason: Text
    bench: Text
    bench_one: str = ""
    bench_unknown: str = ""
    timer_min: Minutes | None = None
    timer_says: str = ""
    least_min: Minutes | None = None
    done_when: Text
    safe_action: Text
    basis: Text

    @model_validator(mode="after")
    def _counts_one_too(self) -> StepWording:
        for many, one in ((self.instruction, self.instruction_one), (self.bench, self.bench_one)):
            if (PLACE_OF_COUNT in many) != bool(one):
                raise ValueError(f"“{many}”: what counts has a text for one as well, and nothing else has")
        return self


class StepTable(Row):
    step: tuple[StepWording, ...]
    needs: dict[str, str]

    def wording(self, key: str) -> StepWording:
        """The texts of one step; `Trouble` where the table has none."""
        for each in self.step:
            if each.key == key:
                return each
        raise Trouble(say("The table of steps has no words for “{key}”. Put the original back.", key=key))


STEP_KEYS = (
    "prepare", "weigh", "weigh_drops", "mix_scent", "mix_premix", "melt_bath", "melt_bursts", "cold_spoon",
    "cool", "cool_plain", "flame_out", "add", "stir", "pour", "rewarm", "set", "inspect", "mend", "rest",
    "weigh_tins", "clean", "finish",
)  # fmt: skip
NEED_KEYS = (
    "dry", "air", "lid", "probe", "covered", "bath", "butters", "clear", "reading", "firmness", "flame",
    "away", "in", "tin", "depth", "mended", "wiped", "remarks",
)  # fmt: skip


def parse_steps(name: str, content: bytes) -> StepTable:
    """The wording from TOML bytes; raises `Trouble` with every fault and its place."""
    table = parse_rows(name, content, StepTable)
    have = [each.key for each in table.step]
    faults = [
        *(Fault(f"{name}, {key}", say("This step is missing.")) for key in STEP_KEYS if key not in have),
        *(Fault(f"{name}, {key}", say("No plan uses this step; check the spelling.")) for key in have if key not in STEP_KEYS),
        *(Fault(f"{name}, {key}", say("This step stands twice.")) for key in sorted({k for k in have if have.count(k) > 1})),
        *(Fault(f"{name}, needs, {key}", say("This is missing.")) for key in NEED_KEYS if key not in table.needs),
    ]  # fmt: skip
    if faults:
        raise Trouble(say("The table of steps cannot be used as it stands."), tuple(faults))
    return table
