#!/usr/bin/python3
"""Checks that all sources are formatted as .clang-format says, with clang-format 14.

Usage: check_format.py [ROOT]      to mend: clang-format-14 -i FILE
"""
import subprocess
import sys

from sources import our_sources, report, root_from

PROGRAM = "clang-format-14"


def main():
    root = root_from(sys.argv[1] if len(sys.argv) > 1 else None)
    faults = []
    for path in our_sources(root):
        run = subprocess.run([PROGRAM, "--dry-run", "--Werror", "--style=file", path], cwd=root, check=False,
                             capture_output=True, text=True)
        if run.returncode:
            first = next((line for line in run.stderr.splitlines() if path in line), path)
            faults.append(f"{first.split(' error')[0].rstrip(':')}: not formatted; run {PROGRAM} -i {path}")
    return report("format", faults)


if __name__ == "__main__":
    try:
        sys.exit(main())
    except FileNotFoundError:
        sys.exit(f"{PROGRAM} is not installed: run tools/install.sh")
