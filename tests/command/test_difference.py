"""Plates with a picture of how far colours differ: what was treated stands out and nothing else does, in the inks
of the key; where colours cannot be told from each other there is none, and why is said."""
import atexit
import functools
import os
import re
import shutil

from bench import SOURCE, Folder, check, demo, demo_truth, equal, platewright, run
from laid import carried, crop_of, laid_pairs
from pictures import pictures_of, places_of

BEFORE, AFTER = "before/LF24_0412.jpg", "after/LF24_0502.jpg"  # the front board
PHOTOGRAPH = (4000, 6000)  # its upright px
ENDS = [3, 6, 12, 24]  # CIEDE2000, where each step of the key ends
CODING = 40  # a px of the JPEG is of the ink that it is nearest to, if so near, red + green + blue
BANDS = 6  # mm by which the face may stand out beyond the board of 276 x 412 mm
APART_MM = 3  # from an outline to what counts as inside it, or outside
# An outline before of what was filled, closed by leather or taken off: its inside has another colour now.
FILLED = ["1", "4", "6"]
CHANGED = 0.9  # of the inside is above the first step: a fill is toned, here and there to the very colour
UNTREATED = 0.001  # of the board away from every mark
READABLE = 4  # levels of grey between two steps that the eye tells apart on paper; common practice, no source


@functools.cache
def inks(style="plate"):
    """The five, from the style file, as (red, green, blue)."""
    with open(os.path.join(SOURCE, "styles", style + ".yaml"), encoding="utf-8") as file:
        found = dict(re.findall(r"^  difference-(\d): ([0-9a-f]{6})", file.read(), re.M))
    return [tuple(bytes.fromhex(found[str(i)])) for i in range(1, 6)]


WHITE = (255, 255, 255)


@functools.cache
def volume(titles=("Front board",), changes=()):
    """A copy of the demo with these of its plates; each change is (file, text, what stands there instead)."""
    folder = Folder().__enter__()
    atexit.register(folder.__exit__)
    made = os.path.join(folder.path, "volume")
    shutil.copytree(demo(), made)
    path = os.path.join(made, "volume.yaml")
    with open(path, encoding="utf-8") as whole:
        lines = whole.read().splitlines(keepends=True)
    with open(path, "w", encoding="utf-8") as whole:
        whole.writelines(line for line in lines if not line.startswith("  - {title: ") or line.split('"')[1] in titles)
    for file, text, instead in changes:
        path = os.path.join(made, file)
        with open(path, encoding="utf-8") as whole:
            before = whole.read()
        check(text in before, f"{file}: {text}")
        with open(path, "w", encoding="utf-8") as whole:
            whole.write(before.replace(text, instead))
    return made


@functools.cache
def pages(made, *options):
    """(text, boxes on the page, pictures) of each page of the plates."""
    pdf = made + "".join(options).replace("/", "_") + ".pdf"
    result = platewright("plates", made, "-o", pdf, *options, timeout=900)
    equal(result.status, 0, result)
    pictures, found = list(pictures_of(pdf)), []
    for _, text, boxes in places_of(pdf):
        found.append((text, boxes, pictures[:len(boxes)]))
        pictures = pictures[len(boxes):]
    return found


def plate(title, made=None, *options):
    return next(page for page in pages(made or several(), *(options or ("--difference",))) if title in page[0])


def several():
    return volume(("Front board", "Spine", "Fore edge", "A corner in three stages"))


def squeezed(text):
    """Without blanks, of which poppler puts some round ligatures."""
    return re.sub(r"\s", "", text)


def step_of(pixel, style="plate"):
    """Which ink, from 0; -1 is the white of what was not compared; None is neither, an edge in the coding."""
    near = [sum(abs(a - b) for a, b in zip(pixel, ink)) for ink in [WHITE, *inks(style)]]
    best = min(range(6), key=lambda i: near[i])
    return best - 1 if near[best] <= CODING else None


