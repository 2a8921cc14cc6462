"""The station in motion, drawn by the browser from a run handed over once: on its road, or under a hand."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import anywidget
import numpy as np
import traitlets

from suspension_lab.common.checks import Array
from suspension_lab.excitation.hand import Push, Release
from suspension_lab.excitation.road import Ride, Road
from suspension_lab.lab.look import BODY, ROAD, TYRE_LOAD, WHEEL, Look
from suspension_lab.lab.page import joined
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.reading import read_run

MAGNIFIED = 3
"""So many times their size heights are drawn where the true size is too small to see."""
SAMPLES = 2000
"""A run longer than this is thinned to a quarter of its milliseconds, a shorter one to half of them."""
HELD_FOR = 0.4
"""Before a release the body is shown held down so long [s]."""
RADIUS_OF_A_RIG = 0.15
"""A station without a wheel is drawn with a block of this half height [m]."""
GRID_SHARE = 0.02
"""The road as the wheel feels it is drawn at this share of the wheel radius."""


class MovingPicture(anywidget.AnyWidget):
    """Plays a run, and a kept one beside it in step; a change of `serial` is the sign that all of it is new.

    Attributes:
        geometry: SI. radius, round (a wheel, not a rig's block), tyre_squash (at rest), speed (0: it stands), hand
            ("release", "push" or ""), hand_until (the hand lets go), held_for (shown before t = 0), setting (clicks in
            words, and the vehicle where the two differ), roads (for a ride: how many times as high -> float32 pairs of
            distance from the start and height), magnified (the larger of the two ways to draw heights), first_heights
            (the usual one).
        kept_geometry: the same of the kept run; empty: there is none.
        signals, kept_signals: float32, little-endian, one row after the other, a value for each of `columns`.
        columns: time [s]; body, wheel, road (as the wheel feels it) from ride height [m]; tyre_load (1 at rest);
            hand_force [N]; off_road (0 or 1).
        step: between rows [s].
        looks: body, wheel, road, tyre_load: colour, dashes in line widths, width [screen pixels].
        alt, kept_alt: what happens in the run in sentences, for screen readers.
        moment: time of the frame shown [s]; the browser sets it, for other views there, and does not send it.
        message: a sentence to show instead of the picture, or nothing.
        serial: counts the runs; set last.
    """

    _esm = joined("page.js", "player.js", "moving_picture_drawing.js", "moving_picture.js")
    _css = joined("player.css", "moving_picture.css")

    geometry: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    kept_geometry: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    signals = traitlets.Bytes().tag(sync=True)
    kept_signals = traitlets.Bytes().tag(sync=True)
    columns = traitlets.List(traitlets.Unicode()).tag(sync=True)
    step = traitlets.Float(0.002).tag(sync=True)
    looks: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    alt = traitlets.Unicode().tag(sync=True)
    kept_alt = traitlets.Unicode().tag(sync=True)
    moment = traitlets.Float(0.0).tag(sync=True)
    message = traitlets.Unicode().tag(sync=True)
    serial = traitlets.Int(0).tag(sync=True)

    def __init__(self) -> None:
        looks = {"body": BODY, "wheel": WHEEL, "road": ROAD, "tyre_load": TYRE_LOAD}
        super().__init__(looks={name: _look(look) for name, look in looks.items()})

    def show(self, run: Trace, kept: Trace | None = None) -> None:
        """Hand over a run, and a kept one to play beside it."""
        every = max(_every(each) for each in (run, kept) if each is not None)
        signals, apart = signals_of(run, every), kept is not None and kept.station.name != run.station.name
        with self.hold_sync():
            self.columns, self.step = list(signals), every * float(run.time[1])
            self.geometry, self.signals, self.alt = geometry_of(run, apart), _packed(signals), alt_of(run)
            self.kept_geometry = geometry_of(kept, apart) if kept is not None else {}
            self.kept_signals = _packed(signals_of(kept, every)) if kept is not None else b""
            self.kept_alt = alt_of(kept) if kept is not None else ""
            self.serial += 1


def _every(run: Trace) -> int:
    return 4 if run.time.size > SAMPLES + 1 else 2


def signals_of(run: Trace, every: int) -> dict[str, Array]:
    """Name -> what is played, one in `every` samples, (n,) each; as `MovingPicture.columns`."""
    off = run.tyre_load <= 0.0
    # A loss shorter than the stretch between two rows is still shown.
    lost = np.logical_or.reduceat(off, np.arange(0, off.size, every))
    return {
        "time": run.time[::every],
        "body": run.body[::every],
        "wheel": run.wheel[::every],
        "road": run.road[::every],
        "tyre_load": run.tyre_load[::every] / run.static_tyre_load,
        "hand_force": run.hand_force[::every],
        "off_road": lost.astype(np.float64),
    }


def geometry_of(run: Trace, with_name: bool = False) -> dict[str, Any]:
    """What to draw, as `MovingPicture.geometry`; the setting `with_name` of the vehicle or without."""
    station, test = run.station, run.excitation
    ride = test if isinstance(test, Ride) else None
    hand = "release" if isinstance(test, Release) else "push" if isinstance(test, Push) else ""
    return {
        "radius": station.wheel_radius or RADIUS_OF_A_RIG,
        "round": station.wheel_radius is not None,
        "tyre_squash": station.static_tyre_deflection,
        "speed": ride.speed if ride else 0.0,
        "hand": hand,
        "hand_until": test.free_from() if hand else 0.0,
        "held_for": HELD_FOR if hand == "release" else 0.0,
        "setting": (f"{station.name}, " if with_name else "") + _clicks(station),
        "roads": _roads(ride.road, station.wheel_radius) if ride else {},
        "magnified": MAGNIFIED,
        "first_heights": 1 if ride else MAGNIFIED,
    }


def alt_of(run: Trace) -> str:
    """What happens in a run, in sentences."""
    return f"{run.station.name} in motion. " + " ".join(read_run(run))


@lru_cache(maxsize=16)
def _roads(road: Road, radius: float | None) -> dict[str, bytes]:
    """The profile as it is, and magnified as a wheel of this radius feels it: its true circle fits to both."""
    distance, height = np.asarray(road.distance), np.asarray(road.height)
    felt = road if radius is None else road.envelope(radius)
    start, level = float(distance[0]), float(felt.height[0])
    true = np.column_stack([distance - start, height - level])
    if radius is None:
        large = true * (1.0, MAGNIFIED)
    else:
        large = _under_the_wheel(
            np.asarray(felt.distance) - start, MAGNIFIED * (np.asarray(felt.height) - level), radius
        )
    return {"1": true.astype("<f4").tobytes(), str(MAGNIFIED): large.astype("<f4").tobytes()}


def _under_the_wheel(distance: Array, axle: Array, radius: float) -> Array:
    """The highest profile that a wheel meets nowhere but underneath while its axle goes this way, (n, 2).

    Heights cannot be magnified alone: a true wheel would cut into a kerb drawn three times as high before it climbs it.
    The grey erosion by the wheel's own arc undoes the dilation that made the envelope.
    """
    from scipy.ndimage import grey_erosion

    grid = GRID_SHARE * radius
    x = np.arange(0.0, float(distance[-1]) + grid, grid)
    offsets = grid * np.arange(-int(radius / grid), int(radius / grid) + 1)
    arc = np.sqrt(np.maximum(radius**2 - offsets**2, 0.0)) - radius
    under = grey_erosion(np.interp(x, distance, axle), size=arc.size, structure=arc, mode="nearest")
    bends = np.abs(np.diff(under, 2)) > 1e-6
    kept = np.concatenate([[True], bends, [True]])
    return np.column_stack([x[kept], under[kept]])


def _clicks(station: Station) -> str:
    return f"{station.clicks} clicks out" if station.clicks.keys() else str(station.clicks)


def _packed(signals: dict[str, Array]) -> bytes:
    return np.column_stack(list(signals.values())).astype("<f4").tobytes()


def _look(look: Look) -> list[Any]:
    dashes = [] if isinstance(look.dashes, str) else list(look.dashes[1])
    return [look.colour, dashes, look.width]
