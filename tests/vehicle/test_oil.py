"""Oil: ASTM D341 over temperature, ASTM D2270's viscosity index, ISO 3448 grades."""

import chemicals
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference_values import reference
from sentences import is_one_sentence

import suspension_lab as lab
from suspension_lab.vehicle.oil import COLDEST, GRADES, HOTTEST, ZERO_CELSIUS

OIL = reference("oil")


def oil(at_40, at_100):
    return lab.Oil(viscosity_40=1e-6 * at_40, viscosity_100=1e-6 * at_100)


@pytest.mark.parametrize("quantity", [name for name in OIL if " at " in name])
def test_viscosity_over_temperature(quantity):
    """The straight line of log log (nu + 0.7) over log T, ASTM D341."""
    oils, _, temperature = quantity.partition(" at ")
    at_40, at_100 = map(float, oils.split(" and "))
    found = oil(at_40, at_100).kinematic_viscosity(ZERO_CELSIUS + float(temperature.split()[0]))
    assert 1e6 * found == OIL[quantity].near


@given(st.floats(10.0, 300.0), st.floats(0.06, 0.6))
def test_both_published_viscosities_come_back(at_40, share):
    made = oil(at_40, share * at_40)
    assert 1e6 * made.kinematic_viscosity(ZERO_CELSIUS + 40.0) == pytest.approx(at_40, rel=1e-9)
    assert 1e6 * made.kinematic_viscosity(ZERO_CELSIUS + 100.0) == pytest.approx(share * at_40, rel=1e-9)
    temperatures = np.linspace(COLDEST, HOTTEST, 40)
    assert (np.diff([made.at(t).viscosity for t in temperatures]) < 0.0).all()
    assert (np.diff([made.density_at(t) for t in temperatures]) < 0.0).all()


@pytest.mark.parametrize("quantity", [name for name in OIL if name.startswith("viscosity index")])
def test_viscosity_index_of_the_worked_examples(quantity):
    at_40, at_100 = map(float, quantity.removeprefix("viscosity index of ").split(" and "))
    assert oil(at_40, at_100).viscosity_index == OIL[quantity].near


def test_viscosity_index_against_an_independent_table():
    """The `chemicals` library holds D2270's table of L and H (311 rows); ours are its formulas."""
    worst = 0.0
    for at_100 in np.linspace(2.0, 60.0, 60):
        for times in (3.0, 5.0, 8.0, 12.0):
            theirs = chemicals.viscosity.viscosity_index(1e-6 * times * at_100, 1e-6 * at_100)
            if 0.0 < theirs < 200.0:
                worst = max(worst, abs(oil(times * at_100, at_100).viscosity_index - theirs))
    print(f"largest difference {worst:.2f}")
    assert worst < 0.3


@pytest.mark.parametrize("grade", GRADES)
def test_grades_are_those_of_the_standard(grade):
    made = lab.Oil.of_grade(grade)
    assert 1e6 * made.kinematic_viscosity(ZERO_CELSIUS + 40.0) == pytest.approx(OIL[f"ISO VG {grade} midpoint"].value)
    # Plain mineral oils: an index of 60 to 120 (handbook range, from memory).
    assert 60.0 < made.viscosity_index < 120.0


def test_density_falls_as_the_volume_grows():
    made = lab.Oil.of_grade(15)
    assert made.density_at(ZERO_CELSIUS + 15.0) == pytest.approx(860.0)
    assert made.density_at(ZERO_CELSIUS + 85.0) == pytest.approx(860.0 / 1.049)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: oil(0.0, 3.5), ["40 °C", "0 m²/s", "more than 0"]),
        (lambda: oil(-15.0, 3.5), ["40 °C", "more than 0"]),
        (lambda: oil(3.5, 15.0), ["swapped"]),
        (lambda: oil(float("nan"), 3.5), ["finite"]),
        (lambda: lab.Oil(viscosity_40=15.0, viscosity_100=3.5), ["0.01 m²/s"]),
        (lambda: lab.Oil.of_grade(17), ["VG 17", "15", "22"]),
        (lambda: lab.Oil.of_grade(15).at(80.0), ["80 K", "353.15 K"]),
        (lambda: lab.Oil.of_grade(15).at(ZERO_CELSIUS + 200.0), ["200 °C", "-30 to 160 °C"]),
        (lambda: lab.Oil.of_grade(15).at(ZERO_CELSIUS - 60.0), ["-60 °C", "-30 to 160 °C"]),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence(make, says):
    with pytest.raises(lab.LabError) as caught:
        make()
    assert is_one_sentence(str(caught.value)), str(caught.value)
    for part in says:
        assert part in str(caught.value)
