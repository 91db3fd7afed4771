"""Photos made harmless: nothing of the file but what is seen on it, upright, and no file that is no picture."""

import struct
import zlib
from io import BytesIO

import pytest
from PIL import Image
from PIL.Image import Exif

from loombench.shell.web.photos import LARGEST_BYTES, LONGEST_SIDE_PX, UnfitPhotoError, harmless_photo

ORIENTATION, MAKER, GPS = 0x0112, 0x010F, 0x8825


def picture(kind: str, size: tuple[int, int] = (60, 40), mode: str = "RGB", exif: Exif | None = None) -> bytes:
    """A picture with its left half red and its right half blue."""
    made = Image.new(mode, size, (0, 0, 255) if mode == "RGB" else (0, 0, 255, 0))
    made.paste((255, 0, 0) if mode == "RGB" else (255, 0, 0, 255), (0, 0, size[0] // 2, size[1]))
    out = BytesIO()
    made.save(out, kind, **({"exif": exif} if exif else {}))
    return out.getvalue()


def read(data: bytes) -> Image.Image:
    made = Image.open(BytesIO(data))
    made.load()
    return made


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_what_is_taken_becomes_a_jpeg_of_our_own(kind: str) -> None:
    made = read(harmless_photo(picture(kind)))
    assert (made.format, made.size, made.mode) == ("JPEG", (60, 40), "RGB")
    red, blue = made.getpixel((10, 20)), made.getpixel((50, 20))
    assert red[0] > 200  # type: ignore[index]
    assert blue[2] > 200  # type: ignore[index]
    assert max(red[2], blue[0]) < 100  # type: ignore[index]


def test_words_places_and_previews_in_the_file_are_gone_and_it_stands_upright() -> None:
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKER] = 6, "SECRET MAKER"
    exif.get_ifd(GPS)[1] = "N"
    sent = picture("JPEG", exif=exif)
    assert b"SECRET" in sent
    kept = harmless_photo(sent)
    made = read(kept)
    assert b"SECRET" not in kept
    assert b"Exif" not in kept
    assert len(made.getexif()) == 0
    assert made.size == (40, 60)
    assert made.getpixel((20, 10))[0] > 200  # type: ignore[index]


@pytest.mark.parametrize("tail", [b"<script>alert(1)</script>", b"PK\x03\x04 a second file", bytes(1000)])
def test_what_hangs_behind_a_picture_is_not_kept(tail: bytes) -> None:
    assert tail[:12] not in harmless_photo(picture("JPEG") + tail) or not any(tail)


def test_a_comment_is_not_kept() -> None:
    sent = picture("JPEG")
    said = b"<?php secret ?>"
    with_comment = sent[:2] + b"\xff\xfe" + struct.pack(">H", len(said) + 2) + said + sent[2:]
    assert read(with_comment).size == (60, 40)
    assert said not in harmless_photo(with_comment)


def test_what_is_clear_becomes_paper() -> None:
    made = read(harmless_photo(picture("PNG", mode="RGBA")))
    assert all(one > 240 for one in made.getpixel((50, 20)))  # type: ignore[union-attr]


def test_a_picture_of_few_colours_is_taken() -> None:
    out = BytesIO()
    Image.new("RGB", (300, 200), "red").quantize(4).save(out, "PNG")
    assert read(harmless_photo(out.getvalue())).getpixel((150, 100))[0] > 200  # type: ignore[index]


def test_a_large_one_is_made_small() -> None:
    made = read(harmless_photo(picture("JPEG", (5000, 1000))))
    assert made.size == (LONGEST_SIDE_PX, LONGEST_SIDE_PX // 5)


def png_of(width: int, height: int) -> bytes:
    """A PNG that says it has that many pixels, and holds next to nothing."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    body = zlib.compress(bytes(1_000_000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    "data",
    [
        b"", b"GIF89a", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"%PDF-1.7", b"BM" + bytes(60), b"\xff\xd8\xff",
        picture("PNG")[:60], picture("JPEG")[:200], picture("WEBP")[:30], png_of(5_000, 5_000),
        png_of(100_000, 100_000), png_of(9_000, 9_000),
        png_of(2**31 - 1, 1), png_of(0, 0), picture("GIF"), picture("BMP"), picture("TIFF"), bytes(LARGEST_BYTES + 1),
    ],
)  # fmt: skip
def test_what_is_none_or_a_bomb_is_refused(data: bytes) -> None:
    with pytest.raises(UnfitPhotoError):
        harmless_photo(data)
