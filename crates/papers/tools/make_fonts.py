"""Makes the font files of content/fonts. Run by hand, once per new release of the face; never by the build.

    npm pack @fontsource/atkinson-hyperlegible@5.3.0 && tar xzf fontsource-atkinson-hyperlegible-5.3.0.tgz
    python3 -m venv env && env/bin/pip install fonttools==4.68.0 brotli==1.2.1
    env/bin/python make_fonts.py package OUT

The package ships each style as two WOFF2 files, one for Latin and one for extended Latin. Typst reads TrueType only and
tries one file per family and style, so the two are unpacked and merged. The face has no arrows, no tick box and no
"at most" sign, so a second, very small face ("Handrail Signs") is drawn here from straight strokes.
"""

import math
import os
import sys

from fontTools import merge
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont

STYLES = {
    "Regular": ("400", "normal"),
    "Bold": ("700", "normal"),
    "Italic": ("400", "italic"),
    "BoldItalic": ("700", "italic"),
}

# A fixed stamp (2026-01-01, in seconds since 1904) so that the same input gives the same bytes.
STAMP = 3850070400


def merged(package, out, style, weight, slope):
    parts = []
    for subset in ("latin", "latin-ext"):
        font = TTFont(f"{package}/files/atkinson-hyperlegible-{subset}-{weight}-{slope}.woff2")
        font.flavor = None
        part = f"{out}/{subset}-{style}.part"
        font.save(part)
        parts.append(part)
    font = merge.Merger().merge(parts)
    font["head"].created = font["head"].modified = STAMP
    font.recalcTimestamp = False
    font.save(f"{out}/AtkinsonHyperlegible-{style}.ttf")
    for part in parts:
        os.remove(part)


def stroke(pen, points, width):
    """One polyline as overlapping quads with square joints; all contours turn the same way."""
    half = width / 2
    for (x0, y0), (x1, y1) in zip(points, points[1:]):
        length = math.hypot(x1 - x0, y1 - y0)
        dx, dy = (x1 - x0) / length * half, (y1 - y0) / length * half
        corners = [
            (x0 - dx - dy, y0 - dy + dx),
            (x1 + dx - dy, y1 + dy + dx),
            (x1 + dx + dy, y1 + dy - dx),
            (x0 - dx + dy, y0 - dy - dx),
        ]
        pen.moveTo(tuple(map(round, corners[0])))
        for corner in corners[1:]:
            pen.lineTo(tuple(map(round, corner)))
        pen.closePath()


# Character -> (glyph name, advance width, strokes). 1000 units to the em; capitals of the text face are 668 high.
SIGNS = {
    0x2190: ("arrowleft", 860, [[(780, 334), (90, 334)], [(330, 574), (90, 334), (330, 94)]]),
    0x2191: ("arrowup", 640, [[(320, -10), (320, 668)], [(80, 428), (320, 668), (560, 428)]]),
    0x2192: ("arrowright", 860, [[(80, 334), (770, 334)], [(530, 574), (770, 334), (530, 94)]]),
    0x2193: ("arrowdown", 640, [[(320, 678), (320, 0)], [(80, 240), (320, 0), (560, 240)]]),
    0x2248: ("approxequal", 640, [
        [(70, 400), (220, 460), (420, 380), (570, 440)], [(70, 220), (220, 280), (420, 200), (570, 260)],
    ]),
    0x2264: ("lessequal", 640, [[(560, 590), (90, 385), (560, 180)], [(80, 45), (560, 45)]]),
    0x2265: ("greaterequal", 640, [[(80, 590), (550, 385), (80, 180)], [(80, 45), (560, 45)]]),
    0x2610: ("ballotbox", 860, [[(90, -10), (770, -10), (770, 670), (90, 670), (90, -10)]]),
    0x2713: ("check", 760, [[(80, 300), (290, 60), (690, 620)]]),
    0x2717: ("ballotx", 700, [[(90, 40), (610, 628)], [(90, 628), (610, 40)]]),
    0x0394: ("Delta", 720, [[(70, 36), (360, 640), (650, 36), (70, 36)]]),
}
SPACES = {0x0020: ("space", 260), 0x2009: ("thinspace", 170), 0x202F: ("narrownbspace", 170)}


def signs(out, style, width):
    glyphs, metrics, cmap = {}, {}, {}
    pen = TTGlyphPen(None)
    stroke(pen, [(80, 0), (520, 0), (520, 668), (80, 668), (80, 0)], 40)
    glyphs[".notdef"], metrics[".notdef"] = pen.glyph(), (600, 60)
    for code, (name, advance) in SPACES.items():
        glyphs[name], metrics[name], cmap[code] = TTGlyphPen(None).glyph(), (advance, 0), name
    for code, (name, advance, lines) in SIGNS.items():
        pen = TTGlyphPen(None)
        for line in lines:
            stroke(pen, line, 56 if code == 0x2610 else width)
        glyphs[name], cmap[code] = pen.glyph(), name
        metrics[name] = (advance, 0)
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(list(glyphs))
    builder.setupCharacterMap(cmap)
    builder.setupGlyf(glyphs)
    table = builder.font["glyf"]
    builder.setupHorizontalMetrics({n: (metrics[n][0], getattr(table[n], "xMin", 0) or 0) for n in glyphs})
    builder.setupHorizontalHeader(ascent=950, descent=-290)
    builder.setupNameTable({
        "familyName": "Handrail Signs",
        "styleName": style,
        "psName": f"HandrailSigns-{style}",
        "copyright": "Drawn for Handrail. SIL Open Font License 1.1.",
    })
    bold = style == "Bold"
    builder.setupOS2(
        version=4, sCapHeight=668, sxHeight=496,
        sTypoAscender=950, sTypoDescender=-290, usWinAscent=950, usWinDescent=290,
        usWeightClass=700 if bold else 400, fsSelection=0x20 if bold else 0x40, fsType=0,
    )
    builder.setupPost()
    builder.updateHead(macStyle=1 if bold else 0, created=STAMP, modified=STAMP)
    builder.font.recalcTimestamp = False
    builder.save(f"{out}/HandrailSigns-{style}.ttf")


def main(package, out):
    os.makedirs(out, exist_ok=True)
    for style, (weight, slope) in STYLES.items():
        merged(package, out, style, weight, slope)
    signs(out, "Regular", 78)
    signs(out, "Bold", 118)


if __name__ == "__main__":
    main(*sys.argv[1:3])
