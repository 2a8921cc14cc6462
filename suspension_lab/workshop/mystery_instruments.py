"""What a mystery vehicle is measured with, and a row of the workshop's sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, kw_only=True)
class Instrument:
    """Something that is read, never further off than its tolerance.

    Attributes:
        unit: of what it shows.
        tolerance: how far a reading may be off at most, in that unit; errors are drawn evenly within it.
        digits: behind the point.
        share: the tolerance as a share of the value instead, for what is only felt.
    """

    unit: str = ""
    tolerance: float = 0.0
    digits: int = 0
    share: float = 0.0

    def read(self, value: float, rng: np.random.Generator) -> float:
        """A reading; what cannot be read stays as it is.

        Args:
            value: the true one.
            rng: draws the error.
        """
        throw = float(rng.uniform(-1.0, 1.0))
        if not math.isfinite(value):
            return value
        if self.share:
            return value * (1.0 + throw * self.share)
        # The last digit shown is part of the tolerance.
        reach = max(self.tolerance - 0.5 * 10.0**-self.digits, 0.0)
        return round(value + throw * reach, self.digits) + 0.0


TAPE = Instrument(unit="mm", tolerance=1.0)
EYE = Instrument(unit="mm", tolerance=6.0)
STOPWATCH = Instrument(unit="s", tolerance=0.05, digits=2)
GAUGE = Instrument(unit="bar", tolerance=0.05, digits=2)
BALANCE = Instrument(unit="N", tolerance=5.0)
COUNT = Instrument()
FEEL = Instrument(share=0.03)


@dataclass(frozen=True, kw_only=True)
class Row:
    """A line of the sheet: what was measured beside what a sound vehicle of this kind gives.

    Attributes:
        what: is told, in the workshop's words.
        measured, sound: as texts.
        value, sound_value: as numbers, where it is one; NaN otherwise.
        tolerance: of the number.
        unit: of the number.
    """

    what: str
    measured: str
    sound: str
    value: float = math.nan
    sound_value: float = math.nan
    tolerance: float = math.nan
    unit: str = ""

    @property
    def more(self) -> float:
        """How much the number is above that of a sound one; NaN without numbers."""
        return self.value - self.sound_value

    @property
    def above(self) -> bool:
        """Whether the number is above that of a sound one by more than its tolerance."""
        return self.more > self.tolerance

    @property
    def below(self) -> bool:
        """Whether it is below by more than that."""
        return self.more < -self.tolerance

    @property
    def off(self) -> bool:
        """Whether it differs from a sound one by more than its tolerance, or in words."""
        if math.isnan(self.tolerance):
            return self.measured != self.sound
        return not abs(self.more) <= self.tolerance

    @property
    def tolerance_text(self) -> str:
        """The tolerance with its unit; 'in words' where there is none, 'exact' where there is nothing to be off."""
        if math.isnan(self.tolerance):
            return "in words"
        return f"±{self.tolerance:g} {self.unit}".rstrip() if self.tolerance else "exact"


def numbers(
    what: str, value: float, sound: float, instrument: Instrument, *, detail: str = "", never: str = ""
) -> Row:  # fmt: skip
    """A row of numbers.

    Args:
        what: is told.
        value: read.
        sound: of a sound vehicle.
        instrument: whose unit, digits and tolerance are shown.
        detail: how the value came about, behind it.
        never: what is said where there is no finite number.
    """
    # What a sound one gives is not read but simulated: it has a digit more where the unit is coarse.
    digits = max(instrument.digits, 1) if instrument.unit == "mm" else instrument.digits
    sound = round(sound, digits) + 0.0 if math.isfinite(sound) else sound

    def told(number: float, shown: int) -> str:
        return f"{number:.{shown}f} {instrument.unit}".rstrip() if math.isfinite(number) else never

    measured = told(value, instrument.digits)
    return Row(
        what=what, measured=f"{measured} ({detail})" if detail else measured, sound=told(sound, digits), value=value,
        sound_value=sound, tolerance=instrument.tolerance, unit=instrument.unit,
    )  # fmt: skip


def words(what: str, measured: str, sound: str) -> Row:
    """A row of words."""
    return Row(what=what, measured=measured, sound=sound)
