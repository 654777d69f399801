"""Every page and dialog outside the bench can be read aloud, worked by keyboard and read at 200 %.

The scenes of the gallery are walked, so that a page that is drawn is also judged.
Numbers: WCAG 2.2, success criteria 1.4.3 (contrast), 1.4.4 (text at 200 %), 2.5.8 (targets of 24 px), 4.1.2 (names).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible, QAction
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QApplication,
    QComboBox,
    QDialog,
    QLabel,
    QLineEdit,
    QRadioButton,
    QWidget,
)

from tests.gallery.pairs import Look, Place
from tests.gallery.scenes import SCENES
from tests.gallery.stage import Stage
from tests.ui.contrast import faint
from tests.ui.fitting import cut, over_one_another
from workbench.core.wording import say
from workbench.store.backup import Backup
from workbench.store.erasing import PersonalWords
from workbench.ui.keeping.sheets import EraseSheet, FoundSheet, RestoreSheet
from workbench.ui.theme import Scheme
from workbench.ui.widgets.ask import AskDialog, Choice, Question
from workbench.ui.widgets.glossary import TradeWords

_FIRST_OF_BENCH = next(at for at, scene in enumerate(SCENES) if scene.name == "look round")
PAGES = SCENES[:_FIRST_OF_BENCH]
SMALL = Look(Scheme.LIGHT, Place.SMALL, 100)
SMALL_TWICE = Look(Scheme.HIGH_CONTRAST, Place.SMALL, 200)  # what is chosen differs most here


@pytest.fixture
def stage(tmp_path: Path, qapp: QApplication) -> Iterator[Stage]:
    made = Stage(tmp_path)
    yield made
    made.close()


def named(widget: QWidget) -> bool:
    face = QAccessible.queryAccessibleInterface(widget)
    return face is None or bool(face.text(QAccessible.Text.Name).strip())


def nameless(widgets: list[QWidget]) -> list[str]:
    """What takes the focus and does not say what it is."""
    return [
        f"{type(widget).__name__} in {type(widget.parent()).__name__} has no name"
        for widget in widgets
        if widget.focusPolicy() != Qt.FocusPolicy.NoFocus
        and widget.objectName() != "qt_spinbox_lineedit"
        and not widget.isWindow()
        and not widget.inherits("QSplitterHandle")
        and not (isinstance(widget, QAbstractScrollArea) and type(widget) is QAbstractScrollArea)
        and not named(widget)
    ]


def too_small(widgets: list[QWidget]) -> list[str]:
    return [
        f"{type(widget).__name__} {widget.text()!r} is {widget.width()}x{widget.height()}"
        for widget in widgets
        if isinstance(widget, QAbstractButton)
        and widget.focusPolicy() != Qt.FocusPolicy.NoFocus
        and min(widget.width(), widget.height()) < 24
    ]


def by_tab(root: QWidget) -> list[QWidget]:
    """What the tab key comes to, in its order, pressed until it is round.

    Pressed, and not read from the focus chain: reading the chain makes each
    widget own the next one, as far as the bindings know, and lose it with itself.
    """
    order: list[QWidget] = []
    for _ in range(400):
        QTest.keyClick(root.focusWidget() or root, Qt.Key.Key_Tab)
        now = root.focusWidget()
        if now is None or now in order:
            break
        order.append(now)
    return order


def out_of_reach(order: list[QWidget], widgets: list[QWidget]) -> list[str]:
    """Fields and buttons that the tab key never comes to."""
    return [
        f"{type(one).__name__} {one.accessibleName()!r} is out of reach of the tab key"
        for one in widgets
        if isinstance(one, QAbstractButton | QComboBox | QLineEdit)
        and one.isEnabled()
        and one.focusPolicy() & Qt.FocusPolicy.TabFocus
        and one not in order
        and one.focusProxy() is None
        and not _other_of_group(one)
    ]


def _other_of_group(widget: QWidget) -> bool:
    """Of exclusive buttons the tab key comes to one; arrow keys go to the others."""
    return isinstance(widget, QRadioButton) or (
        isinstance(widget, QAbstractButton) and widget.group() is not None and widget.group().exclusive()
    )


def backwards(page: QWidget, order: list[QWidget]) -> list[str]:
    """Fields at which the tab key jumps up the page, more than from one column to the next."""
    fields = [one for one in order if isinstance(one, QLineEdit | QComboBox) and page.isAncestorOf(one)]
    tops = [one.mapTo(page, QPoint(0, 0)).y() for one in fields]
    jumps = [after for before, after in pairwise(tops) if after < before - 40]
    return [f"the tab key jumps up {len(jumps)} times"] if len(jumps) > 2 else []


def outside(stage: Stage, look: Look) -> list[str]:
    width, height = look.place.size
    window = stage.window
    if window.width() > width or window.height() > height:
        return [f"asks for {window.width()}x{window.height()}"]
    return []


def test_every_page_is_named_in_reach_large_enough_and_uncut(stage: Stage) -> None:
    faults: list[str] = []
    stage.put_on(SMALL)
    for scene in PAGES:
        scene.put(stage)
        stage.put_on(SMALL)
        shown = stage.shown()
        page = stage.window.stack.currentWidget()
        assert page is not None
        order = by_tab(stage.window)
        found = [
            *nameless(shown), *too_small(shown), *out_of_reach(order, shown), *backwards(page, order),
            *outside(stage, SMALL), *filter(None, map(cut, shown)), *over_one_another(stage.window),
            *faint(stage.window),
        ]  # fmt: skip
        faults += [f"{scene.name}: {one}" for one in found]
    assert not faults, "\n".join(dict.fromkeys(faults))


def test_at_200_percent_nothing_is_lost_on_a_small_screen(stage: Stage) -> None:
    """1024 by 700 px hold every page; text wraps or scrolls, and is never cut."""
    faults: list[str] = []
    stage.put_on(SMALL_TWICE)
    for scene in PAGES:
        scene.put(stage)
        stage.put_on(SMALL_TWICE)
        shown = stage.shown()
        assert stage.window.minimumSizeHint().height() <= 700, scene.name
        found = [
            *outside(stage, SMALL_TWICE),
            *filter(None, map(cut, shown)),
            *over_one_another(stage.window),
            *faint(stage.window),
        ]
        faults += [f"{scene.name}: {one}" for one in found]
    assert not faults, "\n".join(dict.fromkeys(faults))


# dialogs


def dialogs(parent: QWidget) -> list[QDialog]:
    moment = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)
    backup = Backup(Path("Kitchen 2026-03-14.balmbook"), moment, 48_000)
    words = PersonalWords("0f", "session s4, entry 17", "A.", "worn to the harbour and back")
    choices = (
        Choice("stay", "Stay with this recipe"),
        Choice("drop", "Leave the changes behind"),
        Choice("keep", "Save it as a revision first", True),
    )
    question = Question("unsaved", "Not saved yet", "This recipe was changed and not saved.", choices)
    return [
        AskDialog(question, lambda _key: None, parent),
        RestoreSheet("Kitchen", (backup,), lambda _one: None, parent),
        RestoreSheet("Kitchen", (), lambda _one: None, parent),
        FoundSheet("What the check found", "Two faults.", ["one", "another, which is a longer one"], parent),
        EraseSheet((words,), lambda _pieces, _why: None, parent),
        EraseSheet((), lambda _pieces, _why: None, parent),
    ]


@pytest.mark.parametrize("percent", [100, 200])
def test_every_dialog_is_named_in_reach_and_uncut(stage: Stage, percent: int) -> None:
    stage.put_on(Look(Scheme.LIGHT, Place.SMALL, percent))
    faults: list[str] = []
    for dialog in dialogs(stage.window):
        dialog.open()
        stage.settle()
        shown = [widget for widget in dialog.findChildren(QWidget) if widget.isVisible()]
        found = [
            *nameless(shown), *too_small(shown), *out_of_reach(by_tab(dialog), shown), *filter(None, map(cut, shown)),
            *over_one_another(dialog),
        ]  # fmt: skip
        if dialog.width() > 1024 or dialog.height() > 700:
            found.append(f"is {dialog.width()}x{dialog.height()}")
        faults += [f"{type(dialog).__name__}: {one}" for one in found]
        dialog.reject()
        stage.settle()
    assert not faults, "\n".join(faults)


# keys


def actions(stage: Stage) -> list[QAction]:
    return [action for action in stage.window.findChildren(QAction) if action.text()]


def test_shortcuts_are_shown_and_mean_one_thing_each(stage: Stage) -> None:
    stage.project(None)
    keys = Counter(
        key.toString() for action in actions(stage) for key in {*action.shortcuts(), action.shortcut()} if key
    )
    twice = [key for key, count in keys.items() if key and count > 1]
    assert not twice
    for wanted in ("F1", "Ctrl+S", "Ctrl+Return", "Ctrl+Shift+Return", "Ctrl+Z"):
        assert keys[wanted] == 1, wanted  # an action in a menu shows its shortcut beside its name


@pytest.mark.parametrize("name", ["recipe, brief open", "preferences", "paper, labels", "shelf, materials"])
def test_underlined_letters_mean_one_thing_on_a_page(stage: Stage, name: str) -> None:
    """Alt with a letter goes to one field or menu, never to the first of two."""
    next(scene for scene in SCENES if scene.name == name).put(stage)
    stage.put_on(Look(Scheme.LIGHT, Place.LARGE, 100))
    texts = [action.text() for action in stage.window.menuBar().actions()]
    texts += [
        widget.text()
        for widget in stage.shown()
        if (isinstance(widget, QLabel) and widget.buddy() is not None) or isinstance(widget, QAbstractButton)
    ]
    letters = Counter(
        text[at + 1].lower() for text in texts if (at := text.replace("&&", "  ").find("&")) >= 0
    )
    assert letters
    assert not {letter: count for letter, count in letters.items() if count > 1}


# words


def test_the_window_in_words(stage: Stage) -> None:
    """What the ladder and the bars show is said as well."""
    scenes = {scene.name: scene for scene in SCENES}
    scenes["recipe, no window"].put(stage)
    answers = stage.house.workplace.answers
    assert "no window" in answers.stove.ladder.accessibleDescription().lower()
    scenes["recipe, over a limit"].put(stage)
    bars = [row.bar for row in answers.skin._rows if row.isVisible()]
    assert bars
    assert all("of the limit" in bar.accessibleName() for bar in bars)


def test_words_of_the_trade_are_explained_where_they_stand(stage: Stage) -> None:
    """A question mark beside every part of the recipe; by key as well, and nothing by hover alone."""
    scenes = {scene.name: scene for scene in SCENES}
    stage.put_on(Look(Scheme.LIGHT, Place.LARGE, 100))
    scenes["recipe, window open"].put(stage)
    editor = stage.house.workplace.editor
    for panel, words in (
        (editor.base, ("Carrier oil", "Butter", "Parts")),
        (editor.scent, ("Top, middle and base notes",)),
        (editor.use, ("Fragrance load", "Leave-on")),
        (editor.size_panel, ("Stays in the jug",)),
        (editor.heat, ("Set point", "Flash point", "Water bath")),
    ):
        (near,) = panel.findChildren(TradeWords)
        assert near.toggle.focusPolicy() & Qt.FocusPolicy.TabFocus
        assert near.toggle.text() == "?"
        assert near.toggle.accessibleName() != "?"
        field = next(
            one for one in panel.findChildren(QComboBox) + panel.findChildren(QLineEdit) if one.isVisible()
        )
        field.setFocus()
        stage.house._explain()  # the action of F1; the page that has the focus counts
        if not near.isVisible():  # without a window manager nothing has the focus
            near.toggle.click()
        stage.settle()
        said = {label.text() for label in near.findChildren(QLabel)}
        assert said >= set(words), (panel.heading.text(), said)
        near.toggle.click()
        stage.settle()
        assert not near.isVisible()


def test_empty_lists_say_what_they_are_and_one_thing_to_do(stage: Stage) -> None:
    """Each names the thing, and a verb that a button or a page nearby carries out."""
    scenes = {scene.name: scene for scene in SCENES}
    for name, words in (
        ("past batches, none", "practice run"),
        ("scent, trials", "paper"),
        ("shelf, kitchen", ""),
    ):
        scenes[name].put(stage)
        page = stage.window.stack.currentWidget()
        assert page is not None
        said = " ".join(label.text() for label in page.findChildren(QLabel) if label.isVisible())
        assert words in said, name


def test_troubles_are_told_in_the_writers_words(stage: Stage) -> None:
    """A fault with its place, one to a line; sentences are templates with values."""
    from workbench.core.trouble import Fault, Trouble

    trouble = Trouble(say("{what} cannot be read.", what="It"), (Fault("shelf", say("It is empty.")),))
    assert stage.house.context.writer.trouble(trouble) == "It cannot be read.\n– shelf: It is empty."
