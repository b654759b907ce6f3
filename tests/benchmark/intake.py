#!/usr/bin/env python3
"""How much faster intake takes in 100 photographs of 24 MP on two cores than on one: each holds a card that is a
tenth of its width. Prints a line of Markdown for docs/benchmark.md; never gates a test.

Runs are pairs in turn, since times on a shared machine wander together. Wants taskset (util-linux).
"""
import os
import shutil
import statistics
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.environ["PW_SOURCE"], "tests", "command"))
sys.path.insert(0, os.path.join(os.environ["PW_SOURCE"], "tests", "benchmark"))
from bench import BUILD, COMMAND  # noqa: E402
from benchmark import peak_mb, timed  # noqa: E402

PAIRS = 3
PHOTOGRAPHS = 100
MAKE_SCENE = os.path.join(BUILD, "tests", "command", "make-scene")


def photographs(folder):
    """The same picture with other bytes: a COM segment after SOI makes it another file."""
    os.makedirs(folder)
    first = os.path.join(folder, "first.jpg")
    subprocess.run([MAKE_SCENE, first, "6000", "4000", "1", "id1 a,0.1,2000,2200,15,30,5"], check=True,
                   stdout=subprocess.DEVNULL)
    with open(first, "rb") as file:
        data = file.read()
    os.remove(first)
    for i in range(PHOTOGRAPHS):
        comment = f"copy {i}".encode()
        with open(os.path.join(folder, f"p{i:03}.jpg"), "wb") as file:
            file.write(data[:2] + b"\xff\xfe" + (len(comment) + 2).to_bytes(2, "big") + comment + data[2:])


def forget(folder):
    shutil.rmtree(os.path.join(folder, ".platewright"), ignore_errors=True)
    for name in os.listdir(folder):
        if name.endswith(".yaml"):
            os.remove(os.path.join(folder, name))


def main():
    top = tempfile.mkdtemp(prefix="platewright-benchmark-")
    folder = os.path.join(top, "volume")
    photographs(folder)
    intake = [COMMAND, "intake", folder]
    cores = sorted(os.sched_getaffinity(0))[:2]
    one, two = ["taskset", "-c", str(cores[0])], ["taskset", "-c", ",".join(map(str, cores))]
    ratios, walls, cpus = [], [], []
    for _ in range(PAIRS):
        forget(folder)
        alone = timed(one + intake, top)
        forget(folder)
        both = timed(two + intake, top)
        ratios.append(alone[0] / both[0])
        walls.append(both[0])
        cpus.append(both[1])
    forget(folder)
    memory = peak_mb(two + intake, top)
    print(f"- Intake of {PHOTOGRAPHS} photographs of 24 MP with a card, on two cores against one: "
          f"{statistics.median(ratios):.2f} times faster ({min(ratios):.2f} to {max(ratios):.2f}; aim 1.6), "
          f"{statistics.median(walls):.0f} s, {statistics.median(cpus) / PHOTOGRAPHS:.2f} s of CPU each, "
          f"peak memory {memory} MB")
    shutil.rmtree(top)


if __name__ == "__main__":
    main()
