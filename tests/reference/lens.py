#!/usr/bin/python3
"""Makes the check values of tests/unit/measure/test_calibrate_boards.c with OpenCV, never with
Platewright.

Debian: python3-opencv. Reads the corners of ../shared/cases/planar (PW_SHARED names that folder) and
writes lens.csv, whose first line names the versions: for each set of photographs of one camera, OpenCV's
calibration with the lens that Platewright knows (one focal length, two radial terms; "stretched": the
board's y stretched so that it fits best) and with two focal lengths and five terms. The centre counts
from the outer corner of the first pixel.
"""
import json
import math
import os

import cv2
import numpy as np

PLANAR = os.path.join(os.environ["PW_SHARED"], "cases", "planar")
RADIAL = cv2.CALIB_FIX_ASPECT_RATIO | cv2.CALIB_ZERO_TANGENT_DIST | cv2.CALIB_FIX_K3


def calibrate(cases, flags, stretch=1.0):
    sheet, seen = [], []
    for case in cases:
        columns, rows = case["inner_corners"]
        at = np.array([(i % columns, i // columns, 0) for i in range(columns * rows)], np.float32)
        sheet.append((at * case["square_mm"] * (1, stretch, 1)).astype(np.float32))
        seen.append(np.array(case["corners_px"], np.float32).reshape(-1, 1, 2))
    size = (cases[0]["width"], cases[0]["height"])
    start = np.array([[1000.0, 0, size[0] / 2], [0, 1000, size[1] / 2], [0, 0, 1]])
    return cv2.calibrateCamera(sheet, seen, size, start, None, flags=flags)[:3]


def best_stretch(cases):
    """Golden section on the residual, which has one valley between 0.97 and 1.03."""
    low, high, part = 0.97, 1.03, (math.sqrt(5) - 1) / 2
    while high - low > 1e-6:
        left, right = high - part * (high - low), low + part * (high - low)
        if calibrate(cases, RADIAL, left)[0] < calibrate(cases, RADIAL, right)[0]:
            high = right
        else:
            low = left
    return (low + high) / 2


def main():
    with open(os.path.join(PLANAR, "truth.json"), encoding="utf-8") as truth:
        cases = [case for case in json.load(truth)["cases"] if case.get("corners_px")]
    with open("lens.csv", "w", encoding="utf-8") as out:
        print(f"# OpenCV {cv2.__version__}, NumPy {np.__version__}", file=out)
        print("set;model;views;stretch;fx;fy;cx;cy;k1;k2;p1;p2;k3;rms", file=out)
        for name in sorted({case["set"] for case in cases}):
            views = [case for case in cases if case["set"] == name]
            for model, flags, stretch in (("radial", RADIAL, 1), ("five", 0, 1),
                                          ("stretched", RADIAL, best_stretch(views))):
                rms, camera, terms = calibrate(views, flags, stretch)
                row = [stretch, camera[0, 0], camera[1, 1], camera[0, 2] + .5, camera[1, 2] + .5, *terms[0], rms]
                print(";".join([name, model, str(len(views)), *(f"{float(x):.10g}" for x in row)]),
                      file=out)


if __name__ == "__main__":
    main()
