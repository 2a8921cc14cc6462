"""The tests of `suspension-lab run`: which settings belong to each, and what is then done to the station."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from suspension_lab.common.checks import number, whole
from suspension_lab.common.errors import LabError, shown
from suspension_lab.excitation import roads
from suspension_lab.excitation.bump_ride import BUMPS_IN_A_ROW, level_at
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.excitation.hand import Push, Release
from suspension_lab.excitation.plate import ShakerPlate
from suspension_lab.excitation.road import Ride, Road

PATCH_EVERY = 6.0
"""Patched asphalt has one patch on so much road [m]."""


Value = float | str | None
"""Of a setting: a number in the trade's unit, a letter, or None for as long as the road goes on."""


@dataclass(frozen=True, kw_only=True)
class Setting:
    """A setting in the trade's unit, with the range in which it can be meant, or one of some letters."""

    mark: str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    whole: bool = False
    letters: str = ""
    help: str

    def checked(self, option: str, value: Any) -> Value:
        """The value, held to be in range.

        Raises:
            LabError: a value out of its range, or another letter.
        """
        if self.letters:
            letter = str(value).upper()
            if len(letter) != 1 or letter not in self.letters:
                first, last = self.letters[0], self.letters[-1]
                raise LabError(f"{option} is {shown(value)}, where one of the letters {first} to {last} was expected.")
            return letter
        if self.whole:
            return whole(option, value, low=int(self.low), high=int(self.high))
        return number(option, value, self.unit, low=self.low, high=self.high)


SETTINGS = {
    "depth": Setting(mark="MM", unit="mm", low=1, high=500, help="how far the body is held down; a pothole's depth"),
    "force": Setting(mark="N", unit="N", low=1, high=2000, help="peak force of the hand"),
    "rise": Setting(mark="S", unit="s", low=0.01, high=10, help="time in which the force rises"),
    "hold": Setting(mark="S", unit="s", low=0, high=60, help="time it is held at its peak"),
    "speed": Setting(mark="KM_H", unit="km/h", low=1, high=300, help="speed of the ride"),
    "height": Setting(mark="MM", unit="mm", low=0.1, high=1000, help="of a bump, patch or step; a pothole's depth"),
    "length": Setting(mark="M", unit="m", low=0.02, high=2000, help="of a bump or a road; from bump to bump or joint"),
    "class": Setting(mark="LETTER", letters="".join(roads.ROAD_CLASSES), help="of the random road, A smooth to H"),
    "seed": Setting(mark="N", low=0, high=1_000_000, whole=True, help="another seed is another road of the same kind"),
    "stroke": Setting(mark="MM", unit="mm", low=0.1, high=100, help="of the plate, from lowest to highest"),
    "from": Setting(mark="HZ", unit="Hz", low=1, high=50, help="frequency at which the plate starts"),
    "to": Setting(mark="HZ", unit="Hz", low=1, high=50, help="frequency at which it ends; the same: a steady one"),
}
DEFAULTS: dict[str, dict[str, Value]] = {
    "release": {"depth": 35.0},
    "push": {"force": 400.0, "rise": 0.08, "hold": 0.2},
    "pothole": {"speed": 30.0, "height": 40.0, "length": 0.4},
    "kerb": {"speed": 30.0, "height": 40.0, "length": None},
    "long-hump": {"speed": 30.0, "height": 40.0, "length": 5.0},
    "round-top-hump": {"speed": 30.0, "height": 75.0, "length": 3.7},
    "washboard": {"speed": 30.0, "height": 20.0, "length": 0.6},
    "cobbles": {"speed": 30.0, "length": 20.0, "seed": 0},
    "patched-asphalt": {"speed": 30.0, "height": 8.0, "length": 60.0, "seed": 0},
    "expansion-joints": {"speed": 30.0, "height": 5.0, "length": 5.0},
    "random-road": {"class": "C", "speed": 30.0, "length": 200.0, "seed": 0},
    "road": {"speed": 30.0},
    "plate": {"stroke": 6.0, "from": 25.0, "to": 5.0},
}
"""Test -> its settings and their usual values."""


