"""Imported by the process that children are forked from: creates a small kit there once.

Every child then starts with all imports and lookups done; otherwise each would spend several times
the work of a small kit on imports.
"""

from __future__ import annotations

import contextlib
import gc
import logging

from service.requests.batches import BatchRequestSchema
from service.requests.kits import kit_request
from service.requests.quilt_plans import QuiltPlanRequestSchema
from service.sandbox.tasks import TASKS
from service.tools.built_in import BUILT_IN

#: Large bodies are validated in children too; creating a schema takes longer than using it.
SCHEMAS = (BatchRequestSchema(), QuiltPlanRequestSchema())
_SECONDS = 60.0
KIT = {
    "title": "",
    "pieces": [
        {
            "id": "A",
            "shape": {"kind": "square", "side": "20 mm"},
            "quantity": 2,
            "seam_allowance": "5 mm",
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": "laser-bed",
            "material": {"kind": "card"},
            "formats": ["svg", "dxf", "hpgl", "pdf", "plan"],
        }
    ],
}

# An error here must only cost speed: the request that needs the failed part reports it.
with contextlib.suppress(Exception):
    logging.disable(logging.CRITICAL)
    TASKS["kit"](_SECONDS, kit_request(KIT, BUILT_IN.get))
logging.disable(logging.NOTSET)
# Exclude all current objects from garbage collection, which would copy their pages in each child.
gc.collect()
gc.freeze()
