"""Whether Enter presses the button that has the keyboard.

It does so everywhere but beside the pot: a running step counts Enter for its
field alone, so that a stroke too many finishes nothing.  A part of the window
says which of the two it wants; the nearest part around a button decides.
"""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

_PRESSES = "enter_presses"


def want_enter(part: QWidget, presses: bool) -> None:
    """From here on inwards Enter presses buttons (or does not)."""
    part.setProperty(_PRESSES, presses)


def enter_presses(button: QWidget) -> bool:
    part: QWidget | None = button
    while part is not None:
        wish = part.property(_PRESSES)
        if wish is not None:
            return bool(wish)
        part = part.parentWidget()
    return True
