"""What the readings say of a cooling jug: the fit behind the forecast.

Maximum a posteriori by Gauss-Newton with a Student likelihood, from a wide
scale down to the true one, and Laplace's approximation around it.  The
unknowns: start, loss, room, set point, latent heat, contact to the counter,
the probe's offset, how much hotter an unstirred probe sits, the wet wall, and
the draught at knots in time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_factor, cho_solve

from workbench.core.heat.cooling import WET, WET_SD, Field, Guesses, Jug, paths

PAST_STEPS = 60
MOST_PAST_KNOTS = 8
FUTURE_KNOTS = 6
KNOT_S = 240.0
DRAUGHT_SD = 0.10
DRAUGHT_MEMORY_S = 240.0
PROBE_LAG_S = 9.0
PROBE_NOISE_K = 0.3
STUDENT = 4.0  # degrees of freedom of the likelihood
SCALES, SEARCHED_AT = (12.0, 4.0, 2.0, 1.0, 1.0, 1.0), 2.0  # times the true scale, in turn; see `_around`
CORE_K, CORE_SD_K = 2.0, 2.0  # an unstirred probe sits in the hot middle


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading as taken; `celsius` after the probe's own correction."""

    seconds: float
    celsius: float
    stirred: bool = True


# Columns of the unknowns, before the knots of the draught.
START, LOSS_AT, ROOM, SET, LATENT, BASE_AT, BIAS, CORE, WET_AT = range(9)
FIXED = 9


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """The posterior: its centre, a square root of its covariance, and the grids it lives on."""

    zero_s: float
    now_s: float  # from zero
    seconds: Field
    celsius: Field
    knots_s: Field
    mean: Field
    root: Field
    residuals: Field
    scale: Field
    stirred: bool

    @classmethod
    def of(
        cls,
        readings: Sequence[Reading],
        jug: Jug,
        room_c: float,
        now_s: float,
        room_sd_k: float,
        resolution_k: float,
        probe_sd_k: float,
    ) -> Fit:
        zero = readings[0].seconds
        kept = _thinned(readings)
        seconds = np.array([each.seconds - zero for each in kept])
        celsius = np.array([each.celsius for each in kept])
        still = np.array([0.0 if each.stirred else 1.0 for each in kept])
        knots = _knots(now_s - zero)
        prior = np.zeros(FIXED + len(knots))
        prior[:FIXED] = [
            float(np.median(celsius[:3])) if len(celsius) > 2 else celsius[0],
            jug.ln_loss, room_c, jug.set_point_c, 0.0, 0.0, 0.0, CORE_K, WET,
        ]  # fmt: skip
        precision = np.zeros((len(prior), len(prior)))
        sd = [
            8.0,
            jug.ln_loss_sd,
            room_sd_k,
            jug.set_point_sd_k,
            0.3,
            jug.ln_base_sd,
            probe_sd_k,
            CORE_SD_K,
            WET_SD,
        ]
        precision[range(FIXED), range(FIXED)] = 1 / np.square(sd)
        precision[FIXED:, FIXED:] = _draught_precision(knots)
        scale = np.sqrt(PROBE_NOISE_K**2 + resolution_k**2 / 12 + (1.0 * still) ** 2)
        data = _Data(jug, seconds, celsius, still, knots, prior, precision, scale)
        mean, root, residuals = data.solve()
        return cls(
            zero, now_s - zero, seconds, celsius, knots, mean, root, residuals, scale, not still[-4:].any()
        )


