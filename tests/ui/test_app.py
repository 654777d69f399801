"""Starting up: what is missing is said in one sentence, and a fault never passes in silence."""

from __future__ import annotations

import subprocess
import sys
import threading
from pathlib import Path

import pytest
from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from workbench import app
from workbench.ui.faults import FaultHook, FaultPost


@pytest.mark.parametrize(
    ("error", "package"),
    [
        ("libEGL.so.1: cannot open shared object file: No such file or directory", "libegl1"),
        ("libxkbcommon.so.0: cannot open shared object file", "libxkbcommon0"),
        ("libpulse.so.0: cannot open shared object file", "libpulse0"),
        ("libfontconfig.so.1: cannot open shared object file", "libfontconfig1"),
    ],
)
def test_a_missing_library_names_its_package(error: str, package: str) -> None:
    # Package names as Debian 12 has them
    says = app.missing_library(error)
    assert package in says
    assert "\n" not in says
    assert "Traceback" not in says


def test_an_unknown_import_error_is_still_a_sentence() -> None:
    assert "broken wheel" in app.missing_library("broken wheel")


def test_these_bindings_keep_their_references() -> None:
    """PySide6 6.12 on CPython 3.11 loses one reference to None per void call and dies after some thousand."""
    assert not app.bindings_lose_none()


def alone(code: str) -> subprocess.CompletedProcess[str]:
    """It ran to its end in a fresh interpreter."""
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=120, check=False
    )


def test_nothing_heavy_is_loaded_before_the_window_is_there() -> None:
    """A fresh interpreter: the frame of the window needs neither numbers nor plots nor the bench."""
    code = (
        "import sys; from workbench import app\n"
        "q = app.make_application(['b']); k = app.preferences_file(); app.dress(q, k)\n"
        "w = app.make_window(); w.show()\n"
        "heavy = {'numpy', 'scipy', 'pyqtgraph', 'pint', 'workbench.core.design.evaluation', 'workbench.ui.bench'}\n"
        "assert not heavy & set(sys.modules), heavy & set(sys.modules)\n"
        "app.furnish(w, k); assert w.house is not None\n"
        "heavy = {'scipy', 'pyqtgraph', 'pint', 'workbench.ui.bench'}\n"
        "assert not heavy & set(sys.modules), heavy & set(sys.modules)\n"
    )
    done = alone(code)
    assert done.returncode == 0, done.stderr


def test_the_program_ends_after_its_pool_has_come_to_rest() -> None:
    """A thread that still runs Python when the interpreter is gone ends the process badly."""
    code = (
        "from PySide6.QtCore import QThreadPool; from workbench import app\n"
        "q = app.make_application(['b']); done = []\n"
        "def work():\n"
        "    total = sum(number % 7 for number in range(6_000_000)); done.append(total)\n"
        "pool = QThreadPool.globalInstance(); pool.setMaxThreadCount(1)\n"
        "pool.start(work); pool.start(lambda: done.append('not begun any more'))\n"
        "app.REST_MS = 60_000; assert app.come_to_rest(); print(done)\n"
    )
    done = alone(code)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == str([sum(number % 7 for number in range(6_000_000))])


def test_a_job_that_never_ends_does_not_keep_the_program() -> None:
    """A solver that hangs: neither Qt nor Python would end without it, so the process ends itself, in order."""
    code = (
        "import threading; from PySide6.QtCore import QThreadPool; from workbench import app\n"
        "q = app.make_application(['b']); begun = threading.Event()\n"
        "def work():\n"
        "    begun.set(); threading.Event().wait()\n"
        "QThreadPool.globalInstance().start(work); begun.wait()\n"
        "app.REST_MS = 50; print('said before')\n"
        "if not app.come_to_rest(): app.end_at_once(7)\n"
    )
    done = alone(code)
    assert done.returncode == 7, done.stderr
    assert done.stdout == "said before\n"


class Thrower(QObject):
    fire = Signal()

    def throw(self) -> None:
        raise ValueError("the jug is upside down")


def test_the_hook_tells_of_an_error_and_then_listens_on(qtbot: QtBot, tmp_path: Path) -> None:
    hook, post = FaultHook(), FaultPost()
    hook.keep_log(tmp_path)
    heard: list[str] = []
    post.told.connect(heard.append)
    hook.listener = post.hear
    try:
        Thrower().throw()
    except ValueError as error:
        hook(ValueError, error, error.__traceback__)
        hook(ValueError, error, error.__traceback__)
    qtbot.waitUntil(lambda: len(heard) == 2)
    assert "the jug is upside down" in heard[0]
    assert "test_app.py" in heard[0]
    assert hook.log_file is not None
    assert "upside down" in hook.log_file.read_text(encoding="utf-8")
    _close_log()


def test_a_fault_in_another_thread_arrives_in_this_one(qtbot: QtBot) -> None:
    hook, post = FaultHook(), FaultPost()
    threads: list[threading.Thread] = []
    post.told.connect(lambda _text: threads.append(threading.current_thread()))
    hook.listener = post.hear
    error = RuntimeError("elsewhere")
    worker = threading.Thread(target=hook, args=(RuntimeError, error, None))
    worker.start()
    worker.join()
    assert not threads  # not before the event loop of this thread runs
    qtbot.waitUntil(lambda: bool(threads))
    assert threads == [threading.main_thread()]


def test_a_fault_while_telling_of_a_fault_ends_there() -> None:
    hook = FaultHook()
    told: list[str] = []

    def listener(text: str) -> None:
        told.append(text)
        again = ValueError("again")
        hook(ValueError, again, None)

    hook.listener = listener
    first = ValueError("first")
    hook(ValueError, first, None)
    assert len(told) == 1


def test_a_slot_that_raises_reaches_the_hook(qtbot: QtBot, qapp: QApplication) -> None:
    with qtbot.captureExceptions() as caught:
        thrower = Thrower()
        QTimer.singleShot(0, thrower.throw)
        qtbot.waitUntil(lambda: bool(caught))
    assert str(caught[0][1]) == "the jug is upside down"


def _close_log() -> None:
    from workbench.ui.faults import log

    for handler in list(log.handlers):
        handler.close()
        log.removeHandler(handler)
