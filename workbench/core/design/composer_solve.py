"""Handing the problem to HiGHS, through scipy, and reading its answer."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from workbench.core.design.composer_problem import Problem
from workbench.core.design.wish import Holds
from workbench.core.scent.volatility import Array, Indices

TIME_S = 2.0  # never reached by kitchen problems; then the best so far is given and said to be unproven
# An answer counts as the best when no other can be nearer by more than a hundredth of (1 + distance);
# distances are doublings of dose, and nobody smells a few hundredths of one.
GAP, OFFSET = 0.01, 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """`units` of each candidate, the leader of each aim (row of its doses, -1 for none), and the cost."""

    units: Indices
    leaders: tuple[int, ...]
    cost: float
    proven: bool
    values: Array


def solve(
    problem: Problem,
    *,
    without: frozenset[int] = frozenset(),
    cost: Array | None = None,
    relaxed: int | None = None,
    by: float = 1.0,
    fixed: Solution | None = None,
) -> Solution | None:
    """The best answer, or None where no answer keeps every row.

    The oils at `without` may not be used; row `relaxed` gets `by` times its upper side;
    `fixed` keeps the oils and leaders of an answer and makes the amounts
    continuous, which is a plain linear problem.
    """
    low, high = np.array(problem.low), np.array(problem.high)
    lower, upper, integer = problem.lower, problem.upper, problem.integer
    matrix = problem.matrix()
    if without:
        upper = upper.copy()
        for oil in without:
            upper[[problem.x(oil), problem.y(oil)]] = 0.0
    if relaxed is not None:
        # the bounds of single oils follow from limits, stock and load, so they must give way too
        matrix, upper = matrix.copy(), upper.copy()
        most = problem.loose_most * (by if problem.tags[relaxed][0] is Holds.LOAD else 1.0)
        if relaxed in problem.most_rows:
            most[problem.most_rows.index(relaxed)] *= by
        else:
            high[relaxed] *= by
        upper[: problem.count] = np.maximum(np.floor(most), problem.candidates.most)
        oils = np.arange(problem.count)
        matrix[np.array(problem.most_rows), problem.count + oils] = -upper[: problem.count]
    if fixed is not None:
        binary = slice(problem.count, problem.gives(0))
        lower, upper = lower.copy(), upper.copy()
        lower[binary] = upper[binary] = np.round(fixed.values[binary])
        integer = np.zeros_like(integer)
    used = problem.cost if cost is None else cost
    # one more variable that is always 1 carries the offset, so that a relative gap near 0 means something
    found = milp(
        np.append(used, OFFSET),
        integrality=np.append(integer, 0).astype(np.int64),
        bounds=Bounds(np.append(lower, 1.0), np.append(upper, 1.0)),
        constraints=LinearConstraint(csr_array(np.hstack([matrix, np.zeros((len(matrix), 1))])), low, high),
        options={"time_limit": TIME_S, "mip_rel_gap": 0.0 if fixed is not None else GAP},
    )
    if found.x is None:
        return None
    values = np.asarray(found.x, dtype=np.float64)[:-1]
    units = values[: problem.count]
    leaders = [-1] * len(problem.doses)
    for at, (aim, row_of) in enumerate(problem.leaders):
        if values[problem.z(at)] > 0.5:
            leaders[aim] = row_of
    return Solution(
        units=np.round(units).astype(np.intp),
        leaders=tuple(leaders),
        cost=float(used @ values),
        proven=found.status == 0,
        values=values,
    )
