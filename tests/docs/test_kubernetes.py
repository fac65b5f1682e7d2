"""The manifests of docker/kubernetes: valid, whole, shut, and with settings that the service knows.

Schemas are those of Kubernetes, as kubernetes-validate packs them.
"""

from __future__ import annotations

import argparse
import base64
import copy
import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from service import __version__
from service.cli import healthy
from service.settings import Settings, from_environment
from tests.docs.kubernetes_stand_in import stand_in
from tests.docs.page_commands import in_blocks

yaml = pytest.importorskip("yaml", reason="no reader of YAML is installed")
FOLDER = Path(__file__).resolve().parents[2] / "docker" / "kubernetes"
KUSTOMIZATION = yaml.safe_load((FOLDER / "kustomization.yaml").read_text(encoding="utf-8"))
OURS = ("api", "worker")
SECRETS = {"database", "files", "key", "certificate"}


def _documents() -> Iterator[dict[str, Any]]:
    for name in KUSTOMIZATION["resources"]:
        yield from yaml.safe_load_all((FOLDER / name).read_text(encoding="utf-8"))


def _one(kind: str, name: str) -> dict[str, Any]:
    (found,) = (d for d in _documents() if (d["kind"], d["metadata"]["name"]) == (kind, name))
    return dict(found)


def _pods() -> dict[str, dict[str, Any]]:
    kinds = {"Deployment", "StatefulSet"}
    return {d["metadata"]["name"]: d["spec"] for d in _documents() if d["kind"] in kinds}


def _validate(document: dict[str, Any]) -> None:
    validator = pytest.importorskip(
        "kubernetes_validate", reason="kubernetes-validate is not installed (extra manifests)"
    )
    validator.validate(document, validator.latest_version(), strict=True)


def test_every_file_is_a_resource() -> None:
    files = {path.name for path in FOLDER.iterdir()} - {"kustomization.yaml"}
    assert files == set(KUSTOMIZATION["resources"])


def test_every_document_fits_its_schema() -> None:
    documents = list(_documents())
    assert len(documents) == 15
    for document in documents:
        _validate(document)
    # The check sees a wrong type and a name that there is not.
    for wrong in ({"replicas": "two"}, {"replicaz": 2}):
        document = copy.deepcopy(_one("Deployment", "api"))
        document["spec"].update(wrong)
        with pytest.raises(Exception, match=r"two|replicaz"):
            _validate(document)


def test_kustomize_puts_them_together() -> None:
    programs = [["kustomize", "build"], ["kubectl", "kustomize"]]
    command = next((each for each in programs if shutil.which(each[0])), None)
    if command is None:
        pytest.skip("neither kustomize nor kubectl is installed: the set was NOT put together")
    made = subprocess.run(
        [*command, str(FOLDER)], capture_output=True, text=True, check=False, timeout=600,
        env={"PATH": os.environ["PATH"], "HOME": str(FOLDER)},
    )  # fmt: skip
    assert made.returncode == 0, made.stderr
    documents = list(yaml.safe_load_all(made.stdout))
    assert len(documents) == 15
    for document in documents:
        _validate(document)
        if document["kind"] != "Namespace":
            assert document["metadata"]["namespace"] == "quarterseam"
    images = set(re.findall(r"image: (\S+)", made.stdout))
    assert images == {f"quarterseam:{__version__}-object-store", "postgres:17", "redis:7"}


def _settings(name: str) -> Settings:
    (container,) = _pods()[name]["template"]["spec"]["containers"]
    stated = dict(_one("ConfigMap", "settings")["data"])
    for each in container["env"]:
        stated[each["name"]] = each.get("value", "secret")
    stated = {key: re.sub(r"\$\((\w+)\)", r"secret-\1", value) for key, value in stated.items()}
    return from_environment({"QUARTERSEAM_DATA": "/data", **stated})


def test_servers_and_workers_share_database_queue_and_bucket() -> None:
    api, worker = map(_settings, OURS)
    for name in ("database", "queue", "files"):
        assert getattr(api, name) == getattr(worker, name) != ""
    assert api.key_file is not None
    ports = {
        name: _one("Service", name)["spec"]["ports"][0]["port"] for name in ("database", "queue")
    }
    assert ports == {"database": 5432, "queue": 6379}
    assert "@database/" in api.database_url
    assert api.queue_url.startswith("redis://queue:6379/")


def test_pods_are_found_limited_and_shut() -> None:
    pods = _pods()
    assert set(pods) == {*OURS, "database", "queue"}
    for name, pod in pods.items():
        assert pod["selector"]["matchLabels"] == pod["template"]["metadata"]["labels"]
        spec = pod["template"]["spec"]
        assert spec["automountServiceAccountToken"] is False
        assert spec["securityContext"]["runAsNonRoot"] is True
        assert spec["securityContext"]["seccompProfile"] == {"type": "RuntimeDefault"}
        (container,) = spec["containers"]
        assert container["resources"]["limits"]["memory"]
        shut = container["securityContext"]
        assert shut["allowPrivilegeEscalation"] is False
        assert shut["capabilities"] == {"drop": ["ALL"]}
        # PostgreSQL's image writes its socket beside the data.
        assert name == "database" or shut["readOnlyRootFilesystem"] is True
    for name in OURS:
        spec = pods[name]["template"]["spec"]
        assert spec["securityContext"]["runAsUser"] == 10001
        # More than the service gives requests that are under way.
        assert spec["terminationGracePeriodSeconds"] > 25
        # Variables that a cluster makes of services' names could look like settings.
        assert spec["enableServiceLinks"] is False


