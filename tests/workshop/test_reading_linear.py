"""Where the linear view ends: the numbers in the sentences, held against simulations and closed forms."""

import re

import numpy as np
import pytest
from sentences import on_one_line
from two_masses import linear_station

import suspension_lab as lab
from suspension_lab.workshop.reading_linear import where_linear_ends


def road_station(*, can_leave_road=True, **more):
    parts = {"sprung": 100.0, "unsprung": 20.0, "spring": 20_000.0, "damping": 900.0, "tyre": 150_000.0} | more
    station = linear_station(**parts)
    return lab.Station(
        name="plain", sprung_mass=station.sprung_mass, unsprung_mass=station.unsprung_mass, spring=station.spring,
        damper=station.damper, tyre=lab.Tyre(stiffness=parts["tyre"], can_leave_road=can_leave_road), travel=0.2,
    )  # fmt: skip


def ride(amplitude, frequency, duration=6.0):
    time = np.arange(0.0, duration + 0.1, 0.0005)
    # Eased in, so that the start is not what counts.
    return lab.Ride(
        lab.Road(time, amplitude * np.minimum(time / 3.0, 1.0) * np.sin(2.0 * np.pi * frequency * time)), 1.0
    )


def limit(sentences, what):
    found = re.search(rf"{what} from ±([\d.]+) mm on \(at ([\d.]+) Hz\)", " ".join(sentences))
    return float(found[1]) * 1e-3, float(found[2])


def test_the_tyre_leaves_a_sine_road_from_there_on():
    """A sine 10 % smaller keeps it down, one 10 % larger does not: simulated."""
    station = road_station()
    amplitude, frequency = limit(where_linear_ends(station), "leave the road")
    less, more = (
        lab.simulate(station, ride(share * amplitude, frequency), 6.0).tyre_load.min() for share in (0.9, 1.1)
    )
    assert less > 0.0
    assert more == 0.0


def test_it_tops_out_from_there_on():
    """On a tyre that holds on to the road, which else would leave it before."""
    station = road_station(can_leave_road=False)
    amplitude, frequency = limit(where_linear_ends(station), "top out")
    less, more = (
        lab.simulate(station, ride(share * amplitude, frequency), 6.0).wheel_travel.min() for share in (0.9, 1.1)
    )
    assert less > 0.0
    assert more < 0.0


def test_modes_are_said():
    station = road_station()
    body, wheel = lab.modes(station)
    first = where_linear_ends(station)[0]
    for number in (f"{body.frequency:.1f} Hz", f"{wheel.frequency:.1f} Hz", f"{body.damping_ratio:.2f}"):
        assert number in first


def test_the_knee_ends_the_slope():
    """Analytic: (low k + high (v - k)) / v is 0.8 low at v = k (low - high) / (0.8 low - high)."""
    low, knee, high = 2000.0, 0.2, 500.0
    side = lab.DamperSide(low_speed_slope=low, knee_speed=knee, high_speed_slope=high)
    station = lab.Station(
        name="knee", sprung_mass=100.0, unsprung_mass=20.0, spring=lab.Spring(rate=20_000.0),
        damper=lab.TwoSlopeDamper(rebound=side, compression=side), tyre=lab.Tyre(stiffness=150_000.0),
    )  # fmt: skip
    said = re.findall(r"in (?:rebound|compression) up to ([\d.]+) m/s", " ".join(where_linear_ends(station)))
    assert len(said) == 2
    expected = knee * (low - high) / (0.8 * low - high)
    assert [float(number) for number in said] == pytest.approx([expected] * 2, rel=0.05)


def test_a_linear_damper_without_friction_or_stops_ends_only_at_the_tyre():
    text = " ".join(where_linear_ends(linear_station(
        sprung=100.0, unsprung=20.0, spring=20_000.0, damping=900.0, tyre=150_000.0)))  # fmt: skip
    assert "at any speed" in text
    assert "leave the road" not in text
    assert "off from" not in text


def test_a_rougher_class_is_borne_at_a_quarter_of_the_speed():
    """Analytic: the spread goes with the root of roughness times speed, and a class is four times the one before."""
    station = road_station()
    fast, slow = (
        re.search(r"leave the road from class ([A-H])", " ".join(where_linear_ends(station, v)))[1] for v in (20.0, 5.0)
    )
    assert ord(slow) - ord(fast) == 1


@pytest.mark.parametrize("name", lab.demo_vehicles())
def test_every_demo_vehicle_has_its_limits_in_plain_sentences(name):
    sentences = where_linear_ends(lab.load_station(name))
    assert len(sentences) >= 4
    assert all(on_one_line(sentence) and "nan" not in sentence and "inf" not in sentence for sentence in sentences)


def test_no_linear_view_of_a_stop_or_without_damping():
    stiff = lab.Station(
        name="no sag", sprung_mass=100.0, unsprung_mass=20.0, spring=lab.Spring(rate=20_000.0, preload=0.2), travel=0.1,
        damper=lab.LinearDamper(rebound=900.0, compression=900.0), tyre=lab.Tyre(stiffness=150_000.0),
    )  # fmt: skip
    assert where_linear_ends(stiff)[0].startswith("There is no linear view of this setting")
    bare = linear_station(sprung=100.0, unsprung=20.0, spring=20_000.0, damping=0.0, tyre=150_000.0)
    assert "no damping" in where_linear_ends(bare)[0]
    with pytest.raises(lab.LabError, match="speed"):
        where_linear_ends(bare, speed=0.0)
