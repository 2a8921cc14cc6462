"""Making a map of clicks: many settings side by side, in parts that any executor can work on."""

from __future__ import annotations

import os
import pickle
import time
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.common.errors import LabError, shown
from suspension_lab.excitation.excitation import Excitation
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.click_map import ClickMap
from suspension_lab.workshop.plan import (
    Case,
    Measured,
    Part,
    Plan,
    as_excitations,
    as_measures,
    checked_axes,
    checked_station,
    different,
    measured,
    name_of,
)

USUAL_MEASURES = ("tyre_load_variation", "weighted_acceleration")
IN_FLIGHT = 24
"""Parts handed out at a time: what waits costs memory, and must be thrown away when the map is stopped."""
MOST_SAMPLES = 5e9
"""A map of more samples in all (500,000 runs of ten seconds) is made only if asked for twice."""


class Progress(NamedTuple):
    """How far a map is."""

    done: int
    """Runs measured."""
    total: int
    seconds_left: float
    """An estimate; NaN before the first part is back."""


class Stop(Protocol):
    """What can tell a map to stop, such as a `threading.Event`."""

    def is_set(self) -> bool:
        """Whether it shall."""


def click_map(
    station: Station,
    excitation: Excitation | Sequence[Excitation],
    *,
    rebound: Sequence[int] | None = None,
    low_speed: Sequence[int] | None = None,
    high_speed: Sequence[int] | None = None,
    measures: Sequence[Measured] = USUAL_MEASURES,
    duration: float | None = None,
    step: float | None = None,
    executor: Executor | None = None,
    progress: Callable[[Progress], None] | None = None,
    stop: Stop | None = None,
    large: bool = False,
) -> ClickMap:
    """Measure a station at every combination of clicks.

    Adjusters not given stay at the station's clicks. The settings are marched side by side over the road they share,
    with laws of straight pieces: measures of a whole ride agree with `simulate` within about one per cent where the
    vehicle stays off the metal of its stops; counts and peaks may differ more.

    Args:
        station: the vehicle's wheel.
        excitation: a ride or another excitation, or a list of them.
        rebound, low_speed, high_speed: the clicks to try, such as `range(0, 25)`.
        measures: keys of a ride's measures ('tyre_load_variation', 'weighted_acceleration', ...), or functions of a
            run that give a number; for an executor of other processes they must belong to a module.
        duration, step: as `simulate`.
        executor: any `concurrent.futures.Executor`, such as a thread pool, a process pool or a Dask client's; None:
            a thread for each core.
        progress: called after each part.
        stop: asked between the parts; what is done by then is kept. So it is when Jupyter interrupts the kernel.
        large: make the map even if it is very large (5e9 samples).

    Returns:
        A `ClickMap`. A part whose worker dies is computed again in this process, and the map's `note` says so.

    Raises:
        LabError: no clicks to try, clicks out of range or doubled, an adjuster the damper does not have, a measure
            that is not known, a map that is very large, or a run that cannot be.
    """
    excitations = as_excitations(excitation)
    names = different([name_of(each) for each in excitations])
    cases = [Case(name, checked_station(station), each) for name, each in zip(names, excitations, strict=True)]
    clicks = checked_axes(station, {"rebound": rebound, "low_speed": low_speed, "high_speed": high_speed})
    plan = Plan(cases=cases, clicks=clicks, measures=as_measures(measures), duration=duration, step=step)
    return make_map(plan, executor=executor, progress=progress, stop=stop, large=large)


def make_map(
    plan: Plan,
    *,
    executor: Executor | None = None,
    progress: Callable[[Progress], None] | None = None,
    stop: Stop | None = None,
    large: bool = False,
) -> ClickMap:
    """Make the map of a plan; arguments as `click_map`."""
    if executor is not None and not hasattr(executor, "submit"):
        raise LabError(f"The executor is {shown(executor)}, where one of concurrent.futures was expected, or None.")
    if progress is not None and not callable(progress):
        raise LabError(f"progress is {shown(progress)}, where a function of one argument was expected, or None.")
    if stop is not None and not callable(getattr(stop, "is_set", None)):
        raise LabError(f"stop is {shown(stop)}, where something with is_set() was expected, as a threading.Event.")
    if not large and plan.samples > MOST_SAMPLES:
        raise _too_large(plan)
    work = _Work(plan, progress)
    own = ThreadPoolExecutor(os.cpu_count() or 1)
    try:
        work.go_on(executor or own, own, stop)
    except KeyboardInterrupt:
        work.notes.append("It was interrupted before its end.")
    finally:
        own.shutdown(wait=True, cancel_futures=True)
    shape = tuple(len(tried) for tried in plan.clicks.values())
    return ClickMap(
        vehicle=plan.cases[0].station.name, clicks=plan.clicks, cases=tuple(case.name for case in plan.cases),
        measures=plan.names, values=work.values.reshape(*shape, len(plan.cases), len(plan.names)),
        note=" ".join(work.notes),
    )  # fmt: skip


