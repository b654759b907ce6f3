"""Plates on which the photograph after treatment is laid over the one before: both show the same at the same
place, which is looked for in the pixels of the document by shifting small squares of one over the other; what
was done is told, and so is what was not."""
import atexit
import functools
import math
import os
import re
import shutil

from bench import Folder, check, demo, demo_truth, equal, platewright, run
from laid import carried, crop_of, laid_pairs
from pictures import pictures_of, places_of

BOARDS = {"Front board": "before/LF24_0412.jpg", "Back board": "before/LF24_0413.jpg"}
SHOWN = ["before/LF24_0412.jpg", "after/LF24_0502.jpg", "before/LF24_0413.jpg", "after/LF24_0503.jpg",
         "before/LF12_0038.jpg", "after/LF12_0078.jpg"]
PHOTOGRAPH = (4000, 6000)  # upright px of the boards
SIDE = 40  # px of a square
FARTHEST = 3  # px by which a square is shifted
ALIKE = 0.9  # correlation of a square that was not treated
SHARP = 0.01  # by which it is less alike a px off each way: along a straight edge a square has no one place
COINCIDE_PX = 1  # at 300 pixels per inch
TURN_DEG, TIMES = 0.06, 0.006  # told to one and to two decimals


@functools.cache
def volume(private=False):
    """The demo; or with mark 3 of the front board, before treatment, private."""
    folder = Folder().__enter__()
    atexit.register(folder.__exit__)
    made = os.path.join(folder.path, "volume")
    shutil.copytree(demo(), made)
    if private:
        path = os.path.join(made, BOARDS["Front board"] + ".yaml")
        with open(path, encoding="utf-8") as file:
            text = file.read()
        check("  - id: 3\n" in text, text)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text.replace("  - id: 3\n", "  - id: 3\n    private: yes\n"))
    return made


@functools.cache
def report(reader, private=False):
    """(PDF, HTML) of what was done, for a reader."""
    pdf, html = (os.path.join(volume(private), "..", f"{reader}.{form}") for form in ("pdf", "html"))
    result = platewright("report", volume(private), "--kind", "treatment", "--for", reader, "--only", ",".join(SHOWN),
                         "-o", pdf, "--html", html, timeout=900)
    equal(result.status, 0, result)
    with open(html, encoding="utf-8") as file:
        return pdf, file.read()


@functools.cache
def pairs():
    return laid_pairs(volume())


@functools.cache
def pages(reader):
    """The text of each page and the pictures in it, (width, height, RGB)."""
    pdf, _ = report(reader)
    pictures, found = list(pictures_of(pdf)), []
    for _, text, boxes in places_of(pdf):
        found.append((text, boxes, pictures[:len(boxes)]))
        pictures = pictures[len(boxes):]
    return found


def plate(reader, title):
    return next(page for page in pages(reader) if title in page[0] and len(page[1]) > 1)


# ---- Both pictures lie over each other -----------------------------------------------------------


def square(picture, x, y):
    """The green of a square, less its mean, and its length."""
    width, _, data = picture
    values = [data[3 * (row * width + column) + 1] for row in range(y, y + SIDE) for column in range(x, x + SIDE)]
    mean = sum(values) / len(values)
    values = [value - mean for value in values]
    return values, math.sqrt(sum(value * value for value in values))


def likeness(first, second):
    return sum(a * b for a, b in zip(first[0], second[0])) / max(first[1] * second[1], 1)


def peak(low, middle, high):
    """Where a parabola through three values stands highest, from the middle one."""
    bend = low - 2 * middle + high
    return (low - high) / (2 * bend) if bend < 0 else 0


def shift_of(before, after, x, y):
    """By which (dx, dy) the square of the one is found in the other; None where it is not."""
    wanted = square(before, x, y)
    if wanted[1] < 4 * SIDE:  # nothing to see: under four levels
        return None
    steps = range(-FARTHEST, FARTHEST + 1)
    alike = {(dx, dy): likeness(wanted, square(after, x + dx, y + dy)) for dx in steps for dy in steps}
    (dx, dy), best = max(alike.items(), key=lambda item: item[1])
    if best < ALIKE or FARTHEST in (abs(dx), abs(dy)):
        return None
    if best - max(alike[dx - 1, dy], alike[dx + 1, dy], alike[dx, dy - 1], alike[dx, dy + 1]) < SHARP:
        return None
    return (dx + peak(alike[dx - 1, dy], best, alike[dx + 1, dy]),
            dy + peak(alike[dx, dy - 1], best, alike[dx, dy + 1]))


def places_on_the_board(file, picture):
    """Squares along the board's edges and over it: where the generator put it, in px of the picture."""
    left, top, wide, high = crop_of(pairs()[file]["homography"], PHOTOGRAPH)
    truth = next(photo["surface_mm_to_px"] for photo in demo_truth()["photos"] if photo["file"] == file)
    for x in range(4, 276, 17):
        for y in range(4, 412, 17):
            px, py = carried(truth, x, y)
            at = ((px - left) / wide * picture[0] - SIDE / 2, (py - top) / high * picture[1] - SIDE / 2)
            if min(at) >= FARTHEST and at[0] + SIDE + FARTHEST < picture[0] and \
                    at[1] + SIDE + FARTHEST < picture[1]:
                yield round(at[0]), round(at[1])


