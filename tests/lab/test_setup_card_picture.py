"""The printed card: all of it on the page, nothing over anything else, and files that are whole or not there."""

from __future__ import annotations

import errno
import itertools
import re
import struct
from dataclasses import replace
from pathlib import Path

import pytest
from matplotlib.figure import Figure
from sentences import is_one_sentence

import suspension_lab as lab
from suspension_lab.lab import setup_card as page
from suspension_lab.workshop.setup_card import MeasuredAtVehicle, SetupCard, setup_card

MM = 72.0 / 25.4
LONG_NAMES = {
    "words": "Long-wheelbase cargo vehicle of the parcel co-operative, number 117, front left, with the heavy box " * 2,
    "one word": "W" * 150,
    "dollars": r"Cost $5, \frac{1}{2}$ of it_up^to $" * 5,
}
REMARKS = {
    "none": "",
    "words": "cobbles, then the ferry ramp; " * 13,
    "one word": "M" * 400,
    "dollars": "$x_1$ & 50 % " * 20,
}


def made(vehicle: str = "courier_scooter_rear", name: str | None = None, **given) -> SetupCard:
    station = lab.load_station(vehicle)
    station = station if name is None else replace(station, name=name)
    return setup_card(station, **{"date": "2026-03-09", **given})


def boxes(figure: Figure) -> list[tuple[str, float, float, float, float]]:
    """Each text with its box [pixels], as matplotlib measures what it draws."""
    renderer = figure.canvas.get_renderer()
    found = [(text.get_text(), text.get_window_extent(renderer)) for text in figure.texts]
    return [(text, box.x0, box.y0, box.x1, box.y1) for text, box in found]


def hold_clear(figure: Figure) -> None:
    """Property: all boxes lie on the page, 8 mm off its edges, as printers need, and none touches another."""
    edge = 8.0 * MM * figure.dpi / 72.0
    wide, high = figure.bbox.width, figure.bbox.height
    for text, x0, y0, x1, y1 in boxes(figure):
        assert edge <= x0 < x1 <= wide - edge, text
        assert edge <= y0 < y1 <= high - edge, text
    for (one, ax0, ay0, ax1, ay1), (other, bx0, by0, bx1, by1) in itertools.combinations(boxes(figure), 2):
        apart = ax1 <= bx0 or bx1 <= ax0 or ay1 <= by0 or by1 <= ay0
        assert apart, (one, other)


@pytest.mark.parametrize("vehicle", lab.demo_vehicles())
def test_all_lies_on_the_page_and_nothing_overlaps(vehicle: str):
    hold_clear(page.draw(made(vehicle, tyre_pressure_bar=2.2)))


@pytest.mark.parametrize("name", LONG_NAMES)
@pytest.mark.parametrize("remark", REMARKS)
def test_long_names_and_remarks_wrap(name: str, remark: str):
    measured = MeasuredAtVehicle(return_time=0.45, swings=1, free_sag=0.009, rider_sag=0.028)
    given = {"measured": measured, "tyre_pressure_bar": 2.25, "remark": REMARKS[remark][:400]}
    hold_clear(page.draw(made(name=LONG_NAMES[name][:150], **given)))


def test_every_letter_of_the_card_is_drawn():
    card = made(name=LONG_NAMES["dollars"][:150], remark=REMARKS["one word"], tyre_pressure_bar=2.2)
    drawn = "".join("".join(text.get_text() for text in page.draw(card).texts).split())
    for text in card.texts:
        assert "".join(text.split()) in drawn, text


def test_it_can_be_read_at_arms_length_black_on_white():
    """The sizes asked for: 10 points at least, the clicks 24."""
    card = made()
    figure = page.draw(card)
    assert all(text.get_fontsize() >= 10.0 and text.get_color() == "black" for text in figure.texts)
    assert figure.get_facecolor() == (1.0, 1.0, 1.0, 1.0)
    large = [text.get_text() for text in figure.texts if text.get_fontsize() >= 24.0]
    assert [setting.clicks for setting in card.settings] == [text for text in large if text.isdigit()]


