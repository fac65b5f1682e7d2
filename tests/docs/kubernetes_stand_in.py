"""A stand-in for a cluster's API server: it lists its resources and keeps what is created.

It knows as much of the Kubernetes API as kubectl needs to create objects that are not there yet
(https://kubernetes.io/docs/reference/using-api/api-concepts/): no schemas, no controllers.
"""

from __future__ import annotations

import contextlib
import json
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import urlsplit

#: Kinds by group and version, with the names of their lists; namespaces belong to none.
_KINDS = {
    "v1": {
        "Namespace": "namespaces", "Secret": "secrets", "Service": "services",
        "ConfigMap": "configmaps", "PersistentVolumeClaim": "persistentvolumeclaims",
        "ServiceAccount": "serviceaccounts",
    },
    "apps/v1": {"Deployment": "deployments", "StatefulSet": "statefulsets"},
    "networking.k8s.io/v1": {"Ingress": "ingresses", "NetworkPolicy": "networkpolicies"},
    "policy/v1": {"PodDisruptionBudget": "poddisruptionbudgets"},
    "autoscaling/v2": {"HorizontalPodAutoscaler": "horizontalpodautoscalers"},
}  # fmt: skip


def _resources(version: str) -> dict[str, Any]:
    verbs = ["create", "get", "list", "patch"]
    return {
        "kind": "APIResourceList",
        "groupVersion": version,
        "resources": [
            {"name": name, "kind": kind, "namespaced": kind != "Namespace", "verbs": verbs,
             "singularName": ""}
            for kind, name in _KINDS[version].items()
        ],
    }  # fmt: skip


def _groups() -> dict[str, Any]:
    found = []
    for version in (each for each in _KINDS if "/" in each):
        stated = {"groupVersion": version, "version": version.partition("/")[2]}
        name = version.partition("/")[0]
        found.append({"name": name, "versions": [stated], "preferredVersion": stated})
    return {"kind": "APIGroupList", "groups": found}


class _Handler(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"

    def log_message(self, *_: object) -> None:
        """Say nothing."""

    @property
    def _objects(self) -> dict[str, Any]:
        return self.server.objects  # type: ignore[attr-defined, no-any-return]

    def _send(self, status: int, value: Any) -> None:
        data = json.dumps(value).encode()
        self.send_response(status)
        self.send_header("Content-Type", "application/json")
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        self.wfile.write(data)

    def do_GET(self) -> None:
        path = urlsplit(self.path).path
        if path == "/version":
            return self._send(200, {"major": "1", "minor": "30", "gitVersion": "v1.30.0"})
        if path == "/api":
            return self._send(200, {"kind": "APIVersions", "versions": ["v1"]})
        if path == "/apis":
            return self._send(200, _groups())
        version = path.removeprefix("/apis/").removeprefix("/api/")
        if version in _KINDS:
            return self._send(200, _resources(version))
        if path in self._objects:
            return self._send(200, self._objects[path])
        missing = {"kind": "Status", "apiVersion": "v1", "status": "Failure", "reason": "NotFound"}
        return self._send(404, {**missing, "code": 404, "message": "not found"})

    def do_POST(self) -> None:
        value = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        path = f"{urlsplit(self.path).path}/{value['metadata']['name']}"
        self._objects[path] = value
        self._send(201, value)

    def do_PATCH(self) -> None:
        self.rfile.read(int(self.headers["Content-Length"]))
        path = urlsplit(self.path).path
        self._send(200, self._objects[path])


@contextlib.contextmanager
def stand_in() -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield the address of a server and the objects that it keeps, by their paths."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), _Handler)
    server.objects = {}  # type: ignore[attr-defined]
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}", server.objects  # type: ignore[attr-defined]
    finally:
        server.shutdown()
        server.server_close()
