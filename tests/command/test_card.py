"""card: the PDF as validators, readers of PDF and a rule would see it. What stands where is read from a raster
of 600 dpi made by poppler and compared with the design, stated here once more; the bits of the tags come from
libapriltag itself."""
import ctypes
import ctypes.util
import os
import re
import subprocess

from bench import BUILD, SOURCE, Folder, Skip, check, equal, platewright, run, tool

DPI = 600
PX = DPI / 25.4  # px per mm
PAPERS = ["a4", "letter"]
# Per size: tag's edge, first id, its tags' corners from the card's corner, copies on each paper, and the
# graduations: (x, y, steps in x and y, mm) of the zero, a little inside the edge so that every stroke is met.
CORNERS = {
    "id1": (12, 400, [(7, 2), (70, 2), (70, 35), (7, 35)], {"a4": 8, "letter": 6},
            [(7, 53.4, 1, 0, 75), (0.6, 47, 0, -1, 45)]),
    "a6": (20, 440, [(9, 6), (119, 6), (119, 76), (9, 76)], {"a4": 2, "letter": 2},
           [(9, 104.4, 1, 0, 130), (0.6, 96, 0, -1, 90)]),
    "strip": (7.2, 460, [(1.4, 1.6), (141.4, 1.6), (141.4, 13.2), (1.4, 13.2)], {"a4": 8, "letter": 8},
              [(15, 21.4, 1, 0, 120), (15, 0.6, 1, 0, 120)]),
    "sheet": (20, 500, [(2.5 + 25 * (i % 7), 2.5 + 25 * (i // 7)) for i in range(63)],
              {"a4": 1, "letter": 1}, []),
}
EVERY = [(size, paper) for size in CORNERS for paper in PAPERS]
made = {}


def card(size, paper):
    """The PDF of that size and paper, made once; its path."""
    if (size, paper) not in made:
        path = os.path.join(BUILD, f"card-test-{size}-{paper}.pdf")
        result = platewright("card", "--size", size, "--paper", paper, "-o", path)
        equal(result.status, 0, result)
        made[size, paper] = path
    return made[size, paper]


def output(*command):
    done = subprocess.run(command, capture_output=True, timeout=300, check=False)
    return done.returncode, (done.stdout + done.stderr).decode("utf-8", "replace")


class Raster:
    """A page in grey, 0 black to 255 white."""

    def __init__(self, path):
        done = subprocess.run([tool("pdftoppm"), "-gray", "-r", str(DPI), "-singlefile", path],
                              capture_output=True, timeout=300, check=True)
        head = re.match(rb"P5\n(\d+) (\d+)\n255\n", done.stdout)
        self.width, self.height = int(head.group(1)), int(head.group(2))
        self.grey = done.stdout[head.end():]

    def row(self, y, left=0, right=None):
        start = y * self.width
        return self.grey[start + left:start + (self.width if right is None else right)]

    def column(self, x, top=0, bottom=None):
        end = self.height if bottom is None else bottom
        return self.grey[top * self.width + x:end * self.width:self.width]

    def at(self, x, y):
        """The grey at a place in px."""
        return self.grey[int(y) * self.width + int(x)]


def family():
    """(codes, places of the bits in cells) of tag36h11, from libapriltag."""
    class Family(ctypes.Structure):
        _fields_ = [("ncodes", ctypes.c_uint32), ("codes", ctypes.POINTER(ctypes.c_uint64)),
                    ("width_at_border", ctypes.c_int), ("total_width", ctypes.c_int),
                    ("reversed_border", ctypes.c_bool), ("nbits", ctypes.c_uint32),
                    ("bit_x", ctypes.POINTER(ctypes.c_uint32)),
                    ("bit_y", ctypes.POINTER(ctypes.c_uint32))]
    name = ctypes.util.find_library("apriltag")
    if name is None:
        raise Skip("libapriltag is not here")
    create = ctypes.CDLL(name).tag36h11_create
    create.restype = ctypes.POINTER(Family)
    found = create().contents
    return ([found.codes[i] for i in range(found.ncodes)],
            [(found.bit_x[i], found.bit_y[i]) for i in range(found.nbits)])


def edge_of(line):
    """Where black begins in two greys, the one before and the first that is dark, in px from the latter."""
    return (line[1] - (255 - line[0])) / 255


def squares(page, edge):
    """The upper left corners, in px, of all black squares with a solid upper cell."""
    wide, cell = round(edge * PX), int(edge / 8 * PX)
    pattern = re.compile(rb"(?<![\x00-\x7f])[\x00-\x7f]{%d,%d}(?![\x00-\x7f])" % (wide - 1, wide + 1))
    found = []
    for y in range(1, page.height - wide):
        for match in pattern.finditer(page.row(y)):
            x = match.start()
            middle = x + wide // 2
            inside = page.column(middle, y, y + cell - 1)
            if page.at(middle, y - 1) > 127 and max(inside) < 128:
                found.append((x + edge_of(page.row(y + cell // 2, x - 1, x + 1)),
                              y + edge_of(page.column(middle, y - 1, y + 1))))
    return found


def id_of(page, x, y, edge, codes):
    """The id whose bits are those of the square at that place; None: none."""
    numbers, bits = codes
    cell = edge / 8 * PX
    code = 0
    for bit_x, bit_y in bits:
        white = page.at(x + (bit_x + 0.5) * cell, y + (bit_y + 0.5) * cell) > 127
        code = code << 1 | white
    return numbers.index(code) if code in numbers else None


def copies(page, size, paper, codes):
    """(x, y of the card's corner in px, {tag: (x, y)}) of all copies on a page."""
    edge, first, corners, _, _ = CORNERS[size]
    by_copy = {}
    for x, y in squares(page, edge):
        number = id_of(page, x, y, edge, codes)
        if number is not None and number >= first:
            copy, tag = divmod(number - first, len(corners))
            check(tag not in by_copy.setdefault(copy, {}), f"{size} {copy} {tag} twice")
            by_copy[copy][tag] = (x, y)
    for copy, tags in sorted(by_copy.items()):
        equal(sorted(tags), list(range(len(corners))), f"{size} {paper} {copy}: tags")
        yield tags[0][0] - corners[0][0] * PX, tags[0][1] - corners[0][1] * PX, tags


def centre(greys):
    """The middle of the ink of a run of greys, in px from its beginning."""
    inks = [255 - grey for grey in greys]
    check(sum(inks) > 255, "there is a stroke")
    return sum(ink * (i + 0.5) for i, ink in enumerate(inks)) / sum(inks)


def stroke(page, x, y, along_x):
    """Where, along x or y, the stroke stands that is looked for at a place in px."""
    reach = int(0.24 * PX)
    at, other = (x, y) if along_x else (y, x)
    start, end = int(at) - reach, int(at) + reach + 1
    line = page.row(int(other), start, end) if along_x else page.column(int(other), start, end)
    return start + centre(line)


def test_every_pdf_is_valid_pdf_a_1b():
    tool("java")
    preflight = os.path.join(SOURCE, "tests", "tools", "preflight")
    status, text = output("sh", preflight, *(card(*which) for which in EVERY))
    if status == 77:
        raise Skip(text.strip())
    equal(status, 0, text)


def test_every_pdf_is_clean_to_qpdf():
    for which in EVERY:
        status, text = output(tool("qpdf"), "--check", card(*which))
        equal(status, 0, f"{which}: {text}")


def test_the_page_is_the_paper_asked_for():
    for size, paper in EVERY:
        _, text = output(tool("pdfinfo"), card(size, paper))
        wide, high = map(float, re.search(r"Page size: +([\d.]+) x ([\d.]+) pts", text).groups())
        wanted = {"a4": (210, 297), "letter": (215.9, 279.4)}[paper]
        check(abs(wide / 72 * 25.4 - wanted[0]) < 0.01 and abs(high / 72 * 25.4 - wanted[1]) < 0.01,
              f"{size} {paper}: {wide} x {high}")
        equal(re.search(r"Pages: +(\d+)", text).group(1), "1")


def test_nothing_has_a_colour():
    for which in EVERY:
        done = subprocess.run([tool("pdftoppm"), "-r", "150", "-singlefile", card(*which)],
                              capture_output=True, timeout=300, check=True)
        pixels = done.stdout[re.match(rb"P6\n\d+ \d+\n255\n", done.stdout).end():]
        check(pixels[0::3] == pixels[1::3] == pixels[2::3], which)
        check(min(pixels) == 0 and max(pixels) == 255, which)


def test_two_runs_give_the_same_bytes():
    with Folder() as folder:
        for size, paper in EVERY:
            again = os.path.join(folder.path, "again.pdf")
            equal(platewright("card", "--size", size, "--paper", paper, "-o", again).status, 0)
            with open(again, "rb") as one, open(card(size, paper), "rb") as other:
                check(one.read() == other.read(), f"{size} {paper}: the bytes differ")


def test_the_words_on_the_paper():
    for size, paper in EVERY:
        _, text = output(tool("pdftotext"), "-raw", card(size, paper), "-")
        words = re.sub(r"\s+", " ", text)
        n = CORNERS[size][3][paper]
        equal(words.count("measure me: 100 mm"), 2 * n if size == "a6" else 2, f"{size} {paper}")
        for wanted in ("at 100 %", "do not let the printer fit it to the page", "matt paper"):
            check(wanted in words, f"{size} {paper}: {wanted} is not in {words}")
        if size == "sheet":
            check("platewright lens FOLDER" in words, words)
            check("check-along" not in words, words)  # `lens` finds the stretch by itself
            continue
        for wanted in ("volume.yaml", "check-along", "check-across", f"design: {size}", "The greys are as your printer made them", "greys-lab", "neutral:",
                       "level with the surface you measure"):
            check(wanted in words, f"{size} {paper}: {wanted} is not in {words}")
        equal(words.count("light"), n + 2, f"{size} {paper}")
        for copy in range(n):
            check(f"card {size} {'abcdefgh'[copy]}" in words, f"{size} {paper}: {copy} in {words}")


def check_tags(page, size, left, top, tags):
    """How far the tags of one copy are from their places, px; their white is looked through."""
    edge, _, corners, _, _ = CORNERS[size]
    for tag, (x, y) in tags.items():
        check_white(page, x, y, edge, f"{size} {tag}")
        yield abs(x - left - corners[tag][0] * PX)
        yield abs(y - top - corners[tag][1] * PX)


def check_strokes(page, size, left, top):
    """How far the graduations of one copy are from their places, px."""
    for zero_x, zero_y, step_x, step_y, length in CORNERS[size][4]:
        for mm in range(length + 1):
            x, y = left + (zero_x + mm * step_x) * PX, top + (zero_y + mm * step_y) * PX
            yield abs(stroke(page, x, y, step_x != 0) - (x if step_x else y))


def check_white(page, x, y, edge, what):
    """All of the cell round a square, but for the pixels that its own edges share."""
    x, y, cell, wide = round(x), round(y), int(edge / 8 * PX) - 1, round(edge * PX)
    rows = [page.row(row, x - cell, x + wide + cell) for row in range(y - cell, y + wide + cell)]
    for number, row in enumerate(rows):
        inside = cell - 1 <= number <= cell + wide
        white = row[:cell - 1] + row[cell + wide + 1:] if inside else row
        check(min(white) == 255, f"{what}: not white in row {number - cell}")


def begins_of_check_lines(page, size, paper, found):
    """((x, y), whether across) of the beginning of each check line, px."""
    if size == "a6":
        for left, top, _ in found:
            yield (left + 24 * PX, top + 1.8 * PX), False
            yield (left + 144.75 * PX, top + 2.5 * PX), True
        return
    right = {"a4": 197, "letter": 202.9}[paper]
    yield ((right - 100) * PX, 11.9 * PX), False
    # the other runs down beside the cards: the one column right of them with ink of about 80 mm
    inks = {x: sum(grey < 128 for grey in page.column(x)) for x in range(int(194 * PX), page.width)}
    x = max(inks, key=inks.get)
    check(inks[x] > 70 * PX, f"{size} {paper}: {inks[x]} px of ink")
    column = page.column(x)
    yield (x + 0.5, next(y for y, grey in enumerate(column) if grey < 128 and y > 40 * PX)), True


def check_lines(page, size, paper, found):
    """The lengths of all check lines on a page, px."""
    n = 0
    for (x, y), across in begins_of_check_lines(page, size, paper, found):
        n += 1
        beside = 0.5 * PX  # from the line itself, where only the end strokes stand
        if across:
            yield stroke(page, x + beside, y + 100 * PX, False) - stroke(page, x + beside, y, False)
        else:
            yield stroke(page, x + 100 * PX, y - beside, True) - stroke(page, x, y - beside, True)
    equal(n, 2 * len(found) if size == "a6" else 2, f"{size} {paper}: check lines")


def test_tags_strokes_white_and_check_lines_are_where_the_design_says():
    codes = family()
    for size, paper in EVERY:
        page = Raster(card(size, paper))
        found = list(copies(page, size, paper, codes))
        equal(len(found), CORNERS[size][3][paper], f"{size} {paper}: copies")
        tags = max(off for copy in found for off in check_tags(page, size, *copy))
        strokes = max((off for copy in found for off in check_strokes(page, size, *copy[:2])), default=0)
        lines = max(abs(length - 100 * PX) for length in check_lines(page, size, paper, found))
        print(f"# {size} {paper}: {len(found)} copies, within px: tags {tags:.2f}, strokes {strokes:.2f}, "
              f"check lines {lines:.2f}")
        check(max(tags, strokes, lines) <= 1, f"{size} {paper}: more than a dot off")


def test_a_wrong_size_or_paper_is_told_the_choices():
    for arguments, wanted in ((("--size", "id2"), "id1, a6, strip or sheet"),
                              (("--size", "a6 b"), "id1, a6, strip or sheet"),
                              (("--paper", "a5"), "a4 or letter")):
        with Folder() as folder:
            result = platewright("card", *arguments, cwd=folder.path)
            equal(result.status, 2, result)
            check(wanted in result.err and arguments[1] in result.err, result)
            equal(os.listdir(folder.path), [])


def test_without_options_it_is_an_a6_card_on_a4_in_this_folder():
    with Folder() as folder:
        result = platewright("card", cwd=folder.path)
        equal(result.status, 0, result)
        equal(os.listdir(folder.path), ["card-a6.pdf"])
        check("card-a6.pdf" in result.err, result)
        with open(os.path.join(folder.path, "card-a6.pdf"), "rb") as one, open(card("a6", "a4"), "rb") as other:
            check(one.read() == other.read(), "the bytes differ")
        equal(platewright("card", cwd=folder.path).status, 0, "its own PDF gives way")


def test_nothing_but_a_pdf_gives_way():
    with Folder() as folder:
        folder.write("notes.txt", "of mine\n")
        folder.write("issued/proposal-1.pdf", "%PDF-1.4 what was issued\n")
        for name in ("notes.txt", "volume.yaml", "front.jpg", "issued/proposal-1.pdf"):
            result = platewright("card", "-o", name, cwd=folder.path)
            equal(result.status, 2, f"{name}: {result}")
        result = platewright("card", "-o", "proposal-1.pdf", cwd=os.path.join(folder.path, "issued"))
        equal(result.status, 2, result)
        equal(folder.read("notes.txt"), "of mine\n")
        equal(folder.read("issued/proposal-1.pdf"), "%PDF-1.4 what was issued\n")
        equal(sorted(os.listdir(folder.path)), ["issued", "notes.txt"])


run(globals())
