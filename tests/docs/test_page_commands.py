"""Every command of the guides is run: here, by a named test, or by a script that reads it.

A command that is added to a guide and that nothing runs makes this fail. The scripts in docker/ run
in `.ci/long` (`docker/move_smoke.sh`) or by themselves (`docker/studio_smoke.sh`, some minutes).
"""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from service.app import create_app
from service.cli import main
from service.http.first_key import _FORM
from service.requests.callbacks import secret_bytes
from service.settings import Settings, from_environment
from service.storage.store import Store
from tests.docs.page_commands import GUIDES, ROOT, blocks, in_blocks, in_sentences, joined, read_by
from tests.live import live_jobs

SCRIPTS = ("docker/studio_smoke.sh", "docker/move_smoke.sh")
#: Commands that need more than a data folder, the tests that run them, and what shows it there.
NAMED = {
    "python -m service move": (
        "tests/live/test_service_operations.py", "test_one_machine_becomes_several", '"move"',
    ),
    "python -m service import OLD_FOLDER/kits": (
        "tests/live/test_service_operations.py",
        "test_a_lost_database_is_made_again_from_the_old_folder", '"import", str(server.data',
    ),
    "python3 -m service healthy": (
        "tests/unit/test_healthy.py",
        "test_only_a_row_of_failures_after_an_answer_ends_a_container", "healthy",
    ),
    "python -m service worker": (
        "tests/live/test_jobs_engines.py",
        "test_a_database_that_goes_away_in_mid_job_and_comes_back", "live_jobs.WORKER",
    ),
    ".venv/bin/python -m service serve --host 127.0.0.1 --port 8080 &": (
        "tests/docs/test_readme.py", "server", '"serve", "--port"',
    ),
    "python -m service load http://127.0.0.1:8080 --clients 4 --seconds 30": (
        "tests/live/test_load_command.py", "test_every_kind_is_timed_and_nothing_is_left",
        'main(["load", server.url, "--clients"',
    ),
    "python -m service load https://studio.internal:8443 --key-file key.txt --kind kits "
    "--max-p99-ms 2000": (
        "tests/live/test_load_command.py", "test_a_key_is_sent_over_tls", '"--max-p99-ms"',
    ),
    "OTEL_EXPORTER_OTLP_ENDPOINT=http://collector.internal:4318 python -m service serve": (
        "tests/live/test_traces_otlp.py",
        "test_a_collector_gets_one_trace_of_server_worker_child_and_adapter",
        '"OTEL_EXPORTER_OTLP_ENDPOINT": collector.url',
    ),
}  # fmt: skip
#: What makes secrets: each is taken by the service.
SECRETS = {
    'echo "studio.$(openssl rand -hex 32)"': lambda made: _FORM.fullmatch(made) is not None,
    'echo "whsec_$(openssl rand -base64 32)"': lambda made: len(secret_bytes(made)) == 32,
    "openssl rand -hex 32": lambda made: re.fullmatch("[0-9a-f]{64}", made) is not None,
}
_OURS = re.compile(r"(python3? -m service|keys) ")


def _all() -> list[str]:
    return list(dict.fromkeys(c for g in GUIDES for c in (*in_blocks(g), *in_sentences(g))))


def _run_here() -> list[str]:
    """Return the commands of the service's own that the first test below runs, in order."""
    found = [each for each in _all() if _OURS.match(each) and each not in NAMED]
    return [f"python -m service {each}" if each.startswith("keys ") else each for each in found]


def _run_by_others() -> set[str]:
    found = {each for script in SCRIPTS for each in read_by(script)}
    # Those for PostgreSQL: blocks that begin with a word.
    tested = (ROOT / "tests/live/test_backup_postgres.py").read_text(encoding="utf-8")
    words = set(re.findall(r'_block\("(\w+)"\)', tested))
    for _, lines in blocks("openapi/OPERATIONS.md"):
        if lines[0].split()[0] in words:
            found.update(joined(lines))
    # Those for kubectl, and the README's, but for the set-ups of containers.
    kubernetes = (ROOT / "tests/docs/test_kubernetes.py").read_text(encoding="utf-8")
    if "in_blocks(" in kubernetes:
        found.update(c for c in in_blocks("openapi/OPERATIONS.md") if c.startswith("kubectl "))
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for fence in re.findall(r"^```(?:bash|sh)\n(.*?)^```$", readme, re.MULTILINE | re.DOTALL):
        if "service serve" not in fence:
            found.update(joined(fence.splitlines()))
    # How a callback is verified.
    sending = (ROOT / "tests/contract/test_callback_sending.py").read_text(encoding="utf-8")
    assert '"CALLBACKS.md"' in sending
    for before, lines in blocks("openapi/CALLBACKS.md"):
        if "openssl" in before or "openssl" in lines[-1]:
            found.update(joined(lines))
    return found


def test_nothing_is_on_a_page_that_nothing_runs() -> None:
    others, here = _run_by_others(), set(_run_here())
    settings = {each for each in _all() if re.fullmatch(r"QUARTERSEAM_\w+=\S+", each)}
    left = [
        each for each in _all()
        if each not in {*others, *here, *NAMED, *SECRETS, *settings}
        and f"python -m service {each}" not in here
    ]  # fmt: skip
    assert left == []
    for setting in settings:
        name, _, value = setting.partition("=")
        from_environment({name: value})


