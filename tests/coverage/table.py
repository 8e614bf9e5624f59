"""Reads gcov's JSON documents, one a line, and prints which lines and branches were run, by group.

table.py ROOT [--lines [GROUP]]: the documents come on standard input. Ends with 1 if a group with a goal is below it.
A line counts once however many programs and template instances hold it. Branches that only an exception takes do not
count.
"""

import json
import os
import re
import sys

# The first that fits names the group; the goal is in lines of a hundred.
GROUPS = [
    ("key files", 95, r"store/vault/key_(file|slots)\."),
    ("VFS", 95, r"store/vault/"),
    ("fold", 95, r"protocol/circle/(?!bodies)"),
    ("decoders", 95, r"protocol/(codec|event|handshake)/"),
    ("decoders", 95, r"protocol/circle/bodies\."),
    ("decoders", 95, r"protocol/courier/(messages|bodies)\."),
    ("decoders", 95, r"protocol/sync/(messages|wraps|bundle|armour|beacon)\."),
    ("decoders", 95, r"protocol/crypto/(paper_key|secret_stream)\."),
    ("sessions", None, r"protocol/(sync|courier)/"),
    ("crypto", None, r"protocol/crypto/"),
    ("base", None, r"protocol/base/"),
]


def group_of(path):
    for name, _, pattern in GROUPS:
        if re.match(pattern, path):
            return name
    return None


class Source:
    def __init__(self):
        self.lines = {}  # number: times run
        self.branches = {}  # (number, place): times taken

    def add(self, line):
        number = line["line_number"]
        self.lines[number] = self.lines.get(number, 0) + line["count"]
        for place, branch in enumerate(b for b in line["branches"] if not b["throw"]):
            key = (number, place)
            self.branches[key] = self.branches.get(key, 0) + branch["count"]


def read(root, stream):
    sources = {}
    for text in stream:
        if not text.strip():
            continue
        document = json.loads(text)
        for entry in document["files"]:
            at = os.path.join(document["current_working_directory"], entry["file"])
            path = os.path.relpath(os.path.normpath(at), root)
            if group_of(path) is None:
                continue
            source = sources.setdefault(path, Source())
            for line in entry["lines"]:
                source.add(line)
    return sources


def share(counts):
    counts = list(counts)
    return sum(1 for c in counts if c > 0), len(counts)


def percent(done, all_of):
    return 100.0 * done / all_of if all_of else 0.0


def print_table(sources):
    """Prints one row a group; gives the names of those below their goal."""
    below = []
    print(f"{'group':<10} {'files':>5} {'lines':>13} {'':>7} {'branches':>13} {'':>7} {'goal':>5}")
    goals = {}
    for name, goal, _ in GROUPS:
        goals.setdefault(name, goal)
    for name, goal in goals.items():
        mine = [s for path, s in sources.items() if group_of(path) == name]
        lines = share(c for s in mine for c in s.lines.values())
        branches = share(c for s in mine for c in s.branches.values())
        wanted = "-" if goal is None else f"{goal} %"
        print(f"{name:<10} {len(mine):>5} {lines[0]:>6}/{lines[1]:<6} {percent(*lines):>6.1f}% "
              f"{branches[0]:>6}/{branches[1]:<6} {percent(*branches):>6.1f}% {wanted:>5}")
        if goal is not None and percent(*lines) < goal:
            below.append(name)
    return below


def print_lines(root, sources, wanted):
    for path in sorted(sources):
        if wanted is not None and group_of(path) != wanted:
            continue
        missing = sorted(n for n, count in sources[path].lines.items() if count == 0)
        if not missing:
            continue
        with open(os.path.join(root, path), encoding="utf-8") as file:
            text = file.read().splitlines()
        for number in missing:
            print(f"{path}:{number}: {text[number - 1].strip()}")


def main():
    root = sys.argv[1]
    sources = read(root, sys.stdin)
    if not sources:
        print("coverage: nothing was measured", file=sys.stderr)
        return 1
    if "--lines" in sys.argv:
        at = sys.argv.index("--lines")
        print_lines(root, sources, sys.argv[at + 1] if len(sys.argv) > at + 1 else None)
    below = print_table(sources)
    if below:
        print(f"coverage: below its goal: {', '.join(below)}")
    return 1 if below else 0


sys.exit(main())
