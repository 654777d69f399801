"""Past batches: the list, and one of them read through."""

from workbench.ui.history.page import HistoryPage

__all__ = ["HistoryPage"]
