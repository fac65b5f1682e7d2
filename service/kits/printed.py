"""What a kit has printed for the bench: set in type, or as plain text where that fails."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import replace

from service.documents.model import RunSheet
from service.documents.page import Page, page_text
from service.texts import gettext as _
from service.texts import gettext_noop as _later

_LOG = logging.getLogger(__name__)
#: Letters named in one warning.
_MAX_LETTERS = 8


class PrintedFiles:
    """The printed files of a kit, the members of its answer that name them, and warnings."""

    def __init__(self, sheet: RunSheet) -> None:
        self.sheet = sheet
        self.files: dict[str, bytes] = {}
        self.links: dict[str, str] = {}
        self.warnings: list[str] = []
        #: Letters that a warning names.
        self._told = ""

    def add_run_sheet(self) -> None:
        """Make the run sheet as a PDF and as a page."""
        # Imported here: a caller that wants nothing printed is answered without a typesetter.
        from service.documents.html import run_sheet_html  # noqa: PLC0415
        from service.documents.pdf import run_sheet_pdf  # noqa: PLC0415
        from service.documents.text import run_sheet_text  # noqa: PLC0415

        self._tell_lacking_letters()
        self._add("run_sheet", "run-sheet", _later("run sheet"), run_sheet_pdf, run_sheet_text)
        self.files["run-sheet.html"] = run_sheet_html(self.sheet).encode()
        self.links["run_sheet_page"] = "files/run-sheet.html"

    def add_labels(self) -> None:
        """Make the labels as a PDF."""
        from service.documents.bag_labels import bag_labels_of, bag_labels_pdf  # noqa: PLC0415
        from service.documents.labels import labels_of, labels_pdf  # noqa: PLC0415
        from service.documents.text import labels_text  # noqa: PLC0415

        self._tell_lacking_letters()

        def bags_as_text(sheet: RunSheet) -> str:
            return labels_text(
                (
                    row.copy,
                    row.title,
                    *(f"{item.count}: {item.about}" for item in row.items),
                    row.ticket,
                )
                for row in bag_labels_of(sheet)
            )

        def as_text(sheet: RunSheet) -> str:
            rows = labels_of(sheet)
            return labels_text(
                (row.piece, row.count, row.about, row.title, row.ticket) for row in rows
            )

        if self.sheet.bag:
            self._add("labels", "labels", _later("labels"), bag_labels_pdf, bags_as_text)
        else:
            self._add("labels", "labels", _later("labels"), labels_pdf, as_text)

    def _tell_lacking_letters(self) -> None:
        """Warn, once, of the letters that the printed documents cannot show."""
        from service.documents.type_face import lacking  # noqa: PLC0415 - as above

        self._tell(
            lacking(self.sheet),
            _(
                "The printed sheet and labels have no letters for {letters}: a box stands for "
                "each. The run sheet's page (run-sheet.html) shows them."
            ),
        )

    def _tell(self, letters: str, text: str) -> None:
        """Warn of letters unless an earlier warning names them all."""
        if not set(letters) - set(self._told):
            return
        self._told += letters
        some = ", ".join(f"{each} (U+{ord(each):04X})" for each in letters[:_MAX_LETTERS])
        more = len(letters) - _MAX_LETTERS
        if more > 0:
            some = _("{letters} and {count} more", letters=some, count=more)
        self._warn(text.format(letters=some))

    def _warn(self, warning: str) -> None:
        if warning in self.warnings:
            return
        self.warnings.append(warning)
        self.sheet = replace(self.sheet, warnings=(*self.sheet.warnings, warning))

    def add_page(self, member: str, stem: str, words: str, page: Page) -> None:
        """Make a page as a PDF and as a page for browsers."""
        from service.documents.page_html import page_html  # noqa: PLC0415
        from service.documents.page_pdf import page_pdf  # noqa: PLC0415
        from service.documents.type_face import lacking  # noqa: PLC0415

        self._tell(
            lacking(page),
            _(
                "The printed {words} has no letters for {{letters}}: a box stands for each. Its "
                "page ({stem}.html) shows them.",
                words=_(words),
                stem=stem,
            ),
        )
        self._add(
            f"{member}_sheet", stem, words, lambda _: page_pdf(page), lambda _: page_text(page)
        )
        self.files[f"{stem}.html"] = page_html(page).encode()
        self.links[f"{member}_page"] = f"files/{stem}.html"

    def _add(
        self,
        member: str,
        stem: str,
        words: str,
        typeset: Callable[[RunSheet], bytes],
        as_text: Callable[[RunSheet], str],
    ) -> None:
        try:
            data, name = typeset(self.sheet), f"{stem}.pdf"
        except MemoryError:
            raise
        except Exception:  # noqa: BLE001 - whatever the typesetter stumbles over
            # A typesetter's fault must not cost the kit: the bench still needs the files, and
            # the cautions with them.
            _LOG.exception("The %s could not be typeset; plain text takes its place", words)
            name = f"{stem}.txt"
            warning = _(
                "The {words} could not be set in type: {name} says the same in plain text, "
                "without drawings.",
                words=_(words),
                name=name,
            )
            self._warn(warning)
            # With a byte order mark: "text/plain" alone does not say that it is UTF-8.
            data = as_text(self.sheet).encode("utf-8-sig")
        self.files[name] = data
        self.links[member] = f"files/{name}"
