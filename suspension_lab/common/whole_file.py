"""A file is written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import uuid
from collections.abc import Iterator
from pathlib import Path


@contextlib.contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """A place beside a file's, to be written to; once that is done it is on the disk and takes the file's place.

    Args:
        path: what stands there is replaced; after a fault it stands as it did.

    Raises:
        OSError: a place that cannot be written to.
    """
    part = path.with_name(f".part-{uuid.uuid4().hex}{path.suffix}")
    try:
        yield part
        with part.open("rb+") as written:
            os.fsync(written.fileno())
        part.replace(path)
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
