"""The published and analytic values in data/reference, ready to be compared with."""

from __future__ import annotations

from dataclasses import asdict, dataclass

import pytest

from suspension_lab.common import reference as shipped

FOLDER = shipped.reference_folder()


@dataclass(frozen=True, kw_only=True)
class Reference(shipped.Reference):
    @property
    def near(self):
        """What a measured value must equal, within the tolerance; the tolerance is absolute."""
        return pytest.approx(self.value, rel=0.0, abs=self.tolerance)


def reference(name: str) -> dict[str, Reference]:
    """Quantity -> value of data/reference/<name>.csv."""
    return {quantity: Reference(**asdict(row)) for quantity, row in shipped.reference(name).items()}
