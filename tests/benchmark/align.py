#!/usr/bin/env python3
"""Laying one picture of 2 MP over another, beside OpenCV's SIFT, FLANN and findHomography on the same two
files, in turn; medians of seven rounds. Prints a table of Markdown for docs/benchmark.md; never gates a test.

Wants python3-opencv; argument: the program lay-pair.
"""
import os
import statistics
import subprocess
import sys
import tempfile
import time

import cv2
import numpy

ROUNDS = 7


def ours(kind, folder, start):
    done = subprocess.run([sys.argv[1], kind, folder, start], check=True, capture_output=True, text=True)
    return [float(figure) for figure in done.stdout.split()]


def theirs(folder):
    """(wall, CPU) in ms; default settings, Lowe's ratio of 0.75, RANSAC within 3 px."""
    pictures = [cv2.imread(os.path.join(folder, name), cv2.IMREAD_GRAYSCALE) for name in ("after.pgm", "before.pgm")]
    wall, cpu = time.perf_counter(), time.process_time()
    sift = cv2.SIFT_create()
    (points, words), (other_points, other_words) = (sift.detectAndCompute(picture, None) for picture in pictures)
    matcher = cv2.FlannBasedMatcher({"algorithm": 1, "trees": 5}, {"checks": 50})
    good = [a for a, b in matcher.knnMatch(words, other_words, k=2) if a.distance < 0.75 * b.distance]
    if len(good) >= 4:
        cv2.findHomography(numpy.float32([points[match.queryIdx].pt for match in good]),
                           numpy.float32([other_points[match.trainIdx].pt for match in good]), cv2.RANSAC, 3)
    return 1000 * (time.perf_counter() - wall), 1000 * (time.process_time() - cpu)


def main():
    print("| kind | start | wall, ms | CPU, ms | error, px | OpenCV wall | OpenCV CPU | times faster, wall | CPU |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory(prefix="platewright-align-") as folder:
        for kind in ("cover", "leather", "print", "plain"):
            for start in ("ties", "cards", "features"):
                rounds = [(ours(kind, folder, start), theirs(folder)) for _ in range(ROUNDS)]
                wall, cpu, error = (statistics.median(mine[i] for mine, _ in rounds) for i in range(3))
                other = [statistics.median(their[i] for _, their in rounds) for i in range(2)]
                ratio = [statistics.median(their[i] / mine[i] for mine, their in rounds) for i in range(2)]
                print(f"| {kind} | {start} | {wall:.0f} | {cpu:.0f} | {error:.3f} | {other[0]:.0f} | "
                      f"{other[1]:.0f} | {ratio[0]:.1f} | {ratio[1]:.1f} |", flush=True)


if __name__ == "__main__":
    main()
