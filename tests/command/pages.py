"""What may be wrong with the pages of a finished document: words outside the margins or upon another or too small to
read, a page all but empty, a heading last on one, a row of a table alone. Where words stand is what poppler reads;
which rows of tables stand on which page is what the file's own structure says."""
import base64
import html
import json
import re
import subprocess

from bench import tool

MM = 72 / 25.4
MARGIN = 13.9 * MM  # of plates, the narrowest of documents; pages of text have more
LABEL_MARGIN = 6 * MM  # of a sheet of labels, which are cut apart
LEAST = 6.5  # points, of any type; a box of poppler's is higher than the type by a fifth, at least
FEW = 4  # lines of text that a page holds at least, where there is another
LEAST_TEXT = 50 * MM  # from the first of them to the last
HIGH_ROW = 35 * MM  # from its first line to its last: it may stand alone at an end of its table
UNDER_HEADING = 2  # lines at least, where the section goes on


class Word:
    def __init__(self, found):
        self.left, self.top, self.right, self.bottom = map(float, found[:4])
        self.text = html.unescape(found[4])

    def is_upon(self, other):
        """Boxes are higher than what they hold, so that those of tight lines touch; letters lean."""
        height, others = self.bottom - self.top, other.bottom - other.top
        return (min(self.right, other.right) - max(self.left, other.left) > 1 and
                min(self.bottom - height / 4, other.bottom - others / 4) -
                max(self.top + height / 4, other.top + others / 4) > 0.2)


