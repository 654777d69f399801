"""The sheets of keeping: choose a backup, read what a check found, choose words to erase."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import QLocale, Qt
from PySide6.QtWidgets import QDialog, QLineEdit, QListView, QListWidget, QListWidgetItem, QWidget

from workbench.store.backup import Backup
from workbench.store.erasing import PersonalWords
from workbench.store.sessions import SessionEntry
from workbench.ui.theme import GRID_PX, as_role
from workbench.ui.widgets.ask import MOST_PX
from workbench.ui.widgets.basic import Words, button, column, row

_DATUM = Qt.ItemDataRole.UserRole
_WIDTH_LETTERS = 72
# as the record names a place
_IN_BATCH = re.compile(
    r"(?P<kind>session|wear test|word from a wearer) (?P<batch>s\d+), (?:entry|revision) (?P<number>\d+)"
)


class _Sheet(QDialog):
    """A heading, what it is about, a list, and answers; it belongs to a window and blocks nothing else."""

    def __init__(self, heading: str, text: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowModality(Qt.WindowModality.WindowModal)
        self.setWindowTitle(heading)
        self.heading, self.text = Words(heading, "head"), Words(text)
        self.list = QListWidget()
        self.list.setAccessibleName(heading)
        as_role(self.list, "lines")  # without padding, for which broken lines get no room
        self.list.setSpacing(GRID_PX)
        self.list.setTextElideMode(Qt.TextElideMode.ElideNone)
        self.list.setWordWrap(True)
        self.list.setResizeMode(QListView.ResizeMode.Adjust)  # lines are broken anew for the width there is
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setMinimumHeight(min(self.fontMetrics().height() * 9, MOST_PX // 5))
        self.setMinimumWidth(min(self.fontMetrics().averageCharWidth() * _WIDTH_LETTERS, MOST_PX))

    def fill(self, *rows: QWidget, answers: Sequence[QWidget]) -> None:
        whole = column(self.heading, self.text, self.list, *rows, row(1, *answers), gap=4)
        whole.setStretch(2, 1)
        margin = 6 * GRID_PX
        whole.setContentsMargins(margin, margin, margin, margin)
        self.setLayout(whole)

    def add(self, text: str, datum: object = None) -> QListWidgetItem:
        item = QListWidgetItem(text, self.list)
        item.setData(_DATUM, datum)
        return item


class RestoreSheet(_Sheet):
    """Backups by their dates; `chosen(backup)` when one is to take the project's place."""

    def __init__(
        self, name: str, backups: Sequence[Backup], chosen: Callable[[Backup], object], parent: QWidget
    ) -> None:
        super().__init__("", "", parent)
        self._backups, self._chosen = tuple(backups), chosen
        self.setWindowTitle(self.tr("Restore a backup"))
        self.heading.say(self.windowTitle())
        self.list.setAccessibleName(self.windowTitle())
        self.text.say(
            self.tr(
                "The backup you choose takes the place of “{name}”. The file as it is now is not deleted: it is set aside beside it, under another name."
            ).format(name=name)
            if backups
            else self.tr(
                "There is no backup of “{name}” yet. One is made when the project is closed, and about every hour while you work."
            ).format(name=name)
        )
        locale = QLocale()
        for at, one in enumerate(self._backups):
            size = locale.formattedDataSize(
                one.size_bytes, 0, QLocale.DataSizeFormat.DataSizeTraditionalFormat
            )
            when = one.at.strftime("%Y-%m-%d %H:%M:%S")
            self.add(self.tr("{when} – {size}").format(when=when, size=size), at)
        self.keep = button(self.tr("Leave it as it is"), self.reject)
        self.put = button(self.tr("Put this backup in its place"), self._put, "primary")
        self.put.setEnabled(bool(self._backups))
        self.list.setVisible(bool(self._backups))
        if self._backups:
            self.list.setCurrentRow(0)
        self.fill(answers=(self.keep, self.put))

    def _put(self) -> None:
        at = self.list.currentRow()
        self.accept()
        if 0 <= at < len(self._backups):
            self._chosen(self._backups[at])


class FoundSheet(_Sheet):
    """What a check found, every fault with its place."""

    def __init__(self, heading: str, text: str, lines: Sequence[str], parent: QWidget) -> None:
        super().__init__(heading, text, parent)
        for line in lines:
            self.add(line)
        self.seen = button(self.tr("Understood"), self.accept, "primary")
        self.fill(answers=(self.seen,))


