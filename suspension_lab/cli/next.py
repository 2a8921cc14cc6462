"""`suspension-lab next VEHICLE CLICKS:SECONDS[:SWINGS] ...`: the next rebound click to try."""

from __future__ import annotations

import argparse
import math
from typing import Any

from suspension_lab.cli.arguments import Parser, number
from suspension_lab.cli.text import listed, table
from suspension_lab.cli.vehicle_options import add_clicks, add_state, add_vehicle, vehicle_as_set
from suspension_lab.common.errors import LabError, shown
from suspension_lab.workshop.next_click import STOPWATCH, next_click
from suspension_lab.workshop.release_test import target_time


def add_to(commands: Any) -> dict[str, Parser]:
    """Add this command to the parser."""
    parser: Parser = commands.add_parser(
        "next",
        help="the next rebound click to try",
        description="From releases timed at the vehicle: the next rebound click to try, in what range, and why.",
        epilog=(
            "Examples:  suspension-lab next courier_scooter_rear\n"
            "           suspension-lab next my_vehicle.toml 9:0.52:2 6:0.31:0\n\n"
            "A release that never settled is written as 3:inf:0. The order is that in which you measured.\n\n"
            "Exit codes: 0 done; 2 bad input."
        ),
    )
    add_vehicle(parser)
    parser.add_argument(
        "measured", nargs="*", metavar="CLICKS:SECONDS:SWINGS",
        help="rebound clicks out, seconds until it has settled, visible swings (they may be left out)",
    )  # fmt: skip
    parser.add_argument("--target", type=number, metavar="S", help="wished time (default: the vehicle's own)")
    parser.add_argument("--tolerance", type=number, metavar="S", help="how much slower than it is near enough")
    parser.add_argument("--scatter", type=number, default=STOPWATCH, metavar="S", help="of your stopwatch")
    add_clicks(parser, "the vehicle's other clicks, where they differ from its file")
    add_state(parser)
    return {"next": parser}


def next_one(arguments: argparse.Namespace) -> int:
    """Print what to try next.

    Returns:
        0.

    Raises:
        LabError: a vehicle or a measurement that cannot be.
    """
    station = vehicle_as_set(arguments)
    tries = [_measured(text) for text in arguments.measured]
    target = target_time(station) if arguments.target is None else arguments.target
    answer = next_click(
        tries, arguments.target, station=station, tolerance=arguments.tolerance, uncertainty=arguments.scatter
    )  # fmt: skip
    what = "done" if answer.done else "out of reach" if answer.click is None else f"try rebound {answer.click}"
    rows = [("Target", f"{target:.2f} s"), ("Passes if settled by", f"{answer.limit:.2f} s"), ("Answer", what)]
    if answer.reachable and answer.low < answer.high:
        rows.append(("At least half as likely", f"rebound {answer.low} to {answer.high}"))
    print(station.name)
    print(table(rows))
    print("\n" + listed("In words", answer.sentences))
    return 0


def _measured(text: str) -> tuple[float, ...]:
    parts = text.replace(",", ".").split(":")
    try:
        clicks, seconds = int(parts[0]), float(parts[1])
        swings = (int(parts[2]),) if len(parts) == 3 else ()
    except (ValueError, IndexError):
        parts = []
    if len(parts) not in (2, 3) or math.isnan(seconds):
        raise LabError(f"{shown(text)} was given, where clicks:seconds:swings was expected, as 9:0.52:1.")
    return (clicks, seconds, *swings)
