#!/usr/bin/python3
"""Checks who includes whom, who may touch files, the screen and threads, and that every header is installed.

    mesh -> solver -> io -> tools                                        (arrow: "is used by")
    inside solver: numeric -> material -> setup -> flow -> heat -> stage -> assess -> whole

Usage: check_layers.py [ROOT]
"""
import os
import re
import sys

from sources import code_only, our_sources, read, report, root_from

LIBRARIES = ["mesh", "solver", "io"]  # installed with their headers
LAYERS = ["mesh", "solver", "io", "tools", "tests"]
SOLVER_ROOMS = ["numeric", "material", "setup.hpp", "flow", "heat", "stage", "assess", "whole"]

# Third-party headers: pattern, places that may include them, and whether a header file may.
THIRD_PARTY = [
    (r"toml\+\+/", ("io/", "tests/"), False),
    (r"(H5\w*\.h|hdf5(_hl)?\.h)$", ("io/", "tests/"), False),
    (r"vtk\w+\.h$", ("io/", "tests/"), False),
    (r"\w+\.hxx$", ("io/", "tests/"), False),  # OpenCASCADE
    (r"dxflib/", ("io/", "tests/"), False),
    (r"zlib\.h$", ("io/", "tests/"), False),
    (r"cairo", ("io/", "tests/"), False),
    (r"CGAL/", ("mesh/", "tests/"), False),
    (r"nlohmann/", ("io/", "tools/", "tests/"), False),
    (r"fmt/", ("io/", "tools/", "tests/"), False),
    (r"CLI/", ("tools/", "tests/"), False),
    (r"Eigen/", ("mesh/", "solver/", "tools/bench/", "tests/"), False),
    (r"metis\.h$", ("solver/numeric/", "tools/bench/", "tests/"), False),
    (r"omp\.h$", ("tools/bench/",), True),
    (r"catch2/", ("tests/",), True),
]
# Standard headers that mean files or the screen.
FILES_AND_SCREEN = {"iostream", "fstream", "filesystem", "print", "unistd.h", "fcntl.h"}
PRINTING = re.compile(r"\bstd\s*::\s*(cout|cerr|clog)\b|\b(printf|fprintf|vprintf|puts|putchar|perror)\s*\(|\bfmt\s*::\s*print\b")
OPENING = re.compile(r"\b(fopen|freopen|tmpfile)\s*\(|\bstd\s*::\s*(basic_)?[io]?fstream\b|\bstd\s*::\s*[io]fstream\b")
ENDING = re.compile(r"\b(?:std\s*::\s*)?(exit|abort|_Exit|quick_exit|terminate)\s*\(")
OPENMP = re.compile(r"^\s*#\s*pragma\s+omp\b|\bomp_\w+\s*\(", re.M)
INCLUDE = re.compile(r'^\s*#\s*include\s*(?:"([^"]+)"|<([^>]+)>)', re.M)


def solver_rank(path):
    """Position of a solver file among its rooms, or None for one that lies in no known room."""
    room = path.split("/")[1]
    return SOLVER_ROOMS.index(room) if room in SOLVER_ROOMS else None


def project_include(path, target):
    """What is wrong with a file's include of one of our headers, or None."""
    here, there = path.split("/")[0], target.split("/")[0]
    if here == "tests" and "/" not in target:
        return None  # a helper beside the test
    if there not in LAYERS or "/" not in target:
        return f'includes "{target}": name our headers from the root, as "mesh/model.hpp"'
    if LAYERS.index(there) > LAYERS.index(here):
        return f'includes "{target}": {here} must not use {there}'
    if here == there == "solver":
        mine, other = solver_rank(path), solver_rank(target)
        if mine is not None and other is not None and other > mine:
            return f'includes "{target}": inside solver, {SOLVER_ROOMS[mine]} must not use {SOLVER_ROOMS[other]}'
    return None


def system_include(path, target):
    """What is wrong with a file's include of a library's header, or None."""
    for pattern, places, header_may in THIRD_PARTY:
        if not re.match(pattern, target):
            continue
        if not path.startswith(places):
            return f"includes <{target}>: allowed in {', '.join(places)} only"
        if path.endswith(".hpp") and not header_may:
            return f"includes <{target}>: in .cpp files only"
    if path.startswith(("mesh/", "solver/")) and target in FILES_AND_SCREEN:
        return f"includes <{target}>: mesh and solver open no file and print nothing"
    return None


def uses(path, code):
    """Yields (position, fault) for calls that the file's layer must not make."""
    layer = path.split("/")[0]
    if layer in ("mesh", "solver", "io"):
        for m in PRINTING.finditer(code):
            yield m.start(), f"{m.group().strip()}: only tools print"
        for m in ENDING.finditer(code):
            yield m.start(), f"{m.group().strip()}: only tools end the program"
    if layer in ("mesh", "solver"):
        for m in OPENING.finditer(code):
            yield m.start(), f"{m.group().strip()}: mesh and solver open no file"
    if not path.startswith(("tools/bench/", "tests/")):
        for m in OPENMP.finditer(code):
            yield m.start(), f"{m.group().strip()}: OpenMP stays in tools/bench; loops use numeric/parallel"


def faults_of(root, path):
    code = code_only(read(root, path))
    found = []
    if path.startswith("solver/") and solver_rank(path) is None:
        found.append((0, f"lies in no room of solver; known are {', '.join(SOLVER_ROOMS)}"))
    for m in INCLUDE.finditer(code):
        fault = project_include(path, m.group(1)) if m.group(1) else system_include(path, m.group(2))
        if fault:
            found.append((m.end(), fault))
    found += uses(path, code)
    return [f"{path}:{code.count(chr(10), 0, at) + 1}: {text}" for at, text in sorted(found)]


def not_installed(root, path):
    """A header of a library that is in no list of its CMakeLists.txt: users of the installed package lack it."""
    room, _, name = path.partition("/")
    lists = os.path.join(root, room, "CMakeLists.txt")
    if room not in LIBRARIES or not name.endswith(".hpp") or not os.path.isfile(lists):
        return []
    if name in read(root, f"{room}/CMakeLists.txt").split():
        return []
    return [f"{path}:1: missing from the headers in {room}/CMakeLists.txt, so it would not be installed"]


def main():
    root = root_from(sys.argv[1] if len(sys.argv) > 1 else None)
    files = our_sources(root)
    if not files:
        return report("layers", [f"{root}: no sources found"])
    return report("layers", [fault for path in files for fault in faults_of(root, path) + not_installed(root, path)])


if __name__ == "__main__":
    sys.exit(main())
