"""Layers of a PDF, which viewers can hide: optional content groups.

Source:
    ISO 32000-1:2008, 8.11.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from adapters.names import layer_of
from geometry.model.plan import CutPlan


def add_layers(canvas: Any, plan: CutPlan) -> dict[str, Any]:  # noqa: ANN401 - reportlab's
    """Add an optional content group for each layer, visible when the file opens.

    Returns:
        References to the groups by layer name, in cutting order.
    """
    # Imported here, so that only PDF files wait for it.
    from reportlab.pdfbase import pdfdoc  # noqa: PLC0415

    document = canvas._doc  # noqa: SLF001 - the library has no public interface to optional content
    groups = {}
    for layer in dict.fromkeys(layer_of(stroke) for stroke in plan.strokes):
        group = pdfdoc.PDFDictionary(
            {"Type": pdfdoc.PDFName("OCG"), "Name": pdfdoc.PDFString(layer)}
        )
        groups[layer] = document.Reference(group, f"layer-{layer}")
    everything = pdfdoc.PDFArray(list(groups.values()))
    document.Catalog.__NoDefault__ = [*document.Catalog.__NoDefault__, "OCProperties"]
    document.Catalog.OCProperties = pdfdoc.PDFDictionary(
        {"OCGs": everything, "D": pdfdoc.PDFDictionary({"Order": everything, "ON": everything})}
    )
    return groups


def name_layers(canvas: Any, layers: Mapping[str, Any]) -> None:  # noqa: ANN401 - reportlab's
    """Add the names of the layers to the last page's resources."""
    from reportlab.pdfbase import pdfdoc  # noqa: PLC0415 - as above

    resources = pdfdoc.PDFResourceDictionary(Properties=dict(layers))
    resources.basicFonts()
    canvas._doc.Pages[-1].Resources = resources  # noqa: SLF001 - as above
