"""Where a photograph after treatment stands on a plate on which it is laid over the one before."""
import json
import math

from bench import platewright

LEAST_CROP = 0.8  # of the photograph before: where both show as much, a pair is cut to it


def laid_pairs(volume):
    """By the photograph before, what `align` tells."""
    pairs = json.loads(platewright("align", volume, "--json", timeout=600).out)["pairs"]
    return {pair["before"]: pair for pair in pairs}


def carried(h, x, y):
    """A point of the one after in upright px of the one before."""
    w = h[6] * x + h[7] * y + h[8]
    return (h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w


def crop_of(h, size):
    """(left, top, width, height) of what both show, of two photographs of one size; of the later one's corners
    the inner two tell, each way. All of the one before where that is too little. Marks are not looked at."""
    corners = [carried(h, x, y) for x in (0, size[0]) for y in (0, size[1])]
    edges = []
    for axis in (0, 1):
        at = sorted(corner[axis] for corner in corners)
        edges.append((math.ceil(max(0, at[1])), math.floor(min(size[axis], at[2]))))
    (left, right), (top, bottom) = edges
    if (right - left) * (bottom - top) < LEAST_CROP * size[0] * size[1]:
        return 0, 0, *size
    return left, top, right - left, bottom - top
