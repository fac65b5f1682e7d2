"""Imported by the process that children are forked from: makes a small kit there, once.

What a kit needs is then imported and looked up already in every child; otherwise each of them
would spend several times the work of a small kit on imports.
"""

from __future__ import annotations

import contextlib
import gc
import logging

from service.requests.builtin_cutters import BUILT_IN
from service.requests.schemas import jobs, quilts
from service.sandbox.tasks import TASKS

#: Large bodies are checked in children too; making a schema takes longer than using it.
SCHEMAS = (jobs.BatchRequest(), quilts.QuiltPlanRequest())
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

# A fault here must cost speed only: whoever needs what failed will hear of it again.
with contextlib.suppress(Exception):
    logging.disable(logging.CRITICAL)
    TASKS["kit"](_SECONDS, KIT, BUILT_IN)
logging.disable(logging.NOTSET)
# What is there now stays: collecting it in each child would copy its pages for nothing.
gc.collect()
gc.freeze()
