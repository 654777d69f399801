"""One look for the whole window: colours, type, spacing; nothing of it stands elsewhere.

A `Theme` is a frozen value.  `apply` hands it to the application: style,
palette, fonts and one stylesheet.  Widgets say what they are (`as_role`) and
never how they look; painted widgets ask `theme_now()` and repaint on
`QEvent.Type.PaletteChange`.
"""

from __future__ import annotations

import atexit
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from shutil import rmtree
from tempfile import mkdtemp
from typing import TypeVar

from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QGuiApplication, QImage, QPainter, QPalette, QPen
from PySide6.QtWidgets import QApplication, QLabel, QWidget

from workbench.ui.palettes import DARK, HIGH_CONTRAST, LIGHT, Colours
from workbench.ui.stylesheet import build

SANS = "Lato"
SERIF = "Vollkorn"
BODY_PT = 11.0
_Widget = TypeVar("_Widget", bound=QWidget)

GRID_PX = 4  # every distance is a multiple of it
FONT_FILES = ("Lato-Regular.ttf", "Lato-Bold.ttf", "Vollkorn-Medium.ttf")

# one type scale; sizes relative to the body
SIZES = {
    "small": 0.88,
    "body": 1.0,
    "strong": 1.0,
    "lead": 1.18,
    "head": 1.36,
    "title": 1.9,
    "figure": 1.6,
    "display": 3.2,
}
SERIF_ROLES = ("head", "title")
BOLD_ROLES = ("strong", "figure", "display")


class Scheme(StrEnum):
    SYSTEM = "system"
    LIGHT = "light"
    DARK = "dark"
    HIGH_CONTRAST = "high contrast"


