"""The benches, each one call in a notebook."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from suspension_lab.excitation.bump_ride import bump
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.excitation.hand import Push, Release
from suspension_lab.excitation.road import Ride
from suspension_lab.lab.bench import Bench
from suspension_lab.lab.click_map import ClickMapTrial
from suspension_lab.lab.evenness import EvennessTrial
from suspension_lab.lab.inside import InsideTrial
from suspension_lab.lab.trial import Choice, MotionTrial, Setting
from suspension_lab.lab.warming import WarmingTrial
from suspension_lab.workshop.cautions import RIDING_TEST, STANDING_TEST


def release_bench(vehicle: str = "courier_scooter_rear") -> Bench:
    """Hold the body down, let go, and time its return: the bench for rebound.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """

    def release(now: Mapping[str, Any]) -> Excitation:
        return Release(depth=1e-3 * now["depth"])

    return Bench(
        vehicle,
        MotionTrial(
            adjusters=("rebound", "low_speed"),
            settings={"depth": Setting(label="Held down by", unit="mm", low=20, high=60, value=35)},
            excitation=release,
            cautions=STANDING_TEST,
        ),
    )


def push_bench(vehicle: str = "courier_scooter_rear") -> Bench:
    """Push on the body, slowly or quickly: the bench for compression.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """

    def push(now: Mapping[str, Any]) -> Excitation:
        return Push(peak_force=now["force"], rise_time=1e-3 * now["rise"], hold_time=0.2)

    return Bench(
        vehicle,
        MotionTrial(
            adjusters=("low_speed", "high_speed", "rebound"),
            settings={
                "force": Setting(label="Force of the hand", unit="N", low=100, high=800, value=400),
                "rise": Setting(label="Time to reach it", unit="ms", low=40, high=1500, value=80),
            },
            excitation=push,
            cautions=STANDING_TEST,
        ),
    )


def bump_bench(vehicle: str = "courier_scooter_rear") -> Bench:
    """Drive over something short and sharp, or long: the bench for low-speed and high-speed compression.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """

    def ride(now: Mapping[str, Any]) -> Excitation:
        speed = now["speed"] / 3.6
        return Ride(bump(now["shape"], 1e-3 * now["height"], speed), speed)

    return Bench(
        vehicle,
        MotionTrial(
            on_road=True,
            adjusters=("low_speed", "high_speed", "rebound"),
            choices={"shape": Choice(label="On the road", options=BUMPS)},
            settings={
                "height": Setting(label="Its height or depth", unit="mm", low=5, high=100, value=40),
                "speed": Setting(label="Speed", unit="km/h", low=5, high=60, value=30),
            },
            excitation=ride,
            cautions=RIDING_TEST,
        ),
    )


def cutaway_bench(vehicle: str = "courier_scooter_rear") -> Bench:
    """Look into the damper while it works: what the clicks open, who carries the oil, and the pressures.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file, with a damper described by its parts.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """
    return Bench(vehicle, InsideTrial())


def warm_up_bench(vehicle: str = "courier_scooter_rear") -> Bench:
    """Minutes of riding: how warm the oil gets, with a reservoir and without, and what it does to the release test.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file, with a damper described by its parts.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """
    return Bench(vehicle, WarmingTrial())


def evenness_bench(vehicle: str = "courier_scooter_rear") -> Bench:
    """Ride the same road from soft to hard: how evenly the tyre is pressed, how comfortable it is, and where one sits.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """
    return Bench(vehicle, EvennessTrial())


def click_map_bench(vehicle: str = "courier_scooter_rear", opens: Bench | None = None) -> Bench:
    """Every combination of two adjusters' clicks on one road, as a map: where the valley lies, and where one stands.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file, with a wheel and two adjusters.
        opens: another bench to which a button hands the present setting; None: there is no such button.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """
    return Bench(vehicle, ClickMapTrial(opens=opens))


BUMPS = {
    "Pothole, 0.4 m long": "pothole",
    "Kerb, up": "kerb",
    "Long hump, 5 m": "long_hump",
    "Washboard, 12 bumps of 0.6 m": "washboard",
}
