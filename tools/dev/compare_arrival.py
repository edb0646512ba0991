#!/usr/bin/env python3
"""Compares the arrival times of two results of the same frame on different meshes.

    tools/dev/compare_arrival.py COARSE/result.h5 FINE/result.h5

Prints, over the places of the coarse mesh: the largest difference, and those below which 95 % and half of
the places lie, in share of the fill time; then the parts with the largest differences of their full time.
Needs python3-h5py, python3-numpy and python3-matplotlib.
"""
import sys

import h5py
import matplotlib.tri as tri
import numpy as np


def arrival(result):
    """Points (n_vertices, 2), triangles, arrival of each vertex [s]."""
    model = result["model"]
    last = result["steps"][sorted(result["steps"])[-1]]
    node = model["node_of_vertex"][:]
    return model["points"][:], model["triangles"][:], last["arrival_time"][:][node]


def differences(points, times, fine_points, triangles, fine_times, end):
    """|difference| of the arrival at each of the points that the fine mesh reaches, in shares of `end`."""
    mesh = tri.Triangulation(fine_points[:, 0], fine_points[:, 1], triangles)
    there = tri.LinearTriInterpolator(mesh, fine_times)(points[:, 0], points[:, 1])
    off = np.abs(times - np.ma.filled(there, np.nan)) / end
    return off[np.isfinite(off)]


def main(coarse_name, fine_name):
    with h5py.File(coarse_name) as coarse, h5py.File(fine_name) as fine:
        points, _, times = arrival(coarse)
        fine_points, triangles, fine_times = arrival(fine)
        end = fine["result/fill_time"][()]
        off = differences(points, times, fine_points, triangles, fine_times, end)
        print(f"{len(off)} of {len(points)} places; fill time {end:.4f} s")
        print(f"arrival times: half within {100 * np.median(off):.2f} %, 95 % within {100 * np.quantile(off, 0.95):.2f} %, "
              f"largest {100 * off.max():.2f} % of the fill time")
        names = [n.decode() if isinstance(n, bytes) else n for n in fine["result/parts/name"][:]]
        full = np.abs(coarse["result/parts/full"][:] - fine["result/parts/full"][:]) / end
        for k in np.argsort(-full)[:3]:
            print(f"  {names[k]}: full {100 * full[k]:.2f} % apart")
        p = coarse["result/peak_pressure"][()] / fine["result/peak_pressure"][()] - 1
        print(f"peak pressure {100 * p:+.2f} %")


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    main(*sys.argv[1:])
