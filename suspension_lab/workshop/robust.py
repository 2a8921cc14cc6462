"""Settings that hold up: a map of clicks with what a workshop does not know varied."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, fields, replace

from suspension_lab.common.checks import Array, number, whole
from suspension_lab.common.errors import LabError, shown
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.vehicle.oil import COLDEST, HOTTEST, ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.click_map import ClickMap
from suspension_lab.workshop.mapping import USUAL_MEASURES, Progress, Stop, make_map
from suspension_lab.workshop.plan import (
    Case,
    Measured,
    Plan,
    as_excitations,
    as_measures,
    checked_axes,
    checked_station,
    different,
    name_of,
)

Range = tuple[float, float]
MOST_CONDITIONS = 1024


@dataclass(frozen=True, kw_only=True)
class Spread:
    """What is not the same from ride to ride, each from and to; None: it stays as it is.

    Attributes:
        rider: mass of rider and load on this wheel [kg].
        tyre_pressure: as a share of the usual one. The tyre's stiffness goes with it in proportion, as an inflated
            membrane's does (its carcass, which is left out, would make it change less).
        oil_temperature: of a damper described by its parts [K].
        friction: of the seals, as a share of the usual one.

    Raises:
        LabError: a range that is not two numbers from low to high, or out of what can be.
    """

    rider: Range | None = None
    tyre_pressure: Range | None = (0.85, 1.15)
    oil_temperature: Range | None = None
    friction: Range | None = (0.5, 2.0)

    def __post_init__(self) -> None:
        reach = {
            "rider": ("rider and load", "kg", 0.0, 5000.0),
            "tyre_pressure": ("tyre pressure", "of the usual", 0.2, 3.0),
            "oil_temperature": ("oil temperature", "K", COLDEST, HOTTEST),
            "friction": ("seal friction", "of the usual", 0.0, 20.0),
        }
        for name, (label, unit, least, most) in reach.items():
            given = getattr(self, name)
            if given is None:
                continue
            if not isinstance(given, tuple | list) or len(given) != 2:
                raise LabError(f"The spread of {label} is {given!r}, where two numbers, from and to, were expected.")
            low, high = (number(f"the spread of {label}", end, unit, low=least, high=most) for end in given)
            if low > high:
                raise LabError(f"The spread of {label} goes from {low:g} down to {high:g} {unit}; swap the two.")
            object.__setattr__(self, name, (low, high))
        if not self.varied:
            raise LabError(
                "This spread varies nothing; give a range for rider, tyre pressure, oil temperature or friction."
            )

    @property
    def varied(self) -> list[str]:
        """Names of what is varied."""
        return [field.name for field in fields(self) if getattr(self, field.name) is not None]

    def at(self, station: Station, shares: Array) -> tuple[str, Station]:
        """One condition: its name and the station in it.

        Args:
            station: in the usual condition.
            shares: how far along each range, 0 to 1, in the order of `varied`.

        Raises:
            LabError: a damper without oil of its own whose oil temperature is varied.
        """
        value = {
            name: low + share * (high - low)
            for name, share, (low, high) in zip(
                self.varied, shares.tolist(), (getattr(self, name) for name in self.varied), strict=True
            )
        }
        words = []
        if "rider" in value:
            station = station.with_rider(value["rider"])
            words.append(f"load {value['rider']:.0f} kg")
        if "tyre_pressure" in value:
            tyre = replace(station.tyre, stiffness=value["tyre_pressure"] * station.tyre.stiffness)
            station = replace(station, tyre=tyre)
            words.append(f"tyre pressure {100 * value['tyre_pressure']:.0f} %")
        if "oil_temperature" in value:
            station = station.with_oil_temperature(value["oil_temperature"])
            words.append(f"oil {value['oil_temperature'] - ZERO_CELSIUS:.0f} °C")
        if "friction" in value:
            station = replace(station, friction=value["friction"] * station.friction)
            words.append(f"friction {100 * value['friction']:.0f} %")
        return ", ".join(words), station


def conditions(station: Station, spread: Spread, samples: int = 16, seed: int = 0) -> list[tuple[str, Station]]:
    """Conditions spread evenly over all ranges at once: a scrambled Sobol sequence.

    Args:
        station: in the usual condition.
        spread: what is varied.
        samples: how many; a power of two fills the ranges most evenly.
        seed: the same seed gives the same conditions.

    Raises:
        LabError: a number of samples that is not whole or out of range, or a spread that does not suit the station.
    """
    from scipy.stats import qmc

    checked_station(station)
    if not isinstance(spread, Spread):
        raise LabError(f"The spread is {shown(spread)}, where a Spread was expected, as lab.Spread(rider=(40, 80)).")
    whole("seed of the spread", seed, low=0, high=2**32 - 1)
    whole("samples of the spread", samples, low=2, high=MOST_CONDITIONS)
    sampler = qmc.Sobol(d=len(spread.varied), seed=seed)
    shares = sampler.random_base2((samples - 1).bit_length())[:samples]
    return [spread.at(station, row) for row in shares]


def robust_map(
    station: Station,
    excitation: Excitation | Sequence[Excitation],
    spread: Spread,
    *,
    rebound: Sequence[int] | None = None,
    low_speed: Sequence[int] | None = None,
    high_speed: Sequence[int] | None = None,
    measures: Sequence[Measured] = USUAL_MEASURES,
    samples: int = 16,
    seed: int = 0,
    duration: float | None = None,
    step: float | None = None,
    executor: Executor | None = None,
    progress: Callable[[Progress], None] | None = None,
    stop: Stop | None = None,
    large: bool = False,
) -> ClickMap:
    """A map of clicks over many conditions, to find the setting that holds up in all of them.

    Each case of the map is a ride in one condition: `map.best(measure, "worst")` is the setting whose worst case is
    best, `map.valley(measure, 0.05, "worst")` how far from it each adjuster may stand.

    Args:
        station, excitation, rebound, low_speed, high_speed, measures: as `click_map`.
        spread: what is varied, and from where to where.
        samples, seed: as `conditions`.
        duration, step, executor, progress, stop, large: as `click_map`.

    Raises:
        LabError: as `click_map` and `conditions`.
    """
    excitations = as_excitations(excitation)
    found = conditions(station, spread, samples, seed)
    cases = [(f"{name_of(each)}; {words}", varied, each) for each in excitations for words, varied in found]
    names = different([name for name, _, _ in cases])
    plan = Plan(
        cases=[Case(name, varied, each) for name, (_, varied, each) in zip(names, cases, strict=True)],
        clicks=checked_axes(station, {"rebound": rebound, "low_speed": low_speed, "high_speed": high_speed}),
        measures=as_measures(measures), duration=duration, step=step,
    )  # fmt: skip
    return make_map(plan, executor=executor, progress=progress, stop=stop, large=large)
