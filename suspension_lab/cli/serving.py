"""A server of lessons: its port, what is said before it starts, and its end. Both views of the lessons use it."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from types import FrameType

import suspension_lab
from suspension_lab.cli.text import listed
from suspension_lab.cli.working_folder import EXAMPLE_VEHICLE, Filled
from suspension_lab.cli.writing import CannotWriteError
from suspension_lab.common.errors import LabError

USUAL_FOLDER = "~/suspension-lab"
START_PAGE = "00_start_here.ipynb"
STATE = ".lab-state"
PATIENCE = 5.0
"""So long a server may take to end before it is told again, and then killed [s]."""
PRELOAD = "__import__('importlib').import_module('suspension_lab.lab.preload')\n"
"""Run by each kernel as it starts, while the browser is still laying out the page: the first bench is there sooner."""
THREADS = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "NUMBA_NUM_THREADS": "1", "MALLOC_ARENA_MAX": "2"}
"""Ten pages share the processors already: a pool of threads in each of them would only take memory."""
FORKS = sys.platform == "linux"
"""Whether kernels are forked from a process that loads the lab, and so compiles it; elsewhere a fork is not safe."""
COMPILE = "import os; hasattr(os, 'nice') and os.nice(15); import suspension_lab.lab.preload"


def check_port(port: int | None) -> None:
    """Refuse a port that cannot be listened on.

    Raises:
        LabError: out of range, or taken.
    """
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


def say(folder: Path, filled: Filled) -> None:
    """Tell which folder it is, and what was copied to it."""
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


def lay_state(folder: Path, files: dict[str, str]) -> Path:
    """The server's settings in the working folder, laid anew at each start.

    Args:
        folder: the working folder.
        files: path in the state folder -> text; the kernels' first line comes by itself.

    Returns:
        The state folder.

    Raises:
        CannotWriteError: it cannot be written.
    """
    state = folder / STATE
    try:
        (state / "config").mkdir(parents=True, exist_ok=True)
        for name, text in (files | {"ipython/profile_default/startup/00_preload.py": PRELOAD}).items():
            (state / name).parent.mkdir(parents=True, exist_ok=True)
            (state / name).write_text(text, encoding="utf-8")
    except OSError as error:
        raise CannotWriteError(
            f"{state} could not be written ({error.strerror or error}); give another folder."
        ) from None
    return state


def environment(state: Path) -> dict[str, str]:
    """What a server's process is told."""
    return os.environ | {
        # A slider need not be told back what it said itself; a message less on each move.
        "JUPYTER_WIDGETS_ECHO": "0",
        # The lab's own settings folder: whatever the user has set up for other work stays out of the lessons.
        "JUPYTER_CONFIG_DIR": str(state / "config"),
        "IPYTHONDIR": str(state / "ipython"),
        "JUPYTER_PREFER_ENV_PATH": "1",
        "PYDEVD_DISABLE_FILE_VALIDATION": "1",
    }


def serve(
    command: list[str], environment: dict[str, str], started: Callable[[subprocess.Popen[bytes]], None] | None = None
) -> int:
    """A server's exit code, with the kernel compiled meanwhile; Ctrl+C reaches both processes and ends it.

    Args:
        command: of the server.
        environment: of the server.
        started: called with its process.
    """
    server = subprocess.Popen(command, env=environment)
    if started:
        started(server)
    # Doing it once more would only take the processor from the browser.
    warm = None if FORKS or _is_compiled() else subprocess.Popen(
        [sys.executable, "-c", COMPILE], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )  # fmt: skip

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
        if warm is not None:
            warm.kill()
            warm.wait()


def _is_compiled() -> bool:
    """Whether numba has left the compiled march beside its source, and not an older one."""
    source = Path(suspension_lab.__file__).parent / "simulation" / "kernel.py"
    compiled = (source.parent / "__pycache__").glob("kernel.march-*.nbc")
    return any(file.stat().st_mtime >= source.stat().st_mtime for file in compiled)


def _ended(server: subprocess.Popen[bytes]) -> int:
    """The exit code of a server that is to end; one that hangs in its shutdown is told again, then killed."""
    for push in (server.terminate, server.kill):
        with contextlib.suppress(subprocess.TimeoutExpired, KeyboardInterrupt):
            return server.wait(timeout=PATIENCE)
        push()
    return server.wait()
