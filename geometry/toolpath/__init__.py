"""Tool paths: from a load to its strokes and stops; one module per step."""
