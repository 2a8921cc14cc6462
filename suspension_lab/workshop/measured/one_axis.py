"""From what a sensor gives to one signal in SI units, up positive: unit, gravity, axes."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from suspension_lab.common.checks import GRAVITY, Array
from suspension_lab.common.errors import LabError
from suspension_lab.workshop.measured.let_go import HELD, none_found, quietest

KINDS = ("position", "acceleration")
UNITS = {
    "position": {"m": 1.0, "cm": 1e-2, "mm": 1e-3},
    "acceleration": {"m/s^2": 1.0, "g": GRAVITY},
}
"""Kind -> unit -> factor to SI."""
_SPELLINGS = {
    "m/s2": "m/s^2", "m/s/s": "m/s^2", "ms2": "m/s^2", "ms-2": "m/s^2", "m.s-2": "m/s^2", "m_per_s2": "m/s^2",
    "m_s2": "m/s^2", "m_per_s_2": "m/s^2", "mpersec2": "m/s^2", "gn": "g", "g0": "g", "metre": "m", "meter": "m",
    "metres": "m", "meters": "m", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
}  # fmt: skip
GRAVITY_IN, GRAVITY_OUT = (0.8, 1.2), 0.25
"""What three axes together read at rest, as a share of gravity: with it, and at most without it (our choice)."""
ONE_AXIS_IN = (0.5, 1.1)
"""As before, for one axis that is up within 60 degrees (our choice)."""
LIKELY_SI = 2.0
"""A release's acceleration above this is no number of g (our choice)."""
SMALL_M, LARGE_MM = 0.4, 40.0
"""A position without a unit that moves by less is in metres, by more in millimetres (our choice)."""
UNQUIET = 0.45
"""Scatter of the quietest stretch over the largest motion from which on none is quiet (our choice)."""


@dataclass(frozen=True, kw_only=True)
class OneAxis:
    """One signal: values in SI (n,), whether up is known to be positive, and what was assumed."""

    values: Array
    sign_known: bool
    notes: tuple[str, ...]


def unit_of(text: str) -> str | None:
    """The unit a spelling means, as in `UNITS`; None: unknown."""
    plain = re.sub(r"[\s^*·]+", "", text.strip().lower().replace("²", "2").replace("\N{MINUS SIGN}", "-"))
    name = _SPELLINGS.get(plain, plain)
    return name if any(name in units for units in UNITS.values()) else None


def one_axis(time: Array, axes: Array, kind: str, unit: str | None) -> OneAxis:
    """One signal from one or three axes.

    Args:
        time: rising [s], (n,).
        axes: (n, 1), or (n, 3) for an acceleration.
        kind: of `KINDS`.
        unit: a key of `UNITS[kind]`; None: not known.

    Raises:
        LabError: a unit that cannot be told or cannot be true, no quiet stretch, or a phone that lies too tilted.
    """
    if kind == "position":
        return _position(axes[:, 0], unit)
    step = float(np.median(np.diff(time)))
    still = quietest(axes, round(HELD / step))
    level = np.mean(axes[still], axis=0)
    moved = axes - level
    if float(np.std(moved[still])) > UNQUIET * float(np.abs(moved).max()):
        raise none_found("no stretch of it is quiet")
    factor, notes = _acceleration_unit(float(np.linalg.norm(level)), float(np.abs(moved).max()), unit)
    found = _three(moved * factor, level * factor) if axes.shape[1] > 1 else _single(moved * factor, level * factor)
    return OneAxis(values=found.values, sign_known=found.sign_known, notes=(*notes, *found.notes))


def _position(values: Array, unit: str | None) -> OneAxis:
    if unit is not None:
        return OneAxis(values=values * UNITS["position"][unit], sign_known=False, notes=())
    span = float(np.ptp(values))
    if SMALL_M <= span < LARGE_MM:
        raise LabError(
            f"The position has no unit, and a motion of {span:.3g} could be cm or mm; say which by unit='mm', or in "
            "the heading, as 'position [mm]'."
        )
    name = "m" if span < SMALL_M else "mm"
    note = f"The position has no unit: its motion of {span:.3g} was taken as {name}."
    return OneAxis(values=values * UNITS["position"][name], sign_known=False, notes=(note,))


