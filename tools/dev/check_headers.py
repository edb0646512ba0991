#!/usr/bin/python3
"""Every header compiles on its own: a user may include it first.

A header that its own source includes before anything else is proved by the build; each other one is compiled alone,
with the options of a source from its own folder, or from the nearest folder above.

Usage: check_headers.py BUILD [--jobs N] [--root ROOT]
"""
import argparse
import concurrent.futures
import json
import os
import re
import shlex
import subprocess
import sys

from sources import code_only, our_sources, read, report, root_from


def commands_by_source(root, build):
    """Path relative to root -> (folder to run in, arguments of its compiler)."""
    with open(os.path.join(build, "compile_commands.json"), encoding="utf-8") as file:
        entries = json.load(file)
    return {os.path.relpath(os.path.join(entry["directory"], entry["file"]), root):
            (entry["directory"], entry.get("arguments") or shlex.split(entry["command"])) for entry in entries}


def proved_by_own_source(root, header, sources):
    source = os.path.splitext(header)[0] + ".cpp"
    if source not in sources:
        return False
    first = re.search(r'^\s*#\s*include\s*(["<][^">\n]+)[">]', code_only(read(root, source)), re.M)
    # The insides of strings are kept for our own headers only; those are named from the root.
    return first is not None and first.group(1) == f'"{header}'


def nearest_source(header, sources):
    """A source of the header's own folder, or of the nearest one above; None when there is none."""
    folder = os.path.dirname(header)
    while folder:
        near = sorted(path for path in sources if path.startswith(folder + "/"))
        if near:
            return near[0]
        folder = os.path.dirname(folder)
    return None


def alone(root, header, command):
    """What the compiler says of the header as if it were a source; empty when nothing is wrong."""
    folder, arguments = command
    kept, skip = [], False
    for argument in arguments:
        if skip or argument == "-c":
            skip = False
        elif argument in ("-o", "-MF", "-MT", "-MQ"):
            skip = True
        elif argument not in ("-MD", "-MMD") and not argument.endswith((".cpp", "ccache")):
            kept.append(argument)
    text = f'#include "{header}"\n#include "{header}"\n'
    run = subprocess.run([*kept, "-I", root, "-fsyntax-only", "-x", "c++", "-"], cwd=folder, check=False, input=text,
                         capture_output=True, text=True)
    return run.stderr if run.returncode else ""


def options():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("build")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--root")
    return parser.parse_args()


def main():
    args = options()
    root = root_from(args.root)
    sources = commands_by_source(root, os.path.abspath(args.build))
    headers = our_sources(root, (".hpp",))
    todo = [header for header in headers if not proved_by_own_source(root, header, sources)]
    faults, tasks = [], []
    for header in todo:
        near = nearest_source(header, sources)
        if near is None:
            faults.append(f"{header}: no source near it tells how to compile it")
        else:
            tasks.append((header, sources[near]))
    with concurrent.futures.ThreadPoolExecutor(args.jobs) as pool:
        said = pool.map(lambda task: alone(root, *task), tasks)
        faults += [f"{header}: does not compile alone\n{text}" for (header, _), text in zip(tasks, said) if text]
    print(f"{len(headers)} headers: {len(headers) - len(todo)} proved by their own sources, {len(todo)} compiled alone")
    return report("headers", faults)


if __name__ == "__main__":
    try:
        sys.exit(main())
    except FileNotFoundError as error:
        sys.exit(f"{error.filename} is missing: build first")
