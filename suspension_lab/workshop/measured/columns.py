"""Which columns of a recorder's CSV file hold time and motion, and their numbers."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.common.text_files import Row, decimal_point, looks_like_number, read_text, rows_of
from suspension_lab.workshop.measured.one_axis import KINDS, UNITS, unit_of

WHAT = "a recording with columns of time and motion"
TIME_UNITS = {
    "s": 1.0, "sec": 1.0, "second": 1.0, "seconds": 1.0, "ms": 1e-3, "msec": 1e-3, "millisecond": 1e-3,
    "milliseconds": 1e-3, "us": 1e-6, "µs": 1e-6, "μs": 1e-6, "microseconds": 1e-6, "ns": 1e-9, "nanoseconds": 1e-9,
}  # fmt: skip
_TIME = re.compile(r"^(time|t|timestamp|elapsed|seconds|milliseconds|sec|msec)\b|_elapsed$|^time_")
_ACCELERATION = re.compile(r"acc|^a_?[xyz]$|^gf?_?[xyz]$|^linear|^user")
_POSITION = re.compile(r"^(position|pos|height|travel|displacement|deflection|body|way)")
_OTHER = re.compile(r"abs|total|magnitude|norm|gyro|rotation|angle|speed|velocity|^gravity|temperature")
_SUFFIX = re.compile(r"^(.+?)[\s_]+(m_per_s2|m_per_s_2|m_s2|m/s/s|m/s\^?2|m/s²|ms|us|ns|mm|cm|m|g|s)$")
_HOW = "choose by columns={'time': 1, 'value': 2}, counted from 1 or named, with kind='position' or 'acceleration'"

Choice = Mapping[str, str | int | Sequence[str | int]]


@dataclass(frozen=True, kw_only=True)
class Columns:
    """Numbers of a recording, as they stand in the file.

    Attributes:
        time: (n,), and `time_factor` to seconds; None: the heading does not say.
        values: one or three axes, (n, k), of a kind, and in a unit of `one_axis.UNITS`; None: the heading does not say.
        lines: on which each row stood.
        notes: what was chosen.
    """

    file: Path
    time: Array
    time_factor: float | None
    values: Array
    kind: str
    unit: str | None
    lines: tuple[int, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class _Heading:
    at: int
    text: str
    stem: str
    unit: str

    @property
    def is_time(self) -> bool:
        return self.unit in TIME_UNITS if self.unit else bool(_TIME.search(self.stem))

    @property
    def kind(self) -> str | None:
        """What it holds; None: nothing that can be told, or another thing."""
        if self.is_time or _OTHER.search(self.stem):
            return None
        known = unit_of(self.unit) if self.unit else None
        if known:
            return next(kind for kind in KINDS if known in UNITS[kind])
        if _ACCELERATION.search(self.stem) or (self.stem in ("x", "y", "z") and not self.unit):
            return "acceleration"
        return "position" if _POSITION.search(self.stem) else None


def read_columns(path: str | Path, kind: str | None, columns: Choice | None) -> Columns:
    """The columns of time and motion.

    Raises:
        LabError: names the file, and the line where there is one.
    """
    file = Path(path)
    rows = rows_of(read_text(path, WHAT))
    first = next((r for r, (_, cells) in enumerate(rows) if any(map(looks_like_number, cells))), len(rows))
    if first == len(rows):
        raise LabError(f"{file} holds no rows of numbers; {WHAT} was expected.")
    headings = _headings(rows[first - 1][1]) if first else []
    rows = rows[first:]
    if columns is not None:
        time, values = _chosen(file, columns, headings, len(rows[0][1]))
    elif headings:
        time, values = _found(file, headings, kind)
    else:
        raise LabError(
            f"{file} has {len(rows[0][1])} columns of numbers without a heading (the first row reads "
            f"{shown(', '.join(rows[0][1]))}); head them, as 'time [s]' and 'position [mm]', or {_HOW}."
        )
    named = {each.at: each for each in headings}
    kind = _kind(file, kind, [named[at] for at in values if at in named], len(values))
    unit = _unit(file, kind, [named[at] for at in values if at in named])
    notes = []
    if headings:
        taken = ", ".join(f"'{named[at].text}'" for at in values if at in named)
        notes.append(f"Time was taken from '{named[time].text}', the {kind} from {taken}.")
    numbers = _numbers(file, rows, [time, *values], named)
    heading = named.get(time)
    return Columns(
        file=file, time=numbers[:, 0], time_factor=TIME_UNITS.get(heading.unit) if heading else None,
        values=numbers[:, 1:], kind=kind, unit=unit, lines=tuple(line for line, _ in rows), notes=tuple(notes),
    )  # fmt: skip


def _headings(cells: list[str]) -> list[_Heading]:
    made = []
    for at, cell in enumerate(cells):
        text = cell.strip().strip('"')
        plain, unit = text.lower(), ""
        bracket = re.search(r"[(\[]([^)\]]*)[)\]]\s*$", plain)
        suffix = _SUFFIX.match(plain)
        if bracket:
            plain, unit = plain[: bracket.start()], bracket[1].strip()
        elif suffix:
            plain, unit = suffix[1], suffix[2]
        elif _TIME.search(plain):
            unit = next((each for each in ("milliseconds", "seconds", "msec", "sec") if each in plain), "")
        made.append(_Heading(at, text, re.sub(r"[\s_]+", "_", plain.strip(" _,")), unit))
    return made


def _found(file: Path, headings: list[_Heading], kind: str | None) -> tuple[int, list[int]]:
    seen = ", ".join(f"'{each.text}'" for each in headings)
    times = [each for each in headings if each.is_time]
    if not times:
        raise LabError(f"{file}: no column of time is found among {shown(seen)}; head it 'time [s]', or {_HOW}.")
    # Elapsed seconds before a clock's count.
    time = next((each for each in times if "elapsed" in each.stem), times[0])
    by_kind = {each: [h for h in headings if h.kind == each] for each in KINDS if kind in (None, each)}
    some = {each: found for each, found in by_kind.items() if found}
    if not some:
        raise LabError(
            f"{file}: no column of {kind or 'position or acceleration'} is found among {seen}; head it as "
            f"'position [mm]' or 'ax [m/s^2]', or {_HOW}."
        )
    if len(some) > 1:
        raise LabError(
            f"{file} holds both position and acceleration ({seen}); say which by kind='position' or the other."
        )
    name, found = next(iter(some.items()))
    if len(found) not in ((1,) if name == "position" else (1, 3)):
        expected = "one" if name == "position" else "one, or three axes of one sensor,"
        raise LabError(
            f"{file}: {len(found)} columns of {name} are found ({', '.join(repr(h.text) for h in found)}), where "
            f"{expected} was expected; {_HOW}."
        )
    return time.at, [each.at for each in found]


def _chosen(file: Path, columns: Choice, headings: list[_Heading], count: int) -> tuple[int, list[int]]:
    if not isinstance(columns, Mapping) or set(columns) != {"time", "value"}:
        raise LabError(
            f"The chosen columns are {shown(columns)}, where 'time' and 'value' were expected, as "
            "{'time': 1, 'value': 2}; three axes are a list."
        )

    def place(choice: object) -> int:
        if isinstance(choice, int) and not isinstance(choice, bool):
            if not 1 <= choice <= count:
                raise LabError(f"{file} has {count} columns, but column {choice} was chosen; count them from 1.")
            return choice - 1
        for each in headings:
            if str(choice).strip().lower() in (each.text.lower(), each.stem):
                return each.at
        if not headings:
            raise LabError(f"{file} has no heading, but column {shown(choice)} was chosen; choose by number, from 1.")
        raise LabError(
            f"{file} has no column {shown(choice)}; {nearest_name(str(choice), [each.text for each in headings])}"
        )

    value = columns["value"]
    values = [value] if isinstance(value, str | int) else list(value) if isinstance(value, list | tuple) else []
    if len(values) not in (1, 3):
        raise LabError(
            f"{len(values) or shown(value)} columns of motion were chosen, where one, or three axes, were expected; "
            "give a name or number, or a list of three."
        )
    time = columns["time"]
    if not isinstance(time, str | int):
        raise LabError(f"The column of time is {shown(time)}, where one name or number was expected.")
    places = [place(time), *map(place, values)]
    if len(set(places)) < len(places):
        raise LabError("The same column was chosen twice; give time and each axis a column of its own.")
    return places[0], places[1:]


def _kind(file: Path, kind: str | None, headings: list[_Heading], count: int) -> str:
    if kind is None:
        kind = "acceleration" if count == 3 else next((each.kind for each in headings if each.kind), None)
    if kind is None:
        raise LabError(f"{file}: it is not said what the column holds; give kind='position' or kind='acceleration'.")
    if kind == "position" and count == 3:
        raise LabError(
            f"{file}: three axes were chosen for a position, where one column was expected: the upright one."
        )
    return kind


def _unit(file: Path, kind: str, headings: list[_Heading]) -> str | None:
    units = []
    for each in headings:
        unit = unit_of(each.unit) if each.unit else None
        if each.unit and unit not in UNITS[kind]:
            raise LabError(
                f"{file}: the unit of column '{each.text}' is not known for {kind}, where one of "
                f"{', '.join(UNITS[kind])} was expected; put it in brackets, as '{kind} [{next(iter(UNITS[kind]))}]'."
            )
        units.append(unit)
    if len(set(units)) > 1:
        raise LabError(f"{file}: the axes have different units; three axes of one sensor were expected.")
    return units[0] if units else None


def _numbers(file: Path, rows: list[Row], places: list[int], named: dict[int, _Heading]) -> Array:
    numbers = np.empty((len(rows), len(places)))
    for r, (line, cells) in enumerate(rows):
        for c, at in enumerate(places):
            cell = cells[at] if at < len(cells) else ""
            try:
                numbers[r, c] = float(decimal_point(cell))
            except ValueError:
                numbers[r, c] = np.nan
            if not np.isfinite(numbers[r, c]):
                name = f"'{named[at].text}'" if at in named else f"column {at + 1}"
                what = shown(cell) if cell else "empty"
                raise LabError(
                    f"{file}, line {line}: {name} is {what}, where a number was expected; put one there, or delete the "
                    "line."
                )
    return numbers
