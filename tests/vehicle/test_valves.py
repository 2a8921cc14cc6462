"""Valves: orifice, gap, blow-off, and the three ways side by side."""

import math

import fluids
import numpy as np
import pytest
from reference_values import reference
from scipy.integrate import quad
from scipy.optimize import brentq

import suspension_lab as lab
from suspension_lab.vehicle.oil import Fluid
from suspension_lab.vehicle.valves import (
    SHARP_EDGE,
    SetCircuit,
    flow_through,
    gap_resistance,
    orifice_resistance,
)

FLOW = reference("flow")
FLUID = Fluid(density=850.0, viscosity=0.03)
NEEDLE = lab.Needle(seat_diameter=5e-3, needle_diameter=4.8e-3, taper=0.3, lift_per_click=1e-4, land_length=3e-3)
BLOW_OFF = lab.BlowOff(seat_diameter=9e-3, spring_rate=1e5, cracking_pressure=8e5)
LEAK = lab.Leak(diameter=36e-3, clearance=30e-6, length=10e-3)
CIRCUIT = lab.Circuit(needle=NEEDLE, blow_off=BLOW_OFF, leak=LEAK)
DROPS = np.geomspace(10.0, 2e8, 300)


def set_circuit(circuit=CIRCUIT, clicks=5, fluid=FLUID):
    cracking = circuit.blow_off.cracking_pressure if circuit.blow_off else 0.0
    return SetCircuit(circuit=circuit, clicks=clicks, cracking=cracking, fluid=fluid)


def test_discharge_coefficient_of_a_sharp_edge():
    assert FLOW["contraction of a sharp-edged slot"].near == SHARP_EDGE
    assert FLOW["discharge coefficient of a sharp edge"].near == SHARP_EDGE
    measured = [row.value for name, row in FLOW.items() if name.startswith("sharp circular orifice")]
    assert min(measured) - 0.01 < SHARP_EDGE < max(measured)


@pytest.mark.parametrize("reynolds", [1e4, 1e5, 1e6])
def test_discharge_coefficient_against_the_standard_for_orifice_plates(reynolds):
    """ISO 5167-2 (Reader-Harris and Gallagher), as the `fluids` library has it, for small openings: within 3 %."""
    bore, hole = 0.1, 0.02
    flow = reynolds * 1e-3 * math.pi * bore / 4.0
    c = fluids.flow_meter.C_Reader_Harris_Gallagher(D=bore, Do=hole, rho=1000.0, mu=1e-3, m=flow, taps="corner")
    assert pytest.approx(c, rel=0.03) == SHARP_EDGE


def test_orifice_flow_against_an_independent_library():
    """Discharge through a sharp hole without approach speed: Q = Cd A sqrt(2 dp / rho)."""
    area, drop = 3e-6, 5e5
    ours = float(flow_through(drop, 0.0, orifice_resistance(area=area, density=850.0)))
    velocity = SHARP_EDGE * math.sqrt(2.0 * drop / 850.0)
    assert ours == pytest.approx(area * velocity, rel=1e-12)
    expansion_free = fluids.flow_meter.flow_meter_discharge(
        D=1.0, Do=math.sqrt(4 * area / math.pi), P1=1e6, P2=1e6 - drop, rho=850.0, C=SHARP_EDGE
    )
    assert ours == pytest.approx(expansion_free / 850.0, rel=1e-6)


@pytest.mark.parametrize(("clearance", "within"), [(20e-6, 1e-6), (50e-6, 3e-6), (1e-4, 1e-5), (1e-3, 2e-3)])
def test_thin_gap_against_the_exact_annulus(clearance, within):
    """Textbook: laminar flow through a ring (Bird, Stewart, Lightfoot, Transport Phenomena, from memory)."""
    mean, length, mu = 30e-3, 10e-3, 0.03
    outer, inner = 0.5 * (mean + clearance), 0.5 * (mean - clearance)
    exact = (math.pi / (8.0 * mu * length)) * (
        outer**4 - inner**4 - (outer**2 - inner**2) ** 2 / math.log(outer / inner)
    )
    thin = 1.0 / gap_resistance(diameter=mean, clearance=clearance, length=length, viscosity=mu)
    assert thin == pytest.approx(exact, rel=within)


def test_thin_gap_is_the_limit_of_parallel_plates():
    """Plane Poiseuille flow between plates as wide as the ring is long around: w h^3 / (12 mu L), by quadrature."""
    diameter, clearance, length, mu = 40e-3, 60e-6, 8e-3, 0.02
    profile, _ = quad(lambda y: y * (clearance - y) / (2.0 * mu * length), 0.0, clearance)
    plates = math.pi * diameter * profile
    assert 1.0 / gap_resistance(diameter=diameter, clearance=clearance, length=length, viscosity=mu) == pytest.approx(
        plates, rel=1e-9
    )


