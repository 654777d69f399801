"""The main window: where to go, what is open, and the page that is being worked on.

It comes in two steps, so that it is on the screen at once: the frame with the
first page, then `furnish` with tables, recipes and shelf.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QAction, QCloseEvent, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QMainWindow, QMenu, QPushButton, QWidget

from workbench.ui.first_page import FirstPage
from workbench.ui.strip import Strip
from workbench.ui.widgets.banner import Banner
from workbench.ui.widgets.basic import column
from workbench.ui.widgets.enter import enter_presses
from workbench.ui.widgets.stack import PageStack
from workbench.ui.widgets.urgent import UrgentBar

if TYPE_CHECKING:
    from workbench.core.trouble import Trouble
    from workbench.ui.house import House

Keys = str | QKeySequence.StandardKey | None


@dataclass(frozen=True, slots=True)
class Places:
    """Folders the window works with."""

    projects: Path  # where projects go unless the user says otherwise
    samples: tuple[Path, ...] = ()  # exported files to look at


class MainWindow(QMainWindow):
    """The frame.  `house` holds everything that works in it, from `furnish` on."""

    def __init__(self, places: Places) -> None:
        super().__init__()
        self.places = places
        self.house: House | None = None
        self._wanted: Path | None = None
        self.banner = Banner()
        self.urgent = UrgentBar(self._to_batch)
        self.first = FirstPage([(str(path), sample_name(path)) for path in places.samples])
        self.first.setEnabled(False)
        self.stack = PageStack()
        self.stack.addWidget(self.first)
        self.strip = Strip()
        self.strip.hide()
        self._pages: dict[str, QWidget] = {}
        self._bare = False
        body = QWidget()
        whole = column(self.strip, self.urgent, self.banner, self.stack, gap=0)
        whole.setStretch(3, 1)
        body.setLayout(whole)
        self.setCentralWidget(body)
        bar = self.menuBar()
        self.project_menu = bar.addMenu(self.tr("&Project"))
        self.recipe_menu = bar.addMenu(self.tr("&Recipe"))
        self.batch_menu = bar.addMenu(self.tr("&Batch"))
        self.view_menu = bar.addMenu(self.tr("&View"))
        self.setWindowTitle("Balmbook")
        screen = self.screen()
        room = screen.availableSize() if screen is not None else QSize(1280, 800)
        frame = QSize(2, 36)  # its title bar needs room too, or the foot is off the screen
        self.resize(QSize(1280, 800).boundedTo(room - frame))

    def furnish(self, house: House) -> None:
        """Put in what works; a project that was asked for before opens now."""
        self.house = house
        house.move_in(self)
        self.first.setEnabled(True)
        self.first.start.setFocus()
        wanted, self._wanted = self._wanted, None
        if wanted is not None:
            QTimer.singleShot(0, self, lambda: self.open_path(wanted))

    def open_path(self, path: Path) -> bool:
        """Open a project, or a copy of an exported file; later, when the window is not furnished yet."""
        if self.house is None:
            self._wanted = path
            return False
        return self.house.open_path(path)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter presses the button that has the keyboard; not beside the pot."""
        enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not event.isAutoRepeat()
        focus = QApplication.focusWidget()
        if enter and isinstance(focus, QPushButton) and focus.isEnabled() and enter_presses(focus):
            focus.click()
            event.accept()
            return
        super().keyPressEvent(event)

    # pages

    def add_page(self, key: str, page: QWidget) -> None:
        self._pages[key] = page
        self.stack.addWidget(page)

    def drop_page(self, key: str) -> None:
        page = self._pages.pop(key, None)
        if page is not None:
            self.stack.removeWidget(page)
            page.hide()
            page.deleteLater()

    def has_page(self, key: str) -> bool:
        return key in self._pages

    def show_page(self, key: str) -> None:
        """Go to a page; the first page has no strip above it, nor has one that says it stands alone."""
        page = self._pages.get(key, self.first)
        self.stack.setCurrentWidget(page)
        self.strip.mark(key)
        self.strip.spare_left(key == "batch")  # a running batch needs the room more than another recipe
        self._show_frame()

    def _to_batch(self) -> None:
        self.show_page("batch")

    def set_bare(self, bare: bool) -> None:
        """The bench view has the window for itself; menu and strip are back on every other page."""
        self._bare = bare
        self._show_frame()

    def _show_frame(self) -> None:
        page = self.stack.currentWidget()
        self.urgent.set_away(page is self._pages.get("batch"))
        bare = self._bare and page is self._pages.get("batch")
        self.menuBar().setVisible(not bare)
        alone = page is self.first or (page is not None and bool(page.property("alone")))
        self.strip.setVisible(not bare and not alone)

    def act(self, menu: QMenu, text: str, slot: Callable[[], object], keys: Keys = None) -> QAction:
        action = QAction(text, self)
        action.triggered.connect(slot)
        if isinstance(keys, str):
            action.setShortcut(QKeySequence(keys))
        elif keys is not None:
            action.setShortcuts(keys)
        menu.addAction(action)
        return action

    def tell_trouble(self, trouble: Trouble) -> None:
        write = self.house.context.writer.sentence if self.house is not None else str
        faults = [f"– {write(fault.says)}" for fault in trouble.faults[:6]]
        self.banner.tell("\n".join([write(trouble.says), *faults]))

    def tell_fault(self, text: str) -> None:
        """A fault of our own: a running batch goes on hold, and it is said."""
        held = self.house is not None and self.house.hold_after_fault()
        first = (
            self.tr("The program met a fault of its own, and the batch was put on hold. Make the pot safe.")
            if held
            else self.tr(
                "The program met a fault of its own. What was saved is safe; save your work and start it again."
            )
        )
        self.banner.tell(f"{first}\n{text}")

    def closeEvent(self, event: QCloseEvent) -> None:
        if self.house is not None and not self.house.leave():
            event.ignore()
            return
        super().closeEvent(event)


def sample_name(path: Path) -> str:
    """A file name as a person reads it: harbour-evening.json is Harbour evening."""
    text = path.stem.replace("-", " ").replace("_", " ")
    return text[:1].upper() + text[1:]


def samples_in(folder: Path) -> Sequence[Path]:
    return tuple(sorted(folder.glob("*.json"))) if folder.is_dir() else ()
