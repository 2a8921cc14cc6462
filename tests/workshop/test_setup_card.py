"""The setup card's words: numbers against closed forms, refusals, and what it must never say."""

from __future__ import annotations

import datetime
import math
import re
from dataclasses import replace

import pytest
from sentences import is_one_sentence

import suspension_lab as lab
from suspension_lab.workshop.cautions import OPENING, RIDING, STANDING, TURNING
from suspension_lab.workshop.release_test import Verdict, verdict_on
from suspension_lab.workshop.setup_card import MeasuredAtVehicle, SetupCard, setup_card

GRAVITY = 9.80665
"""Published: standard gravity."""
MASS, RIDER, RATE, PRELOAD = 100.0, 40.0, 20000.0, 0.010
SCOOTER = "courier_scooter_rear"


def one_mass(damping_ratio: float = 1.0) -> lab.Station:
    """One mass: hardly any wheel, on a tyre 200 times as hard as the spring; no stops."""
    damping = 2.0 * damping_ratio * math.sqrt(RATE * MASS)
    return lab.Station(
        name="made", sprung_mass=MASS, rider_mass=RIDER, unsprung_mass=0.3,
        spring=lab.Spring(rate=RATE, preload=PRELOAD), damper=lab.LinearDamper(rebound=damping, compression=damping),
        tyre=lab.Tyre(stiffness=200.0 * RATE),
    )  # fmt: skip


def closed_compression(clicks: int) -> lab.Station:
    """A damper whose rebound swings past ride height once, and whose closed compression then creeps back down."""
    critical = 2.0 * math.sqrt(RATE * MASS)
    damper = lab.TwoSlopeDamper(
        adjusters={"rebound": 4, "low_speed": 2}, clicks=lab.Clicks(rebound=2, low_speed=clicks),
        rebound=lab.DamperSide(low_speed_slope=0.3 * critical, knee_speed=5.0, high_speed_slope=0.3 * critical),
        compression=lab.DamperSide(
            low_speed_slope=lab.Span(closed=12.0 * critical, open=0.6 * critical), knee_speed=5.0,
            high_speed_slope=critical),
    )  # fmt: skip
    return replace(one_mass(), damper=damper)


def made(station: lab.Station | None = None, **given) -> SetupCard:
    station = lab.load_station(SCOOTER) if station is None else station
    return setup_card(station, **{"date": "2026-03-09", **given})


def words(card: SetupCard) -> str:
    return "\n".join(card.texts)


def test_sags_are_weight_over_rate_less_preload():
    """Closed form: a linear spring with ratio 1 rests at m g / k - preload."""
    facts = dict(made(one_mass()).facts)
    free, rider = ((mass * GRAVITY / RATE - PRELOAD) * 1e3 for mass in (MASS - RIDER, MASS))
    assert facts["Free sag, vehicle alone"] == f"{free:.0f} mm, at the wheel"
    assert facts["Rider sag, with this load"] == f"{rider:.0f} mm, at the wheel"
    assert facts["Rider and load on this wheel"] == "40 kg"
    assert facts["Spring preload"].startswith("10 mm")


def test_the_target_is_half_a_second_at_50_mm_and_goes_with_the_root():
    """Common practice: half a second for a static deflection of 50 mm; period of a mass on a spring between."""
    target = 0.5 * math.sqrt(MASS * GRAVITY / RATE / 0.050)
    said = words(made(one_mass()))
    assert f"after about {target:.2f} s; up to {1.2 * target:.2f} s counts as met" in said
    assert "At most one swing." in said


def test_the_simulated_time_is_that_of_critical_damping():
    """Closed form: (1 + w t) exp(-w t) = 0.05 at w t = 4.744; critically damped, it does not swing."""
    (seconds,) = re.findall(r"The simulation takes ([\d.]+) s and swings not at all", words(made(one_mass())))
    assert float(seconds) == pytest.approx(4.744 / math.sqrt(RATE / MASS), abs=0.015)
    assert "within 1.2 mm" in words(made(one_mass()))  # 5 % of 25 mm


@pytest.mark.parametrize("name", lab.demo_vehicles())
def test_each_adjuster_stands_with_its_clicks_and_range_and_the_vehicle_is_marked_invented(name: str):
    station = lab.load_station(name)
    card = made(station)
    assert card.title == f"{station.name} (invented)"
    assert [setting.clicks for setting in card.settings] == [str(station.clicks[each]) for each in station.clicks]
    assert len(card.settings) == len(station.damper.adjusters)
    for setting, most in zip(card.settings, station.damper.adjusters.values(), strict=True):
        assert setting.reach == ("clicks out from closed", f"0 (clockwise end) to {most}")
    assert made(replace(station, name="Ours")).title == "Ours"


def test_a_single_compression_adjuster_has_no_speed_in_its_name():
    assert [setting.label for setting in made(lab.load_station("courier_scooter_front")).settings] == [
        "Rebound",
        "Compression",
    ]


def test_the_clicks_that_pass_are_those_that_pass_one_by_one():
    station = lab.load_station(SCOOTER)
    first, last = map(int, re.search(r"clicks (\d+) to (\d+) of rebound pass", words(made(station))).groups())
    for click in (first, last):
        assert verdict_on(station.with_clicks(rebound=click)) is Verdict.PASSES
    for click in (first - 1, last + 1):
        assert verdict_on(station.with_clicks(rebound=click)) is not Verdict.PASSES


def test_every_caution_is_there_and_no_authority_is_invented():
    said = words(made(tyre_pressure_bar=2.2, remark="Old town"))
    for caution in (TURNING, STANDING, RIDING, OPENING):
        assert caution in said
    assert "the maker's manual comes first" in said
    assert not re.search(r"approv|certif|guarantee|licen[cs]ed by|stamp|inspected", said, re.IGNORECASE)
    assert "2.2 bar" in said
    assert "Old town" in said
    assert "bar" not in words(made()).split()


