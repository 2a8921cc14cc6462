"""Lesson 05: right and typical wrong answers; the truths once more from the damper's force line."""

from __future__ import annotations

import re
from pathlib import Path

import nbformat
import numpy as np
import pytest

import suspension_lab as lab
from suspension_lab.lab import warm_up_bench
from suspension_lab.lab.lessons import inside_the_damper as lesson
from suspension_lab.lab.predict_first import PredictFirst


@pytest.fixture(scope="module")
def first() -> PredictFirst:
    made = lesson.predict_and_try()
    made.predict(closed_rebound=lesson.BOTH, warm_oil=lesson.MORE_CLOSED, lost_gas=lesson.NO_MORE)
    made.bench.set(rebound=8)
    return made


def test_predictions_come_back_compared(first: PredictFirst) -> None:
    said = first.compare()
    assert "another adjuster's work" in said["closed_rebound"]
    assert "what causes what" in said["warm_oil"]
    assert said["lost_gas"].startswith("as you predicted")


@pytest.mark.parametrize(
    ("key", "answer", "opening"),
    [
        ("which_adjuster", lesson.HIGH, "Right"),
        ("which_adjuster", lesson.LOW, "another adjuster's work"),
        ("which_adjuster", lesson.REBOUND, "another adjuster's work"),
        ("thin_oil", lesson.THIN_OIL, "Right"),
        ("thin_oil", lesson.WORN, "other part of the line"),
        ("thin_oil", lesson.LEAK, "what causes what"),
    ],
)
def test_answers(first: PredictFirst, key: str, answer: str, opening: str) -> None:
    assert opening in lesson.check(first.bench).answer(key, answer)


def test_thin_oil_is_told_of_both_sides(first: PredictFirst) -> None:
    station = lab.load_station("courier_scooter_rear")
    cold, warm = (station.with_oil_temperature(273.15 + celsius).damper for celsius in (20.0, 80.0))
    said = lesson.check(first.bench).answer("thin_oil", lesson.THIN_OIL)
    for side, name in ((-1.0, "rebound"), (1.0, "compression")):
        slow, fast = (100.0 * (1.0 - float(warm.force(side * v)) / float(cold.force(side * v))) for v in (0.1, 1.0))
        assert slow > 2.0 * fast
        assert (
            f"the {name} force {'falls ' if side < 0.0 else ''}by {slow:.0f} % at 0.1 m/s and by {fast:.0f} %" in said
        )


def test_thin_oil_that_showed_on_one_side_only_would_not_be_both(monkeypatch: pytest.MonkeyPatch) -> None:
    class Thinned:
        def __init__(self, left: float) -> None:
            self.left = left

        def force(self, speed: np.ndarray) -> np.ndarray:
            return np.where((speed < 0.0) & (speed > -0.5), self.left, 1.0) * speed

    monkeypatch.setattr(lesson, "at_oil", lambda station, celsius: Thinned(1.0 if celsius == lesson.COLD else 0.6))
    assert lesson._where_thin_oil_shows().truth().right != lesson.THIN_OIL


def test_without_gas_the_force_stays_while_the_sound_one_rises() -> None:
    sound = lab.load_station("courier_scooter_front")
    worn = lab.with_fault(sound, "lost_gas")
    speeds = np.array([0.5, 1.0])
    assert np.ptp(worn.damper.force(speeds)) < 1e-6 < np.ptp(sound.damper.force(speeds))


@pytest.mark.parametrize("rebound", [6, 12])
def test_the_drift_is_that_of_the_clicks_on_the_bench(first: PredictFirst, rebound: int) -> None:
    first.bench.set(vehicle="courier_scooter_rear", rebound=rebound)
    station = lab.load_station("courier_scooter_rear").with_clicks(rebound=rebound)
    warm = abs(float(station.with_oil_temperature(353.15).damper.force(-0.1)))
    cold = [
        abs(float(station.with_oil_temperature(293.15).with_clicks(rebound=click).damper.force(-0.1)))
        for click in range(25)
    ]
    # Between whole clicks the force changes by an even ratio, so its logarithm is a line.
    right = float(np.interp(-np.log(warm), -np.log(cold), np.arange(25))) - rebound
    checks = lesson.check(first.bench)
    assert checks.answer("drift", f"{right:.1f}").startswith("Right")
    assert "mind the sign" in checks.answer("drift", f"{-right:.1f}")
    assert "too large" in checks.answer("drift", f"{right + 3.0:.1f}")


def test_the_page_doubles_the_bumps_from_where_the_bench_can_follow() -> None:
    page = nbformat.read(Path(__file__).parents[2] / "notebooks" / "05_inside_the_damper.ipynb", as_version=4)
    step = next(line for cell in page.cells for line in cell.source.splitlines() if "Does the heat double?" in line)
    lower, higher = map(int, re.findall(r"(\d+) mm", step))
    assert higher == 2 * lower
    bench, heats = warm_up_bench("courier_scooter_rear"), []
    for height in (lower, higher):
        bench.set(height=height)
        assert not bench.screen.refused
        heats.append(bench.result.run.power[-1])
    assert heats == pytest.approx(lesson.heat_over(lower, higher))
    assert heats[1] / heats[0] == pytest.approx(4.0, abs=0.5)
