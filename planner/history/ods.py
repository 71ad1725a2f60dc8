"""A table as an OpenDocument spreadsheet (OASIS ODF 1.2: a zip of three small XML files).

Written here because the library at hand takes milliseconds a row; this takes microseconds.
"""

import zipfile
from collections.abc import Iterable, Sequence
from datetime import date
from typing import BinaryIO
from xml.sax.saxutils import escape, quoteattr

MEDIA_TYPE = "application/vnd.oasis.opendocument.spreadsheet"
_WRITTEN = (1980, 1, 1, 0, 0, 0)  # the same rows make the same bytes
_OASIS = "urn:oasis:names:tc:opendocument:xmlns"
_CONTENT = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    f'<office:document-content xmlns:office="{_OASIS}:office:1.0" '
    f'xmlns:table="{_OASIS}:table:1.0" xmlns:text="{_OASIS}:text:1.0" '
    f'xmlns:style="{_OASIS}:style:1.0" xmlns:number="{_OASIS}:datastyle:1.0" '
    'office:version="1.2"><office:automatic-styles><number:date-style style:name="iso">'
    '<number:year number:style="long"/><number:text>-</number:text>'
    '<number:month number:style="long"/><number:text>-</number:text>'
    '<number:day number:style="long"/></number:date-style>'
    '<style:style style:name="day" style:family="table-cell" style:data-style-name="iso"/>'
    "</office:automatic-styles><office:body><office:spreadsheet><table:table table:name={name}>"
)
_END = "</table:table></office:spreadsheet></office:body></office:document-content>"
_MANIFEST = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    f'<manifest:manifest xmlns:manifest="{_OASIS}:manifest:1.0" manifest:version="1.2">'
    f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{MEDIA_TYPE}"/>'
    '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/>'
    "</manifest:manifest>"
)

Cell = str | int | float | date | None


def write_ods(file: BinaryIO, name: str, rows: Iterable[Sequence[Cell]]) -> None:
    """Write rows of cells as one sheet; text must hold no control signs."""
    body = "".join(f"<table:table-row>{''.join(map(_cell, row))}</table:table-row>" for row in rows)
    parts = {
        "mimetype": MEDIA_TYPE,  # first and uncompressed, by which the format is known
        "content.xml": _CONTENT.replace("{name}", quoteattr(name)) + body + _END,
        "META-INF/manifest.xml": _MANIFEST,
    }
    with zipfile.ZipFile(file, "w") as archive:
        for path, text in parts.items():
            kind = zipfile.ZIP_STORED if path == "mimetype" else zipfile.ZIP_DEFLATED
            info = zipfile.ZipInfo(path, date_time=_WRITTEN)
            archive.writestr(info, text.encode(), compress_type=kind)


def _cell(value: Cell) -> str:
    if value is None:
        return "<table:table-cell/>"
    if isinstance(value, date):
        kind = f'date" office:date-value="{value.isoformat()}" table:style-name="day'
    elif isinstance(value, int | float):
        kind = f'float" office:value="{value!r}'
    else:
        kind = "string"
    return (
        f'<table:table-cell office:value-type="{kind}">'
        f"<text:p>{escape(str(value))}</text:p></table:table-cell>"
    )