def _thinned(readings: Sequence[Reading], most: int = 200) -> Sequence[Reading]:
    """All of the last hundred, every so many of those before: two hours cost no more than ten minutes."""
    if len(readings) <= most:
        return readings
    old, new = readings[: -most // 2], readings[-most // 2 :]
    step = -(-len(old) // (most // 2))
    return [*old[::step], *new]


def _knots(now_s: float) -> Field:
    """Times at which the draught is unknown: back to zero, and ahead of now at growing distances."""
    past = max(2, min(MOST_PAST_KNOTS, int(np.ceil(now_s / KNOT_S)) + 1))
    back = np.linspace(0.0, max(now_s, 60.0), past)
    ahead = back[-1] + KNOT_S * np.array([1, 2, 3.5, 6, 12, 60])[:FUTURE_KNOTS]
    return np.concatenate((back, ahead))


def _draught_precision(knots_s: Field) -> Field:
    """Inverse covariance of a wander with memory, thinned where knots lie far apart."""
    gaps = np.abs(knots_s[:, None] - knots_s[None, :])
    covariance = DRAUGHT_SD**2 * np.exp(-gaps / DRAUGHT_MEMORY_S)
    # a straight line between knots that are far apart stands for the mean over the gap
    spacing = np.gradient(knots_s) if len(knots_s) > 1 else np.array([KNOT_S])
    thin = np.sqrt(np.minimum(1.0, 2 * DRAUGHT_MEMORY_S / spacing))
    covariance *= thin[:, None] * thin[None, :]
    return np.asarray(np.linalg.inv(covariance + 1e-8 * np.eye(len(knots_s))))


@dataclass(frozen=True, slots=True, eq=False)
class _Data:
    jug: Jug
    seconds: Field
    celsius: Field
    still: Field
    knots: Field
    prior: Field
    precision: Field
    scale: Field

    def predicted(self, unknowns: Field) -> Field:
        """What the probe should show at each reading (rows) for each guess (columns)."""
        last = max(float(self.seconds[-1]), 1.0)
        grid = np.linspace(0.0, last, max(3, min(PAST_STEPS, int(last / 5) + 3)))
        path = paths(self.jug, guesses_of(unknowns), grid, self.knots)
        late = np.clip(self.seconds - PROBE_LAG_S, 0, None)
        place = np.minimum(late / (grid[1] - grid[0]), len(grid) - 1 - 1e-9)
        low = place.astype(np.int64)
        part = (place - low)[:, None]
        shown = path[low] * (1 - part) + path[low + 1] * part
        return np.asarray(shown + unknowns[BIAS] + self.still[:, None] * unknowns[CORE])

    def solve(self) -> tuple[Field, Field, Field]:
        """Gauss-Newton with weights of a Student likelihood, from a wide scale down to the true one."""
        size = len(self.prior)
        steps = np.full(size, 0.02)
        steps[[START, ROOM, SET, BIAS, CORE]] = [0.2, 0.3, 0.3, 0.2, 0.2]
        steps[[LATENT, BASE_AT, WET_AT]] = 0.05
        at = self.prior.copy()
        hessian = self.precision
        residuals = np.zeros_like(self.celsius)
        for wide in SCALES:
            shown, elsewhere = self._around(at, steps, wide)
            if elsewhere is not None:
                at = elsewhere  # the slopes are those of where it was; the next scale has its own
                continue
            slope = (shown[:, 1:] - shown[:, :1]) / steps
            residuals = self.celsius - shown[:, 0]
            scale = self.scale * wide
            weight = (STUDENT + 1) / (STUDENT + (residuals / scale) ** 2) / scale**2
            hessian = slope.T @ (weight[:, None] * slope) + self.precision
            gradient = slope.T @ (weight * residuals) - self.precision @ (at - self.prior)
            factor = cho_factor(hessian, lower=True)
            move = cho_solve(factor, gradient)
            at = at + np.clip(move, -_farthest(size), _farthest(size))
        residuals = self.celsius - self.predicted(at[:, None])[:, 0]
        lower = np.linalg.cholesky(hessian)
        # covariance = root @ root.T; a triangular solver wakes threads for it, which takes longer than the work
        root = np.linalg.inv(lower).T
        return at, np.asarray(root), residuals

    def _around(self, at: Field, steps: Field, wide: float) -> tuple[Field, Field | None]:
        """What the probe should show at a guess and one step aside in each unknown; and a better guess, if any.

        Gauss-Newton sees a knee only from close by, so other set points are looked at once, in the same run of
        the model.  At the true scale that would do harm: the tries lie a kelvin apart, and the fit is closer than
        that by then.  Nothing to look for while the jug is far above wherever it may set.
        """
        size = len(at)
        columns = np.concatenate((at[:, None], at[:, None] + np.diag(steps)), axis=1)
        sd = 1 / np.sqrt(self.precision[SET, SET])
        highest = self.prior[SET] + 2.5 * sd + 1.0
        if wide != SEARCHED_AT or not self.jug.sets or float(np.min(self.celsius)) > highest:
            return self.predicted(columns), None
        tries = np.repeat(at[:, None], 16, axis=1)
        tries[SET] = self.prior[SET] + sd * np.linspace(-2.5, 2.5, 16)
        shown = self.predicted(np.concatenate((columns, tries), axis=1))
        with_tries = np.concatenate((shown[:, :1], shown[:, size + 1 :]), axis=1)
        set_points = np.concatenate((at[[SET]], tries[SET]))
        off = (self.celsius[:, None] - with_tries) / (self.scale * wide)[:, None]
        cost = (STUDENT + 1) / 2 * np.log1p(off**2 / STUDENT).sum(axis=0)
        cost = cost + ((set_points - self.prior[SET]) / sd) ** 2 / 2
        best = int(np.argmin(cost))
        return shown[:, : size + 1], None if cost[best] > cost[0] - 0.5 else tries[:, best - 1]


def _farthest(size: int) -> Field:
    """No step of the fit moves an unknown further than this."""
    far = np.full(size, 0.3)
    far[:FIXED] = [15.0, 0.6, 4.0, 6.0, 0.6, 1.0, 2.0, 4.0, 0.5]
    return far


def guesses_of(unknowns: Field) -> Guesses:
    return Guesses(
        start_c=unknowns[START],
        ln_loss=unknowns[LOSS_AT],
        room_c=unknowns[ROOM],
        set_c=unknowns[SET],
        ln_latent=unknowns[LATENT],
        ln_base=unknowns[BASE_AT],
        wet=unknowns[WET_AT],
        draught=unknowns[FIXED:],
    )
