"""The compose files say what the service knows: its commands, its settings, its ports."""

from __future__ import annotations

import argparse
import importlib
import json
import re
import subprocess
from pathlib import Path
from typing import Any

import pytest

from service import __version__
from service.cli import COMMANDS
from service.http import first_key
from service.settings import from_environment
from service.storage.store import Store

yaml = pytest.importorskip("yaml", reason="no reader of YAML is installed")
DOCKER = Path(__file__).resolve().parents[2] / "docker"
#: Added to the others.
ADDED, TLS = "compose.object-store.yaml", "compose.tls.yaml"
FILES = sorted({path.name for path in DOCKER.glob("compose*.yaml")} - {ADDED, TLS})


def _services(name: str) -> dict[str, Any]:
    return dict(_whole(name)["services"])


def _whole(name: str) -> dict[str, Any]:
    text = (DOCKER / name).read_text(encoding="utf-8")
    # Variables as compose fills them in: what they default to, or what must be stated.
    filled = re.sub(r"\$\{(\w+):-([^}]*)\}", r"\2", text)
    filled = re.sub(r"\$\{(\w+):\?[^}]*\}", "secret", filled)
    assert "${" not in filled
    return dict(yaml.safe_load(filled))


def _ours(name: str) -> dict[str, dict[str, Any]]:
    return {key: each for key, each in _services(name).items() if "build" in each}


def test_there_are_two_set_ups() -> None:
    assert FILES == ["compose.scale.yaml", "compose.yaml"]


@pytest.mark.parametrize("name", FILES)
def test_settings_are_known_and_can_be_used(name: str) -> None:
    for service in _ours(name).values():
        from_environment({"QUARTERSEAM_DATA": "/data", **service["environment"]})


@pytest.mark.parametrize("name", FILES)
def test_keys_are_on_and_cannot_be_switched_off_by_a_variable(name: str) -> None:
    for service in _ours(name).values():
        assert not {"QUARTERSEAM_AUTH", "QUARTERSEAM_HOST"} & set(service["environment"])
        # Reached through the proxy only: on no network that leads out, and published nowhere.
        assert set(service["networks"]) == {"inside"}
        assert "ports" not in service
    assert _whole(name)["networks"]["inside"] == {"internal": True}
    dockerfile = (DOCKER / "Dockerfile").read_text(encoding="utf-8")
    # On any address but loopback, keys are asked for whatever the settings say.
    assert '"--host", "0.0.0.0"' in dockerfile
    assert "QUARTERSEAM_AUTH" not in dockerfile


def test_the_studio_s_file_says_how_a_key_comes_from_a_secret_file(tmp_path: Path) -> None:
    """Its commented lines, taken out of their comments, are settings that the service reads."""
    text = (DOCKER / "compose.yaml").read_text(encoding="utf-8")
    uncommented = re.sub(
        r"^( +)# ((?:- \./key:|QUARTERSEAM_KEY_FILE:).*)$", r"\1\2", text, flags=re.MULTILINE
    )
    service = yaml.safe_load(re.sub(r"\$\{\w+:-([^}]*)\}", r"\1", uncommented))["services"][
        "quarterseam"
    ]
    settings = from_environment({"QUARTERSEAM_DATA": "/data", **service["environment"]})
    assert settings.key_file is not None
    assert f"./key:{settings.key_file}:ro" in service["volumes"]
    # The command that its head states makes a key that the service takes.
    command = re.search(r"^#   (echo .*) > docker/key$", text, re.MULTILINE)
    assert command is not None
    made = subprocess.run(["bash", "-c", command[1]], capture_output=True, text=True, check=True)
    secret = tmp_path / "key"
    secret.write_text(made.stdout)
    stated = {"QUARTERSEAM_DATA": str(tmp_path / "data"), "QUARTERSEAM_KEY_FILE": str(secret)}
    first_key.ensure(from_environment({**stated, "QUARTERSEAM_HOST": "192.0.2.1"}))
    store = Store(from_environment(stated))
    key = store.keys.check(made.stdout.strip())
    store.close()
    assert key is not None
    assert key.scope == "write"


@pytest.mark.parametrize("name", FILES)
def test_logs_are_bounded(name: str) -> None:
    for service in _services(name).values():
        assert service["logging"]["options"] == {"max-size": "10m", "max-file": "5"}


def test_no_set_up_opens_the_files_of_another() -> None:
    names = [_whole(name)["name"] for name in FILES]
    volumes = [each["name"] for name in FILES for each in _whole(name)["volumes"].values()]
    assert len(set(names)) == len(names)
    assert len(set(volumes)) == len(volumes) == 3


@pytest.mark.parametrize("name", FILES)
def test_commands_are_ones_that_there_are(name: str) -> None:
    for service in _ours(name).values():
        command = service.get("command")
        if command is None:
            continue
        assert command[:3] == ["python3", "-m", "service"]
        module = importlib.import_module(f"service.cli.{COMMANDS[command[3]].module}")
        parser = argparse.ArgumentParser()
        module.add_arguments(parser)
        parser.parse_args(command[4:])


