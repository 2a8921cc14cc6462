"""A hand's tries with the stopwatch in a small file: added to, never written over."""

from __future__ import annotations

import datetime
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

from suspension_lab.common.errors import LabError, shown
from suspension_lab.common.text_files import read_text
from suspension_lab.common.whole_file import whole_file
from suspension_lab.workshop.measured.watch import Watch, watch_of
from suspension_lab.workshop.shared_folder import alone, file_stem, now, plain_name, told

FILE = "my_watch.json"
WHAT = "a file of tries with a stopwatch"
VERSION = 1
KEPT = 3
"""So many of the last trials make the watch: a hand learns (our choice)."""


@dataclass(frozen=True, kw_only=True)
class Trial:
    """Tries that were made at one time.

    Attributes:
        when: ISO 8601.
        vehicle: whose release was played.
        pressed_s, settled_s: of each try [s].
    """

    when: str
    vehicle: str
    pressed_s: tuple[float, ...]
    settled_s: tuple[float, ...]

    @property
    def watch(self) -> Watch:
        """Of these tries alone."""
        return watch_of(self.pressed_s, self.settled_s)


def trial_of(vehicle: str, pressed: Sequence[float], settled: Sequence[float]) -> Trial:
    """A trial of now, to a tenth of a millisecond.

    Raises:
        LabError: as `watch_of`.
    """
    watch_of(pressed, settled)
    return Trial(
        when=now(), vehicle=vehicle, pressed_s=tuple(round(each, 4) for each in pressed),
        settled_s=tuple(round(each, 4) for each in settled),
    )  # fmt: skip


def watch_path(folder: str | Path, name: str = "") -> Path:
    """Where a hand's tries are kept: `my_watch.json`, or `my_watch_<name>.json`.

    Raises:
        LabError: a name without a letter or digit, or a very long one.
    """
    if not name.strip():
        return Path(folder) / FILE
    return Path(folder) / f"my_watch_{file_stem(plain_name(name))}.json"


def read_trials(path: str | Path) -> tuple[Trial, ...]:
    """All trials of a file, in the order made.

    Raises:
        LabError: no such file, or one that is not as the lab wrote it.
    """
    file = Path(path)
    text = read_text(file, WHAT)
    try:
        held = json.loads(text)
    except (ValueError, RecursionError):
        raise _damaged(file, "it is no JSON") from None
    if not isinstance(held, dict) or not isinstance(held.get("trials"), list) or not held["trials"]:
        raise _damaged(file, "it holds no list of trials")
    if held.get("version") != VERSION:
        raise LabError(
            f"{file} is of version {shown(held.get('version'))}, where {VERSION} was expected; it was written by "
            "another version of the lab, so use that one, or move the file away and make ten tries again."
        )
    return tuple(_trial(file, at, each) for at, each in enumerate(held["trials"], 1))


def read_watch(path: str | Path = FILE) -> Watch:
    """The watch of a file: of its last three trials together.

    Raises:
        LabError: as `read_trials`.
    """
    return pooled(read_trials(path))


def pooled(trials: Sequence[Trial]) -> Watch:
    """The watch of the last three trials together."""
    last = trials[-KEPT:]
    return watch_of(
        [seconds for trial in last for seconds in trial.pressed_s],
        [seconds for trial in last for seconds in trial.settled_s],
        # From day to day a hand learns: repeats are those of one trial.
        [(at, seconds) for at, trial in enumerate(last) for seconds in trial.settled_s],
    )


def keep_trial(path: str | Path, trial: Trial) -> Watch:
    """Add a trial to a file, which is made if it is new; what stands in it stays.

    Returns:
        The watch of the file now.

    Raises:
        LabError: a file that is damaged, which is left as it is, or a place that cannot be written.
    """
    file = Path(path)
    with told(file), alone(file):
        trials = (*(read_trials(file) if file.exists() else ()), trial)
        text = json.dumps({"version": VERSION, "trials": [asdict(each) for each in trials]}, indent=1)
        with whole_file(file) as part:
            part.write_text(text + "\n", encoding="utf-8")
    return pooled(trials)


def _trial(file: Path, at: int, held: Any) -> Trial:
    names = [each.name for each in fields(Trial)]
    if not isinstance(held, dict) or sorted(held) != sorted(names):
        raise _damaged(file, f"trial {at} does not have just {', '.join(names)}")
    if not isinstance(held["vehicle"], str):
        raise _damaged(file, f"the vehicle of trial {at} is {shown(held['vehicle'])}")
    try:
        datetime.datetime.fromisoformat(held["when"])
    except (TypeError, ValueError):
        raise _damaged(file, f"the time of trial {at} is {shown(held['when'])}") from None
    for name in ("pressed_s", "settled_s"):
        times = held[name]
        if not isinstance(times, list) or any(isinstance(each, bool) or not isinstance(each, int | float)
                                              for each in times):  # fmt: skip
            raise _damaged(file, f"{name} of trial {at} is no list of numbers")
    made = Trial(when=held["when"], vehicle=held["vehicle"], pressed_s=tuple(held["pressed_s"]),
                 settled_s=tuple(held["settled_s"]))  # fmt: skip
    try:
        watch_of(made.pressed_s, made.settled_s)
    except (LabError, OverflowError) as error:
        raise _damaged(file, f"trial {at} does not count ({str(error).rstrip('.')})") from None
    return made


def _damaged(file: Path, what: str) -> LabError:
    return LabError(
        f"{file}: {what}, so the file is not as the lab wrote it and stays as it is; mend it, or move it to another "
        "folder and make ten tries again."
    )
