"""One look for each signal, everywhere: a colour of the Okabe-Ito palette and a line style of its own.

The palette is safe for the colour-blind (after Okabe and Ito, Color Universal Design, 2008); the line styles tell the
signals apart without any colour. What is paler than 3:1 against its ground (WCAG 2.1, 1.4.11) has a dark outline.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from matplotlib.patheffects import withStroke

KEPT_GREY = "#707070"
EDGE = "#707070"
"""Edges of pale fills, hatches and lines of reference: 3:1 against white and against the grey of a band."""
OUTLINE = "#333333"
"""Around lines and bars whose own colour is too pale on white."""


@dataclass(frozen=True, kw_only=True)
class Look:
    """How a signal is drawn."""

    label: str
    colour: str
    dashes: str | tuple[int, tuple[float, ...]] = "-"
    width: float = 1.8
    outlined: bool = False

    def line(self) -> dict[str, Any]:
        """Arguments for a matplotlib line."""
        made: dict[str, Any] = {"color": self.colour, "linestyle": self.dashes, "linewidth": self.width}
        if self.outlined:
            made["path_effects"] = [withStroke(linewidth=self.width + 1.4, foreground=OUTLINE)]
        return made

    def kept(self) -> dict[str, Any]:
        """Arguments for the same signal of the kept run: grey, thinner, its own line style."""
        return {"color": KEPT_GREY, "linestyle": self.dashes, "linewidth": 0.75 * self.width}


BODY = Look(label="body", colour="#0072B2", width=2.2)
WHEEL = Look(label="wheel", colour="#D55E00", dashes=(0, (5, 2)))
ROAD = Look(label="road", colour="#000000", dashes=(0, (1, 1.2)), width=1.6)
TYRE_LOAD = Look(label="tyre load", colour="#009E73", width=1.8)
DAMPER = Look(label="damper now", colour="#000000", width=1.0)
REBOUND = Look(label="rebound used", colour="#CC79A7", dashes=(0, (2, 0.6)), width=5.0, outlined=True)
COMPRESSION = Look(label="compression used", colour="#E69F00", width=5.0, outlined=True)
COMPRESSION_SIDE = Look(label="compression side", colour="#E69F00", width=2.2, outlined=True)
REBOUND_SIDE = Look(label="rebound side", colour="#CC79A7", dashes=(0, (5, 2)), width=2.2)
LIMIT = Look(label="cavitates", colour="#000000", dashes=(0, (1, 1.5)), width=1.6)
LINEAR = Look(label="linear, small swings", colour="#000000", width=1.2)
SWINGS_SMALL = Look(label="equivalent damping", colour="#0072B2", dashes=(0, (5, 2)), width=1.6)
SWINGS_LARGE = Look(label="equivalent damping", colour="#D55E00", dashes=(0, (1, 1)), width=1.6)
SIMULATED = ("o", "s")
"""Marks of what was simulated, for small and for large swings."""
WITH_RESERVOIR = Look(label="with a reservoir", colour="#0072B2", width=2.2)
EVENNESS = Look(label="tyre load variation", colour="#009E73", width=2.2, outlined=True)
COMFORT = Look(label="shaking of the body", colour="#D55E00", dashes=(0, (5, 2)), width=2.2)
WITHOUT_RESERVOIR = Look(label="without one", colour="#D55E00", dashes=(0, (5, 2)), width=2.2)


@dataclass(frozen=True, kw_only=True)
class Band:
    """How a share of a whole is filled: the marks in the damper's section say which way it is."""

    label: str
    colour: str
    hatch: str

    def patch(self) -> dict[str, Any]:
        """Arguments for a matplotlib patch."""
        return {"facecolor": self.colour, "edgecolor": "#333333", "hatch": self.hatch, "linewidth": 0.5}


BLEED = Band(label="bleed", colour="#F2F2F2", hatch="...")
BLOW_OFF = Band(label="blow-off", colour="#F7DDA6", hatch="///")
LEAK = Band(label="leak", colour="#BBBBBB", hatch="---")
