"""The row from soft to hard read in plain words."""

from __future__ import annotations

from suspension_lab.measures.contact import contact_loss
from suspension_lab.measures.summary import ride_measure
from suspension_lab.vehicle.clicks import Clicks
from suspension_lab.workshop.cautions import REBOUND_FIRST
from suspension_lab.workshop.click_map import NEAR
from suspension_lab.workshop.evenness import ALIKE, NEIGHBOURS, Evenness, Felt, Row, Valley
from suspension_lab.workshop.reading import read_ends
from suspension_lab.workshop.reading_ride import read_contact

COMING = "The valley is being worked out; it will be here in a moment."
ALIKE_ONLY = (
    "The curves hold for all adjusters at the same share of their range. This setting stands at the mean share of its "
    "adjusters, and may lie beside the curves."
)
VARIATION, SHAKING = ride_measure("tyre_load_variation"), ride_measure("weighted_acceleration")


def read_evenness(run: Evenness) -> list[str]:
    """Sentences on a setting among those from soft to hard: where it sits, and what turning the clicks would do."""
    valley = run.valley
    if valley is None:
        return [COMING]
    ends = [*([read_contact(run.trace)] if contact_loss(run.trace).longest > 0.0 else []), *read_ends(run.trace)]
    if _flat(valley):
        return [_nothing_won(run.row, valley), *_turning(run), *ends]
    beside = [] if run.row.along != ALIKE or run.row.present in valley.settings else [ALIKE_ONLY]
    first = [REBOUND_FIRST] if run.row.along in (ALIKE, "rebound") and "rebound" in run.row.ranges else []
    said = [_sits(run, valley), *_turning(run), *_comfort(run.row, valley), _hard(run.row, valley)]
    return [*said, *first, *beside, *ends]


def _flat(valley: Valley) -> bool:
    """Whether all of the row is in both good valleys."""
    return bool((valley.values.max(axis=0) <= (1.0 + NEAR) * valley.values.min(axis=0)).all())


def _nothing_won(row: Row, valley: Valley) -> str:
    (low, soft), (high, rough) = valley.values.min(axis=0), valley.values.max(axis=0)
    return (
        f"Closing {_what(row)} matters little on this road: from open to closed the tyre load varies by "
        f"{_percent(low)} to {_percent(high)} of the load at rest, and the body shakes with {soft:.2f} to {rough:.2f} "
        "m/s². Look for the adjuster that this road asks for."
    )


def place(row: Row, clicks: Clicks) -> str:
    """Where a setting of a row stands, in words."""
    if row.along == ALIKE:
        return f"{100.0 * row.closed(clicks):.0f} % closed"
    return f"{_name(row)} {clicks[row.along]} out"


def _sits(run: Evenness, valley: Valley) -> str:
    lowest, (first, last) = valley.lowest(0), valley.good(0)
    now = run.present.variation
    best = float(valley.values[lowest, 0])
    at = run.row.closed(run.row.present)
    compared = (
        f"the tyre load varies by {_percent(now)} of the load at rest, and the lowest of this row is {_percent(best)} "
        f"({place(run.row, valley.settings[lowest])})"
    )
    if now <= (1.0 + NEAR) * best:
        return f"This setting sits in the good valley: {compared}."
    if at < valley.closed[first]:
        why = "the wheel swings on after each bump"
        return f"This setting sits on the too soft side: {compared}. At the vehicle: {why}; closing helps."
    if at > valley.closed[last]:
        why = "the damper hands the bumps on to the body and holds the wheel back from following the road"
        return f"This setting sits on the too hard side: {compared}. At the vehicle: {why}; opening helps."
    shares = {name: run.row.share(run.row.present, name) for name in run.row.turned}
    hardest, softest = max(shares, key=shares.__getitem__), min(shares, key=shares.__getitem__)
    return (
        "As a whole this setting is neither too soft nor too hard, but its adjusters stand too far apart "
        f"({hardest.replace('_', '-')} {100.0 * shares[hardest]:.0f} % closed, {softest.replace('_', '-')} "
        f"{100.0 * shares[softest]:.0f} %): {compared}."
    )


