"""The tests of `suspension-lab run`: which settings belong to each, and what is then done to the station."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from suspension_lab.common.checks import number
from suspension_lab.common.errors import LabError
from suspension_lab.excitation import roads
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.excitation.hand import Push, Release
from suspension_lab.excitation.road import Ride, Road

RUN_IN_TIME, RUN_OUT_TIME = 0.3, 1.5
"""Level road before and after a bump, as time at the ride's speed [s]; as on the benches."""


@dataclass(frozen=True, kw_only=True)
class Setting:
    """A setting in the trade's unit, with the range in which it can be meant."""

    mark: str
    unit: str
    low: float
    high: float
    help: str


SETTINGS = {
    "depth": Setting(mark="MM", unit="mm", low=1, high=500, help="how far the body is held down; a pothole's depth"),
    "force": Setting(mark="N", unit="N", low=1, high=2000, help="peak force of the hand"),
    "rise": Setting(mark="S", unit="s", low=0.01, high=10, help="time in which the force rises"),
    "hold": Setting(mark="S", unit="s", low=0, high=60, help="time it is held at its peak"),
    "speed": Setting(mark="KM_H", unit="km/h", low=1, high=300, help="speed of the ride"),
    "height": Setting(mark="MM", unit="mm", low=0.1, high=1000, help="of a kerb, hump or bump; also a pothole's depth"),
    "length": Setting(mark="M", unit="m", low=0.02, high=200, help="of a pothole, kerb or hump; from bump to bump"),
}
DEFAULTS: dict[str, dict[str, float | None]] = {
    "release": {"depth": 35.0},
    "push": {"force": 400.0, "rise": 0.08, "hold": 0.2},
    "pothole": {"speed": 30.0, "height": 40.0, "length": 0.4},
    "kerb": {"speed": 30.0, "height": 40.0, "length": None},
    "long-hump": {"speed": 30.0, "height": 40.0, "length": 5.0},
    "washboard": {"speed": 30.0, "height": 20.0, "length": 0.6},
    "road": {"speed": 30.0},
}
"""Test -> its settings and their usual values; None: as long as the road goes on."""


def _words(test: str) -> str:
    words = []
    for name, value in DEFAULTS[test].items():
        unit = SETTINGS[name].unit
        words.append(f"--{name} {value:g} {unit}" if value is not None else f"--{name} (none: it stays up)")
    return ", ".join([*words, "--profile FILE (needed)"] if test == "road" else words)


TESTS = {test: _words(test) for test in DEFAULTS}
"""Test -> its settings in words."""
EXAMPLES = (
    "courier_scooter_rear release --rebound 20",
    "courier_scooter_rear release --oil-temperature 70",
    "courier_scooter_rear push --force 400 --rise 0.05 --low-speed 4",
    "trail_bike_rear pothole --speed 40 --depth 60 --picture pothole.png",
    "my_vehicle.toml road --profile my_road.csv --speed 50 --csv run.csv",
)


def own_settings(test: str, given: Mapping[str, Any]) -> dict[str, float | None]:
    """The settings of a test: those given, and the usual values of the others.

    Args:
        test: a key of `TESTS`.
        given: name -> value in the trade's unit, or None; other entries are not looked at.

    Raises:
        LabError: a setting that does not belong to this test, or a value out of its range.
    """
    asked = {name: float(given[name]) for name in SETTINGS if given.get(name) is not None}
    if test == "pothole" and "depth" in asked:
        if "height" in asked:
            raise LabError("--depth and --height both mean the pothole's depth; give one of them.")
        asked["height"] = number("--depth", asked.pop("depth"), "mm", low=0.1, high=1000.0)
    for name, value in asked.items():
        if name not in DEFAULTS[test]:
            raise LabError(f"--{name} does not belong to the test {test}, which takes {TESTS[test]}; leave it out.")
        setting = SETTINGS[name]
        number(f"--{name}", value, setting.unit, low=setting.low, high=setting.high)
    profile = given.get("profile")
    if profile is not None and test != "road":
        raise LabError(f"--profile does not belong to the test {test}, which takes {TESTS[test]}; leave it out.")
    if profile is None and test == "road":
        raise LabError("The test road needs a profile; give --profile and a CSV of distance and height.")
    return DEFAULTS[test] | asked


def excitation(test: str, settings: Mapping[str, float | None], profile: str | None = None) -> Excitation:
    """What a test does to the station.

    Args:
        test: a key of `TESTS`.
        settings: from `own_settings`.
        profile: of the test road.

    Raises:
        LabError: a profile that cannot be read, or a bump that cannot be.
    """
    value = {name: entry for name, entry in settings.items() if entry is not None}
    if test == "release":
        return Release(depth=1e-3 * value["depth"])
    if test == "push":
        return Push(peak_force=value["force"], rise_time=value["rise"], hold_time=value["hold"])
    speed = value["speed"] / 3.6
    if test == "road":
        assert profile is not None
        return Ride(roads.read_csv(profile).with_run_in(), speed)
    return Ride(_bump(test, 1e-3 * value["height"], value.get("length"), speed), speed)


def _bump(test: str, height: float, length: float | None, speed: float) -> Road:
    level = {"run_in": RUN_IN_TIME * speed, "run_out": RUN_OUT_TIME * speed}
    if test == "kerb":
        return roads.kerb(height=height, length=length, **level)
    assert length is not None
    if test == "pothole":
        return roads.pothole(depth=height, length=length, **level)
    if test == "long-hump":
        return roads.long_hump(height=height, length=length, **level)
    return roads.washboard(height=height, wavelength=length, bumps=12, **level)
