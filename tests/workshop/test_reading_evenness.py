"""Words on settings from soft to hard, on made-up valleys whose place is known (analytic)."""

from __future__ import annotations

import pytest

import suspension_lab as lab
from suspension_lab.workshop.evenness import ALIKE, MOST_IN_A_ROW, Evenness, Felt, Row
from suspension_lab.workshop.reading_evenness import ALIKE_ONLY, COMING, read_evenness

STATION = lab.load_station("courier_scooter_rear")
LEVEL = lab.Ride(lab.Road([0.0, 5.0], [0.0, 0.0]), 5.0)
TRACE = lab.simulate(STATION, LEVEL, 0.2)


def made(along, present, variation, shaking):
    """A row whose values are functions of the share closed."""
    row = Row(along=along, ranges=STATION.damper.adjusters, present=STATION.with_clicks(**present).clicks)
    wanted = Evenness(trace=TRACE, row=row).missing
    known = {clicks: Felt(variation(row.closed(clicks)), shaking(row.closed(clicks))) for clicks in wanted}
    return Evenness(trace=TRACE, row=row, known=known)


def valley_at(lowest):
    return lambda closed: 0.10 + 0.4 * (closed - lowest) ** 2


def rising(closed):
    return 1.0 + closed


@pytest.mark.parametrize(
    ("rebound", "says"),
    [(24, "too soft side"), (18, "too soft side"), (12, "good valley"), (10, "good valley"), (9, "too hard side"),
     (0, "too hard side")],
)  # fmt: skip
def test_side_of_the_valley(rebound, says):
    # lowest at half closed; 5 % worse at a distance of sqrt(0.05 x 0.10 / 0.4) = 0.11, or 2.7 clicks of 24
    words = read_evenness(made("rebound", {"rebound": rebound}, valley_at(0.5), rising))
    assert says in words[0]
    assert "(rebound 12 out)" in words[0]


def test_clicks_are_told_with_their_effect():
    words = read_evenness(made("rebound", {"rebound": 0}, valley_at(0.5), rising))
    assert "Closing further is not possible: rebound is closed." in words
    # a click is 1/24: 0.10 + 0.4 x (11/24)^2 = 0.184 in place of 0.200; 1.96 and 1.92 in place of 2.00 m/s^2
    assert (
        "Opening rebound by one click would be more even (18.4 %) and more comfortable (1.96 m/s²); by two more even "
        "(16.9 %) and more comfortable (1.92 m/s²)."
    ) in words
    assert any("that is the last click" in said for said in
               read_evenness(made("rebound", {"rebound": 1}, valley_at(0.5), rising)))  # fmt: skip


def test_changes_too_small_for_a_word_are_none():
    words = read_evenness(made("rebound", {"rebound": 12}, lambda s: 0.2 + 0.02 * s, lambda s: 1.0 + 0.2 * s))
    assert "Closing rebound by one click would be as even" in words[1]
    assert "as comfortable" in words[1]


def test_comforts_best_is_said_only_where_it_lies_softer():
    softer = "softer side of the most even: rebound 24 out against rebound 12 out"
    assert any(softer in said for said in read_evenness(made("rebound", {}, valley_at(0.5), rising)))
    for shaking in (lambda s: 2.0 - s, lambda s: 1.0 + (s - 0.5) ** 2):
        assert not any("softer side" in said for said in read_evenness(made("rebound", {}, valley_at(0.5), shaking)))


def test_hard_is_not_sporty_but_where_it_is_the_most_even():
    assert any(said.startswith("Hard is not sporty: with everything closed") for said in
               read_evenness(made(ALIKE, {}, valley_at(0.5), rising)))  # fmt: skip
    words = read_evenness(made(ALIKE, {}, valley_at(1.0), rising))
    assert any("hardest is most even" in said for said in words)
    assert not any("not sporty" in said for said in words)


def test_a_row_that_changes_nothing_is_called_so():
    words = read_evenness(made("high_speed", {}, lambda s: 0.2 + 0.004 * s, lambda s: 1.0 + 0.02 * s))
    assert "Closing high-speed matters little on this road" in words[0]


def test_a_setting_beside_the_row_is_called_so():
    assert ALIKE_ONLY in read_evenness(made(ALIKE, {"rebound": 3}, valley_at(0.5), rising))
    assert ALIKE_ONLY not in read_evenness(
        made(ALIKE, {"rebound": 0, "low_speed": 0, "high_speed": 0}, valley_at(0.5), rising)
    )


def test_before_the_row_is_known():
    row = Row(along=ALIKE, ranges=STATION.damper.adjusters, present=STATION.clicks)
    assert read_evenness(Evenness(trace=TRACE, row=row)) == [COMING]


def test_a_fine_adjuster_is_not_tried_at_every_click():
    row = Row(along=ALIKE, ranges={"rebound": 200, "low_speed": 7}, present=lab.Clicks(rebound=100, low_speed=3))
    assert len(row.settings) == MOST_IN_A_ROW
    assert row.settings[0] == lab.Clicks(rebound=200, low_speed=7)
    assert row.settings[-1] == lab.Clicks(rebound=0, low_speed=0)
    assert row.moved(-5) == lab.Clicks(rebound=95, low_speed=0)
    assert row.closed(lab.Clicks(rebound=100, low_speed=7)) == pytest.approx(0.25)


@pytest.mark.parametrize("ranges", [{}, {"rebound": 20}])
def test_an_adjuster_that_is_not_there_is_refused(ranges):
    with pytest.raises(lab.LabError, match=r"no low-speed adjuster to close|no adjusters"):
        Row(along="low_speed", ranges=ranges, present=lab.Clicks(**dict.fromkeys(ranges, 3)))
