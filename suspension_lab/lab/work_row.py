"""A row above a picture that tells how far a piece of work is, and can stop it."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable

import ipywidgets as widgets

from suspension_lab.lab.later import running_loop
from suspension_lab.lab.named import Labelled
from suspension_lab.workshop.mapping import Progress


class WorkRow:
    """A bar, the time left, and a button that stops the work and keeps what is done.

    It keeps its room while it is hidden, so that the picture below does not jump.
    """

    def __init__(self) -> None:
        self._keep = threading.Event()
        self.bar = widgets.FloatProgress(min=0.0, max=1.0, layout=widgets.Layout(width="180px"))
        self.left = widgets.Label(layout=widgets.Layout(width="130px"))
        self.stop = widgets.Button(description="Stop and keep what is done", layout=widgets.Layout(width="210px"))
        self.stop.on_click(lambda _: self._keep.set())
        named_bar = Labelled(widgets.Label("The map, how much is done, in percent"), {self.bar: ""}, [self.bar])
        self.widget = widgets.HBox(
            [named_bar, self.left, self.stop], layout=widgets.Layout(visibility="hidden", flex_flow="row wrap")
        )

    def begin(self) -> tuple[threading.Event, Callable[[Progress], None], Callable[[], None]]:
        """Show the row for new work.

        Returns:
            An event that is set once the work shall stop and keep what is done; what tells the row how far it is; and
            what tells it that the work is over. Both may be called from the work's own thread.
        """
        keep = self._keep = threading.Event()
        self.bar.value, self.left.value = 0.0, "making the map"
        self.widget.layout.visibility = "visible"
        loop = running_loop()

        def on_the_loop(action: Callable[[], None]) -> None:
            def only_if_it_is_mine() -> None:
                if self._keep is keep:
                    action()

            if loop is None:
                only_if_it_is_mine()
            elif not loop.is_closed():
                loop.call_soon_threadsafe(only_if_it_is_mine)

        return keep, lambda progress: on_the_loop(lambda: self._tell(progress)), lambda: on_the_loop(self.hide)

    def hide(self) -> None:
        """Nothing is going on."""
        self.widget.layout.visibility = "hidden"

    def _tell(self, progress: Progress) -> None:
        self.bar.value = progress.done / progress.total
        left = progress.seconds_left
        self.left.value = "" if math.isnan(left) else f"about {max(math.ceil(left), 1)} s left"
