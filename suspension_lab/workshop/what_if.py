"""What a change does, on the chosen tests and roads, and whether it stands out of what nobody knows exactly."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from suspension_lab.common.checks import Array, whole
from suspension_lab.common.errors import LabError, shown
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.excitation.hand import Push, Release
from suspension_lab.measures.measure import Measure, MeasureKind
from suspension_lab.measures.summary import kinds_of
from suspension_lab.simulation.settings import simulate_stations
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper
from suspension_lab.vehicle.oil import COLDEST, HOTTEST
from suspension_lab.vehicle.scaled_damper import ScaledDamper
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.fit_release import UNKNOWNS, ReleaseFit
from suspension_lab.workshop.plan import as_excitations, checked_station, different, name_of
from suspension_lab.workshop.release_test import ON_TARGET, target_time
from suspension_lab.workshop.robust import Spread

RELEASED = ("settling_time", "overshoot", "swings")
PUSHED = ("push_depth", "compression_force", "deepest_travel")
RIDDEN = (
    "tyre_load_variation", "smallest_tyre_load", "longest_contact_loss", "weighted_acceleration", "packing_down",
    "deepest_travel", "bottoming", "topping_out",
)  # fmt: skip
"""Measures that a change is told by, in each kind of test."""
SAMPLES, MOST_SAMPLES = 500, 20_000
DAMPERS = 32
"""So many dampers (oil, friction, what a fit leaves open) are tried, each under many loads: their laws take longest."""
SURE = 0.95
"""From this share of the variations on a change is sure (our choice)."""
STANDS_OUT = 2.0
"""Times the scatter from day to day from which a change stands out of it (our choice)."""


@dataclass(frozen=True, kw_only=True)
class Change:
    """One measure before and after.

    Attributes:
        test: name of the test or road.
        kind: what stands around the numbers.
        before, after: in the unit of `kind`, as the vehicle is given.
        low, high: the change in nine of ten variations lies between these, in that unit.
        blur: scatter of the measure from day to day (standard deviation over the variations, before), in that unit.
        agree: share of the variations in which it changes the same way, by more than is worth a word.
    """

    test: str
    kind: MeasureKind
    before: Measure
    after: Measure
    low: float
    high: float
    blur: float
    agree: float

    @property
    def change(self) -> float:
        """After less before; infinite where one of them did not happen."""
        return self.after.value - self.before.value if self.before.value != self.after.value else 0.0

    @property
    def worth_a_word(self) -> bool:
        """Whether it changes by more than its resolution."""
        return abs(self.change) > self.kind.resolution

    @property
    def sure(self) -> bool:
        """Whether nearly all variations agree on it."""
        return self.worth_a_word and self.agree >= SURE

    @property
    def stands_out(self) -> bool:
        """Whether it is sure, and larger than what differs from day to day."""
        return self.sure and abs(self.change) > STANDS_OUT * self.blur

    @property
    def direction(self) -> str:
        """'better', 'worse', 'changed', or 'same'."""
        if not self.worth_a_word:
            return "same"
        if not self.kind.smaller_is:
            return "changed"
        better = (self.change < 0.0) == (self.kind.smaller_is == "better")
        return "better" if better else "worse"


@dataclass(frozen=True, kw_only=True, eq=False)
class WhatIf:
    """A change and what it does.

    Attributes:
        before, after: the two stations.
        changes: one for each test and measure.
        samples: variations tried, and `varied`, what was varied in words.
        traces: the runs of both as given, by test.
    """

    before: Station
    after: Station
    changes: Sequence[Change]
    samples: int
    varied: Sequence[str]
    traces: Sequence[tuple[Trace, Trace]] = field(repr=False)


def usual_spread(station: Station) -> Spread:
    """Load 10 %, tyre pressure 5 %, friction 25 %, and oil 10 K either way (assumed, no source)."""
    rider = station.rider_mass
    damper = station.damper.base if isinstance(station.damper, ScaledDamper) else station.damper
    oil = None
    if isinstance(damper, HydraulicDamper):
        now = damper.oil_temperature
        oil = (max(now - 10.0, COLDEST), min(now + 10.0, HOTTEST))
    return Spread(
        rider=(0.9 * rider, 1.1 * rider) if rider > 0.0 else None, tyre_pressure=(0.95, 1.05), oil_temperature=oil,
        friction=(0.75, 1.25),
    )  # fmt: skip


def what_if(
    before: Station,
    after: Station,
    excitations: Excitation | Sequence[Excitation],
    *,
    fit: ReleaseFit | None = None,
    spread: Spread | None = None,
    samples: int = SAMPLES,
    seed: int = 0,
    duration: float | None = None,
) -> WhatIf:
    """What a change does.

    Both stations are simulated as given, and again in many variations of what is not known exactly: the same
    variation for both, so that what they share drops out of the change (common random numbers).

    Args:
        before, after: the vehicle as it is, and as it would be.
        excitations: a test or road, or several.
        fit: from `fit_release`, whose uncertainties count too; both stations are then as the fit has found them.
        spread: what else varies; None: `usual_spread`.
        samples: variations.
        seed: the same seed gives the same variations.
        duration: of each run [s]; None: the usual one.

    Raises:
        LabError: stations of two vehicles or that cannot be, no test, a wrong number of samples.
    """
    checked_station(before)
    checked_station(after)
    if before.name != after.name:
        raise LabError(
            f"Before is {before.name} and after is {after.name}, where the same vehicle was expected twice; change a "
            "copy of the one."
        )
    if fit is not None and not isinstance(fit, ReleaseFit):
        raise LabError(f"The fit is {shown(fit)}, where the answer of fit_release was expected, or None.")
    if spread is not None and not isinstance(spread, Spread):
        raise LabError(f"The spread is {shown(spread)}, where a Spread was expected, as lab.Spread(rider=(40, 80)).")
    whole("samples of the what-if", samples, low=8, high=MOST_SAMPLES)
    whole("seed of the what-if", seed, low=0, high=2**32 - 2)
    tests = as_excitations(excitations)
    names = different([name_of(each) for each in tests])
    spread = usual_spread(before) if spread is None else spread
    if fit is not None:
        before, after = _fitted(before, after, fit)
    # The last pair is as given, to know how far runs side by side lie off single ones.
    pairs = [*_variations(before, after, spread, fit, samples, seed), (before, after)]
    traces = [(simulate(before, test, duration), simulate(after, test, duration)) for test in tests]
    runs = _runs(pairs, tests, duration)
    changes = [
        change
        for name, test, both, values in zip(names, tests, traces, runs, strict=True)
        for change in _changes(name, test, both, values)
    ]
    varied = [*spread.varied, *(fit.found if fit is not None else [])]
    return WhatIf(before=before, after=after, changes=changes, samples=samples, varied=varied, traces=traces)


def _fitted(before: Station, after: Station, fit: ReleaseFit) -> tuple[Station, Station]:
    """Both as the fit has found the vehicle; what the change changed of the fitted values stays a change."""
    for name, value in fit.values.items():
        unknown = UNKNOWNS[name]
        was, becomes = unknown.read(before), unknown.read(after)
        if name.endswith("damping") and isinstance(before.damper, ScaledDamper):
            continue  # It holds the fit already: a factor on top would count twice.
        then = max(value + becomes - was, 0.0) if name == "friction" else value * becomes / was
        before, after = unknown.write(before, value), unknown.write(after, then)
    return before, after


def _variations(
    before: Station, after: Station, spread: Spread, fit: ReleaseFit | None, samples: int, seed: int
) -> Iterator[tuple[Station, Station]]:
    """Both stations in each variation; what belongs to the damper comes from a smaller sample of its own."""
    from scipy.stats import norm

    apart = [name for name in spread.varied if name in ("oil_temperature", "friction")]
    of_load = [name for name in spread.varied if name not in apart]
    found = list(fit.found) if fit is not None else []
    few = min(DAMPERS, samples)
    shares = _sobol(len(apart) + len(found), few, seed)
    loads = _sobol(len(of_load), samples, seed + 1)
    dampers = []
    for row in shares:
        both = before, after
        if fit is not None:
            values = _drawn(fit, norm.ppf(np.clip(row[len(apart) :], 1e-4, 1.0 - 1e-4)))
            both = (_scaled_to(before, fit, values), _scaled_to(after, fit, values))
        only = replace(spread, **dict.fromkeys(of_load)) if apart else None
        dampers.append(tuple(only.at(each, row[: len(apart)])[1] for each in both) if only is not None else both)
    rest = replace(spread, **dict.fromkeys(apart)) if of_load else None
    for number, row in enumerate(loads):
        one, other = dampers[number % few]
        yield (rest.at(one, row)[1], rest.at(other, row)[1]) if rest is not None else (one, other)


def _sobol(dimensions: int, count: int, seed: int) -> Array:
    """Points that fill a cube evenly, (count, dimensions)."""
    from scipy.stats import qmc

    sampler = qmc.Sobol(d=max(dimensions, 1), seed=seed)
    return np.asarray(sampler.random_base2((count - 1).bit_length())[:count])


def _drawn(fit: ReleaseFit, normal: Array) -> dict[str, float]:
    """Values of a fit drawn from its uncertainty, from independent normal numbers."""
    spread = np.array([min(each.uncertainty, abs(each.value) or 1.0) for each in fit.found.values()])
    correlation = np.clip(fit.correlation, -1.0, 1.0)
    sizes, ways = np.linalg.eigh(correlation)
    moved = spread * (ways @ (np.sqrt(np.maximum(sizes, 0.0)) * normal))
    low = {name: 0.0 if name == "friction" else 0.05 * each.value for name, each in fit.found.items()}
    return {name: max(each.value + float(by), low[name]) for (name, each), by in
            zip(fit.found.items(), moved, strict=True)}  # fmt: skip


def _scaled_to(station: Station, fit: ReleaseFit, values: dict[str, float]) -> Station:
    """A station that stands at a fit's values, moved to drawn ones; a factor is on top of what it has already."""
    for name, value in values.items():
        unknown, found = UNKNOWNS[name], fit.found[name].value
        here = unknown.read(station)
        station = unknown.write(station, here + (value - found) if name == "friction" else here * value / found)
    return station


