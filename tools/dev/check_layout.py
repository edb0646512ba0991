#!/usr/bin/env python3
"""Quick look at a parametric layout without meshing it.

    tools/dev/check_layout.py cases/harbour-tug/layout.toml [--svg FILE] [--clearance 1.5]

Prints volumes and weights per part and per side, gate lengths, and every pair of pieces that lie closer
to each other than the clearance; writes a plan view as SVG. For drawing a frame, not for judging it:
`firstshot check` is the judge. Exit code 1 when pieces overlap or stand too close.
"""
import argparse
import math
import sys
import tomllib

MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "um": 1e-3}
MELT_DENSITY = 969.9  # kg/m3, polystyrene at 200 degC and no pressure
DRAFT_DEFAULT = 10.0


def length(text):
    """'1.2 mm' -> 1.2"""
    number, unit = text.split()
    return float(number) * MM[unit]


def degrees(text):
    return math.radians(float(text.split()[0]))


def arc(a, b, bulge):
    """Points from a (without it) to b along an arc with the DXF bulge."""
    if bulge == 0.0:
        return [b]
    n = max(4, int(abs(math.atan(bulge)) * 4 / 0.08))
    theta = 4.0 * math.atan(bulge)
    chord = complex(*b) - complex(*a)
    centre = complex(*a) + chord * 0.5 * (1 + 1j / math.tan(theta / 2))
    r0 = complex(*a) - centre
    spin = [centre + r0 * complex(math.cos(theta * k / n), math.sin(theta * k / n)) for k in range(1, n)]
    return [(p.real, p.imag) for p in spin] + [b]


def outline(table):
    """Closed polygon [(x, y)] in mm of a polygon, circle or rectangle."""
    if "polygon" in table:
        rows = [(c[0], c[1], c[2] if len(c) > 2 else 0.0) for c in table["polygon"]]
        points = []
        for (x, y, bulge), (u, v, _) in zip(rows, rows[1:] + rows[:1]):
            points += arc((x, y), (u, v), bulge)
        return points
    if "circle" in table:
        (x, y), r = table["circle"]["centre"], length(table["circle"]["diameter"]) / 2
        return [(x + r * math.cos(k * math.tau / 48), y + r * math.sin(k * math.tau / 48)) for k in range(48)]
    box = table["rectangle"]
    (x, y), (w, h) = box["centre"], box["size"]
    r, turn = length(box.get("radius", "0 mm")), degrees(box.get("turn", "0 deg"))
    b = math.tan(math.pi / 8) if r else 0.0
    w, h = w / 2, h / 2
    corners = [(w, r - h, 0), (w, h - r, b), (w - r, h, 0), (r - w, h, b), (-w, h - r, 0), (-w, r - h, b), (r - w, -h, 0), (w - r, -h, b)]
    c, s = math.cos(turn), math.sin(turn)
    return outline({"polygon": [(x + c * p - s * q, y + s * p + c * q, k) for p, q, k in corners]})


def area_and_centre(p):
    a = cx = cy = 0.0
    for (x, y), (u, v) in zip(p, p[1:] + p[:1]):
        cross = x * v - u * y
        a, cx, cy = a + cross / 2, cx + (x + u) * cross / 6, cy + (y + v) * cross / 6
    return abs(a), cx / a, cy / a


def half(p, keep):
    """The part of a polygon where the linear function `keep` is not negative (Sutherland and Hodgman)."""
    out = []
    for a, b in zip(p, p[1:] + p[:1]):
        fa, fb = keep(a), keep(b)
        if fa >= 0:
            out.append(a)
        if (fa >= 0) != (fb >= 0):
            k = fa / (fa - fb)
            out.append((a[0] + k * (b[0] - a[0]), a[1] + k * (b[1] - a[1])))
    return abs(sum(x * v - u * y for (x, y), (u, v) in zip(out, out[1:] + out[:1]))) / 2


def moved(points, image):
    """Mirror, then turn, then move, as the grammar says."""
    if "mirror" in image:
        (x0, y0), (x1, y1) = image["mirror"]
        d = complex(x1 - x0, y1 - y0)
        o = complex(x0, y0)
        points = [o + d * ((complex(*p) - o) / d).conjugate() for p in points]
        points = [(p.real, p.imag) for p in points]
    if "turn" in image:
        o, w = complex(*image["turn"]["about"]), degrees(image["turn"]["angle"])
        points = [o + (complex(*p) - o) * complex(math.cos(w), math.sin(w)) for p in points]
        points = [(p.real, p.imag) for p in points]
    dx, dy = image.get("move", [0, 0])
    return [(x + dx, y + dy) for x, y in points]


