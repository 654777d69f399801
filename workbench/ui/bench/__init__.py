"""The bench: a running batch, its curve, and everything beside the pot."""

from workbench.ui.bench.facts import BenchFacts, Outlook, Suggested
from workbench.ui.bench.post import Poster
from workbench.ui.bench.runner import SessionRunner
from workbench.ui.bench.view import BenchView

__all__ = ["BenchFacts", "BenchView", "Outlook", "Poster", "SessionRunner", "Suggested"]
