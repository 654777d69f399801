"""What every part of the window needs, handed down by the one who builds it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from PySide6.QtCore import QObject, Signal

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Shelf
from workbench.ui.preferences import Preferences
from workbench.ui.widgets.ask import Ask, SilentAsk
from workbench.ui.writing import Writer


class Context(QObject):
    """Tables with the maker's shelf on top, preferences, the writer, and whoever answers questions.

    preferences_changed()  units, look or language are different now
    shelf_changed()        materials, lots, tins or equipment are different now
    """

    preferences_changed = Signal()
    shelf_changed = Signal()

    def __init__(
        self,
        tables: Catalogue,
        shelf: Shelf,
        preferences: Preferences | None = None,
        today: Callable[[], date] = date.today,
        ask: Ask | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._tables = tables
        self.catalogue = tables.over(shelf)
        self.preferences = preferences or Preferences()
        self.writer = Writer(self.preferences.units)
        self.today = today
        self.ask: Ask = ask or SilentAsk()

    @property
    def tables(self) -> Catalogue:
        """The tables as they come with the program, without the shelf."""
        return self._tables

    @property
    def shelf(self) -> Shelf:
        return self.catalogue.shelf

    # what is typed counts in the units of now, also in a field that was built before they were changed

    def read_mass(self, text: str) -> float:
        """Grams; a bare number counts in the unit of the window.  Raises `Trouble`."""
        return self.writer.read_mass(text)

    def read_degrees(self, text: str) -> float:
        """°C; a bare number counts in the degrees of the window.  Raises `Trouble`."""
        return self.writer.read_degrees(text)

    def read_plain(self, text: str) -> float:
        """A plain number of 0 or more.  Raises `Trouble`."""
        return self.writer.read_plain(text)

    def take_shelf(self, shelf: Shelf) -> None:
        if shelf != self.catalogue.shelf:
            self.catalogue = self._tables.over(shelf)
            self.shelf_changed.emit()

    def take_preferences(self, preferences: Preferences) -> None:
        if preferences != self.preferences:
            self.preferences = preferences
            self.writer = Writer(preferences.units)
            self.preferences_changed.emit()
