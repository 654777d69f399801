"""What went off in a batch and what was done about it, as a list of sentences in order of time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from workbench.core.batch.record import BatchRecord
from workbench.core.batch.state import AlarmPast, HoldPast
from workbench.core.wording import Duration, say


@dataclass(frozen=True, slots=True)
class Happened:
    """`says` what went another way, `done` what was done about it ("" where nothing had to be)."""

    kind: str  # as in Deviation
    step: str  # its title
    at_s: float
    says: str
    done: str = ""


def happened(made: BatchRecord, alarm_titles: Mapping[str, str] | None = None) -> tuple[Happened, ...]:
    """Every deviation with its answer; `alarm_titles` are the words for alarms by key."""
    titles = {step.step: step.title for step in made.steps}
    found = []
    alarms = iter(each for each in made.alarms if each.what == "raised")
    holds = iter(sorted(made.holds, key=lambda each: each.asked_at_s))
    for each in made.deviations:
        says, done = each.says, ""
        if each.kind == "alarm" and (raised := next(alarms, None)) is not None:
            title = (alarm_titles or {}).get(raised.key, raised.key)
            says, done = say("Alarm: {title}.", title=title), _answered(raised, made.alarms)
        elif each.kind == "hold" and (hold := next(holds, None)) is not None:
            done = _held(hold)
        found.append(Happened(each.kind, titles.get(each.step, ""), each.at_s, says, done))
    return tuple(found)


def _answered(raised: AlarmPast, alarms: tuple[AlarmPast, ...]) -> str:
    later = [
        each
        for each in alarms
        if each.key == raised.key and each.at_s >= raised.at_s and each.what != "raised"
    ]
    seen = next((each for each in later if each.what == "acknowledged"), None)
    over = next((each for each in later if each.what == "returned"), None)
    seen_after = Duration(0 if seen is None else seen.at_s - raised.at_s)
    over_after = Duration(0 if over is None else over.at_s - raised.at_s)
    if seen is not None and over is not None:
        return say("Acknowledged after {seen}, over after {over}.", seen=seen_after, over=over_after)
    if seen is not None:
        return say("Acknowledged after {seen}; it was not seen to be over.", seen=seen_after)
    if over is not None:
        return say("Over after {over}, without being acknowledged.", over=over_after)
    return say("It was neither acknowledged nor seen to be over.")


def _held(hold: HoldPast) -> str:
    safe_after = Duration(0 if hold.held_at_s is None else hold.held_at_s - hold.asked_at_s)
    on_after = Duration(0 if hold.went_on_at_s is None else hold.went_on_at_s - hold.asked_at_s)
    if hold.held_at_s is not None and hold.went_on_at_s is not None:
        return say("Made safe after {safe}, gone on with after {on}.", safe=safe_after, on=on_after)
    if hold.held_at_s is not None:
        return say("Made safe after {safe}; it was not gone on with.", safe=safe_after)
    if hold.went_on_at_s is not None:
        return say("Gone on with after {on}.", on=on_after)
    return say("Nobody confirmed that it was made safe.")
