#!/usr/bin/python3
"""Draws frame.stl: fourteen small sculpted pieces (leaves, shells, pebbles, badges) on one runner.

    cases/hedgerow/make_frame.py [FILE]

A piece is given in polar coordinates about its middle: its rim r(angle), the height of its upper and of its
lower surface over (share of the radius, angle). It stands on the parting plane z = 0 with a rim of constant
height; above and below it is rounded. Pieces, embossed strokes, runners, gates and sprue are closed shells of
their own that reach into each other, as they come out of a CAD program when nobody has united them.
"""
import math
import os
import struct
import sys

AROUND, RINGS = 72, 14
RIM = 0.45  # mm above and below the parting plane
EMBOSSED = 0.3  # mm
PITCH, ROW = 17.0, 16.0  # between the pieces, and from the runner to their middles [mm]
WIDTH, DEPTH, LEAN = 4.0, 3.2, 0.5  # runner
STUB, STUB_DEPTH = 2.2, 1.8
GATE_WIDTH, GATE_DEPTH, GATE_LENGTH = 1.1, 0.8, 1.0

cos, sin, tau = math.cos, math.sin, math.tau


def wave(a, n, sharp=1.0):
    """1 on n spokes, 0 between them; `sharp` narrows the spokes."""
    return ((1 + cos(n * a)) / 2) ** sharp


def dome(p, flat=2.0):
    """Rounded from 1 in the middle to 0 at the rim."""
    return math.sqrt(max(0.0, 1 - p ** flat))


def band(p, at, width):
    """1 on a ring, 0 away from it, with sloping sides."""
    return max(0.0, min(1.0, 1.5 - abs(p - at) / width * 2))


# name: (rim, upper surface above the rim, lower surface below the rim), lengths in mm
PIECES = {
    "oak-leaf": (lambda a: 5.2 + 1.3 * cos(7 * a) * sin(a / 2) ** 2,
                 lambda p, a: 0.5 * dome(p) + EMBOSSED * wave(a, 12, 6) * (p > 0.15), lambda p, a: -0.25 * dome(p)),
    "scallop": (lambda a: 6.0 + 0.35 * cos(18 * a) * (1 - cos(a)) / 2,
                lambda p, a: 1.3 * dome(p) + EMBOSSED * wave(a, 18, 2) * p, lambda p, a: -1.0 * dome(p)),
    "coin": (lambda a: 6.0, lambda p, a: 0.35 * dome(p, 16) + EMBOSSED * band(p, 0.82, 0.16), lambda p, a: 0.0),
    "blossom": (lambda a: 5.0 + 1.3 * cos(5 * a),
                lambda p, a: 0.7 * math.sqrt(p) * dome(p, 6) + EMBOSSED * wave(a, 20, 4) * p, lambda p, a: 0.3 * dome(p, 4)),
    "pebble": (lambda a: 1 / math.sqrt((cos(a) / 6.3) ** 2 + (sin(a) / 4.6) ** 2),
               lambda p, a: 1.1 * dome(p) + 0.1 * p * cos(3 * a), lambda p, a: 0.5 * dome(p)),
    "cogwheel": (lambda a: 5.5 + 0.7 * math.tanh(4 * cos(12 * a)),
                 lambda p, a: 0.9 * max(0.0, 1 - p / 0.35) + EMBOSSED * band(p, 0.65, 0.2), lambda p, a: 0.0),
    "star": (lambda a: 5.0 + 1.6 * (2 / math.pi * math.asin(0.98 * cos(5 * a))),
             lambda p, a: (0.6 + 0.5 * wave(a, 5)) * (1 - p), lambda p, a: 0.0),
    "heart": (lambda a: 5.4 - 0.9 * sin(a) + 0.5 * cos(2 * a) + 0.35 * sin(3 * a),
              lambda p, a: 0.9 * dome(p), lambda p, a: -0.45 * dome(p)),
    "shield": (lambda a: 5.6 + 0.6 * cos(4 * a) - 0.25 * sin(3 * a),
               lambda p, a: 0.3 * dome(p, 12), lambda p, a: 0.0),
    "drop": (lambda a: 4.9 + 1.2 * ((1 + sin(a)) / 2) ** 6, lambda p, a: 1.6 * dome(p), lambda p, a: -1.1 * dome(p)),
    "mushroom": (lambda a: 5.6 + 0.3 * cos(3 * a),
                 lambda p, a: 1.8 * dome(p) + EMBOSSED * wave(a, 6, 3) * band(p, 0.55, 0.3), lambda p, a: -1.4 * dome(p)),
    "sun": (lambda a: 5.2 + 0.8 * cos(16 * a), lambda p, a: 0.5 * band(p, 0.3, 0.5) + EMBOSSED * wave(a, 16, 2) * (p > 0.5),
            lambda p, a: 0.0),
    "hedgehog": (lambda a: 5.5 + 0.5 * cos(a) + 0.25 * cos(24 * a) * (sin(a) > 0),
                 lambda p, a: 1.2 * dome(p) + EMBOSSED * wave(a, 24) * wave(p * tau, 4), lambda p, a: -0.6 * dome(p)),
    "roof": (lambda a: 5.0 / max(abs(cos(b)) for b in (a, a + math.pi / 3, a - math.pi / 3)),
             lambda p, a: 2.0 * (1 - p), lambda p, a: -1.7 * (1 - p)),
}
# Embossed strokes (x0, y0, x1, y1) from the middle of a piece: a figure one on the coin, a cross on the shield.
STROKES = {"coin": [(-0.2, -2.6, 0.6, 2.6), (-1.3, 1.6, 0.2, 2.2), (-1.4, -3.0, 1.8, -2.3)],
           "shield": [(-0.4, -3.6, 0.4, 3.6), (-3.2, 0.4, 3.2, 1.2)]}


