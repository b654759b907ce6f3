#!/usr/bin/env python3
"""A large photograph on the marking page: first sight, its tiles beside decoding it, and how fast one tile comes, at
100 and 400 MP. Each figure in a process of its own, for the memory; medians of five runs in turn. Prints rows of
Markdown for docs/benchmark.md; never gates a test."""
import datetime
import os
import statistics
import subprocess
import sys
import tempfile

RUNS = 5


def main(read_tiles, make_photograph):
    def figures(*what):
        out = subprocess.run([read_tiles, *what], check=True, capture_output=True, text=True).stdout
        return [float(word) for word in out.split()]

    with tempfile.TemporaryDirectory() as top:
        photo, tiles = os.path.join(top, "photograph.jpg"), os.path.join(top, "tiles")
        for width, height in ((12240, 8160), (24480, 16320)):
            subprocess.run([make_photograph, photo, str(width), str(height), "0"], check=True)
            sights, walls, cpus, peaks = [], [], [], []
            for _ in range(RUNS):
                sights.append(figures("sight", photo))
                decode, build = figures("decode", photo), figures("build", photo, tiles)
                walls.append(build[0] / decode[0])
                cpus.append(build[1] / decode[1])
                peaks.append(build[2])
            one, eight = figures("serve", tiles, "1"), figures("serve", tiles, "8")
            print(f"| {datetime.date.today()} | {round(width * height / 1e6)} MP, "
                  f"{os.path.getsize(photo) / 1e6:.0f} MB | {statistics.median(s[0] for s in sights):.0f} ms "
                  f"({max(s[2] for s in sights):.0f} MB) | {statistics.median(walls):.2f} / {statistics.median(cpus):.2f} "
                  f"| {max(peaks):.0f} MB | {os.path.getsize(tiles) / 1e6:.0f} MB | {one[0]} / {one[1]} ms "
                  f"| {eight[0]} / {eight[1]} ms |", flush=True)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
