"""What a batch needs from outside; apart from the room that uses it, so that the window opens without it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from workbench.core.batch.ports import Clock
    from workbench.core.batch.rules import Rules
    from workbench.core.catalogue.catalogue import Catalogue
    from workbench.devices.power import Awake
    from workbench.devices.sound import Sound
    from workbench.devices.speech import Speech


@dataclass(frozen=True, slots=True)
class BatchKit:
    """Makers of the devices, called when a batch is begun, and the clock."""

    clock: Callable[[], Clock]
    rules: Callable[[Catalogue], Rules]
    sound: Callable[[], Sound]
    speech: Callable[[], Speech]
    awake: Callable[[], Awake]
    practice_seed: int = 7
