"""What each test of a mystery vehicle finds, from the simulation, and how the workshop writes it down."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from suspension_lab.common.checks import GRAVITY
from suspension_lab.excitation.hand import Push
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.hydraulic_damper import by_parts
from suspension_lab.workshop.mystery_instruments import (
    BALANCE,
    COUNT,
    EYE,
    FEEL,
    GAUGE,
    STOPWATCH,
    TAPE,
    Instrument,
    Row,
    numbers,
    words,
)
from suspension_lab.workshop.mystery_rides import over_a_pothole, over_a_washboard, pothole_rows, washboard_rows
from suspension_lab.workshop.mystery_standing import Measuring, Standing, Values
from suspension_lab.workshop.release_test import target_time

PUSH_SHARE, PUSH_RISE, PUSH_HOLD = 0.25, 0.1, 0.1
"""The quick push: its force as a share of the weight on the spring, its rise and how long it is held [s] (our choice).
"""
STANDS_OFF = 10.0
"""An eye sees that a vehicle stands too low or too high from here [mm] (our choice)."""
OVER, NODES = 0.03, 3001
"""How far beyond the travel it is looked where a station rests [m], and at how many places: tenths of a millimetre lie
between them, and straight lines."""
LOOKS_SOFT = 0.7
"""Below this share of its pressure a tyre looks soft (our choice)."""
FREE, RIDER, DIFFERENCE, GAP = "Free sag", "Rider sag", "Rider sag less free sag", "Gap between let down and let up"
SECONDS, SWINGS, RESTS = "Settled after", "Visible swings", "Below ride height one second after"
PUSHED = "Pushed down by"
PRESSURE = "Tyre pressure"
GAS, COMES_OUT = "Gas force, mean of the two", "Comes back out by itself"
NO_RELEASE = "cannot be done: no room above its bump stop"


def _release_rows(read: Values, sound: Values, _: Standing) -> tuple[Row, ...]:
    never = NO_RELEASE if math.isnan(read[0]) else "not within the test"
    return (
        numbers(SWINGS, read[1], sound[1], COUNT, never=never),
        numbers(SECONDS, read[0], sound[0], STOPWATCH, never=never),
        numbers(RESTS, read[2], sound[2], TAPE, never=never),
    )


def _look(standing: Standing) -> Values:
    station = standing.station
    return 1e3 * station.static_travel, *standing.released[:2], standing.pressure / standing.stated


def _look_rows(read: Values, sound: Values, standing: Standing) -> tuple[Row, ...]:
    def stands(by: float) -> str:
        return "low" if by > STANDS_OFF else "high" if by < -STANDS_OFF else "about as it should"

    def bounces(seconds: float, count: float) -> str:
        if math.isnan(seconds):
            return "hits its bump stop when pressed"
        if count >= 2:
            return "bounces on" if count > 2 else "swings past and back again"
        slow = seconds > 2.0 * target_time(standing.station)
        return "comes back slowly, as if it stuck" if slow else "comes back and stays"

    def tyre(share: float) -> str:
        return "looks soft" if share < LOOKS_SOFT else "looks right"

    return (
        words("It stands", stands(read[0] - sound[0]), stands(0.0)),
        words("Pressed and let go it", bounces(*read[1:3]), bounces(*sound[1:3])),
        words("The tyre", tyre(read[3]), tyre(sound[3])),
    )


def _gauge(standing: Standing) -> Values:
    return (standing.pressure,)


def _gauge_rows(read: Values, sound: Values, _: Standing) -> tuple[Row, ...]:
    return (numbers(PRESSURE, read[0], sound[0], GAUGE),)


def _sag(standing: Standing) -> Values:
    """Free sag let down and let up, rider sag let down and let up [mm]."""
    station = standing.station
    travel = np.linspace(-OVER, (station.travel or 1.0) + OVER, NODES)
    spring, friction = station.suspension_force(travel), station.friction_at(travel) * station.ratio(travel)

    def rests_at(mass: float, side: int) -> float:
        # Let down, friction carries with the spring (1); let up, it holds down (-1). No wheel hangs below its stop.
        return max(1e3 * float(np.interp(mass * GRAVITY, spring + side * friction, travel)), 0.0)

    free = station.sprung_mass - station.rider_mass
    return tuple(rests_at(mass, side) for mass in (free, station.sprung_mass) for side in (1, -1))


def _sag_rows(read: Values, sound: Values, _: Standing) -> tuple[Row, ...]:
    twice = Instrument(unit="mm", tolerance=2.0 * TAPE.tolerance, digits=1)

    def mean(values: Values, at: int) -> float:
        return 0.5 * (values[at] + values[at + 1])

    def gap(values: Values) -> float:
        return 0.5 * (values[1] - values[0] + values[3] - values[2])

    def detail(at: int) -> str:
        return f"{read[at]:.0f} let down, {read[at + 1]:.0f} let up"

    half = Instrument(unit="mm", tolerance=TAPE.tolerance, digits=1)
    return (
        numbers(FREE, mean(read, 0), mean(sound, 0), half, detail=detail(0)),
        numbers(RIDER, mean(read, 2), mean(sound, 2), half, detail=detail(2)),
        numbers(DIFFERENCE, mean(read, 2) - mean(read, 0), mean(sound, 2) - mean(sound, 0), twice),
        numbers(GAP, gap(read), gap(sound), twice, detail="mean of the two"),
    )


def _push(standing: Standing) -> Values:
    force = PUSH_SHARE * standing.sound.sprung_mass * GRAVITY
    push = Push(peak_force=force, rise_time=PUSH_RISE, hold_time=PUSH_HOLD)
    trace = simulate(standing.station, push, push.free_from() + 0.1)
    return (-1e3 * float(trace.body.min()),)


def _push_rows(read: Values, sound: Values, standing: Standing) -> tuple[Row, ...]:
    force = PUSH_SHARE * standing.sound.sprung_mass * GRAVITY
    return (numbers(PUSHED, read[0], sound[0], TAPE, detail=f"with {force:.0f} N"),)


def _counting(adjuster: str) -> Measuring:
    label = f"{adjuster.replace('_', '-').capitalize()}, clicks out"
    return Measuring(
        instruments=(COUNT,),
        truth=lambda standing: (float(standing.station.clicks[adjuster]),),
        rows=lambda read, sound, _: (numbers(label, read[0], sound[0], COUNT),),
    )


def _in_hand(standing: Standing) -> Values:
    """Force that pushes the shaft in, and with which it comes out, half way, slowly [N]."""
    station = standing.station
    half = 0.5 * float(station.shaft_travel(station.travel or 0.0))
    gas = float(by_parts(station).gas_force(half))
    return gas + station.friction, gas - station.friction


def _in_hand_rows(read: Values, sound: Values, _: Standing) -> tuple[Row, ...]:
    def by_itself(force: float) -> str:
        return "yes" if force > 0.0 else "no"

    return (
        words(COMES_OUT, by_itself(read[1]), by_itself(sound[1])),
        numbers("Pushes in with", read[0], sound[0], BALANCE),
        numbers("Comes out with (below zero: must be drawn)", read[1], sound[1], BALANCE),
        numbers(GAS, 0.5 * (read[0] + read[1]), 0.5 * (sound[0] + sound[1]), BALANCE),
    )


MEASURING: Mapping[str, Measuring] = {
    "look": Measuring(instruments=(EYE, STOPWATCH, COUNT, FEEL), truth=_look, rows=_look_rows),
    "gauge": Measuring(instruments=(GAUGE,), truth=_gauge, rows=_gauge_rows),
    "sag": Measuring(instruments=(TAPE,) * 4, truth=_sag, rows=_sag_rows),
    "release": Measuring(
        instruments=(STOPWATCH, COUNT, TAPE), truth=lambda standing: standing.released, rows=_release_rows
    ),
    "push": Measuring(instruments=(TAPE,), truth=_push, rows=_push_rows),
    **{f"count_{name}": _counting(name) for name in ("rebound", "low_speed", "high_speed")},
    "pothole": Measuring(instruments=(FEEL, TAPE, COUNT, COUNT), truth=over_a_pothole, rows=pothole_rows),
    "washboard": Measuring(instruments=(FEEL, TAPE, COUNT, COUNT, COUNT), truth=over_a_washboard,
                           rows=washboard_rows),
    "in_hand": Measuring(instruments=(BALANCE, BALANCE), truth=_in_hand, rows=_in_hand_rows),
}  # fmt: skip
"""Test -> how it is done."""
