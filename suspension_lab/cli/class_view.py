"""`suspension-lab open --class-view`: the same lessons as pages without code, for people who only move sliders."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

from suspension_lab.cli.serving import THREADS, check_port, environment, lay_state, say, serve
from suspension_lab.cli.working_folder import fill, made
from suspension_lab.common.errors import LabError


def open_class_view(folder: str, *, browser: bool, port: int | None, extra: list[str]) -> int:
    """Fill the working folder and serve its lessons as pages until it ends.

    Args:
        folder: the working folder.
        browser: open one.
        port: to listen on; None: the first free one from 8866.
        extra: arguments for the server, which is Voila.

    Returns:
        The server's exit code.

    Raises:
        LabError: Voila is missing, a port that is taken, or a folder that cannot be used.
    """
    if importlib.util.find_spec("voila") is None:
        raise LabError(
            "The class view needs Voila, which is not installed; install it with: pip install 'voila>=0.5.8', or with "
            "pip install -e '.[class]' in the lab's own folder."
        )
    check_port(port)
    place = made(Path(folder))
    say(place, fill(place))
    state = lay_state(place, {})
    sys.stdout.flush()
    return serve(_command(place, state, browser=browser, port=port, extra=extra), environment(state) | THREADS)


def _command(folder: Path, state: Path, *, browser: bool, port: int | None, extra: list[str]) -> list[str]:
    command = [
        sys.executable, "-m", "suspension_lab.cli.class_pages.server",
        "--Voila.ip=127.0.0.1",
        "--Voila.auto_token=True",
        f"--Voila.root_dir={folder}",
        f"--Voila.config_file_paths={state / 'config'}",
        f"--ClassPages.browser_wanted={browser}",
        "--Application.log_level=ERROR",
    ]  # fmt: skip
    if port is not None:
        command += [f"--Voila.port={port}", "--Voila.port_retries=0"]
    return [*command, *extra]
