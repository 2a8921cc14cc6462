"""A form for a return's time, by stopwatch or by a video's frames."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import ipywidgets as widgets

from suspension_lab.common.errors import LabError
from suspension_lab.lab.measured_forms import Form, caution_box, column, field, row, said, sentence, typed
from suspension_lab.lab.named import Told, named
from suspension_lab.lab.watch_choice import WatchChoice
from suspension_lab.workshop.cautions import STANDING_TEST
from suspension_lab.workshop.measured.timing import Timed, by_frames, by_stopwatch
from suspension_lab.workshop.measured.watch import Watch

NO_TIME = "Type the time of one try or, better, of three or more, with spaces between."
NO_FRAMES = "Type the rate the film was recorded with, the frame of the let-go, and the frame in which it has settled."


class TimingForm(Form):
    """A time by `stopwatch` and by `video`, each None where it is not given or refused; `words` as in `SagForm`."""

    def __init__(self, watch: Watch | None) -> None:
        super().__init__({
            "tries": field("Stopped times", "s", hint="0.52 0.48 0.55", label_width="158px"),
            "frames_per_second": field("Frames per second", "1/s", label_width="158px"),
            "first_frame": field("First frame", "let-go", label_width="158px"),
            "last_frame": field("Last frame", "settled", label_width="158px"),
        })  # fmt: skip
        self.stopwatch: Timed | None = None
        self.video: Timed | None = None
        self.words: tuple[str, ...] = ()
        self._said = Told(), Told()
        self.watch = WatchChoice(self.refresh, watch)
        tries, *frames = self.fields.values()
        heads = [widgets.HTML(f"<strong>{way}</strong>") for way in ("By stopwatch", "By video")]
        ways = [column([heads[0], self.watch.widget, tries, self._said[0]]), column([heads[1], *frames, self._said[1]])]
        for each in ways:
            each.layout = widgets.Layout(flex="1 1 360px", min_width="0", margin="0 16px 0 0")
        self.widget = named(column([row(ways), caution_box(STANDING_TEST)]))
        self.refresh()

    def refresh(self) -> None:
        """Both times, each as a sentence, one that refuses, or what to type."""
        self.stopwatch, one = self._told(0, self._by_stopwatch, NO_TIME)
        self.video, other = self._told(1, self._by_video, NO_FRAMES)
        self.words = (one, other, *STANDING_TEST)

    def _told(self, way: int, read: Callable[[], Timed | None], nothing: str) -> tuple[Timed | None, str]:
        timed, refused = None, False
        try:
            timed = read()
            told = nothing if timed is None else f"{_with_uncertainty(timed)} {timed.source}"
        except LabError as error:
            told, refused = sentence(error), True
        self._said[way].value = said([told], refused=refused)
        return timed, told

    def _by_stopwatch(self) -> Timed | None:
        parts = [part.rstrip(",") for part in re.split(r"[\s;]+", self.fields["tries"].value.strip())]
        given = [part for part in parts if part]
        if not given:
            return None
        times = [typed(f"Stopped time {i}", part, "s") for i, part in enumerate(given, 1)]
        return by_stopwatch(times, watch=self.watch.watch)

    def _by_video(self) -> Timed | None:
        names = ("frames_per_second", "first_frame", "last_frame")
        if not any(self.fields[name].value.strip() for name in names):
            return None
        rate, first, last = (self._typed(name, "1/s" if name == names[0] else "frames") for name in names)
        # What is no whole number is refused there.
        return by_frames(rate, first, last)  # type: ignore[arg-type]


def _with_uncertainty(timed: Timed) -> str:
    """Digits down to the first of the uncertainty: a film is right to a thousandth."""
    digits = max(2, -math.floor(math.log10(timed.uncertainty)))
    return f"{timed.seconds:.{digits}f} ± {timed.uncertainty:.{digits}f} s"


def timing_form(watch: Watch | None = None) -> TimingForm:
    """Type a return's time by stopwatch or by a video's frames, and read it with its uncertainty.

    Args:
        watch: of the hand that stopped, in force at first; another can be chosen in the form. None: that of the trainer
            on this page, or of `my_watch.json`, or else a hand's usual scatter.

    Raises:
        LabError: a watch that is none.
    """
    return TimingForm(watch)
