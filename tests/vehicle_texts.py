"""Vehicle files as texts that a test spoils in one place, and what reading them says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from sentences import is_one_sentence

import suspension_lab as lab

DEMO = lab.demo_vehicles()["courier_scooter_rear"].read_text(encoding="utf-8")
"""A damper by its parts, its compression circuit at the reservoir."""
TWO_SLOPE_FILE = Path(__file__).parent / "vehicle_files" / "two_slope.toml"
TWO_SLOPE = TWO_SLOPE_FILE.read_text(encoding="utf-8")


def line_of(content: str, wanted: str) -> int:
    return content[: content.index(wanted)].count("\n") + 1


def _span(content: str, table: str) -> tuple[int, int]:
    """Where a table's lines begin and end, its heading included."""
    heading = re.search(rf"^\[{re.escape(table)}\]", content, re.MULTILINE)
    assert heading, table
    first = content.index("\n", heading.end()) + 1
    behind = re.compile(r"^(?:\[|$)", re.MULTILINE).search(content, first)
    return heading.start(), behind.start() if behind else len(content)


def value_of(content: str, table: str, key: str) -> str:
    """What stands behind a key of a table."""
    start, end = _span(content, table)
    found = re.search(rf"^{key} *= *(.*?) *(?:#.*)?$", content[start:end], re.MULTILINE)
    assert found, key
    return found.group(1)


def changed(content: str, table: str, key: str, line: str) -> str:
    """A text with another line in place of that of a key of a table; an empty one takes it out."""
    start, end = _span(content, table)
    new = f"{line}\n" if line else ""
    spoilt, count = re.subn(rf"^{key} *=.*\n", lambda _: new, content[start:end], count=1, flags=re.MULTILINE)
    assert count == 1, key
    return content[:start] + spoilt + content[end:]


def added(content: str, table: str, line: str) -> str:
    """A text with one more line under the heading of a table."""
    start, _ = _span(content, table)
    end = content.index("\n", start) + 1
    return content[:end] + line + "\n" + content[end:]


def without(content: str, *tables: str) -> str:
    """A text that lacks tables."""
    for table in tables:
        start, end = _span(content, table)
        content = content[:start] + content[end:]
    return content


def holds(message: str, content: str, at: str, wanted: list[str]) -> None:
    """A message points to the first line with a text, and says what is wanted."""
    assert message.startswith(f", line {line_of(content, at)}: "), message
    for part in wanted:
        assert part in message, message


def told(folder: Path, content: str) -> str:
    """What reading a vehicle file with this content says, behind the file's name."""
    file = folder / "my_vehicle.toml"
    file.write_text(content, encoding="utf-8")
    with pytest.raises(lab.LabError) as caught:
        lab.load_station(file)
    message = str(caught.value)
    assert is_one_sentence(message), message
    assert message.startswith(str(file)), message
    return message.removeprefix(str(file))
