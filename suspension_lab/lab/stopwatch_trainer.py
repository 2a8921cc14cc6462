"""Ten releases to be timed by hand: how late the hand is, how much it scatters, and what that is worth in clicks."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import anywidget
import numpy as np
import traitlets

from suspension_lab.common.checks import number
from suspension_lab.common.errors import LabError
from suspension_lab.lab import watch_choice
from suspension_lab.lab.displayed import Displayed
from suspension_lab.lab.page import joined
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.measured.watch import LONGEST, Watch, late_or_early
from suspension_lab.workshop.measured.watch_file import Trial, keep_trial, read_trials, trial_of, watch_path
from suspension_lab.workshop.measured.watch_worth import ClickTimes, click_times, worth_of
from suspension_lab.workshop.release_test import Verdict, usual_release

SETTINGS, TWICE = 5, 2
TRIES = SETTINGS * TWICE
"""Each setting is played twice: only two tries at one setting tell the scatter of a hand (our choice)."""
WAIT = 0.8, 2.0
"""Before the hand lets go [s]."""
LONGEST_SHOWN, AFTERWARDS = 3.0, 3.0
"""No release is played that settles later, and all go on for so long after the last has settled [s] (our choice)."""
STEP = 0.004
"""Between the samples handed over [s]."""
MOST_SHUFFLES = 100
"""About one order in three has no setting twice in a row."""
SLIPPED = 4.0
"""So many spreads of the other tries away a press may have slipped (our choice)."""
FALSE_START = "False start: you pressed before the hand let go, so this try is not counted; press 'Let go' again."
NO_PRESS = "You did not press before the run ended, so this try is not counted; press 'Let go' again."
HONEST = (
    "Screen and keys add some hundredths of a second of their own to what is found here (from memory, no source), and "
    "at the vehicle you start the watch by hand as well."
)


class ReleaseScreen(anywidget.AnyWidget):
    """Plays a release, and times a press against it; it knows no truth.

    Attributes:
        courses: height of the body over ride height [mm], float32, little-endian, one release after the other.
        samples, step: of each release, and between samples [s].
        depth: how far down the body is held [mm].
        vehicle: its name.
        next: of the try to come: number, of, course (which release), wait [s], and a serial that counts.
        pressed: by the browser: "pressed", "early" or "none", seconds from the let-go on, and the try's serial.
        tell_each: each try is told at once.
        said: on the last try.
        told: after all tries; nothing before.
        table: rows of all tries, the first the heads; nothing before.
        again: counts how often new tries were asked for.
        keep: a name, and a number that counts.
        kept: what came of it.
    """

    _esm = joined("page.js", "player.js", "stopwatch_trainer.js")
    _css = joined("stopwatch_trainer.css")

    courses = traitlets.Bytes().tag(sync=True)
    samples = traitlets.Int(0).tag(sync=True)
    step = traitlets.Float(STEP).tag(sync=True)
    depth = traitlets.Float(0.0).tag(sync=True)
    vehicle = traitlets.Unicode().tag(sync=True)
    next: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    pressed = traitlets.List(["", 0.0, 0]).tag(sync=True)
    tell_each = traitlets.Bool(True).tag(sync=True)
    said = traitlets.Unicode().tag(sync=True)
    told = traitlets.List(traitlets.Unicode()).tag(sync=True)
    table: traitlets.List[Any] = traitlets.List().tag(sync=True)
    again = traitlets.Int(0).tag(sync=True)
    keep = traitlets.List(["", 0]).tag(sync=True)
    kept = traitlets.Unicode().tag(sync=True)


class StopwatchTrainer(Displayed):
    """Ten tries, what they say of a hand, and the file that keeps them.

    Attributes:
        widget: what is shown.
        clicks: rebound of each try.
        watch: once ten tries are made; None before.

    Raises:
        LabError: no such vehicle, a fault in its file, no rebound clicks, or none at which it settles soon enough.
    """

    def __init__(self, vehicle: str, seed: int | None, tell_each: bool, on_done: Callable[[Watch], Any] | None) -> None:
        self.station = load_station(vehicle)
        self.times = click_times(self.station)
        self._release = usual_release(self.station)
        self._present = int(self.station.clicks.rebound or 0)
        self._rng, self._on_done = np.random.default_rng(seed), on_done
        self._asked: set[Path] = set()
        self.widget = ReleaseScreen(tell_each=tell_each, vehicle=self.station.name, depth=1e3 * self._release.depth)
        self.watch: Watch | None = None
        self._is_kept = False
        self.begin_again()
        self.widget.observe(self._answered, "pressed")
        self.widget.observe(lambda _: self.begin_again(), "again")
        self.widget.observe(self._keep_asked, "keep")

    @property
    def settled(self) -> tuple[float, ...]:
        """The true settling time of each try [s]."""
        return tuple(self.times.seconds[click] for click in self.clicks)

    @property
    def words(self) -> tuple[str, ...]:
        """What is told after ten tries; nothing before."""
        return tuple(self.widget.told)

    @property
    def pressed(self) -> tuple[float, ...]:
        """The tries that count so far [s]."""
        return tuple(self._pressed)

    def press(self, seconds: float) -> None:
        """A press so long after the let-go [s]; after the tenth all is told.

        Raises:
            LabError: no number of seconds, or all tries are made.
        """
        at = self._open()
        self._pressed.append(number("time of the press", seconds, "s", low=0.0, high=LONGEST))
        off = self._pressed[at] - self.settled[at]
        said = late_or_early(off) if self.widget.tell_each else "taken"
        self.widget.said = f"Try {at + 1} of {TRIES}: {said}."
        if len(self._pressed) == TRIES:
            self._finish()
        else:
            self._offer()

    def false_start(self) -> None:
        """A press before the let-go: told, not counted."""
        self._not_counted(FALSE_START)

    def no_press(self) -> None:
        """None before the end of the run: told, not counted."""
        self._not_counted(NO_PRESS)

    def begin_again(self) -> None:
        """Ten more tries, with other settings and waits."""
        self.clicks = _chosen(self.times, self._present, self._rng, self.station.name)
        self._pressed: list[float] = []
        self._trial: Trial | None = None
        self._is_kept, self.watch = False, None
        heights = self._heights()
        with self.widget.hold_sync():
            self.widget.courses, self.widget.samples = heights.astype("<f4").tobytes(), heights.shape[1]
            self.widget.said = self.widget.kept = ""
            self.widget.told, self.widget.table = [], []
            self._offer()

    def keep(self, name: str = "") -> Watch:
        """Add these tries to the file of a hand in the working folder.

        Args:
            name: `my_watch_<name>.json`; none: `my_watch.json`, but not where a class shares the folder.

        Raises:
            LabError: nothing to keep, kept already, no name in a class, a file of that name that may be somebody
                else's (asked once), a damaged file, or a place that cannot be written.
        """
        if self._trial is None:
            raise LabError(f"There is nothing to keep yet; make {TRIES} tries first.")
        if self._is_kept:
            raise LabError(f"These {TRIES} tries are kept already; make {TRIES} more to add to them.")
        if not name.strip() and _in_class():
            raise LabError("Several trainees share this folder: type your name, and press again.")
        path = watch_path(".", name)
        before = read_trials(path) if path.exists() else ()
        if before and name.strip() and path not in self._asked:
            self._asked.add(path)
            raise LabError(
                f"{path} holds {len(before)} times {TRIES} tries, last of {before[-1].when[:10]}: if they are yours, "
                "press again to add to them; if not, put a number behind your name."
            )
        watch = keep_trial(path, self._trial)
        self._asked.add(path)
        self._is_kept = True
        self.widget.kept = (
            f"Kept in {path}, with {watch.tries - TRIES or 'no'} tries before: {late_or_early(watch.bias)}, spread "
            f"{watch.spread:.2f} s. The timing form and the next click can use it; nothing leaves this machine."
        )
        watch_choice.kept(path)
        return watch

    def _heights(self) -> Any:
        """Of the body at each try [mm], (tries, samples)."""
        end, made = max(self.settled) + AFTERWARDS, [self.station.with_clicks(rebound=click) for click in self.clicks]
        runs = [simulate(station, self._release, end, step=STEP) for station in made]
        return 1e3 * np.array([run.body for run in runs])

    def _offer(self) -> None:
        at, serial = len(self._pressed), self.widget.next.get("serial", 0) + 1
        wait = float(self._rng.uniform(*WAIT))
        self.widget.next = {"number": at + 1, "of": TRIES, "course": at, "wait": wait, "serial": serial}

    def _open(self) -> int:
        if len(self._pressed) == TRIES:
            raise LabError(f"All {TRIES} tries are made; ask for {TRIES} more.")
        return len(self._pressed)

    def _not_counted(self, why: str) -> None:
        self._open()
        self.widget.said = why
        self._offer()

    def _finish(self) -> None:
        self._trial = trial_of(self.station.name, self._pressed, self.settled)
        watch = self.watch = self._trial.watch
        slips, worth = _slips(self._pressed, self.settled), worth_of(watch, self.times, self._present)
        rows = [["Try", "Rebound, clicks out", "Settled [s]", "You pressed [s]", "You were"]]
        for at, (click, true, hand) in enumerate(zip(self.clicks, self.settled, self._pressed, strict=True), 1):
            rows.append([str(at), str(click), f"{true:.2f}", f"{hand:.2f}", late_or_early(hand - true).split(",")[0]])
        with self.widget.hold_sync():
            self.widget.table, self.widget.told = rows, [*watch.sentences, *slips, *worth, HONEST]
        watch_choice.found(watch)
        if self._on_done is not None:
            self._on_done(watch)

    def _answered(self, change: dict[str, Any]) -> None:
        kind, seconds, serial = change["new"]
        if serial != self.widget.next["serial"] or len(self._pressed) == TRIES:
            return
        if kind == "pressed":
            self.press(seconds)
        elif kind == "early":
            self.false_start()
        else:
            self.no_press()

    def _keep_asked(self, change: dict[str, Any]) -> None:
        try:
            self.keep(change["new"][0])
        except LabError as error:
            self.widget.kept = str(error)


def _chosen(times: ClickTimes, present: int, rng: np.random.Generator, name: str) -> tuple[int, ...]:
    """The rebound of each try: five settings twice, in mixed order, never one twice in a row if there are others.

    They are taken by chance; one that creeps, one that swings on and the present one are among them.
    """
    usable = [click for click, seconds in enumerate(times.seconds) if 0.0 < seconds <= LONGEST_SHOWN]
    if not usable:
        raise LabError(
            f"{name} settles within {LONGEST_SHOWN:g} s at no rebound click, so there is nothing to time; choose "
            "another vehicle, or look at its friction."
        )
    wanted = [present] if present in usable else []
    for kind in (Verdict.TOO_CLOSED, Verdict.TOO_OPEN):
        some = [click for click in usable if times.verdicts[click] is kind]
        if some and not any(click in some for click in wanted):
            wanted.append(int(rng.choice(some)))
    while len(wanted) < SETTINGS:
        rest = [click for click in usable if click not in wanted] or usable
        wanted += [int(click) for click in rng.permutation(rest)[: SETTINGS - len(wanted)]]
    for _ in range(MOST_SHUFFLES):
        mixed = [int(click) for click in rng.permutation(TWICE * wanted)]
        if all(one != other for one, other in pairwise(mixed)):
            break
    return tuple(mixed)


def _slips(pressed: Sequence[float], settled: Sequence[float]) -> list[str]:
    """A sentence where one press lies far from all others."""
    off = np.array(pressed) - np.array(settled)
    for at, each in enumerate(off.tolist()):
        others = np.delete(off, at)
        apart = abs(each - float(others.mean()))
        if apart > max(SLIPPED * float(others.std(ddof=1)), 0.3):
            return [f"Try {at + 1} lies {apart:.2f} s off the others: if that press slipped, make {TRIES} more."]
    return []


def _in_class() -> bool:
    """Whether this page is shown to a class, whose pages share a folder."""
    return os.environ.get("SERVER_SOFTWARE", "").startswith("voila")


def stopwatch_trainer(
    vehicle: str = "courier_scooter_rear", *, seed: int | None = None, tell_each: bool = True,
    on_done: Callable[[Watch], Any] | None = None,
) -> StopwatchTrainer:  # fmt: skip
    """Time ten releases by hand, and read how late you are, how much you scatter and what that is worth in clicks.

    Five settings are played twice each: the pairs tell the scatter, all tries tell how late.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file, with a rebound adjuster.
        seed: of settings and waits; None: others each time.
        tell_each: tell after each try how late or early it was; else only after ten.
        on_done: called with the `Watch` after each ten tries.

    Raises:
        LabError: no such vehicle, a fault in its file, no rebound clicks, or none at which it settles soon enough.
    """
    return StopwatchTrainer(vehicle, seed, tell_each, on_done)
