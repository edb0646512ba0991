#!/usr/bin/python3
"""Sweeps on a real Slurm of one node: nothing is lost, whatever is killed, full, absent or refused.

Usage: test_sweeps.py PROGRAM [NAME ...]     PROGRAM: the firstshot to test; NAME: Sweeps.test_...
"""
import csv
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import unittest

HERE = os.path.dirname(os.path.abspath(__file__))
PROGRAM = ""


def case_text(size, layers):
    """A strip: (4 mm, 4) takes a few hundredths of a second."""
    with open(os.path.join(HERE, "..", "cli", "quick_case.toml"), encoding="utf-8") as file:
        text = file.read()
    for usual, wanted in (('"4 mm"', f'"{size}"'), ("layers = 4", f"layers = {layers}")):
        assert usual in text, usual
        text = text.replace(usual, wanted)
    return text


def in_own_mounts():
    """Starts all over in a name space of mounts of its own, so that a small disk needs no root and goes with the test."""
    if os.environ.get("FIRSTSHOT_OWN_MOUNTS") == "1":
        return
    os.environ["FIRSTSHOT_OWN_MOUNTS"] = "1"
    space = ["unshare", "--mount"] if os.getuid() == 0 else ["unshare", "--map-root-user", "--mount"]
    os.execvp(space[0], space + [sys.executable, "-B"] + sys.argv)


class Node:
    """The cluster. It ends with this process, because it waits for the end of its input."""

    def __init__(self, folder):
        self.run = subprocess.Popen([os.path.join(HERE, "one_node.sh"), folder], stdin=subprocess.PIPE,
                                    stdout=subprocess.PIPE, text=True)
        if self.run.stdout.readline() != "ready\n":
            raise RuntimeError("the Slurm of the test does not start")
        os.environ["SLURM_CONF"] = os.path.join(folder, "slurm.conf")

    def stop(self):
        self.run.stdin.close()
        self.run.wait()
        self.run.stdout.close()


def setUpModule():
    # pylint: disable=global-statement
    global NODE, TOP
    TOP = tempfile.mkdtemp(prefix="firstshot-slurm-")
    os.chmod(TOP, 0o711)  # munge wants its socket within reach of all
    NODE = Node(tempfile.mkdtemp(dir=TOP))


def tearDownModule():
    NODE.stop()
    shutil.rmtree(TOP)


