"""Sheets as PDF, where the optional library for it is installed; a browser prints them as well."""

from __future__ import annotations

from diagnose.errors import UsageError


def as_pdf(html: str) -> bytes:
    """Return an HTML document as PDF.

    Raises:
        UsageError: If the library of the extra 'pdf', or what it needs, is not installed.
    """
    try:
        from weasyprint import HTML
    except (ImportError, OSError):  # OSError: it is there, its text-drawing library is not
        raise UsageError(
            "PDF needs the extra 'pdf': python -m pip install 'fuel-system-diagnose[pdf]' and the "
            "Pango library. Or print the HTML from a browser: its pages are the same."
        ) from None
    made: bytes = HTML(string=html).write_pdf()
    return made
