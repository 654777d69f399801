"""Make the tones of the bench: `python make_tones.py` writes the WAV files beside it.

Four patterns that can be told apart without looking, and without a good
loudspeaker: nothing lies below 500 Hz or above 2 kHz, every pulse rises and
falls softly so that it does not click, and urgency is carried by rhythm
first and pitch second, so that it survives a range hood.  All are our own.

    danger    five quick pulses of two pitches, then a short gap     (looped)
    warning   three even pulses                                       (looped)
    notice    two slow falling pulses                                 (looped)
    timer     one plain long tone with a soft end                     (once)
    opens     three rising pulses: the window opens                   (once)
"""

from __future__ import annotations

import math
import struct
import sys
import wave
from pathlib import Path

RATE_HZ = 11_025
LOUDEST = 0.6 * 32_767
EDGE_S = 0.012

# (frequency in Hz, 0 for silence; length in s)
PATTERNS: dict[str, tuple[tuple[float, float], ...]] = {
    "danger": (
        (988.0, 0.12),
        (0.0, 0.05),
        (1319.0, 0.12),
        (0.0, 0.05),
        (988.0, 0.12),
        (0.0, 0.05),
        (1319.0, 0.12),
        (0.0, 0.05),
        (1319.0, 0.18),
        (0.0, 0.40),
    ),
    "warning": ((880.0, 0.22), (0.0, 0.14), (880.0, 0.22), (0.0, 0.14), (880.0, 0.22), (0.0, 1.06)),
    "notice": ((784.0, 0.30), (0.0, 0.12), (587.0, 0.40), (0.0, 3.18)),
    "timer": ((659.0, 1.10), (0.0, 0.10)),
    "opens": ((587.0, 0.18), (0.0, 0.06), (784.0, 0.18), (0.0, 0.06), (988.0, 0.36), (0.0, 0.10)),
}


def samples(pattern: tuple[tuple[float, float], ...]) -> list[int]:
    """16-bit samples of one pattern; a second and a third partial give it a wooden edge."""
    made: list[int] = []
    for frequency_hz, length_s in pattern:
        count = round(length_s * RATE_HZ)
        for index in range(count):
            if frequency_hz == 0.0:
                made.append(0)
                continue
            at_s = index / RATE_HZ
            edge = min(1.0, at_s / EDGE_S, (length_s - at_s) / (4 * EDGE_S))
            phase = 2 * math.pi * frequency_hz * at_s
            tone = 0.74 * math.sin(phase) + 0.18 * math.sin(2 * phase) + 0.08 * math.sin(3 * phase)
            made.append(round(LOUDEST * max(0.0, edge) * tone))
    return made


def write(folder: Path) -> None:
    for name, pattern in PATTERNS.items():
        data = samples(pattern)
        with wave.open(str(folder / f"{name}.wav"), "wb") as out:
            out.setnchannels(1)
            out.setsampwidth(2)
            out.setframerate(RATE_HZ)
            out.writeframes(struct.pack(f"<{len(data)}h", *data))


if __name__ == "__main__":
    write(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
