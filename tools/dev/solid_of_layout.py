#!/usr/bin/python3
"""Draws the closed solid of a parametric layout: every piece stands with its wide side on the parting
plane z = 0, as a mould with all cavities in one half would give it. The sprue stands on the other side, so that
its whole length lies outside the runners, as in the layout.

    tools/dev/solid_of_layout.py LAYOUT.toml --stl FILE      by OpenSCAD (arcs as sides that turn 3 degrees)
    tools/dev/solid_of_layout.py LAYOUT.toml --bodies FILE   list of bodies for tests/cases/make_step, arcs as arcs

Parts are prisms; a step is a prism of its own height; runners are tapered bars, rounded at their bends;
gates are boxes that reach OVERLAP into both neighbours so that the union is one body; the sprue is a cone.
Of sections it knows the trapezoid and the rectangle. Reads layouts in mm only.
"""
import argparse
import math
import os
import subprocess
import sys
import tempfile
import tomllib

from check_layout import DRAFT_DEFAULT, degrees, length

ARC_TURN = 0.05  # rad per side: a circle loses 0.04 % of its area
OVERLAP = 0.3  # mm


def corners(shape):
    """[(x, y, bulge)] of a polygon, circle or rectangle."""
    if "polygon" in shape:
        return [(c[0], c[1], c[2] if len(c) > 2 else 0.0) for c in shape["polygon"]]
    if "circle" in shape:
        (x, y), r = shape["circle"]["centre"], length(shape["circle"]["diameter"]) / 2
        quarter = math.tan(math.pi / 8)
        return [(x + r, y, quarter), (x, y + r, quarter), (x - r, y, quarter), (x, y - r, quarter)]
    box = shape["rectangle"]
    (x, y), (w, h) = box["centre"], (v / 2 for v in box["size"])
    r, turn = length(box.get("radius", "0 mm")), degrees(box.get("turn", "0 deg"))
    if r == 0:
        flat = [(w, -h, 0.0), (w, h, 0.0), (-w, h, 0.0), (-w, -h, 0.0)]
    else:
        b = math.tan(math.pi / 8)
        flat = [(w, r - h, 0.0), (w, h - r, b), (w - r, h, 0.0), (r - w, h, b),
                (-w, h - r, 0.0), (-w, r - h, b), (r - w, -h, 0.0), (w - r, -h, b)]
        flat = [p for p, q in zip(flat, flat[1:] + flat[:1]) if math.dist(p[:2], q[:2]) > 1e-9]
    c, s = math.cos(turn), math.sin(turn)
    return [(x + c * p - s * q, y + s * p + c * q, k) for p, q, k in flat]


def moved(points, image):
    """Mirror, then turn, then move; a mirror bends arcs the other way."""
    out = [(complex(x, y), b) for x, y, b in points]
    if "mirror" in image:
        o, e = (complex(*p) for p in image["mirror"])
        out = [(o + (e - o) * ((p - o) / (e - o)).conjugate(), -b) for p, b in out]
    if "turn" in image:
        o, w = complex(*image["turn"]["about"]), degrees(image["turn"]["angle"])
        out = [(o + (p - o) * complex(math.cos(w), math.sin(w)), b) for p, b in out]
    by = complex(*image.get("move", [0, 0]))
    return [((p + by).real, (p + by).imag, b) for p, b in out]


def read_parts(doc):
    """{name: {"rim": corners, "height": mm, "holes": [corners], "steps": [(corners, mm)]}}"""
    parts = {}
    for t in doc.get("part", []):
        parts[t["name"]] = {"rim": corners(t), "height": length(t["thickness"]),
                            "holes": [corners(h) for h in t.get("hole", [])],
                            "steps": [(corners(s), length(s["thickness"])) for s in t.get("step", [])]}
    for t in doc.get("image", []):
        of = parts[t["of"]]
        parts[t["name"]] = {"rim": moved(of["rim"], t), "height": of["height"],
                            "holes": [moved(h, t) for h in of["holes"]],
                            "steps": [(moved(p, t), s) for p, s in of["steps"]]}
    return parts


def measures(section, share):
    """(width at the parting plane, depth, lean of one side) of a section, part of the way along."""
    if section["kind"] not in ("trapezoid", "rectangle"):
        sys.exit(f"sections of kind {section['kind']} are not drawn here")
    along = lambda key: length(section[key]) + share * (length(section.get("end_" + key, section[key])) - length(section[key]))
    draft = degrees(section.get("draft", f"{DRAFT_DEFAULT} deg")) if section["kind"] == "trapezoid" else 0.0
    return along("width"), along("depth"), along("depth") * math.tan(draft)


def bar(a, b, at_a, at_b):
    """Eight corners of a bar between two sections, four around each end."""
    across = (complex(*b) - complex(*a)) * 1j / math.dist(a, b)
    points = []
    for end, (width, depth, lean) in ((a, at_a), (b, at_b)):
        for side, z in ((-width / 2, 0.0), (width / 2, 0.0), (width / 2 - lean, depth), (lean - width / 2, depth)):
            p = complex(*end) + side * across
            points.append((p.real, p.imag, z))
    return points


