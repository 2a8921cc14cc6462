"""The setup card: what hangs on the workshop's wall for one vehicle, as plain words.

What a card says someone will set and ride, so a rebound that fails the release test gets none. `lab/setup_card.py`
draws it.
"""

from __future__ import annotations

import datetime
import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from suspension_lab.common.checks import number, whole
from suspension_lab.common.errors import LabError, shown
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import demo_vehicles, load_station
from suspension_lab.workshop.cautions import AT_THE_VEHICLE
from suspension_lab.workshop.reading_setup_card import HOW_TO_COUNT, card_facts, card_origin, push_words, release_steps
from suspension_lab.workshop.release_test import (
    ON_TARGET,
    WORDS,
    Verdict,
    from_to,
    passing,
    rebound_verdicts,
    target_time,
    usual_release,
    verdict,
)

LONGEST_NAME, LONGEST_REMARK = 150, 400
"""So many characters find room on one page (our choice)."""
LONGEST_TIME, MOST_SWINGS = 30.0, 50
"""Nothing measured is beyond these [s] (our choice)."""
LABELS = {"rebound": "Rebound", "low_speed": "Compression, low speed", "high_speed": "Compression, high speed"}


@dataclass(frozen=True, kw_only=True)
class MeasuredAtVehicle:
    """What was measured at the vehicle with the card's settings; None: not measured.

    Attributes:
        return_time: from letting go until it has settled [s].
        swings: visible ones past ride height.
        free_sag, rider_sag: at the wheel, from full extension [m].

    Raises:
        LabError: a value that cannot have been measured.
    """

    return_time: float | None = None
    swings: int | None = None
    free_sag: float | None = None
    rider_sag: float | None = None

    def __post_init__(self) -> None:
        if self.return_time is not None:
            number("measured return time", self.return_time, "s", low=0.02, high=LONGEST_TIME)
        if self.swings is not None:
            whole("measured swings", self.swings, low=0, high=MOST_SWINGS)
        for name in ("free_sag", "rider_sag"):
            if getattr(self, name) is not None:
                number(f"measured {name.replace('_', ' ')}", getattr(self, name), "m", low=0.0, high=1.0)
        if self.free_sag is not None and self.rider_sag is not None and self.free_sag > self.rider_sag:
            raise LabError(
                f"The measured free sag of {1e3 * self.free_sag:.0f} mm is more than the rider sag of "
                f"{1e3 * self.rider_sag:.0f} mm, where less was expected; measure both from full extension."
            )

    @property
    def words(self) -> str:
        """What was measured, in words; empty where nothing was."""
        said = []
        if self.return_time is not None:
            said.append(f"return {self.return_time:.2f} s")
        if self.swings is not None:
            said.append("1 swing" if self.swings == 1 else f"{self.swings} swings")
        sags = {"free sag": self.free_sag, "rider sag": self.rider_sag}
        said += [f"{name} {1e3 * sag:.0f} mm" for name, sag in sags.items() if sag is not None]
        return ", ".join(said)


@dataclass(frozen=True, kw_only=True)
class Setting:
    """One adjuster: its name, where it shall stand, and what stands under the number."""

    label: str
    clicks: str
    reach: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Section:
    """A heading, and paragraphs or steps under it."""

    title: str
    lines: tuple[str, ...]
    numbered: bool = False


@dataclass(frozen=True, kw_only=True)
class SetupCard:
    """A card's plain text, in the order it is read.

    Attributes:
        title: the vehicle's name, an invented one marked so.
        date: YYYY-MM-DD.
        settings: one for each adjuster; empty where nothing can be set.
        how_to_count: what the clicks mean.
        facts: pairs of a label and a value.
        sections: how to test, and cautions.
        origin: where the numbers come from.
        remark: of whoever made the card; may be empty.
    """

    title: str
    date: str
    settings: tuple[Setting, ...]
    how_to_count: str
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...]
    origin: str
    remark: str

    @property
    def texts(self) -> Iterator[str]:
        """Every text on the card."""
        yield from (self.title, self.date, self.how_to_count, self.origin, self.remark)
        for setting in self.settings:
            yield from (setting.label, setting.clicks, *setting.reach)
        for fact in self.facts:
            yield from fact
        for section in self.sections:
            yield section.title
            yield from section.lines


def setup_card(
    station: Station,
    *,
    date: datetime.date | str | None = None,
    tyre_pressure_bar: float | None = None,
    measured: MeasuredAtVehicle | None = None,
    remark: str = "",
) -> SetupCard:
    """What the workshop's wall shall say of a station at its present clicks and load.

    Args:
        station: the vehicle as it shall be set.
        date: of the card, a date or YYYY-MM-DD; None: today.
        tyre_pressure_bar: cold; None: not said.
        measured: at the vehicle, with these settings.
        remark: a free sentence.

    Raises:
        LabError: a setting that fails the release test, simulated or measured; a station that rests on a stop; a
            date, pressure, remark or name that cannot be.
    """
    measured = MeasuredAtVehicle() if measured is None else measured
    if not isinstance(measured, MeasuredAtVehicle):
        raise LabError(f"The measured values are {shown(measured)}, where a MeasuredAtVehicle was expected.")
    name, remark = _plain("vehicle's name", station.name, LONGEST_NAME), _plain("remark", remark, LONGEST_REMARK)
    day = _day(date)
    if station.rests_on_a_stop:
        raise LabError(f"No card is made: {station.rests_on_a_stop}")
    good = _rebounds_that_pass(station)
    _refuse_what_was_measured(station, measured)
    return SetupCard(
        title=f"{name} (invented)" if station.name in _invented() else name,
        date=day,
        settings=tuple(_setting(station, each) for each in station.damper.adjusters),
        how_to_count=HOW_TO_COUNT if station.damper.adjusters else "This damper has no adjusters: nothing can be set.",
        facts=card_facts(station, tyre_pressure_bar, measured),
        sections=tuple(_sections(station, good)),
        origin=card_origin(station, measured),
        remark=remark,
    )