@functools.cache
def board():
    """Of the front board's panel: by px (x, y) on a grid, where it lies on the board in mm, and its step."""
    _, _, pictures = plate("Front board")
    width, height, data = pictures[2]
    left, top, wide, high = crop_of(laid_pairs(demo())[BEFORE]["homography"], PHOTOGRAPH)
    truth = next(photo["surface_mm_to_px"] for photo in demo_truth()["photos"] if photo["file"] == BEFORE)
    back = inverse(truth)
    found = []
    for y in range(1, height, 3):
        for x in range(1, width, 3):
            at = carried(back, left + (x + 0.5) / width * wide, top + (y + 0.5) / height * high)
            found.append((at, step_of(data[3 * (y * width + x):][:3])))
    return found


def inverse(h):
    a, b, c, d, e, f, g, i, j = h
    return [e * j - f * i, c * i - b * j, b * f - c * e, f * g - d * j, a * j - c * g, c * d - a * f,
            d * i - e * g, b * g - a * i, a * e - b * d]


def outlines():
    """Of the marks before, in mm of the board: by id, the points of each area or line, None of a point."""
    truth = next(photo["surface_mm_to_px"] for photo in demo_truth()["photos"] if photo["file"] == BEFORE)
    back = inverse(truth)
    with open(os.path.join(demo(), BEFORE + ".yaml"), encoding="utf-8") as file:
        text = file.read().split("marks:")[1]
    found = {}
    for mark in re.split(r"\n  - ", text)[1:]:
        points = re.search(r'(?:outline|line|point): "?([^"\n]+)"?', mark)[1]
        found[re.match(r"id: (\w+)", mark)[1]] = [carried(back, *map(float, point.split(",")))
                                                  for point in points.split()]
    return found


def inside(points, x, y):
    """By the even-odd rule."""
    odd = False
    for (ax, ay), (bx, by) in zip(points, points[1:] + points[:1]):
        if (ay > y) != (by > y) and x < ax + (bx - ax) * (y - ay) / (by - ay):
            odd = not odd
    return odd


def distance(points, x, y):
    """To the nearest edge, or to the point."""
    least = min((px - x) ** 2 + (py - y) ** 2 for px, py in points)
    for (ax, ay), (bx, by) in zip(points, points[1:] + points[:1]):
        long = (bx - ax) ** 2 + (by - ay) ** 2
        t = max(0, min(1, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / long)) if long else 0
        least = min(least, (ax + t * (bx - ax) - x) ** 2 + (ay + t * (by - ay) - y) ** 2)
    return least ** 0.5


# ---- What it shows -------------------------------------------------------------------------------


def test_it_stands_beside_before_and_after_at_their_size():
    text, boxes, pictures = plate("Front board")
    equal(len(pictures), 3)
    for i in (0, 1):
        equal(pictures[2][:2], pictures[i][:2], "pixels")
        equal(boxes[2][2:], boxes[i][2:], "on paper")
    check(squeezed("Difference in colour") in squeezed(text), text)
    check("the same scale in all" in text, text)


def test_what_was_filled_stands_out():
    marks = outlines()
    for number in FILLED:
        steps = [step for (x, y), step in board()
                 if inside(marks[number], x, y) and distance(marks[number], x, y) > 0.3 and step is not None]
        changed = sum(step > 0 for step in steps) / len(steps)
        print(f"# mark {number}: {len(steps)} places, {100 * changed:.1f} % above {ENDS[0]}")
        check(changed >= CHANGED, changed)


def test_what_was_not_treated_does_not():
    marks = outlines()
    steps = [step for (x, y), step in board() if step not in (None, -1) and all(
        not inside(points, x, y) and distance(points, x, y) > APART_MM for points in marks.values())]
    over = sum(step > 0 for step in steps) / len(steps)
    print(f"# {len(steps)} places away from every mark: {100 * over:.3f} % above {ENDS[0]}")
    check(len(steps) > 20000, len(steps))
    check(over <= UNTREATED, over)


def test_beyond_the_board_nothing_is_compared():
    beyond = [step for (x, y), step in board() if x < -BANDS or x > 276 + BANDS or y < -BANDS or y > 412 + BANDS]
    check(len(beyond) > 5000, len(beyond))
    equal(set(beyond), {-1})


