"""A form for the sags that were measured at the vehicle; and the fields and sentences every form here has."""

from __future__ import annotations

import html
import math
import re
from collections.abc import Callable, Iterable, Sequence

import ipywidgets as widgets

from suspension_lab.common.checks import number
from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.lab.controls import ChoiceControl
from suspension_lab.lab.displayed import Displayed
from suspension_lab.lab.named import Told, named
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.vehicle_file import demo_vehicles, load_station
from suspension_lab.workshop.cautions import STANDING_TEST
from suspension_lab.workshop.measured.sag import WISHED_SHARE, SagReading, read_sag

WORDS = "color:#111;line-height:1.45;max-width:860px;margin:4px 0 10px 0;padding:2px 12px;border-left:4px "
PLAIN, REFUSED = "solid #0072b2", "double #000;font-weight:600"
BOX = "color:#111;line-height:1.45;max-width:860px;border:1px solid #555;border-left:8px solid #000;padding:4px 12px"
A_NUMBER = re.compile(r"[-+]?(\d+[.,]?\d*|[.,]\d+)", re.ASCII)
WISH = "Wished rider sag"
MASS = "Rider's mass on this wheel"
HEAVIEST = 2000.0
"""No rider and load on a wheel is heavier [kg] (our choice)."""
NO_SAG = "Type the free sag, the rider sag or both; each is measured at the wheel, down from full extension."


def field(
    label: str, unit: str = "", value: str = "", *, width: int = 312, label_width: str = "initial", hint: str = ""
) -> widgets.Text:
    """A line to type in, its name and unit before it, read once it is left or Enter is pressed."""
    layout = widgets.Layout(width=f"{width}px", max_width="calc(100% - 12px)", margin="2px 12px 2px 0")
    return widgets.Text(
        value=value, description=f"{label} ({unit})" if unit else label, placeholder=hint, continuous_update=False,
        style={"description_width": label_width}, layout=layout,
    )  # fmt: skip


def typed(label: str, text: str, unit: str) -> float:
    """A number as a person types it, with a decimal point or comma.

    Raises:
        LabError: nothing, or something else.
    """
    given = text.strip()
    if not given:
        raise LabError(f"{label} is empty, where a number in {unit} was expected.")
    if A_NUMBER.fullmatch(given) is None:
        raise LabError(f"{label} is {shown(given)}, where a number in {unit} was expected, without its unit, as 12.5.")
    return number(label, given.replace(",", "."), unit)


def said(sentences: Iterable[str], *, refused: bool = False) -> str:
    """Sentences as HTML, marked as an answer or a refusal; `Told` has them read out."""
    inner = "".join(f'<p style="margin:4px 0">{html.escape(each)}</p>' for each in sentences)
    return f'<div style="{WORDS}{REFUSED if refused else PLAIN}">{inner}</div>' if inner else ""


def caution_box(sentences: Sequence[str]) -> widgets.HTML:
    """Cautions in their frame."""
    inner = "".join(f'<p style="margin:4px 0">{html.escape(each)}</p>' for each in sentences)
    return widgets.HTML(f'<section aria-label="Before you act on this" style="{BOX}">{inner}</section>')


def row(children: Sequence[widgets.Widget], align: str = "flex-start") -> widgets.HBox:
    """Side by side, and below each other where there is no room."""
    return widgets.HBox(list(children), layout=widgets.Layout(width="100%", flex_flow="row wrap", align_items=align))


def column(children: Sequence[widgets.Widget]) -> widgets.VBox:
    """Below each other, as wide as there is room."""
    return widgets.VBox(list(children), layout=widgets.Layout(width="100%", min_width="0"))


def sentence(error: LabError) -> str:
    """An error as it is shown, begun with a capital."""
    text = str(error)
    return text[:1].upper() + text[1:]


def vehicles(vehicle: str, suits: Callable[[Station], bool]) -> dict[str, str]:
    """Shown name -> demo vehicle or path, of all demo vehicles that suit and the one given.

    Raises:
        LabError: no such vehicle, or a fault in its file.
    """
    given = load_station(vehicle)
    demos = {station.name: name for name in demo_vehicles() if suits(station := load_station(name))}
    if vehicle in demos.values():
        return demos
    # A copied file may have kept the demo's name.
    name = given.name if given.name not in demos else f"{given.name} ({vehicle})"
    return {name: vehicle, **demos}


class Shown(Displayed):
    """A `widget` for a notebook, with buttons; what they are refused is told in `refusal`."""

    def __init__(self) -> None:
        self.refusal = Told()

    def attempt(self, action: Callable[[], None]) -> None:
        """Do something, or tell why not."""
        self.refusal.value = ""
        try:
            action()
        except LabError as error:
            self.refusal.value = said([sentence(error)], refused=True)

    def button(self, text: str, action: Callable[[], None]) -> widgets.Button:
        """A button that attempts something."""
        made = widgets.Button(description=text, layout=widgets.Layout(width="124px", margin="2px 8px 2px 0"))
        made.on_click(lambda _: self.attempt(action))
        return made


