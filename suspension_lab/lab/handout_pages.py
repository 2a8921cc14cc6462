"""The handouts as pages of A4 to print: black on white, readable in grey."""

from __future__ import annotations

import html
import io
import re
from collections.abc import Sequence
from pathlib import Path

import ipywidgets as widgets
import matplotlib as mpl
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from suspension_lab.common.errors import LabError, shown
from suspension_lab.common.whole_file import whole_file
from suspension_lab.lab.click_fields import WIDE
from suspension_lab.lab.click_fields import WIDTH as FIELD_WIDTH
from suspension_lab.lab.displayed import Displayed
from suspension_lab.lab.named import Told, named
from suspension_lab.lab.setup_card import DOTS_PER_INCH, FONT, HEIGHT, LEADING, MARGIN, WIDTH, wrapped
from suspension_lab.vehicle.vehicle_file import load_station
from suspension_lab.workshop.handouts import Asked, Fields, Grid, Page, Words, handout_pages

SIZE, HEADING, TITLE, TABLE, SMALL = 10.0, 11.5, 20.0, 9.0, 8.5
"""Of the letters, in points; small ones are column heads and the foot."""
MM = 72.0 / 25.4
ROOM = WIDTH - 2.0 * MARGIN
BOX = 8.5
PAD = 3.0
FOOT = 18.0
TOGETHER = re.compile(r"(\d) (?=(?:mm|ms|m/s²|s|kg|km/h|N|°C|%)(?:\W|$))")
"""A number and its unit stay on one line."""


class _Drawn:
    """A page while it is drawn, from the top down."""

    def __init__(self, page: Page, at: int, of: int) -> None:
        self.figure = Figure(figsize=(WIDTH / 72.0, HEIGHT / 72.0), dpi=DOTS_PER_INCH, facecolor="white")
        FigureCanvasAgg(self.figure)
        self.y = MARGIN
        self.words(page.title, TITLE, bold=True)
        self.y += 4.0
        for block in page.blocks:
            self._block(block)
        if self.y > HEIGHT - MARGIN - FOOT:
            raise LabError(f"The handout {shown(page.title)} is longer than a page of A4; shorten its texts.")
        self.letters(f"Suspension lab, handout {at} of {of}. All vehicles of the lab are invented.", MARGIN,
                     HEIGHT - MARGIN, SMALL)  # fmt: skip

    def letters(self, text: str, x: float, baseline: float, size: float, *, bold: bool = False) -> None:
        """A line of text."""
        font = FontProperties(family=FONT, weight="bold" if bold else "normal", size=size)
        place = (x / WIDTH, 1.0 - baseline / HEIGHT)
        self.figure.text(*place, text, fontproperties=font, color="black", parse_math=False, va="baseline")

    def words(
        self, text: str, size: float = SIZE, *, bold: bool = False, x: float = MARGIN, width: float = ROOM
    ) -> None:
        """A paragraph below what was drawn before."""
        for line in wrapped(TOGETHER.sub(r"\1" "\u00a0", text), size, bold, width):
            self.letters(line, x, self.y + 0.95 * size, size, bold=bold)
            self.y += LEADING * size

    def line(self, x: float, y: float, to_x: float, to_y: float, width: float = 0.7) -> None:
        """A straight line."""
        ends = ([x / WIDTH, to_x / WIDTH], [1.0 - y / HEIGHT, 1.0 - to_y / HEIGHT])
        self.figure.add_artist(Line2D(*ends, transform=self.figure.transFigure, color="black", linewidth=width))

    def _block(self, block: Words | Fields | Asked | Grid) -> None:
        if isinstance(block, Words):
            self.y += 5.0 if block.heading else 0.0
            self.words(block.text, HEADING if block.heading else SIZE, bold=block.heading)
            self.y += 1.5
        elif isinstance(block, Fields):
            self._fields(block)
        elif isinstance(block, Asked):
            self._asked(block)
        else:
            self._grid(block)

    def _fields(self, block: Fields) -> None:
        """Labels small above their lines."""
        x, gap = MARGIN, 10.0
        for label, share in zip(block.labels, block.shares, strict=True):
            end = x + share * ROOM - (gap if x + share * ROOM < MARGIN + ROOM - 1.0 else 0.0)
            self.letters(label, x, self.y + SMALL, SMALL)
            self.line(x, self.y + 26.0, end, self.y + 26.0)
            x += share * ROOM
        self.y += 29.0

    def _asked(self, block: Asked) -> None:
        self.words(block.text)
        x = MARGIN + 8.0
        for option in block.options:
            width = _width(option, SIZE)
            if x + BOX + 5.0 + width > MARGIN + ROOM:
                x, self.y = MARGIN + 8.0, self.y + LEADING * SIZE + 2.0
            corner = (x / WIDTH, 1.0 - (self.y + 1.5 + BOX) / HEIGHT)
            box = Rectangle(corner, BOX / WIDTH, BOX / HEIGHT, transform=self.figure.transFigure)
            box.set(facecolor="none", edgecolor="black", linewidth=0.9)
            self.figure.add_artist(box)
            self.letters(option, x + BOX + 5.0, self.y + 0.95 * SIZE, SIZE)
            x += BOX + 5.0 + width + 14.0
        self.y += LEADING * SIZE + 9.0
        label = "What happened:"
        self.letters(label, MARGIN + 8.0, self.y + 0.95 * SIZE, SIZE)
        self.line(MARGIN + 14.0 + _width(label, SIZE), self.y + 12.0, MARGIN + ROOM, self.y + 12.0)
        self.y += LEADING * SIZE + 7.0

    def _grid(self, block: Grid) -> None:
        edges = [MARGIN]
        for share in block.shares:
            edges.append(edges[-1] + share * ROOM)
        top = self.y
        self.line(MARGIN, top, edges[-1], top, 1.0)
        self._row(block.heads, edges, SMALL, 0.0, bold=True)
        for row in block.rows:
            self._row(row, edges, SIZE if block.tall else TABLE, block.tall * MM)
        for edge in edges:
            self.line(edge, top, edge, self.y)
        self.y += 4.0

    def _row(
        self, texts: Sequence[str], edges: Sequence[float], size: float, tall: float, *, bold: bool = False
    ) -> None:
        top, bottom = self.y, self.y + tall
        for text, left, right in zip(texts, edges, edges[1:], strict=False):
            self.y = top + PAD
            self.words(text, size, bold=bold, x=left + PAD, width=right - left - 2.0 * PAD)
            bottom = max(bottom, self.y + PAD)
        self.y = bottom
        self.line(edges[0], bottom, edges[-1], bottom, 1.0 if bold else 0.7)