def read_parts(doc):
    parts = {}
    for t in doc.get("part", []):
        steps = [(outline(s), length(s["thickness"])) for s in t.get("step", [])]
        parts[t["name"]] = {
            "rim": outline(t), "holes": [outline(h) for h in t.get("hole", [])], "steps": steps,
            "thickness": length(t["thickness"])}
    for t in doc.get("image", []):
        of = parts[t["of"]]
        parts[t["name"]] = {
            "rim": moved(of["rim"], t), "holes": [moved(h, t) for h in of["holes"]],
            "steps": [(moved(p, t), s) for p, s in of["steps"]], "thickness": of["thickness"]}
    for p in parts.values():
        pieces = [(area_and_centre(p["rim"]), p["thickness"])]
        pieces += [(area_and_centre(h), -p["thickness"]) for h in p["holes"]]
        pieces += [(area_and_centre(o), s - p["thickness"]) for o, s in p["steps"]]
        p["volume"] = sum(a * t for (a, _, _), t in pieces)
        p["centre"] = tuple(sum(q[0][k] * q[0][0] * q[1] for q in pieces) / p["volume"] for k in (1, 2))
        p["area"] = area_and_centre(p["rim"])[0] - sum(area_and_centre(h)[0] for h in p["holes"])
    return parts


def section(s, prefix):
    """(width, area) of a section in mm, mm2."""
    get = lambda key: length(s.get(prefix + key, s[key]))
    if s["kind"] in ("round", "half_round"):
        d = get("diameter")
        return d, math.pi * d * d / (4 if s["kind"] == "round" else 8)
    w, d = get("width"), get("depth")
    lean = math.tan(degrees(s.get("draft", f"{DRAFT_DEFAULT} deg"))) * d if s["kind"] == "trapezoid" else 0.0
    return w, (w - lean) * d


def read_runners(doc):
    """Legs (name, a, b, width at a, width at b, volume)."""
    legs = []
    for r in doc.get("runner", []):
        pts = r["points"]
        total = sum(math.dist(a, b) for a, b in zip(pts, pts[1:]))
        (w0, a0), (w1, a1) = section(r["section"], ""), section(r["section"], "end_")
        at = 0.0
        for a, b in zip(pts, pts[1:]):
            s, e = at / total, (at + math.dist(a, b)) / total
            mix = lambda p, q, k: p + (q - p) * k
            mean = (mix(a0, a1, s) + mix(a0, a1, e)) / 2
            legs.append((r["name"], tuple(a), tuple(b), mix(w0, w1, s), mix(w0, w1, e), mean * math.dist(a, b)))
            at += math.dist(a, b)
    return legs


def leg_rim(leg):
    _, a, b, wa, wb, _ = leg
    n = (complex(*b) - complex(*a)) * 1j / math.dist(a, b)
    p = [complex(*a) - n * wa / 2, complex(*b) - n * wb / 2, complex(*b) + n * wb / 2, complex(*a) + n * wa / 2]
    return [(q.real, q.imag) for q in p]


def inside(p, rim):
    odd = False
    for (x, y), (u, v) in zip(rim, rim[1:] + rim[:1]):
        if (y > p[1]) != (v > p[1]) and p[0] < x + (p[1] - y) / (v - y) * (u - x):
            odd = not odd
    return odd


def to_segment(p, a, b):
    d = complex(*b) - complex(*a)
    s = 0.0 if d == 0 else ((complex(*p) - complex(*a)) * d.conjugate()).real / abs(d) ** 2
    return abs(complex(*p) - complex(*a) - d * min(1.0, max(0.0, s)))


def gap(p, q):
    """Distance of two outlines in mm, negative when one reaches into the other."""
    box = lambda r, k: (min(v[k] for v in r), max(v[k] for v in r))
    apart = max(max(box(p, k)[0] - box(q, k)[1], box(q, k)[0] - box(p, k)[1]) for k in (0, 1))
    if apart > 10.0:
        return apart
    if any(inside(v, q) for v in p) or any(inside(v, p) for v in q):
        return -1.0
    sides = lambda r: list(zip(r, r[1:] + r[:1]))
    return min(min(to_segment(v, a, b) for v in p for a, b in sides(q)), min(to_segment(v, a, b) for v in q for a, b in sides(p)))


def check(doc, parts, legs, clearance):
    """List of sentences, one per pair that stands too close. A stub may reach for the part it feeds."""
    faults = []
    names = list(parts)
    for i, a in enumerate(names):
        for b in names[i + 1:]:
            d = gap(parts[a]["rim"], parts[b]["rim"])
            if d < clearance:
                faults.append(f"{a} and {b}: {d:.2f} mm apart")
    for g in doc.get("gate", []):
        feeds = min(names, key=lambda n: min(to_segment(g["to"], a, b) for a, b in zip(parts[n]["rim"], parts[n]["rim"][1:] + parts[n]["rim"][:1])))
        parts[feeds].setdefault("gates", []).append(g)
        rim = parts[feeds]["rim"]
        off = min(to_segment(g["to"], a, b) for a, b in zip(rim, rim[1:] + rim[:1]))
        if off > 0.05:
            faults.append(f"gate {g['name']}: {off:.2f} mm off the rim of {feeds}")
        if min(to_segment(g["from"], l[1], l[2]) for l in legs) > 0.05:
            faults.append(f"gate {g['name']}: begins on no runner")
    for n in names:
        own = {l[0] for g in parts[n].get("gates", []) for l in legs if to_segment(g["from"], l[1], l[2]) < 0.05}
        if not parts[n].get("gates"):
            faults.append(f"{n}: no gate")
        for l in legs:
            d = gap(parts[n]["rim"], leg_rim(l))
            if d < (0.8 if l[0] in own else clearance):
                faults.append(f"{n} and runner {l[0]}: {d:.2f} mm apart")
    return faults


