#!/usr/bin/env python3
"""`gyle check` on a folder of generated recipes beside `ruff check --no-cache` on as many Python files of like size.

usage: check.py GYLE GENERATE RUFF [--files 10000] [--runs 10] [--folder FOLDER]

The two take turns, so that both see the same machine. Warm: all was read just before. Wall and CPU time are the
least of all runs and the middle one; memory is the largest resident set of the process.
"""
import argparse
import os
import statistics
import subprocess
import tempfile
import time
from pathlib import Path

from texts import FUNCTION


def python_files(folder, count, size):
    """Files of about a size; every tenth has a fault, as the recipes have."""
    for at in range(count):
        below = folder / f"{at // 100:03}"
        below.mkdir(parents=True, exist_ok=True)
        text, k = f'"""Module {at}."""\n' + ("import os\n" if at % 10 == 0 else ""), 0
        while len(text) + len(FUNCTION) // 2 < size:
            text += "\n\n" + FUNCTION.format(at=k)
            k += 1
        (below / f"grist_{at}.py").write_text(text)


def weigh(folder, ending):
    sizes = [(path.stat().st_size, path.read_bytes().count(b"\n")) for path in folder.rglob("*" + ending)]
    return len(sizes), sum(size for size, _ in sizes), sum(lines for _, lines in sizes)


def run(argv, folder):
    start = time.monotonic()
    child = subprocess.Popen(argv, cwd=folder, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    wall = time.monotonic() - start
    if child.returncode not in (0, 1):
        raise SystemExit(f"{argv[0]} ended with {child.returncode}")
    return wall, used.ru_utime, used.ru_stime, used.ru_maxrss / 1024


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("gyle", type=os.path.abspath)
    parser.add_argument("generate", type=os.path.abspath)
    parser.add_argument("ruff", type=os.path.abspath)
    parser.add_argument("--files", type=int, default=10_000)
    parser.add_argument("--runs", type=int, default=10)
    parser.add_argument("--folder", type=Path, help="where the files are made and left; otherwise they go")
    a = parser.parse_args()
    with tempfile.TemporaryDirectory() as made:
        folder = (a.folder or Path(made)).resolve()
        recipes, modules = folder / f"recipes-{a.files}", folder / f"python-{a.files}"
        if not recipes.exists():
            subprocess.run([a.generate, str(a.files), recipes], check=True, stdout=subprocess.DEVNULL)
        files, size, lines = weigh(recipes, ".gyle")
        if not modules.exists():
            python_files(modules, a.files, size // files)
        print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.2f}, the least / the middle of {a.runs} runs, warm")
        print(f"{'':<36} {'files':>6} {'MB':>6} {'lines':>8} {'wall, s':>15} {'user, s':>15} {'system, s':>15} {'files a s':>10} {'MiB':>6}")
        commands = [
            ("gyle check", [a.gyle, "check", "."], recipes, ".gyle"),
            ("gyle check --format json", [a.gyle, "check", ".", "--format", "json"], recipes, ".gyle"),
            ("gyle check --statistics", [a.gyle, "check", ".", "--statistics"], recipes, ".gyle"),
            ("ruff check --isolated --no-cache", [a.ruff, "check", "--isolated", "--no-cache", "."], modules, ".py"),
        ]
        times = [[] for _ in commands]
        for number in range(a.runs + 1):
            for row, (_, argv, where, _) in zip(times, commands):
                measured = run(argv, where)
                if number:  # the first round only warms
                    row.append(measured)
        for (name, _, where, ending), rows in zip(commands, times):
            files, size, lines = weigh(where, ending)
            wall, user, system, memory = zip(*rows)
            pair = lambda values: f"{min(values):.3f} / {statistics.median(values):.3f}"
            print(f"{name:<36} {files:>6} {size / 1e6:>6.2f} {lines:>8} {pair(wall):>15} {pair(user):>15} {pair(system):>15} {files / min(wall):>10.0f} {max(memory):>6.0f}")


if __name__ == "__main__":
    main()
