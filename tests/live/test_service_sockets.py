"""A socket that an init system hands over is looked at before anything is served on it."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_without_keys_no_open_socket_is_served(tmp_path: Path) -> None:
    # systemd's protocol, sd_listen_fds(3): descriptors from 3, LISTEN_PID and LISTEN_FDS.
    start = f"export LISTEN_PID=$$ LISTEN_FDS=1; exec {sys.executable} -m service serve 3<&0"
    with socket.create_server(("", 0)) as open_one:
        ran = subprocess.run(
            ["sh", "-c", start],
            stdin=open_one.fileno(),
            capture_output=True,
            text=True,
            check=False,
            timeout=600,
            cwd=tmp_path,
            env={**os.environ, "PYTHONPATH": str(ROOT), "QUARTERSEAM_DATA": str(tmp_path / "data")},
        )
    assert ran.returncode == 2, ran.stderr[-2000:]
    assert "Keys are off, but the service listens on 0.0.0.0" in ran.stderr
    assert "Traceback" not in ran.stderr
