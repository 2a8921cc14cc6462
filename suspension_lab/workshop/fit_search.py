"""The search of `fit_release`: starts, least squares over the simulation, uncertainties, what cannot be told apart."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.fit_release import (
    ALIKE,
    SHORTEST,
    STARTS,
    UNKNOWNS,
    VAGUE,
    WIDEST,
    Fitted,
    ReleaseFit,
    at_samples,
    noise_of,
    simulated,
)

QUIET_END = 0.2
"""The last share of a record tells where its zero lies."""
CLEAR = 3.5
"""Times the noise from which two samples together are no noise."""
MOST_TRIES = 60
SMALL = 1e-3
"""Step of a slope, in each value's own scale."""
SHALLOW = 0.005
"""No hand holds a body down by less [m] (our choice)."""
SELDOM = 0.1
"""Springs and scales are truer than this (our choice)."""
BETTER = 0.85
"""From this share of the misfit on a wider fit is a better one (our choice)."""
LET_GO_SCALE = 0.02
"""[s]"""


def search(
    time: Array, values: Array, kind: str, station: Station, names: Sequence[str], depth: float | None
) -> ReleaseFit:
    """As `fit_release`, of checked arguments."""
    problem = _Problem(time, values, kind, station, names, depth)
    found = min((problem.solved(start) for start in problem.starts()), key=lambda each: float(each.cost))
    shift = problem.spring_shift(found.x, found.jac)
    return problem.result(found.x, problem.covariance(found.x, found.jac), shift)


