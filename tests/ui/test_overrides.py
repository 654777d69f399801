"""Errors that leave a method which Qt calls, in a process of its own: it must live."""

from __future__ import annotations

import subprocess
import sys

import pytest
from PySide6.QtCore import QSize
from PySide6.QtWidgets import QPushButton, QWidget
from pytestqt.qtbot import QtBot

from workbench.ui import overrides

PROGRAM = """
import sys
{first}
from PySide6.QtCore import QAbstractTableModel, QSize
from PySide6.QtWidgets import QApplication, QTableView, QWidget
app = QApplication([])
heard = []
sys.excepthook = lambda kind, error, trace: heard.append(kind.__name__)
class Wide(QWidget):
    def sizeHint(self):
        return QSize(1 // 0, 1)
class Table(QAbstractTableModel):
    def rowCount(self, parent=None): return 1
    def columnCount(self, parent=None): return 1
    def data(self, index, role=0): return int("x")
for ask in (lambda: Wide().adjustSize(), lambda: None):
    try:
        ask()
    except ZeroDivisionError:
        heard.append("ZeroDivisionError")
table, view = Table(), QTableView()
view.setModel(table)
try:
    view.resizeColumnsToContents()
except ValueError:
    heard.append("ValueError")
print(*sorted(set(heard)))
"""
CLOSED = """
import gc, sys
{first}
from PySide6.QtWidgets import QApplication, QMainWindow, QWidget
app = QApplication([])
heard = []
sys.excepthook = lambda kind, error, trace: heard.append(kind.__name__)
class Inner(QWidget):
    def hideEvent(self, event):
        super().hideEvent(event)
        self.isVisible()
class Window(QMainWindow):
    def closeEvent(self, event):
        raise ValueError("a fault of our own")
window = Window()
window.setCentralWidget(Inner())
for _ in range(300):
    window.show()
    app.processEvents()
    try:
        window.close()
    except ValueError:
        pass
gc.collect()
print(len(heard), window.isVisible())
"""
FIRST = "from workbench.ui.overrides import keep_errors_whole; keep_errors_whole()"


def run(first: str, program: str = PROGRAM) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", program.format(first=first)],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip


def test_the_process_lives_and_the_error_is_heard() -> None:
    done = run(FIRST)
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == ["ValueError", "ZeroDivisionError"]


def test_a_fault_while_closing_is_heard_each_time_and_the_window_closes_all_the_same() -> None:
    """Another of our methods runs before Qt returns: there the bindings would bring the error up, and lose it."""
    done = run(FIRST, CLOSED)
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == ["300", "False"]


def test_without_it_a_fault_while_closing_ends_the_process() -> None:
    """When this fails, the bindings were mended, and the answers in `ui/overrides.py` can go."""
    assert run("", CLOSED).returncode < 0


@pytest.mark.skipif(not overrides.TRAVEL_AS_TEXT, reason="errors travel whole on this Python")
def test_without_it_the_process_ends() -> None:
    """When this fails, the bindings were mended, and `ui/overrides.py` can go."""
    assert run("").returncode < 0


def test_a_slot_keeps_its_arguments(qtbot: QtBot) -> None:
    """`clicked` brings a bool that a slot without arguments is not given."""
    seen: list[str] = []

    class Page(QWidget):
        def close(self) -> bool:
            seen.append("closed")
            return True

        def sizeHint(self) -> QSize:
            seen.append("asked")
            return QSize(10, 10)

    page, press = Page(), QPushButton()
    qtbot.addWidget(page)
    qtbot.addWidget(press)
    press.clicked.connect(page.close)
    press.click()
    page.adjustSize()
    assert seen[:2] == ["closed", "asked"]
    assert hasattr(Page.sizeHint, "__wrapped__")
    assert not hasattr(Page.close, "__wrapped__")