def _words(test: str) -> str:
    words = []
    for name, value in DEFAULTS[test].items():
        usual = f"{value:g}" if isinstance(value, float) else "(none: it stays up)" if value is None else str(value)
        words.append(f"--{name} {usual} {SETTINGS[name].unit if value is not None else ''}".rstrip())
    return ", ".join([*words, "--profile FILE (needed)"] if test == "road" else words)


TESTS = {test: _words(test) for test in DEFAULTS}
"""Test -> its settings in words."""
EXAMPLES = (
    "courier_scooter_rear release --rebound 20",
    "courier_scooter_rear release --oil-temperature 70",
    "courier_scooter_rear push --force 400 --rise 0.05 --low-speed 4",
    "trail_bike_rear pothole --speed 40 --depth 60 --picture pothole.png",
    "courier_scooter_rear random-road --class D --seed 3 --speed 45",
    "courier_scooter_front plate --from 25 --to 8",
    "my_vehicle.toml road --profile my_road.csv --speed 50 --csv run.csv",
)


def own_settings(test: str, given: Mapping[str, Any]) -> dict[str, Value]:
    """The settings of a test: those given, and the usual values of the others.

    Args:
        test: a key of `TESTS`.
        given: name -> value in the trade's unit, or None; other entries are not looked at.

    Raises:
        LabError: a setting that does not belong to this test, or a value out of its range.
    """
    asked = {name: given[name] for name in SETTINGS if given.get(name) is not None}
    if test == "pothole" and "depth" in asked:
        if "height" in asked:
            raise LabError("--depth and --height both mean the pothole's depth; give one of them.")
        asked["height"] = number("--depth", asked.pop("depth"), "mm", low=0.1, high=1000.0)
    for name, value in asked.items():
        if name not in DEFAULTS[test]:
            raise LabError(f"--{name} does not belong to the test {test}, which takes {TESTS[test]}; leave it out.")
        asked[name] = SETTINGS[name].checked(f"--{name}", value)
    profile = given.get("profile")
    if profile is not None and test != "road":
        raise LabError(f"--profile does not belong to the test {test}, which takes {TESTS[test]}; leave it out.")
    if profile is None and test == "road":
        raise LabError("The test road needs a profile; give --profile and a CSV of distance and height.")
    return DEFAULTS[test] | asked


def excitation(test: str, settings: Mapping[str, Value], profile: Road | None = None) -> Excitation:
    """What a test does to the station.

    Args:
        test: a key of `TESTS`.
        settings: from `own_settings`.
        profile: of the test road.

    Raises:
        LabError: a bump or road that cannot be.
    """
    value = {name: entry for name, entry in settings.items() if isinstance(entry, float | int)}
    if test == "release":
        return Release(depth=1e-3 * value["depth"])
    if test == "push":
        return Push(peak_force=value["force"], rise_time=value["rise"], hold_time=value["hold"])
    if test == "plate":
        return ShakerPlate(stroke=1e-3 * value["stroke"], start_frequency=value["from"], end_frequency=value["to"])
    speed = value["speed"] / 3.6
    if test == "road":
        assert profile is not None
        return Ride(profile.with_run_in(), speed)
    if test == "random-road":
        road = roads.iso8608(str(settings["class"]), length=value["length"], seed=int(value["seed"]))
        return Ride(road, speed)
    return Ride(_bump(test, value, level_at(speed)), speed)


def _bump(test: str, value: Mapping[str, float], level: dict[str, float]) -> Road:
    length, height, seed = value.get("length"), 1e-3 * value.get("height", 0.0), int(value.get("seed", 0))
    if test == "kerb":
        return roads.kerb(height=height, length=length, **level)
    assert length is not None
    if test == "pothole":
        return roads.pothole(depth=height, length=length, **level)
    if test == "long-hump":
        return roads.long_hump(height=height, length=length, **level)
    if test == "round-top-hump":
        return roads.round_top_hump(height=height, length=length, **level)
    if test == "cobbles":
        return roads.cobbles(length=length, seed=seed, **level)
    if test == "patched-asphalt":
        patches = max(1, round(length / PATCH_EVERY))
        return roads.patched_asphalt(length=length, patches=patches, height=height, seed=seed, **level)
    if test == "expansion-joints":
        return roads.expansion_joints(spacing=length, step=height, joints=12, **level)
    return roads.washboard(height=height, wavelength=length, bumps=BUMPS_IN_A_ROW, **level)