@dataclass(frozen=True)
class _Problem:
    """All values as numbers near 1, so that one step suits all: factors, and amounts over their scale plus 1."""

    time: Array
    values: Array
    kind: str
    station: Station
    names: Sequence[str]
    known_depth: float | None

    @cached_property
    def zero(self) -> float:
        """Where the signal comes to rest."""
        return float(np.median(self.values[self.time >= self.time[-1] - QUIET_END * (self.time[-1] - self.time[0])]))

    @cached_property
    def first(self) -> float:
        """About when the body was let go [s]."""
        if self.kind == "position":
            moved, share = np.abs(self.values - self.values[0]), 0.05
        else:
            moved, share = np.abs(self.values - self.zero), 0.2
        # Two samples together, so that one that is off is no let-go.
        both = np.minimum(moved[:-1], moved[1:])
        least = max(share * float(both.max()), CLEAR * noise_of(self.values))
        if not (both > least).any():
            raise LabError(
                f"No release is found in the record: its {self.kind} never rises clearly above its noise; hold the "
                "body down further, fix the sensor to the body, or cut the record to one release."
            )
        at = float(self.time[max(int(np.argmax(both > least)) - 1, 0)])
        if self.time[-1] - at < SHORTEST:
            raise LabError(
                f"Only {self.time[-1] - at:.2f} s of the record lie behind the let-go at {at:.2f} s, where at least "
                f"{SHORTEST:g} s were expected; record longer, or cut the record to its release."
            )
        return at

    @cached_property
    def largest(self) -> float:
        return float(np.abs(self.values - self.zero).max())

    @cached_property
    def room(self) -> float:
        """How deep the body can be held at most [m]."""
        station = self.station
        return 0.5 if station.travel is None else 1.5 * (station.travel - station.static_travel) + 1e-3

    @cached_property
    def usual_depth(self) -> float:
        """About how deep it was held [m]."""
        if self.known_depth is not None:
            return self.known_depth
        if self.kind == "position":
            return min(self.largest, 0.66 * self.room)
        trial = min(0.02, 0.5 * self.room)
        _, signal = simulated(self.station, self.kind, trial, 1.0)
        return min(trial * self.largest / max(float(np.abs(signal).max()), 1e-12), 0.66 * self.room)

    @cached_property
    def friction_scale(self) -> float:
        """A tenth of the force that holds the body down, at the shaft [N]."""
        ratio = float(self.station.ratio(self.station.static_travel))
        return max(0.1 * self.station.wheel_rate * self.usual_depth / ratio, self.station.friction)

    @cached_property
    def bounds(self) -> tuple[Array, Array]:
        low, high = [], []
        for name in self.names:
            low.append(1.0 if name == "friction" else 1.0 - math.log(WIDEST))
            high.append(1.0 + (20.0 if name == "friction" else math.log(WIDEST)))
        # Let go, zero, depth.
        low += [1.0 - 0.3 / LET_GO_SCALE, -20.0, 1.0 - math.log(4.0)]
        high += [1.0 + 0.3 / LET_GO_SCALE, 22.0, 1.0 + math.log(4.0)]
        count = len(low) - (self.known_depth is not None)
        return np.array(low[:count]), np.array(high[:count])

    def amount(self, name: str, theta: float) -> float:
        """A value of the station from its number."""
        if name == "friction":
            return self.friction_scale * (theta - 1.0)
        return UNKNOWNS[name].read(self.station) * math.exp(theta - 1.0)

    def slope(self, name: str, theta: float) -> float:
        """How fast a value goes with its number."""
        return self.friction_scale if name == "friction" else self.amount(name, theta)

    def at(self, theta: Array) -> tuple[Station, float, float, float]:
        """Station, time of the let-go, zero, depth."""
        station = self.station
        for name, number in zip(self.names, theta, strict=False):
            station = UNKNOWNS[name].write(station, self.amount(name, number))
        rest = theta[len(self.names) :]
        depth = self.known_depth or self.usual_depth * math.exp(rest[2] - 1.0)
        return (
            station,
            self.first + LET_GO_SCALE * (rest[0] - 1.0),
            self.zero + 0.05 * self.largest * (rest[1] - 1.0),
            depth,
        )

    def model(self, theta: Array) -> Array:
        station, let_go, zero, depth = self.at(theta)
        trace, signal = simulated(station, self.kind, depth, float(self.time[-1]) - let_go + 0.05)
        return at_samples(trace, signal, self.time - let_go, self.kind) + zero

    def off(self, theta: Array) -> Array:
        """Model less measured; far off where the model cannot be."""
        try:
            return (self.model(theta) - self.values) / self.largest
        except LabError:
            return np.full(self.values.size, 10.0)

    def best_start(self) -> Array:
        """The best of some combinations of damping and stiffness."""
        first = np.ones(self.bounds[0].size)
        if "friction" in self.names:
            first[list(self.names).index("friction")] += self.station.friction / self.friction_scale
        tried = [first]
        damped = [i for i, name in enumerate(self.names) if name.endswith("damping")]
        sprung = [i for i, name in enumerate(self.names) if name in ("spring_rate", "sprung_mass")][:1]
        for damping in STARTS if damped else (1.0,):
            for stiffness in (0.7, 1.0, 1.4) if sprung else (1.0,):
                start = first.copy()
                start[damped] += math.log(damping)
                start[sprung] += math.log(stiffness)
                tried.append(start)
        return min(tried, key=lambda each: float(np.sum(self.off(each) ** 2)))

    def starts(self) -> list[Array]:
        """Where the search begins: the best combination, and what a fit of fewer values would find.

        With stiffness or mass free there are ways into a wrong minimum that fewer values have not.
        """
        best = self.best_start()
        fewer = [name for name in self.names if name not in ("spring_rate", "sprung_mass")]
        if len(fewer) == len(self.names) or not fewer:
            return [best]
        small = _Problem(self.time, self.values, self.kind, self.station, fewer, self.known_depth)
        found = small.solved(small.best_start())
        start = best.copy()
        for name, number in zip(fewer, found.x, strict=False):
            start[list(self.names).index(name)] = number
        for at, name in enumerate(self.names):
            if name not in fewer:
                start[at] = 1.0
        start[len(self.names) :] = found.x[len(fewer) :]
        return [best, start]

    def solved(self, start: Array) -> Any:
        """The least squares from one start, as scipy's result."""
        from scipy.optimize import least_squares

        low, high = self.bounds
        return least_squares(
            self.off, np.clip(start, low, high), bounds=(low, high), diff_step=SMALL, max_nfev=MOST_TRIES
        )

    def covariance(self, theta: Array, slopes: Array) -> Array:
        """Of the numbers, (q, q); infinite on the diagonal where the data say nothing."""
        off = self.off(theta)
        freedom = max(off.size - theta.size, 1)
        left, sizes, right = np.linalg.svd(slopes, full_matrices=False)
        del left
        seen = sizes > 1e-7 * sizes[0]
        variance = float(off @ off) / freedom * _widened(off)
        made = (right[seen].T / sizes[seen] ** 2) @ right[seen] * variance
        blind = (right[~seen] ** 2).sum(axis=0) > 1e-3
        made[blind, blind] = math.inf
        return np.asarray(made)

    def spring_shift(self, theta: Array, slopes: Array) -> dict[str, float]:
        """How the values would move with a spring a tenth harder: one step of Gauss and Newton."""
        if "spring_rate" in self.names:
            return {}
        spring = UNKNOWNS["spring_rate"]
        harder = replace(self, station=spring.write(self.station, 1.1 * spring.read(self.station)))
        # Scales of the values stay those of this fit.
        for name in ("zero", "first", "largest", "usual_depth", "friction_scale", "bounds"):
            harder.__dict__[name] = getattr(self, name)
        step = -np.linalg.lstsq(slopes, harder.off(theta) - self.off(theta), rcond=None)[0]
        return {name: self.slope(name, theta[i]) * float(step[i]) for i, name in enumerate(self.names)}

    def result(self, theta: Array, covariance: Array, shift: dict[str, float]) -> ReleaseFit:
        station, let_go, _, depth = self.at(theta)
        trace, _ = simulated(station, self.kind, depth, float(self.time[-1]) - let_go + 0.05)
        found = {
            name: Fitted(
                self.amount(name, theta[i]), abs(self.slope(name, theta[i])) * math.sqrt(covariance[i, i]),
                UNKNOWNS[name].unit(self.station),
            )
            for i, name in enumerate(self.names)
        }  # fmt: skip
        count = len(self.names)
        spread = np.sqrt(np.diag(covariance)[:count])
        with np.errstate(invalid="ignore", divide="ignore"):
            correlation = np.nan_to_num(covariance[:count, :count] / np.outer(spread, spread), nan=0.0)
        behind = self.time >= let_go
        return ReleaseFit(
            station=station, found=found, correlation=correlation, time=self.time[behind] - let_go,
            measured=self.values[behind], model=self.model(theta)[behind], kind=self.kind, depth=depth, let_go=let_go,
            noise=noise_of(self.values), spring_shift=shift, trace=trace,
            warnings=[*_warnings(found, correlation, theta, self.bounds), *self._better_with(theta, found)],
        )  # fmt: skip

    def _better_with(self, theta: Array, found: dict[str, Fitted]) -> list[str]:
        """Whether what was fixed should have been free, and values that hardly can be."""
        said = []
        if self.known_depth is None:
            depth = self.at(theta)[3]
            if not SHALLOW <= depth <= 0.98 * self.room or abs(theta[-1] - 1.0) > 0.98 * math.log(4.0):
                said.append(
                    f"By this fit the body was held down by {1e3 * depth:.1f} mm, which is hardly so: check the "
                    "signal's unit (g or m/s², mm or m), and measure the depth."
                )
        for name in ("spring_rate", "sprung_mass"):
            if name in found and abs(found[name].value / UNKNOWNS[name].read(self.station) - 1.0) > SELDOM:
                said.append(
                    f"A {UNKNOWNS[name].label} {100.0 * SELDOM:.0f} % and more off its file's is seldom: measure it "
                    "otherwise (the sag, or scales) before you believe it."
                )
        fixed = [name for name in ("rebound_damping", "friction") if name not in self.names]
        off = float(np.sqrt(np.mean(self.off(theta) ** 2))) * self.largest
        if not fixed or off <= 1.3 * noise_of(self.values):
            return said
        wider = _Problem(self.time, self.values, self.kind, self.station, [*self.names, *fixed], self.known_depth)
        labels = " and ".join(UNKNOWNS[name].label for name in fixed)
        more = wider.solved(wider.best_start())
        then = float(np.sqrt(np.mean(more.fun**2))) * self.largest
        if then < BETTER * off:
            said.append(
                f"With {labels} free too it fits better ({100.0 * (1.0 - then / off):.0f} % less is left over): what "
                "was held fixed is probably not as the file says, and the values above make up for it. Do not use them."
            )
        return said


