"""The class view's server: Voila on this machine only, with a token, and the start page in place of a list of files.

`suspension-lab open --class-view` runs it as a process of its own.
"""

from __future__ import annotations

import logging
import webbrowser
from typing import Any

from jupyter_server.utils import url_path_join
from tornado.web import RedirectHandler
from traitlets import Bool
from voila.app import Voila

from suspension_lab.cli.class_pages.settings import tell
from suspension_lab.cli.serving import START_PAGE


class ClassPages(Voila):  # type: ignore[misc]
    """Voila with the class view's settings, whatever the command line says otherwise."""

    browser_wanted = Bool(True, help="Open a browser on the start page.").tag(config=True)

    def load_config_file(self, *args: Any, **named: Any) -> None:
        """The class view's settings, under those of the command line."""
        told = type(self.config)()
        tell(told)
        told.merge(self.config)
        self.update_config(told)
        self.open_browser = True  # which only has launch_browser called
        logging.getLogger("tornado").setLevel(self.log_level)

    def init_handlers(self) -> list[Any]:
        """Voila's pages; what would list files shows the start page."""
        start = url_path_join(self.base_url, "voila/render", START_PAGE)
        lists = [
            (rule, RedirectHandler, {"url": start, "permanent": False})
            for rule in (self.server_url, url_path_join(self.server_url, "voila/tree") + ".*")
        ]
        return [*lists, *super().init_handlers()]

    def launch_browser(self) -> None:
        """Print the address, and open it where that is wanted."""
        address = url_path_join(self.connection_url, "voila/render", START_PAGE)
        address += f"?token={self.identity_provider.token}"
        print(f"The class view: {address}", flush=True)
        if self.browser_wanted:
            webbrowser.open(address)


if __name__ == "__main__":
    ClassPages.launch_instance()
