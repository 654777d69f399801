"""All pieces of evidence by the names that `resources/faults.toml` uses."""

from __future__ import annotations

from collections.abc import Mapping

from workbench.core.review import evidence_heat, evidence_made, evidence_skin
from workbench.core.review.case import Case, Evidence, Finding

__all__ = ["EVIDENCE", "Case", "Evidence", "Finding"]

EVIDENCE: Mapping[str, Evidence] = {
    **evidence_heat.FOUND,
    **evidence_made.FOUND,
    **evidence_skin.FOUND,
}
