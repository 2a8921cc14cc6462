"""An argument parser that answers bad input with one sentence, and numbers as people write them."""

from __future__ import annotations

import argparse
import re
from typing import NoReturn

from suspension_lab.common.errors import LabError, nearest_name, shown


class Parser(argparse.ArgumentParser):
    """Raises LabError in place of printing its usage and leaving."""

    def __init__(self, **options: object) -> None:
        options |= {"allow_abbrev": False, "formatter_class": argparse.RawDescriptionHelpFormatter}
        super().__init__(**options)  # type: ignore[arg-type]

    def error(self, message: str) -> NoReturn:
        """One sentence, with the nearest name for a mistyped choice.

        Raises:
            LabError: always.
        """
        fault = message.removeprefix("argument ")
        choice = re.fullmatch(r"([\w-]+): invalid choice: '(.*)' \(choose from (.*)\)", fault, re.DOTALL)
        if choice:
            name, given, known = choice.groups()
            raise LabError(
                f"{name} is {shown(given)}, which is not known; {nearest_name(given, re.findall(r'[a-z-]+', known))}"
            )
        missing = re.fullmatch(r"the following arguments are required: (.*)", fault)
        if missing:
            fault = f"{missing.group(1).replace(', ', ' and ')} must be given"
        fault = fault.replace("expected one argument", "a value was expected behind it")
        raise LabError(f"{fault}; see {self.prog} --help.")

    def options(self) -> list[str]:
        """The long options it knows."""
        return [option for action in self._actions for option in action.option_strings if option.startswith("--")]


def number(text: str) -> float:
    """A number from the command line; a decimal comma is read.

    Raises:
        argparse.ArgumentTypeError: it is not a number.
    """
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise argparse.ArgumentTypeError(f"{shown(text)} was given, where a number was expected") from None


def whole(text: str) -> int:
    """A whole number from the command line.

    Raises:
        argparse.ArgumentTypeError: it is not a whole number.
    """
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{shown(text)} was given, where a whole number was expected") from None