def test_compression_is_pushed_only_where_it_can_be_set():
    assert "quick push" in words(made())
    fixed = words(made(one_mass()))
    assert "quick push" not in fixed
    assert "This damper has no adjusters" in fixed
    assert "close rebound" not in fixed


def test_it_says_where_the_numbers_come_from():
    assert "simulated from the values in the vehicle's file, with oil at 20\N{NO-BREAK SPACE}°C" in made().origin
    assert "none was measured" in made().origin
    assert "oil" not in made(one_mass()).origin
    card = made(measured=MeasuredAtVehicle(return_time=0.42, swings=1, free_sag=0.009, rider_sag=0.0281))
    assert "Measured at the vehicle: return 0.42 s, 1 swing, free sag 9 mm, rider sag 28 mm." in card.origin
    assert "All other numbers are simulated" in card.origin
    assert dict(card.facts)["Rider sag, with this load"].endswith("; measured 28 mm")


def test_the_date_is_the_given_one_and_only_without_one_today(monkeypatch: pytest.MonkeyPatch):
    class Today(datetime.date):
        @classmethod
        def today(cls) -> datetime.date:
            return datetime.date(2031, 7, 5)

    monkeypatch.setattr("suspension_lab.workshop.setup_card.datetime.date", Today)
    assert made(date="2026-03-09").date == "2026-03-09"
    assert made(date=Today(2025, 1, 2)).date == "2025-01-02"
    assert made(date=datetime.datetime(2025, 1, 2, 23, 59)).date == "2025-01-02"
    assert made(date=None).date == "2031-07-05"


def test_a_rebound_that_fails_gets_no_card_and_is_told_what_passes():
    station = lab.load_station(SCOOTER)
    for click, why in ((24, "swings on, too open"), (0, "creeps back, too closed")):
        with pytest.raises(lab.LabError) as told:
            made(station.with_clicks(rebound=click))
        said = str(told.value)
        assert is_one_sentence(said)
        assert f"rebound {click} of {station.name} {why}" in said
        first, last = map(int, re.search(r"clicks (\d+) to (\d+) would pass", said).groups())
        assert made(station.with_clicks(rebound=first)) != made(station.with_clicks(rebound=last))


def test_compression_too_closed_for_the_test_gets_no_card():
    """Textbook: at z = 0.3 it rises past ride height by exp(-pi z / sqrt(1 - z^2)) = 37 %; 12 times critical then lets
    it creep down."""
    assert made(closed_compression(2)).settings[1].clicks == "2"
    with pytest.raises(lab.LabError, match="open compression first") as told:
        made(closed_compression(0))
    assert is_one_sentence(str(told.value))


WRONG = {
    "nothing to set and it swings on": (one_mass(0.1), {}, "swings on.*has no rebound clicks to mend it"),
    "on its stop": (lab.load_station(SCOOTER).with_rider(400.0), {}, "No card is made: .* bump stop|bottomed out"),
    "another word for a date": (None, {"date": "9.3.2026"}, "date is '9.3.2026', where a day .* YYYY-MM-DD"),
    "no such day": (None, {"date": "2026-02-30"}, "date is '2026-02-30'"),
    "a number for a date": (None, {"date": 20260309}, "date is 2.026031e.07"),
    "pressure in kPa": (None, {"tyre_pressure_bar": 220.0}, "tyre pressure is 220 bar, where 0.2 to 12 bar"),
    "no number": (None, {"tyre_pressure_bar": math.nan}, "tyre pressure is nan"),
    "a long remark": (None, {"remark": "x" * 401}, "remark has 401 characters, where at most 400"),
    "no remark": (None, {"remark": 7}, "remark is 7, where a text"),
    "a long name": (replace(one_mass(), name="x" * 151), {}, "name has 151 characters"),
    "measured as a table": (None, {"measured": {"swings": 1}}, "measured values are a table"),
    "measured two swings": (None, {"measured": MeasuredAtVehicle(swings=2)}, "2 swings were measured.*close rebound"),
    "measured too long": (None, {"measured": MeasuredAtVehicle(return_time=0.9)}, "0.90 s was measured.*at most 0.55"),
    "measured beyond": (None, {"measured": MeasuredAtVehicle(rider_sag=0.2)}, "rider sag of 200 mm is more than.*80"),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG)
def test_what_cannot_be_on_a_card_is_one_sentence(case: str):
    station, given, says = WRONG[case]
    with pytest.raises(lab.LabError, match=says) as told:
        made(station, **given)
    assert is_one_sentence(str(told.value))


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"return_time": 420.0}, "measured return time is 420 s, where 0.02 to 30 s"),
        ({"swings": 1.5}, "measured swings is 1.5, where a whole number"),
        ({"free_sag": -0.01}, "measured free sag is -0.01 m"),
        ({"rider_sag": 28.0}, "measured rider sag is 28 m, where 0 to 1 m"),
        ({"free_sag": 0.03, "rider_sag": 0.02}, "free sag of 30 mm is more than the rider sag of 20 mm"),
    ],
)
def test_what_cannot_have_been_measured_is_one_sentence(given: dict[str, float], says: str):
    with pytest.raises(lab.LabError, match=says) as told:
        MeasuredAtVehicle(**given)
    assert is_one_sentence(str(told.value))


def test_line_breaks_and_signs_that_cannot_be_printed_become_spaces():
    assert made(remark="one\ntwo\t\x07 three\u200b").remark == "one two three"
