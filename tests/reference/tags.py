#!/usr/bin/python3
"""Makes check values of tests/unit/card/test_see.c with NumPy and OpenCV, never with Platewright.

Debian: python3-opencv. Reads the photographs of ../shared/cases/apriltag/nasa and their published corners
(PW_SHARED names that folder) and writes tags.csv, whose first line names the versions. The published corners
were made without refinement and stand on whole pixels in places. So the whole of each tag, its code as
OpenCV has it, is drawn through a homography, smoothed, sharpened and lit, and laid over the photograph by
least squares, from the published corners on: `fitted` is where the corners come, `rms` and `rms_published`
what is left in grey levels with these corners and with the published ones, all else being fitted for both.
"""
import json
import os

import cv2
import numpy as np

APRILTAG = os.path.join(os.environ["PW_SHARED"], "cases", "apriltag")
SUPER = 4  # points each way in a pixel
PAD = 4  # px that blur reaches into the picture's part
RADIUS_OF_SHARPENING = 0.8  # px; the photographs were made smaller and sharpened
STEPS = np.array([0.05] * 8 + [1, 1, 0.02, 0.02, 0.05, 0.05])


def cells(number, quarter_turns):
    code = cv2.aruco.drawMarker(cv2.aruco.Dictionary_get(cv2.aruco.DICT_APRILTAG_36h11), number, 8, borderBits=1)
    whole = np.ones((10, 10))
    whole[1:9, 1:9] = code > 127
    return np.rot90(whole, quarter_turns)


def homography(corners):
    rows, right = [], []
    for (u, v), (x, y) in zip(((1, 1), (9, 1), (9, 9), (1, 9)), corners):
        rows += [[u, v, 1, 0, 0, 0, -x * u, -x * v], [0, 0, 0, u, v, 1, -y * u, -y * v]]
        right += [x, y]
    return np.append(np.linalg.solve(rows, right), 1).reshape(3, 3)


class View:
    """A part of a photograph round a tag: its left upper corner is at x, y."""

    def __init__(self, photograph, corners):
        self.x, self.y = np.maximum(corners.min(0).astype(int) - 5, 0)
        end = corners.max(0).astype(int) + 6
        self.levels = photograph[self.y:end[1], self.x:end[0]].astype(float)
        middle = slice(PAD * SUPER + SUPER // 2, -PAD * SUPER, SUPER)
        u, v = (at[middle, middle] for at in self.cells_at(corners))
        self.on_tag = (u > .3) & (u < 9.7) & (v > .3) & (v < 9.7)

    def cells_at(self, corners):
        """Where the points of the pixels, and of some round them, lie on the tag, in cells."""
        height, width = self.levels.shape
        ys, xs = (np.mgrid[:(height + 2 * PAD) * SUPER, :(width + 2 * PAD) * SUPER] + 0.5) / SUPER - PAD
        m = np.linalg.inv(homography(corners))
        u, v, w = (row[0] * (xs + self.x) + row[1] * (ys + self.y) + row[2] for row in m)
        return u / w, v / w

    def residuals(self, p, tag):
        """Of the pixels well on the tag and its white; p: corners, black, white, light, blur, sharpening."""
        black, white, light_x, light_y, sigma, sharpening = p[8:]
        height, width = self.levels.shape
        u, v = self.cells_at(p[:8].reshape(4, 2))
        drawn = tag[np.clip(v, 0, 9).astype(int), np.clip(u, 0, 9).astype(int)]
        drawn = drawn.reshape(height + 2 * PAD, SUPER, width + 2 * PAD, SUPER).mean((1, 3))
        sigma = min(max(abs(sigma), 0.15), 3)
        once = cv2.GaussianBlur(drawn, (0, 0), sigma)
        twice = cv2.GaussianBlur(drawn, (0, 0), np.hypot(sigma, RADIUS_OF_SHARPENING))
        seen = (once + sharpening * (once - twice))[PAD:-PAD, PAD:-PAD]
        light = 1 + light_x * np.linspace(-.5, .5, width)[None] + light_y * np.linspace(-.5, .5, height)[:, None]
        off = (black + (white - black) * seen) * light - self.levels
        return off[self.on_tag]

    def rms(self, p, tag):
        return float(np.sqrt(np.mean(self.residuals(p, tag) ** 2)))

    def fit(self, p, tag, free):
        """Levenberg and Marquardt over those p that are free."""
        damping = 1e-2
        off = self.residuals(p, tag)
        for _ in range(100):
            jacobian = np.stack([(self.residuals(p + STEPS[i] * np.eye(14)[i], tag) -
                                  self.residuals(p - STEPS[i] * np.eye(14)[i], tag)) / (2 * STEPS[i])
                                 for i in free], 1)
            normal, right = jacobian.T @ jacobian, jacobian.T @ off
            before = off @ off
            for _ in range(8):
                tried = p.copy()
                tried[list(free)] -= np.linalg.solve(normal + damping * np.diag(np.diag(normal) + 1e-3), right)
                off_tried = self.residuals(tried, tag)
                if off_tried @ off_tried < before:
                    break
                damping *= 5
            else:
                return p
            p, off, damping = tried, off_tried, max(damping / 5, 1e-7)
            if before - off @ off < 1e-6 * before:
                return p
        return p


def main():
    cv2.setNumThreads(1)
    with open(os.path.join(APRILTAG, "truth.json"), encoding="utf-8") as file:
        cases = json.load(file)["cases"]
    with open("tags.csv", "w", encoding="utf-8") as out:
        print(f"# OpenCV {cv2.__version__}, NumPy {np.__version__}", file=out)
        print("file;number;fitted;rms;rms_published", file=out)
        for case in cases:
            if not case["file"].startswith("nasa/"):
                continue
            photograph = cv2.imread(os.path.join(APRILTAG, case["file"]), cv2.IMREAD_GRAYSCALE)
            for number, published in enumerate(case["tags"]):
                corners = np.array(published["corners_px"], float)
                view = View(photograph, corners)
                levels = np.percentile(view.levels, (10, 90))
                starts = [np.concatenate([corners.ravel(), levels, [0, 0, 0.5, sharpening]])
                          for sharpening in (0.1, 1)]
                # Corners against the clock: the code is turned over as well as round.
                turned = [cells(published["id"], k) for k in range(4)]
                tag = min(turned + [t.T for t in turned], key=lambda t: view.rms(starts[0], t))
                lit = [view.fit(start, tag, range(8, 14)) for start in starts]
                fitted = min((view.fit(p, tag, range(14)) for p in lit), key=lambda p: view.rms(p, tag))
                lit = min(lit, key=lambda p: view.rms(p, tag))
                print(case["file"], number, " ".join(f"{x:.3f}" for x in fitted[:8]),
                      f"{view.rms(fitted, tag):.2f}", f"{view.rms(lit, tag):.2f}", sep=";", file=out)


if __name__ == "__main__":
    main()
