"""What a batch took from the shelf, by material and lot."""

from __future__ import annotations

from workbench.core.batch.made import mass_of
from workbench.core.batch.state import Entry, SessionState
from workbench.core.batch.steps import NeedKind


def used_of(state: SessionState) -> tuple[tuple[str, str, float], ...]:
    """(material, lot or "", grams) of all that went in: what was made, by the lot it was taken from."""
    recorded = [
        progress.recorded[need.key].seq
        for progress in state.steps
        for need in progress.step.needs
        if need.material and need.kind in (NeedKind.MASS, NeedKind.DROPS) and need.key in progress.recorded
    ]
    used: dict[tuple[str, str], float] = {}
    for seq in dict.fromkeys((*recorded, *state.added)):
        entry = state.entry(seq)
        if isinstance(entry, Entry):
            key = (entry.material, entry.lot or "")
            used[key] = used.get(key, 0.0) + mass_of(state, entry)
    return tuple((material, lot, mass_g) for (material, lot), mass_g in used.items())
