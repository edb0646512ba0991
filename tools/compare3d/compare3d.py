#!/usr/bin/env python3
"""Runs a strip and a two-cavity frame with firstshot and with a general 3D finite-volume solver, and prints tables.

    tools/compare3d/compare3d.py strip|frame build/release/firstshot -o folder [--across N]

The solver is `interFoam` of Debian's package `openfoam` (volume of fluid; apt-get install openfoam). Both get the same
Cross law at 220 degC without dependence on pressure, no heat, no air pressure, and a constant flow into the cavity.
What is computed is a quarter (half the gap, half the width); RESULTS.md beside this file says what else is set, and why.
--across scales the cells across the half gap (1 as in RESULTS.md). Needs python3-numpy and python3-h5py.
"""
import argparse
import math
import os
import pathlib
import shutil
import subprocess
import sys
import tomllib

import h5py
import numpy as np

import box_mesh
import flow_case

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "dev"))
from processor_time import timed  # noqa: E402

CARDS = pathlib.Path(__file__).resolve().parents[2] / "cases" / "materials"
TEMPERATURE = 220 + 273.15  # [K]

STRIP = """title = "Strip"
[layout]
unit = "mm"
[[layout.part]]
name = "strip"
thickness = "1.5 mm"
polygon = [[0, -10], [150, -10], [150, 10], [0, 10]]
[injection]
at = [0, 0]
width = "20 mm"
"""

FRAME = """title = "Two unequal cavities, square runner"
[layout]
unit = "mm"
[[layout.runner]]
name = "left"
points = [[0, 0], [-16, 0]]
section = { kind = "rectangle", width = "4 mm", depth = "4 mm" }
[[layout.runner]]
name = "right"
points = [[0, 0], [16, 0]]
section = { kind = "rectangle", width = "4 mm", depth = "4 mm" }
[[layout.part]]
name = "long"
thickness = "1.5 mm"
polygon = [[-17, -12], [-17, 12], [-77, 12], [-77, -12]]
[[layout.part]]
name = "short"
thickness = "1.5 mm"
polygon = [[17, -12], [47, -12], [47, 12], [17, 12]]
[[layout.gate]]
name = "g-long"
from = [-16, 0]
to = [-17, 0]
width = "1.2 mm"
depth = "1.5 mm"
[[layout.gate]]
name = "g-short"
from = [16, 0]
to = [17, 0]
width = "1.6 mm"
depth = "1.5 mm"
[injection]
at = [0, 0]
"""

PROCESS = """[material]
card = "./melt.toml"
[press]
card = "press-60t"
[air]
enabled = false
[process]
melt_temperature = "220 degC"
injection_speed = "{flow:g} cm3/s"
isothermal = true
barrel_compressible = false
entrance_length = {entrance:g}
switch_over = {{ volume = "100 %" }}
"""


def strip_mesh(across):
    x = box_mesh.planes((0, 150, 75, 1), (150, 151, 1, 1))
    y = box_mesh.planes((0, 8.8, 8, 0.5), (8.8, 10, 8, 1))
    z = box_mesh.planes((0, 0.75, round(8 * across), 1))
    mesh = box_mesh.BoxMesh(x, y, z, [((0, 151), (0, 10), (0, 0.75))])
    return mesh, lambda axis, sign, c: axis == 0 and sign < 0, lambda c: c[0] > 150


def frame_mesh(across):
    long = box_mesh.planes((17, 77, 30, 4), (77, 78, 1, 1))
    short = box_mesh.planes((17, 47, 17, 3.5), (47, 48, 1, 1))
    arm = box_mesh.planes((0, 16, 9, 0.25), (16, 17, 3, 1))
    x = np.concatenate([-long[:0:-1], -arm[:0:-1], arm, short[1:]])
    y = box_mesh.planes((0, 0.6, 3, 1), (0.6, 0.8, 1, 1), (0.8, 2, 3, 1), (2, 10.8, 7, 2.5), (10.8, 12, 2, 1))
    z = box_mesh.planes((0, 0.75, round(6 * across), 1), (0.75, 2, round(4 * across), 1))
    boxes = [((-16, 16), (0, 2), (0, 2)), ((-17, -16), (0, 0.6), (0, 0.75)), ((16, 17), (0, 0.8), (0, 0.75)),
             ((-78, -17), (0, 12), (0, 0.75)), ((17, 48), (0, 12), (0, 0.75))]
    mesh = box_mesh.BoxMesh(x, y, z, boxes)
    return mesh, lambda axis, sign, c: axis == 2 and c[2] > 1.99 and abs(c[0]) < 2, lambda c: c[0] < -77 or c[0] > 47


