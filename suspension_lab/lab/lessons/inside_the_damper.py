"""Lesson 05: what a click opens, what warm oil and lost gas do."""

from __future__ import annotations

import math

import numpy as np

from suspension_lab.lab.bench import Bench
from suspension_lab.lab.benches import cutaway_bench, warm_up_bench
from suspension_lab.lab.checks import Checks
from suspension_lab.lab.numbers import Numbers
from suspension_lab.lab.predict_first import PredictFirst
from suspension_lab.lab.questions import Question, Truth, Wrong
from suspension_lab.measures.drift import drift_in_clicks
from suspension_lab.simulation.linear import SMALL_SPEED
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper, by_parts
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.vehicle.wear import with_fault
from suspension_lab.workshop.mistakes import Mistake

LESSON = "05_inside_the_damper"
VEHICLE, SINGLE_TUBE = "courier_scooter_rear", "courier_scooter_front"
COLD, WARM = 20, 80
"""[°C]"""
SLOW, FAST = 0.1, 0.5
"""Shaft speeds at which forces are compared [m/s]."""
LOWER_BUMPS = 4
"""Of the track: twice as high as these is still on the bench, and not too hot [mm]."""
REBOUND_ONLY, COMPRESSION_ONLY, BOTH = "the rebound side only", "the compression side only", "both sides"
MORE_OPEN, MORE_CLOSED, NO_OTHER = "more open", "more closed", "as before"
NO_MORE, AS_EVER, STIFFER = "it grows no more", "it grows as ever", "it grows faster"
REBOUND, LOW, HIGH = "rebound", "compression, low speed", "compression, high speed"
THIN_OIL, WORN, LEAK = "near zero speed, on both sides", "past the knee", "nowhere: a line does not show it"


def predict_and_try() -> PredictFirst:
    """Three predictions, and the section in motion."""
    return PredictFirst(LESSON, [_closed_rebound(), _warm_oil(), _lost_gas()], cutaway_bench(VEHICLE))


def check(bench: Bench) -> Checks:
    """What is asked afterwards; the drift is that of the damper on the bench."""
    return Checks(LESSON, [_which_adjuster(), _where_thin_oil_shows(), _drift(bench)])


def numbers() -> Numbers:
    """The numbers in the page's text."""
    made = Numbers()
    station = load_station(VEHICLE)
    cold, warm = at_oil(station, COLD), at_oil(station, WARM)
    made.add(
        f"Rear scooter at its own clicks, oil from {COLD} to {WARM} °C: rebound acts more open by",
        f"{drift_in_clicks(warm, cold):.1f} clicks",
    )
    for speed in (SLOW, FAST):
        before, after = (abs(float(damper.force(-speed))) for damper in (cold, warm))
        made.add(f"There the rebound force at {speed:g} m/s falls by", f"{100 * (1 - after / before):.0f} %")
    open_by_one = _needle_step(cold)
    made.add("A click draws the rebound needle back by", f"{open_by_one:.1f} mm")
    lower, higher = LOWER_BUMPS, 2 * LOWER_BUMPS
    made.add(
        f"Rear scooter, minutes of riding over {lower} and over {higher} mm: heat at the end",
        " and ".join(f"{heat:.0f} W" for heat in heat_over(lower, higher)),
    )
    front = by_parts(with_fault(load_station(SINGLE_TUBE), "lost_gas"))
    made.add(
        "Front scooter, gas lost: the compression force grows no more from", f"{front.cavitation_speeds[1]:.2f} m/s"
    )
    return made


def at_oil(station: Station, celsius: float) -> HydraulicDamper:
    """The damper at an oil temperature [°C]."""
    return by_parts(station.with_oil_temperature(ZERO_CELSIUS + celsius))


def heat_over(*heights: int) -> list[float]:
    """What goes into the damper at the end of the minutes of riding, over bumps of these heights [mm], in W."""
    bench, found = warm_up_bench(VEHICLE), []
    for height in heights:
        bench.set(height=height)
        found.append(float(bench.result.run.power[-1]))
    return found


