"""Past batches: the list, one of them read through, some side by side, trends."""

from workbench.ui.history.page import HistoryPage, PastPorts

__all__ = ["HistoryPage", "PastPorts"]
