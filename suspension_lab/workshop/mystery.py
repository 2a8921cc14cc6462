"""Mystery vehicles: a demo vehicle with one hidden fault or setting, drawn by a number.

Which faults there are, how far each goes and how often it comes are our choice; what it does follows from the parts.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from suspension_lab.common.checks import whole
from suspension_lab.common.errors import LabError
from suspension_lab.vehicle.gas import ATMOSPHERE
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper, by_parts
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import demo_vehicles, load_station
from suspension_lab.workshop.release_test import Verdict, from_to, passing, rebound_verdicts, verdict_on

NOTHING = "nothing"
CAUSES = {
    "soft_tyre": "the tyre is soft",
    "wrong_spring": "the spring does not suit the load",
    "lost_gas": "the damper has lost its gas",
    "sticky_seal": "a seal of the damper sticks",
    "soft_rebound": "rebound is set too soft",
    "closed_low_speed": "low-speed compression is closed",
    NOTHING: "nothing is wrong",
}
"""What can be diagnosed -> in words; every vehicle has one of them but the last."""
LARGEST_NUMBER = 999_999
LOADS = (0.9, 0.95, 1.0, 1.05, 1.1)
"""The load, as a share of the one in the vehicle's file (our choice)."""
SOFT_TYRE = (0.5, 0.75)
"""Pressure left, as a share of the stated one; the tyre's stiffness goes with it, as an inflated membrane's does."""
TOO_SOFT, TOO_HARD = (0.65, 0.8), (1.2, 1.35)
"""Rate of the wrong spring over that of the right one."""
GAS_LEFT = (0.0, 0.15)
"""Gauge pressure left in the damper, as a share of what was filled in."""
STICKS = (4.0, 6.0)
"""The sticky seal rubs so many times as much."""
MORE_OPEN = 2
"""Rebound is set too soft by at least so many clicks beyond the last that passes the release test."""
NEARLY_CLOSED = 2
"""Low-speed compression stands at most so many clicks out from closed."""
STATED_PRESSURE = {"courier_scooter_front": 2.0, "courier_scooter_rear": 2.4, "delivery_van_corner": 3.0,
                   "trail_bike_rear": 1.5}  # fmt: skip
USUAL_PRESSURE = 2.2
"""Stated tyre pressures, as a gauge reads them [bar]: invented, as the vehicles are."""


@dataclass(frozen=True, kw_only=True)
class MysteryVehicle:
    """A vehicle that was brought in: what its sheet says, and, out of sight, how it is.

    Attributes:
        seed: its number.
        vehicle: name of the demo vehicle.
        load: rider and load on this wheel [kg].
        sound: the station as it ought to be: as its file says, at the load, at the clicks of its sheet.
        stated_pressure: of the tyre [bar].
        station: as it stands there (not to be looked at by who plays).
        pressure: in its tyre [bar] (likewise).
        fault: a key of `CAUSES` (likewise).
    """

    seed: int
    vehicle: str
    load: float
    sound: Station
    stated_pressure: float
    station: Station = field(repr=False)
    pressure: float = field(repr=False)
    fault: str = field(repr=False)

    @property
    def card(self) -> tuple[tuple[str, str], ...]:
        """What the vehicle's sheet says: names and texts."""
        passes = from_to(passing(verdicts_of(self.vehicle, self.load)))
        return (
            ("Vehicle", f"{self.sound.name} (invented)"),
            ("Rider and load on this wheel", f"{self.load:.0f} kg"),
            ("Clicks by its sheet, out from closed", str(self.sound.clicks)),
            ("Rebound that passes the release test when sound", passes),
            ("Stated tyre pressure, cold", f"{self.stated_pressure:.1f} bar"),
        )


@lru_cache(maxsize=4096)
def mystery(seed: int) -> MysteryVehicle:
    """The vehicle of a number: the same number gives the same vehicle.

    Args:
        seed: a whole number from 0 to `LARGEST_NUMBER`.

    Raises:
        LabError: not such a number.
    """
    vehicle, load, fault, share = _drawn(whole("The vehicle's number", seed, low=0, high=LARGEST_NUMBER))
    sound, stated = sound_station(vehicle, load), stated_pressure(vehicle)
    pressure = stated * _between(SOFT_TYRE, share) if fault == "soft_tyre" else stated
    return MysteryVehicle(
        seed=seed, vehicle=vehicle, load=load, sound=sound, stated_pressure=stated, pressure=pressure, fault=fault,
        station=_MAKE[fault](sound, share, passing(verdicts_of(vehicle, load))),
    )  # fmt: skip


def _drawn(seed: int) -> tuple[str, float, str, float]:
    """Vehicle, load [kg], fault and how far it goes, 0 to 1."""
    rng = np.random.default_rng([seed, 0])
    names = suitable_vehicles()
    vehicle = names[int(rng.integers(len(names)))]
    load = float(round(float(rng.choice(LOADS)) * _by_its_file(vehicle).rider_mass))
    fault = tuple(_MAKE)[int(rng.integers(len(_MAKE)))]
    return vehicle, load, fault, float(rng.random())


