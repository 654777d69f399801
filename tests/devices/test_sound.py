"""Tones, speech and sleep: a real side that fails softly and a silent side that says why."""

from __future__ import annotations

import subprocess
import sys
import wave
from pathlib import Path

import pytest

from workbench.devices.power import ChildAwake, NoAwake, open_awake
from workbench.devices.sound import TONES, SilentSound
from workbench.devices.speech import SilentSpeech
from workbench.store.resources import resource_path


@pytest.mark.parametrize("tone", TONES)
def test_each_tone_is_a_short_wave_file_that_neither_clips_nor_is_silent(tone: str) -> None:
    with wave.open(str(resource_path(f"sounds/{tone}.wav"))) as file:
        assert file.getnchannels() == 1
        assert file.getsampwidth() == 2
        assert 0.3 < file.getnframes() / file.getframerate() < 5.0
        data = memoryview(file.readframes(file.getnframes())).cast("h")
    loudest = max(abs(sample) for sample in data)
    assert 8_000 < loudest < 32_767


def test_no_two_tones_sound_alike() -> None:
    assert len({resource_path(f"sounds/{tone}.wav").read_bytes() for tone in TONES}) == len(TONES)


def test_the_tones_are_what_the_script_makes(tmp_path: Path) -> None:
    script = resource_path("sounds/make_tones.py")
    subprocess.run([sys.executable, str(script), str(tmp_path)], check=True)
    for tone in TONES:
        made = (tmp_path / f"{tone}.wav").read_bytes()
        assert made == resource_path(f"sounds/{tone}.wav").read_bytes()


def test_silence_says_why_and_still_knows_its_tones() -> None:
    silent = SilentSound("No sound: nothing is plugged in.")
    assert not silent.works
    assert silent.why
    silent.repeat("danger")
    silent.hush()
    with pytest.raises(ValueError, match="trumpet"):
        silent.play("trumpet")


_PROBE = """
import os, sys
os.environ["QT_QPA_PLATFORM"] = "offscreen"
from pathlib import Path
{before}
from PySide6.QtGui import QGuiApplication
app = QGuiApplication([])
from workbench.devices.sound import open_sound
from workbench.devices.speech import open_speech
from workbench.store.resources import resource_path
sound = open_sound(resource_path("sounds"))
speech = open_speech()
print(sound.works, bool(sound.why), speech.works, bool(speech.why))
"""


def opened(before: str = "") -> list[str]:
    done = subprocess.run(
        [sys.executable, "-c", _PROBE.format(before=before)], capture_output=True, text=True, check=True
    )
    return done.stdout.split()


def test_what_is_there_is_used_and_what_is_missing_is_said() -> None:
    works, why, speaks, speech_why = opened()
    assert (works == "True") != (why == "True")  # it works, or it says why not
    assert (speaks == "True") != (speech_why == "True")


def test_a_missing_library_is_an_answer_and_no_traceback() -> None:
    hide = (
        "class Gone:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name in ('PySide6.QtMultimedia', 'PySide6.QtTextToSpeech'):\n"
        "            raise ImportError('libpulse.so.0: cannot open shared object file')\n"
        "sys.meta_path.insert(0, Gone())"
    )
    assert opened(hide) == ["False", "True", "False", "True"]


def test_silent_speech_keeps_what_it_was_asked_to_say() -> None:
    speech = SilentSpeech()
    speech.speak("The window opens.")
    assert speech.asked == ["The window opens."]
    assert speech.why


def test_keeping_awake_is_taken_and_given_back() -> None:
    child = ChildAwake((sys.executable, "-c", "import sys; sys.stdin.read()"))
    assert child.keep("a batch is running")
    assert child.keep("a batch is running")  # twice is once
    child.release()
    child.release()


def test_a_tool_that_is_not_there_is_no_trouble() -> None:
    child = ChildAwake(("no-such-tool-anywhere", "{why}"))
    assert not child.keep("a batch is running")
    child.release()
    nobody = NoAwake()
    assert not nobody.keep("why")
    assert nobody.held
    nobody.release()
    assert open_awake() is not None
