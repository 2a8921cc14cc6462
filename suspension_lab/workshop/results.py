"""What trainees answered: a file for each of them, and a sheet for the class."""

from __future__ import annotations

import dataclasses
import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import fmean

from suspension_lab.common.errors import LabError, shown
from suspension_lab.workshop.results_file import COLUMNS, KINDS, ResultRow, Table, read_rows, write_both, write_rows
from suspension_lab.workshop.shared_folder import alone, file_stem, names_are_one, now, plain_name, told

FOLDER = "results"
_OWN: set[Path] = set()
"""Files that this Python process has written: each page has a process of its own."""
TRAINEE_HEADS = (
    "trainee", "lesson", "predictions given", "predictions right", "checks answered", "checks right at the first try",
    "mistakes", "mystery score", "stopwatch bias [s]", "stopwatch spread [s]",
)  # fmt: skip
QUESTION_HEADS = ("lesson", "question", "kind", "answered", "right at the first try", "commonest mistake")


class AnotherPagesFileError(LabError):
    """A file of this name that another page wrote; whoever it belongs to may say so, and join."""


@dataclass(frozen=True, kw_only=True)
class Reply:
    """One answer to one question.

    Attributes:
        lesson: file name of the page, without its ending.
        question: a short key.
        kind: "prediction", "check", "mystery" or "stopwatch".
        answer: the text that was chosen, or a number with its unit.
        right: whether it was.
        mistake: its kind in words; empty where there is none.
        tries: counts the answers to this question.
        score: of a mystery; of the stopwatch's questions "bias" and "spread" the seconds.

    Raises:
        LabError: a kind there is not, no lesson or question, a number of tries below 1, or a score that is none.
    """

    lesson: str
    question: str
    kind: str
    answer: str
    right: bool
    mistake: str = ""
    tries: int = 1
    score: float | None = None

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise LabError(f"The kind of a reply is {shown(self.kind)}, where one of {', '.join(KINDS)} was expected.")
        if not self.lesson.strip() or not self.question.strip():
            raise LabError("A reply has no lesson or no question; give both, so that the class's sheet can count it.")
        if self.tries < 1:
            raise LabError(f"A reply's number of tries is {self.tries}, where 1 or more was expected.")
        if self.score is not None and not math.isfinite(self.score):
            raise LabError(f"A reply's score is {self.score}, where a number was expected.")


def write_results(folder: str | Path, name: str, replies: Iterable[Reply], *, join: bool = False) -> Path:
    """Write a trainee's answers, a row for each question; what stands in the file already stays.

    The first answer to a question is kept, whatever is answered later. A file of the same name that another page wrote
    is not added to unless the trainee says that it is theirs: two trainees may have one name.

    Args:
        folder: the file is `results/<name>.csv` in it; the folder `results` is made.
        name: of the trainee.
        replies: in the order given; those written before may be among them.
        join: add to a file of this name that another page wrote.

    Returns:
        Where the file is.

    Raises:
        LabError: an empty name, a name that another trainee has, nothing to write, a file that is damaged, or a folder
            that cannot be written.
        AnotherPagesFileError: another page wrote it, and `join` is not given.
    """
    name = plain_name(name)
    new = _rows(name, replies)
    if not new:
        raise LabError("There is no answer to write yet; answer a question on this page first.")
    path = _place(folder, name)
    with told(path), alone(path):
        old = read_rows(path) if path.exists() else []
        _hold_own(path, name, old, join)
        write_rows(path, COLUMNS, [row.cells for row in _merged(old, new)])
    _OWN.add(path.resolve())
    return path


