"""Pages with their bytes, for workers that don't share the folder."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

from chartscan.archive.values import Leaf
from chartscan.errors import PageError


def with_bytes(leaf: Leaf) -> Leaf:
    """The page with what a worker needs of its file: all of it, or of a PDF that page alone."""
    path = Path(leaf.path)
    content = path.read_bytes()
    if leaf.number is not None and content[:1024].find(b"%PDF-") >= 0:
        content = _single(content, leaf.number) or content
    return replace(leaf, path=path.name, content=content)


def _single(content: bytes, number: int) -> bytes | None:
    """A PDF of one page of a PDF; None where it can't be taken apart, which its worker tells of."""
    try:
        import pypdfium2
    except ImportError as error:
        raise PageError("reading a PDF needs the pdf extra") from error
    whole, single, made = None, None, io.BytesIO()
    try:
        whole = pypdfium2.PdfDocument(content)
        single = pypdfium2.PdfDocument.new()
        single.import_pages(whole, [number - 1])
        single.save(made)
    except pypdfium2.PdfiumError:
        return None
    finally:
        for document in (single, whole):
            if document is not None:
                document.close()
    return made.getvalue()