def test_its_key_tells_every_step_and_how_it_was_reckoned():
    for title, where in (("Front board", "the face within its outline"), ("Fore edge", "the box round all marks")):
        text = plate(title)[0]
        check("CIEDE2000 3 6 12 24 " in text, text)
        for words in ("CIEDE2000 under D50", "light and exposure of both photographs enter whole", f"Compared is {where}"):
            check(squeezed(words) in squeezed(text), words)


def test_steps_darken_and_are_told_apart_in_grey():
    for style in ("plate", "plate-grey"):
        light = [0.2126 * r + 0.7152 * g + 0.0722 * b for r, g, b in inks(style)]
        for lighter, darker in zip(light, light[1:]):
            check(lighter - darker >= READABLE, (style, light))


def test_in_grey_it_is_grey():
    _, _, pictures = plate("Front board", volume(), "--difference", "--style", "plate-grey")
    width, height, data = pictures[2]
    seen = set()
    for at in range(0, 3 * width * height, 3 * 7):
        pixel = data[at:at + 3]
        check(max(pixel) - min(pixel) <= 2, tuple(pixel))
        seen.add(step_of(pixel, "plate-grey"))
    check({-1, 0, 1, 2} <= seen, seen)


def test_beside_three_stages_it_is_the_fourth():
    stages = f'{{title: "Front board, in stages", before: {BEFORE}, during: during/LF12_0063.jpg, after: {AFTER}}}'
    made = volume((), (("volume.yaml", "plates:\n", f"plates:\n  - {stages}\n"),))
    text, _, pictures = plate("Front board, in stages", made)
    equal(len(pictures), 4)
    equal(pictures[3][:2], pictures[0][:2], "pixels")
    check(squeezed("Difference in colour") in squeezed(text), text)


def test_in_german():
    text, _, pictures = plate("Front board", volume(), "--difference", "--language", "de")
    equal(len(pictures), 3)
    check("Farbunterschied" in text, text)


# ---- Where there is none -------------------------------------------------------------------------


def test_without_the_option_there_is_none():
    text, _, pictures = plate("Front board", volume(), "--style", "plate")
    equal(len(pictures), 2)
    check("ifference" not in text, text)


def refused(page, words, photographs=2):
    check(squeezed("No difference in colour is shown" + words) in squeezed(page[0]), page[0])
    equal(len(page[2]), photographs)


def test_not_in_raking_light():
    made = volume(changes=((AFTER + ".yaml", "light: normal\n", "light: raking from left\n"),))
    refused(plate("Front board", made), ": the photographs were not both taken in normal light.")


def test_not_on_a_curved_surface():
    refused(plate("Spine"), ": the surface is curved.")


def test_not_where_they_are_not_laid_over_each_other():
    refused(plate("A corner in three stages"), ", since they are not laid over each other.", 3)


def test_not_where_light_is_not_recorded():
    made = volume(changes=((AFTER + ".yaml", "light: normal\n", ""),))
    refused(plate("Front board", made), ": the light of the photographs is not recorded for both.")


def test_not_on_a_contact_sheet():
    result = platewright("plates", demo(), "--contact", "--difference")
    equal(result.status, 2, result)
    check("--contact or --difference" in result.err, result.err)


# ---- Private -------------------------------------------------------------------------------------


def test_where_the_public_may_not_look_nothing_is_compared():
    made = volume(changes=((BEFORE + ".yaml", "  - id: 3\n", "  - id: 3\n    private: yes\n"),))
    marks, truth = outlines(), next(p["surface_mm_to_px"] for p in demo_truth()["photos"] if p["file"] == BEFORE)
    left, top, wide, high = crop_of(laid_pairs(made)[BEFORE]["homography"], PHOTOGRAPH)
    for reader, seen in (("studio", {1, 2, 3, 4}), ("public", {-1})):
        _, _, pictures = plate("Front board", made, "--difference", "--for", reader)
        width, height, data = pictures[2]
        steps = set()
        for y in range(1, height, 2):
            for x in range(1, width, 2):
                at = carried(inverse(truth), left + (x + 0.5) / width * wide, top + (y + 0.5) / height * high)
                if inside(marks["3"], *at):
                    steps.add(step_of(data[3 * (y * width + x):][:3]))
        print(f"# {reader}: steps {sorted(steps, key=str)} inside the private place")
        check(steps & seen if reader == "studio" else steps == seen, steps)


run(globals())