def read_class(folder: str | Path, *, refused: list[str] | None = None) -> list[ResultRow]:
    """All rows of all trainees, by name.

    Where one name stands in two files, the file's name is put behind it, so that nobody is mixed with anybody.

    Args:
        folder: `results` lies in it.
        refused: gets a sentence for each file that cannot be read, and for what is none, and the others are read; None:
            what cannot be read is an error.

    Raises:
        LabError: no such folder, no file in it, or (see `refused`) a damaged file.
    """
    place = Path(folder) / FOLDER
    inside = sorted(each for each in place.iterdir() if each.name[0] != ".") if place.is_dir() else []
    files = [each for each in inside if each.suffix.lower() == ".csv" and each.is_file()]
    others = _others([each for each in inside if each not in files])
    if not files:
        raise LabError(
            f"{place}: there are no results; let each trainee press 'Write my results', and put the files in there."
            f"{''.join(f' {sentence}' for sentence in others)}"
        )
    found: dict[Path, list[ResultRow]] = {}
    for file in files:
        try:
            found[file] = read_rows(file)
        except LabError as error:
            if refused is None:
                raise
            refused.append(str(error))
    if refused is not None:
        refused += [f"{file}: there is no answer below the heading, so nobody was read from it." for file, held in
                    found.items() if not held] + others  # fmt: skip
    names = Counter(rows[0].name.casefold() for rows in found.values() if rows)
    rows = []
    for file, held in found.items():
        twice = bool(held) and names[held[0].name.casefold()] > 1
        rows += [dataclasses.replace(row, name=f"{row.name} [{file.name}]") for row in held] if twice else held
    return sorted(rows, key=lambda row: (row.name.casefold(), row.lesson))


def _others(paths: Sequence[Path]) -> list[str]:
    """That what lies among the trainees' files and is none was not read."""
    if not paths:
        return []
    named = ", ".join(f"{path.name} (a folder)" if path.is_dir() else path.name for path in paths)
    return [f"Not read, because only CSV files that lie in {paths[0].parent} itself are: {named}."]


@dataclass(frozen=True, kw_only=True)
class ClassSheet:
    """What a class has answered, as two tables.

    Attributes:
        trainees: a row for each trainee and lesson, under `TRAINEE_HEADS`.
        questions: a row for each question, under `QUESTION_HEADS`.
        told: a sentence for each file that was left out, or whose name stands twice.
        paths: of the two CSV files, whether they are written or not.
    """

    trainees: tuple[tuple[object, ...], ...]
    questions: tuple[tuple[object, ...], ...]
    told: tuple[str, ...]
    paths: tuple[Path, Path]

    def write(self) -> None:
        """Write both tables, or neither.

        Raises:
            LabError: a place that cannot be written.
        """
        by_trainee, by_question = self.paths
        write_both(
            by_trainee, Table(TRAINEE_HEADS, self.trainees), by_question, Table(QUESTION_HEADS, self.questions)
        )  # fmt: skip


def class_sheet(folder: str | Path, path: str | Path) -> ClassSheet:
    """Gather a class, and write its sheet: a CSV by trainee and lesson, and beside it one by question.

    Args:
        folder: `results` lies in it.
        path: of the CSV by trainee; the one by question has `_questions` behind its name.

    Raises:
        LabError: no results, or a place that cannot be written.
    """
    sheet = gathered(folder, path)
    sheet.write()
    return sheet


def gathered(folder: str | Path, path: str | Path) -> ClassSheet:
    """The same, not yet written.

    Raises:
        LabError: no results, another ending, or a place among the trainees' files.
    """
    out, refused = Path(path), list[str]()
    if out.suffix.lower() != ".csv":
        raise LabError(f"{out}: the class's sheet is a CSV; give a name that ends in .csv.")
    if out.resolve().parent == (Path(folder) / FOLDER).resolve():
        raise LabError(f"{out} lies among the trainees' files; put the class's sheet in another folder.")
    rows = read_class(folder, refused=refused)
    twice = sorted({row.name for row in rows if row.name.endswith(".csv]")})
    if twice:
        refused.append(f"One name stands in more than one file; they are kept apart: {', '.join(twice)}.")
    by_question = out.with_name(f"{out.stem}_questions{out.suffix}")
    by_lesson: dict[tuple[str, str], list[ResultRow]] = {}
    asked: dict[tuple[str, str, str], list[ResultRow]] = {}
    for row in rows:
        by_lesson.setdefault((row.name, row.lesson), []).append(row)
        asked.setdefault(row.key, []).append(row)
    return ClassSheet(
        trainees=tuple(_trainee(*key, group) for key, group in by_lesson.items()),
        questions=tuple(_question(*key, asked[key]) for key in sorted(asked, key=lambda key: key[0])),
        told=tuple(refused),
        paths=(out, by_question),
    )


