"""Roads: bumps by shape, random surfaces, and a profile read from a file."""

from suspension_lab.excitation.roads.bumps import (
    expansion_joints,
    in_a_row,
    kerb,
    long_hump,
    pothole,
    round_top_hump,
    washboard,
)
from suspension_lab.excitation.roads.measured import read_csv
from suspension_lab.excitation.roads.surfaces import ROAD_CLASSES, cobbles, iso8608, patched_asphalt

__all__ = [
    "ROAD_CLASSES",
    "cobbles",
    "expansion_joints",
    "in_a_row",
    "iso8608",
    "kerb",
    "long_hump",
    "patched_asphalt",
    "pothole",
    "read_csv",
    "round_top_hump",
    "washboard",
]
