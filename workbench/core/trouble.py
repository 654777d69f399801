"""Trouble in the world, as told to a person.

Two families of errors are kept apart by type.  `Trouble` is something the
user can act on (an unreadable number, a file that contradicts itself, a full
disk).  Everything else that is raised is a bug of ours.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong, and where.

    `place` is a path a person can follow ("materials.toml, beeswax,
    density_g_ml"); `says` is a full sentence that says what is wrong and what
    to do about it.
    """

    place: str
    says: str

    def __str__(self) -> str:
        return f"{self.place}: {self.says}" if self.place else self.says


class Trouble(Exception):
    """Something outside the program is not as it should be.

    Carries every fault that was found, not only the first.
    """

    def __init__(self, says: str, faults: tuple[Fault, ...] = ()) -> None:
        super().__init__(says)
        self.says = says
        self.faults = faults

    def __str__(self) -> str:
        if not self.faults:
            return self.says
        return "\n".join([self.says, *(f"  - {fault}" for fault in self.faults)])