class Sweeps(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.mkdtemp(dir=TOP)
        self.quick = self.write_case("quick.toml", "4 mm", 4)  # a few hundredths of a second
        self.long = self.write_case("long.toml", "0.2 mm", 12)  # several seconds, to be in time
        self.out = os.path.join(self.folder, "out")

    def write_case(self, name, size, layers):
        path = os.path.join(self.folder, name)
        with open(path, "w", encoding="utf-8") as file:
            file.write(case_text(size, layers))
        return path

    def arguments(self, case, *more, on="slurm", out=None):
        return [PROGRAM, "sweep", case, "--on", on, "-o", out or self.out, "--axis", *more]

    def sweep(self, case, *more, on="slurm", out=None, env=None):
        run = subprocess.run(self.arguments(case, *more, on=on, out=out), capture_output=True, text=True, check=False,
                             env=env, timeout=120)
        return run.returncode, run.stdout, run.stderr

    def rows(self, out=None):
        with open(os.path.join(out or self.out, "series.csv"), encoding="utf-8", newline="") as file:
            # "run.…" tells of the machine.
            return [{k: v for k, v in row.items() if not k.startswith("run.")} for row in csv.DictReader(file)]

    def run_file(self, run, name):
        return os.path.join(self.out, "runs", f"{run:05}", name)

    def running(self):
        """Elements that run now, "17_3"."""
        answer = subprocess.run(["squeue", "--me", "-h", "-t", "R", "-o", "%F_%K"], capture_output=True, text=True,
                                check=True)
        return answer.stdout.split()

    def wait_for(self, what, seconds=30):
        end = time.monotonic() + seconds
        while not what():
            self.assertLess(time.monotonic(), end, "this did not happen in time")
            time.sleep(0.05)

    def test_numbers_are_those_of_the_cores(self):
        axis = "process.fill_time=0.3 s..0.6 s:7"
        code, said, errors = self.sweep(self.quick, axis, "--per-element", "3")
        self.assertEqual((code, "7 of 7 runs have a result" in said), (0, True), said + errors)
        with open(os.path.join(self.out, "slurm", "runs-1.txt"), encoding="utf-8") as file:
            self.assertEqual(file.read(), "1 2 3\n4 5 6\n7\n")
        here = os.path.join(self.folder, "here")
        self.assertEqual(self.sweep(self.quick, axis, on="cores", out=here)[0], 0)
        self.assertEqual(len(self.rows()), 7)
        self.assertEqual(self.rows(), self.rows(here))

    def test_killed_elements_are_done_again(self):
        driver = subprocess.Popen(self.arguments(self.long, "process.fill_time=0.3 s..0.6 s:4", "--per-element", "2"),
                                  stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        self.wait_for(self.running)
        # Half-way: the first run of an element is there, the second is not.
        self.wait_for(lambda: os.path.exists(self.run_file(1, "summary.json")))
        before = os.path.getmtime(self.run_file(1, "summary.json"))
        killed = self.running()
        self.assertTrue(killed, "the element ended before it could be killed")
        subprocess.run(["scancel", "--signal=KILL", "--full", *killed], check=True)
        said, errors = driver.communicate(timeout=120)
        self.assertEqual(driver.returncode, 0, said + errors)
        self.assertIn("lost on the way; submitting them again", errors)
        self.assertIn("4 of 4 runs have a result", said)
        self.assertEqual(os.path.getmtime(self.run_file(1, "summary.json")), before)

    def test_a_dead_driver_loses_nothing(self):
        more = ("process.fill_time=0.3 s..0.6 s:4",)
        driver = subprocess.Popen(self.arguments(self.long, *more), stdout=subprocess.DEVNULL,
                                  stderr=subprocess.DEVNULL)
        self.wait_for(self.running)
        driver.send_signal(signal.SIGKILL)
        driver.wait()
        code, said, errors = self.sweep(self.long, *more, "--resume")
        self.assertEqual((code, "4 of 4 runs have a result" in said), (0, True), said + errors)
        self.assertIn("jobs of this sweep are still there; watching them", errors)
        self.assertFalse(os.path.exists(os.path.join(self.out, "slurm", "runs-2.txt")))  # nothing twice

    def test_ctrl_c_ends_the_watching_only(self):
        more = ("process.fill_time=0.3 s, 0.5 s",)
        driver = subprocess.Popen(self.arguments(self.long, *more), stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                                  text=True)
        self.wait_for(self.running)
        driver.send_signal(signal.SIGINT)
        _, errors = driver.communicate(timeout=60)
        self.assertEqual(driver.returncode, 130)
        self.assertIn("the jobs go on", errors)
        self.assertTrue(self.running())
        self.assertEqual(self.sweep(self.long, *more, "--resume")[0], 0)

    def test_failed_runs_stay_until_they_are_asked_for(self):
        # hips-8 is not to be colder than 180 degC.
        more = ("process.melt_temperature=150 degC, 200 degC, 230 degC",)
        code, said, errors = self.sweep(self.quick, *more)
        self.assertEqual(code, 3, said + errors)
        self.assertIn("2 of 3 runs have a result, 1 failed", said)
        self.assertIn("melt_temperature", said)
        # As if memory had been short in the second one.
        os.remove(self.run_file(2, "summary.json"))
        with open(self.run_file(2, "failed.txt"), "w", encoding="utf-8") as file:
            file.write("not enough memory\n")
        code, said, _ = self.sweep(self.quick, *more, "--resume")
        self.assertEqual((code, "1 of 3 runs have a result, 2 failed" in said, "not enough memory" in said),
                         (3, True, True), said)
        code, said, _ = self.sweep(self.quick, *more, "--resume", "--retry-failed")
        self.assertEqual((code, "2 of 3 runs have a result, 1 failed" in said), (3, True), said)
        self.assertFalse(os.path.exists(self.run_file(2, "failed.txt")))

    def test_whole_folders_are_kept(self):
        code, said, errors = self.sweep(self.quick, "process.fill_time=0.3 s, 0.5 s", "--keep-all")
        self.assertEqual(code, 0, said + errors)
        for run in (1, 2):
            for name in ("summary.json", "result.h5", "case.resolved.toml", "report.html"):
                self.assertTrue(os.path.exists(self.run_file(run, name)), name)
        here = os.path.join(self.folder, "here")
        self.assertEqual(self.sweep(self.quick, "process.fill_time=0.3 s, 0.5 s", on="cores", out=here)[0], 0)
        self.assertEqual(self.rows(), self.rows(here))

    def test_a_full_disk_loses_nothing(self):
        os.mkdir(self.out)
        subprocess.run(["mount", "-t", "tmpfs", "-o", "size=200k", "small", self.out], check=True)
        try:
            more = ("process.fill_time=0.3 s..0.6 s:24", "--per-element", "6")
            code, said, errors = self.sweep(self.quick, *more)
            self.assertEqual(code, 3, said + errors)
            self.assertIn("the disk or its quota is full", errors)
            there = [run for run in range(1, 25) if os.path.exists(self.run_file(run, "summary.json"))]
            self.assertTrue(0 < len(there) < 24, there)
            self.assertFalse([run for run in range(1, 25) if os.path.exists(self.run_file(run, "failed.txt"))])
            times = [os.path.getmtime(self.run_file(run, "summary.json")) for run in there]
            subprocess.run(["mount", "-o", "remount,size=20m", self.out], check=True)
            code, said, errors = self.sweep(self.quick, *more, "--resume")
            self.assertEqual((code, "24 of 24 runs have a result" in said), (0, True), said + errors)
            self.assertEqual([os.path.getmtime(self.run_file(run, "summary.json")) for run in there], times)
        finally:
            subprocess.run(["umount", self.out], check=True)

    def check_alike(self, answer, arguments):
        """The answer, a JSON file, is the same with runs on the cores and on Slurm."""
        answers = []
        for on in ("cores", "slurm"):
            out = os.path.join(self.folder, on)
            run = subprocess.run([PROGRAM, *arguments, "--on", on, "-o", out, "--quiet"], capture_output=True, text=True,
                                 check=False, timeout=200)
            self.assertEqual(run.returncode, 0, run.stdout + run.stderr)
            with open(os.path.join(out, answer), encoding="utf-8") as file:
                answers.append(json.load(file))
            self.assertEqual(os.path.exists(os.path.join(out, "rounds", "01", "slurm", "jobs.txt")), on == "slurm")
        self.assertEqual(*answers)

    def test_a_window_is_that_of_the_cores(self):
        self.check_alike("window.json", ["window", self.quick, "--per-element", "3", "--points", "2", "--halvings", "1",
                                         "--shots", "4", "--vary", "process.mould_temperature=38 degC..42 degC"])

    def test_a_calibration_is_that_of_the_cores(self):
        table = os.path.join(self.folder, "trials.csv")
        with open(table, "w", encoding="utf-8") as file:
            file.write("fill_time [s],peak_pressure [MPa]\n0.2,9\n0.5,8\n")
        self.check_alike("calibrate.json", ["calibrate", self.quick, table, "--factor", "viscosity_factor"])

    def test_no_slurm_is_said(self):
        nowhere = dict(os.environ, PATH=self.folder)
        code, said, errors = self.sweep(self.quick, "process.fill_time=0.3 s", env=nowhere)
        self.assertEqual((code, said), (2, ""))
        self.assertIn("there is no Slurm on this machine; without --on slurm", errors)
        self.assertEqual(errors.count("\n"), 1, errors)
        self.assertFalse(os.path.exists(self.out))  # the same command without --on slurm needs no --resume

    def test_a_refusal_is_said_in_the_words_of_the_engine(self):
        more = ("process.fill_time=0.3 s",)
        code, said, errors = self.sweep(self.quick, *more, "--sbatch=--partition=night")
        self.assertEqual((code, said), (2, ""), errors)
        self.assertIn("Slurm refuses", errors)
        self.assertIn("partition", errors)
        # Nothing is lost by that: the same sweep goes on.
        code, said, errors = self.sweep(self.quick, *more, "--resume")
        self.assertEqual((code, "1 of 1 runs have a result" in said), (0, True), said + errors)


if __name__ == "__main__":
    in_own_mounts()
    PROGRAM = os.path.abspath(sys.argv[1])
    unittest.main(argv=[sys.argv[0], *sys.argv[2:]])
