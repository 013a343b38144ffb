"""The frame of printed pages: black on white; one that flows over A4 pages, labels on each."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from string import Template

_DOCUMENT = Template("""\
<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>$title</title>
<style>
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 180mm; color: #000; background: #fff;
  font: 9.5pt/1.3 sans-serif; }
h1 { font-size: 15pt; margin: 2mm 0; }
h2 { font-size: 11.5pt; margin: 4mm 0 1mm; break-after: avoid; }
h2 + p { break-after: avoid; }
p, ul, pre { margin: 1mm 0; }
p { break-inside: avoid; }
pre { white-space: pre-wrap; font-family: inherit; border-left: 2pt solid #000;
  padding-left: 3mm; }
table { width: 100%; border-collapse: collapse; }
table.data { table-layout: fixed; font-size: 8pt; }
table.data th, table.data td { border: .5pt solid #000; padding: .6mm 1mm; text-align: left;
  vertical-align: top; overflow-wrap: anywhere; }
table.data th { font-weight: bold; hyphens: auto; }
thead { display: table-header-group; break-inside: avoid; }
table.data tr, figure, .box, .keep { break-inside: avoid; }
table.page > * > tr > td { padding: 0 1pt; }
table.page > tbody > tr { break-inside: auto; }
td.labels { font-size: 8pt; font-weight: bold; border-bottom: 1pt solid #000; }
.box { border: 1pt solid #000; padding: 2mm; margin-top: 4mm; }
.blank { height: 22mm; }
$style
</style>
</head>
<body>
$body
</body>
</html>
""")


_FLOWING = Template("""\
@page { size: A4; margin: 13mm 15mm;
  @bottom-left { content: $foot; font: 7pt sans-serif; color: #000; width: 145mm;
    vertical-align: top; padding-top: 1mm; }
  @bottom-right { content: "page " counter(page) " of " counter(pages);
    font: 7pt sans-serif; color: #000; vertical-align: top; padding-top: 1mm; } }
""")


def document(title: str, style: str, body: str) -> str:
    """Return a whole HTML document; ``title`` is plain text, ``style`` CSS, ``body`` HTML."""
    return _DOCUMENT.substitute(title=escape(title), style=style, body=body)


def page(title: str, labels: Sequence[str], parts: Sequence[str], style: str) -> str:
    """Return a whole HTML document.

    ``parts`` are HTML already escaped, each a row that may break over pages; ``title`` and
    ``labels`` are plain text.  Margin boxes give the labels as running foot where they are
    understood; the head of the outer table repeats them everywhere.
    """
    foot = " | ".join(labels)
    rows = "\n".join(f"<tr><td>{p}</td></tr>" for p in parts)
    body = (
        '<table class="page" role="presentation">\n'
        f'<thead><tr><td class="labels">{escape(foot)}</td></tr></thead>\n'
        f"<tbody>\n{rows}\n</tbody>\n</table>"
    )
    return document(title, _FLOWING.substitute(foot=css_string(foot)) + style, body)


def css_string(text: str) -> str:
    """Return ``text`` as a CSS string in which nothing but letters and digits stands unescaped."""
    safe = (c if c.isascii() and c.isalnum() else f"\\{ord(c):06x}" for c in text)
    return '"' + "".join(safe) + '"'
