"""A plug-in's process opens nothing but code, writes nothing and reaches no network."""

from __future__ import annotations

import logging

import pytest

from adapters import registry
from adapters.errors import BrokenPluginError
from adapters.sandbox.confinement import landlock_version
from service.serving import plugin_warning
from tests.roundtrip import plans
from tests.roundtrip.odd_plugin import Plug

#: What a plug-in must not do; SECRET is a file beside its code, PORT a listening port.
TRIES = {
    "read a file": "open({secret!r}).read()",
    "write a file": "open({secret!r} + '.new', 'w')",
    "list a folder": "os.listdir({folder!r})",
    "delete a file": "os.remove({secret!r})",
    "connect": "__import__('socket').create_connection(('127.0.0.1', 9))",
    "listen": "__import__('socket').create_server(('127.0.0.1', 0))",
}


@pytest.mark.parametrize("what", TRIES)
def test_it_is_kept_from_files_and_network(
    plug: Plug, tmp_path_factory: pytest.TempPathFactory, what: str
) -> None:
    if not landlock_version():
        pytest.skip("this kernel has no Landlock: plug-ins are NOT confined")
    folder = tmp_path_factory.mktemp("data")
    secret = folder / "secret"
    secret.write_text("key")
    line = TRIES[what].format(secret=str(secret), folder=str(folder))
    plug(
        "def write(self, plan, settings):\n"
        f"    if len(plan.strokes) > 6:\n        {line}\n"
        '    return Written(b"odd")'
    )
    with pytest.raises(BrokenPluginError, match=r"PermissionError|OSError"):
        registry.write("odd", plans.plan(), {})
    assert secret.read_text() == "key"
    assert list(folder.iterdir()) == [secret]


def test_it_gets_no_secrets_by_its_environment(plug: Plug, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("QUARTERSEAM_DATABASE_URL", "secret")
    plug('def write(self, plan, settings):\n    return Written(" ".join(os.environ).encode())')
    assert b"QUARTERSEAM" not in registry.write("odd", plans.plan(), {}).data


def test_a_start_without_landlock_is_warned_of(
    plug: Plug, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    plug()
    with caplog.at_level(logging.WARNING):
        monkeypatch.setattr(plugin_warning, "landlock_version", lambda: 7)
        plugin_warning.warn_of_unconfined_plugins()
        assert not caplog.records
        monkeypatch.setattr(plugin_warning, "landlock_version", lambda: 0)
        plugin_warning.warn_of_unconfined_plugins()
    assert "odd" in caplog.text
    assert "Landlock" in caplog.text
