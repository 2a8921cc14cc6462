"""Questions of the lesson on your own vehicle; the truth is worked out when the answer is asked for."""

from __future__ import annotations

from functools import lru_cache

import ipywidgets as widgets

from suspension_lab.common.shipped import shipped_folder
from suspension_lab.lab.questions import Question, Truth
from suspension_lab.measures.free_motion import settling_time, swings
from suspension_lab.simulation.simulate import simulate
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.fit_release import ReleaseFit, fit_release
from suspension_lab.workshop.measured.recording import read_recording
from suspension_lab.workshop.measured.timing import by_frames, by_stopwatch
from suspension_lab.workshop.next_click import next_click
from suspension_lab.workshop.release_test import usual_release

VEHICLE = "courier_scooter_rear"
CLOSED_SIDE, OPEN_SIDE = 4, 12
CLOSE, OPEN, LEAVE = "close it", "open it", "leave it: the time is right"
WIDER, NARROWER, SAME = "it grows", "it shrinks", "it stays about the same"
VIDEO, WATCH, ALIKE = "the video", "the stopwatch", "both are as good"


def vehicle_questions() -> widgets.Widget:
    """What lesson 06 asks."""
    return widgets.VBox([each.widget for each in (side_question(), timing_question(), free_question())])


def side_question() -> Question:
    """Which way to turn a rebound that takes the target time and swings twice."""

    def truth() -> Truth:
        station = load_station(VEHICLE).with_clicks(rebound=OPEN_SIDE)
        trace = simulate(station, usual_release(station))
        seconds, count = settling_time(trace), swings(trace)
        answer = next_click([(OPEN_SIDE, seconds, count)], None, station=station)
        way = LEAVE if answer.done else CLOSE if (answer.click or 0) < OPEN_SIDE else OPEN
        return Truth(
            way,
            f"rebound {OPEN_SIDE} takes {seconds:.2f} s but swings {count} times: the open one of two settings that "
            f"take this time. The next click to try is {answer.click}.",
        )

    return Question(
        "The rear scooter is let go at rebound 12: it has settled after about half a second, as wished, and has swung "
        "visibly twice. What do you do with rebound?", (CLOSE, OPEN, LEAVE), truth,
    )  # fmt: skip


def timing_question() -> Question:
    """Whether three tries of a stopwatch or one video of 60 frames a second tells a time better."""

    def truth() -> Truth:
        watch, video = by_stopwatch([0.45, 0.52, 0.48]), by_frames(60.0, 100, 129)
        if abs(watch.uncertainty - video.uncertainty) < 0.1 * watch.uncertainty:
            right = ALIKE
        else:
            right = VIDEO if video.uncertainty < watch.uncertainty else WATCH
        return Truth(
            right,
            f"the stopwatch gives {watch.seconds:.2f} ± {watch.uncertainty:.2f} s, the video {video.seconds:.2f} ± "
            f"{video.uncertainty:.3f} s (one standard deviation).",
        )

    return Question(
        "Three tries by stopwatch, 0.45, 0.52 and 0.48 s; or one video of 60 frames a second, from frame 100 to 129. "
        "Which of the two times is surer?", (VIDEO, WATCH, ALIKE), truth,
    )  # fmt: skip


def free_question() -> Question:
    """What freeing spring rate and mass as well does to the uncertainty of rebound damping."""

    def truth() -> Truth:
        few, many = (_fit(free)["rebound_damping"] for free in (("rebound_damping", "friction"), _MANY))
        right = WIDER if many.uncertainty > 1.5 * few.uncertainty else SAME
        return Truth(
            NARROWER if many.uncertainty < 0.67 * few.uncertainty else right,
            f"with two values free it is ± {2.0 * few.uncertainty:.2f}, with four ± {2.0 * many.uncertainty:.2f} "
            "(about 95 % sure). A heavier body on a harder spring with more damping moves nearly alike.",
        )

    return Question(
        "In the fit of the video, spring rate and sprung mass are freed as well as rebound damping and friction. What "
        "happens to the uncertainty of rebound damping?", (WIDER, NARROWER, SAME), truth,
    )  # fmt: skip


_MANY = ("rebound_damping", "friction", "spring_rate", "sprung_mass")


@lru_cache(maxsize=2)
def _fit(free: tuple[str, ...]) -> ReleaseFit:
    record = read_recording(shipped_folder("data/recordings") / "rear_release_position.csv")
    return fit_release(record.time, record.values, load_station(VEHICLE), free)
