"""The animated section of a hydraulic damper: parts, oil and gas, drawn by the browser from a run handed over once."""

from __future__ import annotations

import anywidget
import traitlets

from suspension_lab.lab.page import joined


class Cutaway(anywidget.AnyWidget):
    """Plays a run in a drawing of the damper; a change of `serial` is the sign that all of it is new.

    Attributes:
        geometry: SI. piston_diameter, rod_diameter, stroke, compression_at ("piston" or "reservoir"), reservoir
            (bool), rebound and compression (each gap, gap_open, seat_diameter, lift_most), gas_height_share (of its
            cylinder, at full extension), rebound_words, compression_words, blow_off_words (of compression),
            vapour_pressure.
        signals: float32, little-endian, one row after the other, a value for each of `columns`.
        columns: travel from full extension [m], speed [m/s], force [N]; compression_pressure, rebound_pressure,
            gas_pressure [Pa absolute]; gas_volume_share (of the volume at full extension); rebound_bleed,
            rebound_blow_off, rebound_leak, compression_bleed, compression_blow_off, compression_leak [m^3/s, 0 or
            more]; rebound_lift, compression_lift [m]; cavitation_rebound_side, cavitation_compression_side, idle (0 or
            1).
        step: between rows [s].
        alt: the drawing in a sentence, for screen readers.
        moment: time of the frame shown [s]; the browser sets it, for other views there, and does not send it.
        message: a sentence to show instead of the drawing, or nothing.
        serial: counts the runs; set last.
    """

    _esm = joined("page.js", "player.js", "cutaway_drawing.js", "cutaway.js")
    _css = joined("player.css", "cutaway.css")

    geometry = traitlets.Dict().tag(sync=True)
    signals = traitlets.Bytes().tag(sync=True)
    columns = traitlets.List(traitlets.Unicode()).tag(sync=True)
    step = traitlets.Float(0.002).tag(sync=True)
    alt = traitlets.Unicode().tag(sync=True)
    moment = traitlets.Float(0.0).tag(sync=True)
    message = traitlets.Unicode().tag(sync=True)
    serial = traitlets.Int(0).tag(sync=True)
