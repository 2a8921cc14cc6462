"""The table of a run: which measures it has, in which unit, and the same words with and without a run."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from made_traces import made_trace
from sentences import is_one_sentence

import suspension_lab as lab
from suspension_lab.measures.summary import ride_measure, summary

REAR = lab.load_station("courier_scooter_rear")
RIDE = lab.Ride(lab.roads.washboard(), 8.0)
KEYS = [
    "tyre_load_variation", "smallest_tyre_load", "contact_loss", "longest_contact_loss", "weighted_acceleration",
    "maximum_transient_vibration", "vibration_dose", "body_acceleration_peak", "compression_speed", "rebound_speed",
    "above_compression_knee", "damper_power", "packing_down", "deepest_travel", "bump_stop_hits", "bottoming",
    "topping_out",
]  # fmt: skip


def table(trace):
    return {measure.key: measure for measure in summary(trace)}


def test_a_ride_has_its_measures_in_order():
    assert [measure.key for measure in summary(lab.simulate(REAR, RIDE))] == KEYS


def test_rows_stand_only_where_they_can():
    plain = replace(
        REAR, damper=lab.LinearDamper(rebound=800.0, compression=400.0), travel=None, bump_stop=None, top_out_stop=None
    )
    one_bump = lab.Ride(lab.roads.long_hump(), 8.0)
    missing = {"above_compression_knee", "packing_down", "deepest_travel", "bump_stop_hits", "bottoming", "topping_out"}
    assert set(KEYS) - set(table(lab.simulate(plain, one_bump))) == missing


@pytest.mark.parametrize("key", KEYS)
def test_label_and_unit_are_known_without_a_run(key):
    kind, measure = ride_measure(key), table(lab.simulate(REAR, RIDE))[key]
    for name in ("key", "label", "name", "digits", "smaller_is", "resolution"):
        assert getattr(kind, name) == getattr(measure, name)
    assert measure.unit.startswith(kind.unit)
    trace = lab.simulate(REAR, RIDE)
    assert kind.at(kind.found(trace)).shown == measure.shown


def test_values_are_shown_in_the_tables_units():
    """Each worked out anew from the signals."""
    trace = lab.simulate(REAR, RIDE)
    shown = table(trace)
    assert shown["tyre_load_variation"].value == pytest.approx(
        100.0 * float(np.std(trace.tyre_load)) / REAR.static_tyre_load, rel=1e-9
    )
    assert shown["body_acceleration_peak"].value == pytest.approx(float(np.abs(trace.body_acceleration).max()))
    assert shown["above_compression_knee"].value == pytest.approx(
        100.0 * float(np.mean(trace.shaft_speed > REAR.damper.knees[1])), rel=1e-9
    )
    assert shown["deepest_travel"].value == pytest.approx(1e3 * float(trace.wheel_travel.max()))
    assert shown["deepest_travel"].unit == f"mm of {1e3 * REAR.travel:.0f} mm"


def test_a_measure_that_there_is_not():
    with pytest.raises(lab.LabError) as told:
        ride_measure("comfort")
    assert "weighted_acceleration" in str(told.value)
    assert is_one_sentence(str(told.value).replace(", ", " "))


def test_nothing_done_is_a_table_of_nothing():
    shown = table(made_trace(1e-3 * np.arange(2000), station=REAR))
    for key in ("tyre_load_variation", "contact_loss", "weighted_acceleration", "vibration_dose", "damper_power"):
        assert shown[key].value == pytest.approx(0.0, abs=1e-9)
    assert shown["smallest_tyre_load"].value == pytest.approx(100.0)
