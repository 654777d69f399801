"""Every window can be read aloud and worked by keyboard; nothing is cut off at any text size."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTranslator
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from tests.ui.conftest import NOW
from tests.ui.editor.kitchen import OPEN, SHUT
from workbench import app
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Shelf
from workbench.devices.power import NoAwake
from workbench.devices.sound import SilentSound
from workbench.devices.speech import SilentSpeech
from workbench.testing import VirtualClock
from workbench.ui import theme
from workbench.ui.batch_kit import BatchKit
from workbench.ui.context import Context
from workbench.ui.house import House
from workbench.ui.preferences import Preferences
from workbench.ui.project_desk import ProjectDesk
from workbench.ui.theme import Scheme, Theme
from workbench.ui.widgets.ask import ScriptedAsk
from workbench.ui.window import MainWindow, Places

Settle = Callable[[], None]
SCENES = ("first", "recipe", "shut", "skin", "steps", "label", "materials", "tins", "kitchen", "settings")


@pytest.fixture
def house(
    qapp: QApplication, tables: Catalogue, starter: Shelf, tmp_path: Path, settle: Settle
) -> Iterator[House]:
    window = MainWindow(Places(tmp_path))
    clock = VirtualClock(NOW)
    kit = BatchKit(lambda: clock, app.session_rules, SilentSound, SilentSpeech, NoAwake)
    context = Context(tables, starter, Preferences(), lambda: date(2026, 8, 15), ScriptedAsk())
    made = House(context, ProjectDesk(lambda: NOW), starter, app.planner, kit)
    window.furnish(made)
    window.resize(1280, 800)
    window.show()
    yield made
    made.model.stack.setClean()
    window.close()
    settle()
    window.deleteLater()


def show(house: House, scene: str, folder: Path, settle: Settle) -> QWidget:
    """Bring one page of the window up, filled."""
    if scene == "first":
        settle()
        return house.window
    if house.desk.project is None:
        house.desk.create(folder / "Kitchen.balmbook", house._starter)
    house.model.open(SHUT if scene == "shut" else OPEN)
    house.batches.plan()
    house.model.finish_jobs()
    if scene in ("materials", "tins", "kitchen"):
        house.to_shelf()
        assert house.shelf is not None
        house.shelf.choose(scene)
    elif scene == "settings":
        house.to_settings()
    else:
        house.to_recipe()
        house.workplace.editor.brief.toggle.setChecked(True)
        house.workplace.editor.brief._toggle()
        card = scene if scene in ("skin", "steps", "label") else "stove"
        house.workplace.answers.cards.choose(card)
        if house.workplace.narrow and scene != "recipe":
            house.workplace._show_answers()
    settle()
    return house.window


def shown(root: QWidget) -> list[QWidget]:
    return [widget for widget in root.findChildren(QWidget) if widget.isVisible()]


def test_everything_that_takes_the_focus_has_a_name(house: House, tmp_path: Path, settle: Settle) -> None:
    nameless = []
    for widget in [one for scene in SCENES for one in shown(show(house, scene, tmp_path, settle))]:
        if widget.focusPolicy() == Qt.FocusPolicy.NoFocus or widget.objectName() == "qt_spinbox_lineedit":
            continue
        if isinstance(widget, QAbstractScrollArea) and widget.focusPolicy() == Qt.FocusPolicy.NoFocus:
            continue
        interface = QAccessible.queryAccessibleInterface(widget)
        if interface is not None and not interface.text(QAccessible.Text.Name).strip():
            nameless.append(f"{type(widget).__name__} in {type(widget.parent()).__name__}")
    assert not nameless, nameless


def test_tab_reaches_every_field_and_button(house: House, tmp_path: Path, settle: Settle) -> None:
    for scene in SCENES:
        window = show(house, scene, tmp_path, settle)
        chain: set[QWidget] = set()
        widget = window.nextInFocusChain()
        while widget is not None and widget is not window and widget not in chain:
            chain.add(widget)
            widget = widget.nextInFocusChain()
        wanted = [
            widget
            for widget in shown(window)
            if isinstance(widget, QAbstractButton | QComboBox | QLineEdit)
            and widget.isEnabled()
            and widget.focusPolicy() != Qt.FocusPolicy.NoFocus
        ]
        assert wanted, scene
        assert not [widget for widget in wanted if widget not in chain], scene


@pytest.mark.parametrize(
    ("width", "height", "percent"), [(1280, 800, 100), (1024, 700, 100), (1280, 800, 200), (1024, 700, 150)]
)
def test_no_text_is_cut(
    house: House,
    width: int,
    height: int,
    percent: int,
    tmp_path: Path,
    settle: Settle,
    dressed: QApplication,
) -> None:
    """Every label has the room that its text needs, and stands inside the page it belongs to."""
    theme.apply(dressed, Theme(Scheme.LIGHT, percent))
    cut: list[str] = []
    for scene in SCENES:
        house.window.resize(width, height)
        settle()
        window = show(house, scene, tmp_path, settle)
        if window.width() > width or window.height() > height:
            cut.append(f"{scene}: the window asks for {window.width()} by {window.height()} px")
        cut += [f"{scene}: {one}" for widget in shown(window) for one in _cut(widget)]
    assert not cut, "\n".join(cut[:30])


def _cut(widget: QWidget) -> list[str]:
    """What of a label or button does not fit."""
    found = []
    if isinstance(widget, QLabel) and widget.text():
        needs = widget.heightForWidth(widget.width()) if widget.wordWrap() else widget.sizeHint().height()
        longest = max(widget.text().split("\n"), key=len)
        wide = widget.fontMetrics().horizontalAdvance(longest)
        if widget.height() < needs - 2 or (not widget.wordWrap() and widget.width() < wide - 1):
            found.append(f"{longest[:50]!r} has {widget.width()}x{widget.height()}, needs {wide}x{needs}")
    elif isinstance(widget, QAbstractButton) and widget.text():
        least = widget.minimumSizeHint().width()
        if widget.width() < least - 2:
            found.append(f"button {widget.text()!r} is {widget.width()} wide, needs {least}")
    if isinstance(widget, QLabel | QAbstractButton | QLineEdit):
        page = _page_of(widget)
        if page is not None and widget.mapTo(page, widget.rect().topRight()).x() > page.width() + 1:
            found.append(f"{type(widget).__name__} {widget.text()[:40]!r} runs out of its page")
    return found


def _page_of(widget: QWidget) -> QWidget | None:
    """The viewport that shows a widget, if it is on a page that scrolls."""
    above = widget.parentWidget()
    while above is not None:
        if above.objectName() == "qt_scrollarea_viewport":
            return above
        above = above.parentWidget()
    return None


def test_what_is_pressed_is_large_enough(house: House, tmp_path: Path, settle: Settle) -> None:
    # WCAG 2.2, success criterion 2.5.8: 24 by 24 CSS px
    small = [
        f"{scene}: {type(widget).__name__} {widget.text()!r} {widget.width()}x{widget.height()}"
        for scene in SCENES
        for widget in shown(show(house, scene, tmp_path, settle))
        if isinstance(widget, QAbstractButton)
        and (widget.width() < 24 or widget.height() < 24)
        and widget.focusPolicy() != Qt.FocusPolicy.NoFocus
    ]
    assert not small, small


class Brackets(QTranslator):
    """A pseudo-language: longer, accented and bracketed, so that what is not translated shows."""

    def isEmpty(self) -> bool:
        return False

    def translate(self, context: str, source: str, disambiguation: str | None = None, n: int = -1) -> str:
        return f"⟦{source}àéîõü⟧" if source else ""


def test_every_text_of_the_window_can_be_translated(
    qapp: QApplication, tables: Catalogue, starter: Shelf, tmp_path: Path, settle: Settle
) -> None:
    brackets = Brackets()
    qapp.installTranslator(brackets)
    try:
        window = MainWindow(Places(tmp_path))
        clock = VirtualClock(NOW)
        kit = BatchKit(lambda: clock, app.session_rules, SilentSound, SilentSpeech, NoAwake)
        context = Context(tables, starter, Preferences(), lambda: date(2026, 8, 15), ScriptedAsk())
        house = House(context, ProjectDesk(lambda: NOW), starter, app.planner, kit)
        window.furnish(house)
        window.show()
        untranslated = set()
        for scene in SCENES:
            for widget in shown(show(house, scene, tmp_path, settle)):
                if isinstance(widget, QLabel | QAbstractButton):
                    text = widget.text().strip()
                    if any(letter.isalpha() for letter in text) and "⟦" not in text:
                        untranslated.add(text)
        house.model.stack.setClean()
        window.close()
    finally:
        qapp.removeTranslator(brackets)
    names = {material.name for material in tables.materials.values()}
    label = house.workplace.answers.label  # names as the law prints them are the same in every language
    names |= {label.allergens.text(), label.ingredients.text()}
    names |= {tin.name for tin in starter.tins} | {OPEN.name, SHUT.name, "Kitchen"}
    left = {text for text in untranslated if text not in names and not _only_values(text)}
    window.deleteLater()
    settle()
    assert not left, left


def _only_values(text: str) -> bool:
    """Numbers with units, sources and names from the tables are no texts of the window."""
    words = re.sub(r"[-−<±–\d.,·%:/()\s×!]+", " ", text).split()
    return all(
        word in ("g", "oz", "mL", "mm", "°C", "°F", "EUR", "h", "min", "s", "mmol", "L") for word in words
    )


def test_the_window_in_words(house: House, tmp_path: Path, settle: Settle, qtbot: QtBot) -> None:
    """What the ladder and the bars show is said as well."""
    show(house, "shut", tmp_path, settle)
    ladder = house.workplace.answers.stove.ladder
    assert "no window" in ladder.accessibleDescription().lower()
    house.workplace.answers.cards.choose("skin")
    settle()
    bars = [row.bar for row in house.workplace.answers.skin._rows if row.isVisible()]
    assert bars
    assert all("of the limit" in bar.accessibleName() for bar in bars)
