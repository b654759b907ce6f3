"""labels: every word fits its label, and an independent reader finds the code of each."""
import os
import re
import subprocess

from bench import SOURCE, Folder, Skip, check, demo, equal, platewright, run, tool

HEAD = "format: platewright-volume 1\nvolume: {id: %s, title: \"A register\"}\n" \
       "owner: {name: \"%s\"}\npieces:\n"
# The sheet: two by seven of 99.1 x 38.1 mm in the middle of A4, 2.5 mm between the columns.
WIDTH, HEIGHT, LEFT, TOP, GAP = 99.1, 38.1, (210 - 2 * 99.1 - 2.5) / 2, (297 - 7 * 38.1) / 2, 2.5
MM_PER_PT = 25.4 / 72
LONG = "a very long word or two about what was found, where it lay and how it was taken out " * 4

ALL = ("--only", ",".join(f"P{i}" for i in range(1, 7)))  # of the demo, those that went back too


def piece(name, **more):
    words = {"kind": "part", "what": "spine leather", "found": "lifted to reach the sewing", "kept": "tray 2",
             **more}
    return "  - {id: \"%s\", %s}\n" % (name, ", ".join(
        f"{key}: \"{value}\"" if key not in ("kind", "count") else f"{key}: {value}"
        for key, value in words.items()))


def labels(folder, text=None, *options, status=0):
    """The PDF of a record of that volume.yaml, or of the demo."""
    volume = demo() if text is None else os.path.join(folder.path, "v")
    if text is not None:
        folder.write("v/volume.yaml", text)
    out = os.path.join(folder.path, "labels.pdf")
    result = platewright("labels", volume, "-o", out, *options)
    equal(result.status, status, result)
    return out, result


def codes(pdf, folder):
    """What zbar reads on each page at 300 dpi, sorted."""
    subprocess.run([tool("pdftoppm"), "-r", "300", "-gray", pdf, os.path.join(folder.path, "page")], check=True)
    pages = sorted(name for name in os.listdir(folder.path) if name.startswith("page"))
    found = []
    for name in pages:
        read = subprocess.run([tool("zbarimg"), "-q", "--raw", "-Sdisable", "-Sqrcode.enable",
                               os.path.join(folder.path, name)], capture_output=True, check=False)
        found.append(sorted(read.stdout.decode().splitlines()))
        os.remove(os.path.join(folder.path, name))
    return found


def words(pdf):
    """(page, x0, y0, x1, y1, word) in mm."""
    text = subprocess.run([tool("pdftotext"), "-bbox", pdf, "-"], capture_output=True, check=True).stdout.decode()
    page, found = 0, []
    for line in text.splitlines():
        page += "<page " in line
        match = re.search(r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*)</word>', line)
        if match:
            found.append((page, *(float(v) * MM_PER_PT for v in match.groups()[:4]), match[5]))
    return found


