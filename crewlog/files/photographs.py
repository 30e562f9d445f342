"""A photograph made anew from its pixels: nothing else that came with it is kept."""

from __future__ import annotations

import hashlib
import io
import warnings
from dataclasses import dataclass
from functools import cached_property

from PIL import Image, ImageOps

from crewlog.files.errors import FileRefused
from crewlog.files.limits import KEPT_SIDE_PX, MEGABYTE, PHOTOGRAPH_BYTES, PHOTOGRAPH_PIXELS, THUMB_SIDE_PX

FORMATS = ("JPEG", "PNG", "WEBP")
CONTENT_TYPE = "image/jpeg"
QUALITY, THUMB_QUALITY = 85, 78


@dataclass(frozen=True)
class Photograph:
    """A clean JPEG with the name it was brought under."""

    content: bytes
    width_px: int
    height_px: int
    name: str = ""
    kind = "photograph"
    content_type = CONTENT_TYPE

    @cached_property
    def sha256(self) -> str:
        return hashlib.sha256(self.content).hexdigest()


def read_photograph(content: bytes, name: str = "") -> Photograph:
    """Decode, turn upright, shrink to the kept size and encode anew. Raises FileRefused with a stable code.

    Place, camera, comments, thumbnails and anything appended are gone, because only the pixels are written again.
    """
    if not content:
        raise FileRefused("The file is empty. Choose the photograph again.", code="file-empty")
    if len(content) > PHOTOGRAPH_BYTES:
        raise FileRefused(
            f"The photograph is larger than {PHOTOGRAPH_BYTES // MEGABYTE} MB. Choose a smaller one.",
            code="file-too-large",
        )
    upright = decoded(content)
    upright.thumbnail((KEPT_SIDE_PX, KEPT_SIDE_PX))
    return Photograph(encoded(upright, QUALITY), *upright.size, name=name)


def decoded(content: bytes) -> Image.Image:
    """The pixels, upright, on white where they were transparent."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a bomb is refused below by our own limit, before a pixel is decoded
            with Image.open(io.BytesIO(content), formats=FORMATS) as found:
                if found.width * found.height > PHOTOGRAPH_PIXELS:
                    raise too_many_pixels()
                found.draft("RGB", (KEPT_SIDE_PX, KEPT_SIDE_PX))
                found.load()
                return on_white(ImageOps.exif_transpose(found))
    except FileRefused:
        raise
    except Image.DecompressionBombError as fault:
        raise too_many_pixels() from fault
    except Exception as fault:  # whatever a decoder trips over, it is no photograph to us
        raise FileRefused(
            "This is not a photograph that can be read. Choose a JPEG, PNG or WebP picture.", code="not-a-photograph"
        ) from fault


def too_many_pixels() -> FileRefused:
    max_megapixels = PHOTOGRAPH_PIXELS // 1_000_000
    return FileRefused(
        f"The photograph has more than {max_megapixels} million pixels. Choose a smaller one.",
        code="photograph-too-many-pixels",
    )


def on_white(picture: Image.Image) -> Image.Image:
    """The picture in plain colours; a see-through part becomes white."""
    if "A" not in picture.getbands() and "transparency" not in picture.info:
        return picture.convert("RGB")
    layer = picture.convert("RGBA")
    ground = Image.new("RGBA", layer.size, "white")
    return Image.alpha_composite(ground, layer).convert("RGB")


def encoded(picture: Image.Image, quality: int) -> bytes:
    """The pixels as a JPEG with no other block in it."""
    bare = Image.new("RGB", picture.size)
    bare.paste(picture)
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()


def thumbnail_of(content: bytes) -> bytes:
    """A small JPEG of a kept photograph."""
    with Image.open(io.BytesIO(content), formats=FORMATS) as found:
        picture = found.convert("RGB")
    picture.thumbnail((THUMB_SIDE_PX, THUMB_SIDE_PX))
    return encoded(picture, THUMB_QUALITY)