def test_a_board_stands_at_the_same_place_in_both_pictures():
    for title, file in BOARDS.items():
        text, boxes, (before, after) = plate("studio", title)
        equal(before[:2], after[:2], "sizes of the pictures")
        equal(boxes[0][2:], boxes[1][2:], "sizes on paper")
        shifts = [shift_of(before, after, x, y) for x, y in places_on_the_board(file, before)]
        found = [math.hypot(*shift) for shift in shifts if shift]
        print(f"# {title}: {len(found)} of {len(shifts)} squares found, off by {sorted(found)[len(found) // 2]:.2f} px "
              f"in the middle, {max(found):.2f} at most")
        check(len(found) > 40, found)
        check(max(found) <= COINCIDE_PX, max(found))


def test_on_the_screen_both_lie_exactly_over_each_other():
    _, html = report("studio")
    for title in BOARDS:
        figure = next(part for part in html.split("<figure")[1:] if f">{title}</h" in part)
        sizes = re.findall(r'<img [^>]*?width="(\d+)" height="(\d+)"', figure)
        equal(sizes[0], sizes[1], title)
        number = re.search(r'id="(plate-\d+)"', figure)[1]
        rule = re.search(rf"#{number} \.compared \.picture:nth-of-type\(2\) \.lay(\{{.*?\}})", html)[1]
        equal(rule, "{width:100%;left:0%;top:0%}", title)


# ---- What is told --------------------------------------------------------------------------------


def turn_and_times(pair):
    """Of the one after against the one before, by where the generator put the board in both."""
    truth = {photo["file"]: photo["surface_mm_to_px"] for photo in demo_truth()["photos"]}
    steps = []
    for file in (pair["before"], pair["after"]):
        (ax, ay), (bx, by) = (carried(truth[file], x, y) for x, y in ((138, 106), (138, 306)))
        steps.append((math.degrees(math.atan2(by - ay, bx - ax)), math.hypot(bx - ax, by - ay)))
    return abs(steps[0][0] - steps[1][0]), steps[0][1] / steps[1][1]


def squeezed(text):
    """Without blanks, of which poppler puts some round ligatures."""
    return re.sub(r"\s", "", text)


def test_how_they_were_laid_is_told_under_the_plate_and_on_the_screen():
    begin = squeezed("The photograph after treatment is laid over the one before and cut to it:")
    screen = squeezed(re.sub(r"<[^>]+>", "", report("studio")[1]))
    for title, file in BOARDS.items():
        said = re.search(begin + r".*?\)\.", squeezed(plate("studio", title)[0]))
        check(said, plate("studio", title)[0])
        turn, times = turn_and_times(pairs()[file])
        print(f"# {title}: {said[0]}; the generator turned it {turn:.2f}°, {times:.3f} times")
        told = re.search(r"turned([\d.]+)°", said[0]), re.search(r"(?:enlarged|reducedto)([\d.]+)", said[0])
        check(abs(float(told[0][1]) - turn) <= TURN_DEG, said[0])
        check(abs((float(told[1][1]) if told[1] else 1) - times) <= TIMES, said[0])
        check(f"offby{pairs()[file]['residual_mm']:.2f}mm(rootmeansquare)." in said[0], said[0])
        check(said[0] in screen, said[0])


def test_what_could_not_be_laid_is_drawn_and_told():
    plain = squeezed("The photographs before and after treatment are not laid over each other")
    for reader, more in (("studio", ":theydonotshowthesameflatsurface"), ("owner", ".")):
        text, boxes, _ = plate(reader, "Detail, front board, tail corner")  # without the one during it
        equal(len(boxes), 2)
        check(plain + more in squeezed(text), text)


# ---- Where it was before -------------------------------------------------------------------------


def marks_after(html, title):
    """Of the picture after treatment, the drawing of each mark by its number."""
    figure = next(part for part in html.split("<figure")[1:] if f">{title}</h" in part)
    drawn = figure.split('<svg class="marks"')[2].split('<div class="caption"')[0]
    return {re.search(r">(\d+)</text>", mark)[1]: mark for mark in re.findall(r"<a id=.*?</a>", drawn, re.S)}


def dashed(mark):
    return re.findall(r' d="([^"]+)"[^>]*stroke-dasharray=', mark)


def test_damage_made_good_stands_dashed_where_it_was():
    marks = marks_after(report("studio")[1], "Front board")
    for number in ("1", "2", "4"):  # made good, closed, made good: no outline of its own
        equal(len(dashed(marks[number])), 2, f"{number}: the casing is no rope, but follows its line")
        equal(len(set(dashed(marks[number]))), 1, number)
    equal(len(set(dashed(marks["3"]))), 1, "reduced: an outline of its own, and where it was")
    check(len(re.findall(' d="', marks["3"])) > len(re.findall(' d="', marks["1"])), marks["3"])
    check("where it was before" in plate("studio", "Front board")[0], "the key")


def test_what_was_private_before_stands_nowhere_on_the_picture_after():
    shown = marks_after(report("public")[1], "Front board")
    place = dashed(marks_after(report("studio")[1], "Front board")["3"])[0]
    check(any(place in mark for mark in shown.values()), "the look finds nothing where it may be seen")
    private = report("public", private=True)[1]
    check(place not in private, "the private place")
    equal(len(marks_after(private, "Front board")), len(shown) - 1)


run(globals())
