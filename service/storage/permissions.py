"""Permissions of the data folder: only its owner may read and write it."""

from __future__ import annotations

import contextlib
import os
import stat
from pathlib import Path

FOLDER_MODE = 0o700
FILE_MODE = 0o600
_OTHERS = 0o077


class NotOursError(OSError):
    """The data folder, or something in it, cannot be used by this process's user."""


def make_private(folder: Path, mark: str) -> None:
    """Create the data folder, accessible to its owner only.

    An existing folder is changed only when it is empty or holds ``mark``; otherwise others may be
    using it.

    Raises:
        NotOursError: when it cannot be used; names the owner, the path and the remedy.
        OSError: when it cannot be created.
    """
    try:
        folder.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
        check_access(folder, os.R_OK | os.W_OK | os.X_OK)
        found = folder.stat()
        shut = not found.st_mode & _OTHERS or found.st_mode & stat.S_ISVTX
        if not shut and found.st_uid == os.geteuid() and _is_own(folder, mark):
            folder.chmod(FOLDER_MODE)
    except PermissionError as error:
        path = Path(error.filename or folder)
        raise NotOursError(_told(path) if _can_be_seen(folder) else _missing(folder)) from error


def _is_own(folder: Path, mark: str) -> bool:
    return (folder / mark).exists() or next(folder.iterdir(), None) is None


def make_file_private(path: Path) -> None:
    """Make a file that only its owner may read, or shut one that is there.

    The file is never opened: closing it again would drop the locks that this process's other
    connections to the same SQLite database hold (https://www.sqlite.org/howtocorrupt.html, 2.2).

    Raises:
        NotOursError: when it is another user's.
        OSError: when it cannot be created.
    """
    try:
        with contextlib.suppress(FileExistsError):
            os.mknod(path, stat.S_IFREG | FILE_MODE)
        check_access(path, os.R_OK | os.W_OK)
        found = path.stat()
        if found.st_mode & _OTHERS and found.st_uid == os.geteuid():
            path.chmod(FILE_MODE)
    except PermissionError as error:
        raise NotOursError(_told(path)) from error


def check_access(path: Path, wanted: int) -> None:
    """Refuse a file or folder that this process's user may not use.

    Raises:
        NotOursError: with the owner, the path and the remedy.
    """
    if path.exists() and not os.access(path, wanted):
        raise NotOursError(_told(path))


def _told(path: Path) -> str:
    """Return what is wrong and how to put it right."""
    user, group = os.geteuid(), os.getegid()
    own = next((each for each in (path, *path.parents) if _can_be_seen(each)), path)
    found = own.stat()
    mode = stat.S_IMODE(found.st_mode)
    return (
        f"{own} belongs to uid {found.st_uid} (mode {mode:04o}) and this process runs as uid "
        f"{user}: it cannot read and write there. As root, run: chown -R {user}:{group} {own}. For "
        f"a Docker volume: docker run --rm --user 0 -v VOLUME:{own} IMAGE chown -R {user}:{group} "
        f"{own}. "
        "Or set QUARTERSEAM_DATA to a folder of your own."
    )


def _missing(folder: Path) -> str:
    """Return why a folder cannot be made, and how to make it; others keep the folder around it."""
    user, group = os.geteuid(), os.getegid()
    around = next(each for each in folder.absolute().parents if _can_be_seen(each))
    found = around.stat()
    return (
        f"{folder} cannot be made: {around} belongs to uid {found.st_uid} (mode "
        f"{stat.S_IMODE(found.st_mode):04o}) and this process runs as uid {user}. As root, run: "
        f"install -d -o {user} -g {group} -m 0700 {folder}. Or set QUARTERSEAM_DATA to a folder of "
        "your own."
    )


def _can_be_seen(path: Path) -> bool:
    try:
        path.stat()
    except OSError:
        return False
    return True
