"""The style sheet of a page, made from the look."""

from string import Template

from loombench.paper.look import LOOK, Look
from loombench.paper.typeface import FAMILY

_SHEET = Template("""\
@page{size:A4;margin:12mm ${margin}mm 10mm}
@page upright{size:A4;margin:0}
@page wide{size:A4 landscape;margin:0}
*{box-sizing:border-box}
body{margin:0;background:$paper;color:$ink;font:${text}pt/1.4 "$family","DejaVu Sans",sans-serif;
font-variant-numeric:tabular-nums;overflow-wrap:anywhere;-webkit-print-color-adjust:exact;print-color-adjust:exact}
main{max-width:${width}mm;margin:0 auto}
p,dd,td,th,li,h1,h2{white-space:pre-line}
p{margin:0 0 ${gap}mm}
header{border-bottom:${thick}pt solid $ink;padding-bottom:${gap}mm;margin-bottom:${gap2}mm}
h1{font-size:${title}pt;line-height:1.2;font-weight:600;margin:0}
header p{margin:0;color:$quiet}
h2{font-size:${heading}pt;font-weight:600;line-height:1.3;margin:${gap3}mm 0 ${gap}mm;break-after:avoid}
.strong{font-weight:600}
p.quiet{font-size:${small}pt;color:$quiet}
.caution{border:${thick}pt solid $ink;padding:${gap}mm ${gap2}mm;margin:${gap2}mm 0 ${gap3}mm;break-inside:avoid}
.caution h2{margin:0 0 1mm}
.caution p:last-child{margin:0}
.together{break-inside:avoid}
dl{display:grid;grid-template-columns:${label}mm 1fr;gap:1mm ${gap2}mm;margin:${gap}mm 0 ${gap2}mm}
dl.columns-2{grid-template-columns:${label}mm 1fr ${label}mm 1fr}
dt{color:$quiet}
dd{margin:0}
table{border-collapse:collapse;width:100%;margin:${gap}mm 0 ${gap2}mm;break-inside:auto}
th,thead td{font-size:${small}pt;font-weight:400;color:$quiet;border-bottom:${thin}pt solid $ink}
th,td{padding:1.1mm 0 1.1mm ${gap4}mm;text-align:start;vertical-align:top}
th:first-child,td:first-child{padding-left:0}
td{border-bottom:${thin}pt solid $line}
tr{break-inside:avoid}
.narrow{white-space:nowrap;width:1%}
.right{text-align:right}
.centre{text-align:center}
ol{margin:${gap}mm 0;padding-left:6mm}
li{margin-bottom:1mm}
img{display:block;max-width:100%;margin:${gap2}mm 0}
hr{border:0;border-top:${thin}pt solid $line;margin:${gap3}mm 0}
.break{break-after:page}
.sheet{page:upright;break-before:page;margin:0}
.sheet.wide{page:wide}
.sheet img{max-width:none;margin:0 0 0 50%;transform:translateX(-50%)}
.sign{display:flex;gap:10mm;margin-top:14mm;break-inside:avoid}
.sign p{flex:1;border-top:${thin}pt solid $ink;padding-top:1mm;margin:0;font-size:${small}pt;color:$quiet}
footer{margin-top:${gap3}mm;font-size:${small}pt;color:$quiet}
@media screen{.sheet{width:max-content;max-width:calc(100vw - 8mm);overflow-x:auto;margin:${gap3}mm 0 0 50%;
transform:translateX(-50%)}.sheet img{margin:0;transform:none}
main{padding:${margin}mm 4mm}.break{border-top:1px dashed $line;margin:${gap3}mm 0}}
@media print{body{line-height:1.25}th,td{padding-top:.75mm;padding-bottom:.75mm}p{margin-bottom:.8mm}
h2{margin:2.2mm 0 .7mm}header{margin-bottom:${gap}mm}.caution{margin:${gap}mm 0 ${gap2}mm;padding:1mm ${gap2}mm}
.sign{margin-top:10mm}
dl{row-gap:.7mm;margin-bottom:${gap}mm}table{margin-bottom:${gap}mm}footer{margin-top:${gap}mm}}
@media screen and (max-width:600px){dl,dl.columns-2{grid-template-columns:${label}mm 1fr}}
""")


def style_sheet(look: Look = LOOK) -> str:
    """The rules for screen and A4 paper."""
    return _SHEET.substitute(
        margin=f"{look.margin_mm:g}", paper=look.paper, ink=look.ink, quiet=look.quiet, line=look.line,
        title=f"{look.title_pt:g}", heading=f"{look.heading_pt:g}", text=f"{look.text_pt:g}",
        small=f"{look.small_pt:g}", thin=f"{look.thin_pt:g}", thick=f"{look.thick_pt:g}", family=FAMILY,
        gap=f"{look.gap_mm:g}", gap2=f"{2 * look.gap_mm:g}", gap3=f"{3 * look.gap_mm:g}", gap4=f"{4 * look.gap_mm:g}",
        label=f"{look.label_mm:g}", width=f"{look.text_width_mm + 8:g}",
    )  # fmt: skip
