"""Cobbles, patches, joints, humps and bumps in a row: how many, how high, how long."""

import numpy as np
import pytest

import suspension_lab as lab

roads = lab.roads


def at(road, x):
    return np.interp(x, road.distance, road.height)


def below(road, level):
    """Stretches of the road that lie lower than a level, as pairs of distances."""
    low = np.asarray(road.height) < level
    edges = np.flatnonzero(np.diff(low.astype(int)))
    assert edges.size % 2 == 0
    return np.asarray(road.distance)[edges.reshape(-1, 2) + np.array([1, 0])]


@pytest.mark.parametrize(
    "road",
    [
        roads.cobbles(),
        roads.patched_asphalt(),
        roads.expansion_joints(),
        roads.round_top_hump(),
        roads.in_a_row(roads.kerb(length=0.5), 3, every=2.0),
    ],
    ids=lambda road: road.name,
)
def test_between_level_stretches_and_without_a_jump(road):
    distance, height = np.asarray(road.distance), np.asarray(road.height)
    assert distance[0] == 0.0
    assert at(road, [0.0, 1.0, 2.0, road.length - 10.0, road.length]) == pytest.approx(0.0, abs=1e-12)
    # An edge leans over 5 mm at least, and no two neighbours differ by more than the whole range.
    assert road.shortest_feature > 0.004999
    assert np.abs(np.diff(height) / np.diff(distance)).max() <= np.ptp(height) / 0.004999


def test_cobbles():
    road = roads.cobbles(length=6.0, stone=0.10, joint=0.02, depth=0.014, crown=0.005, unevenness=0.003, seed=3)
    joints = below(road, -0.0139)
    assert len(joints) == 50  # 49 stones of 0.10 m and 50 joints of 0.02 m are 5.90 m
    assert np.diff(joints[:, 0]) == pytest.approx(0.12)
    assert joints[:, 1] - joints[:, 0] == pytest.approx(0.01)  # less two edges of 5 mm
    assert road.length == pytest.approx(2.0 + 5.90 + 10.0)
    tops = at(road, 2.0 + 0.07 + 0.12 * np.arange(49))
    assert np.abs(tops).max() <= 0.003
    assert tops.std() == pytest.approx(0.003 / np.sqrt(3.0), rel=0.3)  # evenly drawn
    shoulders = at(road, 2.0 + 0.12 + 0.12 * np.arange(49))
    assert tops - shoulders == pytest.approx(0.005)
    assert min(road.height) == -0.014


def test_patches():
    road = roads.patched_asphalt(length=80.0, patches=16, patch=3.0, height=0.006, seed=1)
    height, distance = np.asarray(road.height), np.asarray(road.distance)
    assert road.length == pytest.approx(92.0)
    starts = np.flatnonzero((height[:-1] == 0.0) & (height[1:] != 0.0))
    assert starts.size == 16
    patch_heights, lengths = height[starts + 1], distance[starts + 3] - distance[starts]
    assert np.all((np.abs(patch_heights) >= 0.003) & (np.abs(patch_heights) <= 0.006))
    assert np.all((lengths >= 1.5) & (lengths <= 3.0))
    assert (patch_heights > 0.0).any()
    assert (patch_heights < 0.0).any()
    shares = (distance[starts] - 2.0) // 5.0
    assert np.array_equal(shares, np.arange(16))


@pytest.mark.parametrize("make", [roads.cobbles, roads.patched_asphalt])
def test_the_same_seed_is_the_same_road(make):
    one, same, other = make(seed=4), make(seed=4), make(seed=5)
    assert np.array_equal(one.height, same.height)
    assert np.array_equal(one.distance, same.distance)
    assert not np.array_equal(one.height, other.height)


@pytest.mark.parametrize("step", [0.0, 0.008, -0.004])
def test_joints(step):
    road = roads.expansion_joints(spacing=4.0, gap=0.03, depth=0.015, step=step, joints=5, run_in=3.0)
    assert road.length == pytest.approx(3.0 + 20.0 + 10.0)
    gaps = below(road, -0.0149)
    assert gaps[:, 0] == pytest.approx(3.005 + 4.0 * np.arange(5))
    assert gaps[:, 1] - gaps[:, 0] == pytest.approx(0.02)
    for joint in 3.0 + 4.0 * np.arange(5):
        assert at(road, joint) == pytest.approx(0.0, abs=1e-9)
        assert at(road, joint + 0.03) == pytest.approx(step)
        assert at(road, joint + 0.03 + 1.985) == pytest.approx(0.5 * step)
    assert road.height[-1] == 0.0


