"""What stands on the handouts of a class, page by page; `lab/handout_pages.py` draws them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.cautions import AT_THE_VEHICLE
from suspension_lab.workshop.mistakes import NOT_KNOWN, Mistake
from suspension_lab.workshop.mystery_mistakes import DiagnosisMistake
from suspension_lab.workshop.observations import OBSERVED_HEADS, observations
from suspension_lab.workshop.setup_card import LABELS


@dataclass(frozen=True)
class Words:
    """A paragraph; a heading where it is large."""

    text: str
    heading: bool = False


@dataclass(frozen=True)
class Fields:
    """Labels, each with a line to write on; side by side, in the shares of the width given."""

    labels: Sequence[str]
    shares: Sequence[float]


@dataclass(frozen=True)
class Asked:
    """A question, boxes to tick, and a line for what happened."""

    text: str
    options: Sequence[str]


@dataclass(frozen=True)
class Grid:
    """A table; empty cells are written in by hand.

    Attributes:
        heads: of the columns.
        shares: of the width.
        rows: their texts.
        tall: the least height of a row [mm].
    """

    heads: Sequence[str]
    shares: Sequence[float]
    rows: Sequence[Sequence[str]]
    tall: float = 0.0


Block = Words | Fields | Asked | Grid


@dataclass(frozen=True)
class Page:
    """A page: its title and what stands below."""

    title: str
    blocks: Sequence[Block]


PREDICTIONS: dict[str, Sequence[Asked]] = {
    "01 Rebound: push down, let go, time the return": (
        Asked(
            "Rebound is opened by four clicks (from 9 to 13). The body settles",
            ("sooner", "later", "at about the same time"),
        ),
        Asked(
            "Rebound is closed by four clicks (from 9 to 5). The body settles",
            ("sooner", "later", "at about the same time"),
        ),
        Asked(
            "The stopwatch says half a second. Then rebound is right:",
            ("always", "never", "only if it neither swings on nor creeps"),
        ),
    ),
    "02 Compression: slow and quick pushes": (
        Asked(
            "Low-speed compression is closed by ten clicks (from 10 to 0). A hand notices it",
            ("in a slow push (1 s)", "in a quick push (0.1 s)", "in both", "in neither"),
        ),
    ),
    "03 Sharp and long bumps": (
        Asked(
            "A pothole with sharp edges is changed most by",
            ("low-speed compression", "high-speed compression", "both alike"),
        ),
        Asked(
            "A long smooth hump at 30 km/h is changed most by",
            ("low-speed compression", "high-speed compression", "both alike"),
        ),
        Asked(
            "Washboard at 15 km/h, everything closed. The tyre is pressed on the road",
            ("more evenly", "less evenly", "as before"),
        ),
    ),
    "04 Hard is not sporty": (
        Asked(
            "From fully open to fully closed, how uneven the tyre load is",
            ("only falls", "only rises", "falls, then rises", "rises, then falls"),
        ),
        Asked("The body shakes least", ("open", "in the middle", "closed")),
    ),
}
"""What is predicted on paper before a bench is opened, by lesson."""


def handout_pages(station: Station) -> list[Page]:
    """The handouts of a class.

    Args:
        station: whose adjusters the workshop's sheet has fields for.
    """
    return [_predictions(), _workshop(station), _observations(), _class()]


def _predictions() -> Page:
    blocks: list[Block] = [
        Fields(("Name", "Group", "Date"), (0.5, 0.25, 0.25)),
        Words(
            "Tick before the bench is opened. A wrong prediction is worth as much as a right one: write down what "
            f'happened, and why. "{NOT_KNOWN}" is an answer too. The vehicle is the rear of the courier scooter '
            "(invented), 48 kg on it. Clicks are counted out from closed: 0 is closed and hardest."
        ),
    ]
    for lesson, questions in PREDICTIONS.items():
        blocks += [Words(lesson, heading=True)]
        blocks += [Asked(asked.text, (*asked.options, NOT_KNOWN)) for asked in questions]
    blocks += [
        Words("08 Mystery vehicle, before it is handed over", heading=True),
        Fields(("Vehicle number", "Tests done"), (0.2, 0.8)),
        Fields(("Fault, and how sure", "Reason: which test shows it, and by which number"), (0.4, 0.6)),
    ]
    return Page("Predict first", blocks)


def _workshop(station: Station) -> Page:
    labels = dict(LABELS) if "high_speed" in station.damper.adjusters else LABELS | {"low_speed": "Compression"}
    adjusters = [f"{labels[name]} (0 to {most})" for name, most in station.damper.adjusters.items()]
    share = 1.0 / max(len(adjusters), 1)
    compression = [labels[name] for name in station.damper.adjusters if name != "rebound"] or ["Compression"]
    blocks: list[Block] = [
        Fields(("Vehicle", "Who", "Date and time"), (0.5, 0.25, 0.25)),
        Fields(("Load on this wheel [kg]", "Air [°C]", "Damper [°C]", "Place"), (0.3, 0.2, 0.2, 0.3)),
        Words("Clicks found first, counted out from closed", heading=True),
        *([Fields(adjusters, [share] * len(adjusters))] if adjusters else [Words("This damper has no adjusters.")]),
        Words("1. Tyre pressure, cold", heading=True),
        Fields(("By the maker's manual [bar]", "Found [bar]", "Set [bar]"), (0.42, 0.29, 0.29)),
        Words("2. Spring and sag, from full extension at the wheel", heading=True),
        Fields(("Free sag [mm]", "Rider sag [mm]", "Preload before and after"), (0.29, 0.29, 0.42)),
        Words("3. Rebound, warm: push down, let go at once, three times each", heading=True),
        Grid(
            ("Clicks", "1st [s]", "swings", "2nd [s]", "swings", "3rd [s]", "swings", "creeps / right / swings on"),
            (0.1, 0.11, 0.1, 0.11, 0.1, 0.11, 0.1, 0.27), [[""] * 8] * 5, tall=6.6,
        ),
        Words("4. Compression: quick pushes, then slow rides soft, hard, closing in", heading=True),
        Grid(
            ("Test or road", *compression, "What was felt", "Better or worse"),
            (0.22, *[0.3 / len(compression)] * len(compression), 0.3, 0.18),
            [[""] * (3 + len(compression))] * 4, tall=6.6,
        ),
        Words("5. Chosen clicks", heading=True),
        *([Fields(adjusters, [share] * len(adjusters))] if adjusters else []),
        Fields(("To be judged again on", "Done by", "Seen by the instructor"), (0.3, 0.35, 0.35)),
        *_cautions(),
    ]  # fmt: skip
    return Page("Workshop sheet", blocks)


def _cautions() -> list[Words]:
    said = [Words(f"• {caution}") for caution in AT_THE_VEHICLE]
    return [Words("Cautions: the maker's manual and local rules come first", heading=True), *said]


def _observations() -> Page:
    return Page(
        "What an observation means",
        [
            Words(
                "In this order: tyre pressure, spring and sag, rebound warm, low speed, high speed. One adjuster at "
                "a time, the same test each time. To close is clockwise, fewer clicks; to open is counter-clockwise, "
                "more clicks. The last column is the rear of the courier scooter (invented), 48 kg on it, from "
                "rebound 9, low speed 10, high speed 8: your vehicle goes the same way, by other numbers."
            ),
            Grid(OBSERVED_HEADS, (0.21, 0.21, 0.22, 0.36), observations()),
            *_cautions(),
        ],
    )


MISTAKES = tuple(
    dict.fromkeys(str(kind) for kind in (*Mistake, *DiagnosisMistake) if kind not in (Mistake.SIZE, Mistake.UNSURE))
)
"""Kinds of mistake that are tallied on paper, those of a mystery vehicle's diagnosis too."""


