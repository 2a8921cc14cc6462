"""A mystery vehicle on the workshop's floor, and how a test is done on it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from suspension_lab.common.errors import LabError
from suspension_lab.measures.free_motion import settling_time, swings
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.mystery_instruments import Instrument, Row
from suspension_lab.workshop.release_test import usual_release

Values = tuple[float, ...]
WARM = ZERO_CELSIUS + 60.0
"""Oil of a damper that was ridden warm [K] (assumed, no source)."""
LATER = 1.0
"""When it is read where a released vehicle has come to [s]; in the model dry friction lets it creep on."""


@dataclass(frozen=True, kw_only=True)
class Standing:
    """A vehicle on the workshop's floor.

    Attributes:
        station: as it is.
        pressure: in its tyre [bar].
        sound: as it ought to be.
        stated: pressure [bar].
    """

    station: Station
    pressure: float
    sound: Station
    stated: float

    @cached_property
    def warm(self) -> Station:
        """As it is after a ride that has warmed the damper."""
        return self.station.with_oil_temperature(WARM)

    @cached_property
    def released(self) -> Values:
        """Seconds until settled, visible swings, way below ride height one second after it was let go [mm]."""
        try:
            trace = simulate(self.station, usual_release(self.station))
        except LabError:
            return math.nan, math.nan, math.nan
        later = trace.body[trace.time <= LATER][-1]
        return settling_time(trace), float(swings(trace)), -1e3 * float(later)


@dataclass(frozen=True, kw_only=True)
class Measuring:
    """How a test is done.

    Attributes:
        instruments: one for each value.
        truth: the values without error; NaN what cannot be done, infinite what did not happen.
        rows: what is written down, of the values read, those of a sound vehicle, and the sound vehicle.
    """

    instruments: tuple[Instrument, ...]
    truth: Callable[[Standing], Values]
    rows: Callable[[Values, Values, Standing], tuple[Row, ...]]
