"""Photos of a repair, kept beside its case: made anew, so that nothing but the picture is in them.

A camera writes into each file where and when it was taken, and with what. A picture is read, turned
as the camera said, made no larger than a screen shows, and written as a JPEG of its own.
"""

from __future__ import annotations

import io
from pathlib import Path

from diagnose.casebook.disk import plain_trouble, write_whole
from diagnose.casebook.store import Casebook
from diagnose.errors import DiagnoseError

FOLDER = "photos"
FORMATS = ("JPEG", "PNG", "WEBP")
"""Kinds of picture that phones make and that are taken."""

LARGEST = 10_000_000
"""Bytes of a photo; what phones make is well below (common practice)."""

MOST_DOTS = 60_000_000
"""Dots of a photo before it is made smaller; more would fill the memory."""

SIDE, QUALITY = 1600, 82
"""Dots of the longer side, and quality of the JPEG; enough to read a print on a part."""

MOST = 24
"""Photos of one case."""


class NoPhoto(DiagnoseError):
    """A file that is no picture, or more of them than a case keeps."""


def plain_picture(body: bytes) -> bytes:
    """The picture alone, as a JPEG. Raises NoPhoto."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    if len(body) > LARGEST:
        raise NoPhoto(f"A photo may have {LARGEST // 1_000_000} MB at most; send a smaller one.")
    try:
        with Image.open(io.BytesIO(body), formats=FORMATS) as found:
            if found.width * found.height > MOST_DOTS:
                raise NoPhoto("This picture is too large; send a smaller one.")
            turned = ImageOps.exif_transpose(found).convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise NoPhoto("This is no photo: send a JPEG, a PNG or a WebP picture.") from None
    turned.thumbnail((SIDE, SIDE))
    bare = Image.new("RGB", turned.size)
    bare.paste(turned)
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()


def photos_of(casebook: Casebook, name: str) -> tuple[Path, ...]:
    """The photos of a walk or case, in the order in which they were sent. Raises DiagnoseError."""
    casebook.path_of(name)  # an id, and no path
    folder = casebook.folder / FOLDER / name
    return tuple(sorted(folder.glob("*.jpg"))) if folder.is_dir() else ()


def keep_photo(casebook: Casebook, name: str, body: bytes) -> Path:
    """Keep one more photo of a walk or case; its file. Raises DiagnoseError."""
    picture = plain_picture(body)
    with casebook.lock():
        count = len(photos_of(casebook, name))
        if count >= MOST:
            raise NoPhoto(f"A case keeps {MOST} photos; this one has them.")
        path = casebook.folder / FOLDER / name / f"{count + 1:02}.jpg"
        with plain_trouble(path):
            path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, picture, new=True)
    return path
