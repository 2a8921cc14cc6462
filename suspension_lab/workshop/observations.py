"""What an observation at the vehicle means, what to turn, and the run of the lab that shows it."""

from __future__ import annotations

from functools import lru_cache

from suspension_lab.workshop.class_runs import pushed, rear, released, ridden

OBSERVED_HEADS = ("What you see or feel", "What it means", "What to turn, one or two clicks", "In the lab")
PRACTICE = "Common practice, no source; the lab has no run for it."
DEPTH, BLOW, VARIATION, SETTLED = (
    "deepest_travel", "body_acceleration_peak", "tyre_load_variation", "settling_time"
)  # fmt: skip
RIPPLE = 20.0
"""Height of the washboard's bumps [mm]."""
Row = tuple[str, str, str, str]


@lru_cache(maxsize=1)
def observations() -> tuple[Row, ...]:
    """Rows under `OBSERVED_HEADS`; the numbers are simulated anew."""
    return (*_let_go(), _packing(), *_sharp_edges(), *_long_bumps(), *_pushes(), *_other_days(), *_without_a_run())


def _let_go() -> tuple[Row, ...]:
    swinging, creeping, good = (released(rear(rebound=clicks)) for clicks in (12, 2, 9))
    return (
        (
            "Let go, it swings on: two visible swings or more",
            "Rebound too open, whatever the clock says",
            "Close rebound",
            f"Rebound 12: {swinging['swings'].text} swings, {swinging[SETTLED].text}; rebound 9: {good['swings'].text} "
            f"swing, {good[SETTLED].text}.",
        ),
        (
            "Let go, it creeps back, without a swing",
            "Rebound too closed",
            "Open rebound",
            f"Rebound 2: {creeping['swings'].text} swings, {creeping[SETTLED].text}.",
        ),
    )


def _packing() -> Row:
    packed, usual = (
        ridden(each, "washboard", height=RIPPLE)["packing_down"].text
        for each in (rear(rebound=0, low_speed=20, high_speed=16), rear())
    )
    return (
        "Over bumps that follow each other it rides lower and lower",
        "It packs down: rebound too closed against compression",
        "Open rebound; do not close compression first",
        f"Washboard 20 mm, 30 km/h: packs down {usual}; with rebound 0 and compression open {packed}.",
    )


def _sharp_edges() -> tuple[Row, ...]:
    hole, closed = ridden(rear(), "pothole"), ridden(rear(high_speed=0), "pothole")
    return (
        (
            "Bottoms on sharp edges",
            "Too much sag for this load, or high-speed compression too open",
            "Sag for this load first; then close high speed",
            f"Pothole 40 mm, 30 km/h: {hole[DEPTH].shown} mm deep; high speed 0: {closed[DEPTH].shown} mm, but "
            f"a blow of {closed[BLOW].text} in place of {hole[BLOW].shown}.",
        ),
        (
            "Harsh on sharp edges",
            "High-speed compression too closed",
            "Open high speed",
            f"The same pothole: largest body acceleration {closed[BLOW].text} at high speed 0, "
            f"{hole[BLOW].shown} at 8.",
        ),
    )


def _long_bumps() -> tuple[Row, ...]:
    hump, low, high = (
        ridden(each, "long_hump")[DEPTH].shown for each in (rear(), rear(low_speed=0), rear(high_speed=0))
    )
    even, uneven = (
        ridden(each, "washboard", height=RIPPLE, speed=15.0)
        for each in (rear(), rear(rebound=0, low_speed=0, high_speed=0))
    )
    return (
        (
            "Goes deep on long bumps",
            "Low-speed compression too open",
            "Sag first; then close low speed",
            f"Long hump 40 mm, 30 km/h: {hump} mm deep; low speed 0: {low} mm; high speed 0: {high} mm.",
        ),
        (
            "The tyre hops although all is hard",
            "Too closed: the damper hands each bump to the body",
            "Open compression towards the middle; rebound by the release test",
            f"Washboard 20 mm, 15 km/h: tyre load varies by {even[VARIATION].shown} %; all closed: "
            f"{uneven[VARIATION].shown} %, off the road for {uneven['contact_loss'].text} in all.",
        ),
    )


def _pushes() -> tuple[Row, ...]:
    (slow, slow_closed), (quick, quick_closed) = (
        [pushed(each, rise)["push_depth"].shown for each in (rear(), rear(low_speed=0))] for rise in (1000.0, 80.0)
    )
    return (
        (
            "A slow push feels the same at all clicks",
            "Nothing is wrong: the shaft hardly moves",
            "Push quickly",
            f"400 N in 1 s: {slow} and, closed, {slow_closed} mm; in 80 ms: {quick} and {quick_closed} mm.",
        ),
    )


def _other_days() -> tuple[Row, ...]:
    cold, warm = (released(each)["swings"].text for each in (rear(), rear(oil=60.0)))
    light, heavy = (released(rear(rider=load), 20.0)["swings"].text for load in (48.0, 90.0))
    return (
        (
            "Right cold, swings warm",
            "Warm oil is thinner: as if opened",
            "Judge warm; close rebound",
            f"Rebound 9 at 20 °C: {cold} swing; at 60 °C: {warm}.",
        ),
        (
            "Right alone, swings with a load",
            "The same clicks are more open for more mass",
            "Sag, then close rebound for this load",
            f"Rebound 9, let go from 20 mm: with 48 kg {light} swing, with 90 kg {heavy}.",
        ),
    )


def _without_a_run() -> tuple[Row, ...]:
    return (
        ("Dives in braking", "Sag, or low-speed compression too open", "Sag first; then close low speed", PRACTICE),
        (
            "Clicks change nothing; oil on the shaft; a knock at each turn",
            "A fault, not a setting",
            "Nothing: do not ride; a licensed workshop looks at it",
            PRACTICE,
        ),
    )
