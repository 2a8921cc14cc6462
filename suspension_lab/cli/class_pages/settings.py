"""What Voila is told, so that a notebook becomes a page of the lab's own look.

On a hub, its users' servers are told the same by a file with two lines; see the README.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

from suspension_lab.cli.kernels.forked import fork_kernels
from suspension_lab.cli.serving import THREADS, USUAL_FOLDER, lay_state
from suspension_lab.cli.working_folder import fill, made

TEMPLATE = "lesson"
TEMPLATES = Path(__file__).parent / "jupyter"
IDLE = 30 * 60
"""A page that nobody has touched for so long is put away [s]: longer than one reads without moving a slider, shorter
than a room's lunch."""
NEEDED = ["anywidget", "@jupyter-widgets/jupyterlab-manager", "@voila-dashboards/widgets-manager8"]
"""Of the extensions that may be installed, those that a lesson needs."""
FAILED = "Load the page again; if it fails again, tell whoever looks after the lab."
HOW_TO_RUN = re.compile(r"\*\*how to run this page", re.IGNORECASE)
"""How a paragraph begins that tells how to run the cells of a notebook."""
LESSON = re.compile(r"\d\d_\w+\.ipynb")


def tell(config: Any, *, forked: bool = True) -> None:
    """Fill a configuration of Jupyter's with what makes the class view.

    Args:
        config: `c` of a configuration file.
        forked: kernels are forked from one that has loaded the lab, where the system can.
    """
    paths = os.environ.get("JUPYTER_PATH", "").split(os.pathsep)
    if str(TEMPLATES) not in paths:
        os.environ["JUPYTER_PATH"] = os.pathsep.join([str(TEMPLATES), *filter(None, paths)])
    voila = config.VoilaConfiguration
    voila.template = TEMPLATE
    voila.allow_template_override = voila.allow_theme_override = "NO"
    # A lesson's text is there at once, and each bench as soon as it is worked out.
    voila.progressive_rendering = True
    voila.extension_allowlist = NEEDED
    voila.prelaunch_hook = prepared
    voila.page_config_hook = with_lessons
    # The one is Voila's own server's, the other that of a user's server on a hub.
    voila.multi_kernel_manager_class = config.ServerApp.kernel_manager_class = (
        "suspension_lab.cli.class_pages.culling.LessonKernels"
    )
    config.VoilaExecutor.cell_error_instruction = FAILED
    # When a whole room opens its pages at once, a bench comes late; by itself it would be given up after 4 s.
    config.VoilaExecutor.iopub_timeout = 120
    kernels = config.MappingKernelManager
    kernels.cull_idle_timeout, kernels.cull_interval, kernels.cull_connected = IDLE, 60, True
    if forked:
        fork_kernels()


def tell_hub_server(config: Any, folder: str = USUAL_FOLDER) -> None:
    """Fill the folder of a hub's user, and make the class view of the user's own server.

    Args:
        config: `c` of that server's configuration file.
        folder: the working folder, in the user's home as a rule.
    """
    place = made(Path(folder))
    fill(place)
    os.environ.update(THREADS | {"IPYTHONDIR": str(lay_state(place, {}) / "ipython"), "JUPYTER_WIDGETS_ECHO": "0"})
    config.ServerApp.root_dir = str(place)
    tell(config)


def prepared(handler: Any, notebook: Any, cwd: str) -> Any:
    """The notebook without paragraphs on how to run it, and with its first heading as its title.

    As Voila asks it before a page is sent, it also gives the browser the cookie without which a page that is closed may
    not end its kernel.
    """
    _ = handler.xsrf_token
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            paragraphs = re.split(r"\n\s*\n", cell.source)
            cell.source = "\n\n".join(text for text in paragraphs if not HOW_TO_RUN.match(text.lstrip()))
    notebook.metadata["title"] = title(notebook)
    return notebook


def with_lessons(page_config: dict[str, Any], *, notebook_path: str, settings: Any, **_: Any) -> dict[str, Any]:
    """The page's configuration with the lessons of its folder, in order, and which of them it is itself."""
    name = Path(notebook_path).name
    folder = Path(settings["contents_manager"].root_dir) / Path(notebook_path).parent
    lessons = [
        {"name": file.name, "number": file.name[:2], "here": file.name == name}
        for file in sorted(folder.glob("*.ipynb"))
        if LESSON.fullmatch(file.name)
    ]
    # With neither of the two, formulas are set by what Voila brings along, and nothing is fetched from elsewhere.
    return page_config | {"lessons": lessons, "fullMathjaxUrl": None, "mathjaxConfig": None}


def title(notebook: Any) -> str:
    """A notebook's first heading, as plain text."""
    for cell in notebook.cells:
        if cell.cell_type == "markdown" and (found := re.search(r"^#\s+(.+)$", cell.source, re.MULTILINE)):
            return re.sub(r"[*_`]", "", found.group(1)).strip()
    return "Suspension lab"