class Page:
    def __init__(self, text):
        self.width, self.height = map(float, re.match(r' width="([\d.]+)" height="([\d.]+)"', text).groups())
        self.words = [Word(found) for found in re.findall(
            r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*)</word>', text)]

    def extent(self):
        """From its first line to its last, the foot left out."""
        words = [word for word in self.words if word.bottom < self.height - 18 * MM]
        return max(word.bottom for word in words) - min(word.top for word in words) if words else 0

    def lines(self, below=0):
        """Its text line by line, each word once, the foot left out."""
        lines = {}
        for word in self.words:
            if below <= word.top and word.bottom < self.height - 18 * MM:
                lines.setdefault(round((word.top + word.bottom) / 4), []).append(word)
        return [" ".join(word.text for word in sorted(line, key=lambda word: word.left))
                for _, line in sorted(lines.items())]


def output(*command):
    done = subprocess.run(command, capture_output=True, timeout=120, check=True)
    return done.stdout.decode("utf-8", "replace")


def pages_of(path):
    return [Page(text) for text in output(tool("pdftotext"), "-bbox", path, "-").split("<page")[1:]]


# ---- Rows of tables ----------------------------------------------------------------------------------


def heights_of(content):
    """Of every mark of a page's content the first and the last baseline."""
    heights, mark, matrix = {}, None, [1, 0, 0, 1, 0, 0]
    for found in re.finditer(r"/MCID (\d+)\s*>>\s*BDC|\b(EMC)\b|((?:[-\d.]+\s+)+)(Tm|Td)\b",
                             re.sub(r"\((\\.|[^)\\])*\)", "()", content)):
        if found[1] or found[2]:
            mark = int(found[1]) if found[1] else None
            continue
        numbers = [float(number) for number in found[3].split()]
        if found[4] == "Tm":
            matrix = numbers[-6:]
        else:
            across, up = numbers[-2:]
            a, b, c, d, x, y = matrix
            matrix = [a, b, c, d, x + across * a + up * c, y + across * b + up * d]
        if mark is not None:
            heights.setdefault(mark, []).append(matrix[5])
    return {mark: (min(at), max(at)) for mark, at in heights.items()}


class Structure:
    """A file's pages and the elements that it is read by."""

    def __init__(self, path):
        text = json.loads(output(tool("qpdf"), "--json", "--json-key=qpdf", "--json-key=pages", "--json-key=outlines",
                                 "--json-stream-data=inline", "--decode-level=generalized", path))
        self.objects = text["qpdf"][1]
        self.outlines = text["outlines"]
        self.pages = [page["object"] for page in text["pages"]]
        self.contents = [[self.objects[f"obj:{part}"]["stream"]["data"] for part in page["contents"]]
                         for page in text["pages"]]

    def content(self, page):
        """The operators of a page, from 0."""
        return b"\n".join(base64.b64decode(part) for part in self.contents[page]).decode("latin-1")

    def headings(self):
        """Of every bookmark the page, from 1, how high above its foot it leads, and its words."""
        found, waiting = [], list(reversed(self.outlines))
        while waiting:
            one = waiting.pop()
            found.append((one["destpageposfrom1"], float(one["dest"][3]), one["title"]))
            waiting += reversed(one["kids"])
        return found

    def look_up(self, what):
        if isinstance(what, str) and re.fullmatch(r"\d+ \d+ R", what):
            return self.objects[f"obj:{what}"].get("value")
        return what

    def kids(self, element):
        kids = self.look_up(element.get("/K", []))
        return [self.look_up(kid) for kid in (kids if isinstance(kids, list) else [kids])]

    def elements(self, kind, element=None):
        """Those of a kind below an element, or in all, as they are read."""
        if element is None:
            element = self.look_up(self.look_up(self.objects["trailer"]["value"]["/Root"])["/StructTreeRoot"])
        for kid in self.kids(element):
            if isinstance(kid, dict) and kid.get("/S") == kind:
                yield kid
            elif isinstance(kid, dict) and "/S" in kid:
                yield from self.elements(kind, kid)

    def marks(self, element):
        """The page, from 0, and the number there of every mark of an element and of those below it."""
        for kid in self.kids(element):
            if isinstance(kid, int):
                yield self.pages.index(element["/Pg"]), kid
            elif "/S" in kid:
                yield from self.marks(kid)
            elif "/MCID" in kid:
                yield self.pages.index(kid["/Pg"]), kid["/MCID"]


def tables_of(structure):
    """Of every table its rows, heads left out: the page, from 0, and the height from first line to last."""
    heights, tables = [heights_of(structure.content(page)) for page in range(len(structure.pages))], []
    for table in structure.elements("/Table"):
        rows = []
        for row in structure.elements("/TR", table):
            marks = [mark for cell in structure.elements("/TD", row) for mark in structure.marks(cell)]
            lines = [line for page, mark in marks for line in heights[page].get(mark, ())]
            if lines:
                rows.append((marks[0][0], max(lines) - min(lines)))
        tables.append(rows)
    return tables


def lone_rows(structure):
    """Pages, from 1, on which one low row stands of a table that has more on another."""
    found = []
    for rows in tables_of(structure):
        for page in {page for page, _ in rows}:
            here = [height for other, height in rows if other == page]
            if len(here) == 1 < len(rows) and here[0] < HIGH_ROW:
                found.append(page + 1)
    return sorted(found)


# ---- What may be wrong ----------------------------------------------------------------------------


def outside(page, margin):
    return [word.text for word in page.words
            if word.left < margin or word.right > page.width - margin + 0.5 or
            word.top + (word.bottom - word.top) / 4 < margin or word.bottom > page.height - 5 * MM]


def overlapping(page):
    words = sorted(page.words, key=lambda word: word.top)
    found = []
    for i, word in enumerate(words):
        for other in words[i + 1:]:
            if other.top > word.bottom:
                break
            if word.is_upon(other):
                found.append(f"{word.text} / {other.text}")
    return found


def small(page):
    return [word.text for word in page.words if word.bottom - word.top < 1.2 * LEAST - 0.05]


def is_plate(page):
    return any(re.search(r"(Plate|Tafel) \d+( (of|von) \d+)?$", line) for line in page.lines()[:2])


def sparse(pages):
    """Pages of few lines before or after others; a plate has pages of its own."""
    text = [(number, page) for number, page in enumerate(pages, 1) if not is_plate(page)]
    return [number for number, page in text
            if len(text) > 1 and (len(page.lines()) < FEW or page.extent() < LEAST_TEXT)]


def leads_to(page, height, words):
    """Whether the first of the words stands a little below the height where a bookmark leads."""
    top = page.height - height
    return any(top - 5 <= word.top <= top + 12 * MM and words.startswith(word.text) for word in page.words)


def thin_headings(pages, headings):
    """Headings with a line or none under them whose section goes on; of those that lead elsewhere others complain."""
    found, begun = [], {(number, words.split()[0]) for number, _, words in headings}
    for number, height, words in headings:
        page, after = pages[number - 1], pages[number] if number < len(pages) else None
        if is_plate(page) or after is None or is_plate(after):
            continue
        under = [line for line in page.lines(page.height - height - 5) if line not in words]
        if len(under) < UNDER_HEADING and (number + 1, after.lines()[0].split()[0]) not in begun:
            found.append((number, words))
    return found


def unsigned_for(page):
    """Words that are signed for stand over the lines to sign on."""
    places = [word.top for word in page.words if word.text in ("Place", "Ort")]
    return places and not any(word.top < min(places) - 30 * MM for word in page.words)


def clinging(page):
    """What begins no line: a unit, a sign between figures, a raised dot behind what it follows."""
    figures = "0123456789"
    return [word for before, word, after in zip(page.words, page.words[1:], page.words[2:] + page.words[:1])
            if word.text.strip(",;.)") in ("%", "mm", "mm²", "·") or
            word.text == "±" and before.text[-1] in figures and after.text[0] in figures]


def torn_off(page):
    """Words of that kind with nothing just before them on their line."""
    return [word.text for word in clinging(page) if not any(
        abs(other.top + other.bottom - word.top - word.bottom) < 2 and 0 <= word.left - other.right < 8
        for other in page.words if other is not word)]


def begins_with_note(page, notes):
    """A page whose first words are a note on what stands on the page before."""
    first = " ".join(page.lines()[:2])
    return [note for note in notes if first.startswith(note)]


NOTES = ("An estimate: what the work", "Ein Voranschlag: Was sich", "Of 1 place marked", "Zu 1 vor der", "Source: ",
         "Quelle: ", "Local rules and the advice", "Örtliche Vorschriften und der Rat")


def complaints(path, margin=MARGIN):
    pages, structure, found = pages_of(path), Structure(path), []
    for number, page in enumerate(pages, 1):
        for what, words in (("outside", outside(page, margin)), ("overlapping", overlapping(page)), ("small", small(page)),
                            ("torn off", torn_off(page)), ("begins with", begins_with_note(page, NOTES))):
            if words:
                found.append(f"page {number}: {what}: {words[:6]}")
    if margin != LABEL_MARGIN:  # labels run on as they come
        found += [f"page {number}: sparse" for number in sparse(pages)]
        found += [f"page {number}: a row of a table alone" for number in lone_rows(structure)]
    found += [f"page {number}: lines to sign on alone" for number, page in enumerate(pages, 1) if unsigned_for(page)]
    headings = structure.headings()
    found += [f"page {number}: next to nothing under {words}" for number, words in thin_headings(pages, headings)]
    for number, height, words in headings:
        page = pages[number - 1]
        if is_plate(page):
            continue
        if words.endswith(page.lines()[-1]):
            found.append(f"page {number}: ends with its heading {words}")
        if not leads_to(page, height, words):
            found.append(f"page {number}: the bookmark leads {height} pt above the foot, not to {words}")
    return found
