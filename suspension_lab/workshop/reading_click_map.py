"""A map of clicks read in plain words: where one stands, which way to turn, and what is given up."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.workshop.cautions import REBOUND_FIRST
from suspension_lab.workshop.click_map import NEAR
from suspension_lab.workshop.landscape import Landscape
from suspension_lab.workshop.release_test import WORDS, Verdict, refusal_of, so_many

COMING = "The map is being worked out; it will be here in a moment."
NOT_COMPLETE = "The map is not complete: hatched cells were not measured, and the best may lie among them."
NOTHING = (
    "The map was stopped before anything was measured; move another control than its two adjusters and its colour to "
    "start it anew."
)
NAMES = {"rebound": "rebound", "low_speed": "low-speed compression", "high_speed": "high-speed compression"}
AT_A_TIME = 2
"""Clicks that practice turns before it tests again (common practice, no source)."""
GRIP, COMFORT = "tyre_load_variation", "weighted_acceleration"
SHAKING = (COMFORT, "maximum_transient_vibration", "vibration_dose", "body_acceleration_peak")
"""Measures of what the body feels; the others are of the tyre's hold on the road."""


def read_click_map(land: Landscape, present: Clicks) -> list[str]:
    """Sentences on a map: the present cell, which way to turn, the best cell, the valley, and what the best gives up.

    Args:
        land: a measure of the map.
        present: clicks of the cell that is told.

    Raises:
        LabError: clicks the map does not hold.
    """
    place = land.place(present)
    if land.empty:
        return [NOTHING]
    partly = [] if land.made.complete else [NOT_COMPLETE]
    first = [REBOUND_FIRST] if "rebound" in land.axes else []
    refusal = refusal_of(land.verdicts, present)
    if land.flat:
        return [*partly, _nothing_to_choose(land), *refusal, *_elsewhere(land)]
    if land.offers_none:
        return [*partly, _stands(land, place), *refusal, *first]
    turns = [] if refusal or not math.isfinite(land.badness[place]) else [_turn(land, place, axis) for axis in (0, 1)]
    return [*partly, _stands(land, place), *refusal, *turns, _best(land), *_at_an_end(land), *_elsewhere(land), *first]


def _at_an_end(land: Landscape) -> list[str]:
    tried = (land.made.clicks[name] for name in land.axes)
    if not any(len(each) > 1 and at in (0, len(each) - 1) for at, each in zip(land.best, tried, strict=True)):
        return []
    return ["An end of an adjuster is no place to settle: within the good valley stay some clicks off it."]


def in_clicks(land: Landscape, place: tuple[int, int]) -> str:
    """A cell in words: 'rebound 9, low-speed compression 10'."""
    return ", ".join(
        f"{NAMES[name]} {clicks}{'' if clicks else ' (fully closed)'}" for name, clicks in land.clicks_at(place).items()
    )


def _nothing_to_choose(land: Landscape) -> str:
    low, high = (land.kind.at(float(end) / land.kind.scale) for end in (np.nanmin(land.values), np.nanmax(land.values)))
    span = low.text if low.shown == high.shown else f"{low.shown} to {high.text}"
    return (
        f"The {land.kind.name} is the same in every cell, as far as it is worth a word ({span}): on this ride it "
        "cannot tell these settings apart. Choose another measure, road or speed."
    )


def _stands(land: Landscape, place: tuple[int, int]) -> str:
    where = f"This cell, {in_clicks(land, place)}"
    if not math.isfinite(land.badness[place]):
        return f"{where}, was not measured."
    says = f"{where}: {land.kind.name} {land.at(place).text}"
    if place == land.best:
        return f"{says}; it is the best cell{_of_those(land)}."
    if not math.isfinite(land.offered[place]):
        return f"{says}."
    least = float(land.offered.min())
    lack = float(land.offered[place]) - least
    if lack <= land.kind.resolution:
        return f"{says}, as good as the best as far as it is worth a word."
    if least == 0.0:
        return f"{says}, where the best is {land.at(land.best).text}."
    good = "one of the good cells" if land.near[place] else "not one of the good cells"
    return f"{says}, {100.0 * lack / abs(least):.1f} % worse than the best; it is {good} (at most {_near()} worse)."


def _near() -> str:
    return f"{100.0 * NEAR:.0f} %"


