"""Loads what a bench needs before one is wanted, and compiles the kernel where that was never done."""

from suspension_lab.excitation.hand import Release
from suspension_lab.lab.pictures import picture_of
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.vehicle.wear import with_fault

_station = load_station("courier_scooter_rear")
picture_of(simulate(_station, Release(), 0.05))
# Free play is compiled apart.
simulate(with_fault(_station, "low_oil"), Release(), 0.05)
