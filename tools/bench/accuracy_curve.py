#!/usr/bin/env python3
"""Draws what accuracy costs: levels, and one knob of `default` at a time, against `fine` with everything refined.

    tools/bench/accuracy_curve.py build/release/firstshot cases/two-cavities/case.toml -o curve [--refine 2]

Each line of the table (standard output, Markdown) is one run on one thread: processor time, nodes, and against the
reference the arrival times (half and 95 % of the places within, largest, in share of the fill time), the last
corner, and the peak pressure. The reference is `fine` with its elements and steps divided by --refine and its layers
multiplied by it. The lines "fine, only ... refined" are there to see how much of the reference itself is left: they
refine one knob by the square of --refine. Runs whose folder is complete are not made again; curve.svg is the picture.
Needs python3-h5py, python3-numpy and python3-matplotlib.
"""
import argparse
import json
import os
import pathlib
import re
import subprocess
import sys

import h5py
import matplotlib
import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "dev"))
from compare_arrival import arrival, differences  # noqa: E402
from processor_time import timed  # noqa: E402

LEVELS = ("preview", "default", "fine")


def values_of_levels(program):
    """Element size [mm], layers and volume steps of each level, as the program explains them."""
    columns = []
    for key in ("element_size", "layers", "volume_steps"):
        text = subprocess.run([program, "explain", f"accuracy.{key}"], check=True, capture_output=True, text=True).stdout
        found = {level: value for value, level in re.findall(r"([0-9.e+]+)(?: mm)? \((preview|default|fine)\)", text)}
        columns.append([float(found[level]) for level in LEVELS])
    return {level: (size, int(layers), int(steps)) for level, size, layers, steps in zip(LEVELS, *columns)}


def knobs(element, layers, steps):
    return [f"accuracy.element_size={element:g} mm", f"accuracy.layers={layers:d}", f"accuracy.volume_steps={steps:d}"]


def lines(values, refine):
    """Name, level and settings of every run; the reference comes first."""
    element, layers, steps = values["fine"]
    twice = refine * refine
    yield "reference", "fine", knobs(element / refine, round(layers * refine), round(steps * refine))
    for level in LEVELS:
        yield level, level, []
    element, layers, steps = values["default"]
    for f in (0.5, 2):
        word = "halved" if f < 1 else "doubled"
        yield f"default, layers {word}", "default", knobs(element, round(layers * f), steps)
        yield f"default, steps {word}", "default", knobs(element, layers, round(steps * f))
        yield f"default, elements {word}", "default", knobs(element * f, layers, steps)
    yield "default, iteration four times tighter", "default", ["accuracy.tolerance=0.005"]
    element, layers, steps = values["fine"]
    yield "fine, only layers refined", "fine", knobs(element, round(layers * twice), steps)
    yield "fine, only steps refined", "fine", knobs(element, layers, round(steps * twice))
    yield "fine, only elements refined", "fine", knobs(element / twice, layers, steps)


def run(program, case, folder, level, settings):
    """Processor time [s] of a run; a complete folder is taken as it is."""
    note = folder / "cost.json"
    key = [level, *settings]
    if note.exists() and json.loads(note.read_text())["settings"] == key:
        return json.loads(note.read_text())["seconds"]
    command = [program, "run", case, "-o", str(folder), "--accuracy", level, "--threads", "1", "--quiet"]
    for text in settings:
        command += ["--set", text]
    seconds = timed(command, stdout=subprocess.DEVNULL)
    note.write_text(json.dumps({"settings": key, "seconds": seconds}))
    return seconds


def figures(folder):
    """Places, triangles, arrival times [s], fill time [s], peak pressure [Pa], nodes."""
    with h5py.File(folder / "result.h5") as file:
        points, triangles, times = arrival(file)
        nodes = int(file["model"]["node_of_vertex"][:].max()) + 1
        return {"points": points, "triangles": triangles, "times": times, "nodes": nodes,
                "end": float(file["result/fill_time"][()]), "peak": float(file["result/peak_pressure"][()])}


def errors(one, reference):
    """Share of the fill time within which half and 95 % of the places lie, the largest, the end; share of the peak."""
    off = differences(one["points"], one["times"], reference["points"], reference["triangles"], reference["times"],
                      reference["end"])
    return {"half": np.median(off), "most": np.quantile(off, 0.95), "largest": off.max(),
            "end": one["end"] / reference["end"] - 1, "peak": one["peak"] / reference["peak"] - 1}


def picture(rows, path):
    matplotlib.use("svg")
    import matplotlib.pyplot as plt
    figure, axes = plt.subplots(1, 2, figsize=(11, 4.5))
    for ax, key, title in ((axes[0], "most", "arrival times, 95 % of the places within"), (axes[1], "peak", "peak pressure")):
        for name, seconds, _, e in rows:
            mark = "o" if name in LEVELS else "." if name.startswith("default") else "x"
            ax.loglog(seconds, max(abs(e[key]), 1e-5) * 100, mark, color="black" if name in LEVELS else "grey")
            ax.annotate(name.replace("default, ", ""), (seconds, max(abs(e[key]), 1e-5) * 100), fontsize=7)
        ax.set(title=title, xlabel="processor time [s]", ylabel="off the reference [%]")
    figure.tight_layout()
    figure.savefig(path)


def main():
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("program")
    ask.add_argument("case")
    ask.add_argument("-o", "--output", required=True, type=pathlib.Path)
    ask.add_argument("--refine", type=float, default=2, help="factor of the reference over fine (default 2)")
    ask.add_argument("--without", default="", metavar="TEXT", help="leave out lines whose name begins with TEXT")
    given = ask.parse_args()
    os.makedirs(given.output, exist_ok=True)
    reference, rows = None, []
    print("| run | processor time | nodes | arrival: half / 95 % within, largest | all full | peak pressure |")
    print("|---|---|---|---|---|---|")
    for name, level, settings in lines(values_of_levels(given.program), given.refine):
        if given.without and name.startswith(given.without):
            continue
        folder = given.output / name.replace(", ", "-").replace(" ", "_")
        seconds = run(given.program, given.case, folder, level, settings)
        one = figures(folder)
        if reference is None:
            reference = one
            print(f"| reference | {seconds:.1f} s | {one['nodes']} | | {one['end']:.4f} s | {one['peak'] / 1e6:.3f} MPa |", flush=True)
            continue
        e = errors(one, reference)
        rows.append((name, seconds, one["nodes"], e))
        print(f"| {name} | {seconds:.1f} s | {one['nodes']} | {100 * e['half']:.2f} / {100 * e['most']:.2f} %, {100 * e['largest']:.1f} % | "
              f"{100 * e['end']:+.1f} % | {100 * e['peak']:+.2f} % |", flush=True)
    picture(rows, given.output / "curve.svg")


if __name__ == "__main__":
    main()
