"""What axe-core finds in a page that people with a screen reader, a keyboard or weak eyes would stumble over."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

SCRIPT = Path(__file__).parent / "browser" / "node_modules" / "axe-core" / "axe.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]
FIELDS = ".noUi-handle, input:not([type=hidden]), select, textarea, button, progress, [role=progressbar]"
INSTALL = "npm ci --prefix tests/browser"


def violations(page: Page, selector: str) -> list[str]:
    """WCAG 2.1 A and AA in what a selector finds, a sentence for each element at fault.

    What is scrolled out of sight inside a frame of the page has no contrast for axe-core: make the page tall enough.

    Args:
        page: shows what is looked at.
        selector: of what is looked at; nothing found is a fault of the test.
    """
    if not SCRIPT.exists():
        pytest.fail(f"axe-core is not installed; run: {INSTALL}", pytrace=False)
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(SCRIPT.read_text(encoding="utf-8"))
    found = page.evaluate(
        """async ([selector, tags]) => {
            // JupyterLab lays itself over a body without a height, and axe-core takes all in it for hidden.
            for (const node of [document.documentElement, document.body]) node.style.minHeight = '100%';
            document.documentElement.style.height = '100%';
            const answer = await axe.run({include: [selector]}, {
                runOnly: {type: 'tag', values: tags}, resultTypes: ['violations'], elementRef: false,
            });
            return answer.violations;
        }""",
        [selector, TAGS],
    )
    return [_told(rule, node) for rule in found for node in rule["nodes"]]


def unnamed(page: Page, within: str) -> list[str]:
    """Controls without a name of their own; a title alone is not read by every screen reader."""
    found: list[str] = page.evaluate(
        """([within, fields]) => {
            const named = node => (node.getAttribute('aria-label') ?? '').trim() || node.textContent.trim()
                || Array.from(node.labels ?? []).some(label => label.textContent.trim() && label.offsetWidth);
            const parts = Array.from(document.querySelectorAll(within));
            return parts.flatMap(part => Array.from(part.querySelectorAll(fields)))
                .filter(node => node.checkVisibility() && !named(node)).map(node => node.outerHTML.slice(0, 200));
        }""",
        [within, FIELDS],
    )
    return found


def _told(rule: dict[str, Any], node: dict[str, Any]) -> str:
    why = " ".join(node["failureSummary"].split())
    return f"{rule['id']} ({rule['help']}) at {node['html'][:160]}: {why[:300]}"
