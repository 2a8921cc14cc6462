"""The trial of a map of clicks: one measure over two adjusters, and where the present setting lies in it."""

from __future__ import annotations

import math
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple

import ipywidgets as widgets

from suspension_lab.common.errors import LabError
from suspension_lab.excitation.road import Ride
from suspension_lab.lab.click_map_picture import ClickMapPicture
from suspension_lab.lab.hand_over import hand_over
from suspension_lab.lab.named import Told
from suspension_lab.lab.road_choice import ONE_SECOND_AFTER, SINGLE_BUMPS, SPEEDS, SURFACES, USUAL_ROAD, ride_over
from suspension_lab.lab.trial import Choice, Setting, Trial
from suspension_lab.lab.work_row import WorkRow
from suspension_lab.measures.measure import Measure
from suspension_lab.measures.summary import ride_measure
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.cautions import RIDING_TEST
from suspension_lab.workshop.click_map import ClickMap
from suspension_lab.workshop.landscape import Landscape
from suspension_lab.workshop.mapping import Progress, click_map
from suspension_lab.workshop.plan import name_of
from suspension_lab.workshop.reading import ANOTHER_TEST, compare_measures
from suspension_lab.workshop.reading_click_map import COMING, in_clicks, read_click_map
from suspension_lab.workshop.release_test import Verdict, rebound_verdicts

if TYPE_CHECKING:
    from suspension_lab.lab.bench import Bench

ROADS = {**SURFACES, **SINGLE_BUMPS}
MEASURES = {
    ride_measure(key).label: key
    for key in (
        "tyre_load_variation", "smallest_tyre_load", "weighted_acceleration", "maximum_transient_vibration",
        "body_acceleration_peak", "longest_contact_loss", "contact_loss",
    )
}  # fmt: skip
PAIRS = {
    "Rebound and low-speed compression": "rebound+low_speed",
    "Rebound and high-speed compression": "rebound+high_speed",
    "Low-speed and high-speed compression": "low_speed+high_speed",
}
MAPS_KEPT = 32
Verdicts = Mapping[int, Verdict]
HOW = "Click on a cell of the map to set it; from the keyboard, the sliders of its two adjusters do the same."


class Found(NamedTuple):
    """A map, whole or in part, and what the release test says of its rebound clicks."""

    made: ClickMap
    verdicts: Verdicts | None


@dataclass(frozen=True, kw_only=True, eq=False)
class MapRun:
    """The present setting on a map.

    Attributes:
        station: at its present clicks.
        ride: that every setting of the map makes.
        seconds: of it that are measured.
        axes: the two adjusters.
        measure: key of the one that is shown.
        key: what the map depends on; equal where a map is the same.
        now: all settings of the bench.
        made: the map; None while it is made.
        verdicts: what the release test says of each rebound click; None where it cannot be made.
    """

    station: Station
    ride: Ride
    seconds: float
    axes: tuple[str, str]
    measure: str
    key: tuple[Any, ...]
    now: Mapping[str, Any]
    made: ClickMap | None
    verdicts: Verdicts | None = None

    @cached_property
    def land(self) -> Landscape | None:
        """The map as a landscape of the measure; None while it is made."""
        if self.made is None:
            return None
        held = self.station.clicks.rebound
        return Landscape(made=self.made, measure=self.measure, verdicts=self.verdicts, held=held)

    @property
    def tried(self) -> dict[str, Sequence[int]]:
        """All clicks of both axes."""
        return {name: range(self.station.damper.adjusters[name] + 1) for name in self.axes}

    def cell(self, place: tuple[int, int] | None) -> list[Measure]:
        """All measures of a cell; None: the present one. None at all where it was not measured."""
        land = self.land
        if land is None:
            return []
        at = land.place(self.station.clicks) if place is None else place
        measures = [land.at(at, key) for key in land.made.measures]
        return [] if math.isnan(measures[0].value) else measures


