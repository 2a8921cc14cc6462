"""`suspension-lab open --class-view`: how the pages' server is started and what it is told (none is started here)."""

from __future__ import annotations

import socket
import sys
from pathlib import Path
from types import SimpleNamespace

import nbformat.v4 as nb
import pytest
from sentences import is_one_sentence
from traitlets.config import Config

from suspension_lab.cli import class_view
from suspension_lab.cli.main import main

pytest.importorskip("voila", reason="the class view is an extra")
from suspension_lab.cli.class_pages import settings

Started = list[tuple[list[str], dict[str, str]]]


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> Started:
    """What would have been started."""
    runs: Started = []

    def keep(arguments: list[str], environment: dict[str, str]) -> int:
        runs.append((arguments, environment))
        return 7

    monkeypatch.setattr(class_view, "serve", keep)
    return runs


def test_the_folder_is_filled_and_the_pages_are_served_here_only_with_a_token(started: Started, tmp_path: Path, capsys):
    folder = tmp_path / "class"
    options = ["--class-view", "--port", "48217", "--no-browser", "--", "--MappingKernelManager.cull_idle_timeout=5"]
    assert main(["open", str(folder), *options]) == 7
    assert (folder / "00_start_here.ipynb").exists()
    assert "- my_vehicle_example.toml" in capsys.readouterr().out
    arguments, environment = started[0]
    assert arguments[0] == sys.executable
    assert "--Voila.ip=127.0.0.1" in arguments
    assert "--Voila.auto_token=True" in arguments
    assert "--Voila.port=48217" in arguments
    assert "--Voila.port_retries=0" in arguments
    assert "--ClassPages.browser_wanted=False" in arguments
    assert f"--Voila.root_dir={folder}" in arguments
    assert arguments[-1] == "--MappingKernelManager.cull_idle_timeout=5"
    assert environment["JUPYTER_CONFIG_DIR"] == str(folder / ".lab-state" / "config")
    assert environment["OPENBLAS_NUM_THREADS"] == "1"


def test_the_users_work_is_kept(started: Started, tmp_path: Path, capsys):
    folder = tmp_path / "class"
    folder.mkdir()
    (folder / "01_rebound_release.ipynb").write_text("mine", encoding="utf-8")
    assert main(["open", "--class-view", str(folder)]) == 7
    assert (folder / "01_rebound_release.ipynb").read_text(encoding="utf-8") == "mine"
    assert "Kept as you left them" in capsys.readouterr().out
    assert not any(part.startswith("--Voila.port") for part in started[0][0])


def test_without_voila_it_is_said_how_to_install_it(started: Started, tmp_path: Path, capsys, monkeypatch):
    monkeypatch.setattr(class_view.importlib.util, "find_spec", lambda name: None)
    assert main(["open", "--class-view", str(tmp_path / "class")]) == 2
    err = capsys.readouterr().err
    assert "pip install" in err
    assert "voila" in err
    assert is_one_sentence(err.removesuffix("\n")), err
    assert not (tmp_path / "class").exists()
    assert started == []


def test_a_port_or_folder_that_cannot_be_used_is_told_as_ever(started: Started, tmp_path: Path, capsys):
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        taken = other.getsockname()[1]
        for arguments, code, wanted in (
            ([str(tmp_path / "class"), "--port", str(taken)], 2, f"--port {taken} is taken"),
            ([str(tmp_path / "class"), "--port", "80"], 2, "1024 to 65535"),
            ([str(tmp_path / "file")], 3, "is a file, where a folder was expected"),
        ):
            assert main(["open", "--class-view", *arguments]) == code
            err = capsys.readouterr().err
            assert wanted in err
            assert is_one_sentence(err.removesuffix("\n")), err
    assert started == []


def test_only_paragraphs_on_how_to_run_go_and_the_first_heading_is_the_title():
    notebook = nb.new_notebook(
        cells=[
            nb.new_code_cell("# Not a heading"),
            nb.new_markdown_cell(
                "# Rebound: *push*, let go\n\n**How to run this page:** wait, then\nrun all cells.\n\nThe rest stays."
            ),
            nb.new_markdown_cell("Read **How to run this page:** again."),
        ]
    )
    read = settings.prepared(SimpleNamespace(xsrf_token=b""), notebook, "")
    assert read.cells[1].source == "# Rebound: *push*, let go\n\nThe rest stays."
    assert read.cells[2].source == "Read **How to run this page:** again."
    assert read.metadata["title"] == "Rebound: push, let go"
    assert settings.title(nb.new_notebook()) == "Suspension lab"


def test_the_list_of_lessons_is_made_from_the_files(tmp_path: Path):
    for name in ("01_b.ipynb", "00_a.ipynb", "glossary.ipynb", "mine.ipynb", "02_c.txt"):
        (tmp_path / name).touch()
    manager = SimpleNamespace(root_dir=str(tmp_path))
    page = settings.with_lessons({"k": 1}, notebook_path="01_b.ipynb", settings={"contents_manager": manager}, log=None)
    assert page["k"] == 1
    assert [(one["name"], one["number"], one["here"]) for one in page["lessons"]] == [
        ("00_a.ipynb", "00", False),
        ("01_b.ipynb", "01", True),
    ]


def test_what_is_told_culls_idle_pages_but_not_soon(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("JUPYTER_PATH", "elsewhere")
    config = Config()
    settings.tell(config, forked=False)
    kernels = config.MappingKernelManager
    assert kernels.cull_connected is True
    assert 20 * 60 <= kernels.cull_idle_timeout <= 60 * 60
    assert config.VoilaConfiguration.template == "lesson"
    assert (settings.TEMPLATES / "nbconvert" / "templates" / "lesson" / "index.html.j2").exists()
    assert "KernelProvisionerFactory" not in config
    settings.tell(config, forked=False)
    assert settings.os.environ["JUPYTER_PATH"] == f"{settings.TEMPLATES}{settings.os.pathsep}elsewhere"
