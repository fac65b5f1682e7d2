"""Settings: read from the environment and validated at the start, then frozen."""

from __future__ import annotations

import ipaddress
import os
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import cached_property
from pathlib import Path
from typing import Any

from service.setting_values import (
    absolute_folder,
    bucket_address,
    default_data,
    engine_address,
    files_faults,
    host_list,
    name_fault,
    name_list,
    network_list,
    one_of,
    queue_address,
    quota,
    setting,
    some_text,
    temporary_folder_faults,
    value_fault,
    whole,
)

PREFIX = "QUARTERSEAM_"
#: Names with our prefix that docker/smoke.sh uses, not the service.
_OTHERS = f"{PREFIX}SMOKE_"


class SettingsError(ValueError):
    """Settings that cannot be used; ``faults`` has all errors, one line each."""

    def __init__(self, faults: tuple[str, ...]) -> None:
        super().__init__("\n".join(faults))
        self.faults = faults


@dataclass(frozen=True)
class Settings:
    """All settings; each is read from ``QUARTERSEAM_`` and its name in capitals."""

    data: Path = field(
        default_factory=lambda: default_data(os.environ),
        metadata={"read": absolute_folder, "meaning": "folder for kits and cutters"},
    )
    host: str = setting("127.0.0.1", some_text, "address to listen on")
    port: int = setting(8080, whole(0, 65535), "port to listen on; 0 for any free port")
    workers: int = setting(2, whole(1, 64), "server processes")
    threads: int = setting(8, whole(1, 64), "requests that each server process works on at once")
    max_body_bytes: int = setting(1 << 20, whole(1024, 1 << 30), "largest body of a request, bytes")
    header_timeout_seconds: int = setting(10, whole(1, 600), "time for a request's headers")
    body_timeout_seconds: int = setting(
        15,
        whole(1, 3600),
        "time in which a request's body must arrive, plus the time that received bytes add",
    )
    min_body_bytes_per_second: int = setting(
        4096, whole(1, 1 << 30), "rate of a body's bytes that extends this time"
    )
    max_depth: int = setting(32, whole(8, 500), "deepest nesting of a JSON body")
    trusted_hosts: tuple[str, ...] = setting(
        (),
        name_list,
        "host names allowed in addition to localhost, 127.0.0.1 and [::1]; any when empty and "
        "requests need a key",
    )
    auth: str = setting(
        "auto",
        one_of("auto", "on", "off"),
        "whether requests need a key; auto: except on loopback; off: never (loopback only)",
    )
    sharing: str = setting(
        "own", one_of("own", "all"), "what a key sees: own: what it made; all: everything"
    )
    key_file: Path | None = setting(  # noqa: RUF009 - it is a field
        None,
        absolute_folder,
        "secret file with a key for reading and writing, NAME.SECRET; when empty "
        "the first start on an address other than loopback creates one and prints it",
    )
    link_secret_file: Path | None = setting(  # noqa: RUF009 - it is a field
        None,
        absolute_folder,
        "secret file, at least 32 bytes, by which links to kits' files are signed; when empty the "
        "data folder (or the object store) has a random one",
    )
    refused_keys_per_minute: int = setting(
        120, whole(1, 10_000_000), "requests without a valid key per minute allowed per address"
    )
    cors_origins: tuple[str, ...] = setting(
        (), name_list, "origins whose pages may call the service from a browser; none when empty"
    )
    isolation: str = setting(
        "heavy",
        one_of("heavy", "always"),
        "which computations run in a child process: all but simple outlines, or all",
    )
    read_back: str = setting(
        "all",
        one_of("all", "sampled"),
        "which plans are proved and files read back; sampled: those of each run's first load",
    )
    compute_seconds: int = setting(60, whole(1, 3600), "maximum time of one computation")
    compute_memory_mb: int = setting(
        1024,
        whole(256, 65536),
        "maximum memory of one computation, MB of address space; less if a container's limit "
        "requires it",
    )
    max_running_computations: int = setting(
        2,
        whole(1, 64),
        "computations at once in children of each server process; where there are several, one "
        "place is never a heavy one's",
    )
    max_waiting_computations: int = setting(
        128,
        whole(0, 1000),
        "modest computations that wait for their turn in each server process",
    )
    compute_queue_timeout_seconds: int = setting(
        120, whole(0, 600), "how long a computation waits for its turn"
    )
    rate_per_minute: int = setting(
        -1,
        whole(0, 10_000_000),
        "requests per minute allowed per caller; 0: no limit; default 600, on loopback no limit",
    )
    trusted_proxies: int = setting(
        0, whole(0, 8), "proxies in front whose X-Forwarded-For and -Proto are trusted"
    )
    database: str = setting(
        "",
        engine_address,
        "database for kits, cutters and jobs; a file in the data folder when empty",
        is_secret=True,
    )
    files: str = setting(
        "",
        bucket_address,
        "object store for kits' files and results; the data folder when empty",
    )
    queue: str = setting(
        "",
        queue_address,
        "queue that delivers jobs; when empty a file in the data folder, or the database if that "
        "is PostgreSQL",
        is_secret=True,
    )
    job_slots: int = setting(
        1,
        whole(0, 64),
        "jobs at once in each server or worker process; 0: only workers run jobs",
    )
    job_seconds: int = setting(1800, whole(1, 86_400), "maximum time of one job")
    job_lease_seconds: int = setting(
        20, whole(1, 3600), "seconds without a heartbeat before a worker is considered dead"
    )
    job_sweep_seconds: int = setting(
        5, whole(1, 600), "interval of the sweep for lost and abandoned jobs"
    )
    job_days: int = setting(
        30, whole(1, 36500), "days after which ended jobs and batches are deleted"
    )
    max_queued_jobs: int = setting(
        20_000, whole(1, 1_000_000), "jobs that may be queued at once, with the kits of batches"
    )
    jobs_waiting_per_key: int = setting(
        10_000,
        whole(1, 1_000_000),
        "jobs of one key that may be queued at once; without keys, of all callers",
    )
    effort_waiting_seconds: int = setting(
        400_000, whole(1, 1_000_000_000), "total seconds of search of queued jobs"
    )
    batch_effort_seconds: int = setting(
        100_000, whole(1, 1_000_000_000), "maximum seconds of search for one batch"
    )
    batch_kits: int = setting(10_000, whole(1, 1_000_000), "maximum kits in one batch")
    database_connect_seconds: int = setting(
        10, whole(1, 600), "how long PostgreSQL may take to answer a connection"
    )
    database_statement_seconds: int = setting(
        60,
        whole(1, 3600),
        "how long one PostgreSQL statement may take, including waits for locks",
    )
    max_unlisted_files: int = setting(
        20,
        whole(0, 1_000_000),
        "maximum unlisted kit files that a sweep sets aside; if there are more, it touches none",
    )
    min_free_mb: int = setting(
        512, whole(0, 1 << 30), "free space on the volume below which readiness warns, MiB"
    )
    max_results_mb: int = quota(1024, "all stored results of previews", min_mb=1)
    retention_days: int = setting(
        0, whole(0, 36500), "days after which kits are deleted that are not pinned; 0: never"
    )
    max_kits_mb: int = quota(0, "all kits' files", "the oldest that are not pinned")
    max_jobs_mb: int = quota(1024, "all jobs and batches in the database", "those that ended first")
    max_idempotency_mb: int = quota(256, "all idempotency keys in the database")
    idempotency_hours: int = setting(
        24, whole(1, 8760), "hours for which an Idempotency-Key gives the same answer"
    )
    callback_hosts: tuple[str, ...] = setting(
        (), host_list, "hosts that may be called back; none when empty"
    )
    callback_networks: tuple[str, ...] = setting(
        (), network_list, "networks outside the public internet whose addresses may be called back"
    )
    log_level: str = setting(
        "INFO", one_of("DEBUG", "INFO", "WARNING", "ERROR"), "minimum severity of log messages"
    )

    @cached_property
    def on_loopback(self) -> bool:
        """Return whether only this machine can reach the service."""
        if self.host == "localhost":
            return True
        try:
            return ipaddress.ip_address(self.host.strip("[]")).is_loopback
        except ValueError:
            return False

    @property
    def requests_per_minute(self) -> int:
        """Return the requests per minute allowed per caller; 0 for no limit."""
        if self.rate_per_minute >= 0:
            return self.rate_per_minute
        return 0 if self.on_loopback else 600

    @property
    def max_waiting_heavy_computations(self) -> int:
        """Return how many heavy computations may wait in each server process."""
        return max(1, (self.threads - 2) // 2)

    @property
    def response_threads(self) -> int:
        """Return the threads of a server process, including those that wait for children."""
        waiting = self.max_waiting_computations + self.max_waiting_heavy_computations
        return self.threads + self.max_running_computations + waiting + self.streams

    @property
    def streams(self) -> int:
        """Return how many threads of a server process may stream at once."""
        return (self.threads - 1) // 2

    @property
    def queue_url(self) -> str:
        """Return the queue's URL."""
        if not self.queue and self.database.startswith("postgresql"):
            return self.database.replace("postgresql+psycopg://", "postgresql://", 1)
        return self.queue or f"sqlite:///{self.data / 'queue.sqlite'}"

    @property
    def database_url(self) -> str:
        """Return the database's URL."""
        return self.database or f"sqlite:///{self.data / 'quarterseam.sqlite'}"


def variable(name: str) -> str:
    """Return the environment variable of a setting."""
    return PREFIX + name.upper()


def from_environment(environment: Mapping[str, str] = os.environ) -> Settings:
    """Return the settings that the environment states.

    Raises:
        SettingsError: with all unusable and unknown settings.
    """
    faults: list[str] = []
    stated: dict[str, Any] = {}
    known = {variable(each.name): each for each in fields(Settings)}
    for name in sorted(environment):
        if not name.startswith(PREFIX) or name.startswith(_OTHERS):
            continue
        if name not in known:
            faults.append(name_fault(name, known))
            continue
        read = known[name].metadata["read"]
        try:
            stated[known[name].name] = read(environment[name])
        except ValueError:
            faults.append(value_fault(name, read, environment[name]))
    faults.extend(temporary_folder_faults(environment))
    faults.extend(files_faults(stated))
    if faults:
        raise SettingsError(tuple(faults))
    stated.setdefault("data", default_data(environment))
    return Settings(**stated)
