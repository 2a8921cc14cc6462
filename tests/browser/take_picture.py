"""Make the README's picture: a bench of a running lab, photographed.

python tests/browser/take_picture.py
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from lab_in_browser import lab_page, running_lab


def main() -> None:
    out = Path(__file__).parents[2] / "data" / "pictures" / "bench.png"
    out.parent.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as work,
        running_lab(Path(work) / "lab") as lab,
        lab_page(lab, height=1700) as page,
    ):
        page.open("03_sharp_and_long_bumps.ipynb")
        page.run_all()
        bench = page.bench()
        bench.click("Keep this run in grey")
        bench.type_number("Compression, high speed", "0")
        bench.screen.locator("xpath=ancestor::*[contains(@class, 'jp-OutputArea-output')][1]").screenshot(path=out)


if __name__ == "__main__":
    main()
