"""`suspension-lab open`: the working folder, and how JupyterLab is started (none is, but in the last test)."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

import pytest
from sentences import is_one_sentence

from suspension_lab.cli import open as command
from suspension_lab.cli import working_folder
from suspension_lab.cli.main import main
from suspension_lab.cli.serving import START_PAGE, STATE
from suspension_lab.common.shipped import shipped_folder

PAGES = ("00_start_here.ipynb", "01_rebound.ipynb")


def notebook(*cells: str, output: str | None = None) -> str:
    outputs = [] if output is None else [{"output_type": "stream", "name": "stdout", "text": output}]
    made = [{"cell_type": "code", "metadata": {}, "source": [cell], "outputs": outputs} for cell in cells]
    return json.dumps({"cells": made, "metadata": {}, "nbformat": 4, "nbformat_minor": 5})


@pytest.fixture
def shipped(tmp_path: Path, monkeypatch) -> Path:
    """Notebooks of our own in place of the lab's."""
    folder = tmp_path / "shipped"
    folder.mkdir()
    for name in PAGES:
        (folder / name).write_text(notebook(f"print('{name}')"), encoding="utf-8")
    (folder / ".ipynb_checkpoints").mkdir()
    (folder / ".ipynb_checkpoints" / "x.ipynb").write_text("x", encoding="utf-8")

    def found(name: str) -> Path:
        return folder if name == "notebooks" else shipped_folder(name)

    monkeypatch.setattr(working_folder, "shipped_folder", found)
    return folder


@pytest.fixture
def started(monkeypatch) -> list[tuple[list[str], dict[str, str]]]:
    """What would have been started."""
    runs: list[tuple[list[str], dict[str, str]]] = []

    def keep(arguments: list[str], environment: dict[str, str]) -> int:
        runs.append((arguments, environment))
        return 7

    monkeypatch.setattr(command, "_run", keep)
    return runs


def test_a_new_folder_gets_the_notebooks_and_the_example(shipped: Path, started, tmp_path: Path, capsys):
    folder = tmp_path / "work"
    assert main(["open", str(folder)]) == 7
    out = capsys.readouterr().out
    visible = sorted(file.name for file in folder.iterdir() if not file.name.startswith("."))
    assert visible == [*PAGES, "my_vehicle_example.toml"]
    assert (folder / PAGES[0]).read_bytes() == (shipped / PAGES[0]).read_bytes()
    assert all(f"- {name}" in out for name in visible)
    assert "suspension-lab check FILE" in out
    assert main(["check", str(folder / "my_vehicle_example.toml")]) == 0


def test_what_the_user_wrote_is_never_written_over_and_said_to_be_kept(shipped: Path, started, tmp_path: Path, capsys):
    folder = tmp_path / "work"
    folder.mkdir()
    mine = notebook("print('my own')")
    (folder / PAGES[1]).write_text(mine, encoding="utf-8")
    assert main(["open", str(folder)]) == 7
    out = capsys.readouterr().out
    assert (folder / PAGES[1]).read_text(encoding="utf-8") == mine
    kept = out[out.index("Kept as you left them") :]
    assert f"- {PAGES[1]}" in kept
    assert PAGES[0] not in kept
    assert "rename yours and open the lab again" in kept


def test_a_notebook_that_was_only_run_is_no_other_notebook(shipped: Path, started, tmp_path: Path, capsys):
    folder = tmp_path / "work"
    folder.mkdir()
    ran = notebook(f"print('{PAGES[1]}')", output=PAGES[1])
    (folder / PAGES[1]).write_text(ran, encoding="utf-8")
    assert main(["open", str(folder)]) == 7
    assert "Kept" not in capsys.readouterr().out
    assert (folder / PAGES[1]).read_text(encoding="utf-8") == ran


def test_a_link_of_the_users_is_left_alone(shipped: Path, started, tmp_path: Path):
    folder = tmp_path / "work"
    folder.mkdir()
    (folder / PAGES[1]).symlink_to(tmp_path / "elsewhere.ipynb")
    assert main(["open", str(folder)]) == 7
    assert not (tmp_path / "elsewhere.ipynb").exists()


def test_jupyterlab_is_started_bare_loopback_only_and_without_questions(shipped: Path, started, tmp_path: Path):
    folder = tmp_path / "work"
    main(["open", str(folder), "--port", "48211", "--no-browser", "--", "--LabApp.expose_app_in_browser=True"])
    arguments, environment = started[0]
    assert arguments[0] == sys.executable
    assert "--ServerApp.ip=127.0.0.1" in arguments
    assert "--ServerApp.port=48211" in arguments
    assert "--ServerApp.open_browser=False" in arguments
    assert "--ServerApp.answer_yes=True" in arguments
    assert f"--ServerApp.root_dir={folder}" in arguments
    assert arguments[-1] == "--LabApp.expose_app_in_browser=True"
    assert not any("token" in part or "password" in part for part in arguments)
    assert environment["JUPYTER_CONFIG_DIR"] == str(folder / ".lab-state" / "config")
    settings = json.loads((folder / ".lab-state" / "settings" / "overrides.json").read_text(encoding="utf-8"))
    assert settings["@jupyterlab/apputils-extension:notification"] == {"fetchNews": "false", "checkForUpdates": False}


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="no such user here")
def test_only_root_is_allowed_to_be_root(shipped: Path, started, tmp_path: Path, monkeypatch):
    for user, wanted in ((0, True), (1000, False)):
        monkeypatch.setattr(command.os, "geteuid", lambda user=user: user)
        main(["open", str(tmp_path / "work")])
        assert ("--allow-root" in started[-1][0]) is wanted


