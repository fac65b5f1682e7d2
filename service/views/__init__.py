"""One blueprint per resource; views load requests, call the service and return answers."""

from __future__ import annotations

from flask import Flask

from service.views import (
    batches,
    bench_page,
    blocks,
    cutters,
    docs,
    file_links,
    formats,
    inspections,
    jobs,
    kits,
    operations,
    outlines,
    price_lists,
    quilts,
    recuts,
    shapes,
)

BLUEPRINTS = (
    shapes.blueprint,
    formats.blueprint,
    cutters.blueprint,
    price_lists.blueprint,
    outlines.blueprint,
    inspections.blueprint,
    kits.blueprint,
    file_links.blueprint,
    recuts.blueprint,
    jobs.blueprint,
    batches.blueprint,
    quilts.blueprint,
    blocks.blueprint,
    operations.blueprint,
    docs.blueprint,
    bench_page.blueprint,
)


def register(app: Flask) -> None:
    """Register all resources with an application."""
    for blueprint in BLUEPRINTS:
        app.register_blueprint(blueprint)
