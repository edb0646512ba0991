#!/usr/bin/python3
"""Checks that all sources are formatted as .clang-format says, with clang-format 14.

Usage: check_format.py [ROOT]      to mend: clang-format-14 -i FILE
"""
import re
import subprocess
import sys

from sources import our_sources, report, root_from

PROGRAM = "clang-format-14"


def main():
    root = root_from(sys.argv[1] if len(sys.argv) > 1 else None)
    files = our_sources(root)
    run = subprocess.run([PROGRAM, "--dry-run", "--Werror", "--style=file", *files], cwd=root, check=False,
                         capture_output=True, text=True)
    places = {}  # file -> its first fault
    for path, place in re.findall(r"^([^:\n]+):(\d+:\d+): error: ", run.stderr, re.M):
        places.setdefault(path, place)
    faults = [f"{path}:{place}: not formatted; run {PROGRAM} -i {path}" for path, place in sorted(places.items())]
    if run.returncode and not faults:
        faults = [run.stderr.strip() or f"{PROGRAM} failed"]
    return report("format", faults)


if __name__ == "__main__":
    try:
        sys.exit(main())
    except FileNotFoundError:
        sys.exit(f"{PROGRAM} is not installed: run tools/install.sh")