@dataclass(eq=False)
class _Work:
    """A map in the making."""

    plan: Plan
    progress: Callable[[Progress], None] | None
    values: Array = field(init=False)
    notes: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.values = np.full((self.plan.settings, len(self.plan.cases), len(self.plan.names)), np.nan)
        self._done, self._began, self._again = 0, time.monotonic(), 0

    def go_on(self, executor: Executor, own: Executor, stop: Stop | None) -> None:
        """Hand out the parts and gather what comes back, until all is done or it shall stop."""
        waiting: dict[Future[Array], tuple[int, int, Part]] = {}
        parts = self.plan.parts()
        left = True
        try:
            while left or waiting:
                if stop is not None and stop.is_set():
                    self.notes.append("It was stopped before its end.")
                    return
                while left and len(waiting) < IN_FLIGHT:
                    place = next(parts, None)
                    left = place is not None
                    if place is not None:
                        waiting[self._submitted(executor, own, place[2])] = place
                for future in wait(waiting, timeout=0.2, return_when=FIRST_COMPLETED).done:
                    number, first, part = waiting.pop(future)
                    self._take(number, first, self._result(future, own, part))
        finally:
            for future in waiting:
                future.cancel()
            if self._again:
                times = "once" if self._again == 1 else f"{self._again} times"
                self.notes.append(f"A worker died or lost its part {times}; those cells were computed again here.")

    def _submitted(self, executor: Executor, own: Executor, part: Part) -> Future[Array]:
        try:
            return executor.submit(measured, part)
        except RuntimeError:
            # A pool whose worker has died takes nothing more.
            self._again += 1
            return own.submit(measured, part)

    def _result(self, future: Future[Array], own: Executor, part: Part) -> Array:
        try:
            return future.result()
        except LabError:
            raise
        except Exception as error:
            unsent = isinstance(error, AttributeError | TypeError) and "pickle" in str(error)
            if unsent or isinstance(error, pickle.PicklingError):
                raise LabError(
                    "A measure of this map cannot be sent to other processes; give a function of a module, or the key "
                    "of a ride's measure, or take threads."
                ) from None
            self._again += 1
            return own.submit(measured, part).result()

    def _take(self, number: int, first: int, found: Array) -> None:
        self.values[first : first + len(found), number] = found
        self._done += len(found)
        if self.progress is not None:
            total = self.plan.settings * len(self.plan.cases)
            spent = time.monotonic() - self._began
            self.progress(Progress(self._done, total, spent * (total / self._done - 1.0)))


def _too_large(plan: Plan) -> LabError:
    """What a very large map would take, timed on its first part."""
    _, _, part = next(plan.parts())
    measured(part)
    began = time.monotonic()
    measured(part)
    runs = plan.settings * len(plan.cases)
    seconds = (time.monotonic() - began) / (part.last - part.first) * runs / (os.cpu_count() or 1)
    size = 8.0 * runs * (len(plan.names))
    return LabError(
        f"This map has {runs:,} runs: on this machine about {_span(seconds)} and {_bytes(size)} of memory for its "
        "values alone; take fewer clicks or rides, or say large=True to make it all the same."
    )


def _span(seconds: float) -> str:
    for unit, length in (("days", 86400.0), ("hours", 3600.0), ("minutes", 60.0)):
        if seconds >= 2.0 * length:
            return f"{seconds / length:,.0f} {unit}"
    return f"{seconds:.0f} seconds"


def _bytes(size: float) -> str:
    for unit, length in (("TB", 1e12), ("GB", 1e9), ("MB", 1e6)):
        if size >= length:
            return f"{size / length:,.1f} {unit}"
    return f"{size / 1e3:.0f} kB"