def bodies(doc):
    """[(name, kind, values)]: "prism" (z0, z1, corners, holes), "bar" (8 points), "cone" (x, y, r0, r1, height)."""
    out = []
    for name, p in read_parts(doc).items():
        # A step that is lower than the part would need a cut, one that is higher only stands on it.
        if any(s < p["height"] for _, s in p["steps"]):
            sys.exit(f"{name}: steps lower than the part are not drawn here")
        out.append((name, "prism", (0.0, p["height"], p["rim"], p["holes"])))
        out += [(name, "prism", (0.0, s, o, [])) for o, s in p["steps"]]
    for r in doc.get("runner", []):
        points = r["points"]
        total, done = sum(math.dist(a, b) for a, b in zip(points, points[1:])), 0.0
        for a, b in zip(points, points[1:]):
            start, done = done / total, done + math.dist(a, b)
            out.append((r["name"], "bar", bar(a, b, measures(r["section"], start), measures(r["section"], done / total))))
            if b is not points[-1]:
                width, depth, lean = measures(r["section"], done / total)
                out.append((r["name"], "cone", (b[0], b[1], width / 2, width / 2 - lean, depth)))
    for g in doc.get("gate", []):
        a, b = complex(*g["from"]), complex(*g["to"])
        reach = (b - a) / abs(b - a) * OVERLAP
        a, b = a - reach, b + reach
        section = (length(g["width"]), length(g["depth"]), 0.0)
        out.append((g["name"], "bar", bar((a.real, a.imag), (b.real, b.imag), section, section)))
    if "sprue" in doc:
        s = doc["sprue"]
        out.append(("sprue", "cone", (*s["at"], length(s["foot_diameter"]) / 2, length(s["nozzle_diameter"]) / 2, -length(s["length"]))))
    return out


def flattened(points):
    """Polygon without arcs."""
    out = []
    for (x, y, b), (u, v, _) in zip(points, points[1:] + points[:1]):
        start, end, theta = complex(x, y), complex(u, v), 4 * math.atan(b)
        n = max(1, math.ceil(abs(theta) / ARC_TURN))
        for k in range(n):
            if k == 0:
                p = start
            else:
                centre = start + (end - start) * 0.5 * (1 + 1j / math.tan(theta / 2))
                p = centre + (start - centre) * complex(math.cos(theta * k / n), math.sin(theta * k / n))
            out.append((p.real, p.imag))
    return out


def scad(all_bodies):
    polygon = lambda points: "polygon([" + ",".join(f"[{x:.6f},{y:.6f}]" for x, y in points) + "]);"
    lines = ["union() {"]
    for name, kind, v in all_bodies:
        if kind == "prism":
            z0, z1, rim, holes = v
            cut = "".join(polygon(flattened(h)) for h in holes)
            lines.append(f"translate([0,0,{z0}]) linear_extrude({z1 - z0:.6f}) difference() {{ {polygon(flattened(rim))} {cut} }} // {name}")
        elif kind == "bar":
            points = ",".join(f"[{x:.6f},{y:.6f},{z:.6f}]" for x, y, z in v)
            lines.append(f"polyhedron([{points}], [[0,1,2,3],[7,6,5,4],[0,4,5,1],[1,5,6,2],[2,6,7,3],[3,7,4,0]]); // {name}")
        else:
            x, y, r0, r1, h = v
            turn = "mirror([0,0,1]) " if h < 0 else ""
            h = abs(h)
            lines.append(f"translate([{x},{y},0]) {turn}cylinder(h={h}, r1={r0}, r2={r1}, $fn={math.ceil(math.tau / ARC_TURN)}); // {name}")
    return "\n".join(lines + ["}", ""])


def body_list(all_bodies):
    """One body per line: name kind numbers; a corner is x y bulge."""
    lines = []
    for name, kind, v in all_bodies:
        if kind == "prism":
            z0, z1, rim, holes = v
            loops = [f"{len(p)} " + " ".join(f"{x!r} {y!r} {b!r}" for x, y, b in p) for p in [rim, *holes]]
            lines.append(f"{name} prism {z0!r} {z1!r} {len(loops)} " + " ".join(loops))
        elif kind == "bar":
            lines.append(f"{name} bar " + " ".join(f"{c!r}" for p in v for c in p))
        else:
            lines.append(f"{name} cone " + " ".join(repr(float(c)) for c in v))
    return "\n".join(lines + [""])


def binary_stl(text):
    """OpenSCAD writes text; a binary file is a fifth of it."""
    import struct
    values = [float(w) for line in text.splitlines() if line.strip().startswith("vertex") for w in line.split()[1:]]
    out = bytearray(b"drawn from a layout, unit mm".ljust(80, b"\0") + struct.pack("<I", len(values) // 9))
    for at in range(0, len(values), 9):
        out += struct.pack("<12fH", 0.0, 0.0, 0.0, *values[at:at + 9], 0)
    return bytes(out)


def write_stl(text, target):
    """The solid that OpenSCAD makes of a text."""
    with tempfile.TemporaryDirectory() as folder:
        source, made = os.path.join(folder, "solid.scad"), os.path.join(folder, "solid.stl")
        with open(source, "w") as file:
            file.write(text)
        subprocess.run(["openscad", "-o", made, source], check=True)
        with open(made) as file, open(target, "wb") as out:
            out.write(binary_stl(file.read()))


def read_layout(name):
    """The tables of a layout file in mm."""
    with open(name, "rb") as file:
        doc = tomllib.load(file)
    if doc.get("unit") != "mm":
        sys.exit(f"{name}: only layouts in mm are drawn")
    return doc


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("layout")
    parser.add_argument("--stl", help="let OpenSCAD make this binary STL file")
    parser.add_argument("--bodies", help="write the list of bodies to this file")
    args = parser.parse_args()
    drawn = bodies(read_layout(args.layout))
    if args.bodies:
        with open(args.bodies, "w") as file:
            file.write(body_list(drawn))
    if args.stl:
        write_stl(scad(drawn), args.stl)


if __name__ == "__main__":
    main()