@pytest.mark.parametrize("command", NAMED)
def test_the_test_that_is_named_is_there(command: str) -> None:
    assert command in _all()
    file, name, shows = NAMED[command]
    source = (ROOT / file).read_text(encoding="utf-8")
    found = re.search(rf"^def {name}\(.*?(?=^def |^@pytest|\Z)", source, re.MULTILINE | re.DOTALL)
    assert found is not None
    assert shows in found[0]


def test_a_command_that_nothing_runs_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever kind of command is added, in a block or in a sentence."""
    page = (ROOT / "openapi/OPERATIONS.md").read_text(encoding="utf-8")
    for more in (
        "\nSo:\n\n    docker compose -f docker/compose.yaml pause\n",
        "\nRun `docker system prune -a` then.\n",
        "\nNow:\n\n    pg_dumpall --clean\n",
        "\nNow:\n\n    kubectl drain node\n\n",
    ):

        def text_of(guide: str, more: str = more) -> str:
            found = (ROOT / guide).read_text(encoding="utf-8")
            return found + more if found == page else found

        monkeypatch.setattr("tests.docs.page_commands.text_of", text_of)
        if "kubectl" in more:
            # It is run with the others, by the test that reads them all.
            assert "kubectl drain node" in _run_by_others()
            continue
        with pytest.raises(AssertionError):
            test_nothing_is_on_a_page_that_nothing_runs()


@pytest.mark.parametrize("command", SECRETS)
def test_secrets_that_a_page_makes_can_be_used(command: str) -> None:
    if shutil.which("openssl") is None:
        pytest.skip("openssl is not installed: the command was NOT run")
    assert command in _all()
    made = subprocess.run(
        ["bash", "-euc", command], capture_output=True, text=True, check=True, timeout=600
    )
    assert SECRETS[command](made.stdout.strip())


class _Owner:
    """A person with a data folder who types what the pages say."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.folder, self.monkeypatch = folder, monkeypatch
        self.use("data")
        body = live_jobs.small_kit("Pier")
        app = create_app(Settings(data=self.data, compute_seconds=600))
        made = app.test_client().post("/v1/kits", json=body)
        assert made.status_code == 201, made.text
        self.kit_id = made.get_json()["id"]
        store: Store = app.extensions["quarterseam-store"]()
        self.zip = store.kits.read(self.kit_id)
        self.ids = {"ID": store.keys.add("bench", "write"), "OTHER": store.keys.add("x", "write")}
        assert store.keys.add_first("write")
        store.close()

    def use(self, name: str) -> None:
        self.data = self.folder / name
        self.monkeypatch.setenv("QUARTERSEAM_DATA", str(self.data))

    def has_kit(self) -> bool:
        store = Store(Settings(data=self.data))
        whole = store.kits.archive(self.kit_id)
        store.close()
        return whole is not None and whole.data == self.zip

    def _file(self) -> Path:
        (found,) = self.data.glob(f"kits/*/{self.kit_id}.zip")
        return found

    def before(self, command: str) -> None:
        """Bring about what a command is for."""
        if command.endswith("restore kits.tar"):
            self.use("restored")
        elif command.endswith("--backup kits.tar"):
            self._file().unlink()
            assert not self.has_kit_file()
        elif " import" in command:
            kept = self.folder / "kept.zip"
            shutil.copy(self._file(), kept)
            store = Store(Settings(data=self.data))
            assert store.kits.delete(self.kit_id)
            store.close()
            if command.endswith("import"):
                place = self.data / "lost-and-found" / f"{self.kit_id}.zip"
                place.parent.mkdir(exist_ok=True)
                shutil.copy(kept, place)
            assert not self.has_kit()

    def has_kit_file(self) -> bool:
        return bool(list(self.data.glob(f"kits/*/{self.kit_id}.zip")))

    def words(self, command: str) -> list[str]:
        """Return a command's words with this owner's names in place of the page's."""
        key = self.ids["OTHER" if " revoke " in command else "ID"].partition(".")[0]
        stated = re.sub(r"\bID\b", key, command).replace("NAME", "shop")
        kept = f"{self.folder / 'kept.zip'} {self.folder / 'none'}"
        return shlex.split(stated.replace("ZIP... FOLDER", kept))[3:]


@pytest.fixture
def owner(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> _Owner:
    (tmp_path / "none").mkdir()
    made = _Owner(tmp_path, monkeypatch)
    # Not before: children that compute a kit load modules from the folder of the tests.
    monkeypatch.chdir(tmp_path)
    return made


def test_the_commands_of_the_service_do_what_they_say(
    owner: _Owner, capsys: pytest.CaptureFixture[str]
) -> None:
    commands = _run_here()
    assert len(commands) > 14
    said: dict[str, Any] = {}
    for command in commands:
        owner.before(command)
        assert main(owner.words(command)) == 0, command
        said[command] = capsys.readouterr().out
        assert owner.has_kit(), command
    assert "0 missing" in said["python -m service check"]
    rotated = said["python -m service keys rotate ID --keep-hours 24"].strip()
    assert rotated.partition(".")[0] == owner.ids["ID"].partition(".")[0]
    store = Store(Settings(data=owner.data))
    states = {each.id: each.state for each in store.keys.all()}
    assert states["first"] == "revoked"
    assert states[owner.ids["OTHER"].partition(".")[0]] == "revoked"
    assert store.keys.check(rotated) is not None
    store.close()
