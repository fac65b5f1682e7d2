"""Unknown members are listed in the order of the request, in every process."""

from __future__ import annotations

import os
import subprocess
import sys

ASK = """
from service.errors import RequestError
from service.requests.kits import kit_request
try:
    kit_request({name: 1 for name in ("thread", "needle", "bobbin", "hoop", "pin")}, {}.get)
except RequestError as error:
    print([each.pointer for each in error.errors if "Unknown" in each.detail])
"""


def test_unknown_members_stand_in_the_order_of_the_request() -> None:
    output = {
        subprocess.run(
            [sys.executable, "-c", ASK],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "3")
    }
    assert output == {"['#/thread', '#/needle', '#/bobbin', '#/hoop', '#/pin']\n"}
