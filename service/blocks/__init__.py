"""Blocks from drawings: read, taken apart into pieces, and answered with the kit that cuts them."""

from __future__ import annotations

from service.blocks.answer import block_answer
from service.blocks.document import block_document

__all__ = ["block_answer", "block_document"]
