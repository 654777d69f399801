"""Tones at the bench: one port, a real side and a silent side.

Sound is never the only channel.  QtMultimedia needs system libraries that a
small desktop may not have and fails already when it is imported, so it is
imported late and its absence is an answer, not an error: the check before a
batch says so and the alarm on the screen stands alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from workbench.core.wording import say

if TYPE_CHECKING:
    from PySide6.QtMultimedia import QSoundEffect

DANGER = "danger"
WARNING = "warning"
NOTICE = "notice"
TIMER = "timer"
OPENS = "opens"
TONES = (DANGER, WARNING, NOTICE, TIMER, OPENS)


class Sound(Protocol):
    """`works` is False where nothing can be heard; `why` then says what to do."""

    @property
    def works(self) -> bool: ...

    @property
    def why(self) -> str: ...

    def play(self, tone: str) -> None:
        """One of TONES, once."""

    def repeat(self, tone: str) -> None:
        """One of TONES, over and over until `hush`; replaces what repeats now."""

    def hush(self) -> None: ...

    def set_volume(self, share: float) -> None:
        """0 (silent) to 1 (full)."""


@dataclass(slots=True)
class SilentSound:
    """No sound; `why` is a full sentence."""

    why: str = "Sound is switched off."
    works: bool = False

    def play(self, tone: str) -> None:
        _known(tone)

    def repeat(self, tone: str) -> None:
        _known(tone)

    def hush(self) -> None:
        pass

    def set_volume(self, share: float) -> None:
        pass


class QtSound:
    """The tones of a folder through the computer's own output."""

    def __init__(self, effects: dict[str, QSoundEffect]) -> None:
        self._effects = effects
        self._repeating: str | None = None
        self.why = ""

    @property
    def works(self) -> bool:
        return True

    def play(self, tone: str) -> None:
        _known(tone)
        if tone == self._repeating:
            return
        self._effects[tone].setLoopCount(1)
        self._effects[tone].play()

    def repeat(self, tone: str) -> None:
        from PySide6.QtMultimedia import QSoundEffect

        _known(tone)
        if tone == self._repeating:
            return
        self.hush()
        self._repeating = tone
        self._effects[tone].setLoopCount(QSoundEffect.Loop.Infinite.value)
        self._effects[tone].play()

    def hush(self) -> None:
        if self._repeating is not None:
            self._effects[self._repeating].stop()
            self._repeating = None

    def set_volume(self, share: float) -> None:
        for effect in self._effects.values():
            effect.setVolume(min(1.0, max(0.0, share)))


def open_sound(folder: Path, volume: float = 0.9) -> Sound:
    """The tones in `folder`, or silence with the reason; never raises for a missing device."""
    try:
        from PySide6.QtCore import QUrl
        from PySide6.QtMultimedia import QMediaDevices, QSoundEffect
    except ImportError as missing:
        return SilentSound(
            say(
                "No sound: a system library is missing ({what}). On Debian, install libpulse0; until then watch the screen.",
                what=str(missing).split(":")[0],
            )
        )
    if not QMediaDevices.audioOutputs():
        return SilentSound(
            say(
                "No sound: this computer has no loudspeaker that can be found. Connect one, or watch the screen."
            )
        )
    absent = [tone for tone in TONES if not (folder / f"{tone}.wav").is_file()]
    if absent:
        return SilentSound(
            say("No sound: the tone “{tone}” is missing. Install the program again.", tone=absent[0])
        )
    effects: dict[str, QSoundEffect] = {}
    for tone in TONES:
        effect = QSoundEffect()
        effect.setSource(QUrl.fromLocalFile(str(folder / f"{tone}.wav")))
        effects[tone] = effect
    sound = QtSound(effects)
    sound.set_volume(volume)
    return sound


def _known(tone: str) -> None:
    if tone not in TONES:
        raise ValueError(f"no tone is called {tone!r}")
