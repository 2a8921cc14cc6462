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
from suspension_lab.excitation.road import Ride, Road
from suspension_lab.measures.contact import contact_loss, smallest_tyre_load, tyre_load_variation
from suspension_lab.measures.drift import drift_in_clicks, fade
from suspension_lab.measures.free_motion import first_return_time, overshoot, settling_time, swings
from suspension_lab.measures.travel import bottoming, bump_stop_hits, packing_down, topping_out, travel_used
from suspension_lab.simulation.heat import WarmUp, warm_up
from suspension_lab.simulation.linear import modes
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.trace import Trace
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

__all__ = [
    "FAULTS",
    "BlowOff",
    "Circuit",
    "Clicks",
    "DamperSide",
    "GasCharge",
    "HydraulicDamper",
    "LabError",
    "Leak",
    "LinearDamper",
    "MeasuredDamper",
    "MotionRatio",
    "Needle",
    "Oil",
    "Push",
    "Release",
    "Ride",
    "Road",
    "Shell",
    "Span",
    "Spring",
    "Station",
    "Stop",
    "Trace",
    "TwoSlopeDamper",
    "Tyre",
    "WarmUp",
    "bottoming",
    "bump_stop_hits",
    "contact_loss",
    "demo_vehicles",
    "drift_in_clicks",
    "fade",
    "first_return_time",
    "load_station",
    "modes",
    "overshoot",
    "packing_down",
    "roads",
    "settling_time",
    "simulate",
    "smallest_tyre_load",
    "swings",
    "topping_out",
    "travel_used",
    "tyre_load_variation",
    "warm_up",
    "with_fault",
]
