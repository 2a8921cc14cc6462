"""Loads what a bench needs before one is wanted, and compiles the kernel where that was never done.

What only the later lessons need is loaded behind the first bench, in a thread of its own.
"""

from threading import Event, Thread

from suspension_lab.excitation.hand import Release
from suspension_lab.lab.click_map_picture import ClickMapPicture
from suspension_lab.lab.evenness import EvennessTrial
from suspension_lab.lab.pictures import picture_of
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.vehicle.wear import with_fault


def _load_the_rest() -> None:
    """Many settings side by side are a march of their own; rolled roads and weighted comfort load much of scipy."""
    trial = EvennessTrial()
    run = trial.run(_station, {"vehicle": "", "rider": 0, "road": "B", "harder": "alike", "speed": 30})
    trial.measures(run)
    ClickMapPicture()
    work = trial.later(run)
    if work is not None:
        work(Event())


_station = load_station("courier_scooter_rear")
picture_of(simulate(_station, Release(), 0.05))
# Free play is compiled apart.
simulate(with_fault(_station, "low_oil"), Release(), 0.05)
Thread(target=_load_the_rest, name="preload").start()
