"""Importing the lab is light, and its rooms import only backwards along the one corridor."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
HEAVY = ("matplotlib", "ipywidgets", "anywidget", "numba", "IPython", "scipy", "pydantic")


def loaded_after(code):
    """Names of the top-level modules loaded in a fresh process after running some code."""
    script = f"{code}\nimport sys\nprint('LOADED', *sorted({{name.split('.')[0] for name in sys.modules}}))"
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=ROOT)
    line = next(line for line in run.stdout.splitlines() if line.startswith("LOADED"))
    return set(line.split()[1:])


def test_importing_the_lab_loads_nothing_heavy():
    loaded = loaded_after("import suspension_lab")
    assert "numpy" in loaded
    assert not loaded & set(HEAVY)


def test_a_run_loads_the_compiler_and_draws_nothing():
    loaded = loaded_after(
        "import suspension_lab as lab\n"
        "lab.simulate(lab.load_station('classroom_rig'), lab.Release(depth=0.01), 0.1)"
    )  # fmt: skip
    assert "numba" in loaded
    assert not loaded & {"matplotlib", "ipywidgets", "anywidget", "IPython"}


def test_everything_that_is_offered_exists():
    import suspension_lab as lab

    missing = [name for name in lab.__all__ if not hasattr(lab, name)]
    assert missing == []


def test_rooms_import_only_backwards():
    """The layers and forbidden imports written in pyproject.toml."""
    pytest.importorskip("importlinter")
    lint = Path(sys.executable).with_name("lint-imports")
    run = subprocess.run([str(lint), "--no-cache"], capture_output=True, text=True, cwd=ROOT)
    assert run.returncode == 0, run.stdout + run.stderr
