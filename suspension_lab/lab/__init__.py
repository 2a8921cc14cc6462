"""What do I see and touch? Pictures and benches."""

from suspension_lab.lab.benches import bump_bench, cutaway_bench, push_bench, release_bench, warm_up_bench
from suspension_lab.lab.tables import vehicle_table

__all__ = ["bump_bench", "cutaway_bench", "push_bench", "release_bench", "vehicle_table", "warm_up_bench"]
