"""A font of our own for the tests, drawn here, and its letters by fontTools.

The A is two contours that overlap, the O has a counter in quadratic curves, the I fills its width so that two
of them touch along an edge, the Q's tail crosses its bowl and counter.
"""

import numpy as np
import shapely
from fontTools.feaLib.builder import addOpenTypeFeaturesFromString
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.basePen import decomposeQuadraticSegment
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont

CAPITAL = 700
KERN = {("A", "V"): -140, ("V", "A"): -140, ("I", "T"): -37}


def line(pen, *corners):
    pen.moveTo(corners[0])
    for corner in corners[1:]:
        pen.lineTo(corner)
    pen.closePath()


def ring(pen, cx, cy, rx, ry, way, quadratic):
    """An ellipse, clockwise for -1, as the font's outlines of outer contours run."""
    turn = np.arange(9) * np.pi / 4 * way
    on = [(round(cx + rx * np.cos(a)), round(cy + ry * np.sin(a))) for a in turn]
    far = 1 / np.cos(np.pi / 8)
    off = [(round(cx + far * rx * np.cos(a)), round(cy + far * ry * np.sin(a))) for a in turn + np.pi / 8 * way]
    pen.moveTo(on[0])
    for control, to, start in zip(off, on[1:], on):
        if quadratic:
            pen.qCurveTo(control, to)
        else:
            cubic = [tuple(round(s + 2 / 3 * (c - s)) for s, c in zip(end, control)) for end in (start, to)]
            pen.curveTo(*cubic, to)
    pen.closePath()


def draw(name, pen, quadratic):
    if name in ("A", "Aacute"):
        line(pen, (0, 0), (250, 700), (350, 700), (600, 0), (500, 0), (300, 560), (100, 0))
        line(pen, (150, 180), (150, 260), (450, 260), (450, 180))
    if name == "Aacute":
        line(pen, (280, 760), (340, 880), (420, 880), (340, 760))
    if name == "H":
        line(pen, (60, 0), (60, 700), (160, 700), (160, 400), (440, 400), (440, 700), (540, 700), (540, 0), (440, 0),
             (440, 300), (160, 300), (160, 0))
    if name == "I":
        line(pen, (0, 0), (0, 700), (180, 700), (180, 0))
    if name == "T":
        line(pen, (20, 600), (20, 700), (520, 700), (520, 600), (320, 600), (320, 0), (220, 0), (220, 600))
    if name == "V":
        line(pen, (0, 700), (120, 700), (300, 160), (480, 700), (600, 700), (360, 0), (240, 0))
    if name in ("O", "Q"):
        ring(pen, 350, 350, 330, 350, -1, quadratic)
        ring(pen, 350, 350, 220, 240, 1, quadratic)
    if name == "Q":
        line(pen, (380, 260), (450, 300), (720, -40), (620, -60))


WIDTHS = {
    ".notdef": 500, "space": 260, "A": 600, "Aacute": 600, "H": 600, "I": 180, "T": 540, "V": 600, "O": 700, "Q": 720,
    "acute": 0,
}
CHARACTERS = {
    " ": "space", "A": "A", "Á": "Aacute", "H": "H", "I": "I", "T": "T", "V": "V", "O": "O", "Q": "Q",
    "\u0301": "acute",
}


