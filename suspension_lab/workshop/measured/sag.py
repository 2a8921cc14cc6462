"""What two sags by tape measure say of spring and preload."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import NamedTuple

from suspension_lab.common.checks import GRAVITY, number, positive
from suspension_lab.common.errors import LabError, shown
from suspension_lab.vehicle.station import Station
from suspension_lab.workshop.cautions import STANDING_TEST
from suspension_lab.workshop.soundness import SAG_SHARE

FREE_SAG_SHARE = (0.05, 0.15)
"""Free sag over travel of a two-wheeler whose rider sag is right (common practice, no source)."""
WISHED_SHARE = 0.30
"""Rider sag over travel where none is wished: between a quarter and a third (common practice, no source)."""
TAPE = 0.002
"""Standard deviation of one sag by tape measure [m]: assumed (our choice)."""
CLEAR = 3.0
"""Times its uncertainty the difference of two sags must be to give a rate (our choice)."""
FAR_OFF = 2.0
"""Times its uncertainty a rate must be off the file's to be told (about 95 %)."""
TOPPED_OUT = 0.001
"""Up to this free sag the wheel hangs on its top-out stop [m] (our choice)."""
MOST_PRELOAD = 10.0
"""No spring is squashed further [m]; where the search ends."""


class Rate(NamedTuple):
    """A rate at the wheel."""

    value: float
    """[N/m]."""
    uncertainty: float
    """One standard deviation, of the tape alone [N/m]."""


@dataclass(frozen=True, kw_only=True)
class SagReading:
    """What measured sags say.

    Attributes:
        free_share, rider_share: sag over travel; None: not measured.
        rate: of spring and gas at the wheel, by the two sags and the rider's mass; None where they do not give it.
        wished_rider_sag: [m].
        preload: with which the file's spring reaches it [m]; None where it cannot.
        preload_change: how much more preload than now that is, at the spring [m]; None without a measured rider sag.
        free_sag_then: what the file's spring leaves of free sag with that preload [m].
        sentences: all of it in words, with the cautions at the end.
    """

    free_share: float | None
    rider_share: float | None
    rate: Rate | None
    wished_rider_sag: float
    preload: float | None
    preload_change: float | None
    free_sag_then: float | None
    sentences: tuple[str, ...]


def read_sag(
    station: Station,
    free_sag: float | None = None,
    rider_sag: float | None = None,
    rider_mass: float | None = None,
    tape: float = TAPE,
    *,
    wished_rider_sag: float | None = None,
) -> SagReading:
    """What sags measured at the wheel say, against the usual ranges and the vehicle's file.

    The rate is the rider's weight over the way it moves the wheel, m g / (rider sag - free sag) (textbook).

    Args:
        station: the vehicle; its file's spring is used where a preload is looked for.
        free_sag: under its own weight [m], at the wheel from full extension.
        rider_sag: with the rider [m], from the same mark.
        rider_mass: the rider's share on this wheel [kg]; None: the file's.
        tape: standard deviation of one sag [m].
        wished_rider_sag: [m]; None: 30 % of the travel.

    Raises:
        LabError: neither sag, a sag that cannot be, or a station without travel.
    """
    if not isinstance(station, Station):
        raise LabError(f"The station is {shown(station)}, where a Station was expected, as lab.load_station gives.")
    travel = _travel(station)
    free, ridden = _checked(free_sag, rider_sag, travel)
    positive("uncertainty of the tape", tape, "m")
    if rider_mass is not None:
        positive("rider mass", rider_mass, "kg")
        station = station.with_rider(rider_mass)
    wish = WISHED_SHARE * travel if wished_rider_sag is None else wished_rider_sag
    rate, said = _rate(station, free, ridden, tape)
    sentences = [*_shares(free, ridden, travel), *said]
    if wished_rider_sag is None:
        sentences.append(f"As none is wished, a rider sag of {100 * WISHED_SHARE:.0f} % is aimed at (common practice).")
    preload, change, free_then, said = _preload(station, ridden, wish)
    return SagReading(
        free_share=None if free is None else free / travel, rider_share=None if ridden is None else ridden / travel,
        rate=rate, wished_rider_sag=wish, preload=preload, preload_change=change, free_sag_then=free_then,
        sentences=(*sentences, *said, *STANDING_TEST),
    )  # fmt: skip


