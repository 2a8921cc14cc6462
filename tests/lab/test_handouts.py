"""The handouts: all fields on the page, nothing outside it, and numbers that the benches show too."""

from __future__ import annotations

import itertools
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from matplotlib.figure import Figure

from suspension_lab.cli.main import main
from suspension_lab.common.errors import LabError
from suspension_lab.lab import handout_pages as pages
from suspension_lab.lab.benches import bump_bench, push_bench, release_bench
from suspension_lab.lab.handout_pages import handout_form, handouts
from suspension_lab.vehicle.vehicle_file import demo_vehicles, load_station
from suspension_lab.workshop import class_runs
from suspension_lab.workshop.cautions import OPENING, RIDING, STANDING, TURNING
from suspension_lab.workshop.handouts import MISTAKES, PREDICTIONS, Page, Words, handout_pages
from suspension_lab.workshop.mistakes import NOT_KNOWN, Mistake
from suspension_lab.workshop.mystery_mistakes import DiagnosisMistake
from suspension_lab.workshop.observations import observations

MM = 72.0 / 25.4


@cache
def figures(vehicle: str = "courier_scooter_rear") -> list[Figure]:
    return pages.draw(handout_pages(load_station(vehicle)))


def texts(figure: Figure) -> str:
    return " ".join(" ".join(text.get_text() for text in figure.texts).replace("\u00a0", " ").split())


@pytest.mark.parametrize("vehicle", demo_vehicles())
def test_nothing_lies_outside_the_page_or_over_anything_else(vehicle: str) -> None:
    """8 mm off the edges, as printers need; the boxes are matplotlib's own of what it draws."""
    for figure in figures(vehicle):
        edge = 8.0 * MM * figure.dpi / 72.0
        renderer = figure.canvas.get_renderer()  # type: ignore[attr-defined]
        boxes = [(text.get_text(), text.get_window_extent(renderer)) for text in figure.texts if text.get_text()]
        for text, box in boxes:
            assert edge <= box.x0 < box.x1 <= figure.bbox.width - edge, text
            assert edge <= box.y0 < box.y1 <= figure.bbox.height - edge, text
        for (one, a), (other, b) in itertools.combinations(boxes, 2):
            assert a.x1 <= b.x0 or b.x1 <= a.x0 or a.y1 <= b.y0 or b.y1 <= a.y0, (one, other)
        for artist in figure.artists + figure.patches + figure.lines:
            extent = artist.get_window_extent(renderer)
            assert extent.x0 >= 0.0
            assert extent.x1 <= figure.bbox.width + 1e-6
            assert extent.y0 >= -1e-6


def test_texts_stay_clear_of_the_lines_of_tables_and_fields() -> None:
    """No upright line goes through a text."""
    for figure in figures()[1:]:
        renderer = figure.canvas.get_renderer()  # type: ignore[attr-defined]
        upright = [line.get_window_extent(renderer) for line in figure.artists if hasattr(line, "get_xdata")]
        upright = [line for line in upright if line.width < 3.0 < line.height]
        assert upright
        for text in figure.texts:
            box = text.get_window_extent(renderer)
            for line in upright:
                beside = line.x1 <= box.x0 or box.x1 <= line.x0 or line.y1 <= box.y0 or box.y1 <= line.y0
                assert beside, text.get_text()


def test_all_is_black_on_white_and_large_enough() -> None:
    """8.5 points at least: a printed form's column heads (our choice)."""
    for figure in figures():
        assert figure.get_facecolor() == (1.0, 1.0, 1.0, 1.0)
        assert all(text.get_color() == "black" and text.get_fontsize() >= 8.5 for text in figure.texts)