def one_of_each_fault(seed: int) -> tuple[MysteryVehicle, ...]:
    """Of the kind and load of a vehicle, the first with each fault, counted from number 1.

    Args:
        seed: its number.

    Raises:
        LabError: not such a number.
    """
    like = mystery(seed)
    found: dict[str, int] = {}
    for number in range(1, LARGEST_NUMBER + 1):
        vehicle, load, fault, _ = _drawn(number)
        # The others are not made: the release test at every rebound of every kind and load would take seconds.
        if (vehicle, load) == (like.vehicle, like.load):
            found.setdefault(fault, number)
        if len(found) == len(_MAKE):
            break
    return tuple(mystery(found[fault]) for fault in _MAKE if fault in found)


@lru_cache(maxsize=1)
def suitable_vehicles() -> tuple[str, ...]:
    """Names of the demo vehicles with a wheel, seals that rub, and a damper by its parts that can have every fault."""
    return tuple(name for name in demo_vehicles() if _suits(_by_its_file(name)))


def _suits(station: Station) -> bool:
    damper = station.damper
    by_its_parts = isinstance(damper, HydraulicDamper) and damper.gas is not None
    sets = {"rebound", "low_speed"} <= set(damper.adjusters)
    return by_its_parts and sets and station.wheel_radius is not None and station.friction > 0.0 and (
        station.spring.rate is not None and station.rider_mass > 0.0
    )  # fmt: skip


def stated_pressure(vehicle: str) -> float:
    """The pressure that is stated for a demo vehicle's tyre, cold [bar]."""
    return STATED_PRESSURE.get(vehicle, USUAL_PRESSURE)


@lru_cache(maxsize=64)
def sound_station(vehicle: str, load: float) -> Station:
    """A demo vehicle as it ought to be: its file's clicks, with rebound where it passes the release test at the load.

    Args:
        vehicle: its name.
        load: rider and load [kg].

    Raises:
        LabError: no such vehicle, or no rebound that passes.
    """
    station, own = _loaded(vehicle, load), _by_its_file(vehicle).clicks["rebound"]
    for click in sorted(passing(verdicts_of(vehicle, load)), key=lambda click: abs(click - own)):
        made = station.with_clicks(rebound=click)
        # Side by side, verdicts on the edge may come out otherwise than in a run of its own: sound is what passes both.
        if verdict_on(made) is Verdict.PASSES:
            return made
    raise LabError(f"No rebound of {station.name} passes the release test with {load:g} kg, so none is sound.")


@lru_cache(maxsize=64)
def verdicts_of(vehicle: str, load: float) -> dict[int, Verdict]:
    """What the release test says of every rebound click of the sound vehicle.

    Args:
        vehicle: name of a demo vehicle.
        load: rider and load [kg].
    """
    return rebound_verdicts(_loaded(vehicle, load))


@lru_cache(maxsize=64)
def _by_its_file(vehicle: str) -> Station:
    return load_station(vehicle)


@lru_cache(maxsize=64)
def _loaded(vehicle: str, load: float) -> Station:
    return _by_its_file(vehicle).with_rider(load)


def _between(ends: tuple[float, float], share: float) -> float:
    return ends[0] + share * (ends[1] - ends[0])


def _soft_tyre(sound: Station, share: float, _: list[int]) -> Station:
    return replace(sound, tyre=replace(sound.tyre, stiffness=_between(SOFT_TYRE, share) * sound.tyre.stiffness))


def _wrong_spring(sound: Station, share: float, _: list[int]) -> Station:
    factor = _between(TOO_SOFT, 2.0 * share) if share < 0.5 else _between(TOO_HARD, 2.0 * share - 1.0)
    assert sound.spring.rate is not None
    return replace(sound, spring=replace(sound.spring, rate=factor * sound.spring.rate))


def _lost_gas(sound: Station, share: float, _: list[int]) -> Station:
    damper = by_parts(sound)
    assert damper.gas is not None
    left = ATMOSPHERE + _between(GAS_LEFT, share) * (damper.gas.pressure - ATMOSPHERE)
    return replace(sound, damper=replace(damper, gas=replace(damper.gas, pressure=left)))


def _sticky_seal(sound: Station, share: float, _: list[int]) -> Station:
    return replace(sound, friction=_between(STICKS, share) * sound.friction)


def _soft_rebound(sound: Station, share: float, passes: list[int]) -> Station:
    most = sound.damper.adjusters["rebound"]
    first = min(passes[-1] + MORE_OPEN, most)
    return sound.with_clicks(rebound=first + int(share * (most - first + 1)))


def _closed_low_speed(sound: Station, share: float, _: list[int]) -> Station:
    return sound.with_clicks(low_speed=int(share * (NEARLY_CLOSED + 1)))


_MAKE: dict[str, Callable[[Station, float, list[int]], Station]] = {
    "soft_tyre": _soft_tyre,
    "wrong_spring": _wrong_spring,
    "lost_gas": _lost_gas,
    "sticky_seal": _sticky_seal,
    "soft_rebound": _soft_rebound,
    "closed_low_speed": _closed_low_speed,
}
