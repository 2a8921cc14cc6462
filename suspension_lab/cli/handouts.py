"""`suspension-lab handouts OUT.pdf`: the sheets of a class, to print."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from suspension_lab.cli.arguments import Parser
from suspension_lab.cli.text import listed
from suspension_lab.cli.writing import writable, written_bytes
from suspension_lab.common.errors import LabError, shown
from suspension_lab.workshop.cautions import AT_THE_VEHICLE


def add_to(commands: Any) -> dict[str, Parser]:
    """Add this command to the parser."""
    parser: Parser = commands.add_parser(
        "handouts",
        help="make the sheets of a class, to print",
        description=(
            "Make four pages of A4: predictions, workshop sheet, what an observation means, results of the class."
        ),
        epilog=(
            "Examples:  suspension-lab handouts handouts.pdf\n"
            "           suspension-lab handouts van.pdf --vehicle delivery_van_corner\n\n"
            "Exit codes: 0 done; 2 bad input; 3 could not write."
        ),
    )
    parser.add_argument("out", metavar="OUT", help="the file: a name ending in .pdf")
    parser.add_argument(
        "--vehicle",
        metavar="VEHICLE",
        default="courier_scooter_rear",
        help="whose adjusters the workshop sheet has: a vehicle file, or a demo vehicle's name",
    )
    return {"handouts": parser}


def handouts(arguments: argparse.Namespace) -> int:
    """Write the handouts.

    Returns:
        0.

    Raises:
        LabError: no such vehicle, another ending, or a place that cannot be written.
    """
    out = Path(arguments.out)
    if out.suffix.lower() != ".pdf":
        raise LabError(f"OUT is {shown(arguments.out)}, where a name ending in .pdf was expected.")
    writable(out)
    from suspension_lab.lab.handout_pages import encoded

    content = encoded(arguments.vehicle)
    word = written_bytes(out, content)
    print(listed("Cautions", AT_THE_VEHICLE))
    print(f"\n{word}: {out}")
    return 0
