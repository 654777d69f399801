"""Speaking a sentence aloud: optional, and never the only channel.

Everything spoken stands on the screen as well.  Silence without a word is
what people complain about, so `why` says what is missing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

from workbench.core.wording import say

if TYPE_CHECKING:
    from PySide6.QtTextToSpeech import QTextToSpeech


class Speech(Protocol):
    @property
    def works(self) -> bool: ...

    @property
    def why(self) -> str: ...

    def speak(self, words: str) -> None: ...

    def hush(self) -> None: ...


@dataclass(slots=True)
class SilentSpeech:
    """Says nothing aloud; keeps what it was asked to say, newest last."""

    why: str = "Speech is switched off."
    works: bool = False
    asked: list[str] = field(default_factory=list)

    def speak(self, words: str) -> None:
        self.asked.append(words)

    def hush(self) -> None:
        pass


class QtSpeech:
    """The desktop's own voice."""

    def __init__(self, voice: QTextToSpeech) -> None:
        self._voice = voice

    @property
    def works(self) -> bool:
        from PySide6.QtTextToSpeech import QTextToSpeech

        return self._voice.state() is not QTextToSpeech.State.Error

    @property
    def why(self) -> str:
        return "" if self.works else self._voice.errorString()

    def speak(self, words: str) -> None:
        self._voice.say(words)

    def hush(self) -> None:
        self._voice.stop()


def open_speech() -> Speech:
    """A voice of this desktop, or silence with the reason; never raises for a missing one."""
    try:
        from PySide6.QtTextToSpeech import QTextToSpeech
    except ImportError as missing:
        return SilentSpeech(
            say("Nothing is spoken: a system library is missing ({what}).", what=str(missing).split(":")[0])
        )
    # "mock" only pretends; it exists for tests of Qt itself
    engines = [name for name in QTextToSpeech.availableEngines() if name != "mock"]
    if not engines:
        return SilentSpeech(
            say("Nothing is spoken: no speech service was found. On Debian, install speech-dispatcher.")
        )
    voice = QTextToSpeech(engines[0])
    if voice.state() is QTextToSpeech.State.Error:
        return SilentSpeech(
            say(
                "Nothing is spoken: the speech service does not answer. On Debian, install speech-dispatcher."
            )
        )
    return QtSpeech(voice)