def _widened(off: Array) -> float:
    """By what neighbours that go together widen a variance: (1 + r) / (1 - r), r the correlation of neighbours."""
    centred = off - off.mean()
    power = float(centred @ centred)
    if power <= 0.0:
        return 1.0
    together = min(max(float(centred[1:] @ centred[:-1]) / power, 0.0), 0.995)
    return (1.0 + together) / (1.0 - together)


def _warnings(found: dict[str, Fitted], correlation: Array, theta: Array, bounds: tuple[Array, Array]) -> list[str]:
    said, names = [], list(found)
    for i, name in enumerate(names):
        label, each = UNKNOWNS[name].label, found[name]
        if name != "friction" and min(theta[i] - bounds[0][i], bounds[1][i] - theta[i]) < 1e-3:
            said.append(
                f"The {label} ran to the end of what is looked for ({each.value:.3g} {each.unit}): something else is "
                "not as the file says; look at masses, clicks and the signal's unit."
            )
        elif not math.isfinite(each.uncertainty):
            said.append(f"The record says nothing of the {label} beside the others: fix it, or free fewer values.")
        elif each.value > 0.0 and each.uncertainty > VAGUE * each.value and name != "friction":
            said.append(f"The {label} stays vague: it is known to {100.0 * each.uncertainty / each.value:.0f} % only.")
    near = np.abs(correlation) >= ALIKE
    np.fill_diagonal(near, False)
    alike = [UNKNOWNS[name].label for name, row in zip(names, near, strict=True) if row.any()]
    if alike:
        said.append(
            f"This record cannot tell {', '.join(alike[:-1])} and {alike[-1]} apart: a change of one looks like one of "
            "the other. Fix what you can measure otherwise (masses on scales, the spring by its sag), or free fewer."
        )
    return said
