"""Questions to the user go through this port; logic never opens a message box itself.

Three answerers: `QtAsk` (dialogs that belong to a window), `SilentAsk` (the
cautious answer to everything), `ScriptedAsk` (answers laid out beforehand,
for tests).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QFileDialog, QWidget

from workbench.ui.theme import GRID_PX
from workbench.ui.widgets.basic import Words, button, column
from workbench.ui.widgets.flow import Flow

MOST_PX = 900  # a dialog stays within the smallest window there is, at every text size


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer; the first of a question is the cautious one."""

    key: str
    text: str
    primary: bool = False


@dataclass(frozen=True, slots=True)
class Question:
    """A question with two or more answers, each of which says what it does."""

    key: str  # stable name, so that a script can answer it
    heading: str
    text: str
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class FileWish:
    """A wish for a file name: to open, or to write (then the question about replacing comes with it)."""

    key: str
    heading: str
    filters: str
    write: bool = False
    suggested: Path | None = None


class Ask(Protocol):
    """Whoever answers.  The answer comes later, by a call with the key of the choice."""

    def ask(self, question: Question, answered: Callable[[str], object]) -> None: ...

    def ask_file(self, wish: FileWish, answered: Callable[[Path | None], object]) -> None: ...

    def tell(self, heading: str, text: str) -> None: ...


class SilentAsk:
    """Takes the cautious answer (the first) and no file."""

    def ask(self, question: Question, answered: Callable[[str], object]) -> None:
        answered(question.choices[0].key)

    def ask_file(self, wish: FileWish, answered: Callable[[Path | None], object]) -> None:
        answered(None)

    def tell(self, heading: str, text: str) -> None:
        return


@dataclass
class ScriptedAsk:
    """Answers by key; a question that was not foreseen is an error of the test."""

    answers: dict[str, str | Path | None] = field(default_factory=dict)
    asked: list[Question | FileWish] = field(default_factory=list)
    told: list[tuple[str, str]] = field(default_factory=list)

    def ask(self, question: Question, answered: Callable[[str], object]) -> None:
        self.asked.append(question)
        answer = self.answers[question.key]
        if answer not in [choice.key for choice in question.choices]:
            raise KeyError(f"{question.key} has no answer {answer}")
        answered(str(answer))

    def ask_file(self, wish: FileWish, answered: Callable[[Path | None], object]) -> None:
        self.asked.append(wish)
        answer = self.answers[wish.key]
        answered(None if answer is None else Path(answer))

    def tell(self, heading: str, text: str) -> None:
        self.told.append((heading, text))


class AskDialog(QDialog):
    """A question on paper: heading, text, and one button per answer in the words of the answer."""

    def __init__(self, question: Question, answered: Callable[[str], object], parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowModality(Qt.WindowModality.WindowModal)
        self.setWindowTitle(question.heading)
        self._answered, self._given = answered, False
        self._cautious = question.choices[0].key
        buttons = []
        for choice in question.choices:
            made = button(choice.text, None, "primary" if choice.primary else "")
            made.setProperty("answer", choice.key)
            made.clicked.connect(self._pressed)
            buttons.append(made)
        text = Words(question.text)
        whole = column(Words(question.heading, "head"), text, Flow(*buttons), gap=4)
        margin = 6 * GRID_PX
        whole.setContentsMargins(margin, margin, margin, margin)
        self.setLayout(whole)
        self.setMinimumWidth(min(self.fontMetrics().averageCharWidth() * 56, MOST_PX))
        buttons[0].setFocus()

    def _pressed(self) -> None:
        sender = self.sender()
        self._give(str(sender.property("answer")))
        self.close()

    def _give(self, key: str) -> None:
        if not self._given:
            self._given = True
            self._answered(key)

    def reject(self) -> None:
        self._give(self._cautious)
        super().reject()


class QtAsk:
    """Asks in dialogs that belong to `window`; nothing blocks."""

    def __init__(self, window: QWidget) -> None:
        self._window = window

    def ask(self, question: Question, answered: Callable[[str], object]) -> None:
        AskDialog(question, answered, self._window).open()

    def ask_file(self, wish: FileWish, answered: Callable[[Path | None], object]) -> None:
        dialog = QFileDialog(self._window, wish.heading, str(_reachable(wish) or ""), wish.filters)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        if wish.write:
            dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
            dialog.setFileMode(QFileDialog.FileMode.AnyFile)
            suffix = wish.filters.partition("*.")[2].partition(")")[0].split(" ")[0]
            dialog.setDefaultSuffix(suffix)
        else:
            dialog.setFileMode(QFileDialog.FileMode.ExistingFile)

        def chosen(result: int) -> None:
            files: Sequence[str] = dialog.selectedFiles()
            answered(Path(files[0]) if result and files else None)

        dialog.finished.connect(chosen)
        dialog.open()

    def tell(self, heading: str, text: str) -> None:
        question = Question("told", heading, text, (Choice("seen", _understood(), True),))
        AskDialog(question, lambda _key: None, self._window).open()


def _reachable(wish: FileWish) -> Path | None:
    """What is suggested, in the nearest folder there is.

    For a folder that is not there yet Qt would offer the one the program was
    started in, and nobody finds a project again there.
    """
    at = wish.suggested
    if at is None:
        return None
    near = next((each for each in (at, *at.parents) if each.is_dir()), None)
    if near is None or near == at:
        return at
    return near / at.name if wish.write else near


def _understood() -> str:
    from PySide6.QtCore import QCoreApplication

    return QCoreApplication.translate("Ask", "Understood")
