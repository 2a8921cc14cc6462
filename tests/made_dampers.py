"""Dampers for tests: one of a simple law, and random sound ones by their parts."""

import math
from dataclasses import dataclass

import numpy as np
from hypothesis import strategies as st

import suspension_lab as lab
from suspension_lab.vehicle.clicks import Adjustable
from suspension_lab.vehicle.gas import ATMOSPHERE, GasCharge
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper
from suspension_lab.vehicle.oil import GRADES, Oil
from suspension_lab.vehicle.shell import ALUMINIUM, Shell
from suspension_lab.vehicle.valves import BlowOff, Circuit, Leak, Needle

MM, CM3, BAR = 1e-3, 1e-6, 1e5


@dataclass(frozen=True, kw_only=True)
class QuadraticDamper(Adjustable):
    """Force = constant x speed x |speed|, as of an orifice alone."""

    constant: float

    @property
    def knees(self):
        return -np.inf, np.inf

    def force(self, shaft_speed):
        v = np.asarray(shaft_speed, dtype=np.float64)
        return self.constant * v * np.abs(v)


def between(low, high):
    return st.floats(low, high, allow_nan=False)


@st.composite
def spread(draw, low, high):
    """A number between two, each factor as likely as another."""
    return min(max(math.exp(draw(between(math.log(low), math.log(high)))), low), high)


@st.composite
def needles(draw):
    """Seats of 2 to 8 mm, gaps of 0.02 to 0.8 mm when closed and never past half the seat."""
    seat = draw(between(2.0, 8.0))
    gap = draw(spread(0.02, min(0.8, 0.35 * seat)))
    return Needle(
        seat_diameter=seat * MM,
        needle_diameter=(seat - 2.0 * gap) * MM,
        taper=math.radians(draw(between(3.0, 30.0))),
        lift_per_click=draw(between(0.01, 0.15)) * MM,
        land_length=draw(between(1.0, 8.0)) * MM,
        eccentricity=draw(between(0.0, 1.0)),
    )


@st.composite
def circuits(draw, across, piston, adjuster):
    """A circuit through which oil is pushed over a diameter [m]; its blow-off is in proportion to that.

    Args:
        draw: of hypothesis.
        across: diameter of what pushes the oil [m].
        piston: diameter of the piston, past which it may leak; None: it cannot [m].
        adjuster: whether clicks set the blow-off.
    """
    cracking = draw(spread(1.0, 100.0)) * BAR
    opened = draw(spread(1.0, 100.0)) * BAR
    blow_off = BlowOff(
        seat_diameter=draw(between(0.25, 0.5)) * across,
        spring_rate=draw(spread(30.0, 600.0)) / MM,
        cracking_pressure=lab.Span(closed=max(cracking, opened), open=min(cracking, opened)) if adjuster else cracking,
    )
    leak = None
    if piston and draw(st.booleans()):
        leak = Leak(
            diameter=piston,
            clearance=draw(between(0.01, 0.05)) * MM,
            length=draw(between(5.0, 15.0)) * MM,
            eccentricity=draw(between(0.0, 1.0)),
        )
    return Circuit(needle=draw(needles()), blow_off=blow_off, leak=leak)


@st.composite
def hydraulic_dampers(draw, stroke=0.1, kinds=("piston", "reservoir")):
    """Sound dampers whose gas has room for a stroke [m], with any adjusters at any clicks.

    Args:
        draw: of hypothesis.
        stroke: shaft travel from full extension that the gas must have room for [m].
        kinds: where the compression circuit may sit.
    """
    piston = draw(between(20.0, 60.0)) * MM
    rod = draw(between(8.0, min(22.0, 0.6 * piston / MM))) * MM
    at = draw(st.sampled_from(kinds))
    names = draw(st.sampled_from([(), ("rebound",), ("rebound", "low_speed"), ("rebound", "low_speed", "high_speed")]))
    adjusters = {name: draw(st.integers(1, 40)) for name in names}
    clicks = lab.Clicks(**{name: draw(st.integers(0, count)) for name, count in adjusters.items()})
    displaced = 0.25 * math.pi * rod**2 * stroke
    oil_volume = draw(between(1.5, 4.0)) * 0.25 * math.pi * piston**2 * stroke
    # Warm oil at 160 degC grows by a tenth.
    gas = GasCharge(
        pressure=draw(spread(ATMOSPHERE, 25.0 * BAR)),
        volume=draw(between(1.5, 4.0)) * displaced + 0.1 * oil_volume,
        exponent=draw(between(1.0, 1.4)),
    )
    shells = [
        Shell(mass=draw(between(0.2, 3.0)), diameter=1.2 * piston, length=length, specific_heat=ALUMINIUM)
        for length in (3.0 * stroke, 0.12)
    ]
    across = math.sqrt(piston**2 - rod**2)
    return HydraulicDamper(
        piston_diameter=piston,
        rod_diameter=rod,
        rebound=draw(circuits(across, piston, "rebound" in names and draw(st.booleans()))),
        compression=draw(
            circuits(
                across if at == "piston" else rod,
                piston if at == "piston" else None,
                "low_speed" in names and draw(st.booleans()),
            )
        ),
        oil=Oil.of_grade(draw(st.sampled_from([grade for grade in GRADES if grade <= 68]))),
        compression_at=at,
        gas=gas,
        body=shells[0],
        reservoir=shells[1] if at == "reservoir" else draw(st.sampled_from([None, shells[1]])),
        oil_volume=oil_volume,
        free_area=draw(spread(1.0, 200.0)) * 1e-6,
        oil_temperature=273.15 + draw(between(-10.0, 90.0)),
        adjusters=adjusters,
        clicks=clicks,
    )
