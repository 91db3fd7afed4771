"""Widths of texts: cut and broken texts fit where they are put, and lose nothing without a mark."""

from hypothesis import given
from hypothesis import strategies as st

from loombench.draw.textwidth import fitted, text_width_mm, wrapped

TEXTS = st.text(max_size=60)
WIDTHS = st.floats(5.0, 60.0)


@given(TEXTS, WIDTHS, st.booleans())
def test_a_fitted_text_fits_and_is_whole_or_marked(text: str, width: float, bold: bool) -> None:
    cut = fitted(text, width, 2.5, bold)
    assert text_width_mm(cut, 2.5, bold) <= width + 1e-9
    assert cut == text or (cut.endswith("…") and text.startswith(cut[:-1])) or not cut


@given(TEXTS, WIDTHS, st.integers(1, 4))
def test_a_wrapped_text_fits_and_keeps_its_words_in_order(text: str, width: float, lines: int) -> None:
    broken = wrapped(text, width, 2.5, lines)
    assert len(broken) <= lines
    assert all(text_width_mm(line, 2.5) <= width + 1e-9 for line in broken)
    if not any("…" in line for line in broken) and all(broken):
        assert " ".join(broken).split() == text.split()


def test_a_bold_text_is_wider_and_an_unknown_sign_a_full_square() -> None:
    assert text_width_mm("X12", 3.0, bold=True) > text_width_mm("X12", 3.0)
    assert text_width_mm("灯", 3.0) == 3.0