def _class() -> Page:
    return Page(
        "The class's results",
        [
            Fields(("Instructor", "Group", "Date"), (0.5, 0.25, 0.25)),
            Words(
                "Predictions and checks as right of given, such as 2 of 3. Mystery: score. Stopwatch: how far off on "
                "average (bias) and how far apart (spread), in seconds. Marks are for the instructor's next lesson, "
                "not for a rank."
            ),
            Grid(
                ("Trainee", "01", "02", "03", "04", "Checks", "Mystery", "Bias [s]", "Spread [s]", "Remark"),
                (0.22, 0.06, 0.06, 0.06, 0.06, 0.09, 0.1, 0.1, 0.13, 0.12), [[""] * 10] * 16, tall=7.6,
            ),
            Words("Which mistakes, and how often (a stroke each)", heading=True),
            Grid(
                ("Kind of mistake", "How often", "Kind of mistake", "How often"), (0.3, 0.2, 0.3, 0.2),
                [(left, "", right, "") for left, right in zip_longest(MISTAKES[::2], MISTAKES[1::2], fillvalue="")],
                tall=7.6,
            ),
            Words("What to show again next time", heading=True),
            Fields(("",), (1.0,)), Fields(("",), (1.0,)), Fields(("",), (1.0,)),
        ],
    )  # fmt: skip
