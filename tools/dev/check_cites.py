#!/usr/bin/python3
"""Checks that every source named by key in a comment, [Cross1965], is listed in DEVELOPERS.md, "Sources".

A key is [AuthorYear], [AuthorAuthor], or a standard as [ISO1133]; several may stand in one pair of brackets,
separated by commas or semicolons. Units in brackets, [Pa s], are not keys.

Usage: check_cites.py [ROOT]
"""
import os
import re
import sys

from sources import comments_only, our_sources, read, report, root_from

KEY = r"(?:[A-Z][A-Za-z]*[a-z][A-Za-z]*(?:19|20)\d\d[a-z]?|(?:[A-Z][a-z]+){2,}|(?:ISO|ASTM|DIN)[A-Z]?\d+)"
CITE = re.compile(rf"\[({KEY}(?:\s*[,;]\s*{KEY})*)\]")
LISTED = re.compile(rf"^[-*]\s+\[({KEY})\]", re.M)


def listed_keys(root):
    """Keys of the list in DEVELOPERS.md and those that stand there twice; None where there is no list."""
    if not os.path.isfile(os.path.join(root, "DEVELOPERS.md")):
        return None, []
    parts = re.split(r"^##\s+Sources\s*$", read(root, "DEVELOPERS.md"), flags=re.M)
    if len(parts) != 2:
        return None, []
    keys = LISTED.findall(re.split(r"^##\s", parts[1], flags=re.M)[0])
    return set(keys), sorted({k for k in keys if keys.count(k) > 1})


def main():
    root = root_from(sys.argv[1] if len(sys.argv) > 1 else None)
    listed, twice = listed_keys(root)
    if listed is None:
        return report("sources", ['DEVELOPERS.md: needs one section "## Sources" with lines "- [Key] ..."'])
    faults = [f"DEVELOPERS.md: [{key}] is listed twice" for key in twice]
    for path in our_sources(root):
        comments = comments_only(read(root, path))
        for m in CITE.finditer(comments):
            line = comments.count("\n", 0, m.start()) + 1
            for key in re.split(r"\s*[,;]\s*", m.group(1)):
                if key not in listed:
                    faults.append(f'{path}:{line}: [{key}] is not in DEVELOPERS.md, "Sources"')
    return report("sources", faults)


if __name__ == "__main__":
    sys.exit(main())
