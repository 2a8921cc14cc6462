"""Loads what a bench needs before one is wanted, and compiles the kernel where that was never done."""

from suspension_lab.excitation.hand import Release
from suspension_lab.lab.pictures import picture_of
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.vehicle_file import load_station

picture_of(simulate(load_station("courier_scooter_rear"), Release(), 0.05))
