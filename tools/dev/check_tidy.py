#!/usr/bin/python3
"""Runs clang-tidy 14 with the rules of .clang-tidy over every source that a build folder compiles.

A file that was clean before and has not changed since, nor any of our headers that it includes, is not checked
again; what was clean is remembered in the build folder.

Usage: check_tidy.py BUILD [--jobs N] [--again] [FILE ...]     FILE: only these, relative to the root
"""
import argparse
import concurrent.futures
import hashlib
import json
import os
import re
import subprocess
import sys
import time

from sources import ROOMS, read, report, root_from

PROGRAM = "clang-tidy-14"


def compiled_files(root, build):
    """Path relative to root -> its compile command, for our own sources only."""
    with open(os.path.join(build, "compile_commands.json"), encoding="utf-8") as file:
        entries = json.load(file)
    found = {}
    for entry in entries:
        path = os.path.relpath(os.path.join(entry["directory"], entry["file"]), root)
        if path.startswith(tuple(room + "/" for room in ROOMS)):
            found[path] = entry.get("command") or " ".join(entry["arguments"])
    return found


def with_our_headers(root, path, seen):
    """Adds path and all of our headers that it includes, directly or not, to seen."""
    if path in seen or not os.path.isfile(os.path.join(root, path)):
        return seen
    seen.add(path)
    for target in re.findall(r'^\s*#\s*include\s*"([^"]+)"', read(root, path), re.M):
        with_our_headers(root, target, seen)
        with_our_headers(root, os.path.normpath(os.path.join(os.path.dirname(path), target)), seen)
    return seen


def fingerprint(root, path, command):
    digest = hashlib.sha256(command.encode())
    rules = [name for name in (".clang-tidy", path.split("/")[0] + "/.clang-tidy") if os.path.isfile(os.path.join(root, name))]
    for name in [*rules, *sorted(with_our_headers(root, path, set()))]:
        digest.update(name.encode() + b"\0" + read(root, name).encode() + b"\0")
    return digest.hexdigest()


def tidy(root, build, path):
    extra = ["--extra-arg-before=-Wno-unknown-warning-option", "--extra-arg-before=-Wno-unused-command-line-argument"]
    start = time.monotonic()
    run = subprocess.run([PROGRAM, "--quiet", "-p", build, *extra, path], cwd=root, check=False, capture_output=True,
                         text=True)
    text = "\n".join(line for line in run.stdout.splitlines() if line.strip())
    if run.returncode and not text:
        text = run.stderr
    return run.returncode, text, time.monotonic() - start


def options():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("build")
    parser.add_argument("files", nargs="*")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--again", action="store_true", help="check files that were clean before, too")
    parser.add_argument("--times", action="store_true", help="print the seconds of each file")
    parser.add_argument("--root")
    return parser.parse_intermixed_args()


def main():
    args = options()
    root, build = root_from(args.root), os.path.abspath(args.build)
    files = compiled_files(root, build)
    if args.files:
        files = {path: files[path] for path in args.files if path in files}
    if not files:
        return report("tidy", [f"{build}/compile_commands.json names none of our sources"])
    memory = os.path.join(build, "tidy-clean.json")
    clean = {}
    if os.path.isfile(memory) and not args.again:
        with open(memory, encoding="utf-8") as file:
            clean = json.load(file)
    prints = {path: fingerprint(root, path, command) for path, command in files.items()}
    todo = sorted(path for path in files if clean.get(path) != prints[path])
    faults = []
    with concurrent.futures.ThreadPoolExecutor(args.jobs) as pool:
        for path, (code, text, seconds) in zip(todo, pool.map(lambda p: tidy(root, build, p), todo)):
            if args.times:
                print(f"{seconds:7.1f} s  {path}")
            if code:
                faults.append(f"{path}:\n{text}")
            else:
                clean[path] = prints[path]
    with open(memory, "w", encoding="utf-8") as file:
        json.dump(clean, file, indent=1, sort_keys=True)
    print(f"checked {len(todo)} files, {len(files) - len(todo)} unchanged since they were clean")
    return report("tidy", faults)


if __name__ == "__main__":
    try:
        sys.exit(main())
    except FileNotFoundError as error:
        sys.exit(f"{error.filename or PROGRAM} is missing: build first, or run tools/install.sh")