NUMERICS = {"courant": 1e9, "largest_step": 2e-2, "inner": 4, "relax_u": 0.9}
CASES = {
    "strip": {"layout": STRIP, "mesh": strip_mesh, "flow": 5.0, "end": 0.9, "density": 963 * 100, "air": 0.001, "outer": 3,
              "front_courant": 0.5, "places": [(10, 0), (30, 0), (60, 0), (90, 0), (120, 0), (145, 0), (60, 9), (120, 9)]},
    "frame": {"layout": FRAME, "mesh": frame_mesh, "flow": 1.5, "end": 1.7, "density": 963 * 200, "air": 0.02, "outer": 2,
              "front_courant": 1.0, "places": [(20, 0), (30, 0), (45, 0), (30, 10), (45, 10),
                                               (-20, 0), (-30, 0), (-45, 0), (-60, 0), (-75, 0), (-45, 10), (-75, 10)]},
}


def cross_law():
    """Zero-shear viscosity [Pa s] at 220 degC, stress of thinning [Pa] and slope of the card hips-8."""
    law = tomllib.loads((CARDS / "hips-8.toml").read_text())["viscosity"]
    number = {key: float(law[key].split()[0])
              for key in ("reference_temperature", "reference_viscosity", "temperature_offset", "stress_at_thinning")}
    above = TEMPERATURE - number["reference_temperature"]
    zero = number["reference_viscosity"] * math.exp(
        -law["temperature_steepness"] * above / (number["temperature_offset"] + above))
    return {"zero": zero, "thinning": 1e3 * number["stress_at_thinning"], "slope": law["slope"]}


def run_flat(program, case, folder, level, entrance):
    """firstshot: processor time [s], arrival [s] at the places, (time, pressure) of the inlet, fill times of the parts."""
    folder.mkdir(parents=True, exist_ok=True)
    card = (CARDS / "hips-8.toml").read_text().replace('"0.2 K/MPa"', '"0 K/MPa"')
    (folder / "melt.toml").write_text(card)
    (folder / "case.toml").write_text(case["layout"] + PROCESS.format(flow=case["flow"], entrance=entrance))
    seconds = timed([program, "run", folder / "case.toml", "-o", folder / level, "--accuracy", level, "--threads", "1", "--quiet"],
                    stdout=subprocess.DEVNULL)
    with h5py.File(folder / level / "result.h5") as file:
        points = file["model/points"][:]
        scale = 1e3 if np.abs(points).max() < 1 else 1.0
        node = file["model/node_of_vertex"][:]
        times = file["steps"][sorted(file["steps"])[-1]]["arrival_time"][:][node]
        near = [np.argmin(np.hypot(scale * points[:, 0] - x, scale * points[:, 1] - y)) for x, y in case["places"]]
        history = np.column_stack([file["history/time"][:], file["history/injection_pressure"][:]])
        return {"seconds": seconds, "arrival": times[near], "pressure": history,
                "full": dict(zip([n.decode() for n in file["result/parts/name"][:]], file["result/parts/full"][:]))}