def test_round_top_hump():
    """A circle through both feet and the top: radius (c^2 / 4 + h^2) / (2 h) = 17.1625 m for 3.7 m and 100 mm."""
    road = roads.round_top_hump()
    inside = (np.asarray(road.distance) >= 2.0) & (np.asarray(road.distance) <= 5.7)
    x, y = np.asarray(road.distance)[inside] - 3.85, np.asarray(road.height)[inside]
    assert (x[0], x[-1]) == (pytest.approx(-1.85), pytest.approx(1.85))
    assert y.max() == pytest.approx(0.1)
    assert np.hypot(x, y - 0.1 + 17.1625) == pytest.approx(17.1625, abs=1e-9)
    # Steepest at its feet: about 4 h / c.
    assert (y[1] - y[0]) / (x[1] - x[0]) == pytest.approx(0.4 / 3.7, rel=0.02)
    assert max(roads.round_top_hump(height=0.075).height) == pytest.approx(0.075)


def test_bumps_in_a_row():
    one = roads.round_top_hump(run_in=3.0, run_out=8.0)
    row = roads.in_a_row(one, 4, every=6.0)
    assert row.length == pytest.approx(one.length + 18.0)
    x = np.linspace(3.0, 9.0, 400)
    for i in range(4):
        alone = np.where(x <= 6.7, at(one, x), 0.0)
        assert at(row, x + 6.0 * i) == pytest.approx(alone, abs=1e-9)
    touching = roads.in_a_row(one, 4)
    assert touching.length == pytest.approx(one.length + 3 * 3.7)
    assert at(touching, 3.0 + 3.7 * np.arange(5)) == pytest.approx(0.0, abs=1e-12)
    assert at(touching, 3.0 + 3.7 * (np.arange(4) + 0.5)) == pytest.approx(0.1)
    once = roads.in_a_row(one, 1)
    assert np.array_equal(once.height, one.height)
    assert np.array_equal(once.distance, one.distance)


def test_waves_in_a_row_are_a_washboard():
    wave = roads.long_hump(length=0.6, height=0.02, run_in=2.0, run_out=10.0)
    row, board = roads.in_a_row(wave, 12), roads.washboard(wavelength=0.6, height=0.02, bumps=12)
    assert row.length == pytest.approx(board.length)
    x = np.linspace(0.0, row.length, 2000)
    assert at(row, x) == pytest.approx(at(board, x), abs=3e-5)  # of fewer straight pieces


WRONG = [
    (lambda: roads.cobbles(joint=0.01), "joint width is 0.01 m, where more than 0.01"),
    (lambda: roads.cobbles(depth=0.005), "joint depth is 0.005 m"),
    (lambda: roads.cobbles(stone=-1.0), "stone length is -1"),
    (lambda: roads.cobbles(length=0.1), "length of the cobbles is 0.1 m"),
    (lambda: roads.cobbles(length=1e9), "length of the cobbles is 1e\\+09 m"),
    (lambda: roads.cobbles(unevenness=float("nan")), "unevenness is nan"),
    (lambda: roads.cobbles(seed="x"), "seed of a random road is 'x'"),
    (lambda: roads.patched_asphalt(patches=40), "40 patches of up to 2 m do not fit into 60 m"),
    (lambda: roads.patched_asphalt(patches=2.5), "number of patches is 2.5, where a whole number"),
    (lambda: roads.patched_asphalt(height=0.0), "patch height is 0 m"),
    (lambda: roads.patched_asphalt(run_in=-1.0), "run-in is -1 m"),
    (lambda: roads.expansion_joints(gap=0.01), "joint gap is 0.01 m"),
    (lambda: roads.expansion_joints(spacing=0.02), "joint spacing is 0.02 m"),
    (lambda: roads.expansion_joints(step=-0.03), "make the joint deeper"),
    (lambda: roads.expansion_joints(joints=0), "number of joints is 0"),
    (lambda: roads.round_top_hump(height=3.0), "at most half the length"),
    (lambda: roads.round_top_hump(length=float("nan")), "hump length is nan"),
    (lambda: roads.washboard(bumps=float("nan")), "number of washboard bumps is nan"),
    (lambda: roads.in_a_row(roads.kerb(), 3), "'kerb' ends at another height"),
    (lambda: roads.in_a_row(lab.Road([0, 1], [0, 0]), 3), "is level all along"),
    (lambda: roads.in_a_row(roads.pothole(), 3, every=0.3), "at least the bump's own length of 0.4 m"),
    (lambda: roads.in_a_row(roads.pothole(), 0), "number of bumps in a row is 0"),
    (lambda: roads.in_a_row("pothole", 2), "need a Road, but got str"),
]


@pytest.mark.parametrize(("make", "said"), WRONG)
def test_what_cannot_be_is_told(make, said):
    with pytest.raises(lab.LabError, match=said):
        make()
