"""Files in a bucket of an object store that speaks S3, by obstore.

Credentials, region and address come from the variables that S3's other clients read
(``AWS_ACCESS_KEY_ID``, ``AWS_SECRET_ACCESS_KEY``, ``AWS_REGION``, ``AWS_ENDPOINT_URL``). Plain HTTP
needs ``AWS_ALLOW_HTTP=true``.

obstore starts threads at the first request, which a fork does not copy: a process that forks others
must make no request itself (``service/serving/first_look.py``).
"""

from __future__ import annotations

import contextlib
import errno
import io
import os
import secrets
from collections.abc import Iterator
from datetime import timedelta
from functools import cached_property
from typing import BinaryIO, cast
from urllib.parse import urlsplit

from obstore.exceptions import BaseError
from obstore.store import S3Store

from service.storage.found_files import FilesUnreachableError, FoundFile

_CONNECT = timedelta(seconds=5)
#: For one request, with its retries: a server's thread waits for it.
_REQUEST = timedelta(seconds=30)
_RETRIES = 3
_RETRY = timedelta(seconds=15)
_PART = 1 << 18
_MARK = "identity"
#: The longest text of an error that is passed on; the rest repeats the request.
_MAX_TEXT = 300


class BucketFiles:
    """Files in a bucket; see ``Files``.

    Args:
        address: ``s3://BUCKET`` or ``s3://BUCKET/PREFIX``.
    """

    def __init__(self, address: str) -> None:
        self._address = address.rstrip("/")

    @cached_property
    def _bucket(self) -> S3Store:
        parts = urlsplit(self._address)
        with self._asking(""):
            return S3Store(
                parts.netloc,
                prefix=parts.path.strip("/") or None,
                client_options={
                    "connect_timeout": _CONNECT,
                    "timeout": _REQUEST,
                    # Options that are stated replace those of the environment.
                    "allow_http": os.environ.get("AWS_ALLOW_HTTP", "").lower() == "true",
                },
                retry_config={"max_retries": _RETRIES, "retry_timeout": _RETRY},
            )

    @contextlib.contextmanager
    def _asking(self, name: str) -> Iterator[None]:
        """Raise the library's errors as ``OSError``."""
        try:
            yield
        except FileNotFoundError as error:
            if "NoSuchBucket" not in str(error):
                raise FileNotFoundError(
                    errno.ENOENT, os.strerror(errno.ENOENT), self.place(name)
                ) from None
            raise FilesUnreachableError(f"There is no bucket for {self._address}.") from None
        except FilesUnreachableError:
            raise
        except (BaseError, OSError, ValueError) as error:
            # Behind it the library describes its own parts.
            text = " ".join(str(error).partition("Debug source")[0].split())[:_MAX_TEXT]
            raise FilesUnreachableError(f"{self._address} cannot be used: {text}") from None

    def read(self, name: str) -> bytes:
        """Return a file."""
        with self._asking(name):
            return self._bucket.get(name).bytes().to_bytes()

    def open(self, name: str) -> BinaryIO:
        """Open a file for reading in parts."""
        with self._asking(name):
            size = int(self._bucket.head(name)["size"])
        return cast("BinaryIO", io.BufferedReader(_Ranges(self, name, size), _PART))

    def read_range(self, name: str, start: int, end: int) -> bytes:
        """Return the bytes of a file from ``start`` to before ``end``."""
        with self._asking(name):
            return self._bucket.get_range(name, start=start, end=end).to_bytes()

    def write(self, name: str, data: bytes) -> None:
        """Write a file in one request: it is replaced when all of it has arrived."""
        with self._asking(name):
            self._bucket.put(name, data, use_multipart=False)

    def delete(self, name: str) -> bool:
        """Delete a file; return true, as object stores do not say whether it was there."""
        with self._asking(name), contextlib.suppress(FileNotFoundError):
            self._bucket.delete(name)
        return True

    def move(self, name: str, target: str) -> None:
        """Give a file another name: it is copied first, so that a kill leaves one of both."""
        with self._asking(name):
            self._bucket.copy(name, target)
        self.delete(name)

    def exists(self, name: str) -> bool:
        """Return whether there is such a file."""
        try:
            self.modified_s(name)
        except FileNotFoundError:
            return False
        return True

    def modified_s(self, name: str) -> float:
        """Return when a file was written."""
        with self._asking(name):
            return self._bucket.head(name)["last_modified"].timestamp()

    def list(self, folder: str) -> Iterator[FoundFile]:
        """Yield the files of a folder and of its subfolders, a page at a time."""
        with self._asking(folder):
            pages = iter(self._bucket.list(folder))
        while True:
            with self._asking(folder):
                page = next(pages, None)
            if page is None:
                return
            for each in page:
                yield FoundFile(each["path"], each["size"], each["last_modified"].timestamp())

    def now_s(self) -> float:
        """Return the object store's time."""
        name = f"now-{secrets.token_hex(8)}"
        self.write(name, b"")
        try:
            return self.modified_s(name)
        finally:
            self.delete(name)

    def check(self) -> None:
        """Check that the bucket answers and holds the store's id."""
        self.modified_s(_MARK)

    def place(self, name: str) -> str:
        """Return a file's address."""
        return f"{self._address}/{name}" if name else self._address


class _Ranges(io.RawIOBase):
    """A file of a bucket, read in ranges."""

    def __init__(self, files: BucketFiles, name: str, size: int) -> None:
        super().__init__()
        self._files, self._name, self._size, self._at = files, name, size, 0

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def seek(self, offset: int, whence: int = os.SEEK_SET) -> int:
        start = {os.SEEK_SET: 0, os.SEEK_CUR: self._at, os.SEEK_END: self._size}[whence]
        self._at = max(0, start + offset)
        return self._at

    def tell(self) -> int:
        return self._at

    def readinto(self, buffer: object) -> int:
        view = memoryview(cast("bytearray", buffer)).cast("B")
        count = min(len(view), self._size - self._at)
        if count <= 0:
            return 0
        view[:count] = self._files.read_range(self._name, self._at, self._at + count)
        self._at += count
        return count
