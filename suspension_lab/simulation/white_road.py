"""A random road whose speed is white, and what a station's swings on it amount to on average."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from suspension_lab.common.checks import Array, positive
from suspension_lab.common.errors import LabError
from suspension_lab.excitation.roads.surfaces import REFERENCE_WAVE_NUMBER
from suspension_lab.simulation.equivalent import force_at_shaft
from suspension_lab.simulation.linear import damping_at_wheel
from suspension_lab.vehicle.station import Station

_SPREAD = np.linspace(-8.0, 8.0, 4001)
_SHARE = np.exp(-0.5 * _SPREAD**2) / np.exp(-0.5 * _SPREAD**2).sum()
"""A Gaussian speed over its standard deviation, and how often it is there."""
LEAST, MOST = 1e-7, 1e2
"""Standard deviations of shaft speed between which a balance is looked for [m/s]."""


@dataclass(frozen=True, kw_only=True)
class RandomResponse:
    """What a random road amounts to; r.m.s. values around the mean.

    Attributes:
        body_acceleration: r.m.s. [m/s^2].
        travel: wheel travel, r.m.s. [m].
        mean_travel: how much deeper than at rest the suspension rides, positive in compression [m].
        tyre_load: variation that the tyre's stiffness gives, r.m.s. [N]; a tyre's damping has no finite share on a
            road whose speed is white.
        shaft_speed: r.m.s. [m/s].
        damping: equivalent, at the wheel [N s/m].
    """

    body_acceleration: float
    travel: float
    mean_travel: float
    tyre_load: float
    shaft_speed: float
    damping: float


def random_response(station: Station, roughness: float, speed: float) -> RandomResponse:
    """What a random road amounts to, with the damping that its own shaft speeds make (statistical linearisation).

    The road has the spectrum Gd(n0) (n / n0)^-2 of ISO 8608 at all wave numbers; the wheel follows each point of it.
    Damper and friction are replaced by c = E[F v] / E[v^2] over a Gaussian speed, whose spread follows from c by
    Lyapunov's equation; both are brought into balance. Stops, free play and a tyre that leaves the road are not in it.

    Args:
        station: around ride height.
        roughness: Gd(n0), one-sided, at n0 = 0.1 cycles/m [m^3]; `roads.ROAD_CLASSES` has those of ISO 8608.
        speed: of the vehicle [m/s].

    Raises:
        LabError: values out of range, or nothing that damps or holds the station.
    """
    from scipy.optimize import brentq

    intensity = road_speed_intensity(roughness, speed)
    ratio = float(station.ratio(station.static_travel))

    def excess(log_spread: float) -> float:
        spread = float(np.exp(log_spread))
        motion = covariance(station, intensity, gaussian_damping(station, spread))
        return ratio * _relative_speed(motion) / spread - 1.0

    low, high = float(np.log(LEAST)), float(np.log(MOST))
    if excess(low) <= 0.0 or excess(high) >= 0.0:
        raise LabError(
            f"No shaft speed from {LEAST:g} to {MOST:g} m/s balances the damping of {station.name} on a roughness of "
            f"{roughness:g} m^3; check roughness and damper."
        )
    spread = float(np.exp(brentq(excess, low, high, xtol=1e-12)))
    damping = gaussian_damping(station, spread)
    mean = ratio * float(_SHARE @ force_at_shaft(station, spread * _SPREAD))
    return _response(station, covariance(station, intensity, damping), damping, -mean / station.wheel_rate)


def linear_random_response(station: Station, roughness: float, speed: float) -> RandomResponse:
    """The same with the damping of small motions, whatever the shaft speed.

    Args:
        station: around ride height.
        roughness: Gd(n0) as in `random_response` [m^3].
        speed: of the vehicle [m/s].

    Raises:
        LabError: values out of range, or nothing that damps or holds the station.
    """
    damping = damping_at_wheel(station)
    return _response(station, covariance(station, road_speed_intensity(roughness, speed), damping), damping, 0.0)


def road_speed_intensity(roughness: float, speed: float) -> float:
    """Intensity W of the road's white speed, E[w(t) w(s)] = W delta(t - s), 2 pi^2 n0^2 Gd(n0) V [m^2/s].

    Half of the one-sided spectrum of the road's speed, (2 pi n0)^2 Gd(n0) V, for Gd is one-sided (ISO 8608).

    Args:
        roughness: Gd(n0), one-sided [m^3].
        speed: of the vehicle [m/s].

    Raises:
        LabError: a value that is not finite or not above zero.
    """
    positive("roughness", roughness, "m^3")
    positive("speed", speed, "m/s")
    return 2.0 * np.pi**2 * REFERENCE_WAVE_NUMBER**2 * roughness * speed


def gaussian_damping(station: Station, spread: float) -> float:
    """E[F v] / E[v^2] at the wheel [N s/m] of damper and friction under a Gaussian shaft speed.

    Closed forms: c for a linear damper, sqrt(2 / pi) F / sigma for dry friction, 2 sqrt(2 / pi) a sigma for a force
    a v^2 (textbooks on random vibration).

    Args:
        station: at its present clicks, around ride height.
        spread: standard deviation sigma of the shaft speed [m/s].

    Raises:
        LabError: a spread that is not finite or not above zero.
    """
    force = force_at_shaft(station, positive("standard deviation of shaft speed", spread, "m/s") * _SPREAD)
    return float(_SHARE @ (force * _SPREAD)) / spread * float(station.ratio(station.static_travel)) ** 2


def covariance(station: Station, intensity: float, damping: float) -> Array:
    """Covariances (4, 4) of travel and tyre squash [m], body and wheel speed [m/s], from Lyapunov's equation.

    Args:
        station: around ride height.
        intensity: of the road's white speed [m^2/s].
        damping: at the wheel [N s/m].

    Raises:
        LabError: nothing that damps or holds the station.
    """
    from scipy.linalg import solve_continuous_lyapunov

    k, kt, ct = station.wheel_rate, station.tyre.stiffness, station.tyre.damping
    ms, mu = station.sprung_mass, station.unsprung_mass
    if damping <= 0.0 or k <= 0.0:
        raise LabError(
            f"{station.name} has {'no damping' if k > 0.0 else 'no spring that holds it up'} at ride height and would "
            "swing without bounds on a random road; check its damper and spring."
        )
    a = np.array([
        [0.0, 0.0, -1.0, 1.0],
        [0.0, 0.0, 0.0, -1.0],
        [k / ms, 0.0, -damping / ms, damping / ms],
        [-k / mu, kt / mu, damping / mu, -(damping + ct) / mu],
    ])  # fmt: skip
    road = np.array([0.0, 1.0, 0.0, ct / mu])
    return np.asarray(solve_continuous_lyapunov(a, -intensity * np.outer(road, road)), dtype=np.float64)


def _relative_speed(motion: Array) -> float:
    """Standard deviation of wheel speed less body speed [m/s]."""
    return float(np.sqrt(motion[2, 2] + motion[3, 3] - 2.0 * motion[2, 3]))


def _response(station: Station, motion: Array, damping: float, mean_travel: float) -> RandomResponse:
    on_body = np.array([station.wheel_rate, 0.0, -damping, damping]) / station.sprung_mass
    return RandomResponse(
        body_acceleration=float(np.sqrt(on_body @ motion @ on_body)),
        travel=float(np.sqrt(motion[0, 0])),
        mean_travel=mean_travel,
        tyre_load=float(station.tyre.stiffness * np.sqrt(motion[1, 1])),
        shaft_speed=float(station.ratio(station.static_travel)) * _relative_speed(motion),
        damping=damping,
    )