def test_the_clicks_stand_in_their_frames():
    card = made()
    figure = page.draw(card)
    frames = [patch.get_window_extent() for patch in figure.patches + figure.artists if hasattr(patch, "get_width")]
    frames = [frame for frame in frames if frame.width < figure.bbox.width]
    held = {text: sum(f.x0 <= x0 and x1 <= f.x1 and f.y0 <= y0 and y1 <= f.y1 for f in frames)
            for text, x0, y0, x1, y1 in boxes(figure)}  # fmt: skip
    for setting in card.settings:
        assert held[setting.label] == held[setting.clicks] == 1
    assert held["Signature"] == 0


def test_there_is_room_for_a_name_and_a_signature():
    texts = {text: (x0, y1) for text, x0, _, _, y1 in boxes(page.draw(made(remark="M" * 400)))}
    (name_x, top), (sign_x, _) = texts["Work done by (name)"], texts["Signature"]
    assert sign_x > name_x
    pixels = page.DOTS_PER_INCH / 25.4
    above = [y0 for _, _, y0, _, _ in boxes(page.draw(made(remark="M" * 400))) if y0 > top]
    assert min(above) - top > 12.0 * pixels  # a signature needs about that many mm (our choice)


def test_pdf_and_png_are_one_page_of_a4(tmp_path: Path):
    """Published: ISO 216, A4 is 210 mm x 297 mm. A PDF counts in 1/72 inch, a PNG tells its size in bytes 16 to 24."""
    card = made()
    page.write(card, tmp_path / "card.pdf")
    page.write(card, str(tmp_path / "card.PNG"))
    pdf = (tmp_path / "card.pdf").read_bytes()
    (box,) = re.findall(rb"/MediaBox \[ ([\d. ]+) \]", pdf)
    assert [float(part) for part in box.split()] == pytest.approx([0.0, 0.0, 210.0 * MM, 297.0 * MM], abs=0.5)
    assert pdf.startswith(b"%PDF-")
    assert pdf.rstrip().endswith(b"%%EOF")
    assert b"/Count 1 " in pdf
    png = (tmp_path / "card.PNG").read_bytes()
    assert png.startswith(b"\x89PNG\r\n\x1a\n")
    size = [part / page.DOTS_PER_INCH * 25.4 for part in struct.unpack(">II", png[16:24])]
    assert size == pytest.approx([210.0, 297.0], abs=0.2)
    assert sorted(file.name for file in tmp_path.iterdir()) == ["card.PNG", "card.pdf"]


def test_the_same_card_is_the_same_file():
    assert page.encoded(made(), ".pdf") == page.encoded(made(), ".pdf")


def test_a_full_disk_leaves_the_old_card_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    out = tmp_path / "card.pdf"
    out.write_bytes(b"old")

    def full(path: Path, content: bytes) -> int:
        with path.open("wb") as file:
            file.write(content[:100])
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(lab.LabError, match=r"could not be written \(No space left on device\)") as told:
        page.write(made(), out)
    assert is_one_sentence(str(told.value))
    assert out.read_bytes() == b"old"
    assert [file.name for file in tmp_path.iterdir()] == ["card.pdf"]


def test_what_cannot_be_drawn_or_written_is_one_sentence(tmp_path: Path):
    (tmp_path / "folder.pdf").mkdir()
    wrong = (
        (made(), tmp_path / "card.jpg", "ends in '.jpg', where a name ending in .pdf or .png"),
        (made(), tmp_path / "none" / "card.pdf", "could not be written"),
        (made(), tmp_path / "folder.pdf", "could not be written"),
        (made(remark="荷物"), tmp_path / "card.pdf", "no sign for '荷' in '荷物'; write it in other letters"),
        (replace(made(), remark="word " * 2000), tmp_path / "card.pdf", "holds more text than one page"),
    )
    for card, place, says in wrong:
        with pytest.raises(lab.LabError, match=says) as told:
            page.write(card, place)
        assert is_one_sentence(str(told.value))
    assert [file.name for file in tmp_path.iterdir()] == ["folder.pdf"]
