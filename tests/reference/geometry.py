#!/usr/bin/python3
"""Makes the check values of tests/unit/geometry with Shapely and OpenCV, never with Platewright.

Debian: python3-shapely, python3-opencv. Run in this folder; it writes polygons.csv, unions.csv and
homographies.csv, whose first line names the versions. Columns are set apart by semicolons; points
are written as in a sidecar.
"""
import itertools
import math

import cv2
import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.ops import unary_union

GEOS = ".".join(str(part) for part in shapely.geos.geos_version)
VERSIONS = f"# Shapely {shapely.__version__}, GEOS {GEOS}, " \
           f"OpenCV {cv2.__version__}, NumPy {np.__version__}"
DICE = np.random.default_rng(1903)


def star(cx, cy, n, inner, outer):
    """A ring of n points round a centre, its radius uneven: simple by construction."""
    angles = np.sort(DICE.uniform(0, 2 * math.pi, n))
    radii = DICE.uniform(inner, outer, n)
    return [(round(cx + r * math.cos(a), 2), round(cy + r * math.sin(a), 2))
            for a, r in zip(angles, radii)]


def text(ring):
    return " ".join(f"{float(x)!r},{float(y)!r}" for x, y in ring)


def write(name, header, rows):
    with open(name, "w", encoding="utf-8") as out:
        print(VERSIONS, file=out)
        print(header, file=out)
        for row in rows:
            print(";".join(str(field) for field in row), file=out)


def longest(ring):
    return max(math.dist(a, b) for a, b in itertools.combinations(ring, 2))


def polygon_rows():
    for n in (3, 4, 5, 8, 12, 40, 200, 1000):
        ring = star(3000, 2000, n, 300, 900) if n > 4 else \
            [(100.5, 80.25), (900, 140), (760.75, 700), (130, 610.5)][:n]
        holes = [star(3000, 2000, 9, 40, 120)] if n > 40 else []
        polygon = Polygon(ring, holes)
        assert polygon.is_valid
        yield (text(ring), "|".join(text(hole) for hole in holes), repr(polygon.area),
               repr(polygon.length), repr(longest(ring)))


def union_rows():
    for n, spread in ((2, 300), (3, 500), (6, 900), (12, 700), (40, 4000), (40, 1500)):
        rings = []
        while len(rings) < n:
            ring = star(3000 + DICE.uniform(-spread, spread), 3000 + DICE.uniform(-spread, spread),
                        int(DICE.integers(5, 60)), 150, 400)
            if Polygon(ring).is_valid:
                rings.append(ring)
        united = unary_union([Polygon(ring) for ring in rings])
        parts = getattr(united, "geoms", [united])
        holes = sum(len(part.interiors) for part in parts)
        yield ("|".join(text(ring) for ring in rings), repr(united.area), repr(united.length),
               len(parts) + holes)


def homography_rows():
    for n in (4, 4, 4, 5, 8, 25, 100):
        truth = np.array([[.09, .004, -120], [-.003, .088, -75], [2e-6, -3e-6, 1]])
        source = DICE.uniform([200, 200], [5800, 3800], (n, 2)) if n > 4 else \
            np.array([(900, 700), (2100, 760), (2050, 1500), (940, 1450)]) + DICE.normal(0, 40, (4, 2))
        source = np.round(source, 3)
        lifted = np.c_[source, np.ones(n)] @ truth.T
        target = np.round(lifted[:, :2] / lifted[:, 2:] + DICE.normal(0, .05, (n, 2)), 4)
        h, _ = cv2.findHomography(source, target, 0)
        mapped = np.c_[source, np.ones(n)] @ h.T
        residual = mapped[:, :2] / mapped[:, 2:] - target
        rms = math.sqrt((residual ** 2).sum() / n)
        yield (text(source), text(target), " ".join(repr(float(v)) for v in h.ravel()), repr(rms))


write("polygons.csv", "outline;holes;area;perimeter;longest", polygon_rows())
write("unions.csv", "outlines;area;perimeter;rings", union_rows())
write("homographies.csv", "from;to;homography;rms", homography_rows())
