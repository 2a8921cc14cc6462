"""Our numbers beside published ones: both are looked up and computed when asked for, none is stored."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from suspension_lab.common.reference import Reference
from suspension_lab.workshop.trust_computed import COMPUTED

ONLY_IN_TESTS: Mapping[str, str] = {
    "golden_car": "the other numbers of the published step by step motion, held against the simulation itself",
    "roughness_index": "the same at steps of 0.05 to 0.2 m, and the road that is one triangle, point by point",
    "road_classes": "the limits of the classes and the r.m.s. height, on random roads by another way of counting",
    "weighting_wk": "the other frequencies of the table, and the vibration dose of a sine and of noise",
    "oil": "the other oils, grades and temperatures",
    "flow": "three measured round holes: the lab has one number for all holes, and theirs lie on either side of it",
    "one_mass_decay": "the other damping ratios, and the ratio of one swing to the next",
    "textbook_examples": "a kicked motorcycle and a small weight on a spring, by pounds and inches",
    "invariant_points": "the same for a car, with dampers harder in one direction, by simulation",
    "white_noise": "the same for two cars, by formula and by long simulations",
    "equivalent_damping": "a damper whose force goes with the square of the speed",
    "plate": "the other damping ratios, a sweep of the plate, and the inspection lines' words",
    "static_deflection": "the other frequencies",
    "pendulum_decay": "the part of the decay that goes with the swing, found together with the friction",
}
"""File -> what the tests hold of it beyond the rows."""
PUBLISHED, DEFINITION, FORMULA, MEASURED = "published", "definition", "formula", "measured"
"""Where a value is from. A definition is one that the lab takes over: it cannot be counted wrongly, only copied so."""


@dataclass(frozen=True, kw_only=True)
class TrustRow:
    """One of our numbers and the one it is held against.

    Attributes:
        topic: what it belongs to.
        words: what it is, in plain words.
        reference: value, unit, tolerance and source, as the file has them.
        ours: computed, in the same unit.
    """

    topic: str
    words: str
    reference: Reference
    ours: float

    @property
    def difference(self) -> float:
        """Ours less the other, in the unit of the row."""
        return self.ours - self.reference.value

    @property
    def within(self) -> bool:
        """Whether ours lies within the tolerance."""
        return self.reference.allows(self.ours)

    @property
    def kind(self) -> str:
        """Where the value it is held against is from: one of four words."""
        source = self.reference.source
        if source.startswith("published"):
            # Whole numbers of a standard, which stand in the lab as they stand in print.
            return DEFINITION if self.reference.tolerance == 0.0 else PUBLISHED
        return MEASURED if source.startswith("measured") else FORMULA

    @property
    def verdict(self) -> str:
        """The same in words."""
        tolerance = self.reference.tolerance
        if self.within:
            if self.kind == DEFINITION:
                return "the same: a definition"
            return "the same" if tolerance == 0.0 else "within"
        if tolerance == 0.0:
            return "outside: not the same"
        times = abs(self.difference) / tolerance
        return f"outside: {times:.1f} times the tolerance" if times < 1000.0 else "outside: far off"


def trust_rows(folder: Path | None = None) -> tuple[TrustRow, ...]:
    """Our numbers beside the published ones; it takes a second or two.

    Args:
        folder: where the reference files lie; None: those that come with the lab.

    Raises:
        LabError: a reference file that is missing or at fault, or lacks a quantity.
    """
    return tuple(
        TrustRow(topic=topic, words=words, reference=reference, ours=ours)
        for topic, computed in COMPUTED.items()
        for words, reference, ours in computed(folder)
    )


def read_trust(rows: Sequence[TrustRow]) -> list[str]:
    """Sentences on the whole table: how many lie within, which do not, and where the values are from."""
    outside = [row for row in rows if not row.within]
    kinds = _kinds(rows)
    if not outside:
        return [f"All {len(rows)} numbers lie within their tolerance.", kinds]
    first = "One number lies" if len(outside) == 1 else f"{len(outside)} of {len(rows)} numbers lie"
    named = "; ".join(f"{row.topic}: {row.words}" for row in outside)
    return [
        f"{first} outside the tolerance. {named}.",
        "Do not rely on this copy of the lab for anything that hangs on that until it is mended.",
        kinds,
    ]


def count_kinds(rows: Sequence[TrustRow]) -> dict[str, int]:
    """Kind of value -> how many rows are held against one."""
    return {kind: sum(row.kind == kind for row in rows) for kind in (PUBLISHED, DEFINITION, FORMULA, MEASURED)}


def _kinds(rows: Sequence[TrustRow]) -> str:
    count = count_kinds(rows)
    return (
        f"Of the {len(rows)} values {count[PUBLISHED]} stand in print and {count[FORMULA]} follow from a closed "
        f"formula. Definitions that the lab takes over: {count[DEFINITION]}; they show that it was copied right, no "
        f"more. From a measured record: {count[MEASURED]}; what was fitted and what was given are from that same "
        "record, so it checks the fit only."
    )
