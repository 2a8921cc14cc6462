"""`suspension-lab open`: the notebooks in a folder of the user's, and JupyterLab on the start page."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import signal
import socket
import subprocess
import sys
from pathlib import Path
from types import FrameType
from typing import Any

import suspension_lab
from suspension_lab.cli.arguments import Parser, whole
from suspension_lab.cli.first_kernel import start_soon
from suspension_lab.cli.text import listed
from suspension_lab.cli.working_folder import EXAMPLE_VEHICLE, Filled, fill, made
from suspension_lab.cli.writing import CannotWriteError
from suspension_lab.common.errors import LabError

USUAL_FOLDER = "~/suspension-lab"
START_PAGE = "00_start_here.ipynb"
STATE = ".lab-state"
WORKSPACE = "lesson"
PATIENCE = 5.0
"""So long JupyterLab may take to end before it is told again, and then killed [s]."""

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
PRELOAD = "__import__('importlib').import_module('suspension_lab.lab.preload')\n"
"""Run by each kernel as it starts, while the browser is still laying out the page: the first bench is there sooner."""
COMPILE = "import os; hasattr(os, 'nice') and os.nice(15); import suspension_lab.lab.preload"


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
            "           suspension-lab open --no-browser -- --Application.log_level=INFO\n\n"
            "What stands behind -- goes to JupyterLab as it is.\n"
            "Exit codes: that of JupyterLab; 2 bad input; 3 the folder cannot be written."
        ),
    )
    parser.add_argument("folder", metavar="FOLDER", nargs="?", default=USUAL_FOLDER, help=f"default: {USUAL_FOLDER}")
    parser.add_argument("--no-browser", dest="browser", action="store_false", help="print the address only")
    parser.add_argument("--port", type=whole, metavar="N", help="default: 8888, or the next free one")
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
    _check_port(port)
    place = made(Path(folder))
    _say(place, fill(place))
    state = _lay_state(place)
    command = _command(place, state, browser=browser, port=port, extra=extra)
    environment = os.environ | {
        # A slider need not be told back what it said itself; a message less on each move.
        "JUPYTER_WIDGETS_ECHO": "0",
        # The lab's own settings folder: whatever the user has set up for other work stays out of the lessons.
        "JUPYTER_CONFIG_DIR": str(state / "config"),
        "IPYTHONDIR": str(state / "ipython"),
        "JUPYTER_PREFER_ENV_PATH": "1",
        "PYDEVD_DISABLE_FILE_VALIDATION": "1",
    }
    sys.stdout.flush()
    return _run(command, environment)


def _check_port(port: int | None) -> None:
    if port is None:
        return
    if not 1024 <= port <= 65535:
        raise LabError(f"--port is {port}, where 1024 to 65535 was expected.")
    with socket.socket() as probe:
        if os.name == "posix":
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError:
            raise LabError(f"--port {port} is taken by another program; give another, or leave --port out.") from None


def _say(folder: Path, filled: Filled) -> None:
    print(f"Working folder: {folder}")
    if filled.copied:
        print(listed("Copied, as they were not there yet", filled.copied))
    if filled.kept:
        print(listed("Kept as you left them, though the lab's own differ", filled.kept))
        print("To get the lab's own, rename yours and open the lab again.")
    if EXAMPLE_VEHICLE in filled.copied:
        print(
            f"For a vehicle of your own: copy {EXAMPLE_VEHICLE}, put in your numbers, then suspension-lab check FILE."
        )
    print("The lab runs until you press Ctrl+C here.")


def _lay_state(folder: Path) -> Path:
    """JupyterLab's settings and its bare workspace, laid anew at each start."""
    state = folder / STATE
    # Named as jupyterlab_server's WorkspacesManager does; importing that would take longer than all the rest.
    digest = hashlib.sha256(WORKSPACE.encode()).hexdigest()[:4]
    try:
        for name in ("config/labconfig", "ipython/profile_default/startup", "settings", "workspaces"):
            (state / name).mkdir(parents=True, exist_ok=True)
        (state / "config" / "labconfig" / "page_config.json").write_text(json.dumps(PAGE), encoding="utf-8")
        (state / "settings" / "overrides.json").write_text(json.dumps(OVERRIDES, indent=1), encoding="utf-8")
        (state / "ipython" / "profile_default" / "startup" / "00_preload.py").write_text(PRELOAD, encoding="utf-8")
        workspace = state / "workspaces" / f"{WORKSPACE}-{digest}.jupyterlab-workspace"
        workspace.write_text(json.dumps(BARE), encoding="utf-8")
    except OSError as error:
        raise CannotWriteError(
            f"{state} could not be written ({error.strerror or error}); give another folder."
        ) from None
    return state


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
    """JupyterLab's exit code, with the kernel compiled meanwhile; Ctrl+C reaches both processes and ends it."""
    server = subprocess.Popen(command, env=environment)
    start_soon(server, START_PAGE)
    # Where it is compiled already, doing so again would only take the processor from the browser.
    warm = subprocess.Popen(
        [sys.executable, "-c", "" if _is_compiled() else COMPILE], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )

    def end(number: int, frame: FrameType | None) -> None:
        server.terminate()
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGTERM, end)
    try:
        return server.wait()
    except KeyboardInterrupt:
        return _ended(server)
    finally:
        signal.signal(signal.SIGTERM, before)
        warm.kill()
        warm.wait()


def _is_compiled() -> bool:
    """Whether numba has left the compiled march beside its source, and not an older one."""
    source = Path(suspension_lab.__file__).parent / "simulation" / "kernel.py"
    compiled = (source.parent / "__pycache__").glob("kernel.march-*.nbc")
    return any(file.stat().st_mtime >= source.stat().st_mtime for file in compiled)


def _ended(server: subprocess.Popen[bytes]) -> int:
    """The exit code of a JupyterLab that is to end; one that hangs in its shutdown is told again, then killed."""
    for push in (server.terminate, server.kill):
        with contextlib.suppress(subprocess.TimeoutExpired, KeyboardInterrupt):
            return server.wait(timeout=PATIENCE)
        push()
    return server.wait()
