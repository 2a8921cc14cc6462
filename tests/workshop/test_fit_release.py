"""Fitting a recorded release: known values found again, honest uncertainties, a measured decay, bad input."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from reference_values import reference

import suspension_lab as lab
from suspension_lab.common.shipped import shipped_folder
from suspension_lab.vehicle.scaled_damper import ScaledDamper, scaled
from suspension_lab.workshop.fit_release import UNKNOWNS, fit_release, noise_of
from suspension_lab.workshop.reading_fit import fits, friction_work, read_fit

STATION = lab.load_station("courier_scooter_rear")
PENDULUM = reference("pendulum_decay")
REBOUND, FRICTION = 1.3, 30.0
TRUE = replace(STATION, damper=scaled(STATION.damper, rebound=REBOUND), friction=FRICTION)
TRACE = lab.simulate(TRUE, lab.Release(depth=0.03), 2.5)


def record(kind, rate, noise, seed, quantum=0.0, dropped=0.0, trace=TRACE):
    """A release let go at 0.5 s, as a sensor or a video would give it."""
    rng = np.random.default_rng(seed)
    time = np.arange(-0.5, 1.6, 1.0 / rate) + rng.uniform(0.0, 1.0 / rate)
    signal = {"position": trace.body, "velocity": trace.body_velocity, "acceleration": trace.body_acceleration}[kind]
    values = np.interp(time, trace.time, signal, left=float(signal[0]) if kind == "position" else 0.0)
    values = values + rng.normal(0.0, noise, time.size)
    if quantum:
        values = quantum * np.round(values / quantum)
    kept = rng.uniform(size=time.size) >= dropped
    return time[kept] + 0.5, values[kept]


@pytest.mark.parametrize(
    ("kind", "rate", "noise", "quantum", "dropped"),
    [("position", 60.0, 2e-4, 0.0, 0.0), ("position", 120.0, 2e-4, 5e-4, 0.0), ("position", 60.0, 2e-4, 0.0, 0.3),
     ("velocity", 100.0, 3e-3, 0.0, 0.0), ("acceleration", 400.0, 0.1, 0.0, 0.1)],
)  # fmt: skip
def test_known_values_are_found_again(kind, rate, noise, quantum, dropped):
    time, values = record(kind, rate, noise, 3, quantum, dropped)
    fit = fit_release(time, station=STATION, **{kind: values})
    for name, true in (("rebound_damping", REBOUND), ("friction", FRICTION)):
        assert abs(fit[name].value - true) < 4.0 * fit[name].uncertainty
    assert fit["rebound_damping"].value == pytest.approx(REBOUND, rel=0.08)
    assert fit.let_go == pytest.approx(0.5, abs=0.01)
    assert fit.depth == pytest.approx(0.03, rel=0.15)
    assert fits(fit)
    assert isinstance(fit.station.damper, ScaledDamper)


def test_uncertainties_cover_the_truth_as_often_as_they_say():
    """Of 30 fits about 28.5 lie within two standard deviations and 20.5 within one; fewer than 25 within two, or fewer
    than 12 or more than 27 within one, come by chance less than once in 200 (binomial)."""
    off = {"rebound_damping": [], "friction": []}
    for seed in range(30):
        fit = fit_release(*record("position", 60.0, 4e-4, seed), STATION)
        for name, true in (("rebound_damping", REBOUND), ("friction", FRICTION)):
            off[name].append(abs(fit[name].value - true) / fit[name].uncertainty)
    for each in off.values():
        assert sum(value < 2.0 for value in each) >= 25
        assert 12 <= sum(value < 1.0 for value in each) <= 27


def test_a_linear_decay_gives_the_log_decrements_damping():
    """Textbook: the ratio of neighbouring peaks on one side is exp(2 pi z / sqrt(1 - z^2)); overshoot its half."""
    mass, rate, ratio = 60.0, 12000.0, 0.2
    damping = 2.0 * ratio * math.sqrt(rate * mass)
    true = lab.Station(
        name="made", sprung_mass=mass, unsprung_mass=0.3, spring=lab.Spring(rate=rate),
        damper=lab.LinearDamper(rebound=damping, compression=damping), tyre=lab.Tyre(stiffness=400.0 * rate),
    )  # fmt: skip
    trace = lab.simulate(true, lab.Release(depth=0.03), 2.5)
    peaks = [float(trace.body[i]) for i in range(1, trace.time.size - 1)
             if trace.body[i - 1] < trace.body[i] >= trace.body[i + 1] and trace.body[i] > 1e-4]  # fmt: skip
    decrement = math.log(peaks[0] / peaks[1])
    by_peaks = decrement / math.sqrt(4.0 * math.pi**2 + decrement**2)
    by_overshoot = 1.0 / math.sqrt(1.0 + (math.pi / math.log(0.03 / peaks[0])) ** 2)
    guess = replace(true, damper=lab.LinearDamper(rebound=0.6 * damping, compression=1.5 * damping))
    time, values = record("position", 200.0, 1e-5, 1, trace=trace)
    fit = fit_release(time, values, guess, ["rebound_damping", "compression_damping"])
    found = 0.5 * sum(fit.values.values()) / (2.0 * math.sqrt(rate * mass))
    assert found == pytest.approx(by_peaks, rel=0.01)
    assert found == pytest.approx(by_overshoot, rel=0.02)
    assert fit["rebound_damping"].unit == "N s/m"
    assert friction_work(fit) == 0.0


def pendulum():
    """A measured decay as one mass: 1 V of its gyro is taken for 1 m/s."""
    rows = np.loadtxt(shipped_folder("data/measured") / "pendulum_decay.csv", delimiter=",", comments="#",
                      skiprows=3)  # fmt: skip
    time, rate = rows.T
    swing, w = rate - PENDULUM["offset of the gyro"].value, PENDULUM["angular frequency"].value
    first = int(np.flatnonzero((swing[:-1] <= 0.0) & (swing[1:] > 0.0))[0])
    station = lab.Station(
        name="pendulum", sprung_mass=1.0, unsprung_mass=0.05, spring=lab.Spring(rate=w**2),
        damper=lab.LinearDamper(rebound=0.02, compression=0.02), tyre=lab.Tyre(stiffness=200.0 * w**2), friction=0.01,
    )  # fmt: skip
    return time[first:] - time[first], swing[first:], station


def test_a_measured_decay_is_mostly_dry_friction():
    """A bicycle part swung as a pendulum (data/measured). Its envelope A' = -s A - b, fitted apart from this lab, means
    a friction of pi/2 b and a damping of 2 s for one kilogram (Coulomb and viscous decay, textbook). One damping alone
    leaves more than twice as much over, beyond the noise.
    """
    time, swing, station = pendulum()
    free = ["rebound_damping", "friction", "spring_rate"]
    both = fit_release(time, None, replace(station, damper=lab.LinearDamper(rebound=0.02, compression=0.015)), free,
                       velocity=swing)  # fmt: skip
    assert both["friction"].value == pytest.approx(0.5 * math.pi * PENDULUM["decay by dry friction"].value, rel=0.05)
    assert both["rebound_damping"].value == pytest.approx(
        2.0 * PENDULUM["decay in proportion to the swing"].value, abs=0.01
    )
    assert friction_work(both) > 0.6
    assert any("a single logarithmic decrement" in said for said in read_fit(both))
    assert both.share < 0.01
    alone = fit_release(time, None, replace(station, friction=0.0), ["rebound_damping", "compression_damping",
                        "spring_rate"], velocity=swing)  # fmt: skip
    beyond_noise = [math.sqrt(fit.misfit**2 - fit.noise**2) for fit in (alone, both)]
    assert beyond_noise[0] > 2.0 * beyond_noise[1]


def test_what_cannot_be_told_apart_is_said():
    time, values = record("position", 60.0, 4e-4, 5)
    fit = fit_release(time, values, STATION, ["rebound_damping", "friction", "spring_rate", "sprung_mass"])
    assert any("cannot tell" in said and "spring rate" in said for said in fit.warnings)
    sound = fit_release(time, values, STATION)
    assert list(sound.warnings) == []


def test_a_model_that_does_not_fit_is_called_so():
    """A motion that no station makes: it comes back, and goes down again on a ramp."""
    time, values = record("position", 60.0, 1e-4, 5)
    fit = fit_release(time, values - 0.02 * np.maximum(time - 0.9, 0.0) - 0.006 * np.sin(9.0 * time), STATION)
    assert not fits(fit)
    assert read_fit(fit)[0].startswith("The model does not fit")
    good = fit_release(*record("position", 60.0, 4e-4, 5), STATION)
    assert read_fit(good)[0].startswith("The model fits: ")


def test_a_known_depth_is_held():
    time, values = record("acceleration", 200.0, 0.1, 2)
    assert fit_release(time, station=STATION, acceleration=values, depth=0.03).depth == 0.03


def test_noise_is_told_from_a_smooth_signal():
    time = np.linspace(0.0, 2.0, 400)
    noise = np.random.default_rng(1).normal(0.0, 0.01, 400)
    assert noise_of(np.sin(5.0 * time) + noise) == pytest.approx(0.01, rel=0.15)
    assert noise_of(0.1 * np.round(10.0 * np.sin(5.0 * time))) == pytest.approx(0.1 / math.sqrt(12.0), rel=0.05)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"station": "scooter"}, "station is 'scooter', where a Station"),
        ({"free": []}, "Nothing is free"),
        ({"free": ["rebound_dampng"]}, "cannot be free in a fit; did you mean 'rebound_damping'"),
        ({"free": ["friction", "friction"]}, "free twice"),
        ({"position": None}, "one of position, velocity, acceleration, but got 0"),
        ({"velocity": [1.0, 2.0]}, "but got 2 of them"),
        ({"position": [1.0, 2.0]}, "times but 2 values of position"),
        ({"time": np.zeros(126)}, "time of the record"),
        ({"depth": -1.0}, "release depth"),
        ({"position": np.ones(126)}, "the same in every sample"),
    ],
)
def test_bad_input_is_one_sentence(change, says):
    time, values = record("position", 60.0, 1e-4, 1)
    given = {"time": time, "position": values, "station": STATION} | change
    with pytest.raises(lab.LabError, match=says):
        fit_release(**given)


def test_a_record_without_a_release_is_refused():
    rng = np.random.default_rng(0)
    time = np.arange(0.0, 2.0, 0.01)
    with pytest.raises(lab.LabError, match="No release is found"):
        fit_release(time, station=STATION, acceleration=rng.normal(0.0, 0.1, time.size))
    with pytest.raises(lab.LabError, match=r"where at least 20 over 0\.4 s"):
        fit_release(time[:10], time[:10], STATION)
    kept = record("position", 60.0, 1e-4, 1)
    cut = kept[0] < 0.7
    with pytest.raises(lab.LabError, match="lie behind the let-go"):
        fit_release(kept[0][cut], kept[1][cut], STATION)


@pytest.mark.parametrize("name", UNKNOWNS)
def test_every_unknown_writes_what_it_reads(name):
    unknown = UNKNOWNS[name]
    table = lab.Spring(compression=[0.0, 0.05, 0.1], table_force=[0.0, 1500.0, 3500.0])
    for station in (STATION, replace(STATION, spring=table)):
        twice = unknown.write(station, 2.0 * unknown.read(station))
        if name == "spring_rate":
            assert twice.spring.force(0.03) == pytest.approx(2.0 * station.spring.force(0.03))
        elif name.endswith("damping"):
            speed = -0.2 if name.startswith("rebound") else 0.2
            assert twice.damper.force(speed) == pytest.approx(2.0 * station.damper.force(speed))
            assert twice.damper.force(-speed) == station.damper.force(-speed)
        else:
            assert unknown.read(twice) == pytest.approx(2.0 * unknown.read(station))


def test_a_wrong_unit_and_a_wrong_spring_are_told():
    time, values = record("acceleration", 200.0, 0.05, 4)
    in_g = fit_release(time, station=STATION, acceleration=values / 9.80665)
    assert any("held down by" in said and "check the signal's unit" in said for said in in_g.warnings)
    with pytest.raises(lab.LabError, match="are these milliseconds"):
        fit_release(1000.0 * time, station=STATION, acceleration=values)
    with pytest.raises(lab.LabError, match="are these mm"):
        fit_release(*record("position", 60.0, 1e-4, 1)[:1], 1e3 * record("position", 60.0, 1e-4, 1)[1], STATION)
    fit = fit_release(*record("position", 60.0, 2e-4, 4), STATION)
    assert any("a spring a tenth harder would move" in said for said in read_fit(fit))


def test_what_a_wrong_spring_does_is_foretold():
    """The foretold shift against a fit with that spring: one step of Newton, so within a third."""
    time, values = record("position", 120.0, 5e-5, 4)
    plain = fit_release(time, values, STATION)
    spring = UNKNOWNS["spring_rate"]
    harder = fit_release(time, values, spring.write(STATION, 1.1 * spring.read(STATION)))
    moved = harder["rebound_damping"].value - plain["rebound_damping"].value
    assert plain.spring_shift["rebound_damping"] == pytest.approx(moved, rel=0.33)


def test_more_freedom_never_fits_worse():
    time, values = record("acceleration", 200.0, 0.06, 6)
    names = ["rebound_damping", "friction"]
    few = fit_release(time, station=STATION, free=names, acceleration=values)
    many = fit_release(time, station=STATION, free=[*names, "sprung_mass"], acceleration=values)
    assert many.misfit <= few.misfit * (1.0 + 1e-6)
