"""What must be done now: it stands above the card and never scrolls away.

Which step it is, whether it is hot, what to do, the weightiest caution, the
time, the temperature, and the button of a burst.  Where an alarm, a trouble
or large letters take the room it becomes smaller, before what is typed into
is out of sight: first the two figures give way, then the letters of the
instruction, never smaller than the rest of the card, and last the caution,
where an alarm stands above it that says more.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from PySide6.QtCore import QEvent, QRect, Qt
from PySide6.QtGui import QFont, QFontMetrics
from PySide6.QtWidgets import QHBoxLayout, QLayout, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from workbench.ui.bench.cautions import CautionBlock
from workbench.ui.bench.sheet import instruction_font
from workbench.ui.bench.temperature_face import TemperatureFace
from workbench.ui.bench.timer_face import TimerFace
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words, column, held_together
from workbench.ui.widgets.signs import SignView

_WRAPS = int(Qt.TextFlag.TextWordWrap)
_MIDDLE = Qt.AlignmentFlag.AlignVCenter


class Faces(Enum):
    """How time and temperature stand: large, or in one line with what belongs to them, or without the bar."""

    LARGE = "large"
    FLAT = "flat"
    BARE = "bare"


@dataclass(frozen=True, slots=True)
class Setting:
    """`times`: of the instruction's letters; the smallest is that of a heading."""

    times: float
    faces: Faces
    danger: bool = True


SETTINGS = (
    Setting(1.0, Faces.LARGE),
    Setting(1.0, Faces.FLAT),
    Setting(0.82, Faces.FLAT),
    Setting(0.82, Faces.BARE),
    Setting(0.68, Faces.BARE),
    Setting(0.68, Faces.BARE, danger=False),
)
COMFORT = 3  # with the first of them even the list above the field is worth being seen whole


class CardHead(QWidget):
    """Only its place and size; the card says what stands in it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self.alarm_above = False  # only an alarm that says more takes the place of the caution
        self.place = Words("", "muted_body")
        self.total = Words("", "muted_body")
        self.total.setWordWrap(False)
        self.total.setAlignment(Qt.AlignmentFlag.AlignRight | _MIDDLE)
        self.headline = Words("", "instruction")
        self.hot = QWidget(self)
        self.hot_says = Words("", "strong")
        self.hot_says.setWordWrap(False)
        hot = QHBoxLayout(self.hot)
        hot.setContentsMargins(0, 0, theme_now().space(2), 0)
        hot.setSpacing(theme_now().space(1))
        hot.addWidget(SignView("hot surface", 1.5, self.hot), alignment=_MIDDLE)
        hot.addWidget(self.hot_says, alignment=_MIDDLE)
        self._danger = QWidget(self)
        self.danger = CautionBlock(self._danger)  # the weightiest, in sight whatever is below
        self.danger.hide()
        self._danger.setLayout(column(self.danger))
        self.timer = TimerFace(self)
        self.temperature = TemperatureFace(self)
        self.burst = QPushButton(self)
        as_role(self.burst, "primary")
        self.burst.setAutoDefault(False)
        self.burst_says = Words("", "muted_body")
        self._top = QHBoxLayout()
        self._top.setSpacing(theme_now().space(2))
        self._top.addWidget(self.hot)
        self._top.addWidget(self.place, 1)
        self._top.addWidget(self.total)
        self._faces = QHBoxLayout()
        self._faces.setSpacing(theme_now().space(8))
        self._faces.addWidget(self.timer, 2)
        self._faces.addWidget(self.temperature, 3)
        self._bursts = QHBoxLayout()
        self._bursts.setSpacing(theme_now().space(3))
        self._bursts.addWidget(self.burst)
        self._bursts.addWidget(self.burst_says, 1, _MIDDLE)
        box = self._box = QVBoxLayout(self)
        margin = theme_now().space(6)
        box.setContentsMargins(margin, theme_now().space(3), margin, theme_now().space(1))
        box.setSpacing(theme_now().space(2))
        box.addLayout(self._top)
        box.addWidget(self.headline)
        box.addWidget(self._danger)
        box.addLayout(self._faces)
        box.addLayout(self._bursts)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self._say()
        self.dress()

    def dress(self) -> None:
        self._put(SETTINGS[0])

    def show_hot(self, hot: bool) -> None:
        """A sign and a word, so that nobody has to know the colours."""
        self.hot.setVisible(hot)

    def fit(self, width: int, height: int, wanted: int, least: int) -> None:
        """The largest setting that leaves `wanted` px of `height` below it, else `least`, else the smallest."""
        for setting in SETTINGS[:COMFORT]:
            if self._tall(width, setting) <= height - wanted:
                self._put(setting)
                return
        settings = SETTINGS if self.alarm_above else SETTINGS[:-1]
        for setting in settings:
            if setting is settings[-1] or self._tall(width, setting) <= height - least:
                self._put(setting)
                return

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._say()
        super().changeEvent(event)

    # -- inside

    def _say(self) -> None:
        self.hot_says.say(self.tr("Hot"))

    def _tall(self, width: int, setting: Setting) -> int:
        """The height it would have, in px, at this width."""
        margins = self._box.contentsMargins()
        room = max(1, width - margins.left() - margins.right())
        metrics = QFontMetrics(_font(setting.times))
        words = held_together(self.headline.text())
        parts = [
            _height(self._top, room),
            metrics.boundingRect(QRect(0, 0, room, 100_000), _WRAPS, words).height(),
        ]
        if setting.danger and not self.danger.isHidden():
            parts.append(_height(self.danger, room))
        if faces := self._faces_tall(room, setting.faces):
            parts.append(faces)
        if not self.burst.isHidden() or not self.burst_says.isHidden():
            parts.append(_height(self._bursts, room))
        return margins.top() + sum(parts) + self._box.spacing() * (len(parts) - 1) + margins.bottom()

    def _faces_tall(self, room: int, faces: Faces) -> int:
        timed, read = not self.timer.isHidden(), not self.temperature.isHidden()
        share = 0.4 if timed and read else 1.0
        room -= self._faces.spacing() if timed and read else 0
        flat, bar = faces is not Faces.LARGE, faces is not Faces.BARE
        return max(
            self.timer.tall_at(int(room * share), flat) if timed else 0,
            self.temperature.tall_at(int(room * (0.6 if timed else 1.0)), flat, bar) if read else 0,
        )

    def _put(self, setting: Setting) -> None:
        font = _font(setting.times)
        if self.headline.font() != font:
            self.headline.setFont(font)
        self._danger.setVisible(setting.danger and not self.danger.isHidden())
        self.timer.set_form(setting.faces is not Faces.LARGE)
        self.temperature.set_form(setting.faces is not Faces.LARGE, setting.faces is not Faces.BARE)


def _height(part: QWidget | QLayout, width: int) -> int:
    return part.heightForWidth(width) if part.hasHeightForWidth() else part.sizeHint().height()


def _font(times: float) -> QFont:
    font = instruction_font(theme_now())
    font.setPointSizeF(font.pointSizeF() * times)
    return font
