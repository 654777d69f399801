"""Where a rising function crosses nought, without the solvers: they take longer to load than a batch can wait."""

from __future__ import annotations

from collections.abc import Callable

HALVINGS = 60  # of the interval: below the last digit of what is asked for here


def rising_root(function: Callable[[float], float], low: float, high: float) -> float:
    """The place between `low` and `high` where a rising function is 0; the nearer end where it is not between them."""
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if function(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2
