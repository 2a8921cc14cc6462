"""A number of a run, and what stands around it in a table and in a sentence."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields, replace

from suspension_lab.simulation.trace import Trace


@dataclass(frozen=True, kw_only=True)
class Described:
    """What stands around a number.

    Attributes:
        key: a name for scripts.
        label: for a table.
        name: within a sentence.
        unit: shown behind the number; empty for a count.
        digits: behind the point.
        smaller_is: 'better', 'worse', or '' where neither holds by itself.
        resolution: a change smaller than this is none worth a word, in the same unit.
    """

    key: str
    label: str
    name: str
    unit: str
    digits: int = 0
    smaller_is: str = ""
    resolution: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Measure(Described):
    """One number of a run, in the unit a table shows.

    Attributes:
        value: infinite where it did not happen within the run.
    """

    value: float

    @property
    def text(self) -> str:
        """The number with its unit, or 'not within the run'."""
        if not math.isfinite(self.value):
            return "not within the run"
        if self.unit == "times" and self.value < 2:
            return ("never", "once")[int(self.value)]
        return f"{self.shown} {self.unit}".strip()

    @property
    def shown(self) -> str:
        """The number alone, rounded."""
        rounded = f"{self.value:.{self.digits}f}"
        return rounded.removeprefix("-") if float(rounded) == 0.0 else rounded


def _always(trace: Trace) -> bool:
    return True


@dataclass(frozen=True, kw_only=True)
class MeasureKind(Described):
    """A measure before there is a run: how it is found, and what stands around it.

    Attributes:
        found: its value in SI, from a run.
        scale: shown value over that in SI.
        out_of: the most it can be, in SI, told behind the unit; None: nothing is told.
        belongs: whether a run has it at all.
    """

    found: Callable[[Trace], float]
    scale: float = 1.0
    out_of: Callable[[Trace], float] | None = None
    belongs: Callable[[Trace], bool] = _always

    def at(self, value: float) -> Measure:
        """The measure for a value in SI."""
        around = {field.name: getattr(self, field.name) for field in fields(Described)}
        return Measure(**around, value=self.scale * value)

    def of(self, trace: Trace) -> Measure:
        """The measure of a run."""
        measure = self.at(self.found(trace))
        if self.out_of is None:
            return measure
        return replace(measure, unit=f"{self.unit} of {self.scale * self.out_of(trace):.0f} {self.unit}")
