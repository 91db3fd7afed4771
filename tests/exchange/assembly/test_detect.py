"""A file is told by its content."""

import io
import zipfile

import pytest

from loombench.exchange.detect import EMPTY, KBL, PICTURE, VEC, WIRELIST, XML, Detected, detect

KBL_HEAD = '<?xml version="1.0"?>\n<!-- <VecContent> -->\n<kbl:KBL_container xmlns:kbl="x" id="r">'


def packed(*names: str) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        for name in names:
            archive.writestr(name, "x")
    return made.getvalue()


@pytest.mark.parametrize(
    ("data", "meant"),
    [
        (KBL_HEAD.encode(), Detected(KBL, "KBL_container")),
        (("\ufeff" + KBL_HEAD).encode(), Detected(KBL, "KBL_container")),
        (KBL_HEAD.encode("utf-16"), Detected(KBL, "KBL_container")),
        (KBL_HEAD.encode("utf-16-le"), Detected(KBL, "KBL_container")),
        (b"<KBL_schema>", Detected(KBL, "KBL_schema")),
        (b"\n<vec:VecContent>", Detected(VEC, "VecContent")),
        (b"<!DOCTYPE x><svg>", Detected(XML, "svg")),
        (b"<", Detected(XML)),
        (b"<!-- never closed", Detected(XML)),
        (b"wire_no;from;to\n1;X1.1;X2.1\n", Detected(WIRELIST)),
        (packed("xl/workbook.xml"), Detected(WIRELIST)),
        (packed("index.vec"), Detected(VEC)),
        (b"PK\x03\x04 torn", Detected(WIRELIST)),
        (b"\x1f\x8b\x08", Detected(VEC)),
        (b"x" * 257 + b"ustar", Detected(VEC)),
        (b"%PDF-1.7", Detected(PICTURE)),
        (b" \r\n\0", Detected(EMPTY)),
        (b"", Detected(EMPTY)),
    ],
    ids=range(18),
)
def test_format(data: bytes, meant: Detected) -> None:
    stream = io.BytesIO(data)
    assert detect(stream) == meant
    assert stream.tell() == 0
