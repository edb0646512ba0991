#!/usr/bin/python3
"""What a sweep costs beside its runs: many runs of a small strip over the cores and on a Slurm of one node.

Usage: sweep_overhead.py PROGRAM [--runs N] [--per-element N ...]

Prints, for each way, processor time and time on the clock per run, and what of it is not the run itself (measured by
starting a few elements by hand). On a busy machine only the processor times mean something.
"""
import argparse
import ctypes
import os
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import time

ROOT = os.path.abspath(os.path.join(os.path.dirname(__file__), "..", ".."))
sys.path.insert(0, os.path.join(ROOT, "tests", "slurm"))
from test_sweeps import Node, case_text  # pylint: disable=wrong-import-position

TICKS = os.sysconf("SC_CLK_TCK")
DAEMONS = re.compile(r"^(slurmctld|slurmd|munged)$")


def adopt_orphans():
    """Processes whose parents are gone, as those in which Slurm runs an element, become children of this one."""
    set_child_subreaper = 36
    ctypes.CDLL(None).prctl(set_child_subreaper, 1, 0, 0, 0)


def processor_time():
    """Of all children that have ended [s]."""
    try:
        while os.waitpid(-1, os.WNOHANG)[0] > 0:
            pass
    except ChildProcessError:
        pass
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def daemon_time(folder):
    """Of the daemons that were started in the folder, with what they have waited for [s]."""
    total = 0
    for name in os.listdir(folder):
        if not name.endswith(".pid") or not DAEMONS.match(name[:-4]):
            continue
        with open(os.path.join(folder, name), encoding="ascii") as file:
            pid = file.read().strip()
        with open(f"/proc/{pid}/stat", encoding="ascii") as file:
            fields = file.read().rsplit(")", 1)[1].split()
        total += sum(int(fields[k]) for k in (11, 12, 13, 14))
    return total / TICKS


def sweep(program, case, out, runs, *more):
    subprocess.run([program, "sweep", case, "-o", out, "--quiet", "--axis", f"process.fill_time=0.3 s..0.6 s:{runs}", *more],
                   check=True, stdout=subprocess.DEVNULL)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("program")
    parser.add_argument("--runs", type=int, default=1000)
    parser.add_argument("--per-element", type=int, nargs="*", default=[1, 25])
    args = parser.parse_args()
    program = os.path.abspath(args.program)
    adopt_orphans()
    top = tempfile.mkdtemp(prefix="firstshot-overhead-")
    os.chmod(top, 0o711)
    case = os.path.join(top, "case.toml")
    with open(case, "w", encoding="utf-8") as file:
        file.write(case_text("4 mm", 4))
    try:
        sweep(program, case, os.path.join(top, "first"), 20)  # also warms the caches
        begin = processor_time()
        for run in range(1, 21):
            os.remove(os.path.join(top, "first", "runs", f"{run:05}", "summary.json"))
            subprocess.run([program, "sweep", "--element", str(run), "-o", os.path.join(top, "first")], check=True)
        alone = (processor_time() - begin) / 20
        print(f"a run alone: {1e3 * alone:.1f} ms of processor time")

        def measure(name, out, *more, daemons=lambda: 0.0):
            clock, used, by_daemons = time.monotonic(), processor_time(), daemons()
            sweep(program, case, os.path.join(top, out), args.runs, *more)
            clock = (time.monotonic() - clock) / args.runs
            time.sleep(2.0)  # for what ends after the last run
            used = (processor_time() - used + daemons() - by_daemons) / args.runs
            print(f"{name}: {1e3 * used:.1f} ms of processor time per run, {1e3 * (used - alone):.1f} ms of it beside the "
                  f"run; {1e3 * clock:.1f} ms on the clock", flush=True)

        measure(f"{args.runs} runs over the cores", "cores")
        folder = os.path.join(top, "node")
        os.mkdir(folder)
        node = Node(folder)
        try:
            for per in args.per_element:
                measure(f"{args.runs} runs on Slurm, {per} per element", f"slurm-{per}", "--on", "slurm", "--per-element",
                        str(per), daemons=lambda: daemon_time(folder))
        finally:
            node.stop()
    finally:
        shutil.rmtree(top)


if __name__ == "__main__":
    main()
