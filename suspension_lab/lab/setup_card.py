"""The setup card as a printed page: A4 upright, black on white, as PDF or PNG."""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

import matplotlib as mpl
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from suspension_lab.common.errors import LabError, shown
from suspension_lab.common.whole_file import whole_file
from suspension_lab.workshop.setup_card import Section, SetupCard

WIDTH, HEIGHT = 210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0
"""A4 (ISO 216) in points of 1/72 inch, as is all on the page."""
MARGIN = 31.0
FONT = "DejaVu Sans"
"""Comes with matplotlib, so that the page is the same everywhere."""
SIZES = (12.0, 11.5, 11.0, 10.5, 10.0)
"""Of the running text: the first that fits; smaller is not read at arm's length."""
TITLES = (24.0, 18.0, 14.0)
CLICKS_SIZE, LABEL_SIZE = 44.0, 10.5
LEADING = 1.3
FOOT = 62.0
"""Kept for name and signature."""
DOTS_PER_INCH = 150
SUFFIXES = (".pdf", ".png")


@dataclass(frozen=True)
class _Line:
    x: float
    y: float
    """Of the baseline, down from the upper edge."""
    text: str
    size: float
    bold: bool
    align: str


@dataclass
class _Sheet:
    """Lines of text and frames, laid from the top down."""

    size: float
    y: float = MARGIN
    lines: list[_Line] = field(default_factory=list)
    frames: list[tuple[float, float, float, float]] = field(default_factory=list)
    """x, upper y, width, height."""

    def put(
        self, text: str, *, x: float = MARGIN, width: float = WIDTH - 2.0 * MARGIN, size: float | None = None,
        bold: bool = False, centred: bool = False,
    ) -> None:  # fmt: skip
        """A paragraph, wrapped to its width, below what was put before."""
        size = self.size if size is None else size
        for line in wrapped(text, size, bold, width):
            at = x + 0.5 * width if centred else x
            self.lines.append(_Line(at, self.y + 0.95 * size, line, size, bold, "center" if centred else "left"))
            self.y += LEADING * size

    def beside(self, left: str, right: str, indent: float, *, bold: bool = False) -> None:
        """Two paragraphs side by side, the right one `indent` from the margin."""
        top = self.y
        self.put(left, width=indent - 6.0)
        end, self.y = self.y, top
        self.put(right, x=MARGIN + indent, width=WIDTH - 2.0 * MARGIN - indent, bold=bold)
        self.y = max(end, self.y)


def draw(card: SetupCard) -> Figure:
    """A card on one page of A4.

    Raises:
        LabError: a sign that the page's letters have not, or more text than a page holds.
    """
    _hold_printable(card)
    sheet = _fitting(card)
    figure = Figure(figsize=(WIDTH / 72.0, HEIGHT / 72.0), dpi=DOTS_PER_INCH, facecolor="white")
    FigureCanvasAgg(figure)
    _sign_here(figure)
    for x, y, width, height in sheet.frames:
        corner = (x / WIDTH, 1.0 - (y + height) / HEIGHT)
        frame = Rectangle(corner, width / WIDTH, height / HEIGHT, transform=figure.transFigure)
        frame.set(facecolor="none", edgecolor="black", linewidth=1.5)
        figure.add_artist(frame)
    for line in sheet.lines:
        _letter(figure, line)
    return figure


def encoded(card: SetupCard, suffix: str) -> bytes:
    """A card as a file's bytes.

    Args:
        card: what it says.
        suffix: '.pdf' or '.png'.

    Raises:
        LabError: another suffix, or as `draw`.
    """
    held_suffix(suffix)
    made = io.BytesIO()
    # TrueType letters can be searched and copied; without a time of making, the same card is the same file.
    with mpl.rc_context({"pdf.fonttype": 42}):
        if suffix.lower() == ".pdf":
            facts = {"Title": f"Setup card: {card.title}", "CreationDate": None}
            draw(card).savefig(made, format="pdf", metadata=facts)
        else:
            draw(card).savefig(made, format="png", dpi=DOTS_PER_INCH, metadata={"Software": None})
    return made.getvalue()


def write(card: SetupCard, path: str | Path) -> None:
    """Write a card, whole or not at all; what stood there is replaced.

    Args:
        card: what it says.
        path: ends in .pdf or .png.

    Raises:
        LabError: another ending, a place that cannot be written, or as `draw`.
    """
    target = Path(path)
    content = encoded(card, target.suffix)
    try:
        with whole_file(target) as part:
            part.write_bytes(content)
    except OSError as error:
        raise LabError(f"{path} could not be written ({error.strerror or error}); give another place.") from None


def held_suffix(suffix: str) -> None:
    """Hold that a file's ending is one a card can have.

    Raises:
        LabError: it is another.
    """
    if suffix.lower() not in SUFFIXES:
        raise LabError(f"The card's file ends in {shown(suffix)}, where a name ending in .pdf or .png was expected.")


