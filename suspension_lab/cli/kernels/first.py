"""The start page's Python, started as soon as the server answers and not only when the page is laid out."""

from __future__ import annotations

import contextlib
import json
import subprocess
import threading
import time
import urllib.request
from pathlib import Path

PATIENCE = 60.0


def start_soon(server: subprocess.Popen[bytes], page: str) -> None:
    """Start the session of a page in the background; where that fails, the browser starts it as ever.

    Args:
        server: a JupyterLab that is just starting.
        page: path of the notebook in its folder.
    """
    threading.Thread(target=_start, args=(server, page), daemon=True).start()


def _start(server: subprocess.Popen[bytes], page: str) -> None:
    from jupyter_core.paths import jupyter_runtime_dir

    told = Path(jupyter_runtime_dir()) / f"jpserver-{server.pid}.json"
    until = time.monotonic() + PATIENCE
    while server.poll() is None and time.monotonic() < until:
        with contextlib.suppress(OSError, ValueError):
            about = json.loads(told.read_text(encoding="utf-8"))
            session = {"path": page, "name": page, "type": "notebook", "kernel": {"name": "python3"}}
            request = urllib.request.Request(
                f"{about['url']}api/sessions",
                data=json.dumps(session).encode(),
                headers={"Authorization": f"token {about['token']}", "Content-Type": "application/json"},
            )
            urllib.request.urlopen(request, timeout=PATIENCE).read()
            return
        time.sleep(0.1)
