"""The usual cautions, shown wherever a person could act on a result."""

from __future__ import annotations

TURNING = (
    "Before you turn anything: the maker's manual comes first. Note the present clicks, turn by hand or with a fitting "
    "screwdriver without force, and stop where the adjuster stops."
)
STANDING = (
    "Push and let go only on level ground with the vehicle held upright, both wheels down, and hands and feet clear of "
    "spring and linkage."
)
RIDING = (
    "No simulation clears a vehicle for the road. Check brakes, bolts and tyre pressure, change one thing at a time, "
    "and try it slowly on closed ground first; follow local rules."
)
OPENING = "Never open a gas-charged damper or take a spring apart: that is work for a licensed workshop."
REBOUND_FIRST = (
    "Rebound comes first and is set by the release test, whatever a road says: one that swings on there is too open, "
    "one that creeps back is too closed and packs down over bumps that follow each other."
)

STANDING_TEST = (TURNING, STANDING, OPENING)
RIDING_TEST = (TURNING, RIDING, OPENING)
AT_THE_VEHICLE = (TURNING, STANDING, RIDING, OPENING)
"""Where both may follow."""
