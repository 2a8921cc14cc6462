"""Pixels as PNG, quickly."""

from __future__ import annotations

import struct

import numpy as np
from isal import isal_zlib
from numpy.typing import NDArray

SIGNATURE = b"\x89PNG\r\n\x1a\n"


def encode_png(pixels: NDArray[np.uint8]) -> bytes:
    """An 8-bit RGBA image as PNG (ISO/IEC 15948), without row filters.

    General image libraries try five filters on every row, which takes four times as long on such pictures and
    gains nothing: they are mostly white. Packed by ISA-L, which takes an eighth of zlib's time for the same size.

    Args:
        pixels: (height, width, 4).
    """
    height, width, _ = pixels.shape
    rows = np.zeros((height, 1 + 4 * width), dtype=np.uint8)
    rows[:, 1:] = pixels.reshape(height, 4 * width)
    header = struct.pack(">IIBBBBB", width, height, 8, 6, 0, 0, 0)
    packed = isal_zlib.compress(rows.tobytes(), 1)
    return SIGNATURE + _chunk(b"IHDR", header) + _chunk(b"IDAT", packed) + _chunk(b"IEND", b"")


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", isal_zlib.crc32(kind + data))
