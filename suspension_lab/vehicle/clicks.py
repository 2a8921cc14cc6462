"""Clicks: whole numbers counted out from fully closed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from operator import index
from types import MappingProxyType
from typing import Any, Self

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array, positive
from suspension_lab.common.errors import LabError, nearest_name

ADJUSTERS = ("rebound", "low_speed", "high_speed")
"""The adjusters a damper may have; `low_speed` and `high_speed` are compression."""


@dataclass(frozen=True, kw_only=True)
class Clicks:
    """Where the adjusters stand: clicks out (counter-clockwise) from fully closed, or None where there is none.

    0 is closed and hardest. It can be spread into keywords: `station.with_clicks(**other.clicks)`.
    """

    rebound: int | None = None
    low_speed: int | None = None
    high_speed: int | None = None

    def keys(self) -> list[str]:
        """Names of the adjusters that exist."""
        return [name for name in ADJUSTERS if getattr(self, name) is not None]

    def __contains__(self, name: object) -> bool:
        return name in ADJUSTERS and getattr(self, str(name)) is not None

    def __iter__(self) -> Iterator[str]:
        return iter(self.keys())

    def __getitem__(self, name: str) -> int:
        if name not in self:
            raise KeyError(name)
        return int(getattr(self, name))

    def __str__(self) -> str:
        return ", ".join(f"{name.replace('_', '-')} {self[name]}" for name in self) or "no adjusters"


@dataclass(frozen=True, kw_only=True)
class Span:
    """A damper constant that an adjuster sets, from its closed to its open value.

    Between the ends each click changes it by the same ratio (a tapered needle; common practice, no source).

    Raises:
        LabError: an end that is not a number above zero.
    """

    closed: float
    open: float

    def __post_init__(self) -> None:
        positive("the closed end of a span", self.closed, "SI")
        positive("the open end of a span", self.open, "SI")

    def at(self, clicks: int, clicks_range: int) -> float:
        """The value at `clicks` out of `clicks_range`."""
        share = clicks / clicks_range
        return float(self.closed ** (1.0 - share) * self.open**share)


def checked_adjusters(adjusters: Mapping[str, int]) -> None:
    """Hold that a damper's adjusters are known, and have a range.

    Raises:
        LabError: an unknown adjuster, no clicks in a range, or a high-speed adjuster without a low-speed one.
    """
    for name, count in adjusters.items():
        if name not in ADJUSTERS or not isinstance(count, int) or count < 1:
            raise LabError(
                f"Adjuster '{name}' with {count!r} clicks: expected one of {', '.join(ADJUSTERS)} "
                "with at least 1 click."
            )
    if "high_speed" in adjusters and "low_speed" not in adjusters:
        raise LabError(
            "The adjusters have high_speed but no low_speed, where a single compression adjuster is called "
            "low_speed; name it so, or add low_speed."
        )


def checked_clicks(adjusters: Mapping[str, int], present: Clicks, changes: Mapping[str, Any]) -> Clicks:
    """`present` with some clicks changed, all held to the damper's ranges.

    Args:
        adjusters: name -> number of clicks from closed to open.
        present: the clicks so far.
        changes: name -> clicks; None leaves one as it is.

    Raises:
        LabError: an unknown adjuster, one this damper does not have, a number that is not whole, or out of range.
    """
    values = {name: getattr(present, name) for name in ADJUSTERS}
    for name, value in changes.items():
        if value is None:
            continue
        if name not in ADJUSTERS:
            raise LabError(f"There is no adjuster '{name}'; {nearest_name(name, ADJUSTERS)}")
        label = name.replace("_", "-")
        if name not in adjusters:
            have = ", ".join(n.replace("_", "-") for n in adjusters) or "none at all"
            raise LabError(f"This damper has no {label} adjuster (it has {have}); leave {name} out.")
        try:
            clicks = index(value)
        except TypeError:
            raise LabError(f"{label} clicks are {value!r}, where a whole number was expected.") from None
        if not 0 <= clicks <= adjusters[name]:
            raise LabError(
                f"{label} clicks are {clicks}, where 0 (closed) to {adjusters[name]} (open) was expected; "
                "count them out from closed again."
            )
        values[name] = clicks
    return Clicks(**values)


def starting_clicks(adjusters: Mapping[str, int], given: Clicks) -> Clicks:
    """The clicks given, and the middle of the range for each adjuster not given.

    Raises:
        LabError: as `checked_clicks`.
    """
    middle = Clicks(**{name: count // 2 for name, count in adjusters.items()})
    return checked_clicks(adjusters, middle, {**given})


class Adjustable:
    """What all dampers share: adjusters, where they stand, and a copy at other clicks.

    A damper described by its curves has neither gas nor oil of its own; one described by its parts says otherwise.

    Attributes:
        adjusters: name -> number of clicks from closed to open; empty where nothing can be set.
        clicks: where the adjusters stand.
        free_play: shaft travel without damping at each turn [m].
    """

    adjusters: Mapping[str, int] = MappingProxyType({})
    clicks: Clicks = Clicks()
    free_play: float = 0.0

    @property
    def longest_stroke(self) -> float:
        """Shaft travel from full extension that the damper allows [m]."""
        return math.inf

    def gas_force(self, shaft_travel: ArrayLike) -> Array:
        """Force [N] with which gas pushes the rod out, over shaft travel from full extension [m], same shape."""
        return np.zeros_like(np.asarray(shaft_travel, dtype=np.float64))

    def with_oil_temperature(self, temperature: float) -> Self:
        """A copy with its oil at another temperature [K].

        Raises:
            LabError: always, for a damper described by its curves.
        """
        raise LabError(
            "This damper is described by its curves, which hold for the oil temperature they were measured at; "
            "leave the oil temperature out, or describe the damper by its parts."
        )

    def with_clicks(
        self, *, rebound: int | None = None, low_speed: int | None = None, high_speed: int | None = None
    ) -> Self:
        """A copy at other clicks; those not given stay.

        Raises:
            LabError: an adjuster this damper does not have, or clicks out of its range.
        """
        asked = {"rebound": rebound, "low_speed": low_speed, "high_speed": high_speed}
        clicks = checked_clicks(self.adjusters, self.clicks, asked)
        return self if clicks == self.clicks else replace(self, clicks=clicks)  # type: ignore[type-var]
