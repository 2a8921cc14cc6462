"""The vehicle of a command, and where it differs from its file."""

from __future__ import annotations

import argparse

from suspension_lab.cli.arguments import Parser, number, whole
from suspension_lab.common import checks
from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.vehicle.clicks import ADJUSTERS
from suspension_lab.vehicle.oil import COLDEST, HOTTEST, ZERO_CELSIUS
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.vehicle.wear import FAULTS, with_fault

FAULTS_AS_TYPED = {fault.replace("_", "-"): fault for fault in FAULTS}


def add_vehicle(parser: Parser) -> None:
    """The vehicle itself."""
    parser.add_argument("vehicle", metavar="VEHICLE", help="a vehicle file (.toml), or the name of a demo vehicle")


def add_clicks(parser: Parser, title: str, *, before: str = "") -> None:
    """An option for each adjuster.

    Args:
        parser: of the command.
        title: of their group in the help.
        before: word before each name, as 'then-'.
    """
    group = parser.add_argument_group(title)
    for name in ADJUSTERS:
        side = "" if name == "rebound" else " compression"
        label = name.replace("_", "-")
        group.add_argument(
            f"--{before}{label}", type=whole, metavar="CLICKS", help=f"{label}{side} clicks out from closed"
        )


def add_state(parser: Parser, *, faults: bool = False) -> None:
    """Options for load and oil, and for what is worn."""
    group = parser.add_argument_group("its state, where it differs from its file")
    group.add_argument("--rider", type=number, metavar="KG", help="mass of rider and load on this wheel")
    group.add_argument("--oil-temperature", type=number, metavar="C", help="of a damper given by its parts (degC)")
    if faults:
        known = ", ".join(FAULTS_AS_TYPED)
        group.add_argument("--fault", metavar="FAULT", help=f"what is worn or wrong: {known}")


def vehicle_as_set(arguments: argparse.Namespace) -> Station:
    """The vehicle of a command with its options applied.

    Raises:
        LabError: no such vehicle, a fault in its file, or an option that it cannot take.
    """
    station = load_station(arguments.vehicle)
    if arguments.rider is not None:
        checks.number("--rider", arguments.rider, "kg", low=0.0, high=5000.0)
        station = station.with_rider(arguments.rider)
    station = station.with_clicks(**{name: getattr(arguments, name) for name in ADJUSTERS})
    if arguments.oil_temperature is not None:
        low, high = COLDEST - ZERO_CELSIUS, HOTTEST - ZERO_CELSIUS
        checks.number("--oil-temperature", arguments.oil_temperature, "°C", low=low, high=high)
        station = station.with_oil_temperature(ZERO_CELSIUS + arguments.oil_temperature)
    fault = getattr(arguments, "fault", None)
    if fault is not None:
        if fault not in FAULTS_AS_TYPED:
            raise LabError(f"There is no fault {shown(fault)}; {nearest_name(fault, FAULTS_AS_TYPED)}")
        station = with_fault(station, FAULTS_AS_TYPED[fault])
    return station
