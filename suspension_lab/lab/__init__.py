"""What do I see and touch? Pictures and benches."""

from suspension_lab.lab.benches import (
    bump_bench,
    click_map_bench,
    cutaway_bench,
    evenness_bench,
    push_bench,
    release_bench,
    warm_up_bench,
)
from suspension_lab.lab.bracket_bench import bracket_bench
from suspension_lab.lab.fit_bench import fit_bench
from suspension_lab.lab.linear_view import linear_view
from suspension_lab.lab.log_form import log_form
from suspension_lab.lab.measured_forms import sag_form
from suspension_lab.lab.metronome import metronome
from suspension_lab.lab.mystery_bench import mystery_bench, mystery_procedure
from suspension_lab.lab.next_click_bench import next_click_bench
from suspension_lab.lab.on_request import on_request
from suspension_lab.lab.result_sheet import class_sheet_form, result_form
from suspension_lab.lab.stopwatch_trainer import stopwatch_trainer
from suspension_lab.lab.tables import preset_table, robust_table, vehicle_table
from suspension_lab.lab.timing_form import timing_form
from suspension_lab.lab.what_if_bench import what_if_bench

__all__ = [
    "bracket_bench",
    "bump_bench",
    "class_sheet_form",
    "click_map_bench",
    "cutaway_bench",
    "evenness_bench",
    "fit_bench",
    "linear_view",
    "log_form",
    "metronome",
    "mystery_bench",
    "mystery_procedure",
    "next_click_bench",
    "on_request",
    "preset_table",
    "push_bench",
    "release_bench",
    "result_form",
    "robust_table",
    "sag_form",
    "stopwatch_trainer",
    "timing_form",
    "vehicle_table",
    "warm_up_bench",
    "what_if_bench",
]
