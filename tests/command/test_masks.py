"""What is private is one flat colour wherever a public document shows it: in the painted pages of the PDF, in
the pictures that lie in it, and in those of the HTML. Where it lies is told by the outlines of the record
alone, and the same look at the studio's documents finds what stood there."""
import atexit
import math
import os
import re
import shutil

from bench import Folder, check, demo, equal, platewright, run
from laid import carried, crop_of, laid_pairs
from pictures import decoded, page_of, pictures_of, pictures_of_html, places_of

OPENING, LATER, TWIN = "before/LF24_0416.jpg", "after/LF24_0507.jpg", "before/LF24_0417.jpg"
PHOTOGRAPH = (6000, 4000)  # upright pixels of all three
GROWTH = 10  # px of the photograph by which a mask is larger than its outline, at the least
RIM = 16  # px of the picture: a JPEG with halved colour blurs an edge as far as a block and its neighbour
FLAT = 2  # levels by which a pixel may differ from the one colour
STRUCTURE = 60  # levels between dark and light that ink on paper has at the least
# Plates of the volume that is made here, with the photographs in each as they stand, one by one. `detail`
# shows a part, then the whole photograph beside it, small. Without one of its photographs a plate does not bear the
# title that was given to all.
PLATES = {"Pages 12 and 13": [OPENING, LATER], "The opening once more": [TWIN]}
BEFORE_ALONE = {"Opening, pp. 12-13": [OPENING], "The opening once more": [TWIN]}
made = {}


# ---- A volume that shows a private place again and again ------------------------------------------


def change(path, old, new):
    with open(path, encoding="utf-8") as file:
        text = file.read()
    check(old in text, f"{old!r} is not in {path}")
    with open(path, "w", encoding="utf-8") as file:
        file.write(text.replace(old, new))


def outline_of(volume, photograph):
    """The outline of mark 1, as its sidecar has it."""
    with open(os.path.join(volume, photograph + ".yaml"), encoding="utf-8") as file:
        points = re.search(r'id: 1\n.*?outline: "([^"]+)"', file.read(), re.S)[1]
    return [tuple(map(float, point.split(","))) for point in points.split()]


def make_volume(folder):
    """The demo with one opening that says `private`, a later photograph that only says what has become of it,
    and another that only says that it shows the same."""
    volume = os.path.join(folder.path, "volume")
    shutil.copytree(demo(), volume)
    change(os.path.join(volume, LATER + ".yaml"), "    private: yes\n", "")
    shutil.copy(os.path.join(volume, OPENING), os.path.join(volume, TWIN))
    with open(os.path.join(volume, TWIN), "ab") as file:
        file.write(b"\0")  # another file of the same pixels
    shutil.copy(os.path.join(volume, OPENING + ".yaml"), os.path.join(volume, TWIN + ".yaml"))
    twin = os.path.join(volume, TWIN + ".yaml")
    change(twin, "    private: yes\n", f'    same-as: "{OPENING}#1"\n')
    change(twin, "    note: \"Elsbet Orrowin wrote her name here; the family asks that it stay with them\"\n", "")
    with open(twin, encoding="utf-8") as file:
        text = file.read()
    with open(twin, "w", encoding="utf-8") as file:
        file.write(re.sub(r"  sha256: .*\n", "", text[:text.index("  - id: 2\n")]))
    change(os.path.join(volume, "volume.yaml"), "  - {title: \"Found inside\"",
           f"  - {{title: \"The opening once more\", before: {TWIN}}}\n"
           f"  - {{title: \"A torn leaf\", detail: \"{OPENING}#2\"}}\n"
           "  - {title: \"Found inside\"")
    return volume


def document(kind, reader):
    """The PDF's path and the HTML's text; made once."""
    if "folder" not in made:
        made["folder"] = Folder().__enter__()
        atexit.register(made["folder"].__exit__)
        made["volume"] = make_volume(made["folder"])
    if (kind, reader) not in made:
        pdf, page = (os.path.join(made["folder"].path, f"{kind}-{reader}.{form}") for form in ("pdf", "html"))
        result = platewright("report", made["volume"], "--kind", kind, "--for", reader, "--only",
                             ",".join([OPENING, LATER, TWIN]), "-o", pdf, "--html", page, timeout=300)
        equal(result.status, 0, result)
        with open(page, encoding="utf-8") as file:
            made[kind, reader] = pdf, file.read()
    return made[kind, reader]


# ---- Where a place stands ------------------------------------------------------------------------


def lay_of(photographs):
    """How the later photograph lies over the first, where a plate shows both."""
    if "pairs" not in made:
        made["pairs"] = laid_pairs(made["volume"])
    return made["pairs"][photographs[0]]["homography"] if len(photographs) > 1 else None


def place_of(photographs, photograph):
    """The masked place in shares of the picture, and how many px of the photograph that is wide."""
    lay = lay_of(photographs)
    left, top, wide, high = crop_of(lay, PHOTOGRAPH) if lay else (0, 0, *PHOTOGRAPH)
    points = outline_of(made["volume"], photograph)
    if photographs.index(photograph) > 0:
        points = [carried(lay, x, y) for x, y in points]
    return [((x - left) / wide, (y - top) / high) for x, y in points], wide


# ---- The look ------------------------------------------------------------------------------------


def within(x, y, ring):
    """How far a point lies within a ring; negative outside."""
    inside, nearest = False, math.inf
    for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1]):
        if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
            inside = not inside
        along = ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2)
        along = min(1, max(0, along))
        nearest = min(nearest, math.hypot(x - ax - along * (bx - ax), y - ay - along * (by - ay)))
    return nearest if inside else -nearest


