"""The theme as a whole: fonts that do not jitter, palettes without gaps, sizes that grow."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetricsF, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication, QFileDialog, QLabel, QPushButton, QToolButton
from pytestqt.qtbot import QtBot

from tests.gallery.stage import Stage
from workbench.store.resources import resources_folder
from workbench.ui import theme
from workbench.ui.theme import FONT_FILES, Scheme, Theme, as_role


def test_fonts_are_shipped_with_their_licence() -> None:
    folder = resources_folder() / "fonts"
    for name in FONT_FILES:
        assert (folder / name).is_file()
        licence = folder / f"{name.partition('-')[0]}-OFL.txt"
        assert "SIL" in licence.read_text(encoding="utf-8") or "OFL" in licence.read_text(encoding="utf-8")
    assert sum(path.stat().st_size for path in folder.iterdir()) < 2_000_000


@pytest.mark.parametrize("role", ["body", "strong", "figure", "display"])
def test_digits_have_one_width(role: str) -> None:
    metrics = QFontMetricsF(Theme().font(role))
    assert len({round(metrics.horizontalAdvance(digit), 3) for digit in "0123456789"}) == 1


def test_text_grows_to_twice_its_size_and_no_further() -> None:
    assert Theme(text_percent=200).points() == 2 * Theme(text_percent=100).points()
    assert Theme(text_percent=400).points() == Theme(text_percent=200).points()
    assert Theme(text_percent=10).points() == Theme().points()


@pytest.mark.parametrize("scheme", [Scheme.LIGHT, Scheme.DARK, Scheme.HIGH_CONTRAST])
def test_no_group_of_the_palette_writes_ground_on_ground(scheme: Scheme) -> None:
    palette = Theme(scheme).palette()
    for group in (QPalette.ColorGroup.Active, QPalette.ColorGroup.Inactive, QPalette.ColorGroup.Disabled):
        for text, ground in (
            (QPalette.ColorRole.Text, QPalette.ColorRole.Base),
            (QPalette.ColorRole.WindowText, QPalette.ColorRole.Window),
            (QPalette.ColorRole.ButtonText, QPalette.ColorRole.Button),
            (QPalette.ColorRole.HighlightedText, QPalette.ColorRole.Highlight),
        ):
            one, other = palette.color(group, text).name(), palette.color(group, ground).name()
            assert theme_contrast(one, other) >= 4.5


def theme_contrast(one: str, other: str) -> float:
    from workbench.ui.palettes import contrast

    return contrast(one, other)


def test_the_system_scheme_is_light_where_the_desktop_says_nothing(qapp: QApplication) -> None:
    assert theme.of_scheme(Scheme.SYSTEM, 100).scheme is Scheme.LIGHT


def test_the_window_follows_the_system_at_once(
    tmp_path: Path, qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Dark, high contrast, light: as the platform tells; who chose a look keeps it."""
    stage = Stage(tmp_path)
    hints = QGuiApplication.styleHints()
    said = Scheme.DARK
    monkeypatch.setattr(theme, "system_scheme", lambda: said)
    hints.colorSchemeChanged.emit(Qt.ColorScheme.Dark)
    assert theme.theme_now().scheme is Scheme.DARK
    assert stage.window.palette().color(QPalette.ColorRole.Window).name() == Theme(Scheme.DARK).colours.desk
    said = Scheme.HIGH_CONTRAST
    hints.accessibility().contrastPreferenceChanged.emit(Qt.ContrastPreference.HighContrast)
    assert theme.theme_now().scheme is Scheme.HIGH_CONTRAST
    stage.house.set_preferences({"scheme": Scheme.DARK})
    said = Scheme.LIGHT
    hints.colorSchemeChanged.emit(Qt.ColorScheme.Light)
    assert theme.theme_now().scheme is Scheme.DARK
    stage.house.set_preferences({"scheme": Scheme.SYSTEM})
    assert theme.theme_now().scheme is Scheme.LIGHT
    stage.close()


@pytest.mark.parametrize(
    ("contrast", "dark", "wanted"),
    [(True, True, Scheme.HIGH_CONTRAST), (True, False, Scheme.HIGH_CONTRAST),
     (False, True, Scheme.DARK), (False, False, Scheme.LIGHT)],
)  # fmt: skip
def test_high_contrast_comes_before_dark(
    contrast: bool, dark: bool, wanted: Scheme, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Hints:
        def accessibility(self) -> Hints:
            return self

        def contrastPreference(self) -> Qt.ContrastPreference:
            kinds = Qt.ContrastPreference
            return kinds.HighContrast if contrast else kinds.NoPreference

        def colorScheme(self) -> Qt.ColorScheme:
            return Qt.ColorScheme.Dark if dark else Qt.ColorScheme.Light

    monkeypatch.setattr(QGuiApplication, "styleHints", staticmethod(lambda: Hints()))
    assert theme.system_scheme() is wanted


def test_dressing_reaches_widgets_that_exist_already(qtbot: QtBot, dressed: QApplication) -> None:
    label, press = QLabel("62.5"), QPushButton("Go")
    theme.as_role(label, "display")
    theme.as_role(press, "primary")
    qtbot.addWidget(label)
    qtbot.addWidget(press)
    label.show()
    before = label.sizeHint().height()
    theme.apply(dressed, Theme(Scheme.DARK, 200))
    dressed.processEvents()
    assert label.sizeHint().height() > 1.6 * before
    assert theme.theme_now() == Theme(Scheme.DARK, 200)
    drawn = press.grab().toImage().pixelColor(press.width() // 2, 5).name()
    assert drawn == Theme(Scheme.DARK).colours.action_fill


@pytest.mark.parametrize("role", ["head", "title"])
def test_figures_of_headings_stand_on_the_line(qtbot: QtBot, dressed: QApplication, role: str) -> None:
    """Those that hang read badly from two steps, and the 1 among them is no other than a small I."""
    label = as_role(QLabel("Faults found: 1."), role)
    qtbot.addWidget(label)
    for percent in (100, 200):
        theme.apply(dressed, Theme(Scheme.LIGHT, percent))
        metrics = QFontMetricsF(label.font())
        assert label.font().pointSizeF() == pytest.approx(theme.theme_now().points(role))
        capital = metrics.tightBoundingRect("H").height()
        for digit in "0123456789":
            ink = metrics.tightBoundingRect(digit)
            assert ink.height() >= 0.9 * capital, digit  # whole px of ink; an old-style 1 has two thirds
            assert ink.bottom() <= 0.15 * capital, digit


def test_the_buttons_of_a_file_dialog_show_what_they_do(qapp: QApplication, qtbot: QtBot) -> None:
    """Where the desktop has no dialog of its own: padding meant for words left its pictures no room."""
    theme.apply(qapp, theme.Theme(theme.Scheme.LIGHT, 100))
    dialog = QFileDialog()
    dialog.setOption(QFileDialog.Option.DontUseNativeDialog)
    qtbot.addWidget(dialog)
    dialog.show()
    up = dialog.findChild(QToolButton, "toParentButton")
    assert up is not None
    picture = up.grab().toImage()
    inner = picture.copy(picture.rect().adjusted(5, 5, -5, -5))
    seen = {inner.pixel(x, y) for x in range(inner.width()) for y in range(inner.height())}
    assert len(seen) > 2  # a button without a picture is of one colour
