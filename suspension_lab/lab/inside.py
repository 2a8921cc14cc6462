"""The trial that looks into the damper: its section in motion, who carries the oil, and the pressures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError
from suspension_lab.excitation import roads
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.excitation.hand import Push, Release
from suspension_lab.excitation.road import Ride
from suspension_lab.lab.cutaway import Cutaway
from suspension_lab.lab.inside_panels import PressurePanel, SplitPanel
from suspension_lab.lab.pictures import stacked
from suspension_lab.lab.trial import Choice, Setting, Trial
from suspension_lab.measures.inside import BAR, inside_summary, pressures
from suspension_lab.measures.measure import Measure
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper, by_parts
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.valves import SetCircuit
from suspension_lab.vehicle.wear import FAULTS, with_fault
from suspension_lab.workshop.cautions import STANDING_TEST
from suspension_lab.workshop.reading import compare_runs
from suspension_lab.workshop.reading_damper import read_inside

SOUND = "sound"
TESTS: dict[str, Excitation] = {
    "push": Push(peak_force=400.0, rise_time=0.08, hold_time=0.2),
    "release": Release(depth=0.035),
    "pothole": Ride(roads.pothole(run_in=1.0, run_out=6.0), 25.0 / 3.6),
}
SECONDS = 1.0
"""Length of the run: after that all three have calmed down."""
EVERY = 4
"""Of the run's milliseconds one in so many is handed to the section."""


class InsidePicture:
    """Damper force shared out between the ways of the oil, above the pressures on both sides of the piston."""

    narrowest, widest = 315, 720
    height = 640

    def __init__(self) -> None:
        self.split, self.pressure = SplitPanel(), PressurePanel()
        self.resize(420)

    def resize(self, width: int, pixel_ratio: float = 1.0) -> None:
        """Fit another width [screen pixels]; the next drawing is a whole one."""
        self.upper = self.height * 55 // 100
        self.split.resize(width, self.upper, pixel_ratio)
        self.pressure.resize(width, self.height - self.upper, pixel_ratio)

    def png(self, run: Trace, kept: Trace | None = None) -> bytes:
        """The picture of a run as PNG."""
        return stacked([self.split.draw(run, kept), self.pressure.draw(run, kept)])


@dataclass(kw_only=True)
class InsideTrial(Trial):
    """A push, a release or a pothole, seen from inside the damper."""

    picture: InsidePicture = field(default_factory=InsidePicture)
    player: Cutaway = field(default_factory=Cutaway)
    cautions: Sequence[str] = STANDING_TEST
    settings: Mapping[str, Setting] = field(
        default_factory=lambda: {"oil": Setting(label="Oil temperature", unit="°C", low=-10, high=140, value=20)}
    )
    choices: Mapping[str, Choice] = field(
        default_factory=lambda: {
            "test": Choice(
                label="What is done",
                options={"Quick push": "push", "Held down and let go": "release", "Pothole at 25 km/h": "pothole"},
            ),
            "fault": Choice(
                label="Wear or fault",
                options={"None: it is sound": SOUND, **{_named(fault): fault for fault in FAULTS}},
            ),
        }
    )

    def __post_init__(self) -> None:
        self._faults: WeakKeyDictionary[Trace, str] = WeakKeyDictionary()

    def suits(self, station: Station) -> bool:
        """Whether its damper is described by its parts."""
        return isinstance(station.damper, HydraulicDamper)

    def run(self, station: Station, now: Mapping[str, Any]) -> Trace:
        """Simulate, with the oil's temperature and the fault asked for."""
        by_parts(station)
        if now["test"] == "pothole" and station.wheel_radius is None:
            raise LabError(f"{station.name} has no wheel to drive with; choose the push or the release.")
        station = station.with_oil_temperature(ZERO_CELSIUS + now["oil"])
        if now["fault"] != SOUND:
            station = with_fault(station, now["fault"])
        run = simulate(station, TESTS[now["test"]], SECONDS)
        self._faults[run] = now["fault"]
        return run

    def title(self, run: Trace) -> str:
        """Oil temperature and fault."""
        oil = f"oil {by_parts(run.station).oil_temperature - ZERO_CELSIUS:.0f} °C"
        return oil if self._faults[run] == SOUND else f"{oil}, {_named(self._faults[run]).lower()}"

    def words(self, run: Trace) -> list[str]:
        """What the inside shows; first what is wrong with it."""
        fault = self._faults[run]
        return [*([] if fault == SOUND else [FAULTS[fault]]), *read_inside(run)]

    def compared(self, run: Trace, kept: Trace) -> list[str]:
        """What has changed inside."""
        return compare_runs(run, kept, inside_summary)

    def measures(self, run: Trace) -> Sequence[Measure]:
        """Numbers of the inside."""
        return inside_summary(run)

    def show(self, run: Trace, kept: Trace | None) -> None:
        """Hand the run to the section; it has no place for a kept one."""
        signals = signals_of(run)
        with self.player.hold_sync():
            self.player.geometry = geometry_of(run)
            self.player.columns = list(signals)
            self.player.signals = np.column_stack(list(signals.values())).astype("<f4").tobytes()
            self.player.step = EVERY * float(run.time[1])
            self.player.alt = "Section of the damper in motion. " + " ".join(read_inside(run))
            self.player.serial += 1

    def marks(self, run: Trace) -> list[dict[str, Any]]:
        """The present moment on the force, and on both pressures."""
        upper = self.picture.upper / self.picture.height
        marks = []
        for panel, top, height, column, unit, look in (
            (self.picture.split, 0.0, upper, "force", 1.0, "round"),
            (self.picture.pressure, upper, 1.0 - upper, "compression_pressure", BAR, "round"),
            (self.picture.pressure, upper, 1.0 - upper, "rebound_pressure", BAR, "square"),
        ):
            box, frame = panel.place()
            marks.append(
                {
                    "box": [box[0], top + height * box[1], box[2], height * box[3]],
                    "x": list(frame.x), "y": list(frame.y), "columns": ["speed", column], "unit": unit, "look": look,
                }
            )  # fmt: skip
        return marks


