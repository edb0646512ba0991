"""Writes a mesh of hexahedra between grid planes, cells kept where a shape of boxes says so, as a polyMesh folder."""
import itertools

import numpy as np

HEADER = "FoamFile {{ version 2.0; format ascii; class {}; location \"constant/polyMesh\"; object {}; }}\n"


def planes(*pieces):
    """Grid planes [mm] from (from, to, cells, last over first) pieces that follow each other."""
    all_planes = [pieces[0][0]]
    for start, end, cells, ratio in pieces:
        assert abs(all_planes[-1] - start) < 1e-12
        step = ratio ** (np.arange(cells) / max(cells - 1, 1))
        all_planes += list(start + (end - start) * np.cumsum(step) / step.sum())
    return np.round(all_planes, 9)


class BoxMesh:
    """Cells (ix, iy, iz) inside the boxes ((x0, x1), (y0, y1), (z0, z1)) [mm]; faces of each patch are chosen by their middle."""

    def __init__(self, x, y, z, boxes):
        self.grid = [np.asarray(x), np.asarray(y), np.asarray(z)]
        self.middle = [(g[1:] + g[:-1]) / 2 for g in self.grid]
        inside = np.zeros([len(m) for m in self.middle], bool)
        for box in boxes:
            keep = [(m > low) & (m < high) for m, (low, high) in zip(self.middle, box)]
            inside |= keep[0][:, None, None] & keep[1][None, :, None] & keep[2][None, None, :]
        self.cell = np.full(inside.shape, -1)
        self.cell[inside] = np.arange(inside.sum())
        self.indices = np.argwhere(inside)

    def _corners(self, at, axis, plane):
        """Four grid points of a face normal to `axis` at grid plane `plane` of cell `at`, normal along +axis."""
        b, c = (axis + 1) % 3, (axis + 2) % 3
        for db, dc in ((0, 0), (1, 0), (1, 1), (0, 1)):
            p = list(at)
            p[axis], p[b], p[c] = plane, at[b] + db, at[c] + dc
            yield tuple(p)

    def _faces(self):
        """(owner, neighbour, corners) inside; (owner, corners, outward axis, sign, middle) on the border."""
        inner, outer = [], []
        for at in map(tuple, self.indices):
            me = self.cell[at]
            for axis, side in itertools.product(range(3), (0, 1)):
                to = list(at)
                to[axis] += 2 * side - 1
                there = 0 <= to[axis] < self.cell.shape[axis]
                other = self.cell[tuple(to)] if there else -1
                corners = list(self._corners(at, axis, at[axis] + side))
                if other > me:
                    inner.append((me, other, corners))
                elif other < 0:
                    middle = [self.middle[d][at[d]] for d in range(3)]
                    middle[axis] = self.grid[axis][at[axis] + side]
                    outer.append((me, corners if side else corners[::-1], axis, 2 * side - 1, middle))
        inner.sort(key=lambda f: f[:2])
        return inner, outer

    def write(self, folder, patches):
        """patches: (name, type, rule(axis, sign, middle)), the first rule that holds counts."""
        inner, outer = self._faces()
        groups = [[] for _ in patches]
        for face in outer:
            groups[next(k for k, (_, _, rule) in enumerate(patches) if rule(*face[2:]))].append(face)
        number, faces, owner = {}, [f[2] for f in inner], [f[0] for f in inner]
        boundary = []
        for (name, kind, _), group in zip(patches, groups):
            boundary.append(f"  {name} {{ type {kind}; nFaces {len(group)}; startFace {len(faces)}; }}")
            faces += [f[1] for f in group]
            owner += [f[0] for f in group]
        for corners in faces:
            for p in corners:
                number.setdefault(p, len(number))
        points = [f"({self.grid[0][i] / 1e3:.9g} {self.grid[1][j] / 1e3:.9g} {self.grid[2][k] / 1e3:.9g})" for i, j, k in number]
        rows = ["4(" + " ".join(str(number[p]) for p in c) + ")" for c in faces]
        folder.mkdir(parents=True, exist_ok=True)
        for file, kind, lines in (("points", "vectorField", points), ("faces", "faceList", rows),
                                  ("owner", "labelList", map(str, owner)), ("neighbour", "labelList", (str(f[1]) for f in inner))):
            lines = list(lines)
            (folder / file).write_text(HEADER.format(kind, file) + f"{len(lines)}\n(\n" + "\n".join(lines) + "\n)\n")
        (folder / "boundary").write_text(HEADER.format("polyBoundaryMesh", "boundary") + f"{len(patches)}\n(\n" + "\n".join(boundary) + "\n)\n")