def wrapped(text: str, size: float, bold: bool, width: float) -> list[str]:
    """A text in lines that are at most `width` points wide; a word that is longer is broken."""
    lines, line = [], ""
    for word in text.split(" "):  # not at a no-break space
        rest = word
        if line and _wide(f"{line} {rest}", size, bold) <= width:
            line = f"{line} {rest}"
            continue
        if line:
            lines.append(line)
        while _wide(rest, size, bold) > width and len(rest) > 1:
            fits = next(n for n in range(len(rest) - 1, 0, -1) if n == 1 or _wide(rest[:n], size, bold) <= width)
            lines.append(rest[:fits])
            rest = rest[fits:]
        line = rest
    return [*lines, line] if line else lines


def _font(bold: bool, size: float = 10.0) -> FontProperties:
    return FontProperties(family=FONT, weight="bold" if bold else "normal", size=size)


def _wide(text: str, size: float, bold: bool) -> float:
    """Width [points]; a pixel picture's letters may be wider by rounding, hence 2 % more."""
    return 1.02 * size * sum(_advance(sign, bold) for sign in text)


@lru_cache(maxsize=4096)
def _advance(sign: str, bold: bool) -> float:
    """How far a sign moves the next one, as a share of the letters' size."""
    font = get_font(findfont(_font(bold)))
    font.set_size(100.0, 72.0)
    return float(font.load_char(ord(sign)).linearHoriAdvance) / 65536.0 / 100.0


def _hold_printable(card: SetupCard) -> None:
    known = get_font(findfont(_font(False))).get_charmap()
    for text in card.texts:
        for sign in text:
            if ord(sign) not in known and not sign.isspace():
                raise LabError(
                    f"The card's letters have no sign for {sign!r} in {shown(text)}; write it in other letters."
                )


def _fitting(card: SetupCard) -> _Sheet:
    """The card at the largest size that fits.

    Raises:
        LabError: none does.
    """
    for size in SIZES:
        sheet = _laid_out(card, size)
        if sheet.y <= HEIGHT - MARGIN - FOOT:
            return sheet
    raise LabError(f"The card of {shown(card.title)} holds more text than one page; shorten the name or the remark.")


def _laid_out(card: SetupCard, size: float) -> _Sheet:
    sheet = _Sheet(size)
    sheet.beside("Setup card", card.date, 96.0)
    room = WIDTH - 2.0 * MARGIN
    title = next((big for big in TITLES if len(wrapped(card.title, big, True, room)) <= 2), size)
    sheet.put(card.title, size=title, bold=True)
    sheet.y += 0.4 * size
    _settings(sheet, card)
    sheet.put(card.how_to_count)
    sheet.y += 0.4 * size
    for label, value in card.facts:
        sheet.beside(label, value, 190.0, bold=True)
    for section in card.sections:
        _section(sheet, section)
    sheet.y += 0.5 * size
    if card.remark:
        sheet.put(f"Remark: {card.remark}")
        sheet.y += 0.3 * size
    sheet.put(card.origin)
    return sheet


def _settings(sheet: _Sheet, card: SetupCard) -> None:
    """The clicks in large, side by side, each in its frame."""
    if not card.settings:
        return
    gap, count = 8.0, len(card.settings)
    width = (WIDTH - 2.0 * MARGIN - gap * (count - 1)) / count
    top = sheet.y
    places = [(MARGIN + at * (width + gap) + 5.0, setting) for at, setting in enumerate(card.settings)]
    labels = max(len(wrapped(setting.label, LABEL_SIZE, True, width - 10.0)) for _, setting in places)
    for x, setting in places:
        inner = {"x": x, "width": width - 10.0, "centred": True}
        sheet.y = top + 4.0
        sheet.put(setting.label, size=LABEL_SIZE, bold=True, **inner)  # type: ignore[arg-type]
        sheet.y = top + 4.0 + labels * LEADING * LABEL_SIZE
        sheet.put(setting.clicks, size=CLICKS_SIZE, bold=True, **inner)  # type: ignore[arg-type]
        for line in setting.reach:
            sheet.put(line, size=10.0, **inner)  # type: ignore[arg-type]
    bottom = sheet.y + 4.0
    sheet.frames += [(MARGIN + at * (width + gap), top, width, bottom - top) for at in range(count)]
    sheet.y = bottom + 0.5 * sheet.size


def _section(sheet: _Sheet, section: Section) -> None:
    sheet.y += 0.5 * sheet.size
    sheet.put(section.title, bold=True, size=sheet.size + 1.0)
    for at, line in enumerate(section.lines, start=1):
        sheet.beside(f"{at}." if section.numbered else "•", line, 20.0)


def _sign_here(figure: Figure) -> None:
    """Room for the name and the signature of whoever did the work."""
    half = 0.5 * (WIDTH - 2.0 * MARGIN - 16.0)
    for at, words in enumerate(("Work done by (name)", "Signature")):
        x, y = MARGIN + at * (half + 16.0), HEIGHT - MARGIN - 16.0
        ends = ([x / WIDTH, (x + half) / WIDTH], [1.0 - y / HEIGHT] * 2)
        figure.add_artist(Line2D(*ends, transform=figure.transFigure, color="black", linewidth=1.0))
        _letter(figure, _Line(x, y + 13.0, words, 10.0, False, "left"))


def _letter(figure: Figure, line: _Line) -> None:
    style: dict[str, Any] = {"fontproperties": _font(line.bold, line.size), "color": "black", "parse_math": False}
    figure.text(line.x / WIDTH, 1.0 - line.y / HEIGHT, line.text, ha=line.align, va="baseline", **style)
