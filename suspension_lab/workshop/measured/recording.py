"""A phone's record of an acceleration, or a trace of a position, made into a release that can be worked with."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.workshop.measured.columns import TIME_UNITS, Choice, read_columns
from suspension_lab.workshop.measured.let_go import LetGo, find_let_go
from suspension_lab.workshop.measured.one_axis import KINDS, UNITS, one_axis, unit_of
from suspension_lab.workshop.measured.samples import FEWEST, checked_time, no_hole, not_clipped

SHORTEST = 0.5
"""After the let-go [s] (our choice)."""
ENDING, STILL_MOVING = 0.15, 0.25
"""In the last so many seconds the motion must be under this share of its size (our choice)."""
LARGEST = 1e9
"""In no unit a motion reads more."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Recording:
    """A recorded release.

    Attributes:
        time: of the samples, from the first one on [s], (n,).
        values: up positive, in m from where it comes to rest, or m/s^2 without gravity, (n,).
        kind: 'position' or 'acceleration'.
        release: when the body was let go [s].
        release_uncertainty: one standard deviation [s].
        until: end of the undisturbed motion behind it [s].
        notes: what was found and assumed, one sentence each.
    """

    time: Array
    values: Array
    kind: str
    release: float
    release_uncertainty: float
    until: float
    notes: tuple[str, ...]

    def from_release(self, before: float = 0.0) -> tuple[Array, Array]:
        """Time from the let-go [s] and values, up to the end of the undisturbed motion; both (m,).

        Args:
            before: so much of the held stretch is kept as well [s]; its times are negative.
        """
        kept = (self.time >= self.release - before) & (self.time <= self.until)
        return self.time[kept] - self.release, self.values[kept].copy()


def as_recording(time: ArrayLike, values: ArrayLike, *, kind: str, unit: str | None = None) -> Recording:
    """A recorded release from arrays.

    Gravity is seen in what the sensor reads at rest and taken off; its direction is up, however the phone lies. Without
    gravity three axes are turned into the direction of most motion, and the let-go tells which way is up.

    Args:
        time: rising [s], (n,); not necessarily even.
        values: position (n,), or acceleration of one axis (n,) or three (n, 3), in any order.
        kind: 'position' or 'acceleration'.
        unit: 'm', 'cm' or 'mm'; 'm/s^2' or 'g'; None: told from the values, with a note.

    Raises:
        LabError: one sentence on what is wrong with the samples, the unit or the motion.
    """
    kind = _known_kind(kind)
    try:
        t, x = np.array(time, dtype=np.float64), np.array(values, dtype=np.float64)
    except (TypeError, ValueError):
        raise LabError("The recording holds something that is not a number; numbers were expected.") from None
    x = x[:, None] if x.ndim == 1 else x
    if t.ndim != 1 or x.ndim != 2 or x.shape[0] != t.size or x.shape[1] not in ((1,) if kind == "position" else (1, 3)):
        raise LabError(
            f"The recording has times of shape {t.shape} and values of shape {np.shape(values)}, where (n,) and (n,), "
            "or (n, 3) for three axes of acceleration, were expected."
        )
    bad = np.flatnonzero(~(np.isfinite(t) & np.isfinite(x).all(axis=1)))
    if bad.size:
        raise LabError(f"Sample {bad[0] + 1} of the recording is not a number; put one there, or leave the sample out.")
    return _made(t, x, kind, _known_unit(unit, kind), lambda i: f"The recording, sample {i + 1}", [])


def read_recording(
    path: str | Path, *, kind: str | None = None, columns: Choice | None = None, unit: str | None = None
) -> Recording:
    """A recorded release from a CSV file.

    Commas, semicolons, tabs or blanks may stand between the columns, and decimal commas are read where commas do not
    separate. Columns are found by name and unit in the heading: `time (s)`, `t [ms]`, `ax`, `Acceleration x (m/s^2)`,
    `position_mm`.

    Args:
        path: the file.
        kind: 'position' or 'acceleration'; None: by the heading.
        columns: `{'time': ..., 'value': ...}`, by heading or by number from 1; the value of three axes is a list.
        unit: of the values, where the heading does not say it.

    Raises:
        LabError: as `as_recording`, and for columns that are not found, with file and line.
    """
    found = read_columns(path, None if kind is None else _known_kind(kind), columns)
    given = _known_unit(unit, found.kind)
    if given and found.unit and given != found.unit:
        raise LabError(
            f"{found.file} says its values are in {found.unit}, but unit={unit!r} was given; drop one of them."
        )
    notes = list(found.notes)
    factor = found.time_factor
    if factor is None:
        factor, note = _time_unit(found.time)
        notes.append(note)
    # A clock's count in ns is taken from its first sample on before it is divided, or its last digits are lost.
    seconds = (found.time - found.time[0]) * factor
    return _made(
        seconds, found.values, found.kind, found.unit or given,
        lambda i: f"{found.file}, line {found.lines[i]}", notes, str(found.file),
    )  # fmt: skip


