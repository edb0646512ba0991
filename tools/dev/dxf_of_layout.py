#!/usr/bin/python3
"""Draws a parametric layout as DXF, the way a drawing office might hand it over.

    tools/dev/dxf_of_layout.py LAYOUT.toml --dxf FILE       the drawing
    tools/dev/dxf_of_layout.py LAYOUT.toml --tables FILE    the tables [[layer]] and [[part]] of its case

Polygons are broken into LINE and ARC, every other one drawn backwards, with four decimals, so that ends meet
only nearly, and every tenth line stops 0.02 mm short; rectangles are LWPOLYLINE, circles CIRCLE. A part of which there are images is a BLOCK, inserted
mirrored, turned and moved. Runners and gates are LINEs drawn either way. A border and a title are drawn too.
Reads layouts in mm only.
"""
import argparse
import cmath
import math
import sys

from check_layout import length
from solid_of_layout import corners, moved, read_layout, read_parts

DIGITS = 4
SHORT, SHORT_EVERY = 0.02, 10  # mm; so many lines
BORDER, TITLE = "SHEET", "HARBOUR FRAME"


class Writer:
    """Pairs of code and value."""

    def __init__(self):
        self.lines = []
        self.drawn = 0

    def pair(self, code, value):
        if isinstance(value, float):
            value = f"{value:.{DIGITS}f}"
        self.lines += [f"{code:3d}", str(value)]

    def entity(self, kind, layer, *pairs):
        self.pair(0, kind)
        self.pair(8, layer)
        for code, value in pairs:
            self.pair(code, value)

    def line(self, layer, a, b):
        self.drawn += 1
        a, b = (b, a) if self.drawn % 2 else (a, b)
        if self.drawn % SHORT_EVERY == 0:
            start, end = complex(*a), complex(*b)
            end -= (end - start) / abs(end - start) * SHORT
            b = (end.real, end.imag)
        self.entity("LINE", layer, (10, float(a[0])), (20, float(a[1])), (11, float(b[0])), (21, float(b[1])))

    def arc(self, layer, a, b, bulge):
        theta = 4 * math.atan(bulge)
        start, end = complex(*a), complex(*b)
        centre = start + (end - start) * 0.5 * (1 + 1j / math.tan(theta / 2))
        first, last = (start, end) if bulge > 0 else (end, start)  # an ARC always runs counter-clockwise
        angle = lambda p: math.degrees(cmath.phase(p - centre)) % 360.0
        self.entity("ARC", layer, (10, centre.real), (20, centre.imag), (40, abs(start - centre)),
                    (50, f"{angle(first):.6f}"), (51, f"{angle(last):.6f}"))

    def shape(self, layer, table):
        if "circle" in table:
            x, y = table["circle"]["centre"]
            self.entity("CIRCLE", layer, (10, float(x)), (20, float(y)), (40, length(table["circle"]["diameter"]) / 2))
        elif "rectangle" in table:
            points = corners(table)
            self.entity("LWPOLYLINE", layer, (90, len(points)), (70, 1))
            for x, y, bulge in points:
                self.pair(10, float(x))
                self.pair(20, float(y))
                if bulge:
                    self.pair(42, f"{bulge:.8f}")
        else:
            points = corners(table)
            for (x, y, bulge), (u, v, _) in zip(points, points[1:] + points[:1]):
                if bulge:
                    self.arc(layer, (x, y), (u, v), bulge)
                else:
                    self.line(layer, (x, y), (u, v))

    def part(self, table):
        self.shape("PART " + table["thickness"], table)
        for hole in table.get("hole", []):
            self.shape("HOLES", hole)
        for step in table.get("step", []):
            self.shape("STEP " + step["thickness"], step)

    def insert(self, block, layer, image):
        """The motion of an image: what it makes of 0 and of 1 and i."""
        at = lambda x, y: complex(*moved([(x, y, 0.0)], image)[0][:2])
        origin = at(0.0, 0.0)
        along, across = at(1.0, 0.0) - origin, at(0.0, 1.0) - origin
        mirrored = (across / along).imag < 0
        self.entity("INSERT", layer, (2, block), (10, origin.real), (20, origin.imag), (41, 1.0),
                    (42, -1.0 if mirrored else 1.0), (50, f"{math.degrees(cmath.phase(along)):.6f}"))


def section_layer(section):
    return "RUNNER " + " ".join(str(v) for k, v in section.items() if k != "kind").replace(" mm", "").replace(" deg", "")


def gate_layer(gate):
    return f"GATE {gate['width']} x {gate['depth']}".replace(" mm", "")


