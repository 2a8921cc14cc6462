"""A demo vehicle's forces written out by hand from its file's numbers, without the program's parts."""

import math
import tomllib

from scipy.optimize import brentq

import suspension_lab as lab

G = 9.80665
ATMOSPHERE = 101_325.0
EXPONENT = 1.3
"""Of the gas, between slow (1) and quick (1.4), as the vehicle files leave it."""
SHARP_EDGE = math.pi / (math.pi + 2.0)


def numbers(name):
    """What stands in a demo vehicle's file."""
    return tomllib.loads(lab.demo_vehicles()[name].read_text(encoding="utf-8"))


def gas_force(damper, shaft_travel):
    """(p0 (V0 / (V0 - A x))^n - p_atm) A, p0 a gauge's and an atmosphere [N]."""
    area = math.pi / 4.0 * (1e-3 * damper["rod_diameter_mm"]) ** 2
    filled = 1e-6 * damper["gas"]["gas_volume_cm3"]
    pressure = ATMOSPHERE + 1e5 * damper["gas"]["gas_pressure_bar"]
    return (pressure * (filled / (filled - area * shaft_travel)) ** EXPONENT - ATMOSPHERE) * area


def suspension_force(file, travel):
    """Of a straight spring and the gas behind one motion ratio, at the wheel, clear of the stops [N]."""
    stops = file["travel"]
    assert 0.0 < travel < 1e-3 * (stops["wheel_travel_mm"] - stops["bump_stop"]["length_mm"])
    assert "progression_N_per_mm2" not in file["spring"]
    ratio = file["linkage"]["motion_ratio"]
    spring = 1e3 * file["spring"]["rate_N_per_mm"] * (ratio * travel + 1e-3 * file["spring"]["preload_mm"])
    return ratio * (spring + gas_force(file["damper"], ratio * travel))


def travel_under(file, force):
    """Wheel travel at which the suspension carries a force [m]."""
    stops = file["travel"]
    free = 1e-3 * (stops["wheel_travel_mm"] - stops["bump_stop"]["length_mm"])
    return brentq(lambda travel: suspension_force(file, travel) - force, 1e-9, free - 1e-9, xtol=1e-14)


def oil_at_20(oil):
    """Density [kg/m^3] and dynamic viscosity [Pa s] at 20 degC: ASTM D341, and 0.0007 per kelvin."""

    def scale(viscosity):
        return math.log10(math.log10(viscosity + 0.7))

    first, second = scale(oil["viscosity_40C_mm2_per_s"]), scale(oil["viscosity_100C_mm2_per_s"])
    share = math.log10(293.15 / 313.15) / math.log10(373.15 / 313.15)
    viscosity = 10.0**10.0 ** (first + share * (second - first)) - 0.7
    density = oil.get("density_15C_kg_per_m3", 860.0) / (1.0 + 0.0007 * 5.0)
    return density, 1e-6 * viscosity * density


def circuit_flow(circuit, drop, clicks, oil):
    """Of needle, blow-off and leak side by side [m^3/s] under a pressure drop [Pa]; one cracking pressure."""
    density, viscosity = oil_at_20(oil)
    needle, blow_off, leak = circuit["needle"], circuit["blow_off"], circuit["leak"]
    seat = 1e-3 * needle["seat_diameter_mm"]
    out = 1e-3 * needle["lift_per_click_mm"] * clicks * math.tan(math.radians(needle["taper_deg"]))
    gap = 0.5 * (seat - 1e-3 * needle["needle_diameter_mm"]) + out
    laminar = 12.0 * viscosity * 1e-3 * needle["land_length_mm"] / (math.pi * (seat - gap) * gap**3)
    turbulent = 0.5 * density / (SHARP_EDGE * math.pi * gap * (seat - gap)) ** 2
    bleed = (math.sqrt(laminar**2 + 4.0 * turbulent * drop) - laminar) / (2.0 * turbulent)
    bore = 1e-3 * blow_off["seat_diameter_mm"]
    pushed = max(drop - 1e5 * blow_off["cracking_pressure_bar"], 0.0) * math.pi / 4.0 * bore**2
    lift = min(pushed / (1e3 * blow_off["spring_rate_N_per_mm"]), 0.25 * bore)
    blown = SHARP_EDGE * math.pi * bore * lift * math.sqrt(2.0 * drop / density)
    ring = math.pi * leak["diameter_mm"] * leak["clearance_mm"] ** 3 * 1e-12
    return bleed + blown + drop * ring / (12.0 * viscosity * 1e-3 * leak["length_mm"])


def ring_area(damper):
    """Of the piston around the rod [m^2]."""
    return math.pi / 4.0 * 1e-6 * (damper["piston_diameter_mm"] ** 2 - damper["rod_diameter_mm"] ** 2)


def piston_valve_force(damper, shaft_speed, clicks):
    """At the shaft [N] of a damper with both circuits in its piston: the drop that drives the ring's oil through."""
    ring = ring_area(damper)
    circuit = damper["compression" if shaft_speed > 0.0 else "rebound"]
    wanted = ring * abs(shaft_speed)
    drop = brentq(lambda p: circuit_flow(circuit, p, clicks, damper["oil"]) - wanted, 0.0, 1e9, xtol=1e-6, rtol=1e-14)
    return math.copysign(drop * ring, shaft_speed)
