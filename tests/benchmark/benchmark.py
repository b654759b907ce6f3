#!/usr/bin/env python3
"""How fast, beside what others do with the same files. Ratios are medians of interleaved pairs, since times
on a shared machine wander together. Prints a page of Markdown for docs/benchmark.md; never gates a test.

Wants vipsthumbnail and vips (libvips-tools) and convert (imagemagick).
"""
import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.join(os.environ["PW_SOURCE"], "tests", "command"))
from bench import COMMAND, demo  # noqa: E402

PAIRS = 7
PHOTOGRAPHS = 20
VIEWS = [f"opening {n}" for n in range(1, 101)]


def timed(command, cwd):
    """(wall, CPU) seconds of one command, its children's included."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    subprocess.run(command, cwd=cwd, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    wall = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def peak_mb(command, cwd):
    script = ("import resource, subprocess, sys; subprocess.run(sys.argv[1:], check=True, "
              "stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL); "
              "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss // 1024)")
    done = subprocess.run([sys.executable, "-c", script, *command], cwd=cwd, check=True,
                          capture_output=True, text=True)
    return int(done.stdout)


def compare(ours, theirs, cwd, before_ours):
    """Median ratios of wall and CPU, ours over theirs, run in turn."""
    walls, cpus = [], []
    for _ in range(PAIRS):
        before_ours()
        mine = timed(ours, cwd)
        other = timed(theirs, cwd)
        walls.append(mine[0] / other[0])
        cpus.append(mine[1] / other[1])
    return statistics.median(walls), statistics.median(cpus)


def altered(jpeg, i):
    """Another picture as costly as the first: one low frequency of its luma is stepped otherwise (ITU-T T.81, B.2.4.1)."""
    table = jpeg.index(b"\xff\xdb") + 5  # of 64 steps in zigzag order, the lowest frequency first
    at = table + 1 + i % 20
    return jpeg[:at] + bytes([jpeg[at] + 1 + i // 20]) + jpeg[at + 1:]


def volume(folder, photograph, n):
    """n photographs, each a little other than the rest, as before/after pairs with three marks each."""
    os.makedirs(folder)
    original = open(photograph, "rb").read()
    with open(os.path.join(folder, "volume.yaml"), "w", encoding="utf-8") as file:
        file.write("format: platewright-volume 1\nvolume: {id: BENCH-1}\n")
    for i in range(n):
        name = os.path.join(folder, f"p{i:03}.jpg")
        with open(name, "wb") as file:
            file.write(altered(original, i))
        with open(name + ".yaml", "w", encoding="utf-8") as file:
            file.write(f"format: platewright-photo 1\nstage: {['before', 'after'][i % 2]}\n"
                       f"view: {VIEWS[i // 2]}\nmarks:\n" + "".join(
                           f'  - {{id: {k}, term: loss, part: board, outline: "{k}00,{k}00 '
                           f'{k}90,{k}10 {k}80,{k}90 {k}10,{k}80"}}\n' for k in (3, 5, 7)))


def forget(folder):
    shutil.rmtree(os.path.join(folder, ".platewright"), ignore_errors=True)


def picture_size(pdf):
    listing = subprocess.run(["pdfimages", "-list", pdf], capture_output=True, text=True,
                             check=True).stdout.splitlines()[2]
    return int(listing.split()[3]), int(listing.split()[4])


def main():
    top = tempfile.mkdtemp(prefix="platewright-benchmark-")
    source = os.path.join(demo(), "before", "LF24_0416.jpg")
    large = os.path.join(top, "large.jpg")
    subprocess.run(["vips", "resize", source, large + "[Q=92]", "2.04"], check=True)
    folder = os.path.join(top, "volume")
    volume(folder, source, PHOTOGRAPHS)
    ours = [COMMAND, "plates", "volume", "-o", "ours.pdf"]
    subprocess.run([*ours], cwd=top, check=True, stderr=subprocess.DEVNULL)
    width, height = picture_size(os.path.join(top, "ours.pdf"))
    files = [f"volume/p{i:03}.jpg" for i in range(PHOTOGRAPHS)]

    def thumbnails(*more):
        return ["vipsthumbnail", *files, "--size", f"{width}x{height}", *more]

    # As it comes it leaves Adobe RGB as it is and halves the colour; ours are sRGB at full colour.
    target = os.path.join(top, "t_%s.jpg")
    kinds = {"as it comes": thumbnails("-o", target + "[Q=90,strip]"),
             "making the same pictures (sRGB, 4:4:4)": thumbnails(
                 "--export-profile", "srgb", "-o",
                 target + "[Q=90,strip,optimize_coding,subsample_mode=off]")}
    for kind, theirs in kinds.items():
        wall, cpu = compare(ours, theirs, top, lambda: forget(folder))
        print(f"- {PHOTOGRAPHS} photographs of 24 MP to {width} x {height} px on {PHOTOGRAPHS // 2} plates, "
              f"against `vipsthumbnail` {kind}: wall {wall:.2f}, CPU {cpu:.2f} (aim 0.8 and 1.2)")

    appended = " && ".join(
        f"convert {files[i]} {files[i + 1]} -resize {width}x{height} +append -quality 90 a{i}.jpg"
        for i in range(0, PHOTOGRAPHS, 2))
    wall, cpu = compare(ours, ["sh", "-c", appended], top, lambda: forget(folder))
    print(f"- against ImageMagick resizing and appending the same pairs: {1 / wall:.1f} times faster by wall, "
          f"{1 / cpu:.1f} by CPU (aim 4)")

    def again():
        forget(folder)
        first = timed(ours, top)[0]
        return timed(ours, top)[0] / first
    print(f"- a second run with nothing changed takes {statistics.median(again() for _ in range(PAIRS)):.2f} "
          f"of the first (aim 0.1)")

    forget(folder)
    memory = peak_mb(ours, top)
    volume(os.path.join(top, "large"), large, 4)
    large_memory = peak_mb([COMMAND, "plates", "large", "-o", "large.pdf"], top)
    print(f"- peak memory: {memory} MB with photographs of 24 MP, {large_memory} MB with 100 MP (aim 120)")

    times = []
    for n in (10, 50, 200):
        many = os.path.join(top, f"many{n}")
        volume(many, source, n)
        seconds, _ = timed([COMMAND, "plates", many, "-o", f"many{n}.pdf"], top)
        times.append((n, seconds / n * 1000, peak_mb([COMMAND, "plates", many, "-o", f"many{n}.pdf"],
                                                     top)))
        shutil.rmtree(many)
    print("- growth: " + "; ".join(f"{n} photographs {ms:.0f} ms each, {mb} MB on a second run"
                                   for n, ms, mb in times))
    shutil.rmtree(top)


if __name__ == "__main__":
    main()