class Making:
    """A map in the making; it goes on while only the present cell moves, and stops once it is dropped."""

    def __init__(self, run: MapRun, row: WorkRow) -> None:
        self.key, self._run = run.key, run
        self.dropped = threading.Event()
        self._keep, self._tell, self._over = row.begin()
        self._lock = threading.Lock()
        self._found: Found | None = None

    def is_set(self) -> bool:
        """Whether the map shall stop where it is."""
        return self._keep.is_set() or self.dropped.is_set()

    def work(self, stop: threading.Event) -> Found:
        """The map. A second thread that asks for it waits for the first; `stop` is of that thread alone, not heeded."""
        with self._lock:
            if self._found is None:
                try:
                    self._found = self._make()
                except BaseException:
                    # A map that is made hides the row when it is shown: before, nothing would tell that more is coming.
                    self._over()
                    raise
            return self._found

    def _make(self) -> Found:
        run, tell = self._run, self._tell
        last = [0.0]

        def progress(now: Progress) -> None:
            # A message for each hundredth is enough.
            if now.done / now.total - last[0] >= 0.01:
                last[0] = now.done / now.total
                tell(now)

        tried = run.tried
        try:
            judged = rebound_verdicts(run.station)
        except LabError:
            judged = None
        made = click_map(
            run.station, run.ride, rebound=tried.get("rebound"), low_speed=tried.get("low_speed"),
            high_speed=tried.get("high_speed"), measures=tuple(MEASURES.values()), duration=run.seconds,
            progress=progress, stop=self,
        )  # fmt: skip
        return Found(made, judged)