def make(path, quadratic=True, kern="GPOS"):
    """Writes the font; its kerning in the layout table, in the older one, or nowhere."""
    builder = FontBuilder(1000, isTTF=quadratic)
    names = list(WIDTHS)
    builder.setupGlyphOrder(names)
    builder.setupCharacterMap({ord(c): name for c, name in CHARACTERS.items()})
    glyphs = {}
    for name in names:
        pen = TTGlyphPen(None) if quadratic else T2CharStringPen(WIDTHS[name], None)
        draw(name, pen, quadratic)
        glyphs[name] = pen.glyph() if quadratic else pen.getCharString()
    if quadratic:
        builder.setupGlyf(glyphs)
    else:
        builder.setupCFF("Lettered", {"FullName": "Lettered"}, glyphs, {})
    builder.setupHorizontalMetrics({name: (wide, 0) for name, wide in WIDTHS.items()})
    builder.setupHorizontalHeader(ascent=900, descent=-100)
    builder.setupOS2(sCapHeight=CAPITAL)
    builder.setupNameTable({"familyName": "Lettered", "styleName": "Regular"})
    builder.setupPost()
    font = builder.font
    font["head"].created = font["head"].modified = 3_850_000_000
    font.recalcTimestamp = False
    rules = "table GDEF { GlyphClassDef [A Aacute H I T V O Q], , [acute], ; } GDEF;"
    if kern == "GPOS":
        # The first two by classes, the last as a pair of its own.
        rules += (
            "languagesystem latn dflt; @A = [A Aacute]; @V = [V];"
            "feature kern { pos I T -37; pos @A @V -140; pos @V @A -140; } kern;"
        )
    addOpenTypeFeaturesFromString(font, rules)
    if kern == "kern":
        from fontTools.ttLib import newTable
        from fontTools.ttLib.tables._k_e_r_n import KernTable_format_0

        table = KernTable_format_0()
        table.coverage, table.version, table.tupleIndex = 1, 0, None
        table.kernTable = dict(KERN)
        font["kern"] = newTable("kern")
        font["kern"].version, font["kern"].kernTables = 0, [table]
    font.save(path)
    return path


def contours(glyphs, name):
    """A letter's contours as closed polygons, its curves in fine chords."""
    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    found, part = np.linspace(0, 1, 33)[1:], []
    for verb, points in pen.value:
        if verb == "moveTo":
            part.append([points[0]])
        elif verb == "lineTo":
            part[-1].append(points[0])
        elif verb == "qCurveTo":
            for control, to in decomposeQuadraticSegment(points):
                a, b, c = (np.array(p, float) for p in (part[-1][-1], control, to))
                part[-1] += [tuple((1 - t) ** 2 * a + 2 * t * (1 - t) * b + t * t * c) for t in found]
        elif verb == "curveTo":
            a, b, c, d = (np.array(p, float) for p in (part[-1][-1], *points))
            part[-1] += [
                tuple((1 - t) ** 3 * a + 3 * t * (1 - t) ** 2 * b + 3 * t * t * (1 - t) * c + t**3 * d) for t in found
            ]
    return part


def art_of(path, text):
    """A text's letters, a capital 1 high, the middle of their box at the origin: all that any letter winds round.

    In this font no counter lies in more than one outer contour, so that winding is union less counters."""
    font = TTFont(path)
    glyphs, names = font.getGlyphSet(), font.getBestCmap()
    outer_way = None
    found, along, before = shapely.Polygon(), 0.0, None
    for letter in text:
        name = names[ord(letter)]
        base = "A" if name == "Aacute" else name
        along += KERN.get((before, base), 0)
        own, holes = shapely.Polygon(), shapely.Polygon()
        for corners in contours(glyphs, name):
            ring_ = shapely.LinearRing(corners)
            outer_way = ring_.is_ccw if outer_way is None else outer_way
            piece = shapely.Polygon(corners)
            if ring_.is_ccw == outer_way:
                own = own.union(piece)
            else:
                holes = holes.union(piece)
        # The Q's tail crosses the counter: there it winds once less, and once more.
        if name == "Q":
            bowl, tail = (shapely.Polygon(contours(glyphs, name)[at]) for at in (0, 2))
            own = bowl.difference(holes).union(tail)
        else:
            own = own.difference(holes)
        found = found.union(shapely.affinity.translate(own, along, 0))
        along += font["hmtx"][name][0]
        before = base
    x0, y0, x1, y1 = found.bounds
    found = shapely.affinity.translate(found, -(x0 + x1) / 2, -(y0 + y1) / 2)
    return shapely.affinity.scale(found, 1 / CAPITAL, 1 / CAPITAL, origin=(0, 0))
