"""A page that scrolls is as high as its words need, whatever Qt forgot to tell."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject
from pytestqt.qtbot import QtBot

from workbench.ui.widgets.basic import Scroller, Words, column, page


class Deaf(QObject):
    """Nothing of a changed layout reaches the scroll area."""

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        return event.type() is QEvent.Type.LayoutRequest


def test_words_that_grew_unheard_are_not_cut(qtbot: QtBot, settle: Callable[[], None]) -> None:
    lines = [Words("a caution of some length " * 6) for _ in range(8)]
    scroller = Scroller(page(column(*lines)))
    qtbot.addWidget(scroller)
    scroller.resize(320, 240)
    scroller.show()
    settle()
    inner = scroller.widget()
    assert inner is not None
    before = inner.height()
    deaf = Deaf()
    scroller.viewport().installEventFilter(deaf)
    lines[0].say("a much longer caution than before " * 60)
    settle()
    settle()
    assert inner.height() > before
    assert inner.height() >= inner.heightForWidth(inner.width())
    scroller.viewport().removeEventFilter(deaf)
