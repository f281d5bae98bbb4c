"""Reading a PDF back as text."""

from io import BytesIO

from pypdf import PdfReader


def text_of(pdf: bytes) -> str:
    """The words of a PDF, lines and breaks within long words put together."""
    pages = (page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)
    return " ".join(" ".join(pages).replace("\u200b", "").split())


def pages_of(pdf: bytes) -> int:
    """How many pages a PDF has."""
    return len(PdfReader(BytesIO(pdf)).pages)
