"""A printer, where there is one: asked for through a port, so that no logic opens a dialog."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import QWidget

from workbench.core.trouble import Trouble
from workbench.paper.scene import Document


class Printing(Protocol):
    """`done` is called once it was printed, and not at all where the user thought better of it."""

    def print(self, document: Document, done: Callable[[], object]) -> None: ...


class QtPrinting:
    """The printers of this computer.  Raises `Trouble` where Qt came without printing."""

    def __init__(self, window: QWidget) -> None:
        self._window = window

    def print(self, document: Document, done: Callable[[], object]) -> None:
        try:
            from PySide6.QtPrintSupport import QPrintDialog, QPrinter
        except ImportError as error:
            raise Trouble(
                QCoreApplication.translate(
                    "Printing",
                    "This Qt came without printing ({why}). Save the PDF and print it from there.",
                ).format(why=error)
            ) from error
        from workbench.paper.paint import by_size, page_size, print_on

        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setFullPage(True)
        printer.setDocName(document.title)
        printer.setPageSize(page_size(document.sheets[0]))
        dialog = QPrintDialog(printer, self._window)
        dialog.setWindowTitle(QCoreApplication.translate("Printing", "Print at 100 %, without fitting"))

        def accepted() -> None:
            for part in by_size(document):
                printer.setPageSize(page_size(part.sheets[0]))
                print_on(printer, part, printer.resolution())
            done()

        dialog.accepted.connect(accepted)
        dialog.finished.connect(lambda _result: dialog.deleteLater())
        dialog.setWindowModality(Qt.WindowModality.WindowModal)
        dialog.show()
