"""`suspension-lab what-if VEHICLE TEST ... --then-rebound N`: what a change does."""

from __future__ import annotations

import argparse
from typing import Any

from suspension_lab.cli.arguments import Parser, whole
from suspension_lab.cli.text import listed
from suspension_lab.cli.trials import TESTS, excitation, own_settings
from suspension_lab.cli.vehicle_options import add_clicks, add_state, add_vehicle, vehicle_as_set
from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.vehicle.clicks import ADJUSTERS
from suspension_lab.workshop.cautions import RIDING_TEST
from suspension_lab.workshop.reading_what_if import read_what_if
from suspension_lab.workshop.what_if import SAMPLES, Change, what_if

USUAL = ("release", "push", "pothole")


def add_to(commands: Any) -> dict[str, Parser]:
    """Add this command to the parser."""
    parser: Parser = commands.add_parser(
        "what-if",
        help="what a change of clicks does",
        description="Before and after on some tests: each measure with its change, and whether it stands out.",
        epilog=(
            "Examples:  suspension-lab what-if courier_scooter_rear --then-rebound 6\n"
            "           suspension-lab what-if my_vehicle.toml random-road kerb --low-speed 10 --then-low-speed 4\n\n"
            "Each test has its usual settings, as `suspension-lab run` has them.\n\nExit codes: 0 done; 2 bad input."
        ),
    )
    add_vehicle(parser)
    known = ", ".join(test for test in TESTS if test != "road")
    parser.add_argument("tests", nargs="*", metavar="TEST", help=f"some of {known} (default: {' '.join(USUAL)})")
    add_clicks(parser, "the clicks before, where they differ from its file")
    add_clicks(parser, "the clicks after", before="then-")
    add_state(parser)
    parser.add_argument("--variations", type=whole, default=SAMPLES, metavar="N", help=f"default {SAMPLES}")
    return {"what-if": parser}


def what_if_as_asked(arguments: argparse.Namespace) -> int:
    """Print what the change does.

    Returns:
        0.

    Raises:
        LabError: a vehicle, test or change that cannot be, or no change at all.
    """
    before = vehicle_as_set(arguments)
    then = {name: getattr(arguments, f"then_{name}") for name in ADJUSTERS}
    if all(value is None for value in then.values()):
        raise LabError("No change was given; give one or more of --then-rebound, --then-low-speed, --then-high-speed.")
    tests = arguments.tests or [*USUAL]
    for test in tests:
        if test not in TESTS or test == "road":
            raise LabError(f"There is no test {shown(test)} for a what-if; {nearest_name(test, TESTS)}")
    done = [excitation(test, own_settings(test, {})) for test in tests]
    answer = what_if(before, before.with_clicks(**then), done, samples=arguments.variations)
    print(f"{before.name}: {before.clicks} → {answer.after.clicks}\n")
    print("\n".join(_rows([change for change in answer.changes if change.worth_a_word])))
    print("\n" + listed("In words", read_what_if(answer)))
    print("\n" + listed("Before you act", RIDING_TEST))
    return 0


def _rows(changes: list[Change]) -> list[str]:
    if not changes:
        return ["  Nothing changes by more than is worth a word."]
    cells = [("Test", "Measure", "Before → after", "", "")] + [
        (
            change.test, change.kind.name, f"{change.before.shown} → {change.after.text}", change.direction,
            "stands out" if change.sure and change.stands_out else "sure" if change.sure else "not sure",
        )
        for change in changes
    ]  # fmt: skip
    widths = [max(len(row[column]) for row in cells) for column in range(5)]
    return ["  " + "  ".join(text.ljust(width) for text, width in zip(row, widths, strict=True)).rstrip()
            for row in cells]  # fmt: skip
