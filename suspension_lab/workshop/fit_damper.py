"""Fit a two-slope damper to a measured table of shaft speed and force."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError, shown
from suspension_lab.vehicle.clicks import Clicks, Span
from suspension_lab.vehicle.damper import DamperSide, TwoSlopeDamper
from suspension_lab.vehicle.measured_damper import MeasuredDamper
from suspension_lab.workshop.fit_release import Fitted

FEWEST_POINTS = 4
"""Of one direction at one setting: three values are looked for (our choice)."""
FLOOR = 0.02
"""A force counts as known to this share of the largest at least: else the smallest would rule (our choice)."""
GOOD, POOR = 0.05, 0.15
"""R.m.s. misfit, as a share of the force: good enough to work with, and not good enough (our choice)."""
CHANCE = 1e-3
"""From this chance on that two slopes fit better by noise alone, one does as well (our choice)."""
PARTS = ("low_speed_slope", "knee_speed", "high_speed_slope")


@dataclass(frozen=True, kw_only=True, eq=False)
class DamperFit:
    """Two slopes a side, fitted to a measured damper.

    Attributes:
        damper: the fitted one, at the middle of the clicks measured.
        found: '<side> <part> closed' and 'open' (one of them alone where one setting was measured) -> value,
            uncertainty, unit.
        misfit: side -> r.m.s. misfit as a share of the force.
        clicks: measured settings.
    """

    damper: TwoSlopeDamper
    found: Mapping[str, Fitted]
    misfit: Mapping[str, float]
    clicks: Sequence[int]

    @property
    def sentences(self) -> list[str]:
        """Whether two slopes describe it, for each side."""
        knees = {side: self.found[next(name for name in self.found if name.startswith(f"{side} knee_speed"))]
                 for side in self.misfit}  # fmt: skip
        unseen = [
            f"The {side} side is one slope as far as it was measured: nothing is known of a knee; measure faster."
            for side, knee in knees.items()
            if math.isinf(knee.uncertainty)
        ]
        return [*(_how_well(side, share) for side, share in self.misfit.items()), *unseen]


def fit_damper(measured: MeasuredDamper) -> DamperFit:
    """Two slopes a side for a measured damper, its slopes and knees following the clicks.

    Least squares on the force, each point weighted by its size. Between closed and open each value changes by the same
    ratio a click, as `Span` has it. Uncertainties come from the misfit (one standard deviation).

    Args:
        measured: from `MeasuredDamper.from_csv`, at one setting or more.

    Raises:
        LabError: not a measured damper, or too few speeds on a side.
    """
    if not isinstance(measured, MeasuredDamper):
        raise LabError(
            f"fit_damper got {shown(measured)}, where a measured damper was expected, as MeasuredDamper.from_csv gives."
        )
    clicks = sorted(measured.curves)
    most = clicks[-1]
    spans = len(clicks) > 1
    found: dict[str, Fitted] = {}
    sides, misfit = {}, {}
    for side, sign in (("rebound", -1.0), ("compression", 1.0)):
        theta, spread, misfit[side] = _fit_side(measured, clicks, side, sign)
        parts: dict[str, float | Span] = {}
        for at, part in enumerate(PARTS):
            ends = theta[at], theta[at + 3] if spans else theta[at]
            unit = "m/s" if part == "knee_speed" else "N s/m"
            for end, which in (("closed", at), ("open", at + 3)) if spans else (("", at),):
                value = math.exp(theta[which])
                found[f"{side} {part} {end}".strip()] = Fitted(value, value * spread[which], unit)
            parts[part] = Span(closed=math.exp(ends[0]), open=math.exp(ends[1])) if spans else math.exp(ends[0])
        sides[side] = DamperSide(**parts)
    adjusters = {"rebound": most, "low_speed": most} if spans else {}
    now = Clicks(rebound=most // 2, low_speed=most // 2) if spans else Clicks()
    damper = TwoSlopeDamper(
        rebound=sides["rebound"], compression=sides["compression"], adjusters=adjusters, clicks=now
    )  # fmt: skip
    return DamperFit(damper=damper, found=found, misfit=misfit, clicks=clicks)


def _fit_side(measured: MeasuredDamper, clicks: Sequence[int], side: str, sign: float) -> tuple[Array, Array, float]:
    """Logarithms of the values closed (and open), their spread, and the misfit."""
    from scipy import stats
    from scipy.optimize import least_squares

    most = max(clicks[-1], 1)
    shares, speeds, forces = [], [], []
    for click in clicks:
        speed, force = (sign * np.asarray(each) for each in measured.curves[click])
        mine = speed > 0.0
        if int(mine.sum()) < FEWEST_POINTS:
            raise LabError(
                f"The {side} side of the table has {int(mine.sum())} speeds at {click} clicks, where at least "
                f"{FEWEST_POINTS} were expected; measure more speeds, below and above the knee."
            )
        shares.append(np.full(int(mine.sum()), click / most))
        speeds.append(speed[mine])
        forces.append(np.maximum(force[mine], 0.0))
    share, speed, force = (np.concatenate(each) for each in (shares, speeds, forces))
    weight = 1.0 / np.maximum(force, FLOOR * force.max())
    spans = len(clicks) > 1

    def model(theta: Array) -> Array:
        closed, opened = theta[:3], theta[3:] if spans else theta[:3]
        low, knee, high = np.exp((1.0 - share)[:, None] * closed + share[:, None] * opened).T
        return np.asarray(low * np.minimum(speed, knee) + high * np.maximum(speed - knee, 0.0))

    best = None
    for knee in np.quantile(speed, (0.3, 0.5, 0.7)):
        below, above = speed <= knee, speed > knee
        first = float(np.median(force[below] / speed[below])) if below.any() else 1.0
        last = float(np.median(force[above] / speed[above])) if above.any() else first
        start = np.log(np.maximum([first, knee, 0.5 * last], 1e-6))
        found = least_squares(
            lambda theta: (model(theta) - force) * weight, np.tile(start, 2 if spans else 1), loss="linear",
            max_nfev=400,
        )  # fmt: skip
        if best is None or found.cost < best.cost:
            best = found
    assert best is not None
    freedom = max(speed.size - best.x.size, 1)
    sizes = np.linalg.svd(best.jac, full_matrices=False)
    kept = sizes[1] > 1e-9 * sizes[1][0]
    variance = 2.0 * float(best.cost) / freedom
    spread = np.sqrt(((sizes[2][kept].T / sizes[1][kept]) ** 2).sum(axis=1) * variance)
    misfit, one = math.sqrt(2.0 * float(best.cost) / speed.size), _misfit_of_one_slope(share, speed, force, weight)
    more = best.x.size - len(clicks)
    by_chance = (one**2 - misfit**2) / max(more, 1) / max(misfit**2 / freedom, 1e-12)
    if stats.f.sf(by_chance, max(more, 1), freedom) > CHANCE:
        # One slope does as well (F test, textbook): nothing is known of a knee.
        spread = np.where(np.arange(spread.size) % 3 == 1, math.inf, spread)
    return best.x, spread, misfit


def _misfit_of_one_slope(share: Array, speed: Array, force: Array, weight: Array) -> float:
    """R.m.s. misfit of one slope for each setting, as a share of the force."""
    left = []
    for click in np.unique(share):
        mine = share == click
        x, y = speed[mine] * weight[mine], force[mine] * weight[mine]
        left.append(y - x * float(x @ y) / float(x @ x))
    return float(np.sqrt(np.mean(np.concatenate(left) ** 2)))


def _how_well(side: str, share: float) -> str:
    off = f"{100.0 * share:.0f} % off on average (r.m.s.)"
    if share <= GOOD:
        return f"The {side} side is two slopes, {off}: good enough to work with."
    if share <= POOR:
        return f"The {side} side is roughly two slopes, {off}: good for a what-if, not for the last click."
    return f"The {side} side is not two slopes, {off}: use the measured table itself."
