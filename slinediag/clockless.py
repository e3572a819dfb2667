"""Workbooks without the clock: the same cells make the same bytes, whenever they are written."""

from __future__ import annotations

import datetime
import io
import zipfile

EPOCH = datetime.datetime(2000, 1, 1)
"""The date in every workbook."""


def without_clock(data: bytes) -> bytes:
    """The workbook with one fixed date in place of the time it was made."""
    out = io.BytesIO()
    stamp = EPOCH.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in old.namelist():
            content = old.read(name)
            if name == "docProps/core.xml":
                content = dated(content, stamp)
            entry = zipfile.ZipInfo(name, EPOCH.timetuple()[:6])
            entry.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(entry, content)
    return out.getvalue()


def dated(content: bytes, stamp: bytes) -> bytes:
    """The properties of a workbook with this time of making and of changing."""
    for tag in (b"created", b"modified"):
        start = content.find(b">", content.find(b"<dcterms:" + tag)) + 1
        end = content.find(b"</dcterms:" + tag)
        if 0 < start <= end:
            content = content[:start] + stamp + content[end:]
    return content