def run_general(case, folder, across, filled=False):
    """The general solver: processor time [s], cells, arrival [s], (time, pressure), (time, melt inside of a quarter [m3]).

    filled: the cavity is full of melt from the start and melt leaves at the vent, for the pressure without a front.
    """
    shutil.rmtree(folder, ignore_errors=True)
    mesh, is_inlet, is_vent = case["mesh"](across)
    patches = [("inlet", "patch", is_inlet), ("vent", "patch", lambda axis, sign, c: axis == 0 and is_vent(c)),
               ("middle", "symmetryPlane", lambda axis, sign, c: axis == 2 and c[2] == 0),
               ("centre", "symmetryPlane", lambda axis, sign, c: axis == 1 and c[1] == 0), ("wall", "wall", lambda *_: True)]
    mesh.write(folder / "constant" / "polyMesh", patches)
    density = case["density"]
    air = {"viscosity": case["air"], "density": density / 963}
    flow_case.constant(folder, cross_law(), density, air)
    flow_case.start(folder, case["flow"] * 1e-6 / 4, 1 if filled else 0)
    numerics = {**NUMERICS, "front_courant": case["front_courant"], "outer": case["outer"], **({"largest_step": 1e-3} if filled else {})}
    flow_case.system(folder, 0.02 if filled else case["end"], numerics, [(x, max(y, 0.05), 0.02) for x, y in case["places"]])
    with open(folder / "log", "w") as log:
        seconds = timed(["interFoam"], cwd=folder, stdout=log, stderr=log,
                        env={**os.environ, "WM_PROJECT_DIR": "/usr/share/openfoam"})
    return {"seconds": seconds, **read_general(folder), "cells": len(mesh.indices)}


def read_general(folder):
    record = folder / "postProcessing"
    melt = np.loadtxt(record / "probes" / "0" / "alpha.melt")
    arrival = []
    for column in melt[:, 1:].T:
        there = np.argmax(column > 0.5)
        pair = slice(max(there - 1, 0), there + 1)
        arrival.append(np.interp(0.5, column[pair], melt[pair, 0]) if column[there] > 0.5 else np.nan)
    pressure = np.loadtxt(record / "inlet" / "0" / "surfaceFieldValue.dat")
    volume = np.loadtxt(record / "melt" / "0" / "volFieldValue.dat")
    return {"arrival": np.array(arrival), "pressure": pressure, "volume": volume, "steps": len(pressure)}


def main():
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("case", choices=CASES)
    ask.add_argument("program")
    ask.add_argument("-o", "--output", required=True, type=pathlib.Path)
    ask.add_argument("--across", type=float, default=1)
    given = ask.parse_args()
    case = CASES[given.case]
    flat = {f"{level}, entrance {e:g}": run_flat(given.program, case, given.output / f"flat{e:g}", level, e)
            for level, e in (("default", 0), ("fine", 0), ("default", 3))}
    three = run_general(case, given.output / f"general{given.across:g}", given.across)
    print(f"general solver: {three['cells']} cells, {three['steps']} steps, {three['seconds']:.0f} s of processor; firstshot "
          + ", ".join(f"{name}: {f['seconds']:.1f} s" for name, f in flat.items()))
    print(f"melt inside at the end {4e9 * three['volume'][-1, 1]:.0f} mm3 of {1e3 * case['flow'] * three['volume'][-1, 0]:.0f} that entered")
    print("\n| place [mm] | general | " + " | ".join(flat) + " |\n|---|---|" + "---|" * len(flat))
    for k, place in enumerate(case["places"]):
        print(f"| arrival at {place} | {three['arrival'][k]:.3f} s | " + " | ".join(f"{f['arrival'][k]:.3f} s" for f in flat.values()) + " |")
    for t in np.linspace(0.1, 0.9, 9) * case["end"]:
        print(f"| pressure at {t:.3f} s | {np.interp(t, *three['pressure'].T) / 1e6:.2f} MPa | "
              + " | ".join(f"{np.interp(t, *f['pressure'].T) / 1e6:.2f} MPa" for f in flat.values()) + " |")
    if given.case == "strip":
        # firstshot: 120 mm are full at 0.72 s, and the pressure grows with the length
        full = run_general(case, given.output / f"full{given.across:g}", given.across, filled=True)
        print(f"| pressure, full to 151 mm | {full['pressure'][-1, 1] / 1e6:.2f} MPa | "
              + " | ".join(f"{151 / 120 * np.interp(0.72, *f['pressure'].T) / 1e6:.2f} MPa" for f in flat.values()) + " |")
    for part in next(iter(flat.values()))["full"]:
        print(f"| {part} full | | " + " | ".join(f"{f['full'][part]:.3f} s" for f in flat.values()) + " |")


if __name__ == "__main__":
    main()