@pytest.mark.parametrize("quantity", [name for name in FLOW if name.startswith("eccentric")])
def test_eccentric_gap(quantity):
    e = float(quantity.rsplit(" ", 1)[1])
    ring = {"diameter": 30e-3, "clearance": 50e-6, "length": 0.01, "viscosity": 0.03}
    ratio = gap_resistance(**ring) / gap_resistance(**ring, eccentricity=e)
    assert ratio == FLOW[quantity].near
    mean, _ = quad(lambda t: (1.0 + e * math.cos(t)) ** 3 / (2.0 * math.pi), 0.0, 2.0 * math.pi)
    assert ratio == pytest.approx(mean, rel=1e-9)


def test_linear_and_square_losses_in_one_way():
    flow = np.geomspace(1e-9, 1e-2, 200)
    for linear, square in ((3e9, 4e15), (3e9, 0.0), (0.0, 4e15)):
        drop = linear * flow + square * flow**2
        assert flow_through(drop, linear, square) == pytest.approx(flow, rel=1e-9)


def test_a_click_draws_the_needle_back():
    assert NEEDLE.gap(0) == pytest.approx(0.1e-3)
    assert NEEDLE.gap(7) - NEEDLE.gap(6) == pytest.approx(1e-4 * math.tan(0.3))
    assert NEEDLE.gap(10_000) == pytest.approx(2.5e-3)
    # Once the needle has left its seat the whole bore is open.
    assert NEEDLE.opening(10_000) == pytest.approx(math.pi * 2.5e-3**2)
    inner = 5e-3 - 2.0 * NEEDLE.gap(3)
    assert NEEDLE.opening(3) == pytest.approx(math.pi / 4.0 * (5e-3**2 - inner**2))


def test_blow_off_lifts_by_the_balance_of_forces():
    area = math.pi / 4.0 * 9e-3**2
    assert float(BLOW_OFF.lift(8e5, 8e5)) == 0.0
    assert float(BLOW_OFF.lift(12e5, 8e5)) == pytest.approx(4e5 * area / 1e5)
    full = BLOW_OFF.full_lift_drop(8e5)
    assert float(BLOW_OFF.lift(full, 8e5)) == pytest.approx(9e-3 / 4.0)
    assert float(BLOW_OFF.lift(2.0 * full, 8e5)) == pytest.approx(9e-3 / 4.0)
    # Fully open, the ring under the disc is as large as the seat's bore.
    assert math.pi * 9e-3 * BLOW_OFF.most_lift == pytest.approx(area)


def test_flows_side_by_side_add_up_and_the_drop_gives_them_back():
    circuit = set_circuit()
    flows = circuit.flows(DROPS)
    assert flows.whole == pytest.approx(flows.bleed + flows.blow_off + flows.leak)
    assert (np.diff(flows.whole) > 0.0).all()
    found = circuit.drop(flows.whole)
    assert found == pytest.approx(DROPS, rel=2e-5)


def test_drop_against_a_root_search():
    """The tabled inverse against scipy's brentq on the three flows themselves."""
    circuit = set_circuit()
    for flow in np.geomspace(1e-8, 3e-3, 40):
        exact = brentq(lambda p, q=flow: float(circuit.flows(p).whole) - q, 0.0, 1e10, xtol=1e-6, rtol=1e-12)
        assert float(circuit.drop(flow)) == pytest.approx(exact, rel=2e-5)


def test_without_blow_off_and_leak_the_bleed_carries_all():
    circuit = set_circuit(lab.Circuit(needle=NEEDLE))
    flows = circuit.flows(DROPS)
    assert flows.whole == pytest.approx(flows.bleed)
    assert (circuit.lift(DROPS) == 0.0).all()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"needle_diameter": 5e-3}, ["5 mm wide in a seat of 5 mm", "narrower"]),
        ({"needle_diameter": 6e-3}, ["6 mm wide in a seat of 5 mm"]),
        ({"seat_diameter": 0.0}, ["more than 0 m"]),
        ({"eccentricity": 1.5}, ["0 to 1"]),
        ({"land_length": -1e-3}, ["more than 0 m"]),
        ({"taper": 0.0}, ["0.001 to 1.2 rad"]),
    ],
)
def test_impossible_needles_are_told(change, says):
    sound = {name: getattr(NEEDLE, name) for name in ("seat_diameter", "needle_diameter", "taper", "lift_per_click",
                                                      "land_length")}  # fmt: skip
    with pytest.raises(lab.LabError) as caught:
        lab.Needle(**(sound | change))
    assert all(part in str(caught.value) for part in says), str(caught.value)


def test_impossible_leaks_and_blow_offs_are_told():
    with pytest.raises(lab.LabError, match="no thin gap"):
        lab.Leak(diameter=1e-3, clearance=1e-3, length=1e-3)
    with pytest.raises(lab.LabError, match="cracking pressure"):
        lab.BlowOff(seat_diameter=9e-3, spring_rate=1e5, cracking_pressure=0.0)