def draw(pages: Sequence[Page]) -> list[Figure]:
    """Each page as a figure of A4.

    Raises:
        LabError: more text than a page holds.
    """
    return [_Drawn(page, at, len(pages)).figure for at, page in enumerate(pages, start=1)]


def encoded(vehicle: str = "courier_scooter_rear") -> bytes:
    """The handouts as a PDF file's bytes; the same handouts are the same file.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """
    made = io.BytesIO()
    with mpl.rc_context({"pdf.fonttype": 42}):  # letters that can be searched and copied
        facts = {"Title": "Suspension lab: handouts", "CreationDate": None}
        with PdfPages(made, metadata=facts) as pdf:
            for figure in draw(handout_pages(load_station(vehicle))):
                pdf.savefig(figure)
    return made.getvalue()


def handouts(path: str | Path = "handouts.pdf", vehicle: str = "courier_scooter_rear") -> Path:
    """Write the handouts to print: predictions, workshop sheet, what an observation means, results of the class.

    Args:
        path: ends in .pdf; what stands there is replaced.
        vehicle: whose adjusters the workshop sheet has; a demo vehicle's name, or a path to a vehicle file.

    Returns:
        The path.

    Raises:
        LabError: another ending, no such vehicle, or a place that cannot be written.
    """
    target = Path(path)
    if target.suffix.lower() != ".pdf":
        raise LabError(f"The handouts' file is {shown(str(path))}, where a name ending in .pdf was expected.")
    content = encoded(vehicle)
    try:
        with whole_file(target) as part:
            part.write_bytes(content)
    except OSError as error:
        raise LabError(f"{path} could not be written ({error.strerror or error}); give another place.") from None
    return target


class HandoutForm(Displayed):
    """A name for the file, and a button that writes the handouts.

    Args:
        folder: where the file is put.
    """

    def __init__(self, folder: str | Path = ".") -> None:
        self._folder = Path(folder)
        self.words = ""
        self.name = widgets.Text(
            value="handouts.pdf", description="File", style=WIDE, layout=widgets.Layout(width=FIELD_WIDTH)
        )
        self.button = widgets.Button(description="Write the handouts", layout=widgets.Layout(width="240px"))
        self.button.on_click(lambda _: self.write())
        self.said = Told("<p>Four pages of A4, for any printer.</p>")
        self.widget = named(widgets.VBox([self.name, self.button, self.said]))

    def write(self) -> None:
        """Write the file, and say where it is, or why not."""
        try:
            self.words = f"Written to {handouts(self._folder / self.name.value.strip())}."
        except LabError as error:
            self.words = str(error)
        self.said.value = f"<p>{html.escape(self.words)}</p>"


def handout_form(folder: str | Path = ".") -> HandoutForm:
    """A name for the file, and a button that writes the handouts.

    Args:
        folder: where the file is put.
    """
    return HandoutForm(folder)


def _width(text: str, size: float) -> float:
    """Of a line of text [points]: the narrowest room that holds it on one line, to half a point."""
    low, high = 0.0, ROOM
    while high - low > 0.5:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if len(wrapped(text, size, False, middle)) == 1 else (middle, high)
    return high
