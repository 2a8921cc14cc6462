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
from suspension_lab.workshop.release_test import WORDS, Verdict, refusal_of

COMING = "The valley is being worked out; it will be here in a moment."
ALIKE_ONLY = (
    "The curves hold for all adjusters at the same share of their range. This setting stands at the mean share of its "
    "adjusters, and may lie beside the curves and their hatching."
)
WORTH_A_WORD = 0.01
"""A change of a smaller share is none: the row's simplified laws tell no less (our choice)."""
VARIATION, SHAKING = ride_measure("tyre_load_variation"), ride_measure("weighted_acceleration")


def read_evenness(run: Evenness) -> list[str]:
    """Sentences on a setting among those from soft to hard: where it sits, and what turning the clicks would do."""
    valley = run.valley
    if valley is None:
        return [COMING]
    refusal = refusal_of(run.verdicts, run.row.present)
    if run.trace.station.rests_on_a_stop:
        return read_ends(run.trace)
    ends = [*([read_contact(run.trace)] if contact_loss(run.trace).longest > 0.0 else []), *read_ends(run.trace)]
    if _flat(valley):
        return [_nothing_won(run.row, valley), *refusal, *_turning(run), *ends]
    beside = [] if run.row.along != ALIKE or run.row.present in valley.settings else [ALIKE_ONLY]
    first = [REBOUND_FIRST] if "rebound" in run.row.turned else []
    said = [_sits(run, valley), *refusal, *_turning(run), *_comfort(run, valley), _hard(run, valley)]
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
        counts = [str(clicks[name]) for name in row.turned]
        out = counts[0] if len(counts) == 1 else f"{', '.join(counts[:-1])} and {counts[-1]}"
        return f"{100.0 * row.closed(clicks):.0f} % closed: {out} clicks out"
    return f"{_name(row)} {clicks[row.along]} out"


def _sits(run: Evenness, valley: Valley) -> str:
    lowest, (first, last) = valley.lowest(0), valley.everywhere.good(0)
    now = run.present.variation
    best = float(valley.values[lowest, 0])
    at = run.row.closed(run.row.present)
    found = f"the lowest of this row{_that_passes(run, valley)}"
    where = place(run.row, valley.settings[lowest])
    compared = (
        f"the tyre load varies by {_percent(now)} of the load at rest, as little as {found} ({where})"
        if _percent(now) == _percent(best)
        else f"the tyre load varies by {_percent(now)} of the load at rest, and {found} is {_percent(best)} ({where})"
    )
    says = run.verdict(run.row.present)
    if not run.turns_rebound and says is not Verdict.PASSES:
        return f"On this road, at a rebound that fails the release test, {compared}."
    if now < best and _percent(now) != _percent(best):
        compared += ", so it is more even still"
    if now <= (1.0 + NEAR) * best:
        sits = "This setting sits" if says is Verdict.PASSES else "By the road alone this setting would sit"
        return f"{sits} in the good valley: {compared}."
    if at < valley.closed[first] and says is not Verdict.TOO_CLOSED:
        why = "the wheel goes on moving after each bump"
        return f"This setting sits on the too soft side: {compared}. At the vehicle: {why}; closing helps."
    if at > valley.closed[last] and says is not Verdict.TOO_OPEN:
        why = "the damper hands the bumps on to the body and holds the wheel back from following the road"
        return f"This setting sits on the too hard side: {compared}. At the vehicle: {why}; opening helps."
    if run.row.along != ALIKE:
        return f"By the road alone {compared}."
    shares = {name: run.row.share(run.row.present, name) for name in run.row.turned}
    hardest, softest = max(shares, key=shares.__getitem__), min(shares, key=shares.__getitem__)
    return (
        "As a whole this setting is neither too soft nor too hard, but its adjusters stand too far apart "
        f"({hardest.replace('_', '-')} {100.0 * shares[hardest]:.0f} % closed, {softest.replace('_', '-')} "
        f"{100.0 * shares[softest]:.0f} %): {compared}."
    )


