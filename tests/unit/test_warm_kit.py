"""The kit that warms children up is one that can be made.

A fault in it costs only speed and is passed over there: for a while every child then imported what
it should have found imported.
"""

from __future__ import annotations

import io
import zipfile

from service.requests.kits import kit_request
from service.sandbox import warm
from service.sandbox.tasks import TASKS
from service.tools.built_in import BUILT_IN


def test_the_kit_that_warms_children_up_can_be_made() -> None:
    bundle = TASKS["kit"](60.0, kit_request(warm.KIT, BUILT_IN.get))
    held = zipfile.ZipFile(io.BytesIO(bundle.archive.data)).namelist()
    names = {name.rsplit(".", 1)[1] for name in held}
    assert {"svg", "dxf", "plt", "pdf", "json"} <= names
