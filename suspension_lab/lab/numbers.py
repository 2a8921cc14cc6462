"""The numbers that a lesson's text names, worked out anew: the page's tests hold the text to this table."""

from __future__ import annotations

from suspension_lab.lab.tables import table

CAPTION = "The numbers in this page's text, worked out by the simulation"


class Numbers:
    """A table of what was done and what came out; it shows itself in a notebook.

    Its text is stored with the page and compared when the tests run it, and each number in the page's prose must stand
    in it, as what was set (in `done`) or as what came out.
    """

    def __init__(self) -> None:
        self.rows: list[tuple[str, str]] = []

    def add(self, done: str, came_out: str) -> None:
        """Add a row.

        Args:
            done: the vehicle, its settings and the test, with the numbers that the text names.
            came_out: the numbers with their units, rounded as the text rounds them.
        """
        self.rows.append((done, came_out))

    def __repr__(self) -> str:
        return "\n".join(f"{done}: {came_out}" for done, came_out in self.rows)

    def _repr_html_(self) -> str:
        return str(table(("What was done", "What came out"), self.rows, wraps=True, caption=CAPTION).value)