def _turning(run: Evenness) -> list[str]:
    row = run.row
    if row.present not in run.known or any(row.moved(by) not in run.known for by in NEIGHBOURS):
        return ["What a click or two would do is being worked out."]
    return [_turned(run, "Closing", -1), _turned(run, "Opening", 1)]


def _turned(run: Evenness, verb: str, way: int) -> str:
    what = _what(run.row)
    now, one, two = run.present, run.neighbour(way), run.neighbour(2 * way)
    if one is None:
        return f"{verb} further is not possible: {what} is {'closed' if way < 0 else 'open'}."
    said = f"{verb} {what} by one click would be {_effect(now, one)}"
    if two is None or run.row.moved(2 * way) == run.row.moved(way):
        return f"{said}; that is the last click."
    return f"{said}; by two {_effect(now, two)}."


def _effect(now: Felt, then: Felt) -> str:
    even = ("more even", "as even", "less even")[1 + _changed(now.variation, then.variation, VARIATION.scale, 0)]
    soft = ("more comfortable", "as comfortable", "harsher")[1 + _changed(now.shaking, then.shaking, SHAKING.scale, 1)]
    return f"{even} ({_percent(then.variation)}) and {soft} ({then.shaking:.2f} m/s²)"


def _changed(now: float, then: float, scale: float, which: int) -> int:
    """-1, 0 or 1: smaller, the same as far as one can say, or larger."""
    by, least = scale * (then - now), (VARIATION, SHAKING)[which].resolution
    return 0 if abs(by) < least else 1 if by > 0.0 else -1


def _comfort(row: Row, valley: Valley) -> list[str]:
    even, comfortable = valley.lowest(0), valley.lowest(1)
    won = VARIATION.scale * (valley.values[comfortable, 0] - valley.values[even, 0])
    paid = valley.values[even, 1] - valley.values[comfortable, 1]
    if comfortable >= even or won < VARIATION.resolution or paid < SHAKING.resolution:
        return []
    both = "; harder than the second you lose both" if (valley.values[-1] > valley.values[even]).all() else ""
    return [
        f"Comfort has its best on the softer side of grip: {place(row, valley.settings[comfortable])} against "
        f"{place(row, valley.settings[even])}. Between the two you give one for the other{both}."
    ]


def _hard(row: Row, valley: Valley) -> str:
    lowest = valley.lowest(0)
    best, hard = Felt(*valley.values[lowest]), Felt(*valley.values[-1])
    closed = "everything" if row.along == ALIKE else _name(row)
    if lowest == len(valley.settings) - 1:
        return (
            f"On this road and at this speed hardest is most even ({_percent(hard.variation)}). Look at another road "
            "or speed before you make it a rule."
        )
    shakes = f"the body shakes with {hard.shaking:.2f} in place of {best.shaking:.2f} m/s²"
    if abs(hard.shaking - best.shaking) < SHAKING.resolution:
        shakes = "the body shakes about as much"
    if hard.variation > (1.0 + NEAR) * best.variation:
        return (
            f"Hard is not sporty: with {closed} closed the tyre load varies by {_percent(hard.variation)} in place of "
            f"{_percent(best.variation)}, and {shakes}. What brakes and steers is a tyre pressed evenly on the road; "
            "a firm feel is not grip."
        )
    return (
        f"With {closed} closed the tyre load is nearly as even here ({_percent(hard.variation)}), and {shakes}. "
        "Other roads and speeds have other valleys."
    )


def _what(row: Row) -> str:
    return "every adjuster" if row.along == ALIKE else _name(row)


def _name(row: Row) -> str:
    return row.along.replace("_", "-")


def _percent(share: float) -> str:
    return f"{100.0 * share:.1f} %"