def _rows(name: str, replies: Iterable[Reply]) -> list[ResultRow]:
    """A row for each question, of all its replies."""
    groups: dict[tuple[str, str, str], list[Reply]] = {}
    for reply in replies:
        groups.setdefault((reply.lesson, reply.question, reply.kind), []).append(reply)
    return [
        ResultRow(
            name=name, lesson=first.lesson, question=first.question, kind=first.kind, first_answer=first.answer,
            right=first.right and first.tries == 1, mistakes=_each_once(reply.mistake for reply in group),
            tries=max(reply.tries for reply in group),
            score=next((reply.score for reply in group if reply.score is not None), None), when=now(),
        )
        for group in groups.values()
        for first in group[:1]
    ]  # fmt: skip


def _each_once(mistakes: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(each.strip() for each in mistakes if each.strip()))


def _merged(old: Sequence[ResultRow], new: Sequence[ResultRow]) -> list[ResultRow]:
    """What was first stays; mistakes and tries grow."""
    rows = {row.key: row for row in old}
    for row in new:
        held = rows.get(row.key)
        rows[row.key] = row if held is None else dataclasses.replace(
            held, mistakes=_each_once((*held.mistakes, *row.mistakes)), tries=max(held.tries, row.tries),
            score=row.score if held.score is None else held.score,
        )  # fmt: skip
    return list(rows.values())


def _place(folder: str | Path, name: str) -> Path:
    """The file of a name; one that differs in capital letters only is the same, as some systems have it."""
    place = Path(folder).expanduser() / FOLDER
    if not place.parent.is_dir():
        raise LabError(f"{place.parent}: there is no such folder; make it first, or give another one.")
    with told(place):
        place.mkdir(exist_ok=True)
        wanted = f"{file_stem(name)}.csv"
        return next((file for file in place.iterdir() if names_are_one(file.name, wanted)), place / wanted)


def _hold_own(path: Path, name: str, old: Sequence[ResultRow], join: bool) -> None:
    """Hold that a file belongs to who writes.

    Raises:
        LabError: another name.
        AnotherPagesFileError: another page that was not joined.
    """
    if not old:
        return
    if not names_are_one(old[0].name, name):
        raise LabError(
            f"{path} belongs to {shown(old[0].name)}, whose name differs from {shown(name)} in its marks only; put a "
            "number behind your name."
        )
    if not join and path.resolve() not in _OWN:
        raise AnotherPagesFileError(
            f"There are results of {shown(old[0].name)} already, of {len(old)} questions, last on {old[-1].when}: if "
            f"they are yours, say so; if not, put a number behind your name, such as {name} 2."
        )


def _trainee(name: str, lesson: str, rows: Sequence[ResultRow]) -> tuple[object, ...]:
    predictions, checks, mysteries = (
        [row for row in rows if row.kind == kind] for kind in ("prediction", "check", "mystery")
    )
    mistakes = Counter(mistake for row in rows for mistake in row.mistakes)
    timed = {word: [row.score for row in rows if row.kind == "stopwatch" and word in row.question.casefold()
                    and row.score is not None] for word in ("bias", "spread")}  # fmt: skip
    scores = [row.score for row in mysteries if row.score is not None]
    return (
        name, lesson, len(predictions), sum(row.right for row in predictions), len(checks),
        sum(row.right for row in checks), "; ".join(f"{kind} {count}" for kind, count in mistakes.most_common()),
        _mean(scores), _mean(timed["bias"]), _mean(timed["spread"]),
    )  # fmt: skip


def _mean(values: Sequence[float]) -> object:
    return round(fmean(values), 3) if values else ""


def _question(lesson: str, question: str, kind: str, rows: Sequence[ResultRow]) -> tuple[object, ...]:
    mistakes = Counter(mistake for row in rows for mistake in row.mistakes)
    commonest = f"{mistakes.most_common(1)[0][0]} ({mistakes.most_common(1)[0][1]})" if mistakes else ""
    return lesson, question, kind, len(rows), sum(row.right for row in rows), commonest