def pixels_within(picture, box, place, rim):
    """Of a picture the pixels that lie in the masked place of the photograph in the box, `rim` from its edge."""
    width, _, data = picture
    left, top, wide, high = box
    ring = [(left + x * wide, top + y * high) for x, y in place[0]]
    least = rim - GROWTH * wide / place[1]
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    found = []
    for y in range(math.floor(min(ys)), math.ceil(max(ys))):
        for x in range(math.floor(min(xs)), math.ceil(max(xs))):
            if within(x + 0.5, y + 0.5, ring) >= least:
                at = 3 * (y * width + x)
                found.append(data[at:at + 3])
    return found


def spread(pixels):
    """The farthest a channel lies from its middle, over all pixels."""
    middle = [sorted(pixel[k] for pixel in pixels)[len(pixels) // 2] for k in range(3)]
    return max(abs(pixel[k] - middle[k]) for pixel in pixels for k in range(3))


def look(reader, what, picture, box, place):
    pixels = pixels_within(picture, box, place, RIM)
    check(len(pixels) > 1000, f"{what}: only {len(pixels)} px to look at")
    levels = spread(pixels)
    print(f"# {reader} {what}: {len(pixels)} px differ by up to {levels} levels")
    if reader == "public":
        check(levels <= FLAT, f"{what}: {levels} levels")
        # blurred by the JPEG, but nowhere as far from the one colour as ink and paper are
        rim = spread(pixels_within(picture, box, place, GROWTH * box[2] / place[1]))
        check(rim < STRUCTURE, f"{what}: {rim} levels in the rim")
    else:
        check(levels > STRUCTURE, f"{what}: the look finds nothing in the studio's, {levels} levels")


def look_at_pages(kind, reader, plates):
    """Every page of a plate that shows the place, painted, and the pictures in it as they lie in the file."""
    pdf, _ = document(kind, reader)
    pictures, seen = list(pictures_of(pdf)), []
    for number, text, boxes in places_of(pdf):
        here, pictures = pictures[:len(boxes)], pictures[len(boxes):]
        title = next((title for title in plates if title in text and boxes), None)
        if title is None:
            continue
        seen.append(title)
        equal(len(boxes), len(plates[title]), f"pictures of {title}")
        page = page_of(pdf, number)
        for photograph, box, picture in zip(plates[title], boxes, here):
            place = place_of(plates[title], photograph)
            look(reader, f"{kind}, page {number}, {photograph}", page, box, place)
            look(reader, f"{kind}, in the file, {photograph}", picture, (0, 0, *picture[:2]), place)
    equal(pictures, [], "a picture on no page")
    equal(sorted(seen), sorted(plates), f"plates of {kind} for the {reader}")


def look_at_html(kind, reader, plates):
    _, page = document(kind, reader)
    pictures = list(pictures_of_html(page))
    for title, photographs in plates.items():
        here = [jpeg for alt, jpeg in pictures if alt.startswith(title + ":")]
        equal(len(here), len(photographs), f"pictures of {title}")
        for photograph, jpeg in zip(photographs, here):
            picture = decoded(jpeg)
            look(reader, f"{kind}, HTML, {photograph}", picture, (0, 0, *picture[:2]),
                 place_of(photographs, photograph))


# ---- Tests ---------------------------------------------------------------------------------------


def test_what_is_private_is_one_flat_colour_on_every_page_for_the_public():
    for kind, plates in (("condition", BEFORE_ALONE), ("proposal", BEFORE_ALONE), ("treatment", PLATES)):
        look_at_pages(kind, "public", plates)


def test_and_in_every_picture_of_the_html():
    for kind, plates in (("condition", BEFORE_ALONE), ("treatment", PLATES)):
        look_at_html(kind, "public", plates)


def test_the_same_look_finds_what_stood_there_in_the_studio_s():
    look_at_pages("treatment", "studio", PLATES)
    look_at_html("treatment", "studio", PLATES)


def middle_of(picture, outline):
    """The colours about the middle of the place, in a picture too small to look at by its rim."""
    sx, sy = picture[0] / PHOTOGRAPH[0], picture[1] / PHOTOGRAPH[1]
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    y = round((min(ys) + max(ys)) / 2 * sy)
    row = range(round((min(xs) + 300) * sx), round((max(xs) - 500) * sx))
    return [picture[2][3 * (y * picture[0] + x):][:3] for x in row]


def test_the_small_picture_beside_an_enlargement_is_covered_too():
    """It is too small for a rim: along its middle line the ink is told from the one colour."""
    levels = {}
    for reader in ("studio", "public"):
        pdf, page = document("treatment", reader)
        pictures = list(pictures_of(pdf))
        for number, text, boxes in places_of(pdf):
            here, pictures = pictures[:len(boxes)], pictures[len(boxes):]
            if "A torn leaf" in text and boxes:
                equal(len(boxes), 2, f"pictures on page {number}")
                levels[reader, "PDF"] = spread(middle_of(here[1], outline_of(made["volume"], OPENING)))
        small = [jpeg for alt, jpeg in pictures_of_html(page) if alt == ""]
        equal(len(small), 1)
        levels[reader, "HTML"] = spread(middle_of(decoded(small[0]), outline_of(made["volume"], OPENING)))
    print(f"# {levels}")
    for form in ("PDF", "HTML"):
        check(levels["public", form] <= FLAT, levels)
        check(levels["studio", form] > 10 * FLAT, levels)


run(globals())