def test_predictions_have_a_box_for_each_answer_and_room_for_what_happened() -> None:
    figure = figures()[0]
    asked = [question for questions in PREDICTIONS.values() for question in questions]
    squares = [patch for patch in figure.artists if hasattr(patch, "get_width")]
    assert len(squares) == sum(len(question.options) + 1 for question in asked)
    said = texts(figure)
    assert said.count("What happened:") == len(asked)
    assert said.count(NOT_KNOWN) == len(asked) + 1  # and once where it is explained
    for question in asked:
        assert question.text in said
        assert all(option in said for option in question.options)
    assert {lesson[:2] for lesson in PREDICTIONS} == {"01", "02", "03", "04"}
    for field in ("Vehicle number", "Tests done", "Fault, and how sure", "Reason: which test shows it"):
        assert field in said


def test_workshop_sheet_has_its_fields_in_the_order_of_work() -> None:
    said = texts(figures()[1])
    steps = ["Clicks found first", "1. Tyre pressure", "2. Spring and sag", "3. Rebound", "4. Compression",
             "5. Chosen clicks", "Cautions"]  # fmt: skip
    places = [said.index(step) for step in steps]
    assert places == sorted(places)
    for field in ("Vehicle", "Who", "Date and time", "Load on this wheel [kg]", "Damper [°C]", "Free sag [mm]",
                  "Rider sag [mm]", "1st [s]", "swings", "creeps / right / swings on", "Done by"):  # fmt: skip
        assert field in said
    for name, most in load_station("courier_scooter_rear").damper.adjusters.items():
        label = {"rebound": "Rebound", "low_speed": "low speed", "high_speed": "high speed"}[name]
        assert said.count(f"{label} (0 to {most})") == 2  # found first, and chosen


@pytest.mark.parametrize("at", [1, 2])
def test_who_could_act_on_a_page_reads_the_cautions(at: int) -> None:
    said = texts(figures()[at])
    for caution in (TURNING, STANDING, RIDING, OPENING):
        assert caution in said


def test_observations_name_each_sign_once_and_the_class_sheet_has_its_columns() -> None:
    said = texts(figures()[2]).lower()
    for sign in ("swings on", "creeps", "packs down", "bottoms", "harsh on sharp edges", "long bumps",
                 "common practice, no source"):  # fmt: skip
        assert sign in said
    last = texts(figures()[3])
    for head in ("Trainee", "Checks", "Mystery", "Bias [s]", "Spread [s]", *MISTAKES):
        assert head in last


def test_mistakes_on_paper_are_those_of_questions_and_diagnoses() -> None:
    """But for two that are no mistakes to show again: a size judged wrongly, and what is not known yet."""
    kinds = {str(kind) for kind in (*Mistake, *DiagnosisMistake)}
    assert set(MISTAKES) == kinds - {"size", "not known yet"}
    assert len(MISTAKES) == len(set(MISTAKES))


def test_observations_turn_the_way_that_the_lab_mends() -> None:
    """Property: two clicks the way the table says change what was seen for the better."""
    swings, creeps = (
        [class_runs.released(class_runs.rear(rebound=clicks)) for clicks in pair] for pair in ((12, 9), (2, 4))
    )
    assert swings[1]["swings"].value < swings[0]["swings"].value  # close
    assert creeps[1]["settling_time"].value < creeps[0]["settling_time"].value  # open
    rows = {row[0]: row[2] for row in observations()}
    assert next(turn for seen, turn in rows.items() if "swings on" in seen) == "Close rebound"
    assert next(turn for seen, turn in rows.items() if "creeps" in seen) == "Open rebound"
    for shape, clicks, changed in (("pothole", "high_speed", 2), ("long_hump", "low_speed", 2)):
        now = class_runs.rear()
        closer = now.with_clicks(**{clicks: (now.clicks[clicks] or 0) - changed})
        before, after = (class_runs.ridden(each, shape)["deepest_travel"].value for each in (now, closer))
        assert after < before


