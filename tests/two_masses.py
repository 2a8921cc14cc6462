"""A linear station for tests, its matrices written down a second time, and a start from any state."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

import suspension_lab as lab
from suspension_lab.excitation.excitation import LEVEL, Path, State


def linear_station(*, sprung, unsprung, spring, damping, tyre, tyre_damping=0.0, **more):
    """A two-mass station without stops whose tyre holds on to the road: the linear model of the textbooks."""
    return lab.Station(
        name="linear",
        sprung_mass=sprung,
        unsprung_mass=unsprung,
        spring=lab.Spring(rate=spring),
        damper=lab.LinearDamper(rebound=damping, compression=damping),
        tyre=lab.Tyre(stiffness=tyre, damping=tyre_damping, can_leave_road=False),
        **more,
    )


def one_mass(*, mass, spring, damping=0.0, damper=None, **more):
    """A station that is a single mass on spring and damper: its tyre is as good as rigid.

    The tyre of 1e9 N/m gives way by spring / 1e9 of the motion, so that rates are right to half of that (5e-6 for
    10 kN/m). The heavy wheel keeps its own rate, sqrt(1e9 / 100) = 3162 1/s, slow enough for steps of 0.3 ms.
    """
    return lab.Station(
        name="one mass",
        sprung_mass=mass,
        unsprung_mass=100.0,
        spring=lab.Spring(rate=spring),
        damper=damper or lab.LinearDamper(rebound=damping, compression=damping),
        tyre=lab.Tyre(stiffness=1e9, can_leave_road=False),
        **more,
    )


def matrices(station, damping):
    """A, B with dx/dt = A x + B road for x = body, wheel, body speed, wheel speed - (tyre damping / mass) road.

    The shift of the last state takes the road's speed out of the equations, so that a road of straight pieces is an
    input of straight pieces. Output C x + D road is the state itself, unshifted.
    """
    ms, mu = station.sprung_mass, station.unsprung_mass
    k, kt, ct = station.spring.rate, station.tyre.stiffness, station.tyre.damping
    a = np.array(
        [
            [0, 0, 1, 0],
            [0, 0, 0, 1],
            [-k / ms, k / ms, -damping / ms, damping / ms],
            [k / mu, -(k + kt) / mu, damping / mu, -(damping + ct) / mu],
        ]
    )
    shift = np.array([0, 0, 0, ct / mu])
    b = np.array([0, 0, 0, kt / mu]) + a @ shift
    return a, b[:, None], np.eye(4), shift[:, None]


@dataclass(frozen=True)
class From:
    """Let go from any state, on level road at any height over any time, with any force on the body."""

    state: State = field(default=State())
    road: Path = field(default=LEVEL)
    force: Path = field(default=LEVEL)

    def start(self, station):
        return self.state

    def road_path(self, station):
        return self.road

    def force_path(self, station):
        return self.force

    def free_from(self):
        return 0.0

    def usual_duration(self, station):
        return 2.0


def level_at(height):
    """A road that has stood at this height all along."""
    return Path(time=np.array([0.0, 1.0]), value=np.array([height, height]))