def _needle_step(damper: HydraulicDamper) -> float:
    """How far a click draws the rebound needle back [mm]."""
    return 1e3 * damper.rebound.needle.lift_per_click


def _closed_rebound() -> Question:
    """Which side of the force line moves when rebound is closed."""

    def truth() -> Truth:
        station = load_station(VEHICLE)
        present = station.clicks.rebound
        assert present is not None
        speeds = np.array([-SLOW, SLOW])
        before, after = (
            np.abs(station.with_clicks(rebound=click).damper.force(speeds)) for click in (present, present - 4)
        )
        moved = np.abs(after / before - 1.0) > 0.01
        right = BOTH if moved.all() else REBOUND_ONLY if moved[0] else COMPRESSION_ONLY
        return Truth(
            right,
            f"at {SLOW:g} m/s the rebound force goes from {before[0]:.0f} to {after[0]:.0f} N, the compression force "
            f"from {before[1]:.0f} to {after[1]:.0f} N. One-way valves keep the two circuits apart.",
        )

    hint = "Each circuit has a one-way valve: think which way the oil flows when the damper gets longer."
    return Question(
        key="closed_rebound", truth=truth, text="Rebound is closed by four clicks. Which side of the force line moves?",
        options={
            REBOUND_ONLY: Wrong(Mistake.ADJUSTER, hint),
            COMPRESSION_ONLY: Wrong(Mistake.ADJUSTER, hint),
            BOTH: Wrong(Mistake.ADJUSTER, hint),
        },
    )  # fmt: skip


def _warm_oil() -> Question:
    """How a damper acts once its oil is warm."""

    def truth() -> Truth:
        station = load_station(VEHICLE)
        drift = drift_in_clicks(at_oil(station, WARM), at_oil(station, COLD))
        right = MORE_OPEN if drift > 0.25 else MORE_CLOSED if drift < -0.25 else NO_OTHER
        return Truth(right, f"rebound acts {abs(drift):.1f} clicks {'more open' if drift > 0 else 'more closed'}.")

    return Question(
        key="warm_oil", truth=truth,
        text=f"The oil warms from {COLD} to {WARM} °C, nobody turns a click. Rebound then acts ...",
        options={
            MORE_OPEN: Wrong(Mistake.DIRECTION, "Does warm oil flow more easily through a gap, or less?"),
            MORE_CLOSED: Wrong(Mistake.CAUSE, "Warm oil is thinner: it flows through the gap more easily."),
            NO_OTHER: Wrong(Mistake.CAUSE, "The needle has not moved, but what flows past it has changed."),
        },
    )  # fmt: skip


def _lost_gas() -> Question:
    """What the compression force does at high shaft speed without gas pressure."""

    def truth() -> Truth:
        damper = by_parts(with_fault(load_station(SINGLE_TUBE), "lost_gas"))
        onset = damper.cavitation_speeds[1]
        slower, faster = (float(damper.force(factor * onset)) for factor in (1.5, 3.0))
        right = NO_MORE if faster < 1.02 * slower else AS_EVER
        return Truth(
            right,
            f"from {onset:.2f} m/s on the oil tears off behind the piston, and the force stays at {faster:.0f} N "
            "however fast the shaft is.",
        )

    return Question(
        key="lost_gas", truth=truth,
        text="The front damper has lost its gas. A sharp edge pushes its shaft in ever faster. What does the "
        "compression force do?",
        options={
            NO_MORE: Wrong(Mistake.CAUSE, "What presses the oil after the piston?"),
            AS_EVER: Wrong(Mistake.CAUSE, "Something has to press the oil after the piston; without it bubbles form."),
            STIFFER: Wrong(Mistake.CAUSE, "Gas is a spring, but a weak one. What else does it do for the oil?"),
        },
    )  # fmt: skip