def _plain(what: str, text: str, longest: int) -> str:
    """A text on one line, without signs that cannot be printed."""
    if not isinstance(text, str):
        raise LabError(f"The {what} is {shown(text)}, where a text was expected.")
    printable = "".join(" " if unicodedata.category(sign).startswith(("C", "Z")) else sign for sign in text)
    plain = " ".join(printable.split())
    if len(plain) > longest:
        raise LabError(f"The {what} has {len(plain)} characters, where at most {longest} fit on a card; shorten it.")
    return plain


def _day(date: datetime.date | str | None) -> str:
    if date is None:
        return datetime.date.today().isoformat()
    if isinstance(date, datetime.datetime):
        return date.date().isoformat()
    if isinstance(date, datetime.date):
        return date.isoformat()
    try:
        if isinstance(date, str) and re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", date):
            return datetime.date.fromisoformat(date).isoformat()
    except ValueError:
        pass
    raise LabError(f"The card's date is {shown(date)}, where a day of the calendar as YYYY-MM-DD was expected.")


@lru_cache(maxsize=1)
def _invented() -> frozenset[str]:
    """Names of the demo vehicles."""
    return frozenset(load_station(file).name for file in demo_vehicles().values())


def _rebounds_that_pass(station: Station) -> list[int]:
    """The rebound clicks that pass the release test, the present one among them; none without such an adjuster.

    Raises:
        LabError: the present setting fails.
    """
    now = station.clicks.rebound
    # The wall's test is done with compression as it stands, while clicks are held against each other with it open.
    as_it_stands = verdict(simulate(station, usual_release(station)))
    if now is None:
        if as_it_stands is not Verdict.PASSES:
            raise LabError(
                f"No card is made: in the release test {station.name} {WORDS[as_it_stands]}, and it has no rebound "
                "clicks to mend it; look at spring, load and damper first."
            )
        return []
    verdicts = rebound_verdicts(station)
    good, opened = passing(verdicts), verdicts[now]
    if opened is Verdict.PASSES and as_it_stands is not Verdict.PASSES:
        raise LabError(
            f"No card is made: with compression as closed as it stands {station.name} fails the release test, though "
            f"rebound {now} passes with compression open; open compression first."
        )
    if opened is Verdict.PASSES:
        return good
    mend = (
        f"at this load and oil temperature {from_to(good)} would pass, so set it there first"
        if good
        else "no click passes at this load and oil temperature, so look at spring, load and damper first"
    )
    raise LabError(
        f"No card is made: in the release test rebound {now} of {station.name} {WORDS[opened].replace(': ', ', ')}; "
        f"{mend}."
    )


def _refuse_what_was_measured(station: Station, measured: MeasuredAtVehicle) -> None:
    """Hold that what was measured passes as well.

    Raises:
        LabError: two or more swings, or a return that took too long; or a sag beyond the travel.
    """
    if measured.swings is not None and measured.swings > 1:
        raise LabError(
            f"No card is made: {measured.swings} swings were measured, where at most one was expected; close rebound "
            "by one or two clicks and measure again."
        )
    longest = ON_TARGET * target_time(station)
    if measured.return_time is not None and measured.return_time > longest:
        raise LabError(
            f"No card is made: a return of {measured.return_time:.2f} s was measured, where at most {longest:.2f} s "
            "was expected; open rebound if it creeps, close it if it swings, and measure again."
        )
    for name, sag in (("free", measured.free_sag), ("rider", measured.rider_sag)):
        if sag is not None and station.travel is not None and sag > station.travel:
            raise LabError(
                f"The measured {name} sag of {1e3 * sag:.0f} mm is more than the travel of "
                f"{1e3 * station.travel:.0f} mm; measure again, from full extension."
            )


def _setting(station: Station, adjuster: str) -> Setting:
    most = station.damper.adjusters[adjuster]
    single = adjuster == "low_speed" and "high_speed" not in station.damper.adjusters
    return Setting(
        label="Compression" if single else LABELS[adjuster],
        clicks=str(station.clicks[adjuster]),
        reach=("clicks out from closed", f"0 (clockwise end) to {most}"),
    )


def _sections(station: Station, good: Sequence[int]) -> Iterator[Section]:
    yield Section(title="Test rebound: the release test", lines=release_steps(station, good), numbered=True)
    if push := push_words(station):
        yield Section(title="Feel compression: the quick push", lines=(push,))
    yield Section(title="Cautions: the maker's manual comes first", lines=AT_THE_VEHICLE)