def _turn(land: Landscape, place: tuple[int, int], axis: int) -> str:
    """Which way to turn one adjuster while the other stays, and what it changes."""
    name = land.axes[axis]
    line = land.offered[:, place[1]] if axis == 0 else land.offered[place[0]]
    there = int(line.argmin())
    if float(line[place[axis]] - line[there]) <= land.kind.resolution:
        return f"{NAMES[name].capitalize()} can stay: turned alone, it gains nothing worth a word here."
    to = (there, place[1]) if axis == 0 else (place[0], there)
    tried = land.made.clicks[name]
    step = tried[there] - tried[place[axis]]
    way = "Open {} (counter-clockwise)" if step > 0 else "Close {} (clockwise)"
    changes = [_change(land, place, to, land.measure), *_side_effect(land, place, to)]
    end = _end(land, name, tried[there], 1 if step > 0 else -1)
    slowly = ", two at a time and tested between" if abs(step) > AT_A_TIME else ""
    return f"{way.format(NAMES[name])} by {so_many(abs(step))}{slowly}, to {tried[there]}{end}: {'; '.join(changes)}."


def _end(land: Landscape, name: str, click: int, way: int) -> str:
    """What ends the way there: the release test, or the adjuster's own end."""
    if name == "rebound" and land.verdicts is not None:
        beyond = land.verdicts.get(click + way, Verdict.PASSES)
        if beyond is not Verdict.PASSES:
            return f" (one click further it {WORDS[beyond].split(':')[0]} in the release test)"
    tried = land.made.clicks[name]
    if click == (tried[-1] if way > 0 else tried[0]):
        return " (the open end of the map)" if click else " (fully closed)"
    return ""


def _of_those(land: Landscape) -> str:
    return " of those that pass the release test" if land.refused.any() else " of the map"


def _side_effect(land: Landscape, here: tuple[int, int], there: tuple[int, int]) -> list[str]:
    other = _other(land)
    if other is None or _alike(land, here, there, other):
        return []
    return [_change(land, here, there, other)]


def _change(land: Landscape, here: tuple[int, int], there: tuple[int, int], measure: str) -> str:
    before, after = land.at(here, measure), land.at(there, measure)
    return f"{before.name} {before.shown} → {after.text}"


def _alike(land: Landscape, one: tuple[int, int], other: tuple[int, int], measure: str) -> bool:
    first, second = land.at(one, measure), land.at(other, measure)
    return abs(first.value - second.value) <= first.resolution


def _best(land: Landscape) -> str:
    ways = " and ".join(f"{NAMES[name]} from {low} to {high}" for name, (low, high) in land.reach.items())
    count, among = int(land.near.sum()), int(np.isfinite(land.offered).sum())
    says = f"The best cell{_of_those(land)} is {in_clicks(land, land.best)}: {land.at(land.best).text}."
    if count == among:
        every = "every one of them" if land.refused.any() else "every cell"
        return f"{says} The valley is wide: {every} is at most {_near()} worse, so these clicks matter little here."
    return (
        f"{says} Around it the good valley goes with {ways}, each turned alone; {count} of {among} cells are "
        f"at most {_near()} worse."
    )


def _other(land: Landscape) -> str | None:
    """The measure of what would be given up: comfort for hold on the road, and the other way round."""
    other = GRIP if land.measure in SHAKING else COMFORT
    return other if other in land.made.measures else None


def _elsewhere(land: Landscape) -> list[str]:
    other = _other(land)
    if other is None:
        return []
    theirs = replace(land, measure=other)
    name = "Comfort" if other == COMFORT else "The evenness of the tyre load"
    if theirs.flat or theirs.offers_none:
        return []
    there = f"{in_clicks(land, theirs.best)} ({theirs.kind.name} {theirs.at(theirs.best).text})"
    if land.flat:
        return [f"{name} is best at {there}."]
    if _alike(land, land.best, theirs.best, other):
        return [f"{name} is as good as it gets in the best cell too."]
    gain = _change(land, land.best, theirs.best, other)
    if _alike(land, land.best, theirs.best, land.measure):
        return [
            f"{name} is best elsewhere, at {there}. Going there from the best cell costs nothing worth a word: {gain}."
        ]
    cost = _change(land, land.best, theirs.best, land.measure)
    return [f"{name} is best elsewhere, at {there}. Going there from the best cell gains {gain} and gives up {cost}."]
