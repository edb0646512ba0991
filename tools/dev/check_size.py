#!/usr/bin/python3
"""Checks the length of files: headers up to 150 lines, sources up to 400. Tests are listed but may be longer.

A file that is better long stands in LONGER with its own limit and the reason.

Usage: check_size.py [ROOT]
"""
import sys

from sources import our_sources, read, report, root_from

LIMIT = {".hpp": 150, ".cpp": 400}
LONGER = {}  # path: (lines, reason)


def main():
    root = root_from(sys.argv[1] if len(sys.argv) > 1 else None)
    faults = []
    for path in our_sources(root):
        lines = read(root, path).count("\n")
        limit = LONGER.get(path, (LIMIT[path[-4:]], ""))[0]
        if lines <= limit:
            continue
        if path.startswith("tests/"):
            print(f"{path}: {lines} lines, above {limit}; allowed in tests")
        else:
            faults.append(f"{path}: {lines} lines, allowed are {limit}; split it by topic")
    return report("size", faults)


if __name__ == "__main__":
    sys.exit(main())
