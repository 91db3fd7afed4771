"""Photos from a tablet: read within limits, turned upright, made small, and written anew, so that of the file that was
sent nothing is kept but what is seen on it."""

import warnings
from io import BytesIO

from PIL import Image, ImageOps, UnidentifiedImageError

LARGEST_BYTES = 25_000_000
MOST_PIXELS, MOST_PIXELS_WHOLE = 60_000_000, 20_000_000
"""A JPEG is made smaller while it is read; of the other kinds every pixel is in memory once."""
LONGEST_SIDE_PX = 2000
KINDS = ("JPEG", "PNG", "WEBP")
WHOLE_MODES = ("RGB", "RGBA", "L", "LA")
QUALITY = 85


class UnfitPhotoError(Exception):
    """It is none of the kinds that are taken, too large, or broken."""


def harmless_photo(data: bytes) -> bytes:
    """The picture as a JPEG of our own making, upright, at most `LONGEST_SIDE_PX` long, without any words in the file.

    Raises:
        UnfitPhotoError: it is no picture of `KINDS`, has too many pixels, or ends early.
    """
    if len(data) > LARGEST_BYTES:
        raise UnfitPhotoError
    try:
        with warnings.catch_warnings():
            # Pillow warns of what may be a bomb before it raises; the number of pixels is looked at here.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(BytesIO(data), formats=KINDS) as found:
                most = MOST_PIXELS if found.format == "JPEG" else MOST_PIXELS_WHOLE
                if found.width * found.height > most:
                    raise UnfitPhotoError
                found.draft("RGB", (LONGEST_SIDE_PX, LONGEST_SIDE_PX))
                small = found if found.mode in WHOLE_MODES else found.convert("RGBA")
                small.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
                shown = _on_white(ImageOps.exif_transpose(small))
                out = BytesIO()
                shown.save(out, "JPEG", quality=QUALITY)
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, EOFError, Image.DecompressionBombError) as wrong:
        raise UnfitPhotoError from wrong
    return out.getvalue()


def _on_white(picture: Image.Image) -> Image.Image:
    """The pixels alone; what is clear becomes paper."""
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        clear = picture.convert("RGBA")
        paper = Image.new("RGB", clear.size, "white")
        paper.paste(clear, mask=clear.getchannel("A"))
        return paper
    plain = Image.new("RGB", picture.size)
    plain.paste(picture.convert("RGB"))
    return plain
