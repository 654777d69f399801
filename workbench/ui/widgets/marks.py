"""How far a value can be trusted, shown so that a recalled value never looks like a read one."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

from workbench.core.catalogue.model import Confidence


def _tr(text: str) -> str:
    return QCoreApplication.translate("Confidence", text)


def mark(confidence: Confidence) -> str:
    """A short word to stand beside a value; empty for a value read in its source."""
    return {
        Confidence.SEEN: "",
        Confidence.SECOND_HAND: _tr("from a copy"),
        Confidence.DERIVED: _tr("computed"),
        Confidence.MEMORY: _tr("from memory, check"),
        Confidence.SUPPLIER: _tr("yours"),
    }[confidence]


def meaning(confidence: Confidence) -> str:
    """The same in a full sentence."""
    return {
        Confidence.SEEN: _tr("This value was read in the source that is named."),
        Confidence.SECOND_HAND: _tr("This value was read in a copy or a quotation of the source."),
        Confidence.DERIVED: _tr("This value was computed from other values."),
        Confidence.MEMORY: _tr(
            "This value was recalled and not yet read in its source. Check it against your supplier's papers."
        ),
        Confidence.SUPPLIER: _tr("You typed this value in from your supplier's papers; it wins over ours."),
    }[confidence]


def role(confidence: Confidence) -> str:
    """The look of a label that shows a value of this confidence."""
    return "memory" if confidence is Confidence.MEMORY else "muted"