def preload_for(station: Station, rider_sag: float) -> float:
    """The spring's preload [m] that gives a rider sag [m], all else as it is.

    Raises:
        LabError: a sag out of the travel or on the bump stop, or one this spring does not reach by preload.
    """
    travel = _travel(station)
    assert station.bump_stop is not None
    room = travel - station.bump_stop.length
    number("wished rider sag", rider_sag, "m")
    if not 0.0 < rider_sag <= room:
        raise LabError(
            f"A rider sag of {1e3 * rider_sag:.0f} mm is wished, where more than 0 and at most {1e3 * room:.0f} mm was "
            f"expected, which is where the bump stop of {station.name} begins; give it in m."
        )
    found = _preload_at(station, rider_sag)
    if found < 0.0:
        bare = replace(station, spring=replace(station.spring, preload=0.0)).static_travel
        raise LabError(
            f"Even without preload {station.name} sags only {1e3 * bare:.0f} mm, where {1e3 * rider_sag:.0f} mm was "
            "wished; a softer spring is needed for this load."
        )
    return found


def _travel(station: Station) -> float:
    if station.travel is None:
        raise LabError(f"{station.name} has no travel, which sags are compared with; give its wheel travel.")
    return station.travel


def _checked(free: float | None, ridden: float | None, travel: float) -> tuple[float | None, float | None]:
    if free is None and ridden is None:
        raise LabError("No sag is given; give free_sag, rider_sag or both, in m.")
    for name, sag in (("free sag", free), ("rider sag", ridden)):
        if sag is None:
            continue
        number(name, sag, "m")
        if sag < 0.0:
            raise LabError(
                f"The {name} is {1e3 * sag:.0f} mm, where 0 or more was expected; measure from full extension, down."
            )
        if sag > travel:
            raise LabError(
                f"The {name} is {1e3 * sag:.6g} mm, more than the travel of {1e3 * travel:.0f} mm; measure at the "
                "wheel, and give it in m."
            )
    if free is not None and ridden is not None and ridden < free:
        raise LabError(
            f"The rider sag of {1e3 * ridden:.0f} mm is less than the free sag of {1e3 * free:.0f} mm, where more was "
            "expected; measure both from full extension, and look whether they are swapped."
        )
    return None if free is None else float(free), None if ridden is None else float(ridden)


def _shares(free: float | None, ridden: float | None, travel: float) -> list[str]:
    said = []
    for name, sag, (low, high) in (("Rider", ridden, SAG_SHARE), ("Free", free, FREE_SAG_SHARE)):
        if sag is None:
            continue
        share = sag / travel
        where = "within" if low <= share <= high else "under" if share < low else "over"
        said.append(
            f"{name} sag {1e3 * sag:.0f} mm is {100 * share:.0f} % of the travel, {where} the usual {100 * low:.0f} to "
            f"{100 * high:.0f} % (common practice)."
        )
    if (
        free is not None
        and ridden is not None
        and free < FREE_SAG_SHARE[0] * travel
        and ridden >= SAG_SHARE[0] * travel
    ):
        said.append(
            "Little free sag with enough rider sag: too much preload on too soft a spring, or seals that stick. Do not "
            "add preload; look for a stiffer spring (common practice)."
        )
    return said


