"""The same capabilities as the window's, for a terminal and for scripts."""

from workbench.cli.commands import main

__all__ = ["main"]
