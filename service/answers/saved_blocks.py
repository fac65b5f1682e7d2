"""Answers about blocks by name: those of the gallery, and saved ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from service.requests.blocks import BlockSchema
from service.requests.drawn_blocks import DrawnBlockRequestSchema
from service.schemas.answers import FromSchema, Json, Link


@dataclass(frozen=True, kw_only=True)
class SavedBlockAnswer:
    """A block of the gallery, or a saved one."""

    name: str
    title: str
    built_in: Annotated[bool, "whether it is one of the gallery, which cannot be changed"]
    version: Annotated[int, "counts up each time the block is saved; 0 for the gallery's"]
    drawing: Annotated[Json, FromSchema(DrawnBlockRequestSchema), "a body for POST /v1/blocks"]
    block: Annotated[
        Json | None,
        FromSchema(BlockSchema),
        "for a quilt plan; null unless the block is a square of straight lines",
    ]
    href: Annotated[Link, "the block"]


@dataclass(frozen=True, kw_only=True)
class BlockEntry:
    """A block in a list."""

    name: str
    title: str
    built_in: Annotated[bool, "whether it is one of the gallery"]
    version: int
    in_quilt_plans: Annotated[bool, "whether a quilt plan can name it"]
    href: Annotated[Link, "the block"]


@dataclass(frozen=True, kw_only=True)
class BlockList:
    """A page of blocks: the gallery's first, then saved ones by name."""

    blocks: Sequence[BlockEntry]
    next: Annotated[Link | None, "the next page, if there is one"] = None