def piece(at, turn, rim, up, down):
    """Triangles of a closed shell."""
    ring = lambda k: [(k / RINGS, tau * i / AROUND) for i in range(AROUND)]
    place = lambda p, a, z: (at[0] + p * rim(a) * cos(a + turn), at[1] + p * rim(a) * sin(a + turn), z)
    triangles = []
    for sign, height in ((1, lambda p, a: RIM + up(p, a)), (-1, lambda p, a: -RIM - down(p, a))):
        # The rim itself is level, so that the wall around the piece has one height.
        surface = [[place(p, a, height(p, a) if k < RINGS else sign * RIM) for p, a in ring(k)] for k in range(1, RINGS + 1)]
        middle = (at[0], at[1], height(0.0, 0.0))
        for i in range(AROUND):
            j = (i + 1) % AROUND
            faces = [(middle, surface[0][i], surface[0][j])]
            for a, b in zip(surface, surface[1:]):
                faces += [(a[i], b[i], b[j]), (a[i], b[j], a[j])]
            triangles += faces if sign > 0 else [(u, w, v) for u, v, w in faces]
    for i in range(AROUND):
        a, b = ring(RINGS)[i][1], ring(RINGS)[(i + 1) % AROUND][1]
        low, high = [place(1.0, c, -RIM) for c in (a, b)], [place(1.0, c, RIM) for c in (a, b)]
        triangles += [(low[0], low[1], high[1]), (low[0], high[1], high[0])]
    return triangles


def bar(a, b, width, z0, z1, lean=0.0):
    """Box from a to b whose sides lean inwards towards z1."""
    across = (complex(*b) - complex(*a)) * 1j / math.dist(a, b)
    p = []
    for end in (a, b):
        for side, z in ((-width / 2, z0), (width / 2, z0), (width / 2 - lean, z1), (lean - width / 2, z1)):
            q = complex(*end) + side * across
            p.append((q.real, q.imag, z))
    quads = [(0, 1, 2, 3), (7, 6, 5, 4), (0, 4, 5, 1), (1, 5, 6, 2), (2, 6, 7, 3), (3, 7, 4, 0)]
    return [t for q in quads for t in ((p[q[0]], p[q[2]], p[q[1]]), (p[q[0]], p[q[3]], p[q[2]]))]


def cone(at, foot, top, z0, z1, n=64):
    ring = lambda r, z: [(at[0] + r * cos(tau * i / n), at[1] + r * sin(tau * i / n), z) for i in range(n)]
    low, high = ring(foot, z0), ring(top, z1)
    triangles = []
    for i in range(n):
        j = (i + 1) % n
        triangles += [(low[i], low[j], high[j]), (low[i], high[j], high[i]),
                      ((*at, z1), high[i], high[j]), ((*at, z0), low[j], low[i])]
    return triangles


def frame():
    columns = (len(PIECES) + 1) // 2
    end = PITCH * (columns - 1) / 2
    triangles = bar((-end - 1.5, 0), (end + 1.5, 0), WIDTH, -RIM, DEPTH - RIM, LEAN)
    triangles += cone((0.0, 0.0), 2.4, 1.5, -RIM, 38.0)
    for i, (name, (rim, up, down)) in enumerate(PIECES.items()):
        side = 1 if i < columns else -1
        x, y = -end + PITCH * (i % columns), side * ROW
        toward = -side * math.pi / 2  # from the middle of the piece to the runner
        turn = 0.0 if side > 0 else math.pi
        triangles += piece((x, y), turn, rim, up, down)
        edge = y - side * rim(toward - turn)
        gate = edge - side * GATE_LENGTH
        triangles += bar((x, -side * 0.5), (x, gate), STUB, -RIM, STUB_DEPTH - RIM, 0.25)
        triangles += bar((x, gate - side * 0.3), (x, edge + side * 0.5), GATE_WIDTH, -RIM, GATE_DEPTH - RIM)
        for x0, y0, x1, y1 in STROKES.get(name, []):
            top = RIM + up(0.0, 0.0)
            triangles += bar((x + x0, y + (y0 + y1) / 2), (x + x1, y + (y0 + y1) / 2), y1 - y0, top - 0.2, top + EMBOSSED)
    return triangles


def main():
    target = sys.argv[1] if len(sys.argv) > 1 else os.path.join(os.path.dirname(os.path.abspath(__file__)), "frame.stl")
    triangles = frame()
    with open(target, "wb") as file:
        file.write(b"hedgerow, unit mm".ljust(80, b"\0") + struct.pack("<I", len(triangles)))
        for t in triangles:
            file.write(struct.pack("<12fH", 0, 0, 0, *(c for p in t for c in p), 0))


if __name__ == "__main__":
    main()
