"""`suspension-lab open`: the notebooks in a folder of the user's, and JupyterLab on the start page."""

from __future__ import annotations

import hashlib
import json
import os
import sys
from pathlib import Path
from typing import Any

from suspension_lab.cli.arguments import Parser, whole
from suspension_lab.cli.kernels.first import start_soon
from suspension_lab.cli.serving import START_PAGE, USUAL_FOLDER, check_port, environment, lay_state, say, serve
from suspension_lab.cli.working_folder import fill, made

WORKSPACE = "lesson"

OVERRIDES = {
    "@jupyterlab/apputils-extension:notification": {"fetchNews": "false", "checkForUpdates": False},
    "@jupyterlab/notebook-extension:tracker": {"windowingMode": "defer"},
}
"""Without these JupyterLab asks a question at its first start, and takes a bench off the page when it is scrolled
away."""
BARE = {
    "data": {
        "layout-restorer:data": {
            "main": {"dock": None},
            "down": {"size": 0, "widgets": []},
            "left": {"collapsed": True, "visible": True, "widgets": ["filebrowser"]},
            "right": {"collapsed": True, "visible": True, "widgets": []},
            "relativeSizes": [0, 1, 0],
            "top": {"simpleVisibility": True},
        }
    },
    "metadata": {"id": WORKSPACE},
}
"""A workspace with both side bars closed."""

UNUSED = ("celltags", "debugger", "extensionmanager", "terminal", "vega5")
PAGE = {
    "buildAvailable": False,
    "buildCheck": False,
    "disabledExtensions": {f"@jupyterlab/{name}-extension": True for name in UNUSED},
}
"""JupyterLab need not look whether it should be built anew, nor load tools that no lesson uses."""
JUPYTERLAB = """
import os, sys
sys.modules["rfc3987_syntax"] = None
from suspension_lab.cli.kernels.forked import fork_kernels
fork_kernels()
from jupyterlab.labapp import main
code = 0
try:
    main()
except SystemExit as done:
    code = done.code if isinstance(done.code, int) else int(bool(done.code))
sys.stdout.flush()
sys.stderr.flush()
os._exit(code)
"""
"""As `python -m jupyterlab`, with two of its faults kept away. The grammar takes 4 s to build at each start and is only
for checking internationalised addresses in JSON schemas; jsonschema goes without where it is not installed. And once
all is shut down, Python would wait for ever for idle worker threads that nobody ends."""


def add_to(commands: Any) -> dict[str, Parser]:
    """Add this command to the parser."""
    parser: Parser = commands.add_parser(
        "open",
        help="open the lab in the browser",
        description=(
            "Copy the lab's notebooks to a folder of yours where they are new, and open JupyterLab on the start page.\n"
            "Your own files are never written over. Ctrl+C in the terminal ends the lab."
        ),
        epilog=(
            "Examples:  suspension-lab open\n"
            "           suspension-lab open lessons --port 8899\n"
            "           suspension-lab open --class-view\n"
            "           suspension-lab open --no-browser -- --Application.log_level=INFO\n\n"
            "What stands behind -- goes to JupyterLab, or to the class view, as it is.\n"
            "Exit codes: that of the server; 2 bad input; 3 the folder cannot be written."
        ),
    )
    parser.add_argument("folder", metavar="FOLDER", nargs="?", default=USUAL_FOLDER, help=f"default: {USUAL_FOLDER}")
    parser.add_argument("--class-view", action="store_true", help="the lessons as pages without code")
    parser.add_argument("--no-browser", dest="browser", action="store_false", help="print the address only")
    parser.add_argument(
        "--port", type=whole, metavar="N", help="default: 8888 (class view: 8866), or a free one near it"
    )
    return {"open": parser}


def open_lab(folder: str, *, browser: bool, port: int | None, extra: list[str]) -> int:
    """Fill the working folder and run JupyterLab until it ends.

    Args:
        folder: the working folder.
        browser: open one.
        port: to listen on; None: the first free one from 8888.
        extra: arguments for JupyterLab.

    Returns:
        JupyterLab's exit code.

    Raises:
        LabError: a port that is taken, or a folder that cannot be used.
    """
    check_port(port)
    place = made(Path(folder))
    say(place, fill(place))
    state = _lay_state(place)
    command = _command(place, state, browser=browser, port=port, extra=extra)
    sys.stdout.flush()
    return _run(command, environment(state))


def _lay_state(folder: Path) -> Path:
    """JupyterLab's settings and its bare workspace, laid anew at each start."""
    # Named as jupyterlab_server's WorkspacesManager does; importing that would take longer than all the rest.
    digest = hashlib.sha256(WORKSPACE.encode()).hexdigest()[:4]
    return lay_state(
        folder,
        {
            "config/labconfig/page_config.json": json.dumps(PAGE),
            "settings/overrides.json": json.dumps(OVERRIDES, indent=1),
            f"workspaces/{WORKSPACE}-{digest}.jupyterlab-workspace": json.dumps(BARE),
        },
    )


def _command(folder: Path, state: Path, *, browser: bool, port: int | None, extra: list[str]) -> list[str]:
    command = [
        sys.executable, "-c", JUPYTERLAB,
        "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.root_dir={folder}",
        "--ServerApp.answer_yes=True",
        "--Application.log_level=ERROR",
        f"--ServerApp.open_browser={browser}",
        f"--LabApp.app_settings_dir={state / 'settings'}",
        f"--LabApp.workspaces_dir={state / 'workspaces'}",
        f"--LabApp.default_url=/lab/workspaces/{WORKSPACE}/tree/{START_PAGE}",
    ]  # fmt: skip
    if port is not None:
        command += [f"--ServerApp.port={port}", "--ServerApp.port_retries=0"]
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        command.append("--allow-root")
    return [*command, *extra]


def _run(command: list[str], environment: dict[str, str]) -> int:
    return serve(command, environment, lambda server: start_soon(server, START_PAGE))
