"""Texts that would do harm if anything took them for more than texts, and a document full of them."""

from loombench.paper.document import (
    Block,
    Caution,
    Document,
    Facts,
    Heading,
    PageBreak,
    Paragraph,
    Rule,
    SignatureLines,
    Steps,
    Svg,
    Table,
    Together,
)

TEXTS = (
    '#panic("x") $x^2$ @ref <label> *bold* _it_ `raw` \\ // /* [] {} "q" \'q\' ~ -- ---',
    '#import "@preview/x:1.0.0": *',
    "#read(\"document.typ\") #sys.inputs.document $ #eval(\"1\")",
    "<script>alert(1)</script><img src=x onerror=alert(1)> & &amp; ]]> </style></title>-->",
    "x" * 500,
    "לוח חשמל 12.4 V תקין",
    "مصباح معطل 7.84 V",
    "🚒 fire 🔧 e\u0301 Ω µ ≥ 电灯不亮",
    "a\u202e12.4 V\u202c \ud800 \x00 \x07 \x1b[31m",
    "one\ntwo\r\nthree\u2028four\n\n\nfive",
    "",
    " ",
)  # fmt: skip
DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 30"><path d="M5 15H95" stroke="#111"/>'
    '<text x="10" y="12" font-size="6">S4.2 GY/RD 1.5 mm²</text><script>alert(1)</script></svg>'
)


def blocks_of(texts: tuple[str, ...]) -> tuple[Block, ...]:
    """Every kind of block, each text in each place it can stand in."""
    rows = tuple((text, text, "1.2 V") for text in texts)
    return (
        Caution(texts[0], texts),
        Facts(tuple((text, text) for text in texts)),
        Facts(tuple((text, text) for text in texts), 2),
        Table(("a", "b", texts[-1]), rows, ("left", "left", "right"), frozenset({0})),
        Steps(texts),
        *(Paragraph(text, weight) for text in texts for weight in ("normal", "strong", "quiet")),
        *(Heading(text) for text in texts),
        Svg(DRAWING, 80.0, texts[0]),
        Rule(),
        PageBreak(),
        Together((Heading(texts[0]), Caution(texts[0], texts), Table(("a",), tuple((text,) for text in texts)))),
        SignatureLines(texts),
    )


def hostile_document(texts: tuple[str, ...] = TEXTS) -> Document:
    """A document with the texts everywhere."""
    return Document(texts[0], texts[-1], blocks_of(texts), texts[0])