def dxf(doc):
    w = Writer()
    drawn_once = {image["of"] for image in doc.get("image", [])}
    parts = {part["name"]: part for part in doc["part"]}
    for section, fill in (("HEADER", header), ("BLOCKS", blocks), ("ENTITIES", entities)):
        w.pair(0, "SECTION")
        w.pair(2, section)
        fill(w, doc, parts, drawn_once)
        w.pair(0, "ENDSEC")
    w.pair(0, "EOF")
    return "\n".join(w.lines) + "\n"


def header(w, *_):
    for name, code, value in (("$ACADVER", 1, "AC1015"), ("$INSUNITS", 70, 4)):
        w.pair(9, name)
        w.pair(code, value)


def blocks(w, doc, parts, drawn_once):
    for name in sorted(drawn_once):
        w.entity("BLOCK", "0", (2, name), (70, 0), (10, 0.0), (20, 0.0))
        w.part(parts[name])
        w.entity("ENDBLK", "0")


def entities(w, doc, parts, drawn_once):
    for name, part in parts.items():
        if name in drawn_once:
            w.insert(name, "0", {})
        else:
            w.part(part)
    for image in doc.get("image", []):
        w.insert(image["of"], "0", image)
    for runner in doc.get("runner", []):
        for a, b in zip(runner["points"], runner["points"][1:]):
            w.line(section_layer(runner["section"]), a, b)
    for gate in doc.get("gate", []):
        w.line(gate_layer(gate), gate["from"], gate["to"])
    sprue = doc["sprue"]
    w.entity("CIRCLE", "SPRUE", (10, float(sprue["at"][0])), (20, float(sprue["at"][1])),
             (40, length(sprue["foot_diameter"]) / 2))
    box = [p for part in read_parts(doc).values() for p in part["rim"]]
    low = [min(p[k] for p in box) - 8.0 for k in (0, 1)]
    high = [max(p[k] for p in box) + 8.0 for k in (0, 1)]
    ring = [(low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1])]
    for a, b in zip(ring, ring[1:] + ring[:1]):
        w.line(BORDER, a, b)
    w.entity("TEXT", BORDER, (10, low[0] + 2), (20, low[1] + 2), (40, 4.0), (1, TITLE))


def point_inside(rim):
    """0.4 mm inside the middle of the longest side, or the middle of a circle."""
    turn = math.copysign(1, sum(x * v - y * u for (x, y, _), (u, v, _) in zip(rim, rim[1:] + rim[:1])))
    straight = [(a, b) for a, b in zip(rim, rim[1:] + rim[:1]) if a[2] == 0]
    if not straight:
        return rim[0][0] * 0.9 + rim[2][0] * 0.1, rim[0][1] * 0.9 + rim[2][1] * 0.1
    a, b = (complex(*p[:2]) for p in max(straight, key=lambda s: math.dist(s[0][:2], s[1][:2])))
    p = (a + b) / 2 + 0.4j * turn * (b - a) / abs(b - a)
    return p.real, p.imag


def tables(doc):
    out, seen = [], set()

    def layer(name, role, **measures):
        if name in seen:
            return
        seen.add(name)
        out.append(f'[[layer]]\nname = "{name}"\nrole = "{role}"')
        out.extend(f"{key} = {value}" for key, value in measures.items())
        out.append("")

    quoted = lambda text: f'"{text}"'
    for part in doc["part"]:
        layer("PART " + part["thickness"], "part", thickness=quoted(part["thickness"]))
        for step in part.get("step", []):
            layer("STEP " + step["thickness"], "step", thickness=quoted(step["thickness"]))
    layer("HOLES", "hole")
    for runner in doc.get("runner", []):
        inside = ", ".join(f"{k} = {quoted(v)}" for k, v in runner["section"].items())
        layer(section_layer(runner["section"]), "runner", section="{ " + inside + " }")
    for gate in doc.get("gate", []):
        layer(gate_layer(gate), "gate", width=quoted(gate["width"]), depth=quoted(gate["depth"]))
    layer("SPRUE", "sprue", length=quoted(doc["sprue"]["length"]), nozzle_diameter=quoted(doc["sprue"]["nozzle_diameter"]))
    layer(BORDER, "ignore")
    visible = {part["name"]: part.get("visible", False) for part in doc["part"]}
    for image in doc.get("image", []):
        visible[image["name"]] = image.get("visible", visible[image["of"]])
    for name, part in read_parts(doc).items():
        x, y = point_inside(part["rim"])
        out.append(f'[[part]]\nname = "{name}"\ninside = [{x:.3f}, {y:.3f}]\nvisible = {str(visible[name]).lower()}\n')
    return "\n".join(out)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("layout")
    parser.add_argument("--dxf", help="write the drawing to this file")
    parser.add_argument("--tables", help="write the tables to this file")
    args = parser.parse_args()
    doc = read_layout(args.layout)
    for target, make in ((args.dxf, dxf), (args.tables, tables)):
        if target:
            with open(target, "w") as file:
                file.write(make(doc))


if __name__ == "__main__":
    main()