def _acceleration_unit(level: float, most: float, unit: str | None) -> tuple[float, list[str]]:
    """Factor to SI, from what is read at rest and the largest motion, both in the sensor's unit."""
    as_g = GRAVITY_IN[0] <= level <= GRAVITY_IN[1]
    as_si = GRAVITY_IN[0] * GRAVITY <= level <= GRAVITY_IN[1] * GRAVITY
    if unit is not None:
        if (unit == "g" and as_si) or (unit == "m/s^2" and as_g):
            other = "m/s^2" if unit == "g" else "g"
            raise LabError(
                f"The acceleration is said to be in {unit}, but at rest it reads {level:.3g}, which is gravity in "
                f"{other}; name the unit {other}."
            )
        return UNITS["acceleration"][unit], []
    if as_g or as_si:
        name = "g" if as_g else "m/s^2"
        return UNITS["acceleration"][name], [
            f"The acceleration has no unit: it reads {level:.3g} at rest, so it was taken as {name} with gravity."
        ]
    if level <= 0.5 * LIKELY_SI < LIKELY_SI < most:
        return 1.0, [
            f"The acceleration has no unit: with up to {most:.3g} it was taken as m/s^2, since no release reaches so "
            "many g."
        ]
    raise LabError(
        f"The acceleration has no unit, and {level:.3g} at rest with motions up to {most:.3g} does not tell it; say "
        "which by unit='g' or unit='m/s^2', or in the heading, as 'ax [g]'."
    )


def _three(moved: Array, level: Array) -> OneAxis:
    size = float(np.linalg.norm(level))
    if GRAVITY_IN[0] * GRAVITY <= size <= GRAVITY_IN[1] * GRAVITY:
        up = level / size
        notes = [f"Gravity is in, {size:.2f} m/s^2 at rest: its direction was taken as up, and it was taken off."]
        if abs(size / GRAVITY - 1.0) > 0.03:
            notes.append("The sensor is off by more than 3 % at rest; let it be calibrated.")
        return OneAxis(values=moved @ up, sign_known=True, notes=tuple(notes))
    if size > GRAVITY_OUT * GRAVITY:
        raise LabError(
            f"At rest the acceleration reads {size:.2f} m/s^2, which is neither gravity ({GRAVITY:.2f}) nor none; "
            "check the unit, and that three axes of one sensor were taken."
        )
    # Uncentred: at rest it is zero already.
    _, strength, directions = np.linalg.svd(moved, full_matrices=False)
    share = float(strength[0] ** 2 / max(float(np.sum(strength**2)), 1e-300))
    notes = [
        f"Gravity is out: the direction of most motion, {100 * share:.0f} % of it, was taken as up, and the let-go as "
        "upward."
    ]
    return OneAxis(values=moved @ directions[0], sign_known=False, notes=tuple(notes))


def _single(moved: Array, level: Array) -> OneAxis:
    size, values = float(abs(level[0])), moved[:, 0]
    low, high = (share * GRAVITY for share in ONE_AXIS_IN)
    if low <= size <= high:
        notes = [f"Gravity is in, {size:.2f} m/s^2 at rest: it was taken off."]
        if abs(size / GRAVITY - 1.0) > 0.02:
            notes.append(
                f"That is {100 * size / GRAVITY:.0f} % of gravity: the axis was taken as tilted, and its values "
                "scaled up."
            )
        return OneAxis(values=values * GRAVITY / level[0], sign_known=True, notes=tuple(notes))
    if size <= GRAVITY_OUT * GRAVITY:
        note = "Gravity is out, and there is one axis: the let-go was taken as upward, and the axis as upright."
        return OneAxis(values=values, sign_known=False, notes=(note,))
    raise LabError(
        f"At rest the one axis reads {size:.2f} m/s^2, where about {GRAVITY:.2f} or 0 was expected; check the unit, "
        "lay the phone flat, or give all three axes."
    )