def _which_adjuster() -> Question:
    """Which adjuster moves the compression line past the knee most."""

    def truth() -> Truth:
        station = load_station(VEHICLE)
        changes = {}
        for answer, name in ((REBOUND, "rebound"), (LOW, "low_speed"), (HIGH, "high_speed")):
            most = station.damper.adjusters[name]
            ends = [float(station.with_clicks(**{name: click}).damper.force(1.0)) for click in (0, most)]
            changes[answer] = ends[0] - ends[1]
        said = ", ".join(f"{answer} {change:.0f} N" for answer, change in changes.items())
        return Truth(
            max(changes, key=lambda answer: changes[answer]),
            f"closed in place of open, the force at 1 m/s in compression grows by: {said}.",
        )

    return Question(
        key="which_adjuster", truth=truth,
        text="The wheel hits a sharp edge, and the shaft is pushed in at 1 m/s. Which adjuster changes the force most "
        "there?",
        options={
            REBOUND: Wrong(Mistake.ADJUSTER, "That one works while the damper gets longer."),
            LOW: Wrong(Mistake.ADJUSTER, "At this speed, is most of the oil still going through the bleed?"),
            HIGH: Wrong(Mistake.ADJUSTER, "Compare both ends of each adjuster on the bench, at the same speed."),
        },
    )  # fmt: skip


def _where_thin_oil_shows() -> Question:
    """Where along the force line warm, thin oil shows."""

    def truth() -> Truth:
        station = load_station(VEHICLE)
        cold, warm = at_oil(station, COLD), at_oil(station, WARM)
        speeds = np.array([SLOW, 1.0])
        lost = [1.0 - warm.force(side * speeds) / cold.force(side * speeds) for side in (-1.0, 1.0)]
        near_zero, past_knee = (all(side[at] > 2.0 * side[1 - at] for side in lost) for at in (0, 1))
        right = THIN_OIL if near_zero else WORN if past_knee else LEAK
        rebound, compression = (
            f"{100 * slow:.0f} % at {SLOW:g} m/s and by {100 * fast:.0f} % at 1 m/s" for slow, fast in lost
        )
        return Truth(
            right,
            f"from {COLD} to {WARM} °C the rebound force falls by {rebound}, the compression force by "
            f"{compression}: in a narrow gap viscosity decides, at the blow-off the oil's mass.",
        )

    return Question(
        key="thin_oil", truth=truth, text="Where along the force line do you look for thin, warm oil?",
        options={
            THIN_OIL: Wrong(Mistake.END, "Compare cold and warm oil on the bench."),
            WORN: Wrong(Mistake.PART, "That is where a worn blow-off shows. Where does viscosity hold the oil back?"),
            LEAK: Wrong(Mistake.CAUSE, "Keep a run with cold oil, warm it, and look at the line again."),
        },
    )  # fmt: skip


def _drift(bench: Bench) -> Question:
    """By how many clicks rebound acts more open at 80 °C, of what stands on the bench."""

    def truth() -> Truth:
        station = bench.station
        drift = drift_in_clicks(at_oil(station, WARM), at_oil(station, COLD))
        if not math.isfinite(drift):
            return Truth(0.0, f"on {station.name} a click changes nothing at these settings.", 0.0)
        return Truth(
            round(drift, 1),
            f"on {station.name} at rebound {station.clicks.rebound} it acts {drift:.1f} clicks more open, at "
            f"{SMALL_SPEED:g} m/s.",
            0.3,
        )

    return Question(
        key="drift", truth=truth, unit="clicks",
        between=lambda: (-bench.station.damper.adjusters["rebound"], bench.station.damper.adjusters["rebound"]),
        text="For the damper and clicks on the bench now, and no fault: by how many clicks does rebound act more open "
        f"with the oil at {WARM} °C than at {COLD} °C?",
    )  # fmt: skip