@dataclass(kw_only=True)
class ClickMapTrial(Trial):
    """Ten seconds on a road at every combination of two adjusters' clicks.

    Attributes:
        opens: a bench to which a button hands the present setting, or None.
    """

    opens: Bench | None = None
    picture: ClickMapPicture = field(default_factory=ClickMapPicture)
    cautions: Sequence[str] = RIDING_TEST
    choices: Mapping[str, Choice] = field(
        default_factory=lambda: {
            "axes": Choice(label="Map over", options=PAIRS),
            "measure": Choice(label="Colour shows", options=MEASURES),
            "road": Choice(label="Road", options=ROADS, usual=USUAL_ROAD),
        }
    )
    settings: Mapping[str, Setting] = field(default_factory=lambda: SPEEDS)

    def __post_init__(self) -> None:
        self._maps: OrderedDict[tuple[Any, ...], Found] = OrderedDict()
        self._partly: dict[tuple[Any, ...], Found] = {}
        self._making: Making | None = None
        self._shown: MapRun | None = None
        self.row = WorkRow()
        self.open_button = widgets.Button(
            description="Open this setting on the road", layout=widgets.Layout(width="230px")
        )
        self.open_button.on_click(lambda _: self._open())
        self.opened = Told(layout=widgets.Layout(flex="1 1 300px"))
        opening = [widgets.HBox([self.open_button, self.opened])] if self.opens is not None else []
        self.above = widgets.VBox([self.row.widget, *opening])

    def suits(self, station: Station) -> bool:
        """Whether it has a wheel to ride on, and two adjusters."""
        return station.wheel_radius is not None and len(station.damper.adjusters) >= 2

    def options(self, name: str, station: Station) -> Mapping[str, str]:
        """Of the axes only those that the vehicle has; all where it has none, and `run` refuses then."""
        has = set(station.damper.adjusters)
        if name != "axes" or len(has) < 2:
            return self.choices[name].options
        return {text: pair for text, pair in PAIRS.items() if set(pair.split("+")) <= has}

    def run(self, station: Station, now: Mapping[str, Any]) -> MapRun:
        """The present setting, on its map if that is already made.

        Raises:
            LabError: a damper without two adjusters, or a station without a wheel.
        """
        if station.wheel_radius is None:
            raise LabError(f"{station.name} has no wheel to ride with; choose a vehicle that has one.")
        if len(station.damper.adjusters) < 2:
            raise LabError(f"{station.name} has fewer than two adjusters, where a map is over two; choose another.")
        first, second = now["axes"].split("+")
        others = tuple((name, station.clicks[name]) for name in station.clicks if name not in (first, second))
        key = (*(now[name] for name in ("vehicle", "rider", "road", "speed", "axes")), others)
        if self._making is not None and self._making.key != key:
            self._making.dropped.set()
            self._making = None
            self.row.hide()
        self._partly = {kept: made for kept, made in self._partly.items() if kept == key}
        if key in self._maps:
            self._maps.move_to_end(key)
        ride, seconds = ride_over(now["road"], now["speed"] / 3.6)
        made, verdicts = self._maps.get(key) or self._partly.get(key) or (None, None)
        return MapRun(
            station=station, ride=ride, seconds=seconds, axes=(first, second),
            measure=now["measure"], key=key, now=dict(now), made=made, verdicts=verdicts,
        )  # fmt: skip

    def later(self, run: MapRun) -> Callable[[threading.Event], Found] | None:
        """The map, where it is not there yet."""
        if run.made is not None:
            return None
        if self._making is None:
            self._making = Making(run, self.row)
        return self._making.work

    def completed(self, run: MapRun, found: Found) -> MapRun:
        """The present setting on its map; a map that was stopped is kept only as long as it is shown."""
        self._making = None
        self.row.hide()
        if found.made.complete:
            self._maps[run.key] = found
            if len(self._maps) > MAPS_KEPT:
                self._maps.popitem(last=False)
        else:
            self._partly = {run.key: found}
        return replace(run, made=found.made, verdicts=found.verdicts)

    def title(self, run: MapRun) -> str:
        """Road and speed."""
        return name_of(run.ride)

    def words(self, run: MapRun) -> list[str]:
        """Where the setting lies on the map."""
        land, at_rest = run.land, run.station.rests_on_a_stop
        if at_rest:
            return [at_rest]
        said = [COMING] if land is None else read_click_map(land, run.station.clicks)
        alone = [ONE_SECOND_AFTER] if run.now["road"] in SINGLE_BUMPS.values() else []
        return [*said, *alone, HOW]

    def compared(self, run: MapRun, kept: MapRun) -> list[str]:
        """What has changed against the kept cell."""
        if run.station.name != kept.station.name or name_of(run.ride) != name_of(kept.ride):
            return [ANOTHER_TEST]
        now, before = run.cell(None), kept.cell(None)
        return compare_measures(now, before) if now and before else []

    def measures(self, run: MapRun) -> Sequence[Measure]:
        """Those of the present cell."""
        return run.cell(None)

    def columns(self, run: MapRun) -> dict[str, Sequence[Measure]]:
        """The present cell, and the best one."""
        land, own = run.land, {"This cell": run.cell(None)}
        if run.station.rests_on_a_stop or land is None or land.empty or land.flat or land.offers_none:
            return {**own}
        return {**own, f"Best cell ({in_clicks(land, land.best)})": run.cell(land.best)}

    def show(self, run: MapRun, kept: MapRun | None) -> None:
        """What the button would open."""
        if self._shown is None or self._shown.now != run.now:
            self.opened.value = ""
        self._shown = run

    def area(self, run: MapRun) -> dict[str, Any]:
        """The map itself can be picked."""
        return self.picture.place()

    def pick(self, run: MapRun, x: float, y: float) -> Mapping[str, Any]:
        """The clicks of the cell there."""
        cell = {}
        for name, value in zip(run.axes, (x, y), strict=True):
            tried = run.tried[name]
            cell[name] = max(tried[0], min(tried[-1], round(value)))
        return cell

    def _open(self) -> None:
        run, bench = self._shown, self.opens
        if run is None or bench is None:
            return
        try:
            said = hand_over(run.station.clicks, run.now, bench)
        except LabError as error:
            said = str(error)
        self.opened.value = said
