"""Two slopes from a measured table: known values found again, a law that is not two slopes, bad input."""

from __future__ import annotations

import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.vehicle.clicks import Span
from suspension_lab.workshop.fit_damper import fit_damper

SPEED = np.concatenate([-np.geomspace(1.2, 0.01, 14), [0.0], np.geomspace(0.01, 1.2, 14)])
TRUE = lab.TwoSlopeDamper(
    rebound=lab.DamperSide(low_speed_slope=Span(closed=6000.0, open=900.0), knee_speed=0.2, high_speed_slope=500.0),
    compression=lab.DamperSide(low_speed_slope=Span(closed=2500.0, open=500.0), knee_speed=0.15,
                               high_speed_slope=300.0),
    adjusters={"rebound": 20, "low_speed": 20},
)  # fmt: skip


def measured(noise, clicks=(0, 10, 20), damper=TRUE):
    rng = np.random.default_rng(4)
    curves = {}
    for click in clicks:
        force = damper.with_clicks(rebound=click, low_speed=click).force(SPEED)
        curves[click] = SPEED, force * (1.0 + noise * rng.normal(size=SPEED.size))
    return lab.MeasuredDamper(curves=curves)


@pytest.mark.parametrize("noise", [0.0, 0.03])
def test_known_slopes_and_knees_are_found_again(noise):
    fit = fit_damper(measured(noise))
    wanted = {"rebound low_speed_slope closed": 6000.0, "rebound low_speed_slope open": 900.0,
              "rebound knee_speed closed": 0.2, "compression high_speed_slope open": 300.0,
              "compression low_speed_slope closed": 2500.0}  # fmt: skip
    for name, value in wanted.items():
        assert fit.found[name].value == pytest.approx(value, rel=0.01 + 4.0 * noise)
        assert abs(fit.found[name].value - value) <= 4.0 * fit.found[name].uncertainty + 1e-3 * value
    assert fit.misfit["rebound"] == pytest.approx(noise, abs=0.01)
    for click in (0, 5, 20):
        made, true = (d.with_clicks(rebound=click, low_speed=click).force(SPEED) for d in (fit.damper, TRUE))
        assert np.abs(made - true).max() < (0.02 + 2.0 * noise) * np.abs(true).max()


def test_one_setting_alone_gives_plain_numbers():
    fit = fit_damper(measured(0.0, clicks=(0,)))
    assert fit.damper.adjusters == {}
    assert fit.found["rebound low_speed_slope"].value == pytest.approx(6000.0, rel=0.01)


def test_a_law_that_is_not_two_slopes_is_called_so():
    square = {0: (SPEED, 3000.0 * SPEED * np.abs(SPEED))}
    fit = fit_damper(lab.MeasuredDamper(curves=square))
    assert all("is not two slopes" in said for said in fit.sentences)
    assert all("good enough" in said for said in fit_damper(measured(0.0)).sentences)


def test_bad_input_is_one_sentence():
    with pytest.raises(lab.LabError, match="where a measured damper was expected"):
        fit_damper(TRUE)
    few = lab.MeasuredDamper(curves={0: (np.array([-0.3, -0.1, 0.0, 0.1, 0.3]), np.array([-90.0, -30, 0, 30, 90]))})
    with pytest.raises(lab.LabError, match="rebound side of the table has 2 speeds at 0 clicks"):
        fit_damper(few)


def test_a_straight_line_has_no_knee():
    for noise in (0.0, 0.02):
        straight = lab.LinearDamper(rebound=2000.0, compression=2000.0)
        rng = np.random.default_rng(2)
        force = straight.force(SPEED) * (1.0 + noise * rng.normal(size=SPEED.size))
        fit = fit_damper(lab.MeasuredDamper(curves={0: (SPEED, force)}))
        assert sum("nothing is known of a knee" in said for said in fit.sentences) == 2
        assert np.isinf(fit.found["rebound knee_speed"].uncertainty)
    assert not any("knee; measure" in said for said in fit_damper(measured(0.03)).sentences)
