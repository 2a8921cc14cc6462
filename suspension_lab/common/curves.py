"""Curves given by points."""

from __future__ import annotations

import numpy as np

from suspension_lab.common.checks import Array


def straight_beyond(x: Array, nodes: Array, values: Array) -> Array:
    """Straight lines between points, going on with the first and last slope beyond them.

    Args:
        x: where to evaluate, any shape.
        nodes, values: the points, (n,) each with n >= 2, nodes rising.

    Returns:
        Same shape as `x`.
    """
    first = (values[1] - values[0]) / (nodes[1] - nodes[0])
    last = (values[-1] - values[-2]) / (nodes[-1] - nodes[-2])
    inside = np.interp(x, nodes, values)
    return np.asarray(inside + np.minimum(x - nodes[0], 0.0) * first + np.maximum(x - nodes[-1], 0.0) * last)
