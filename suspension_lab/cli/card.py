"""`suspension-lab card VEHICLE OUT.pdf [settings]`: a setup card for the workshop's wall."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from suspension_lab.cli.arguments import Parser, number
from suspension_lab.cli.text import listed, table
from suspension_lab.cli.vehicle_options import add_clicks, add_state, add_vehicle, vehicle_as_set
from suspension_lab.cli.writing import writable, written_bytes
from suspension_lab.common.errors import LabError, shown
from suspension_lab.workshop.setup_card import setup_card


def add_to(commands: Any) -> dict[str, Parser]:
    """Add this command to the parser."""
    parser: Parser = commands.add_parser(
        "card",
        help="make a setup card for the wall",
        description="Make a page of A4 with a vehicle's settings, how to test them, and cautions.",
        epilog=(
            "Examples:  suspension-lab card courier_scooter_rear card.pdf\n"
            "           suspension-lab card my_vehicle.toml card.png --rebound 8 --tyre-pressure 2.2\n\n"
            "A rebound that fails the release test gets no card.\n\n"
            "Exit codes: 0 done; 2 bad input; 3 could not write."
        ),
    )
    add_vehicle(parser)
    parser.add_argument("out", metavar="OUT", help="the card: a name ending in .pdf or .png")
    add_clicks(parser, "the vehicle's clicks, where they differ from its file")
    add_state(parser)
    words = parser.add_argument_group("what else stands on the card")
    words.add_argument("--date", metavar="YYYY-MM-DD", help="of the card (default: today)")
    words.add_argument("--tyre-pressure", type=number, metavar="BAR", help="cold")
    words.add_argument("--remark", default="", metavar="TEXT", help="a sentence of your own")
    return {"card": parser}


def card(arguments: argparse.Namespace) -> int:
    """Write a setup card, and print its settings and cautions.

    Returns:
        0.

    Raises:
        LabError: a vehicle or setting that cannot be, or that fails the release test; a place that cannot be written.
    """
    out = _place(arguments)
    made = setup_card(
        vehicle_as_set(arguments),
        date=arguments.date,
        tyre_pressure_bar=arguments.tyre_pressure,
        remark=arguments.remark,
    )
    from suspension_lab.lab.setup_card import encoded

    content = encoded(made, out.suffix)
    word = written_bytes(out, content)
    print(f"{made.title}: setup card of {made.date}")
    clicks = [(setting.label, f"{setting.clicks} {', '.join(setting.reach)}") for setting in made.settings]
    print(table([*clicks, *made.facts]))
    print("\n" + made.origin)
    print("\n" + listed("Cautions", made.sections[-1].lines))
    print(f"\n{word}: {out}")
    return 0


def _place(arguments: argparse.Namespace) -> Path:
    """Where to write, held to be possible before anything is worked out."""
    out = Path(arguments.out)
    if out.suffix.lower() not in (".pdf", ".png"):
        raise LabError(f"OUT is {shown(arguments.out)}, where a name ending in .pdf or .png was expected.")
    if Path(arguments.vehicle).resolve() == writable(out):
        raise LabError(f"{out} would be read and written over; give the card another name.")
    return out