def _known_kind(kind: str) -> str:
    if kind not in KINDS:
        raise LabError(f"The kind of a recording is {shown(kind)}; {nearest_name(str(kind), KINDS)}")
    return kind


def _known_unit(unit: str | None, kind: str) -> str | None:
    if unit is None:
        return None
    known = unit_of(str(unit))
    if known not in UNITS[kind]:
        raise LabError(f"The unit {shown(unit)} is not known for {kind}; write one of {', '.join(UNITS[kind])}.")
    return known


def _time_unit(time: Array) -> tuple[float, str]:
    """Factor to seconds, by how far samples usually are apart, and a note."""
    steps = np.diff(time)
    step = float(np.median(steps[steps > 0.0])) if (steps > 0.0).any() else 1.0
    # From 5000 to 5 samples a second, in each unit.
    name = "s" if step < 0.2 else "ms" if step < 200.0 else "us" if step < 2e5 else "ns"
    return TIME_UNITS[name], f"The time has no unit: its usual step of {step:.3g} was taken as {name}."


def _made(
    time: Array, axes: Array, kind: str, unit: str | None, at: Callable[[int], str], notes: list[str],
    where: str = "The recording",
) -> Recording:  # fmt: skip
    usual = checked_time(time, at, where)
    time = time - time[0]
    for axis in axes.T:
        if kind == "acceleration":
            not_clipped(axis, at)
    if float(np.ptp(axes, axis=0).max()) == 0.0:
        raise LabError(
            f"{where}: all values are {axes[0, 0]:g}; look which column was taken, and whether the sensor ran."
        )
    if float(np.abs(axes).max()) > LARGEST:
        raise LabError(
            f"{where}: a value of {np.abs(axes).max():.3g} is in it, which no motion reaches; check the file."
        )
    one = one_axis(time, axes, kind, unit)
    let_go = find_let_go(time, one.values, kind, one.sign_known)
    values = let_go.sign * (one.values - let_go.rest)
    until = min(let_go.until, float(time[-1]))
    recording = Recording(
        time=time, values=values, kind=kind, release=let_go.at, release_uncertainty=let_go.uncertainty, until=until,
        notes=(*notes, *one.notes, *_told(let_go, kind, usual, time)),
    )  # fmt: skip
    _long_enough(recording, let_go.size, where)
    no_hole(time, let_go.at, until, usual, at)
    time.setflags(write=False)
    values.setflags(write=False)
    return recording


def _long_enough(recording: Recording, size: float, where: str) -> None:
    time, values = recording.from_release()
    behind = recording.until - recording.release
    if behind < SHORTEST or time.size < FEWEST:
        raise LabError(
            f"{where}: only {max(behind, 0.0):.2f} s follow the let-go at {recording.release:.2f} s, where at least "
            f"{SHORTEST:g} s are needed; let it run until all is at rest."
        )
    ending = values[time >= time[-1] - ENDING]
    left = float(np.ptp(ending)) if recording.kind == "position" else math.sqrt(2.0) * float(np.std(ending))
    if left > STILL_MOVING * size:
        raise LabError(
            f"{where}: it ends {behind:.2f} s after the let-go while the body still moves ({100 * left / size:.0f} % "
            "of its first motion); let it run until all is at rest."
        )


def _told(let_go: LetGo, kind: str, usual: float, time: Array) -> list[str]:
    said = [f"About {1.0 / usual:.3g} samples a second."]
    if float(np.diff(time).max()) > 1.5 * usual:
        said[0] = f"About {1.0 / usual:.3g} samples a second, uneven or with some left out."
    if let_go.from_start:
        said.append(
            "It begins with the let-go itself: its first sample was taken for it, and the true one may lie before; "
            "hold still for a second before you let go."
        )
    if kind == "position":
        said.append("Its zero was laid where the body comes to rest.")
        if let_go.sign < 0:
            said.append("It counts downward positive, since it was let go from above its rest: it was turned round.")
    if let_go.doubtful:
        said.append(
            "Another motion, the other way, is about as strong and abrupt: if that was the let-go, all is upside down; "
            "push down slowly, or record with gravity."
        )
    if let_go.releases > 1:
        said.append(
            f"It holds {let_go.releases} releases: the one with the largest motion, at {let_go.at:.2f} s, was taken."
        )
    if math.isfinite(let_go.until) and let_go.until < time[-1]:
        said.append(f"What comes after {let_go.until:.2f} s, where it is moved again, was left out.")
    return said