def test_what_hangs_is_started_again() -> None:
    """Kubernetes ends what fails its liveness probe; what only starts or recovers is left alone."""
    for name, pod in _pods().items():
        (container,) = pod["template"]["spec"]["containers"]
        probe = container["livenessProbe"]
        assert 110 <= probe["periodSeconds"] * probe["failureThreshold"] <= 170
        if name in OURS:
            first = container["startupProbe"]
            assert first["periodSeconds"] * first["failureThreshold"] >= 600
        else:
            # Only a check that hangs fails; timeout(1) then exits with 124.
            shell, option, command = probe["exec"]["command"]
            assert (shell, option) == ("sh", "-c")
            assert command.startswith("timeout 5 ")
            assert command.endswith("; test $? != 124")
    (worker,) = _pods()["worker"]["template"]["spec"]["containers"]
    file = worker["command"][worker["command"].index("--heartbeat-file") + 1]
    assert file in worker["livenessProbe"]["exec"]["command"]
    parser = argparse.ArgumentParser()
    healthy.add_arguments(parser)
    stated = parser.parse_args(worker["livenessProbe"]["exec"]["command"][4:])
    assert (str(stated.heartbeat_file), stated.end_after) == (file, 0)


def test_secrets_are_made_by_the_page_and_stand_in_no_file() -> None:
    assert not any(document["kind"] == "Secret" for document in _documents())
    text = "".join(
        (FOLDER / name).read_text(encoding="utf-8") for name in KUSTOMIZATION["resources"]
    )
    named = set(re.findall(r"secretName: (\w+)", text))
    named |= set(re.findall(r"secret(?:Key)?Ref:\s+name: (\w+)", text))
    assert named == SECRETS
    page = (FOLDER.parents[1] / "openapi" / "OPERATIONS.md").read_text(encoding="utf-8")
    assert set(re.findall(r"create secret \w+ (\w+)", page)) == SECRETS


def test_only_servers_and_workers_reach_the_database_and_the_queue() -> None:
    policies = {
        d["metadata"]["name"]: d["spec"] for d in _documents() if d["kind"] == "NetworkPolicy"
    }
    assert policies["nothing"] == {"podSelector": {}, "policyTypes": ["Ingress"]}
    for name in ("database", "queue"):
        (rule,) = policies[name]["ingress"]
        callers = {
            each["podSelector"]["matchLabels"]["app.kubernetes.io/name"] for each in rule["from"]
        }
        assert callers == set(OURS)
    # The service speaks plain HTTP: nothing but the ingress may reach it.
    assert list(policies["api"]["ingress"][0]["from"][0]) == ["namespaceSelector"]
    assert _one("Ingress", "quarterseam")["spec"]["tls"][0]["secretName"] == "certificate"


def test_the_commands_of_the_page_fill_a_namespace(tmp_path: Path) -> None:
    """kubectl sends all of them to a stand-in, which keeps what a cluster would be given."""
    program = shutil.which("kubectl")
    if program is None or shutil.which("openssl") is None:
        pytest.skip("kubectl or openssl is not installed: the page's commands were NOT run")
    commands = [c for c in in_blocks("openapi/OPERATIONS.md") if c.startswith("kubectl ")]
    assert len(commands) > 5
    (tmp_path / "docker").symlink_to(FOLDER.parent)
    (tmp_path / "bin").mkdir()
    # Schemas are checked above: the stand-in has none.
    wrapper = tmp_path / "bin" / "kubectl"
    wrapper.write_text(
        f'#!/bin/sh\n[ "$1" != apply ] || set -- "$@" --validate=false\nexec {program} "$@"\n'
    )
    wrapper.chmod(0o700)
    environment = {"PATH": f"{tmp_path / 'bin'}:{os.environ['PATH']}", "HOME": str(tmp_path)}
    made = (
        "openssl req -x509 -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -days 2"
        " -subj /CN=studio.internal -keyout key.pem -out certificate.pem"
    )
    with stand_in() as (address, objects):
        config = {
            "apiVersion": "v1", "kind": "Config", "current-context": "here",
            "clusters": [{"name": "here", "cluster": {"server": address}}],
            "contexts": [{"name": "here", "context": {"cluster": "here", "user": ""}}],
        }  # fmt: skip
        (tmp_path / "config").write_text(yaml.safe_dump(config))
        environment["KUBECONFIG"] = str(tmp_path / "config")
        for command in (made, *commands):
            ran = subprocess.run(
                ["bash", "-euc", command], cwd=tmp_path, env=environment, capture_output=True,
                text=True, check=False, timeout=600,
            )  # fmt: skip
            assert ran.returncode == 0, f"{command}\n{ran.stdout}{ran.stderr}"
        kept = dict(objects)
    found = {(each["kind"], each["metadata"]["name"]) for each in kept.values()}
    wanted = {(each["kind"], each["metadata"]["name"]) for each in _documents()}
    assert found == wanted | {("Secret", name) for name in SECRETS}
    others = [path for path in kept if path != "/api/v1/namespaces/quarterseam"]
    assert all("/namespaces/quarterseam/" in path for path in others)
    (key,) = (each["data"]["key"] for path, each in kept.items() if path.endswith("/secrets/key"))
    assert re.fullmatch(rb"studio\.[0-9a-f]{64}", base64.b64decode(key))
