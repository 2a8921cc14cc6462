"""The spring: linear, progressive, or a measured table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from suspension_lab.common.checks import Array, array, number, positive, rising
from suspension_lab.common.curves import straight_beyond
from suspension_lab.common.errors import LabError


@dataclass(frozen=True, kw_only=True)
class Spring:
    """A coil spring at the damper's shaft.

    Attributes:
        rate: spring rate at the beginning of its compression [N/m]; not wanted with a table.
        preload: compression of the spring at full extension of the damper [m].
        progression: how much the rate grows with compression [N/m per m]; 0 is a linear spring.
        compression, table_force: a measured table [m], [N], both rising; beyond its ends it goes on straight.

    Raises:
        LabError: a value that is not finite, a rate not above zero, or a table that does not rise.
    """

    rate: float | None = None
    preload: float = 0.0
    progression: float = 0.0
    compression: Sequence[float] | None = None
    table_force: Sequence[float] | None = None

    def __post_init__(self) -> None:
        number("spring preload", self.preload, "m")
        number("spring progression", self.progression, "N/m^2", low=0.0)
        if self.compression is None and self.table_force is None:
            if self.rate is None:
                raise LabError("The spring has neither a rate nor a table; give rate in N/m.")
            positive("spring rate", self.rate, "N/m")
            return
        if self.rate is not None or self.compression is None or self.table_force is None:
            raise LabError("A spring is either a rate or a table of compression and table_force; give one of them.")
        x = array("spring table compression", self.compression, "m")
        f = array("spring table force", self.table_force, "N")
        if x.size != f.size:
            raise LabError(f"The spring table has {x.size} compressions but {f.size} forces; give a pair for each.")
        rising("spring table compression", x, "m")
        rising("spring table force", f, "N")
        object.__setattr__(self, "compression", tuple(x.tolist()))
        object.__setattr__(self, "table_force", tuple(f.tolist()))

    def force(self, shaft_travel: ArrayLike) -> Array:
        """Spring force [N], positive when it pushes the body up.

        Args:
            shaft_travel: from full extension, positive in compression [m], any shape.

        Returns:
            Same shape. Below zero compression the spring pulls at its first rate, as a linear model does;
            a station with a travel of its own keeps clear of that range by its top-out stop.
        """
        x = np.asarray(shaft_travel, dtype=np.float64) + self.preload
        if self.compression is not None:
            return straight_beyond(x, np.asarray(self.compression), np.asarray(self.table_force))
        assert self.rate is not None
        return np.asarray(self.rate * x + 0.5 * self.progression * np.maximum(x, 0.0) ** 2)
