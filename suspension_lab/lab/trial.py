"""What a bench does with its settings, and how it shows the answer."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

from ipywidgets import Widget

from suspension_lab.excitation.excitation import Excitation
from suspension_lab.lab.later import PAUSE, running_loop
from suspension_lab.lab.moving_picture import MovingPicture
from suspension_lab.lab.pictures import Picture
from suspension_lab.measures.measure import Measure
from suspension_lab.measures.summary import summary
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.clicks import ADJUSTERS
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.reading import compare_runs, read_run


@dataclass(frozen=True, kw_only=True)
class Setting:
    """A number that a test needs beside the vehicle's own.

    Attributes:
        label, unit: in the workshop's words.
        low, high, value: whole numbers.
    """

    label: str
    unit: str
    low: int
    high: int
    value: int


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One of several named things that a test needs.

    Attributes:
        label: in the workshop's words.
        options: shown text -> value.
        usual: the value a bench begins with; None: the first.
    """

    label: str
    options: Mapping[str, str]
    usual: str | None = None


class Drawing(Protocol):
    """A picture of a run."""

    narrowest: int
    widest: int
    """Widths between which it is good to look at [screen pixels]."""

    def resize(self, width: int, pixel_ratio: float) -> None:
        """Fit another width [screen pixels]."""

    def png(self, run: Any, kept: Any) -> bytes:
        """The picture of a run, and of a kept one in grey, as PNG."""


@dataclass(kw_only=True)
class Trial:
    """A test on a station: its own settings, the run it makes of them, and how that run is shown.

    The runs it makes may be of any kind that its own picture, words and measures understand.

    Attributes:
        picture: of a run.
        settings, choices: name -> what it needs beside the vehicle and its clicks.
        adjusters: which of the damper's adjusters are offered, in this order.
        cautions: shown below.
        player: a widget shown beside the picture, or above it where there is no room, or None.
        above: a widget shown above the picture, or None.
    """

    picture: Drawing
    settings: Mapping[str, Setting]
    cautions: Sequence[str]
    choices: Mapping[str, Choice] = field(default_factory=dict)
    adjusters: Sequence[str] = ADJUSTERS
    player: Widget | None = None
    above: Widget | None = field(init=False, default=None)

    def suits(self, station: Station) -> bool:
        """Whether this test can be done on a station."""
        return True

    def options(self, name: str, station: Station) -> Mapping[str, str]:
        """What can be chosen with a vehicle, of the options of one of the `choices`."""
        return self.choices[name].options

    def run(self, station: Station, now: Mapping[str, Any]) -> Any:
        """Do the test with the present settings.

        Raises:
            LabError: settings that cannot be run.
        """
        raise NotImplementedError

    def later(self, run: Any) -> Callable[[threading.Event], Any] | None:
        """What takes too long for a slider and is worked out behind the picture; asked for whenever a run was shown.

        Args:
            run: as it is shown now.

        Returns:
            None where nothing is left to do. Otherwise work for a background thread: it takes an event that is set
            once its answer is not wanted any more (settings moved on), touches nothing that is shown, and its answer
            goes to `completed`. A `LabError` it raises is shown as words.
        """
        return None

    def completed(self, run: Any, found: Any) -> Any:
        """The run with what `later` has found; it is shown in place of the one before, and asked `later` again."""
        raise NotImplementedError

    def title(self, run: Any) -> str:
        """The run's own settings in words, where they go beyond vehicle, clicks and load."""
        return ""

    def words(self, run: Any) -> list[str]:
        """Sentences on a run."""
        raise NotImplementedError

    def compared(self, run: Any, kept: Any) -> list[str]:
        """Sentences on a run against the kept one."""
        raise NotImplementedError

    def measures(self, run: Any) -> Sequence[Measure]:
        """Numbers of a run for the table."""
        raise NotImplementedError

    def columns(self, run: Any) -> dict[str, Sequence[Measure]]:
        """The table's columns: heading -> numbers; the first are those of the run."""
        return {"This run": self.measures(run)}

    def area(self, run: Any) -> dict[str, Any]:
        """Where a point of the picture can be picked, as `Screen.area`; asked for once it is drawn."""
        return {}

    def pick(self, run: Any, x: float, y: float) -> Mapping[str, Any]:
        """The settings at a picked point, by the names of the controls.

        Args:
            run: that is shown.
            x, y: within the limits of `area`.
        """
        return {}

    def show(self, run: Any, kept: Any) -> None:
        """Hand a run, and the kept one or None, to the player."""

    def marks(self, run: Any) -> list[dict[str, Any]]:
        """What moves over the picture while the player plays, as `Screen.marks`; asked for once it is drawn."""
        return []


@dataclass(kw_only=True)
class MotionTrial(Trial):
    """Something is done to the station, and its motion is shown.

    Attributes:
        excitation: made from the numbers and choices by their names.
        on_road: the station is driven over a road, which is drawn; only what has a wheel can be.
    """

    excitation: Callable[[Mapping[str, Any]], Excitation]
    on_road: bool = False

    picture: Picture = field(init=False)
    player: MovingPicture = field(default_factory=MovingPicture)

    def __post_init__(self) -> None:
        self.picture = Picture(with_road=self.on_road)
        self._waiting: asyncio.TimerHandle | None = None

    def suits(self, station: Station) -> bool:
        """Whether it has the wheel that a road needs."""
        return station.wheel_radius is not None or not self.on_road

    def run(self, station: Station, now: Mapping[str, Any]) -> Any:
        """Simulate."""
        return simulate(station, self.excitation(now))

    def words(self, run: Any) -> list[str]:
        """What the run shows and would mean."""
        return read_run(run)

    def compared(self, run: Any, kept: Any) -> list[str]:
        """What has changed."""
        return compare_runs(run, kept)

    def measures(self, run: Any) -> Sequence[Measure]:
        """Those of its test."""
        return summary(run)

    def show(self, run: Any, kept: Any) -> None:
        """Hand the runs to the moving picture, once the hand rests: a moving slider has the machine to itself."""
        if self._waiting is not None:
            self._waiting.cancel()
        loop = running_loop()
        if loop is None or self.player.serial == 0:
            self.player.show(run, kept)
        else:
            self._waiting = loop.call_later(PAUSE, self.player.show, run, kept)

    def marks(self, run: Any) -> list[dict[str, Any]]:
        """The present moment as a line over motion and tyre load."""
        motion, load, damper = (
            each.figure.bbox for each in (self.picture.motion, self.picture.load, self.picture.damper)
        )
        wide, high = motion.width + damper.width, max(damper.height, motion.height + load.height)
        marks = []
        for panel, size, top in ((self.picture.motion, motion, 0.0), (self.picture.load, load, motion.height)):
            (left, down, across, along), frame = panel.place()
            shares = [left * size.width / wide, (top + down * size.height) / high,
                      across * size.width / wide, along * size.height / high]  # fmt: skip
            marks.append({"box": shares, "x": list(frame.x), "columns": ["time"], "look": "line"})
        return marks