def place_of(x, y):
    """The label, from 1, in which a point of a page lies."""
    column = 0 if x < LEFT + WIDTH + GAP / 2 else 1
    return 1 + 2 * int((y - TOP) // HEIGHT) + column


def test_the_codes_of_the_demo_are_read():
    with Folder() as folder:
        pdf, result = labels(folder, None, *ALL)
        check("PDF/A-1b" in result.err and "print at 100 %" in result.err, result)
        equal(codes(pdf, folder), [[f"PSR-1887-03#P{i}" for i in range(1, 7)]])


def test_what_went_back_has_no_label_unless_it_is_named():
    """Of the demo's pieces a sample of the lining and the flakes are still kept apart."""
    with Folder() as folder:
        pdf, result = labels(folder)
        equal(codes(pdf, folder), [["PSR-1887-03#P5", "PSR-1887-03#P6"]])
        check("4 pieces left out" in result.err, result)


def test_long_ids_are_read_too_and_longer_ones_refused():
    with Folder() as folder:
        ids = [f"{i}-" + "piece " * 12 + "end" for i in range(20)]
        volume = "AN-ARCHIVE-WITH-A-LONG-NAME/1887".replace("/", ".") + "-\u00e9\u4e00-" + "x" * 60
        pdf, _ = labels(folder, HEAD % (f'"{volume}"', "M. Wrenhollow") + "".join(map(piece, ids)))
        equal(codes(pdf, folder), [sorted(f"{volume}#{name}" for name in ids[:14]),
                                   sorted(f"{volume}#{name}" for name in ids[14:])])
        # 601 bytes: a code of 93 modules, more than a label prints large enough
        _, result = labels(folder, HEAD % ("\u4e00" * 100, "M. Wrenhollow") + piece("\u4e00" * 100), status=1)
        check("too long for the code" in result.err, result)


def test_every_word_lies_within_its_label_and_none_upon_another():
    with Folder() as folder:
        text = HEAD % ('"' + "LONG-" * 20 + '"', "Maria Theresia Wrenhollow of Merrowsund") + "".join([
            piece("P1"), piece("P2", what=LONG, found=LONG, at=LONG, kept=LONG, count=12),
            piece("P" + "2" * 60, kind="found inside", what="Rindfleischetikettierungsgesetz" * 6),
            piece("P4", kind="removed", what="x", found="y"), piece("P5", what="two lines of what it is, which is "
                                                                   "more than one line can hold of it"),
            "  - {id: P6, kind: part, what: x}\n"])
        for language in ("en", "de"):
            pdf, _ = labels(folder, text, "--language", language)
            found = words(pdf)
            check({place_of(x0, y0) for _, x0, y0, *_ in found} == set(range(1, 7)), "six labels")
            for _, x0, y0, x1, y1, word in found:
                column, row = (place_of(x0, y0) - 1) % 2, (place_of(x0, y0) - 1) // 2
                left, top = LEFT + column * (WIDTH + GAP), TOP + row * HEIGHT
                check(left + 34 < x0 and x1 < left + WIDTH - 3 and top + 1.5 < y0 and y1 < top + HEIGHT - 1.5,
                      f"{word} at {x0:.1f},{y0:.1f} to {x1:.1f},{y1:.1f} in the label at {left:.1f},{top:.1f}")
            # boxes are as high as the type's ascent and descent: lines set close share a little
            for i, (_, ax0, ay0, ax1, ay1, a) in enumerate(found):
                for _, bx0, by0, bx1, by1, b in found[i + 1:]:
                    over = min(ay1, by1) - max(ay0, by0), min(ax1, bx1) - max(ax0, bx0)
                    check(over[1] <= 0.05 or over[0] <= 0.35 * min(ay1 - ay0, by1 - by0), f"{a} upon {b}: {over}")
            check(sum("\u2026" in word[-1] for word in found) >= 5, "what has no room ends in an ellipsis")


def test_what_stands_on_a_label():
    with Folder() as folder:
        pdf, _ = labels(folder, None, *ALL)
        text = " ".join(word for *_, word in words(pdf))
        for line in ("PSR-1887-03", "owner HOM", "pressed fern", "from pp. 44-45", "kept: envelope 1",
                     "found inside", "photographed 11 March 2026", "found on"):
            check(line in text, f"{line}: {text}")
        check("Merrowsund" not in text, "initials alone")
        pdf, _ = labels(folder, None, "--language", "de", *ALL)
        text = " ".join(word for *_, word in words(pdf))
        check("im Band gefunden" in text and "verwahrt: envelope 1" in text, text)


def test_all_that_a_piece_says_stands_on_its_label():
    with Folder() as folder:
        number = "P-" + "4" * 14  # smaller than others, and whole
        text = HEAD % ("T-1", "W") + piece(number, at="f. 12", count=3) + piece("P2")
        pdf, _ = labels(folder, text)
        text = " ".join(word for *_, word in words(pdf))
        for line in (number + " ", "from f. 12 \u00b7 lifted to reach the sewing", "kept: tray 2 \u00b7 3 pieces"):
            check(line in text, f"{line}: {text}")


def test_what_was_not_photographed_has_a_line_to_write_the_day_on():
    with Folder() as folder:
        pdf, _ = labels(folder, None, *ALL)
        plain = subprocess.run([tool("qpdf"), "--qdf", "--object-streams=disable", pdf, "-"], capture_output=True,
                               check=True).stdout.decode("latin-1")
        lines = re.findall(r"[\d.]+ ([\d.]+) m [\d.]+ \1 l S\b", plain)
        equal(len(lines), 4, "lines; of six pieces two were photographed")


def test_initials():
    names = {"Harbour Office of Merrowsund, the keeper": "HOM", "maria van der berg": "MVDB",
             "Anna-Lena \u00d6stergaard": "AL\u00d6", "A B C D E F": "ABCD", "Wrenhollow": "W",
             "Wrenhollow, Ann": "W"}
    for name, initials in names.items():
        with Folder() as folder:
            pdf, _ = labels(folder, HEAD % ("T-1", name) + piece("P1"))
            check(f"owner {initials} " in " ".join(word for *_, word in words(pdf)) + " ", f"{name}: {words(pdf)}")


def test_a_used_sheet_is_begun_where_it_is_left():
    with Folder() as folder:
        text = HEAD % ("T-1", "W") + "".join(piece(f"P{i}") for i in range(1, 5))
        pdf, result = labels(folder, text, "--start", "12")
        check("4 labels on 2 sheets" in result.err, result)
        where = {word: (page, place_of(x0, y0)) for page, x0, y0, _, _, word in words(pdf)
                 if re.fullmatch(r"P\d", word)}
        equal(where, {"P1": (1, 12), "P2": (1, 13), "P3": (1, 14), "P4": (2, 1)})
        pdf, result = labels(folder, text, "--only", "P3, P1")
        check("2 labels on 1 sheet" in result.err, result)
        where = {word: place_of(x0, y0) for _, x0, y0, _, _, word in words(pdf) if re.fullmatch(r"P\d", word)}
        equal(where, {"P3": 1, "P1": 2})


def test_what_is_not_kept_has_no_label():
    with Folder() as folder:
        text = HEAD % ("T-1", "W") + piece("P1") + piece("P2", kept="none")
        _, result = labels(folder, text)
        check("1 label on" in result.err and "1 piece left out" in result.err, result)
        _, result = labels(folder, text, "--only", "P2")
        check("1 label on" in result.err and "left out" not in result.err, result)


def test_wrong_use_and_an_empty_ledger_are_told():
    with Folder() as folder:
        _, result = labels(folder, "format: platewright-volume 1\nvolume: {id: T-1}\n", status=1)
        check("no pieces" in result.err and "`pieces:`" in result.err, result)
        text = HEAD % ("T-1", "W") + piece("P1")
        _, result = labels(folder, text, "--only", "P9", status=2)
        check('no piece "P9"' in result.err, result)
        for start in ("0", "15", "two", "-1"):
            labels(folder, text, "--start", start, status=2)
        check(not os.path.exists(os.path.join(folder.path, "labels.pdf")), "nothing was made")


def test_the_labels_are_pdf_a_and_the_same_twice():
    with Folder() as folder:
        pdf, _ = labels(folder)
        with open(pdf, "rb") as file:
            first = file.read()
        labels(folder)
        with open(pdf, "rb") as file:
            check(file.read() == first, "the same bytes")
        equal(subprocess.run([tool("qpdf"), "--check", pdf], capture_output=True, check=False).returncode, 0)
        preflight = os.path.join(SOURCE, "tests", "tools", "preflight")
        done = subprocess.run(["sh", preflight, pdf], capture_output=True, check=False)
        said = done.stdout.decode() + done.stderr.decode()
        if done.returncode == 77:
            raise Skip(said)
        equal(done.returncode, 0, said)


run(globals())
