"""The secret by which links to kits' files are signed: from a file, or made beside kits' files."""

from __future__ import annotations

import secrets
from pathlib import Path

from service.storage.files import Files

NAME = "link-secret"
_BYTES = 32


def link_secret(files: Files, stated: Path | None) -> bytes:
    """Return the secret; the first link makes it where no file is stated.

    It is read each time, so that all processes have the same one, and that all links end when it is
    deleted or replaced.

    Args:
        files: the data folder or the object store, which all processes share.
        stated: the operator's own file.

    Raises:
        OSError: when it can be neither read nor made.
    """
    if stated is not None:
        return stated.read_bytes().strip()
    try:
        return files.read(NAME)
    except FileNotFoundError:
        files.write(NAME, secrets.token_hex(_BYTES).encode())
    # Another process may have written its own in between: the last one counts for all.
    return files.read(NAME)