class EraseSheet(_Sheet):
    """Personal words with their places; `asked(pieces, reason)` when some are to go for good."""

    def __init__(
        self,
        pieces: Sequence[PersonalWords],
        asked: Callable[[tuple[PersonalWords, ...], str], object],
        parent: QWidget,
        batches: Sequence[SessionEntry] = (),
        rescued: Sequence[Path] = (),
    ) -> None:
        """`batches` name the places; `rescued` are copies on this computer that still hold the words."""
        super().__init__("", "", parent)
        self._pieces, self._asked = tuple(pieces), asked
        self._batches = {batch.id: batch for batch in batches}
        self.setWindowTitle(self.tr("Erase a wearer’s words"))
        self.heading.say(self.windowTitle())
        self.list.setAccessibleName(self.windowTitle())
        self.text.say(
            self.tr(
                "Mark what is to go. The words are gone for good, here and in the backups, which are replaced by a fresh one; that something was erased, when and why, stays in the record. Copies and exports you saved elsewhere, and files set aside, still hold them: delete those yourself."
            )
            if pieces
            else self.tr("There are no personal words in this project.")
        )
        for at, piece in enumerate(self._pieces):
            wearer = piece.wearer or self.tr("no initials")
            item = self.add(
                self.tr("{wearer}, {place}: {text}").format(
                    wearer=wearer, place=self._where(piece.place), text=_short(self._in_words(piece.text))
                ),
                at,
            )
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Unchecked)
            item.setToolTip(self._in_words(piece.text))
        self.list.setVisible(bool(pieces))
        self.copies = Words(
            self.tr("Delete these copies yourself, too; they were saved when a disk failed: {places}").format(
                places=", ".join(map(str, rescued))
            )
        )
        self.copies.setVisible(bool(pieces and rescued))
        self.reason = QLineEdit()
        self.reason.setAccessibleName(self.tr("Why"))
        self.reason.setPlaceholderText(self.tr("Why: “asked for it”, say. Repeat none of the words here."))
        self.reason.setMaxLength(200)
        self.reason.setVisible(bool(pieces))
        self.keep = button(self.tr("Erase nothing"), self.reject)
        self.erase = button(self.tr("Erase for good"), self._erase, "primary")
        self.reason.textChanged.connect(self._look)
        self.list.itemChanged.connect(self._look)
        self.fill(self.copies, self.reason, answers=(self.keep, self.erase))
        self._look()

    def _where(self, place: str) -> str:
        """A batch by its recipe and day: nobody knows the number it has in the file."""
        found = _IN_BATCH.fullmatch(place)
        batch = self._batches.get(found["batch"]) if found else None
        if found is None or batch is None:
            return place
        kinds = {
            "session": self.tr("batch of “{name}” of {day}, entry {number}"),
            "wear test": self.tr("wear test of “{name}” of {day}, revision {number}"),
            "word from a wearer": self.tr("words about “{name}” of {day}, revision {number}"),
        }
        return kinds[found["kind"]].format(
            name=batch.recipe_name, day=f"{batch.started:%Y-%m-%d}", number=found["number"]
        )

    def _in_words(self, text: str) -> str:
        """What a person wrote; of the fields about a wearer those that say something."""
        if not text.startswith("{"):
            return text
        try:
            fields = json.loads(text)
        except ValueError:
            return text
        told = {
            "occasion": self.tr("occasion"),
            "liked": self.tr("likes"),
            "disliked": self.tr("dislikes"),
            "allergies": self.tr("allergies"),
            "worn_where": self.tr("worn on"),
        }
        ticked = {
            "pregnant": self.tr("pregnant"),
            "child": self.tr("a child"),
            "asthma": self.tr("asthma"),
            "broken_skin": self.tr("broken skin"),
            "pets": self.tr("pets"),
        }
        words = []
        for key, label in told.items():
            value = fields.get(key)
            if value:
                said = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
                words.append(self.tr("{field}: {words}").format(field=label, words=said))
        words += [label for key, label in ticked.items() if fields.get(key) is True]
        return "; ".join(words) or self.tr("initials only")

    def marked(self) -> tuple[PersonalWords, ...]:
        return tuple(
            piece
            for at, piece in enumerate(self._pieces)
            if self.list.item(at).checkState() is Qt.CheckState.Checked
        )

    def _look(self, *_: object) -> None:
        self.erase.setEnabled(bool(self.marked() and self.reason.text().strip()))

    def _erase(self) -> None:
        pieces, reason = self.marked(), self.reason.text().strip()
        self.accept()
        self._asked(pieces, reason)


def _short(text: str) -> str:
    return text if len(text) <= 160 else text[:159] + "…"
