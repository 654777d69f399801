"""The temperature of a batch as a drawing: readings, guards, and when each step began."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbench.core.batch.state import SessionState, StepMark
from workbench.core.batch.steps import StepKind
from workbench.core.wording import say
from workbench.paper.scene import Align, Box, Ink, Line, Mark, Ring, Shape, Text
from workbench.paper.type import width_mm
from workbench.paper.voice import Voice

GAP_S = 15 * 60.0  # nobody knows what the jug did in a longer silence, so no line is drawn across it
_SIZE_MM = 2.3
_MARKED = (
    StepKind.MELT_BATH,
    StepKind.MELT_BURSTS,
    StepKind.COLD_SPOON,
    StepKind.COOL,
    StepKind.ADD_FRAGRANCE,
    StepKind.POUR,
    StepKind.SET,
    StepKind.MEND,
)


@dataclass(frozen=True, slots=True)
class Guide:
    """A limit over a stretch of time, in s and °C."""

    name: str
    celsius: float
    from_s: float
    to_s: float
    dashes_mm: tuple[float, ...]


def guides_of(state: SessionState, first_s: float, last_s: float) -> list[Guide]:
    """The limits as they stood at the end, each over the stretch in which it counts."""
    now = state.temperatures
    scented_s = state.scented_at_s
    turn_s = last_s if scented_s is None else min(max(scented_s, first_s), last_s)
    found = [
        Guide(say("melt ceiling"), now.melt_ceiling_c, first_s, turn_s, ()) if now.melt_ceiling_c else None,
        Guide(say("melt-out"), now.melt_out_c, first_s, turn_s, (0.4, 0.8)) if now.melt_out_c else None,
        Guide(say("scented ceiling"), now.scented_ceiling_c, turn_s, last_s, ())
        if now.scented_ceiling_c and scented_s is not None
        else None,
        Guide(say("flash-safe"), now.flash_safe_c, first_s, last_s, (2.0, 1.0)) if now.flash_safe_c else None,
        Guide(say("pour floor"), now.pour_floor_c, first_s, last_s, (0.8, 0.6)) if now.pour_floor_c else None,
    ]
    return [guide for guide in found if guide is not None and guide.to_s - guide.from_s > 1]


def draw_curve(state: SessionState, voice: Voice, x: float, y: float, w: float, h: float) -> Sequence[Mark]:
    """The whole drawing inside a box; needs at least one reading."""
    points = [
        (each.at_s, state.celsius_of(each), bool(state.corrections.get(each.seq))) for each in state.readings
    ]
    # what follows the last reading by hours (setting, resting) would only squeeze the curve
    first_s, last_s = points[0][0] - 120, points[-1][0] + 300
    guides = guides_of(state, first_s, last_s)
    values = [celsius for _, celsius, _ in points] + [guide.celsius for guide in guides]
    low, high = min(values), max(values)
    room = max(3.0, 0.08 * (high - low))
    frame = _Frame(x + 11, y + 11.5, w - 11 - 26, h - 11.5 - 8.5, first_s, last_s, low - room, high + room)
    marks: list[Mark] = [Box(frame.x, frame.y, frame.w, frame.h, 0.0, 0.12, Ink.FAINT)]
    marks += _scale(frame, voice)
    marks += _minutes(frame, voice)
    marks += _steps(state, frame, voice)
    marks += _guides(guides, frame, voice)
    marks += _readings(points, frame)
    return marks


@dataclass(frozen=True, slots=True)
class _Frame:
    x: float
    y: float
    w: float
    h: float
    first_s: float
    last_s: float
    low_c: float
    high_c: float

    def at(self, second: float, celsius: float) -> tuple[float, float]:
        return (
            self.x + self.w * (second - self.first_s) / (self.last_s - self.first_s),
            self.y + self.h * (self.high_c - celsius) / (self.high_c - self.low_c),
        )


def _scale(frame: _Frame, voice: Voice) -> list[Mark]:
    """Round numbers of the maker's own degrees."""
    low, high = voice.shown_degrees(frame.low_c), voice.shown_degrees(frame.high_c)
    step = next((each for each in (5, 10, 20, 50) if (high - low) / each <= 7), 50)
    marks: list[Mark] = []
    value = step * (int(low // step) + 1)
    while value < high:
        celsius = (value - 32) / 1.8 if voice.fahrenheit else float(value)
        _, y = frame.at(frame.first_s, celsius)
        marks.append(Line(frame.x, y, frame.x + frame.w, y, 0.08, Ink.WASH))
        marks.append(Text(frame.x - 1.5, y + 0.8, str(value), _SIZE_MM, ink=Ink.SOFT, align=Align.RIGHT))
        value += step
    unit = "°F" if voice.fahrenheit else "°C"
    marks.append(Text(frame.x - 1.5, frame.y - 1.2, unit, _SIZE_MM, ink=Ink.PALE, align=Align.RIGHT))
    return marks


def _minutes(frame: _Frame, voice: Voice) -> list[Mark]:
    span = (frame.last_s - frame.first_s) / 60
    step = next((each for each in (5, 10, 15, 30, 60, 120) if span / each <= 12), 240)
    marks: list[Mark] = []
    minute = step * (int(frame.first_s / 60 // step) + 1)
    while minute * 60 <= frame.last_s:
        x, bottom = frame.at(minute * 60.0, frame.low_c)
        marks.append(Line(x, bottom, x, bottom + 1.0, 0.12, Ink.SOFT))
        marks.append(Text(x, bottom + 3.9, str(minute), _SIZE_MM, ink=Ink.SOFT, align=Align.CENTRE))
        minute += step
    said = voice.say(say("minutes since the batch began"))
    marks.append(
        Text(frame.x + frame.w, frame.y + frame.h + 7.4, said, _SIZE_MM, ink=Ink.PALE, align=Align.RIGHT)
    )
    return marks


def _steps(state: SessionState, frame: _Frame, voice: Voice) -> list[Mark]:
    """A line at each hot step, its name above the frame; names that would meet are left out."""
    marks: list[Mark] = []
    ends = [frame.x - 100.0, frame.x - 100.0]
    for progress in state.steps:
        began_s = progress.begun_at_s
        if began_s is None or progress.step.kind not in _MARKED or progress.mark is StepMark.LEFT_OUT:
            continue
        if not frame.first_s <= began_s <= frame.last_s:
            continue
        x, _ = frame.at(began_s, frame.high_c)
        marks.append(Line(x, frame.y, x, frame.y + frame.h, 0.1, Ink.FAINT, (0.5, 0.5)))
        name = voice.say(progress.step.title)
        row = next((row for row in (0, 1) if x > ends[row] + 1.5), None)
        wide = width_mm(name, _SIZE_MM)
        if row is not None and x + wide < frame.x + frame.w + 26:
            marks.append(Text(x, frame.y - 1.4 - 3.4 * row, name, _SIZE_MM, ink=Ink.SOFT))
            ends[row] = x + wide
    return marks


def _guides(guides: Sequence[Guide], frame: _Frame, voice: Voice) -> list[Mark]:
    """Lines with their names at the right, moved apart where they would meet."""
    marks: list[Mark] = []
    spots = sorted((frame.at(guide.to_s, guide.celsius)[1], at) for at, guide in enumerate(guides))
    lowest = -1e9
    for y, at in spots:
        guide = guides[at]
        (x1, _), (x2, _) = frame.at(guide.from_s, guide.celsius), frame.at(guide.to_s, guide.celsius)
        marks.append(Line(x1, y, x2, y, 0.2, Ink.SOFT, guide.dashes_mm))
        shown = max(y + 0.8, lowest + 2.7)
        lowest = shown
        name = f"{voice.say(guide.name)} {voice.degrees(guide.celsius, 0)}"
        marks.append(Text(frame.x + frame.w + 1.2, shown, name, 2.1, ink=Ink.SOFT))
    return marks


def _readings(points: Sequence[tuple[float, float, bool]], frame: _Frame) -> list[Mark]:
    """Dots, joined where no long silence lies between them; a corrected one is a ring."""
    marks: list[Mark] = []
    run: list[tuple[float, float]] = []
    before_s: float | None = None
    for second, celsius, _ in points:
        if before_s is not None and second - before_s > GAP_S:
            marks.append(Shape(tuple(run), False, 0.3))
            run = []
        run.append(frame.at(second, celsius))
        before_s = second
    marks.append(Shape(tuple(run), False, 0.3))
    for second, celsius, corrected in points:
        x, y = frame.at(second, celsius)
        marks.append(Ring(x, y, 0.55, 0.2, Ink.BLACK, Ink.WHITE if corrected else Ink.BLACK))
    return marks