@pytest.mark.parametrize("name", FILES)
def test_our_containers_are_shut_and_published_here_only(name: str) -> None:
    for service in _ours(name).values():
        assert service["read_only"] is True
        assert service["cap_drop"] == ["ALL"]
        assert service["security_opt"] == ["no-new-privileges:true"]
        # More than the service gives requests that are under way.
        assert int(service["stop_grace_period"].rstrip("s")) > 25
    for service in _services(name).values():
        assert all(port.startswith("127.0.0.1:") for port in service.get("ports", ()))


def test_the_scaled_set_up_is_whole() -> None:
    services = _services("compose.scale.yaml")
    assert set(_services("compose.yaml")) == {"quarterseam", "proxy"}
    assert set(services) == {"api", "worker", "proxy", "database", "queue"}
    ours = _ours("compose.scale.yaml")
    settings = [
        from_environment({"QUARTERSEAM_DATA": "/data", **s["environment"]}) for s in ours.values()
    ]
    assert settings[0] == settings[1]
    assert settings[0].queue_url == "redis://queue:6379/0"
    assert "@database/" in settings[0].database_url
    assert "--no-worker" in services["api"]["command"]
    assert services["api"]["volumes"] == services["worker"]["volumes"] == ["kits:/data"]
    proxy = (DOCKER / "proxy.conf").read_text(encoding="utf-8")
    assert "http://api:8080" in proxy
    assert "proxy_request_buffering on" in proxy
    assert "proxy_buffering on" in proxy
    assert settings[0].trusted_proxies == 1
    assert "X-Forwarded-For $remote_addr" in proxy


@pytest.mark.parametrize("name", FILES)
def test_every_container_is_limited_and_started_again(name: str) -> None:
    for service in _services(name).values():
        assert service["mem_limit"]
        assert service["pids_limit"]
        assert service["restart"] == "unless-stopped"


@pytest.mark.parametrize("name", FILES)
def test_a_container_of_ours_that_hangs_is_ended_and_its_time_zone_is_utc(name: str) -> None:
    """Docker's restart policy acts on containers that end: the health check ends one that hangs."""
    dockerfile = (DOCKER / "Dockerfile").read_text(encoding="utf-8")
    check = re.search(r"^HEALTHCHECK [^\n]*\\\n\s+CMD (\[.*\])$", dockerfile, re.MULTILINE)
    assert check is not None
    command = json.loads(check[1])
    assert command[:4] == ["python3", "-m", "service", "healthy"]
    assert "--end-after" in command
    healthy = importlib.import_module("service.cli.healthy")
    parser = argparse.ArgumentParser()
    healthy.add_arguments(parser)
    parser.parse_args(command[4:])
    # A worker has no port to be asked at: it touches the file that its check reads.
    for key, service in _ours(name).items():
        if key != "worker":
            assert "healthcheck" not in service
            continue
        worked, looked = service["command"], service["healthcheck"]["test"]
        assert looked[:5] == ["CMD", *command[:4]]
        stated = parser.parse_args(looked[5:])
        assert stated.end_after > 1
        assert str(stated.heartbeat_file) == worked[worked.index("--heartbeat-file") + 1]
        (memory,) = service["tmpfs"]
        assert str(stated.heartbeat_file.parent) == memory.partition(":")[0]
    assert "TZ" not in dockerfile
    for service in _services(name).values():
        assert "TZ" not in service.get("environment", {})


@pytest.mark.parametrize("name", FILES)
def test_a_container_of_others_that_hangs_is_ended(name: str) -> None:
    for key, service in _services(name).items():
        # Process 1 is Docker's init, which ends with its child.
        assert service["init"] is True
        if key in _ours(name):
            continue
        assert "./healthy.sh:/healthy.sh:ro" in service["volumes"]
        # The count of failures goes with the container's end.
        assert service["tmpfs"] == ["/run/health"]
        check = service["healthcheck"]
        program, script, checks, seconds = check["test"][1:5]
        assert (program, script) == ("sh", "/healthy.sh")
        # A check that is cut off by Docker would not be counted.
        assert int(seconds) < int(check["timeout"].rstrip("s"))
        # Two minutes, as the image's own check: each takes its time, and then the interval passes.
        assert 110 <= int(checks) * (int(seconds) + int(check["interval"].rstrip("s"))) <= 170
    proxy = (DOCKER / "proxy.conf").read_text(encoding="utf-8")
    assert "listen 127.0.0.1:8081;" in proxy
    assert "/127.0.0.1/8081 " in str(_services(name)["proxy"]["healthcheck"]["test"])


@pytest.mark.parametrize("name", FILES)
def test_what_is_kept_lies_in_named_volumes(name: str) -> None:
    whole = _whole(name)
    kept = {
        each.partition(":")[0] for s in whole["services"].values() for each in s.get("volumes", ())
    }
    named = {each for each in kept if not each.startswith(".")}
    assert named == set(whole["volumes"])
    for service in _ours(name).values():
        assert "kits:/data" in service["volumes"]


