"""The reference files themselves: readable, each value with a unit, a tolerance and a source."""

import numpy as np
import pytest
from reference_values import FOLDER, reference

FILES = sorted(file.stem for file in FOLDER.glob("*.csv"))


def test_there_are_reference_files():
    assert {"golden_car", "one_mass_decay", "textbook_examples"} <= set(FILES)


@pytest.mark.parametrize("name", FILES)
def test_each_value_says_where_it_comes_from(name):
    for row in reference(name).values():
        assert np.isfinite(row.value)
        assert row.unit
        assert row.tolerance >= 0.0
        assert row.tolerance <= 0.05 * abs(row.value) or row.quantity.startswith(("PR", "dry friction end")), row
        assert row.source.split(":")[0].split(" after")[0] in ("published", "analytic", "practice"), row
