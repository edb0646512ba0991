#!/usr/bin/python3
"""Draws the melt front of a run: front_picture.py RESULTS.h5 OUT.png

Arrival time as colour with a black line every tenth of the fill, channels as lines. Needs Debian's
python3-h5py and python3-matplotlib; only the pictures of the README are made with it.
"""
import sys

import h5py
import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np


def main(source, target):
    with h5py.File(source) as f:
        mm = 1e3 * f["model/points"][:]
        triangles = f["model/triangles"][:]
        node = f["model/node_of_vertex"][:]
        position = 1e3 * f["model/node_position"][:]
        arrival = f["checkpoint/arrival"][:]
        line = np.stack([f["model/line_from"][:], f["model/line_to"][:]], axis=1)
        width = 2e3 * f["model/line_start_radius"][:]
    arrival = np.where(arrival < 0, np.nan, arrival)
    last = np.nanmax(arrival)
    at_vertex = arrival[node]
    dry = np.isnan(at_vertex[triangles]).any(axis=1)
    fig, ax = plt.subplots(figsize=(11, 6.2))
    colour = plt.get_cmap("viridis")
    ax.tripcolor(mm[:, 0], mm[:, 1], triangles, np.nan_to_num(at_vertex), mask=dry, shading="gouraud",
                 vmin=0, vmax=last, cmap=colour)
    if dry.any():
        ax.tripcolor(mm[:, 0], mm[:, 1], triangles[dry], np.zeros(len(mm)), cmap="Greys")
    ax.tricontour(mm[:, 0], mm[:, 1], triangles[~dry], np.nan_to_num(at_vertex),
                  levels=np.linspace(0, last, 11)[1:-1], colors="black", linewidths=0.5)
    for (a, b), w in zip(line, width):
        t = np.nanmean([arrival[a], arrival[b]]) if not np.isnan([arrival[a], arrival[b]]).all() else 0
        ax.plot(position[[a, b], 0], position[[a, b], 1], color=colour(t / last), linewidth=1.9 * w,
                solid_capstyle="butt")
    ax.set_aspect("equal")
    ax.margins(0.02)
    ax.set_xlabel("x [mm]")
    ax.set_ylabel("y [mm]")
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)
    bar = fig.colorbar(plt.cm.ScalarMappable(plt.Normalize(0, last), colour), ax=ax, shrink=0.75)
    bar.set_label("melt arrives after [s]")
    fig.tight_layout()
    fig.savefig(target, dpi=110)


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    main(sys.argv[1], sys.argv[2])
