"""The bench: a batch from the look round before it to its end, and everything beside the pot.

Its parts are imported when they are asked for: whoever only reads a past batch
needs the curve and the words, and not the whole bench.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from workbench.ui.bench.facts import BenchFacts, Outlook, Suggested
    from workbench.ui.bench.page import BatchPage, BenchKit
    from workbench.ui.bench.runner import SessionRunner
    from workbench.ui.bench.view import BenchView

_WHERE = {
    "BatchPage": "page",
    "BenchFacts": "facts",
    "BenchKit": "page",
    "BenchView": "view",
    "Outlook": "facts",
    "SessionRunner": "runner",
    "Suggested": "facts",
}

__all__ = [
    "BatchPage",
    "BenchFacts",
    "BenchKit",
    "BenchView",
    "Outlook",
    "SessionRunner",
    "Suggested",
]


def __getattr__(name: str) -> object:
    if name not in _WHERE:
        raise AttributeError(name)
    return getattr(import_module(f"{__name__}.{_WHERE[name]}"), name)