class Form(Shown):
    """Fields by their names, and an answer that is read again whenever one of them has changed."""

    def __init__(self, fields: dict[str, widgets.Text]) -> None:
        super().__init__()
        self.fields = fields
        self._quiet = False
        for each in fields.values():
            each.observe(lambda _: None if self._quiet else self.refresh(), "value")

    def fill(self, **texts: str) -> None:
        """Type in fields from code.

        Raises:
            LabError: a field this form does not have.
        """
        for name in texts:
            if name not in self.fields:
                raise LabError(f"This form has no field '{name}'; {nearest_name(name, self.fields)}")
        self._quiet = True
        for name, text in texts.items():
            self.fields[name].value = text
        self._quiet = False
        self.refresh()

    def refresh(self) -> None:
        """Read the fields and show the answer."""
        raise NotImplementedError

    def _typed(self, name: str, unit: str, low: float = -math.inf, high: float = math.inf) -> float:
        label = self.fields[name].description.split(" (")[0]
        return number(label, typed(label, self.fields[name].value, unit), unit, low=low, high=high)


class SagForm(Form):
    """The `reading` of two sags (None: none given, or refused), and the `words` shown, with the cautions."""

    def __init__(self, vehicle: str) -> None:
        known = vehicles(vehicle, lambda station: station.travel is not None)
        self._station = load_station(vehicle)
        if self._station.travel is None:
            raise LabError(f"{self._station.name} has no travel to compare sags with; give its wheel travel.")
        self.vehicle = ChoiceControl("Vehicle", known, value=vehicle, on_change=self._changed)
        super().__init__({
            "free_sag_mm": field("Free sag", "mm", label_width="204px"),
            "rider_sag_mm": field("Rider sag", "mm", label_width="204px"),
            "rider_mass_kg": field(MASS, "kg", label_width="204px"),
            "wished_percent": field(WISH, "% of travel", f"{100 * WISHED_SHARE:.0f}", label_width="204px"),
        })  # fmt: skip
        self.reading: SagReading | None = None
        self._said, inputs = Told(), column(list(self.fields.values()))
        self.widget = named(column([self.vehicle.widget, inputs, self._said, caution_box(STANDING_TEST)]))
        self._changed()

    def refresh(self) -> None:
        """The sentences of the sags, one that refuses, or what to type."""
        self.reading, refused = None, False
        try:
            self.reading = self._read()
            told = [NO_SAG] if self.reading is None else list(self.reading.sentences[: -len(STANDING_TEST)])
        except LabError as error:
            told, refused = [sentence(error)], True
        self.words = (*told, *STANDING_TEST)
        self._said.value = said(told, refused=refused)

    def _read(self) -> SagReading | None:
        station, sags = self._station, {}
        assert station.travel is not None
        assert station.bump_stop is not None
        for name in ("free_sag_mm", "rider_sag_mm"):
            if self.fields[name].value.strip():
                sags[name] = 1e-3 * self._typed(name, "mm", low=0.0, high=1e3 * station.travel)
        # Where the file knows of no rider, an empty field means none.
        weighed = bool(self.fields["rider_mass_kg"].value.strip() or station.rider_mass)
        mass = self._typed("rider_mass_kg", "kg", low=1.0, high=HEAVIEST) if weighed else None
        wish, most = self._typed("wished_percent", "%"), 100.0 * (1.0 - station.bump_stop.length / station.travel)
        if not 0.0 < wish <= most:
            raise LabError(
                f"The wished rider sag is {wish:g} % of the travel, where more than 0 and at most {most:.0f} % was "
                f"expected, which is where the bump stop of {station.name} begins."
            )
        if not sags:
            return None
        return read_sag(
            station, sags.get("free_sag_mm"), sags.get("rider_sag_mm"), mass,
            wished_rider_sag=1e-2 * wish * station.travel,
        )  # fmt: skip

    def _changed(self) -> None:
        self._station = load_station(self.vehicle.value)
        mass = self._station.rider_mass
        self.fill(rider_mass_kg=f"{mass:g}" if mass else "")


def sag_form(vehicle: str = "courier_scooter_rear") -> SagForm:
    """Type two sags, and read what they say of spring and preload.

    Args:
        vehicle: a demo vehicle's name, or a path to a vehicle file with its wheel travel.

    Raises:
        LabError: no such vehicle, a fault in its file, or no travel.
    """
    return SagForm(vehicle)