@dataclass(frozen=True, slots=True)
class Theme:
    """Colours by role and a text size of 100 to 200 %."""

    scheme: Scheme = Scheme.LIGHT
    text_percent: int = 100

    @property
    def colours(self) -> Colours:
        return {Scheme.DARK: DARK, Scheme.HIGH_CONTRAST: HIGH_CONTRAST}.get(self.scheme, LIGHT)

    @property
    def size_factor(self) -> float:
        return min(200, max(100, self.text_percent)) / 100

    def colour(self, role: str) -> QColor:
        return QColor(getattr(self.colours, role))

    def space(self, steps: int = 1) -> int:
        """Distance in px: `steps` on the grid of 4 px."""
        return GRID_PX * steps

    def points(self, role: str = "body") -> float:
        return BODY_PT * self.size_factor * SIZES[role]

    def font(self, role: str = "body") -> QFont:
        font = QFont(SERIF if role in SERIF_ROLES else SANS)
        font.setPointSizeF(self.points(role))
        if role in BOLD_ROLES:
            font.setWeight(QFont.Weight.Bold)
        if role in SERIF_ROLES:  # figures that stand on the line: its own hang, and its 1 looks like an I
            font.setFeature(QFont.Tag("lnum"), 1)
        return font

    def em(self) -> int:
        """Height of the body text in px at 96 dots per inch: the measure for things that grow with text."""
        return round(self.points() * 96 / 72)

    def pen(self, role: str, width: float = 1.0, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
        pen = QPen(self.colour(role), width, style)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        return pen

    def palette(self) -> QPalette:
        """The Qt palette; disabled text stays readable because it still says something."""
        c, made = self.colours, QPalette()
        roles = QPalette.ColorRole
        for role, name in (
            (roles.Window, c.desk),
            (roles.WindowText, c.ink),
            (roles.Base, c.field),
            (roles.AlternateBase, c.raised),
            (roles.Text, c.ink),
            (roles.Button, c.raised),
            (roles.ButtonText, c.ink),
            (roles.BrightText, c.danger_ink),
            (roles.Highlight, c.chosen_fill),
            (roles.HighlightedText, c.chosen_text),
            (roles.ToolTipBase, c.raised),
            (roles.ToolTipText, c.ink),
            (roles.PlaceholderText, c.muted),
            (roles.Link, c.focus),
            (roles.LinkVisited, c.focus),
            (roles.Light, c.page),
            (roles.Midlight, c.raised),
            (roles.Mid, c.edge),
            (roles.Dark, c.edge),
            (roles.Shadow, c.edge),
            (roles.Accent, c.focus),
        ):
            made.setColor(role, QColor(name))
        for role in (roles.WindowText, roles.Text, roles.ButtonText):
            made.setColor(QPalette.ColorGroup.Disabled, role, QColor(c.muted))
        return made


def of_scheme(scheme: Scheme, text_percent: int) -> Theme:
    """A theme; `SYSTEM` follows what the desktop says, and is light where it says nothing."""
    return Theme(system_scheme() if scheme is Scheme.SYSTEM else scheme, text_percent)


def system_scheme() -> Scheme:
    """What the desktop asks for now: high contrast before dark before light."""
    hints = QGuiApplication.styleHints()
    if hints.accessibility().contrastPreference() == Qt.ContrastPreference.HighContrast:
        return Scheme.HIGH_CONTRAST
    return Scheme.DARK if hints.colorScheme() == Qt.ColorScheme.Dark else Scheme.LIGHT


def when_system_changes(tell: Callable[[], object]) -> None:
    """Call `tell` whenever the desktop goes dark, light or to another contrast."""
    hints = QGuiApplication.styleHints()
    hints.colorSchemeChanged.connect(tell)
    hints.accessibility().contrastPreferenceChanged.connect(tell)


def load_fonts(folder: Path) -> tuple[str, ...]:
    """Load the shipped fonts; answers with the names of files that could not be read."""
    known = QFontDatabase.families()
    if SANS in known and SERIF in known and QApplication.instance() is None:
        return ()
    return tuple(name for name in FONT_FILES if QFontDatabase.addApplicationFont(str(folder / name)) == -1)


def theme_now() -> Theme:
    """The theme the application wears; light at 100 % before one was applied."""
    app = QApplication.instance()
    held = app.property("theme") if app is not None else None
    return held if isinstance(held, Theme) else Theme()


def apply(app: QApplication, theme: Theme) -> None:
    """Dress the whole application, at once."""
    images = Path(mkdtemp(prefix="balmbook-"))
    atexit.register(rmtree, images, ignore_errors=True)
    _draw_images(theme, images)
    app.setProperty("theme", theme)
    app.setStyle("Fusion")
    app.setPalette(theme.palette())
    app.setFont(theme.font())
    app.setStyleSheet(build(theme.colours, _sizes_pt(theme), theme.em(), GRID_PX, SERIF, images.as_posix()))
    for widget in app.allWidgets():
        if isinstance(widget, QLabel) and widget.property("role") in SERIF_ROLES:
            widget.setFont(theme.font(widget.property("role")))


def as_role(widget: _Widget, role: str) -> _Widget:
    """Say what a widget is; the stylesheet knows how it looks.  Answers with the widget."""
    before = widget.property("role")
    if before != role:
        widget.setProperty("role", role)
        if isinstance(widget, QLabel) and (role in SERIF_ROLES or before in SERIF_ROLES):
            # a style sheet cannot say which figures a font shows
            widget.setFont(theme_now().font(role) if role in SERIF_ROLES else QFont())
        style = widget.style()
        style.unpolish(widget)
        style.polish(widget)
        for words in widget.findChildren(QLabel):  # what a frame says of its words is read anew only by them
            style.unpolish(words)
            style.polish(words)
    return widget


def _sizes_pt(theme: Theme) -> dict[str, float]:
    return {role: theme.points(role) for role in SIZES}


def _draw_images(theme: Theme, folder: Path) -> None:
    """The tick, the dot and the arrow of form controls, in the colours of the theme."""
    side = round(theme.em() * 0.9)
    for suffix, scale in (("", 1), ("@2x", 2)):
        for name in ("tick", "dot", "down", "up"):
            image = QImage(QSize(side, side) * scale, QImage.Format.Format_ARGB32_Premultiplied)
            image.fill(Qt.GlobalColor.transparent)
            painter = QPainter(image)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            unit = side * scale / 16
            role = "ink" if name in ("down", "up") else "action_text"
            pen = theme.pen(role, 2 * unit)
            pen.setCapStyle(Qt.PenCapStyle.RoundCap)
            pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            painter.setPen(pen)
            if name == "dot":
                painter.setBrush(theme.colour(role))
                painter.drawEllipse(QPointF(8 * unit, 8 * unit), 2.5 * unit, 2.5 * unit)
            else:
                line = {
                    "tick": ((3.5, 8.5), (6.7, 11.7), (12.5, 4.8)),
                    "down": ((4, 6.2), (8, 10.2), (12, 6.2)),
                    "up": ((4, 10), (8, 6), (12, 10)),
                }[name]
                painter.drawPolyline([QPointF(x * unit, y * unit) for x, y in line])
            painter.end()
            image.save(str(folder / f"{name}{suffix}.png"))
