"""Which function decides which command."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from workbench.core.batch import commands as ask
from workbench.core.batch import decide_course, decide_entries, decide_jug
from workbench.core.batch.asked import Asked, Decided
from workbench.core.batch.commands import Command

DECIDERS: Mapping[type[Command], Callable[[Asked, Any], Decided]] = {
    ask.Start: decide_course.decide_start,
    ask.FinishStep: decide_course.decide_finish_step,
    ask.LeaveOut: decide_course.decide_leave_out,
    ask.ReadCautions: decide_entries.decide_read_cautions,
    ask.Weigh: decide_entries.decide_weigh,
    ask.CountDrops: decide_entries.decide_count_drops,
    ask.ReadTemperature: decide_entries.decide_read_temperature,
    ask.Answer: decide_entries.decide_answer,
    ask.StartBurst: decide_jug.decide_start_burst,
    ask.EndBurst: decide_jug.decide_end_burst,
    ask.Stir: decide_jug.decide_stir,
    ask.Add: decide_jug.decide_add,
    ask.GrowBatch: decide_jug.decide_grow,
    ask.Pour: decide_jug.decide_pour,
    ask.ChangeHeat: decide_jug.decide_change_heat,
    ask.GoBackToBath: decide_jug.decide_back_to_bath,
    ask.Hold: decide_course.decide_hold,
    ask.ConfirmSafe: decide_course.decide_confirm_safe,
    ask.GoOn: decide_course.decide_go_on,
    ask.SetAside: decide_course.decide_set_aside,
    ask.Acknowledge: decide_course.decide_acknowledge,
    ask.SeeSetPoint: decide_jug.decide_see_set_point,
    ask.WriteNote: decide_course.decide_note,
    ask.Correct: decide_entries.decide_correct,
    ask.NoticeClock: decide_course.decide_notice_clock,
    ask.TakeUp: decide_course.decide_take_up,
    ask.KeepLeftover: decide_jug.decide_leftover,
    ask.LookAgain: decide_course.decide_look_again,
    ask.EndBatch: decide_course.decide_end_batch,
}
