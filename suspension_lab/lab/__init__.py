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
from suspension_lab.lab.measured_forms import sag_form, timing_form
from suspension_lab.lab.next_click_bench import next_click_bench
from suspension_lab.lab.own_vehicle_questions import vehicle_questions
from suspension_lab.lab.questions import evenness_questions
from suspension_lab.lab.tables import preset_table, robust_table, vehicle_table
from suspension_lab.lab.what_if_bench import what_if_bench
from suspension_lab.lab.what_if_questions import what_if_questions

__all__ = [
    "bracket_bench",
    "bump_bench",
    "click_map_bench",
    "cutaway_bench",
    "evenness_bench",
    "evenness_questions",
    "fit_bench",
    "linear_view",
    "log_form",
    "next_click_bench",
    "preset_table",
    "push_bench",
    "release_bench",
    "robust_table",
    "sag_form",
    "timing_form",
    "vehicle_questions",
    "vehicle_table",
    "warm_up_bench",
    "what_if_bench",
    "what_if_questions",
]
