#!/usr/bin/python3
"""Adds up what ctest wrote with --output-junit and prints, last, "N passed, M failed" on a line of its own.

Usage: sum_tests.py [--broken COUNT] REPORT.xml ...     COUNT: steps that failed without a report
Exit code: 0 when nothing failed and something passed, else 1.
"""
import argparse
import sys
import xml.etree.ElementTree


def counts(path):
    """(passed, names of failed, names of skipped) of one report. What could not be started has failed."""
    passed, failed, skipped = 0, [], []
    for case in xml.etree.ElementTree.parse(path).getroot().iter("testcase"):
        status, reason = case.get("status"), case.find("skipped")
        if status == "run":
            passed += 1
        elif status == "disabled" or (reason is not None and reason.get("message", "").startswith("SKIP_")):
            skipped.append(case.get("name"))
        else:
            failed.append(case.get("name"))
    return passed, failed, skipped


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--broken", type=int, default=0)
    parser.add_argument("reports", nargs="*")
    args = parser.parse_args()
    passed, failures = 0, args.broken
    for path in args.reports:
        good, failed, skipped = counts(path)
        passed += good
        failures += len(failed)
        for name in failed:
            print(f"failed: {name}")
        for name in skipped:
            print(f"skipped: {name}")
    print(f"{passed} passed, {failures} failed")
    return 0 if failures == 0 and passed > 0 else 1


if __name__ == "__main__":
    sys.exit(main())
