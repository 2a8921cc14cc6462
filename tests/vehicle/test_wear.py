"""Faults change the physics: each one what it must, and nothing else."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.vehicle.gas import ATMOSPHERE

SPEED = np.linspace(-1.0, 1.0, 201)
PUSH = lab.Push(peak_force=400.0, rise_time=0.08, hold_time=0.2)


def sound():
    return lab.load_station("courier_scooter_front")


def test_lost_gas_takes_its_spring_and_lets_the_oil_cavitate():
    station, faulty = sound(), lab.with_fault(sound(), "lost_gas")
    assert float(faulty.damper.gas_pressure(0.0)) == ATMOSPHERE
    assert float(faulty.damper.with_oil_temperature(400.0).gas_pressure(0.05)) == ATMOSPHERE
    assert float(faulty.damper.gas_force(0.0)) == 0.0
    assert faulty.static_travel > station.static_travel + 0.002
    assert faulty.damper.cavitation_speeds[1] < 0.1 * station.damper.cavitation_speeds[1]
    slow = np.abs(SPEED) < 0.1
    assert faulty.damper.force(SPEED[slow]) == pytest.approx(station.damper.force(SPEED[slow]))


def test_sticky_seals_rub_and_leave_the_damper_alone():
    station, faulty = sound(), lab.with_fault(sound(), "sticky_seals")
    assert faulty.friction == 4.0 * station.friction
    assert faulty.damper == station.damper
    moved = [np.ptp(lab.simulate(each, PUSH).body) for each in (station, faulty)]
    assert moved[1] < moved[0] - 0.001


def test_a_bent_shaft_binds_more_the_deeper_it_is_in_and_leaks():
    station, faulty = sound(), lab.with_fault(sound(), "bent_shaft")
    out, middle, full = faulty.friction_at(np.array([0.0, 0.5, 1.0]) * faulty.travel)
    assert out == station.friction
    assert middle - out == pytest.approx(full - middle)
    assert full - out == pytest.approx(0.12 * station.static_tyre_load)
    leak, before = (float(each.damper.circuits[0].flows(5e5).leak) for each in (faulty, station))
    assert leak == pytest.approx(2.5 * before)
    trace = lab.simulate(faulty, PUSH)
    expected = faulty.friction_at(trace.wheel_travel) * np.tanh(trace.shaft_speed / faulty.friction_speed)
    assert trace.friction_force == pytest.approx(expected)


@pytest.mark.parametrize("grade", [15, 46, 68])
def test_wrong_oil_is_thicker_and_harder(grade):
    station = replace(sound(), damper=replace(sound().damper, oil=lab.Oil.of_grade(grade)))
    faulty = lab.with_fault(station, "wrong_oil")
    assert faulty.damper.fluid.viscosity > 1.8 * station.damper.fluid.viscosity
    moving = SPEED[np.abs(SPEED) > 0.02]
    assert (np.abs(faulty.damper.force(moving)) > np.abs(station.damper.force(moving))).all()


def test_a_worn_blow_off_opens_sooner():
    station, faulty = sound(), lab.with_fault(sound(), "worn_blow_off")
    assert 0.0 < faulty.damper.knees[1] < 0.8 * station.damper.knees[1]
    assert 0.0 > faulty.damper.knees[0] > 0.8 * station.damper.knees[0]
    slow = np.abs(SPEED) < 0.05
    assert faulty.damper.force(SPEED[slow]) == pytest.approx(station.damper.force(SPEED[slow]), rel=1e-4)
    assert (np.abs(faulty.damper.force(SPEED[~slow])) < 1.0001 * np.abs(station.damper.force(SPEED[~slow]))).all()
    assert float(faulty.damper.force(1.0)) < 0.85 * float(station.damper.force(1.0))


def test_worn_blow_off_with_clicks_keeps_its_range():
    damper = lab.load_station("courier_scooter_rear").damper
    worn = lab.with_fault(lab.load_station("courier_scooter_rear"), "worn_blow_off").damper
    for clicks in (0, 8, 16):
        before, after = (each.with_clicks(high_speed=clicks).circuits[1].cracking for each in (damper, worn))
        assert after == pytest.approx(0.4 * before)


def test_low_oil_falls_through_its_free_play_at_each_turn():
    """Between a turn of the shaft and the next force of the damper lies the free play, to a step's way."""
    faulty = lab.with_fault(sound(), "low_oil")
    trace = lab.simulate(faulty, PUSH, 1.5, step=1e-4)
    idle = np.asarray(trace.idle)
    assert 0.05 < idle.mean() < 0.95
    assert (trace.damper_force[idle] == 0.0).all()
    play = faulty.damper.free_play / float(faulty.ratio(faulty.static_travel))
    edges = np.flatnonzero(np.diff(idle.astype(int)))
    assert float(faulty.damper.gas_force(0.03)) == 0.0
    falls = 0
    for start, end in pairwise(edges):
        if not idle[start + 1]:
            continue
        way = trace.wheel_travel[start : end + 2]
        # Near rest it turns around again within the play.
        if abs(way[-1] - way[0]) > 0.1 * play and ((np.diff(way) > 0.0).all() or (np.diff(way) < 0.0).all()):
            step = float(np.abs(np.diff(way)).max())
            assert abs(way[-1] - way[0]) == pytest.approx(play, abs=2.5 * step)
            falls += 1
    assert falls >= 1


def test_without_free_play_nothing_idles():
    assert not np.any(lab.simulate(sound(), PUSH, 0.5).idle)


def test_free_play_that_shrinks_to_nothing_is_no_free_play():
    tiny = replace(sound(), damper=replace(sound().damper, free_play=1e-9))
    one, other = (lab.simulate(station, PUSH, 1.0).body for station in (tiny, sound()))
    assert np.abs(one - other).max() < 1e-4 * np.ptp(other)


@pytest.mark.parametrize("fault", lab.FAULTS)
def test_each_fault_can_be_shown_on_each_demo_vehicle(fault):
    for name in lab.demo_vehicles():
        station = lab.load_station(name)
        before, after = (lab.simulate(each, PUSH, 0.6).body for each in (station, lab.with_fault(station, fault)))
        assert np.abs(before - after).max() > 1e-5, name


def test_faults_that_need_parts_are_refused_on_curves():
    station = replace(sound(), damper=lab.LinearDamper(rebound=1000.0, compression=500.0))
    for fault in ("lost_gas", "low_oil", "wrong_oil", "worn_blow_off"):
        with pytest.raises(lab.LabError, match="described by its curves"):
            lab.with_fault(station, fault)
    assert lab.with_fault(station, "sticky_seals").friction > station.friction
    assert lab.with_fault(station, "bent_shaft").binding > 0.0
    with pytest.raises(lab.LabError, match="did you mean 'lost_gas'"):
        lab.with_fault(station, "lost_gass")
