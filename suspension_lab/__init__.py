"""Suspension lab: learn and check what a damper's adjusters do, on a real two-mass simulation.

    import suspension_lab as lab
    station = lab.load_station("courier_scooter_rear").with_clicks(rebound=12)
    trace = lab.simulate(station, lab.Release(depth=0.035), duration=2.0)
    lab.settling_time(trace)

Inside, everything is SI; clicks count out from fully closed.
"""

from suspension_lab.common.errors import LabError
from suspension_lab.excitation import roads
from suspension_lab.excitation.hand import Push, Release
from suspension_lab.excitation.plate import ShakerPlate
from suspension_lab.excitation.road import Ride, Road
from suspension_lab.measures.comfort import maximum_transient_vibration, vibration_dose, weighted_acceleration
from suspension_lab.measures.contact import contact_loss, load_spectrum, smallest_tyre_load, tyre_load_variation
from suspension_lab.measures.damper_use import damper_power, shaft_speed_shares
from suspension_lab.measures.drift import drift_in_clicks, fade
from suspension_lab.measures.free_motion import first_return_time, overshoot, settling_time, swings
from suspension_lab.measures.plate import minimum_contact_force
from suspension_lab.measures.roughness import international_roughness_index, road_class
from suspension_lab.measures.travel import (
    bottoming,
    bump_stop_hits,
    packing_down,
    topping_out,
    travel_histogram,
    travel_used,
)
from suspension_lab.simulation.equivalent import equivalent_damping, equivalent_response
from suspension_lab.simulation.frequency import FrequencyResponse, frequency_response
from suspension_lab.simulation.heat import WarmUp, warm_up
from suspension_lab.simulation.linear import modes
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.steady import steady_response
from suspension_lab.simulation.trace import Trace
from suspension_lab.simulation.white_road import RandomResponse, random_response
from suspension_lab.vehicle.clicks import Clicks, Span
from suspension_lab.vehicle.damper import DamperSide, LinearDamper, TwoSlopeDamper
from suspension_lab.vehicle.gas import GasCharge
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper
from suspension_lab.vehicle.linkage import MotionRatio
from suspension_lab.vehicle.measured_damper import MeasuredDamper
from suspension_lab.vehicle.oil import Oil
from suspension_lab.vehicle.shell import Shell
from suspension_lab.vehicle.spring import Spring
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.stop import Stop
from suspension_lab.vehicle.tyre import Tyre
from suspension_lab.vehicle.valves import BlowOff, Circuit, Leak, Needle
from suspension_lab.vehicle.vehicle_file import demo_vehicles, load_station
from suspension_lab.vehicle.wear import FAULTS, with_fault
from suspension_lab.workshop.bracket import Bracket
from suspension_lab.workshop.click_map import ClickMap
from suspension_lab.workshop.fit_damper import DamperFit, fit_damper
from suspension_lab.workshop.fit_release import ReleaseFit, fit_release
from suspension_lab.workshop.mapping import click_map
from suspension_lab.workshop.measured.recording import as_recording, read_recording
from suspension_lab.workshop.measured.sag import read_sag
from suspension_lab.workshop.measured.timing import by_frames, by_stopwatch
from suspension_lab.workshop.measured.watch import Watch, watch_of
from suspension_lab.workshop.next_click import NextClick, next_click
from suspension_lab.workshop.presets import presets
from suspension_lab.workshop.robust import Spread, robust_map
from suspension_lab.workshop.setup_card import setup_card
from suspension_lab.workshop.setup_log import SetupLog
from suspension_lab.workshop.what_if import WhatIf, what_if

__all__ = [
    "FAULTS",
    "BlowOff",
    "Bracket",
    "Circuit",
    "ClickMap",
    "Clicks",
    "DamperFit",
    "DamperSide",
    "FrequencyResponse",
    "GasCharge",
    "HydraulicDamper",
    "LabError",
    "Leak",
    "LinearDamper",
    "MeasuredDamper",
    "MotionRatio",
    "Needle",
    "NextClick",
    "Oil",
    "Push",
    "RandomResponse",
    "Release",
    "ReleaseFit",
    "Ride",
    "Road",
    "SetupLog",
    "ShakerPlate",
    "Shell",
    "Span",
    "Spread",
    "Spring",
    "Station",
    "Stop",
    "Trace",
    "TwoSlopeDamper",
    "Tyre",
    "WarmUp",
    "Watch",
    "WhatIf",
    "as_recording",
    "bottoming",
    "bump_stop_hits",
    "by_frames",
    "by_stopwatch",
    "click_map",
    "contact_loss",
    "damper_power",
    "demo_vehicles",
    "drift_in_clicks",
    "equivalent_damping",
    "equivalent_response",
    "fade",
    "first_return_time",
    "fit_damper",
    "fit_release",
    "frequency_response",
    "international_roughness_index",
    "load_spectrum",
    "load_station",
    "maximum_transient_vibration",
    "minimum_contact_force",
    "modes",
    "next_click",
    "overshoot",
    "packing_down",
    "presets",
    "random_response",
    "read_recording",
    "read_sag",
    "road_class",
    "roads",
    "robust_map",
    "settling_time",
    "setup_card",
    "shaft_speed_shares",
    "simulate",
    "smallest_tyre_load",
    "steady_response",
    "swings",
    "topping_out",
    "travel_histogram",
    "travel_used",
    "tyre_load_variation",
    "vibration_dose",
    "warm_up",
    "watch_of",
    "weighted_acceleration",
    "what_if",
    "with_fault",
]
