"""A fit in plain words: what was found, whether the model fits at all, and what dry friction has to do with it."""

from __future__ import annotations

import math

import numpy as np

from suspension_lab.workshop.fit_release import UNKNOWNS, Fitted, ReleaseFit

WITHIN_NOISE = 1.3
"""Up to this many times its noise a misfit is noise (our choice)."""
GOOD, POOR = 0.02, 0.06
"""Misfit over the whole motion: up to the first the model is good enough to work with, from the second on it is not
(our choice)."""
PATTERN = 3.0
"""From this many times the noise on a misfit is a pattern, not noise (our choice)."""
DRY = 0.5
"""From this share of the work on, dry friction rules."""
SHOWN = {"position": (1e3, "mm"), "velocity": (1.0, "m/s"), "acceleration": (1.0, "m/s²")}


def read_fit(fit: ReleaseFit) -> list[str]:
    """Sentences on a fit: whether the model fits, each value, dry friction, and what the record cannot tell."""
    return [_how_well(fit), *(_value(fit, name) for name in fit.found), *_spring(fit), *_friction(fit), *fit.warnings]


def fits(fit: ReleaseFit) -> bool:
    """Whether the model describes the record well enough to work with."""
    return fit.misfit <= WITHIN_NOISE * fit.noise or fit.share < (POOR if fit.misfit <= PATTERN * fit.noise else GOOD)


def friction_work(fit: ReleaseFit) -> float:
    """Share of the work of damper and seals that the seals' dry friction does."""
    trace, station = fit.trace, fit.station
    speed = trace.shaft_speed
    dry = float(np.mean(station.friction * station.friction_share(speed) * speed))
    wet = float(np.mean(station.damper.force(speed) * speed))
    return dry / (dry + wet) if dry + wet > 0.0 else 0.0


def _how_well(fit: ReleaseFit) -> str:
    scale, unit = SHOWN[fit.kind]
    left = f"what is left over is {scale * fit.misfit:.2g} {unit} r.m.s., {100.0 * fit.share:.1f} % of the motion"
    if fit.misfit <= WITHIN_NOISE * fit.noise:
        return f"The model fits: {left}, no more than the record's own noise."
    if fit.share < GOOD:
        return f"The model fits well enough to work with: {left}."
    if fit.share < POOR:
        return (
            f"The model fits in the main: {left}, with a pattern that is not noise. Take its values with care, and "
            "look at the residual: where it swings, something is not in the model."
        )
    return (
        f"The model does not fit: {left}. Do not use its values. Look at the clicks, the load and the masses in the "
        "file, at a bent shaft or a binding linkage, and whether the hand was really gone."
    )


def _value(fit: ReleaseFit, name: str) -> str:
    each, label = fit.found[name], UNKNOWNS[name].label
    amount = in_words(each)
    return f"{label[0].upper()}{label[1:]}: {amount} (about 95 % sure), if the model holds."


def in_words(each: Fitted) -> str:
    """A value with what 95 of 100 lie within, in the workshop's unit."""
    scale, unit = _as_shown(each)
    spread = 2.0 * scale * each.uncertainty
    digits = max(0, 1 - math.floor(math.log10(spread))) if 0.0 < spread < math.inf else 2
    return f"{scale * each.value:.{min(digits, 4)}f} ± {spread:.{min(digits, 4)}f} {unit}"


def _as_shown(each: Fitted) -> tuple[float, str]:
    """Factor from a value's unit to the workshop's, and that unit."""
    return (1e-3, "N/mm") if each.unit == "N/m" else (1.0, each.unit)


def _moved(fit: ReleaseFit, name: str, shift: float) -> str:
    """A value and by how much it would move, with its sign, to two places and in the workshop's unit."""
    scale, unit = _as_shown(fit.found[name])
    digits = max(0, 1 - math.floor(math.log10(abs(scale * shift))))
    return f"{UNKNOWNS[name].label} by {scale * shift:+.{digits}f} {unit}"


def _spring(fit: ReleaseFit) -> list[str]:
    """What a wrong spring would do to the values: an uncertainty that the record itself does not show."""
    moved = [
        _moved(fit, name, shift) for name, shift in fit.spring_shift.items() if abs(shift) > fit.found[name].uncertainty
    ]
    if not moved:
        return []
    return [
        "All this holds if spring and load are as in the file: a spring a tenth harder would move "
        f"{' and '.join(moved)}, more than its uncertainty tells. Check the sag first."
    ]


def _friction(fit: ReleaseFit) -> list[str]:
    share = friction_work(fit)
    if share < DRY:
        return []
    return [
        f"Dry friction does {100.0 * share:.0f} % of the work: a single logarithmic decrement, or one damping ratio, "
        "would be wrong for this motion."
    ]
