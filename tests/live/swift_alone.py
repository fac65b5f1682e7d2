"""An S3-compatible object store of the tests' own: OpenStack Swift with its S3 interface.

Swift (https://docs.openstack.org/swift/latest/s3_compat.html) is Debian's; it runs here as one
device on free loopback ports: account, container and object servers, and the proxy that speaks S3.
"""

from __future__ import annotations

import contextlib
import getpass
import shutil
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from tests.live.postgres_alone import find_free_port

_WAIT_S = 600.0
_KINDS = ("account", "container", "object")
_USER, _KEY = "quarry:worker", "slate-and-granite"

_STORAGE = """
[DEFAULT]
bind_ip = 127.0.0.1
bind_port = {port}
workers = 0
user = {user}
swift_dir = {folder}
devices = {folder}/devices
mount_check = false
log_address = {folder}/log-socket
[pipeline:main]
pipeline = {kind}-server
[app:{kind}-server]
use = egg:swift#{kind}
"""
_PROXY = """
[DEFAULT]
bind_ip = 127.0.0.1
bind_port = {port}
workers = 0
user = {user}
swift_dir = {folder}
log_address = {folder}/log-socket
[pipeline:main]
pipeline = catch_errors cache s3api tempauth copy slo proxy-server
[app:proxy-server]
use = egg:swift#proxy
account_autocreate = true
[filter:catch_errors]
use = egg:swift#catch_errors
[filter:cache]
use = egg:swift#memcache
memcache_servers = 127.0.0.1:{memcached}
[filter:s3api]
use = egg:swift#s3api
[filter:tempauth]
use = egg:swift#tempauth
user_quarry_worker = slate-and-granite .admin
[filter:copy]
use = egg:swift#copy
[filter:slo]
use = egg:swift#slo
"""
_CONF = """
[swift-hash]
swift_hash_path_suffix = harbour
[storage-policy:0]
name = one
default = yes
"""


def is_installed() -> bool:
    """Return whether Debian's packages are there."""
    programs = [f"swift-{kind}-server" for kind in (*_KINDS, "proxy")]
    return all(map(shutil.which, ("swift-ring-builder", "memcached", *programs)))


@dataclass
class Swift:
    """An object store; its objects outlive its processes."""

    folder: Path
    ports: dict[str, int] = field(default_factory=dict)
    processes: list[subprocess.Popen[bytes]] = field(default_factory=list)

    @property
    def environment(self) -> dict[str, str]:
        """Return the variables that lead a client of S3 to it."""
        return {
            "AWS_ENDPOINT_URL": f"http://127.0.0.1:{self.ports['proxy']}",
            "AWS_ACCESS_KEY_ID": _USER,
            "AWS_SECRET_ACCESS_KEY": _KEY,
            "AWS_REGION": "us-east-1",
        }

    def prepare(self) -> None:
        """Write its configuration and its rings."""
        self.ports = {kind: find_free_port() for kind in (*_KINDS, "proxy", "memcached")}
        (self.folder / "devices" / "one").mkdir(parents=True)
        (self.folder / "swift.conf").write_text(_CONF)
        known = {"folder": self.folder, "user": getpass.getuser(), **self.ports}
        for kind in _KINDS:
            text = _STORAGE.format(kind=kind, port=self.ports[kind], **known)
            (self.folder / f"{kind}.conf").write_text(text)
            ring = f"{self.folder / kind}.builder"
            device = f"r1z1-127.0.0.1:{self.ports[kind]}/one"
            for command in (("create", "4", "1", "1"), ("add", device, "1"), ("rebalance",)):
                subprocess.run(
                    ["swift-ring-builder", ring, *command],
                    check=True, capture_output=True, cwd=self.folder, timeout=_WAIT_S,
                )  # fmt: skip
        text = _PROXY.format(port=self.ports["proxy"], **known)
        (self.folder / "proxy.conf").write_text(text)

    def start(self) -> None:
        """Start it and wait until it answers."""
        port = str(self.ports["memcached"])
        memcached = ["memcached", "-l", "127.0.0.1", "-p", port, "-U", "0", "-u", "nobody"]
        swift = [[f"swift-{k}-server", f"{self.folder / k}.conf"] for k in (*_KINDS, "proxy")]
        with (self.folder / "log").open("ab") as log:
            self.processes = [
                subprocess.Popen(each, cwd=self.folder, stdout=log, stderr=log)
                for each in (memcached, *swift)
            ]
        for port in map(str, self.ports.values()):
            until = time.monotonic() + _WAIT_S
            while True:
                with contextlib.suppress(OSError):
                    socket.create_connection(("127.0.0.1", int(port))).close()
                    break
                assert all(each.poll() is None for each in self.processes), self.log()
                assert time.monotonic() < until, self.log()
                time.sleep(0.1)

    def log(self) -> str:
        """Return what its processes wrote."""
        return (self.folder / "log").read_text(errors="replace")

    def kill(self) -> None:
        """Kill every process of it, without warning."""
        for each in self.processes:
            each.kill()
        for each in self.processes:
            each.wait(timeout=_WAIT_S)


@contextlib.contextmanager
def object_server() -> Iterator[Swift]:
    """Run an object store until the block ends."""
    with tempfile.TemporaryDirectory() as folder:
        server = Swift(Path(folder))
        server.prepare()
        server.start()
        try:
            yield server
        finally:
            server.kill()
