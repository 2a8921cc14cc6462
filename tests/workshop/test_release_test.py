"""The release test's verdict, against the closed form of one mass on a spring with viscous damping."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

import suspension_lab as lab
from suspension_lab.vehicle.vehicle_file import demo_vehicles
from suspension_lab.workshop.release_test import (
    Verdict,
    from_to,
    passing,
    rebound_verdicts,
    refusal_of,
    target_time,
    usual_release,
    verdict,
    verdict_on,
)
from suspension_lab.workshop.soundness import doubts

MASS, RATE = 60.0, 12000.0


def one_mass(damping_ratio: float) -> lab.Station:
    """One mass: hardly any wheel, on a tyre 200 times as hard as the spring."""
    damping = 2.0 * damping_ratio * math.sqrt(RATE * MASS)
    return lab.Station(
        name="made", sprung_mass=MASS, unsprung_mass=0.3, spring=lab.Spring(rate=RATE),
        damper=lab.LinearDamper(rebound=damping, compression=damping), tyre=lab.Tyre(stiffness=200.0 * RATE),
    )  # fmt: skip


def swings_by_hand(damping_ratio: float) -> int:
    """Textbook: each half swing is exp(-pi z / sqrt(1 - z^2)) of the one before; those over 5 % can be seen."""
    if damping_ratio >= 1.0:
        return 0
    ratio = math.exp(-math.pi * damping_ratio / math.sqrt(1.0 - damping_ratio**2))
    return sum(ratio**n > 0.05 for n in range(1, 40))


@pytest.mark.parametrize("damping_ratio", [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.2])
def test_swinging_on_is_the_textbooks_count(damping_ratio: float) -> None:
    station = one_mass(damping_ratio)
    count = swings_by_hand(damping_ratio)
    says = verdict(lab.simulate(station, lab.Release(depth=0.025)))
    assert (says is Verdict.TOO_OPEN) == (count >= 2)


@pytest.mark.parametrize(("damping_ratio", "says"), [(3.0, Verdict.TOO_CLOSED), (6.0, Verdict.TOO_CLOSED)])
def test_creeping_is_too_closed(damping_ratio: float, says: Verdict) -> None:
    """Overdamped, the slow root z w - w sqrt(z^2 - 1) lets it into the 5 % band only after its target time."""
    w = math.sqrt(RATE / MASS)
    slow = w * (damping_ratio - math.sqrt(damping_ratio**2 - 1.0))
    assert math.log(20.0) / slow > 1.2 * target_time(one_mass(damping_ratio))
    assert verdict_on(one_mass(damping_ratio)) is says


@pytest.mark.parametrize("name", demo_vehicles())
def test_many_at_once_say_what_single_runs_say(name: str) -> None:
    """With compression open: the passing clicks are one stretch, both ends of the adjuster fail, each its own way."""
    station = lab.load_station(name)
    verdicts = rebound_verdicts(station)
    opened = station.with_clicks(**{n: most for n, most in station.damper.adjusters.items() if n != "rebound"})
    for click in range(0, len(verdicts), 2):
        assert verdict_on(opened.with_clicks(rebound=click)) is verdicts[click]
    good = passing(verdicts)
    assert good == list(range(good[0], good[-1] + 1))
    assert verdicts[0] is Verdict.TOO_CLOSED
    assert verdicts[len(verdicts) - 1] is Verdict.TOO_OPEN


@pytest.mark.parametrize("name", demo_vehicles())
def test_what_passes_with_compression_open_passes_with_it_closed(name: str) -> None:
    station = lab.load_station(name)
    closed = station.with_clicks(**{n: 0 for n in station.damper.adjusters if n != "rebound"})
    assert all(verdict_on(closed.with_clicks(rebound=click)) is not Verdict.TOO_OPEN
               for click in passing(rebound_verdicts(station)))  # fmt: skip


@pytest.mark.parametrize("name", demo_vehicles())
def test_demo_vehicles_stand_at_a_rebound_that_passes_and_others_are_doubted(name: str) -> None:
    station = lab.load_station(name)
    assert verdict_on(station) is Verdict.PASSES
    swinging = station.with_clicks(rebound=station.damper.adjusters["rebound"])
    assert any("In the release test" in said and "swings on" in said for said in doubts(swinging))
    assert any("creeps back" in said for said in doubts(station.with_clicks(rebound=0)))


def test_little_room_takes_a_smaller_depth_and_none_is_refused() -> None:
    station = lab.load_station("courier_scooter_rear")
    assert usual_release(station).depth == 0.025
    loaded = station.with_rider(120.0)
    assert 0.0 < usual_release(loaded).depth < 0.025
    lab.simulate(loaded, usual_release(loaded), 0.5)
    with pytest.raises(lab.LabError, match="The release test tells nothing here"):
        usual_release(station.with_rider(900.0))


def test_a_refusal_names_what_passes() -> None:
    verdicts = {0: Verdict.TOO_CLOSED, 1: Verdict.PASSES, 2: Verdict.TOO_OPEN}
    assert refusal_of(verdicts, lab.Clicks(rebound=1)) == refusal_of(None, lab.Clicks(rebound=2)) == []
    (said,) = refusal_of(verdicts, lab.Clicks(rebound=2))
    assert (
        said
        == "In the release test rebound 2 swings on: too open: set it there first (click 1 passes at this load and oil "
        "temperature, with compression open)."
    )
    (said,) = refusal_of({0: Verdict.TOO_OPEN}, lab.Clicks(rebound=0))
    assert "no click of this adjuster passes" in said
    assert from_to([3, 4, 5]) == "clicks 3 to 5"
    assert from_to([3, 4, 5, 8]) == "clicks 3 to 5 and 8"
    assert from_to([7]) == "click 7"


def test_friction_that_hides_the_damper_passes_nothing() -> None:
    """Textbook: dry friction holds a body within F / k; 150 N at the wheel on 20 N/mm are 7.5 mm of 25 mm."""
    station = lab.load_station("courier_scooter_rear")
    stuck = replace(station, friction=7.5e-3 * station.wheel_rate / float(station.ratio(station.static_travel)))
    assert verdict_on(stuck) is Verdict.HIDDEN
    assert passing(rebound_verdicts(stuck)) == []