@pytest.mark.parametrize(
    ("bench", "settings", "found"),
    [
        (release_bench, {"rebound": 12}, lambda: class_runs.released(class_runs.rear(rebound=12))),
        (release_bench, {"depth": 20, "rider": 90}, lambda: class_runs.released(class_runs.rear(rider=90.0), 20.0)),
        (push_bench, {"low_speed": 0, "rise": 1000}, lambda: class_runs.pushed(class_runs.rear(low_speed=0), 1000.0)),
        (bump_bench, {"high_speed": 0}, lambda: class_runs.ridden(class_runs.rear(high_speed=0), "pothole")),
        (bump_bench, {"shape": "long_hump"}, lambda: class_runs.ridden(class_runs.rear(), "long_hump")),
        (
            bump_bench,
            {"shape": "washboard", "height": 20, "speed": 15},
            lambda: class_runs.ridden(class_runs.rear(), "washboard", height=20.0, speed=15.0),
        ),
    ],
)
def test_runs_that_are_quoted_are_those_of_the_benches(bench: Any, settings: dict[str, Any], found: Any) -> None:
    shown = bench()
    shown.set(**settings)
    table = {row[0]: row[1] for row in shown.screen.table[1:]}
    for measure in found().values():
        assert table[measure.label] == measure.text


def test_pdf_has_four_pages_of_a4_and_its_letters_can_be_searched(tmp_path: Path) -> None:
    """Published: ISO 216, A4 is 210 mm x 297 mm; a PDF counts in 1/72 inch."""
    path = handouts(tmp_path / "sheets.PDF")
    pdf = path.read_bytes()
    assert pdf.startswith(b"%PDF-")
    assert pdf.rstrip().endswith(b"%%EOF")
    assert b"/Count 4 " in pdf
    boxes = re.findall(rb"/MediaBox \[ ([\d. ]+) \]", pdf)
    assert len(boxes) == 4
    for box in boxes:
        assert [float(part) for part in box.split()] == pytest.approx([0.0, 0.0, 210.0 * MM, 297.0 * MM], abs=0.5)
    assert b"/FontFile2" in pdf  # TrueType, not drawn outlines
    assert list(tmp_path.iterdir()) == [path]
    assert handouts(tmp_path / "again.pdf").read_bytes() == pdf


def test_form_writes_the_file_and_tells_what_is_wrong(tmp_path: Path) -> None:
    form = handout_form(tmp_path)
    form.button.click()
    assert (tmp_path / "handouts.pdf").is_file()
    assert str(tmp_path / "handouts.pdf") in form.words
    form.name.value = "sheets.docx"
    form.button.click()
    assert "ending in .pdf" in form.words
    assert "ending in .pdf" in form.said.value


def test_bad_places_and_vehicles_are_told(tmp_path: Path) -> None:
    with pytest.raises(LabError, match=r"ending in \.pdf"):
        handouts(tmp_path / "handouts")
    with pytest.raises(LabError, match="could not be written"):
        handouts(tmp_path / "not there" / "handouts.pdf")
    with pytest.raises(LabError, match="no demo vehicle"):
        handouts(tmp_path / "handouts.pdf", vehicle="no_such")
    assert list(tmp_path.iterdir()) == []


def test_page_that_is_too_long_is_refused() -> None:
    with pytest.raises(LabError, match="longer than a page"):
        pages.draw([Page("Long", [Words("word " * 4000)])])


def test_command_writes_the_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "handouts.pdf"
    assert main(["handouts", str(out)]) == 0
    assert out.read_bytes().startswith(b"%PDF-")
    said = capsys.readouterr().out
    assert OPENING in " ".join(said.split())
    assert f"Written: {out}" in said


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["out.txt"], 2, "ending in .pdf"),
        (["{}/none/out.pdf"], 3, "there is no folder"),
        (["{}/out.pdf", "--vehicle", "no_such"], 2, "no_such"),
    ],
)
def test_command_tells_what_is_wrong(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], code: int, said: str
) -> None:
    assert main(["handouts", *(each.format(tmp_path) for each in arguments)]) == code
    assert said in capsys.readouterr().err
