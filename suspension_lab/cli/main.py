"""The parser, and the exit codes.

0 done, or sound; 1 a vehicle file that reads but gives warnings; 2 bad input; 3 could not write; 130 stopped by
Ctrl+C; 141 whoever reads the output has gone. After `open`: the exit code of its server.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import sys
from collections.abc import Callable, Sequence
from importlib.metadata import version

from suspension_lab.cli import card, check, class_view, fit, handouts, log, open, run, what_if
from suspension_lab.cli import next as next_command
from suspension_lab.cli.arguments import Parser
from suspension_lab.cli.writing import CannotWriteError
from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.vehicle.vehicle_file import demo_vehicles

ANSWERS: dict[str, Callable[[argparse.Namespace], int]] = {
    "check": lambda arguments: check.check(arguments.file), "run": run.run, "fit": fit.fit,
    "next": next_command.next_one, "what-if": what_if.what_if_as_asked, "log": log.log, "card": card.card,
    "handouts": handouts.handouts,
}  # fmt: skip
"""Command -> what does it; `open` is apart, for what stands behind its `--`."""
BAD_INPUT, NOT_WRITTEN, STOPPED, NO_READER = 2, 3, 130, 141


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line.

    Args:
        argv: the arguments; None: those of the process.

    Returns:
        The exit code, as listed at the top of this file.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        code = _command(list(sys.argv[1:] if argv is None else argv))
        sys.stdout.flush()
        return code
    except LabError as error:
        print(f"suspension-lab: {error}", file=sys.stderr)
        return NOT_WRITTEN if isinstance(error, CannotWriteError) else BAD_INPUT
    except KeyboardInterrupt:
        return STOPPED
    except BrokenPipeError:
        # Python would complain once more when it closes a stdout that nobody reads.
        with contextlib.suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return NO_READER


def _command(argv: list[str]) -> int:
    whole, commands = _parser()
    behind: list[str] = []
    if argv[:1] == ["open"] and "--" in argv:
        at = argv.index("--")
        argv, behind = argv[:at], argv[at + 1 :]
    try:
        arguments, unknown = whole.parse_known_args(argv)
    except SystemExit as done:  # after --help and --version
        return int(done.code or 0)
    if unknown:
        parser = commands.get(arguments.command, whole)
        option = unknown[0].partition("=")[0]
        if option.startswith("-"):
            raise LabError(f"{option} is no option of {parser.prog}; {nearest_name(option, parser.options())}")
        raise LabError(f"{shown(option)} is one argument too many for {parser.prog}; leave it out.")
    if arguments.command is None:
        whole.print_help()
        return BAD_INPUT
    if arguments.command in ANSWERS:
        return ANSWERS[arguments.command](arguments)
    opened = class_view.open_class_view if arguments.class_view else open.open_lab
    return opened(arguments.folder, browser=arguments.browser, port=arguments.port, extra=behind)


def _parser() -> tuple[Parser, dict[str, Parser]]:
    whole = Parser(
        prog="suspension-lab",
        description="Learn and check what a damper's adjusters do, on a simulation of a wheel's two masses.",
        epilog=(
            "Begin with    suspension-lab open\n\n"
            f"Demo vehicles (all invented): {', '.join(demo_vehicles())}\n\n"
            "Exit codes: 0 done; 1 a vehicle file with warnings; 2 bad input; 3 could not write."
        ),
    )
    whole.add_argument("--version", action="version", version=f"suspension-lab {version('suspension-lab')}")
    commands = whole.add_subparsers(dest="command", metavar="COMMAND", title="commands")
    parsers: dict[str, Parser] = {}
    for module in (open, check, run, fit, next_command, what_if, log, card, handouts):
        parsers |= module.add_to(commands)
    return whole, parsers


if __name__ == "__main__":
    sys.exit(main())
