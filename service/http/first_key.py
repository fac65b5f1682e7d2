"""The first key: created by a server's first start, or read from a secret file."""

from __future__ import annotations

import re
import sys
from pathlib import Path

from service.http.auth import required
from service.settings import Settings, SettingsError
from service.storage.api_keys import RevokedKeyError
from service.storage.store import Store

_FORM = re.compile(r"([A-Za-z0-9_-]{1,12})\.([A-Za-z0-9_-]{32,150})")
_SCOPE = "write"
_MADE = """\
Requests need a key and there was none, so one was made. It is shown only now:

    {key}

Send it in a header: Authorization: Bearer KEY. It may read and write. Make others with
`python -m service keys add NAME --scope read`; replace this one with `keys add` and `keys revoke`.
"""
_NONE_LEFT = (
    "Requests need a key, and all keys were revoked. Create one with: "
    "python -m service keys add NAME --scope write."
)


def ensure(settings: Settings) -> None:
    """Create a key if requests need one and there is none; print it once.

    Raises:
        SettingsError: when the secret file cannot be used, or all keys were revoked.
    """
    if not required(settings):
        return
    store = Store(settings, reads_files=False)
    try:
        if settings.key_file is not None:
            _keep_stated(store, settings.key_file)
        elif not any(each.revoked_us is None for each in store.keys.all()):
            _make(store)
    finally:
        store.close()


def _make(store: Store) -> None:
    key = store.keys.add_first(_SCOPE)
    if key is not None:
        sys.stdout.write(_MADE.format(key=key))
        sys.stdout.flush()
    elif not any(each.revoked_us is None for each in store.keys.all()):
        raise SettingsError((_NONE_LEFT,))


def _keep_stated(store: Store, path: Path) -> None:
    try:
        text = path.read_text(encoding="ascii").strip()
    except (OSError, UnicodeDecodeError) as error:
        fault = f"QUARTERSEAM_KEY_FILE: {path} cannot be read ({type(error).__name__})."
        raise SettingsError((fault,)) from None
    found = _FORM.fullmatch(text)
    if found is None:
        fault = (
            f"QUARTERSEAM_KEY_FILE: {path} must hold one key, NAME.SECRET: a name of up to 12 and "
            "a secret of at least 32 letters, digits, - and _. One way to make it: "
            'echo "studio.$(openssl rand -hex 32)".'
        )
        raise SettingsError((fault,))
    try:
        store.keys.put(found[1], found[2], _SCOPE)
    except RevokedKeyError:
        fault = (
            f"QUARTERSEAM_KEY_FILE: the key {found[1]} was revoked; put one with another name "
            f"into {path}."
        )
        raise SettingsError((fault,)) from None
