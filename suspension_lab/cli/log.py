"""`suspension-lab log FILE ACTION ...`: the workshop's record of runs."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from suspension_lab.cli.arguments import Parser, number
from suspension_lab.cli.text import listed
from suspension_lab.cli.vehicle_options import add_clicks
from suspension_lab.cli.writing import CannotWriteError, writable
from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.vehicle.clicks import ADJUSTERS
from suspension_lab.workshop.cautions import RIDING_TEST
from suspension_lab.workshop.setup_log import SetupLog
from suspension_lab.workshop.setup_log_file import LogNotWrittenError

ACTIONS = {
    "write": "VEHICLE: write a run of today (the vehicle is added where it is new)",
    "show": "VEHICLE: its runs, in order",
    "search": "WORDS: runs that hold them all",
    "undo": "take the last change back",
    "redo": "bring it again",
    "export": "OUT.csv: write all of it",
    "import": "IN.csv: take in what another log has exported",
}
STATE = {
    "preload": ("preload_mm", "MM"), "tyre-pressure": ("tyre_pressure_bar", "BAR"),
    "air": ("air_temperature_C", "C"), "oil": ("oil_temperature_C", "C"), "load": ("load_kg", "KG"),
}  # fmt: skip


def add_to(commands: Any) -> dict[str, Parser]:
    """Add this command to the parser."""
    actions = "\n".join(f"  {name:<8} {words}" for name, words in ACTIONS.items())
    parser: Parser = commands.add_parser(
        "log",
        help="write down and find runs",
        description="The workshop's record of vehicles and runs, in one file that loses nothing it has confirmed.",
        epilog=(
            f"Actions:\n{actions}\n\nExamples:\n"
            "  suspension-lab log log.sqlite write 'Scooter 7, rear' --rebound 6 --seconds 0.31 --swings 0 --load 48\n"
            "  suspension-lab log log.sqlite show 'Scooter 7, rear'\n\n"
            "Exit codes: 0 done; 2 bad input; 3 could not write."
        ),
    )
    parser.add_argument("file", metavar="FILE", help="the log; `write` and `import` make it where it is not there")
    parser.add_argument("action", metavar="ACTION", help=", ".join(ACTIONS))
    parser.add_argument("words", nargs="*", metavar="WORDS", help="what the action needs, see below")
    add_clicks(parser, "the run's clicks")
    run = parser.add_argument_group("more of the run")
    for name, (_, mark) in STATE.items():
        run.add_argument(f"--{name}", type=number, metavar=mark)
    run.add_argument("--seconds", type=number, metavar="S", help="return time of the release test")
    run.add_argument("--swings", type=number, metavar="N", help="visible swings")
    for name in ("road", "test", "remark"):
        run.add_argument(f"--{name}", default="", metavar="WORDS")
    return {"log": parser}


def log(arguments: argparse.Namespace) -> int:
    """Do what was asked, and print it.

    Returns:
        0.

    Raises:
        LabError: an action, value or file that cannot be.
    """
    action = arguments.action
    if action not in ACTIONS:
        raise LabError(f"There is no action {shown(action)}; {nearest_name(action, ACTIONS)}")
    words = " ".join(arguments.words).strip()
    if not words and ":" in ACTIONS[action] and action != "search":
        raise LabError(f"{action} needs {ACTIONS[action].split(':')[0]} behind it; see suspension-lab log --help.")
    path = Path(arguments.file).expanduser()
    if action not in ("write", "import") and not path.exists():
        raise LabError(f"There is no log {path}; check the name, or make it by `write`.")
    try:
        _done(SetupLog(path), action, words, arguments)
    except LogNotWrittenError as error:
        raise CannotWriteError(str(error)) from None
    return 0


def _done(book: SetupLog, action: str, words: str, arguments: argparse.Namespace) -> None:
    if action == "write":
        row = book.write_run_today(words, **_run(arguments))
        print(f"Written down: run {row} of {words}.")
    elif action in ("show", "search"):
        found = book.history(words) if action == "show" else book.search(words)
        if found.empty:
            print("No run.")
            return
        print(found.drop(columns=["written"], errors="ignore").to_string(index=False, na_rep=""))
        print("\n" + listed("Cautions", RIDING_TEST))
    elif action == "export":
        place = writable(Path(words))
        done = "Replaced" if place.exists() else "Written"
        book.to_csv(place)
        print(f"{done}: {words}")
    elif action == "import":
        print(f"Taken in: {book.import_csv(words)} new rows.")
    else:
        print(book.undo() if action == "undo" else book.redo())


def _run(arguments: argparse.Namespace) -> dict[str, Any]:
    clicks = {name: getattr(arguments, name) for name in ADJUSTERS if getattr(arguments, name) is not None}
    state = {column: getattr(arguments, name.replace("-", "_")) for name, (column, _) in STATE.items()}
    measured = {
        name: (value, unit)
        for name, value, unit in (("return time", arguments.seconds, "s"), ("swings", arguments.swings, ""))
        if value is not None
    }
    said = {name: getattr(arguments, name) for name in ("road", "test", "remark")}
    return {"clicks": clicks, "measured": measured, **said, **state}