def _runs(pairs: Sequence[tuple[Station, Station]], tests: Sequence[Excitation], duration: float | None) -> list[Array]:
    """For each test the watched measures, (2, samples, measures), in shown units; what did not happen is the run's end.

    One after the other: between the marches Python has most of the work, which threads do not share.
    """
    from suspension_lab.simulation.pieces import LawsOfMany

    values = [np.empty((2, len(pairs), len(_watched(test)))) for test in tests]
    for side in (0, 1):
        stations, laws = [pair[side] for pair in pairs], LawsOfMany()
        for test, into in zip(tests, values, strict=True):
            kinds = _watched(test)
            for number, trace in enumerate(simulate_stations(stations, test, duration, laws=laws)):
                into[side, number] = [_value(kind, trace) for kind in kinds]
    return values


def _value(kind: MeasureKind, trace: Trace) -> float:
    if not kind.belongs(trace):
        return 0.0
    found = kind.found(trace)
    return kind.scale * (found if math.isfinite(found) else float(trace.time[-1]))


def _watched(test: Excitation) -> list[MeasureKind]:
    keys = RELEASED if isinstance(test, Release) else PUSHED if isinstance(test, Push) else RIDDEN
    return [kind for kind in kinds_of(test) if kind.key in keys]


def _changes(name: str, test: Excitation, both: tuple[Trace, Trace], values: Array) -> Iterator[Change]:
    for column, kind in enumerate(_watched(test)):
        if not kind.belongs(both[0]):
            continue
        before, after = (kind.of(trace) for trace in both)
        if kind.key == "settling_time" and max(before.value, after.value) <= ON_TARGET * target_time(both[0].station):
            # Within the target sooner is not better.
            kind = replace(kind, smaller_is="")
        every = values[1, :, column] - values[0, :, column]
        given = after.value - before.value if after.value != before.value else 0.0
        changed = every[:-1] + (given - every[-1] if math.isfinite(given) else 0.0)
        same_way = (np.sign(changed) == np.sign(given)) & (np.abs(changed) > kind.resolution)
        low, high = np.quantile(changed, [0.05, 0.95])
        yield Change(
            test=name, kind=kind, before=before, after=after, low=float(low), high=float(high),
            blur=float(values[0, :-1, column].std()), agree=float(same_way.mean()),
        )  # fmt: skip