def _rate(station: Station, free: float | None, ridden: float | None, tape: float) -> tuple[Rate | None, list[str]]:
    if free is None or ridden is None:
        return None, ["The spring's rate needs both sags; measure the other one too."]
    if not station.rider_mass:
        return None, ["The spring's rate needs the rider's mass on this wheel; weigh it with and without the rider."]
    if free <= TOPPED_OUT:
        return None, [
            "Without the rider it hangs on its top-out stop, so the two sags do not give the spring's rate; take "
            "preload off and measure again."
        ]
    way, off = ridden - free, math.sqrt(2.0) * tape
    if way < CLEAR * off:
        return None, [
            f"The two sags are only {1e3 * way:.0f} mm apart, which the tape tells to {1e3 * off:.1f} mm: too near for "
            "a rate; measure finer, or put more load on."
        ]
    rate = Rate(station.rider_mass * GRAVITY / way, station.rider_mass * GRAVITY / way**2 * off)
    said = [
        f"Spring rate at the wheel by the two sags and {station.rider_mass:.0f} kg: {1e-3 * rate.value:.1f} ± "
        f"{1e-3 * rate.uncertainty:.1f} N/mm, by the tape alone; dry friction adds to it, so take each sag once coming "
        "from above and once from below, and use the mean."
    ]
    sag = station.sag
    if station.rests_on_a_stop or sag.free <= 0.0:
        return rate, said
    file_rate = station.rider_mass * GRAVITY / (sag.rider - sag.free)
    if abs(rate.value - file_rate) > FAR_OFF * rate.uncertainty:
        said.append(
            f"The file's spring, ratio and gas give {1e-3 * file_rate:.1f} N/mm, which the tape does not explain; "
            "check spring rate, motion ratio and the rider's mass on this wheel."
        )
    return rate, said


def _preload(
    station: Station, ridden: float | None, wish: float
) -> tuple[float | None, float | None, float | None, list[str]]:
    """Preload, its change and the free sag then, with sentences."""
    try:
        preload = preload_for(station, wish)
    except LabError as error:
        number("wished rider sag", wish, "m", low=0.0, high=_travel(station))
        return None, None, None, [str(error)]
    then = replace(station, spring=replace(station.spring, preload=preload))
    change = None if ridden is None else preload - _preload_at(station, ridden)
    amount = f"{1e3 * preload:.1f} mm of preload by the file's spring"
    if change is not None:
        amount += (
            f", which is {1e3 * abs(change):.1f} mm {'more' if change >= 0.0 else 'less'} than now by the measured sag"
        )
    said = [f"A rider sag of {1e3 * wish:.0f} mm would take {amount}; that is no order to turn, see the shares above."]
    if not station.rider_mass:
        return preload, change, None, said
    free, (low, high), travel = max(then.sag.free, 0.0), FREE_SAG_SHARE, _travel(station)
    if free < low * travel:
        said.append(
            f"The file's spring is too soft for this load: preload reaches that sag only at the price of a free sag of "
            f"{1e3 * free:.0f} mm, less than {100 * low:.0f} % of the travel (common practice); look for a stiffer one."
        )
    elif free > high * travel:
        said.append(
            f"The file's spring is hard for this load: at that sag {1e3 * free:.0f} mm of free sag are left, more than "
            f"{100 * high:.0f} % of the travel (common practice for two-wheelers); look for a softer one."
        )
    return preload, change, free, said


def _preload_at(station: Station, rider_sag: float) -> float:
    """The preload [m], of either sign, with which the station rests at a sag [m]."""
    from scipy.optimize import brentq

    weight = station.sprung_mass * GRAVITY

    def lack(preload: float) -> float:
        held = replace(station, spring=replace(station.spring, preload=preload))
        return float(held.suspension_force(rider_sag)) - weight

    if lack(-MOST_PRELOAD) > 0.0 or lack(MOST_PRELOAD) < 0.0:
        raise LabError(
            f"No preload lets {station.name} rest at {1e3 * rider_sag:.0f} mm; check the spring's rate and the masses."
        )
    return float(brentq(lack, -MOST_PRELOAD, MOST_PRELOAD, xtol=1e-9))