def volume_where(p, keep):
    """Volume of a part on one side of a line, mm3."""
    rim = half(p["rim"], keep) - sum(half(h, keep) for h in p["holes"])
    return rim * p["thickness"] + sum(half(o, keep) * (s - p["thickness"]) for o, s in p["steps"])


def report(doc, parts, legs, faults):
    print(f"{'part':20}{'area mm2':>10}{'mm3':>9}{'g':>8}{'x mm':>8}{'y mm':>8}")
    for n, p in parts.items():
        print(f"{n:20}{p['area']:10.1f}{p['volume']:9.1f}{p['volume'] * MELT_DENSITY * 1e-6:8.3f}{p['centre'][0]:8.1f}{p['centre'][1]:8.1f}")
    pieces = [(p["centre"], p["volume"]) for p in parts.values()]
    pieces += [(((l[1][0] + l[2][0]) / 2, (l[1][1] + l[2][1]) / 2), l[5]) for l in legs]
    weigh = lambda keep: MELT_DENSITY * 1e-6 * (sum(volume_where(p, keep) for p in parts.values()) + sum(
        l[5] * half(leg_rim(l), keep) / area_and_centre(leg_rim(l))[0] for l in legs))
    part_volume, runner_volume = sum(p["volume"] for p in parts.values()), sum(l[5] for l in legs)
    plan = sum(p["area"] for p in parts.values()) + sum((l[3] + l[4]) / 2 * math.dist(l[1], l[2]) for l in legs)
    print(f"{len(parts)} parts {part_volume / 1e3:.2f} cm3, runners {runner_volume / 1e3:.2f} cm3, projected area {plan / 100:.1f} cm2")
    print(f"left {weigh(lambda c: -c[0]):.2f} g, right {weigh(lambda c: c[0]):.2f} g, "
          f"top {weigh(lambda c: c[1]):.2f} g, bottom {weigh(lambda c: -c[1]):.2f} g (without the sprue)")
    total = sum(v for _, v in pieces)
    print(f"centre of weight: {sum(c[0] * v for c, v in pieces) / total:.2f}, {sum(c[1] * v for c, v in pieces) / total:.2f} mm")
    for f in faults:
        print("fault:", f)


def svg(parts, legs, doc):
    path = lambda r: "M" + " L".join(f"{x:.3f},{-y:.3f}" for x, y in r) + " Z"
    xs = [v[0] for p in parts.values() for v in p["rim"]]
    ys = [v[1] for p in parts.values() for v in p["rim"]]
    x0, y0, w, h = min(xs) - 4, -max(ys) - 4, max(xs) - min(xs) + 8, max(ys) - min(ys) + 8
    out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{x0:.1f} {y0:.1f} {w:.1f} {h:.1f}" width="{w * 6:.0f}" font-family="sans-serif" font-size="2">']
    out += [f'<path d="{path(leg_rim(l))}" fill="#8a8f98"/>' for l in legs]
    for g in doc.get("gate", []):
        out.append(f'<path d="{path(leg_rim(("", g["from"], g["to"], length(g["width"]), length(g["width"]), 0)))}" fill="#d05a2b"/>')
    for n, p in parts.items():
        out.append(f'<path d="{path(p["rim"])} {" ".join(path(h) for h in p["holes"])}" fill="#c9cfd8" fill-rule="evenodd" stroke="#333" stroke-width=".2"/>')
        out += [f'<path d="{path(o)}" fill="#aab4c2"/>' for o, _ in p["steps"]]
        out.append(f'<text x="{p["centre"][0]:.1f}" y="{-p["centre"][1]:.1f}" text-anchor="middle">{n}</text>')
    return "\n".join(out + ["</svg>", ""])


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("layout")
    parser.add_argument("--svg", help="write a plan view to this file")
    parser.add_argument("--clearance", type=float, default=1.5, help="smallest distance between pieces [mm]")
    args = parser.parse_args()
    with open(args.layout, "rb") as file:
        doc = tomllib.load(file)
    if doc.get("unit") != "mm":
        sys.exit(f"{args.layout}: this look reads layouts in mm only")
    parts, legs = read_parts(doc), read_runners(doc)
    faults = check(doc, parts, legs, args.clearance)
    report(doc, parts, legs, faults)
    if args.svg:
        with open(args.svg, "w") as file:
            file.write(svg(parts, legs, doc))
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