def test_the_workspace_is_bare_again_at_each_start(shipped: Path, started, tmp_path: Path):
    """The file is found under the name by which JupyterLab's own manager looks for it."""
    folder = tmp_path / "work"
    main(["open", str(folder)])
    (file,) = (folder / ".lab-state" / "workspaces").iterdir()
    file.write_text("{}", encoding="utf-8")
    main(["open", str(folder)])
    code = (
        "import sys; sys.modules['rfc3987_syntax'] = None\n"
        "from jupyterlab_server.workspaces_handler import WorkspacesManager\n"
        f"layout = WorkspacesManager({str(file.parent)!r}).load('lesson')['data']['layout-restorer:data']\n"
        "assert layout['left']['collapsed'] and layout['right']['collapsed'], layout"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)


def test_a_folder_that_cannot_be_used_is_told(shipped: Path, started, tmp_path: Path, capsys, monkeypatch):
    (tmp_path / "file").write_text("x", encoding="utf-8")
    for place, code, wanted in (
        (tmp_path / "file", 3, "is a file, where a folder was expected"),
        (tmp_path / "none" / "work", 3, "there is no folder"),
        (tmp_path / "file" / "work", 3, "there is no folder"),
        (shipped, 2, "where the lab keeps its own notebooks"),
    ):
        assert main(["open", str(place)]) == code
        err = capsys.readouterr().err
        assert wanted in err
        assert is_one_sentence(err.removesuffix("\n")), err

    def forbid(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "mkdir", forbid)
    assert main(["open", str(tmp_path / "work")]) == 3
    err = capsys.readouterr().err
    assert "cannot be made (Permission denied)" in err
    assert is_one_sentence(err.removesuffix("\n")), err
    assert started == []


def test_a_folder_that_may_not_be_written_is_told(shipped: Path, started, tmp_path: Path, capsys, monkeypatch):
    usual = Path.open

    def forbid(self: Path, *args: Any, **named: Any) -> Any:
        if tmp_path in self.parents and shipped not in self.parents:
            raise PermissionError(13, "Permission denied", str(self))
        return usual(self, *args, **named)

    monkeypatch.setattr(Path, "open", forbid)
    assert main(["open", str(tmp_path)]) == 3
    err = capsys.readouterr().err
    assert "could not be written (Permission denied)" in err
    assert is_one_sentence(err.removesuffix("\n")), err


def test_a_port_that_is_taken_is_told(shipped: Path, started, tmp_path: Path, capsys):
    import socket

    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        assert main(["open", str(tmp_path / "work"), "--port", str(port)]) == 2
    err = capsys.readouterr().err
    assert f"--port {port} is taken" in err
    assert is_one_sentence(err.removesuffix("\n"))
    assert not (tmp_path / "work").exists()


def test_an_installation_without_notebooks_is_told(shipped: Path, started, tmp_path: Path, capsys):
    for file in shipped.glob("*.ipynb"):
        file.unlink()
    assert main(["open", str(tmp_path / "work")]) == 2
    assert "install the lab again" in capsys.readouterr().err


def soon(address: str) -> bytes:
    """The answer of a server that prints its address a moment before it listens."""
    for _ in range(100):
        try:
            with urllib.request.urlopen(address, timeout=10) as answer:
                return answer.read()
        except urllib.error.HTTPError:
            raise
        except urllib.error.URLError:
            time.sleep(0.1)
    raise TimeoutError(address)


@pytest.mark.skipif(os.name != "posix", reason="signals")
def test_it_serves_the_start_page_to_whoever_has_the_token_and_ends_when_told(tmp_path: Path):
    """The real thing, with the notebooks that are there; a second one may run beside it."""
    argv = [sys.executable, "-m", "suspension_lab.cli.main", "open", str(tmp_path / "work"), "--no-browser"]
    with subprocess.Popen(argv, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as process:
        try:
            assert process.stdout is not None
            address = ""
            for line in process.stdout:
                found = re.search(r"http://127\.0\.0\.1:(\d+)(\S*)\?token=(\w{20,})", line)
                if found:
                    address = found.group(0)
                    break
            assert f"/lab/workspaces/lesson/tree/{START_PAGE}" in address
            base, token = address.split("/lab/")[0], address.split("token=")[1]
            with pytest.raises(urllib.error.HTTPError, match="403"):
                soon(f"{base}/api/contents")
            names = [entry["name"] for entry in json.loads(soon(f"{base}/api/contents?token={token}"))["content"]]
            assert START_PAGE in names
            assert STATE not in names
            process.send_signal(signal.SIGTERM)
            assert process.wait(timeout=20) == 0
        finally:
            if process.poll() is None:
                process.terminate()