def _named(fault: str) -> str:
    return fault.replace("blow_off", "blow-off").replace("_", " ").capitalize()


def signals_of(run: Trace) -> dict[str, Array]:
    """Name -> what the section plays, (n,) each, one in `EVERY` samples; as `Cutaway.columns`."""
    damper, sides, station = by_parts(run.station), pressures(run), run.station
    travel, speed = station.shaft_travel(run.wheel_travel[::EVERY]), run.shaft_speed[::EVERY]
    at_work = (np.where(run.idle, 0.0, 1.0) * np.ones_like(run.time))[::EVERY]
    flows, lifts = damper.flows(speed), damper.lifts(speed)
    onset = damper.cavitation_speeds
    found = {
        "travel": travel,
        "speed": speed,
        "force": run.damper_force[::EVERY],
        "compression_pressure": sides.compression_side[::EVERY],
        "rebound_pressure": sides.rebound_side[::EVERY],
        "gas_pressure": sides.gas[::EVERY],
        "gas_volume_share": _gas_share(damper, travel),
        **{f"{side}_{way}": at_work * flow for side, own in zip(("rebound", "compression"), flows, strict=True)
           for way, flow in own._asdict().items()},
        **{f"{side}_lift": at_work * lift for side, lift in zip(("rebound", "compression"), lifts, strict=True)},
        "cavitation_rebound_side": at_work * (speed > onset[1]),
        "cavitation_compression_side": at_work * (speed < onset[0]),
        "idle": 1.0 - at_work,
    }  # fmt: skip
    return found


def _gas_share(damper: HydraulicDamper, travel: Array) -> Array:
    whole = float(damper.gas_volume(0.0))
    return damper.gas_volume(travel) / whole if whole > 0.0 else np.ones_like(travel)


def geometry_of(run: Trace) -> dict[str, Any]:
    """The parts to draw, as `Cutaway.geometry`."""
    damper, station = by_parts(run.station), run.station
    stroke = float(station.shaft_travel(station.travel or 2.0 * station.static_travel))
    gas = damper.gas.volume if damper.gas else 0.1 * damper.piston_area * stroke
    room = damper.piston_area * (stroke + gas / damper.piston_area)
    if damper.reservoir:
        room = 0.25 * np.pi * damper.reservoir.diameter**2 * damper.reservoir.length
    return {
        "piston_diameter": damper.piston_diameter,
        "rod_diameter": damper.rod_diameter,
        "stroke": stroke,
        "compression_at": damper.compression_at,
        "reservoir": damper.reservoir is not None,
        "rebound": _circuit(damper.circuits[0], damper.adjusters.get("rebound", 0)),
        "compression": _circuit(damper.circuits[1], damper.adjusters.get("low_speed", 0)),
        "gas_height_share": float(min(gas / room, 0.9)),
        "rebound_words": _clicks(damper, "rebound"),
        "compression_words": _clicks(damper, "low_speed"),
        "blow_off_words": _clicks(damper, "high_speed") if "high_speed" in damper.adjusters else "",
        "vapour_pressure": damper.oil.vapour_pressure,
    }


def _circuit(circuit: SetCircuit, most: int) -> dict[str, float]:
    needle, blow_off = circuit.circuit.needle, circuit.circuit.blow_off
    return {
        "gap": needle.gap(circuit.clicks),
        "gap_open": needle.gap(most),
        "seat_diameter": needle.seat_diameter,
        "lift_most": blow_off.most_lift if blow_off else 0.0,
    }


def _clicks(damper: HydraulicDamper, adjuster: str) -> str:
    return f"{damper.clicks[adjuster]} clicks out" if adjuster in damper.clicks else "fixed"
