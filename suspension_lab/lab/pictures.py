"""A bench's picture: three panels side by side in one image."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from suspension_lab.common.checks import Array
from suspension_lab.excitation.plate import ShakerPlate
from suspension_lab.excitation.road import Ride
from suspension_lab.lab.panels import LoadPanel, MotionPanel
from suspension_lab.lab.png import encode_png
from suspension_lab.lab.speed_panels import DamperPanel
from suspension_lab.simulation.trace import Trace

HEIGHT_SHARE = 0.58
LEFT_SHARE = 0.60
UPPER_SHARE = 0.57


class Picture:
    """Motion over time above tyre load over time, and damper force over shaft speed beside them.

    Args:
        with_road: draw the road among the motions.
        width: in screen pixels.
        pixel_ratio: device pixels per screen pixel.
    """

    narrowest, widest = 560, 1240

    def __init__(self, *, with_road: bool, width: int = 860, pixel_ratio: float = 1.0) -> None:
        self.motion, self.load, self.damper = MotionPanel(with_road=with_road), LoadPanel(), DamperPanel()
        self.resize(width, pixel_ratio)

    def resize(self, width: int, pixel_ratio: float = 1.0) -> None:
        """Fit another width [screen pixels]; the next drawing is a whole one."""
        height, left = round(HEIGHT_SHARE * width), round(LEFT_SHARE * width)
        upper = round(UPPER_SHARE * height)
        self.motion.resize(left, upper, pixel_ratio)
        self.load.resize(left, height - upper, pixel_ratio)
        self.damper.resize(width - left, height, pixel_ratio)

    def png(self, trace: Trace, kept: Trace | None = None) -> bytes:
        """The picture of the runs as PNG."""
        motion, load, damper = (panel.draw(trace, kept) for panel in (self.motion, self.load, self.damper))
        rows = max(damper.shape[0], motion.shape[0] + load.shape[0])
        whole = np.full((rows, motion.shape[1] + damper.shape[1], 4), 255, dtype=np.uint8)
        whole[: motion.shape[0], : motion.shape[1]] = motion
        whole[motion.shape[0] : motion.shape[0] + load.shape[0], : load.shape[1]] = load
        whole[: damper.shape[0], motion.shape[1] :] = damper
        return encode_png(whole)


def stacked(panels: Sequence[Array]) -> bytes:
    """Panels of one width, one above the other, as PNG."""
    return encode_png(np.concatenate(panels))


def picture_of(trace: Trace, kept: Trace | None = None, *, width: int = 1100) -> bytes:
    """A picture of a run as PNG, for files.

    Args:
        trace: the run.
        kept: another to compare with, in grey.
        width: [pixels].
    """
    return Picture(with_road=isinstance(trace.excitation, Ride | ShakerPlate), width=width).png(trace, kept)


def save_picture(trace: Trace, path: str | Path, kept: Trace | None = None) -> None:
    """Write a picture of a run as PNG; errors of the file system are the caller's."""
    Path(path).write_bytes(picture_of(trace, kept))
