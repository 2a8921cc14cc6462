"""Drift in clicks, and fade: found again where they were put in."""

from dataclasses import replace

import pytest

import suspension_lab as lab


def damper():
    return lab.load_station("courier_scooter_rear").damper


def test_a_damper_turned_by_clicks_has_drifted_by_these_clicks():
    before = damper().with_clicks(rebound=9)
    for clicks in (0, 4, 9, 14, 24):
        assert lab.drift_in_clicks(before.with_clicks(rebound=clicks), before) == pytest.approx(clicks - 9, abs=1e-6)


@pytest.mark.parametrize("adjuster", ["rebound", "low_speed"])
@pytest.mark.parametrize("clicks", [0, 1, 10, "most"])
def test_warm_oil_opens_by_a_finite_number_of_clicks_at_either_end(adjuster, clicks):
    """Beyond the ends of the range it goes on as by the last click."""
    most = damper().adjusters[adjuster]
    before = damper().with_clicks(**{adjuster: most if clicks == "most" else clicks})
    warm, cold = (before.with_oil_temperature(t) for t in (353.15, 273.15))
    assert 0.05 < lab.drift_in_clicks(warm, before, adjuster) < 12.0
    assert -12.0 < lab.drift_in_clicks(cold, before, adjuster) < -0.05


def test_fade_is_the_share_of_the_force_that_is_gone():
    linear = lab.LinearDamper(rebound=1000.0, compression=500.0)
    weaker = replace(linear, rebound=750.0)
    assert lab.fade(weaker, linear) == pytest.approx(0.25)
    assert lab.fade(weaker, linear, "compression") == pytest.approx(0.0)


def test_an_adjuster_it_does_not_have_is_told():
    with pytest.raises(lab.LabError, match="no rebound adjuster"):
        lab.drift_in_clicks(*2 * [lab.LinearDamper(rebound=1000.0, compression=500.0)])