def _that_passes(run: Evenness, valley: Valley) -> str:
    return " that passes the release test" if run.turns_rebound and valley.passes.any() else ""


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
    said = f"{verb} {what} by one click would be {_effect(now, one)}{_but(run, way)}"
    if two is None or run.row.moved(2 * way) == run.row.moved(way):
        return f"{said}; that is the last click."
    return f"{said}; by two {_effect(now, two)}{_but(run, 2 * way)}."


def _but(run: Evenness, by: int) -> str:
    """What the release test has against a click."""
    there = run.verdict(run.row.moved(by))
    if there is Verdict.PASSES:
        return ""
    still = "but" if run.verdict(run.row.present) is Verdict.PASSES else "and still"
    return f", {still} in the release test it {WORDS[there].split(':')[0]}"


def _effect(now: Felt, then: Felt) -> str:
    even = ("more even", "as even", "less even")[1 + _changed(now.variation, then.variation, 3)]
    soft = ("more comfortable", "as comfortable", "harsher")[1 + _changed(now.shaking, then.shaking, 2)]
    return f"{even} ({_percent(then.variation)}) and {soft} ({then.shaking:.2f} m/s²)"


def _changed(now: float, then: float, digits: int) -> int:
    """-1, 0 or 1: smaller, the same as far as one can say and as the digits shown tell, or larger."""
    same = abs(then - now) <= WORTH_A_WORD * now or round(then, digits) == round(now, digits)
    return 0 if same else 1 if then > now else -1


def _comfort(run: Evenness, valley: Valley) -> list[str]:
    """Whether the road alone would set comfort softer than grip, and what the release test says there."""
    even, comfortable = valley.everywhere.lowest(0), valley.everywhere.lowest(1)
    won = VARIATION.scale * (valley.values[comfortable, 0] - valley.values[even, 0])
    paid = valley.values[even, 1] - valley.values[comfortable, 1]
    if comfortable >= even or won < VARIATION.resolution or paid < SHAKING.resolution:
        return []
    both = "; harder than the second you lose both" if (valley.values[-1] > valley.values[even]).all() else ""
    softer, firmer = (place(run.row, valley.settings[at]) for at in (comfortable, even))
    but = _refused_at(run, valley, (comfortable, even))
    return [
        f"Comfort has its best on the softer side of the most even: {softer} against {firmer}. Between the two you "
        f"give one for the other{both}.{but}"
    ]


def _refused_at(run: Evenness, valley: Valley, places: tuple[int, int]) -> str:
    """What the release test has against two settings of the row that a road alone would choose."""
    says = [run.verdict(valley.settings[at]) for at in places]
    if all(each is Verdict.PASSES for each in says):
        return ""
    if says[0] is says[1]:
        return f" This is the road alone: in the release test both fail, it {WORDS[says[0]].split(':')[0]}."
    fails = (
        f"at {place(run.row, valley.settings[at])} it {WORDS[each].split(':')[0]}"
        for at, each in zip(places, says, strict=True)
        if each is not Verdict.PASSES
    )
    return f" This is the road alone: in the release test {' and '.join(fails)}."


def _hard(run: Evenness, valley: Valley) -> str:
    row, lowest = run.row, valley.lowest(0)
    best, hard = Felt(*valley.values[lowest]), Felt(*valley.values[-1])
    closed = "everything" if row.along == ALIKE else _name(row)
    if valley.everywhere.lowest(0) == len(valley.settings) - 1:
        says = run.verdict(valley.settings[-1])
        but = f", though in the release test it {WORDS[says].split(':')[0]}" if run.turns_rebound and says else ""
        return (
            f"On this road and at this speed hardest is most even ({_percent(hard.variation)}){but}. Look at another "
            "road or speed before you make it a rule."
        )
    if valley.everywhere.lowest(0) == 0:
        says = run.verdict(valley.settings[0])
        but = f", though in the release test it {WORDS[says].split(':')[0]}" if run.turns_rebound and says else ""
        softest = float(valley.values[0, 0])
        return (
            f"On this road and at this speed softest is most even ({_percent(softest)}){but}. Look at another road or "
            "speed before you make it a rule."
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
