"""The bench: a batch from the look round before it to its end, and everything beside the pot."""

from workbench.ui.bench.facts import BenchFacts, Outlook, Suggested
from workbench.ui.bench.page import BatchPage, BenchKit
from workbench.ui.bench.post import Poster
from workbench.ui.bench.runner import SessionRunner
from workbench.ui.bench.view import BenchView

__all__ = [
    "BatchPage",
    "BenchFacts",
    "BenchKit",
    "BenchView",
    "Outlook",
    "Poster",
    "SessionRunner",
    "Suggested",
]
