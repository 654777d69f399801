"""Tables that only looking back asks for; apart from `resources`, because they bring the solvers along."""

from __future__ import annotations

from workbench.core.review.faults import FAULTS_FILE, FaultTable, parse_faults
from workbench.store.resources import resource_bytes


def load_faults() -> FaultTable:
    """Faults of a finished balm and their causes.  Raises `Trouble` with every fault of the file."""
    return parse_faults(FAULTS_FILE, resource_bytes(FAULTS_FILE))
