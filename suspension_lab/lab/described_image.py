"""A picture with a sentence for those who cannot see it: ipywidgets' own image has no place for one."""

from __future__ import annotations

import base64
import html


def described_image(png: bytes, alt: str, *, width: int = 860) -> str:
    """An HTML image.

    Args:
        png: the picture.
        alt: what it shows, in words.
        width: at most [screen pixels].
    """
    data = base64.b64encode(png).decode()
    style = f"display:block;width:100%;max-width:{width}px"
    return f'<img src="data:image/png;base64,{data}" alt="{html.escape(alt)}" style="{style}">'
