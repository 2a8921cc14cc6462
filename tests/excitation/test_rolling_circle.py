"""The path of an axle over edges, slots and curves, against plain geometry of a circle."""

import math

import numpy as np
import pytest

import suspension_lab as lab

SHARP = 1e-6
"""How far an edge leans here [m]."""
RADII = [0.20, 0.225, 0.32]


def at(road, x):
    return np.interp(x, road.distance, road.height)


def close(radius, slope=0.0):
    """How far straight pieces of a hundredth of the radius may lie off a circle: sagitta, steeper where it leans."""
    return (0.01 * radius) ** 2 / (8.0 * radius) * (1.0 + slope**2) ** 1.5 + 3e-6


@pytest.mark.parametrize("radius", RADII)
@pytest.mark.parametrize("height", [0.01, 0.05, 0.12])
def test_step_up(radius, height):
    """The wheel meets the corner sqrt(R^2 - (R - h)^2) before it, then turns about it: y = h + sqrt(R^2 - x^2) - R."""
    corner = 1.0 + SHARP
    axle = lab.Road([0.0, 1.0, corner, 3.0], [0.0, 0.0, height, height]).envelope(radius)
    reach = math.sqrt(radius**2 - (radius - height) ** 2)
    for share in np.linspace(0.0, 0.98, 50):
        x = share * reach
        slope = x / math.sqrt(radius**2 - x**2)
        expected = height + math.sqrt(radius**2 - x**2) - radius
        assert at(axle, corner - x) == pytest.approx(expected, abs=close(radius, slope))
    before = np.linspace(0.1, corner - reach - 0.011 * radius, 50)
    assert np.abs(at(axle, before)).max() < 1e-9
    assert np.abs(at(axle, np.linspace(corner + 0.011 * radius, 2.9, 50)) - height).max() < 1e-9


@pytest.mark.parametrize("radius", RADII)
def test_step_down_mirrors_step_up(radius):
    up = lab.Road([0.0, 1.0, 1.0 + SHARP, 2.0 + SHARP], [0.0, 0.0, 0.04, 0.04]).envelope(radius)
    down = lab.Road([0.0, 1.0, 1.0 + SHARP, 2.0 + SHARP], [0.04, 0.04, 0.0, 0.0]).envelope(radius)
    x = np.linspace(0.3, 1.7, 300)
    meets = 1.0 + SHARP - math.sqrt(radius**2 - (radius - 0.04) ** 2)
    x = x[np.abs(x - meets) > 0.011 * radius]
    assert np.abs(at(up, x) - at(down, 2.0 + SHARP - x)).max() < 2.0 * close(radius, slope=0.8)


@pytest.mark.parametrize("radius", RADII)
@pytest.mark.parametrize("width", [0.05, 0.15, 0.25])
def test_slot_deeper_than_the_wheel_dips(radius, width):
    """It rests on both edges: depth R - sqrt(R^2 - (w / 2)^2) in the middle, whatever lies below."""
    slot = lab.Road([0.0, 1.0, 1.0 + SHARP, 1.0 + width, 1.0 + width + SHARP, 3.0], [0.0, 0.0, -0.3, -0.3, 0.0, 0.0])
    axle = slot.envelope(radius)
    depth = radius - math.sqrt(radius**2 - (width / 2.0) ** 2)
    slope = 0.5 * width / math.sqrt(radius**2 - (width / 2.0) ** 2)
    # At the kink in the middle, straight pieces cut the corner by up to half a piece along the slope.
    cut = 0.5 * 0.01 * radius * slope
    found = axle.height.min()
    assert -depth - 1e-9 <= found <= -depth + cut + close(radius)
    quarter = 1.0 + 0.25 * width
    expected = math.sqrt(radius**2 - (0.25 * width) ** 2) - radius
    assert at(axle, quarter) == pytest.approx(expected, abs=close(radius))


@pytest.mark.parametrize("radius", RADII)
def test_wide_slot_is_touched_at_its_bottom(radius):
    depth = 0.03
    width = 2.2 * math.sqrt(radius**2 - (radius - depth) ** 2)
    slot = lab.Road(
        [0.0, 1.0, 1.0 + SHARP, 1.0 + width, 1.0 + width + SHARP, 3.0], [0.0, 0.0, -depth, -depth, 0.0, 0.0]
    )
    assert slot.envelope(radius).height.min() == pytest.approx(-depth, abs=1e-9)


@pytest.mark.parametrize("radius", RADII)
def test_a_single_point_becomes_a_cap(radius):
    """A bump of one sample, thinner than the grid: the wheel rolls over its tip, y = h + sqrt(R^2 - x^2) - R."""
    tip, height = 1.003217, 0.02
    axle = lab.Road([0.0, tip - 1e-4, tip, tip + 1e-4, 3.0], [0.0, 0.0, height, 0.0, 0.0]).envelope(radius)
    for x in np.linspace(-0.9, 0.9, 31) * math.sqrt(radius**2 - (radius - height) ** 2):
        slope = abs(x) / math.sqrt(radius**2 - x**2)
        expected = height + math.sqrt(radius**2 - x**2) - radius
        assert at(axle, tip + x) == pytest.approx(expected, abs=close(radius, slope))
    assert axle.height.max() <= height + 1e-12


@pytest.mark.parametrize("radius", RADII)
def test_a_gentle_curve_gives_its_parallel_curve(radius):
    """A wave whose hollows are wider than the wheel: the axle keeps the radius along the road's normal."""
    wave, size = 1.6, 0.02
    assert size * (2.0 * math.pi / wave) ** 2 < 1.0 / radius
    x = np.linspace(0.0, 6.0, 6001)
    turn = 2.0 * np.pi * x / wave
    slope = size * 2.0 * np.pi / wave * np.cos(turn)
    along = np.sqrt(1.0 + slope**2)
    axle_x, axle_y = x - radius * slope / along, size * np.sin(turn) + radius / along - radius
    axle = lab.Road(x, size * np.sin(turn)).envelope(radius)
    inside = (axle_x > 0.5) & (axle_x < 5.5)
    assert np.abs(at(axle, axle_x[inside]) - axle_y[inside]).max() < 2e-5


@pytest.mark.parametrize("radius", RADII)
def test_an_axle_is_never_lower_than_the_road(radius):
    rng = np.random.default_rng(5)
    x = np.cumsum(rng.uniform(0.002, 0.05, 400))
    road = lab.Road(x, 0.01 * np.cumsum(rng.normal(size=400)))
    axle = road.envelope(radius)
    assert (at(axle, x) - road.height).min() > -1e-3 * radius
    assert (np.asarray(axle.height) - at(road, axle.distance)).min() > -1e-12


def test_a_slope_is_followed_with_its_lift():
    """On an even slope the axle runs parallel to it, higher by R (sqrt(1 + slope^2) - 1)."""
    radius, slope = 0.3, 0.2
    axle = lab.Road([0.0, 10.0], [0.0, 2.0]).envelope(radius)
    x = np.linspace(2.0, 8.0, 100)
    assert np.abs(at(axle, x) - slope * x - radius * (math.sqrt(1.0 + slope**2) - 1.0)).max() < 2.0 * close(radius)


def test_a_smaller_wheel_dips_deeper():
    hole = lab.roads.pothole(length=0.25, depth=0.1)
    depths = [-hole.envelope(radius).height.min() for radius in (0.16, 0.2, 0.25, 0.32)]
    assert (np.diff(depths) < -1e-3).all()
