"""What the checks of this folder share: which files are ours, and their code without its comments."""
import os
import re
import subprocess

ROOMS = ("mesh", "solver", "io", "tools", "tests")


def root_from(argument):
    return os.path.abspath(argument or os.path.join(os.path.dirname(__file__), "..", ".."))


def our_sources(root, endings=(".hpp", ".cpp")):
    """Paths relative to root of the files git tracks, or of all files where there is no git."""
    found = []
    try:
        listed = subprocess.run(["git", "-C", root, "ls-files", "-z", "--", *ROOMS], check=True,
                                capture_output=True).stdout.decode().split("\0")
        found = [p for p in listed if p and os.path.isfile(os.path.join(root, p))]
    except (OSError, subprocess.CalledProcessError):
        for room in ROOMS:
            for folder, _, names in os.walk(os.path.join(root, room)):
                found += [os.path.relpath(os.path.join(folder, n), root) for n in names]
    return sorted(p for p in found if p.endswith(endings))


def read(root, path):
    with open(os.path.join(root, path), encoding="utf-8") as file:
        return file.read()


# A comment, a string (raw, plain) or a character; longest first.
_TOKEN = re.compile(r'//[^\n]*|/\*.*?\*/|R"([^()\s]*)\(.*?\)\1"|"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])+\'', re.S)


def _blank(text):
    return re.sub(r"[^\n]", " ", text)


def code_only(text):
    """The text with comments and the insides of strings blanked out; lines keep their numbers.
    Digit separators (1'000) are taken out first, so that they do not look like characters."""
    text = re.sub(r"(?<=[0-9a-fA-F])'(?=[0-9a-fA-F])", "_", text)
    includes = re.compile(r'^\s*#\s*include\s*"[^"\n]*"', re.M)
    kept = {m.start() + m.group().index('"') for m in includes.finditer(text)}
    return _TOKEN.sub(lambda m: m.group() if m.start() in kept else _blank(m.group()), text)


def comments_only(text):
    """Everything but the comments blanked out."""
    text = re.sub(r"(?<=[0-9a-fA-F])'(?=[0-9a-fA-F])", "_", text)
    out, last = [], 0
    for m in _TOKEN.finditer(text):
        out.append(_blank(text[last:m.start()]))
        out.append(m.group() if m.group().startswith(("//", "/*")) else _blank(m.group()))
        last = m.end()
    return "".join(out) + _blank(text[last:])


def report(title, faults):
    """Prints the faults; returns the exit code."""
    for fault in faults:
        print(fault)
    print(f"{title}: {len(faults)} fault{'s' if len(faults) != 1 else ''}")
    return 1 if faults else 0
