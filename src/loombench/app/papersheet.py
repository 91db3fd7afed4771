"""The style rules of printed pages, for a server that links them."""

from loombench.paper.style import style_sheet

PAPER_STYLE = style_sheet()
