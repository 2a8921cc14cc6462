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

FEWEST_PER_SECOND = 20.0
"""Samples a second below which a return of half a second shows too little (our choice)."""
MOST_PER_SECOND = 2e4
"""No phone or film is faster; then the time's unit is wrong (our choice)."""
SHORTEST = 0.5
"""After the let-go [s] (our choice)."""
ENDING, STILL_MOVING = 0.15, 0.25
"""In the last so many seconds the motion must be under this share of its size (our choice)."""
HOLE, LEAST_HOLE = 5.0, 0.03
"""So many usual steps without a sample are a hole, and no shorter time than this [s] is (our choice)."""
CLIPPED, FLAT = 3, 8.0
"""So many samples in a row at exactly the extreme, with a slope beside them of so many steps of the sensor, are cut off
(our choice)."""
FEWEST = 10
"""Samples below which nothing is looked for."""


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

    def from_release(self) -> tuple[Array, Array]:
        """Time from the let-go [s] and values, up to the end of the undisturbed motion; both (m,)."""
        kept = (self.time >= self.release) & (self.time <= self.until)
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
    usual = _checked_time(time, at, where)
    time = time - time[0]
    for axis in axes.T:
        if kind == "acceleration":
            _not_clipped(axis, at)
    if float(np.ptp(axes, axis=0).max()) == 0.0:
        raise LabError(
            f"{where}: all values are {axes[0, 0]:g}; look which column was taken, and whether the sensor ran."
        )
    one = one_axis(time, axes, kind, unit)
    let_go = find_let_go(time, one.values, kind, one.sign_known)
    values = let_go.sign * (one.values - let_go.rest)
    until = min(let_go.until, float(time[-1]))
    recording = Recording(
        time=time, values=values, kind=kind, release=let_go.at, release_uncertainty=let_go.uncertainty, until=until,
        notes=(*notes, *one.notes, *_told(let_go, one.sign_known, kind, usual, time)),
    )  # fmt: skip
    _long_enough(recording, let_go.size, where)
    _no_hole(time, let_go.at, until, usual, at)
    time.setflags(write=False)
    values.setflags(write=False)
    return recording


def _checked_time(time: Array, at: Callable[[int], str], where: str) -> float:
    """The usual step between samples [s]."""
    if time.size < FEWEST:
        raise LabError(f"{where}: it has {time.size} samples, where at least {FEWEST} were expected; record longer.")
    bad = np.flatnonzero(np.diff(time) <= 0.0)
    if bad.size:
        i = int(bad[0]) + 1
        how = "stands still" if time[i] == time[i - 1] else "goes backward"
        raise LabError(
            f"{at(i)}: the time {how} (from {time[i - 1]:.6g} s to {time[i]:.6g} s), where it should grow from sample "
            "to sample; sort the rows, and drop doubled ones."
        )
    usual = float(np.median(np.diff(time)))
    if usual > 1.0 / FEWEST_PER_SECOND * 1.01:
        raise LabError(
            f"{where}: it has {1.0 / usual:.3g} samples a second, where at least {FEWEST_PER_SECOND:g} are needed; "
            "record faster, or, if its time is in ms, head it 'time [ms]'."
        )
    if usual < 1.0 / MOST_PER_SECOND:
        raise LabError(
            f"{where}: it has {1.0 / usual:.3g} samples a second, where at most {MOST_PER_SECOND:g} were expected; "
            "check the time's unit."
        )
    return usual


def _not_clipped(axis: Array, at: Callable[[int], str]) -> None:
    """Hold that no extreme is cut off: a flat top whose sides are steeper than a round top's steps are."""
    levels = np.unique(axis)
    if levels.size < 4:
        return
    step = float(np.diff(levels).min())
    for extreme in (float(levels[-1]), float(levels[0])):
        flat = np.concatenate([[0], (axis == extreme).astype(int), [0]])
        starts, ends = np.flatnonzero(np.diff(flat) == 1), np.flatnonzero(np.diff(flat) == -1)
        for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
            half = max(1, (end - start) // 2)
            if end - start < CLIPPED or start - half < 0 or end + half > axis.size:
                continue
            beside = np.abs(axis[[start - half, end + half - 1]] - extreme)
            if float(beside.min()) > FLAT * step:
                raise LabError(
                    f"{at(start)}: {end - start} samples in a row read exactly {extreme:g}, the recording's "
                    "extreme, so the sensor cut them off; set it to a wider range, or let go from less depth."
                )


def _long_enough(recording: Recording, size: float, where: str) -> None:
    time, values = recording.from_release()
    behind = recording.until - recording.release
    if behind < SHORTEST or time.size < FEWEST:
        raise LabError(
            f"{where}: only {max(behind, 0.0):.2f} s follow the let-go at {recording.release:.2f} s, where at least "
            f"{SHORTEST:g} s are needed; let it run until all is at rest."
        )
    ending = values[time >= time[-1] - ENDING]
    left = float(np.ptp(ending)) if recording.kind == "position" else float(np.abs(ending).max())
    if left > STILL_MOVING * size:
        raise LabError(
            f"{where}: it ends {behind:.2f} s after the let-go while the body still moves ({100 * left / size:.0f} % "
            "of its first motion); let it run until all is at rest."
        )


def _no_hole(time: Array, start: float, until: float, usual: float, at: Callable[[int], str]) -> None:
    steps = np.diff(time)
    within = (time[1:] > start - 0.05) & (time[:-1] < until)
    holes = np.flatnonzero(within & (steps > max(HOLE * usual, LEAST_HOLE)))
    if holes.size:
        i = int(holes[0]) + 1
        raise LabError(
            f"{at(i)}: {1e3 * steps[i - 1]:.0f} ms without a sample lie before it within the motion, where "
            f"{1e3 * usual:.3g} ms are usual; record it again with nothing else running on the phone."
        )


def _told(let_go: LetGo, sign_known: bool, kind: str, usual: float, time: Array) -> list[str]:
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
    if let_go.releases > 1:
        said.append(
            f"It holds {let_go.releases} releases: the one with the largest motion, at {let_go.at:.2f} s, was taken."
        )
    if math.isfinite(let_go.until) and let_go.until < time[-1]:
        said.append(f"What comes after {let_go.until:.2f} s, where it is moved again, was left out.")
    return said
