"""Fit a station's unknowns to a release that was recorded at the vehicle."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array, array, positive, rising
from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.excitation.hand import Release
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.damper import LinearDamper
from suspension_lab.vehicle.scaled_damper import scaled
from suspension_lab.vehicle.spring import Spring
from suspension_lab.vehicle.station import Station

FEWEST, SHORTEST = 20, 0.4
"""Samples, and seconds after the let-go, that a fit needs (our choice)."""
LONGEST, WIDEST_MOTION = 60.0, 2.0
"""Seconds and metres from which another unit was meant (our choice)."""
SIGNALS = {"position": "body", "velocity": "body_velocity", "acceleration": "body_acceleration"}
WIDEST = 20.0
"""A factor is looked for from one over this to this."""
STARTS = (0.3, 0.55, 1.0, 1.8, 3.2)
"""Factors of damping that are tried first: a start too far off ends beside the best."""
ALIKE = 0.97
"""From this correlation on two values cannot be told apart (our choice)."""
VAGUE = 0.3
"""From this share of itself on an uncertainty leaves a value vague (our choice)."""


class Fitted(NamedTuple):
    """One value that a fit has found."""

    value: float
    uncertainty: float
    """One standard deviation; infinite where the data say nothing of it."""
    unit: str


class _Unknown(NamedTuple):
    """Something of a station that can be free: a factor of what its file says, or an amount."""

    label: str
    unit: Callable[[Station], str]
    read: Callable[[Station], float]
    write: Callable[[Station, float], Station]
    """The station with another value."""


def _with_spring(station: Station, value: float) -> Station:
    spring = station.spring
    if spring.rate is not None:
        return replace(
            station, spring=replace(spring, rate=value, progression=spring.progression * value / spring.rate)
        )
    assert spring.table_force is not None
    return replace(station, spring=replace(spring, table_force=[value * force for force in spring.table_force]))


def _damping(side: str) -> _Unknown:
    def read(station: Station) -> float:
        return float(getattr(station.damper, side)) if isinstance(station.damper, LinearDamper) else 1.0

    def write(station: Station, value: float) -> Station:
        if isinstance(station.damper, LinearDamper):
            return replace(station, damper=replace(station.damper, **{side: value}))
        return replace(station, damper=scaled(station.damper, **{side: value}))

    def unit(station: Station) -> str:
        return "N s/m" if isinstance(station.damper, LinearDamper) else "times the file's"

    return _Unknown(f"{side} damping", unit, read, write)


def _spring_unit(station: Station) -> str:
    return "N/m" if station.spring.rate is not None else "times the file's"


def _spring_rate(station: Station) -> float:
    spring: Spring = station.spring
    return 1.0 if spring.rate is None else spring.rate


UNKNOWNS: Mapping[str, _Unknown] = {
    "rebound_damping": _damping("rebound"),
    "compression_damping": _damping("compression"),
    "friction": _Unknown(
        "seal friction", lambda _: "N", lambda s: s.friction, lambda s, value: replace(s, friction=value)
    ),
    "spring_rate": _Unknown("spring rate", _spring_unit, _spring_rate, _with_spring),
    "sprung_mass": _Unknown(
        "sprung mass", lambda _: "kg", lambda s: s.sprung_mass,
        lambda s, value: replace(s, sprung_mass=value, rider_mass=s.rider_mass * value / s.sprung_mass),
    ),
}  # fmt: skip
"""What can be free, by name."""


@dataclass(frozen=True, kw_only=True, eq=False)
class ReleaseFit:
    """A station fitted to a recorded release.

    Attributes:
        station: with the values found.
        found: name -> value, uncertainty, unit.
        correlation: of the values among each other, in the order of `found`, (p, p).
        time, measured, model: the samples from the let-go on [s] and in the SI unit of the signal, (n,).
        kind: 'position', 'velocity' or 'acceleration' of the body.
        depth: how far the body was held down [m], and `let_go`, when it was let go in the time given [s].
        noise: r.m.s. of what no smooth motion can explain, from neighbouring samples.
        spring_shift: name -> by how much its value would move, were the spring a tenth harder than the file says.
        trace: the simulated release.
        warnings: what the data cannot tell, one sentence each.
    """

    station: Station
    found: Mapping[str, Fitted]
    correlation: Array
    time: Array
    measured: Array
    model: Array
    kind: str
    depth: float
    let_go: float
    noise: float
    spring_shift: Mapping[str, float]
    trace: Trace
    warnings: Sequence[str]

    def __getitem__(self, name: str) -> Fitted:
        return self.found[name]

    @property
    def values(self) -> dict[str, float]:
        """Name -> value, in the unit `found` says."""
        return {name: each.value for name, each in self.found.items()}

    @property
    def uncertainties(self) -> dict[str, float]:
        """Name -> standard deviation."""
        return {name: each.uncertainty for name, each in self.found.items()}

    @property
    def residual(self) -> Array:
        """Measured less model, (n,)."""
        return self.measured - self.model

    @property
    def misfit(self) -> float:
        """R.m.s. of the residual."""
        return float(np.sqrt(np.mean(self.residual**2)))

    @property
    def share(self) -> float:
        """The misfit as a share of the whole motion measured."""
        return self.misfit / float(np.ptp(self.measured))


def fit_release(
    time: ArrayLike,
    position: ArrayLike | None = None,
    station: Station | None = None,
    free: Sequence[str] = ("rebound_damping", "friction"),
    *,
    velocity: ArrayLike | None = None,
    acceleration: ArrayLike | None = None,
    depth: float | None = None,
) -> ReleaseFit:
    """Find what of a station is not as its file says, from a release recorded at the vehicle.

    Least squares over the compiled simulation. When the body was let go, how far it was held down and where the
    signal's zero lies are found along with the rest. Uncertainties come from the residual and the slopes at the best
    values, widened where neighbouring residuals go together (Box, Jenkins, Time Series Analysis, from memory); they
    count noise, not what the model leaves out. No time stopped by hand goes in, so no `Watch` is asked for: the record
    brings its own clock.

    Args:
        time: of the samples, rising [s], (n,); not necessarily even.
        position: of the body, up positive [m], (n,), from any zero; or one of the next two instead.
        station: the vehicle at the clicks and load of the record.
        free: names of `UNKNOWNS`.
        velocity: of the body, up positive [m/s], (n,).
        acceleration: of the body, up positive, without gravity [m/s^2], (n,).
        depth: how far the body was held down, if it was measured [m]; None: found too.

    Raises:
        LabError: a signal that is no release or too short, an unknown name, or nothing free.
    """
    if not isinstance(station, Station):
        raise LabError(f"The station is {shown(station)}, where a Station was expected, as lab.load_station gives.")
    given = {"position": position, "velocity": velocity, "acceleration": acceleration}
    kinds = [kind for kind, values in given.items() if values is not None]
    if len(kinds) != 1:
        raise LabError(f"A fit needs one of {', '.join(SIGNALS)}, but got {len(kinds)} of them; give one.")
    names = _checked_names(free)
    from suspension_lab.workshop.fit_search import search

    t, values = _checked_signal(time, given[kinds[0]], kinds[0])
    if depth is not None:
        positive("release depth", depth, "m")
    return search(t, values, kinds[0], station, names, depth)


def _checked_names(free: Sequence[str]) -> list[str]:
    names = [free] if isinstance(free, str) else list(free)
    if not names:
        raise LabError(f"Nothing is free, so there is nothing to fit; name some of {', '.join(UNKNOWNS)}.")
    for name in names:
        if name not in UNKNOWNS:
            raise LabError(f"{shown(name)} cannot be free in a fit; {nearest_name(str(name), UNKNOWNS)}")
    if len(set(names)) < len(names):
        raise LabError(f"The same name is free twice ({', '.join(names)}); drop the doubled one.")
    return names


def _checked_signal(time: ArrayLike, values: ArrayLike | None, kind: str) -> tuple[Array, Array]:
    assert values is not None
    t, x = array("time of the record", time, "s"), array(f"{kind} of the record", values, "SI")
    if t.size != x.size:
        raise LabError(f"The record has {t.size} times but {x.size} values of {kind}; give a pair for each sample.")
    rising("time of the record", t, "s")
    if t.size < FEWEST or t[-1] - t[0] < SHORTEST:
        raise LabError(
            f"The record has {t.size} samples over {t[-1] - t[0]:.2f} s, where at least {FEWEST} over {SHORTEST:g} s "
            "were expected; record faster or longer."
        )
    if t[-1] - t[0] > LONGEST:
        raise LabError(
            f"The record goes over {t[-1] - t[0]:.3g} s, where at most {LONGEST:g} s were expected; are these "
            "milliseconds?"
        )
    if kind == "position" and float(np.ptp(x)) > WIDEST_MOTION:
        raise LabError(
            f"The position moves by {float(np.ptp(x)):.3g} m, where at most {WIDEST_MOTION:g} m were expected; are "
            "these mm?"
        )
    if float(np.ptp(x)) == 0.0:
        raise LabError(f"The {kind} of the record is the same in every sample; look at the column that was taken.")
    return t, x


def simulated(station: Station, kind: str, depth: float, duration: float) -> tuple[Trace, Array]:
    """The release of a station, and its signal of a kind, (n,)."""
    trace = simulate(station, Release(depth=depth), max(duration, 0.05))
    return trace, np.asarray(getattr(trace, SIGNALS[kind]))


def at_samples(trace: Trace, signal: Array, time: Array, kind: str) -> Array:
    """A simulated signal at sample times from the let-go [s], (n,); before it the body is held.

    An acceleration jumps at the let-go: it is averaged over a sample's own time, as a sensor does, so that it follows
    the let-go's time smoothly.
    """
    if kind != "acceleration":
        held = float(signal[0]) if kind == "position" else 0.0
        return np.asarray(np.interp(time, trace.time, signal, left=held))
    step = trace.time[1]
    whole = np.concatenate([[0.0], np.cumsum(0.5 * (signal[1:] + signal[:-1])) * step])
    half = 0.5 * float(np.median(np.diff(time)))
    last = float(trace.time[-1])

    def until(moment: Array) -> Array:
        beyond = np.maximum(moment - last, 0.0) * signal[-1]
        return np.asarray(np.interp(moment, trace.time, whole, left=0.0) + beyond)

    return np.asarray((until(time + half) - until(time - half)) / (2.0 * half))


def noise_of(values: Array) -> float:
    """R.m.s. of white noise on a smooth signal, from its second differences (6 = 1 + 4 + 1), robustly."""
    second = np.diff(values, 2)
    spread = float(np.median(np.abs(second - np.median(second)))) / 0.6745
    steps = np.diff(np.unique(values))
    quantum = float(steps.min()) if steps.size and math.isfinite(steps.min()) else 0.0
    quantised = quantum / math.sqrt(12.0) if np.unique(values).size < 0.5 * values.size else 0.0
    return max(spread / math.sqrt(6.0), quantised)