@pytest.mark.parametrize("name", [ADDED, TLS])
def test_added_files_take_nothing_away(name: str) -> None:
    """What every container has (limits, restart, bounded logs, volumes) is in the first file."""
    kept = {
        "logging", "restart", "mem_limit", "pids_limit", "healthcheck", "init", "read_only",
        "cap_drop", "security_opt", "stop_grace_period", "command",
    }  # fmt: skip
    for service in _services(name).values():
        assert not kept & set(service)
        assert "TZ" not in service.get("environment", {})


def test_https_is_added_to_the_proxy_alone() -> None:
    added = _services(TLS)
    assert set(added) == {"proxy"}
    assert set(added["proxy"]) == {"ports", "volumes"}
    (port,) = added["proxy"]["ports"]
    assert port.endswith(":8443")
    listen = (DOCKER / "tls.conf").read_text(encoding="utf-8")
    # All that is published to others is encrypted.
    assert re.findall(r"^listen (.*);", listen, re.MULTILINE) == ["8443 ssl"]
    places = dict(each.removesuffix(":ro").split(":") for each in added["proxy"]["volumes"])
    assert f"include {Path(places['./tls.conf']).parent}/*.conf;" in (
        DOCKER / "proxy.conf"
    ).read_text(encoding="utf-8")
    for name in ("certificate.pem", "key.pem"):
        assert f" {places['./certificate']}/{name};" in listen
    # Keys are never part of what is tracked.
    assert {"docker/certificate/", "docker/key"} <= set(
        (DOCKER.parent / ".gitignore").read_text(encoding="utf-8").split()
    )


def test_images_and_pages_carry_the_version() -> None:
    image = f"quarterseam:{__version__}"
    for name in FILES:
        assert {each["image"] for each in _ours(name).values()} == {image}
    assert {each["image"] for each in _ours(ADDED).values()} == {f"{image}-object-store"}
    dockerfile = (DOCKER / "Dockerfile").read_text(encoding="utf-8")
    assert f'org.opencontainers.image.version="{__version__}"' in dockerfile
    page = (DOCKER.parent / "openapi" / "OPERATIONS.md").read_text(encoding="utf-8")
    assert set(re.findall(r"quarterseam:[0-9.]+", page)) == {image}


def test_an_object_store_is_added_to_servers_and_workers_alone() -> None:
    added, scaled = _services(ADDED), _services("compose.scale.yaml")
    assert set(added) == set(_ours(ADDED)) == {"api", "worker"}
    for name, service in added.items():
        assert service["build"]["args"] == {"OBJECT_STORE": "yes"}
        # They lead out, and still nothing leads in.
        assert "ports" not in service
        assert set(service["networks"]) - {"files"} == set(scaled[name]["networks"])
        stated = {**scaled[name]["environment"], "QUARTERSEAM_FILES": "s3://kits/studio"}
        assert set(service["environment"]) - set(scaled[name]["environment"]) == {
            "QUARTERSEAM_FILES", "AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY", "AWS_REGION",
            "AWS_ENDPOINT_URL",
        }  # fmt: skip
        # Secrets come from where compose runs, and stand in no file.
        assert not any(v for k, v in service["environment"].items() if k.startswith("AWS_"))
        settings = from_environment({"QUARTERSEAM_DATA": "/data", **stated})
        assert settings.files == "s3://kits/studio"
    lock = (DOCKER / "object-store.lock").read_text(encoding="utf-8")
    image = (DOCKER / "requirements.lock").read_text(encoding="utf-8")
    pinned = re.findall(r"^(\S+==\S+)", lock, re.MULTILINE)
    assert [each.partition("==")[0] for each in pinned] == ["obstore", "typing-extensions"]
    assert f"\n{pinned[1]} " in image
    tested = (DOCKER.parent / "tests" / "constraints.txt").read_text(encoding="utf-8")
    assert set(pinned) <= set(tested.split())


def test_the_lock_for_traces_agrees_with_the_others() -> None:
    """pip refuses one package in two versions; tests run with what the image holds."""
    pinned, image = (
        set(re.findall(r"^(\S+==\S+)", (DOCKER / name).read_text(encoding="utf-8"), re.MULTILINE))
        for name in ("traces.lock", "requirements.lock")
    )
    names = {each.partition("==")[0] for each in pinned}
    assert {"opentelemetry-sdk", "opentelemetry-exporter-otlp-proto-http"} <= names
    assert {each for each in image if each.partition("==")[0] in names} <= pinned
    tested = (DOCKER.parent / "tests" / "constraints.txt").read_text(encoding="utf-8")
    assert pinned <= set(tested.split())


def test_the_image_holds_what_the_scaled_set_up_needs() -> None:
    # The lock is made with the extras postgres and redis: one image serves both set-ups.
    lock = (DOCKER / "requirements.lock").read_text(encoding="utf-8")
    for name in ("psycopg", "psycopg-binary", "redis", "async-timeout", "huey"):
        assert re.search(rf"^{name}==", lock, re.MULTILINE), name
