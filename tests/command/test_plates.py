"""plates: the PDF as validators and other readers see it, and what the public must not."""
import json
import os
import re
import shutil
import subprocess

from bench import (BUILD, SOURCE, Folder, Skip, check, demo, demo_truth, equal, measure_json, platewright, run,
                   tool)
from pages import pages_of
from pictures import pictures_of
from stress import VOLUMES

made = {}


def plates(*options):
    """The demo's plates with these options, made once; the path of the PDF."""
    if options not in made:
        path = os.path.join(BUILD, "demo-test" + "".join(options) + ".pdf")
        result = platewright("plates", demo(), "-o", path, *options)
        equal(result.status, 0, result)
        made[options] = path
    return made[options]


def output(*command):
    done = subprocess.run(command, capture_output=True, timeout=300, check=False)
    return done.returncode, (done.stdout + done.stderr).decode("utf-8", "replace")


def text_of(path):
    status, text = output(tool("pdftotext"), "-layout", path, "-")
    equal(status, 0, text)
    return text


def words_of(path):
    """All text, white space folded, so that a line break in a callout hides nothing."""
    status, text = output(tool("pdftotext"), "-raw", path, "-")
    equal(status, 0, text)
    return re.sub(r"\s+", " ", text)


EVERY_KIND = [(), ("--for", "owner"), ("--for", "public"), ("--contact",),
              ("--style", "plate-grey"), ("--difference",)]


def test_every_pdf_is_valid_pdf_a_1b():
    preflight = os.path.join(SOURCE, "tests", "tools", "preflight")
    tool("java")
    for options in EVERY_KIND:
        status, text = output("sh", preflight, plates(*options))
        if status == 77:
            raise Skip(text.strip())
        equal(status, 0, f"{options}: {text}")


def test_every_pdf_is_clean_to_qpdf():
    for options in EVERY_KIND:
        status, text = output(tool("qpdf"), "--check", plates(*options))
        equal(status, 0, f"{options}: {text}")


def test_pictures_are_jpeg_without_alpha():
    for options in EVERY_KIND:
        status, text = output(tool("pdfimages"), "-list", plates(*options))
        equal(status, 0, text)
        rows = [line.split() for line in text.splitlines()[2:]]
        check(len(rows) >= 10, f"{options}: {len(rows)} pictures")
        for row in rows:
            equal((row[2], row[8]), ("image", "jpeg"), options)
        status, qdf = output(tool("qpdf"), "--qdf", "--object-streams=disable", plates(*options), "-")
        for sign in ("/SMask", "/CA 0", "/ca 0", "/BM /Mult", "/S /Transparency"):
            check(sign not in qdf, f"{options}: {sign}")


def test_plates_are_read_in_order():
    """The structure as poppler reads it, and what only qpdf shows of it: every page's paint is either
    marked for an element or an artifact, and every figure is described."""
    for options in EVERY_KIND:
        status, text = output(tool("pdfinfo"), "-struct", plates(*options))
        equal(status, 0, text)
        check(re.match(r"Document\n +(Sect\n +)?H1 \(block\)\n", text), f"{options}: {text[:200]}")
        status, text = output(tool("qpdf"), "--json", plates(*options))
        objects = json.loads(text)["qpdf"][1]
        figures = [value for value in (o.get("value") for o in objects.values())
                   if isinstance(value, dict) and value.get("/S") == "/Figure"]
        check(len(figures) >= 10, f"{options}: {len(figures)} figures")
        for figure in figures:
            check(figure["/Alt"].startswith("u:") and len(figure["/Alt"]) > 20, figure)


def test_nothing_painted_is_neither_read_nor_ornament():
    status, qdf = output(tool("qpdf"), "--qdf", "--object-streams=disable", plates(), "-")
    pages = re.findall(r"%% Contents for page \d+\n.*?stream\n(.*?)\nendstream", qdf, re.S)
    equal(len(pages), int(re.search(r"Pages: +(\d+)", output(tool("pdfinfo"), plates())[1])[1]))
    for page in pages:
        outside = re.sub(r"(BDC|BMC)\n.*?EMC\n", "", re.sub(r"\((\\.|[^)\\])*\)", "()", page),
                         flags=re.S)
        found = re.search(r"(^| )(S|f|f\*|B|Do|Tj|TJ)$", outside, re.M)
        check(found is None, outside[:300])


def test_two_runs_give_the_same_bytes():
    with Folder() as folder:
        again = os.path.join(folder.path, "again.pdf")
        equal(platewright("plates", demo(), "-o", again).status, 0)
        with open(again, "rb") as one, open(plates(), "rb") as other:
            check(one.read() == other.read(), "the bytes differ")


def test_the_cache_may_be_deleted_and_nothing_changes():
    with Folder() as folder:
        copy = os.path.join(folder.path, "volume")
        shutil.copytree(demo(), copy, ignore=shutil.ignore_patterns(".platewright"))
        again = os.path.join(folder.path, "again.pdf")
        equal(platewright("plates", copy, "-o", again).status, 0)
        with open(again, "rb") as one, open(plates(), "rb") as other:
            check(one.read() == other.read(), "the bytes differ")


def test_every_callout_is_in_the_text():
    measured, _ = measure_json(demo())
    words = words_of(plates())
    for photo in measured["photos"]:
        for mark in photo["marks"]:
            # a term that names its part says it: "loose sewing", not "loose sewing, sewing"
            said = [] if f" {mark['term']}".endswith(f" {mark['part']}") else [mark["part"]]
            check(", ".join([mark["term"], *said]) in words, f"{photo['file']} {mark['id']}")


def test_the_picture_after_says_of_what_nothing_is_recorded():
    """Of the demo's opening two marks before treatment have none after it; those of all other plates have."""
    words = words_of(plates())
    for mark in ("4 foxing, leaf", "5 undecided, leaf"):
        check(f"{mark} nothing recorded after treatment" in words, mark)
    equal(words.count("nothing recorded after treatment"), 2)
    equal(words_of(plates("--for", "public")).count("nothing recorded after treatment"), 2, "public")


def test_a_plate_asks_for_no_care_of_what_it_shows_made_good():
    """The demo's joint is cracked before treatment and closed after it; its dust of red rot stands whatever was done."""
    joint, rot = "It runs on each time", "Red rot: "
    after = words_of(plates())
    check(joint not in after and rot in after, "beside the picture after")
    with Folder() as folder:
        path = os.path.join(folder.path, "condition.pdf")
        equal(platewright("report", demo(), "--kind", "condition", "-o", path).status, 0)
        check(joint in words_of(path), "before treatment")


def test_a_scale_got_in_one_way_is_said_once():
    """The cards of the demo's front boards leave 0.72 and 0.71 % unsure; all else of their scales is the same."""
    words = words_of(plates("--for", "owner"))
    front = [words[at.start():at.start() + 300] for at in re.finditer("scale from a printed reference card", words)]
    said = [one for one in front if "± 0.72 % / ± 0.71 %" in one]
    check(said, front)
    equal([one for one in front if one.startswith("scale from a printed reference card in the picture, ± 0.71 %")], [],
          "each says its own no more")


def run_from(page, first):
    """The words on the line of one from it on, as far as they stand close to each other."""
    line = [word for word in page.words if abs(word.top - first.top) < 1 and word.left >= first.left]
    for i, (word, next) in enumerate(zip(line, line[1:]), 1):
        if next.left - word.right > 12:
            return line[:i]
    return line


def test_what_is_said_of_a_scale_stands_under_the_middle_of_its_bar():
    page = pages_of(plates())[0]
    zero, end = next((one, other) for one in page.words for other in page.words
                     if (one.text, other.text) == ("0", "200") and abs(one.top - other.top) < 1)
    middle = (zero.left + zero.right + end.left + end.right) / 4  # figures stand on the ends of the bar
    lines = [run for run in (run_from(page, first) for first in page.words if first.top > zero.top)
             if [word.text for word in run[:2]] in (["1", ":"], ["true", "on"])]
    equal(len(lines), 2, page.lines())
    for line in lines:
        off = (line[0].left + line[-1].right) / 2 - middle
        check(abs(off) < 8, f"{line[0].text}: {off} points beside it")  # "mm" stands behind the last figure


def test_under_three_pictures_the_words_stand_alike():
    """Of the demo's corner only one stage is too long for its date beside it: it stands below in all three."""
    [page] = [page for page in pages_of(plates()) if any("three stages" in line for line in page.lines())]
    pairs = list(zip(page.words, page.words[1:]))
    foot = min(word.top for word in page.words if word.text == "Pixels:")  # it names the stages again
    stages = sorted((one.left, one.top) for one, _ in pairs if one.text in ("Before", "During", "After") and one.top < foot)
    days = sorted((one.left, one.top) for one, next in pairs if next.text in ("March", "April", "May"))
    equal((len(stages), len(days)), (3, 3), page.lines())
    for (left, top), (day, below) in zip(stages, days):
        check(abs(left - day) < 1 and below > top, f"{left} {top}, {day} {below}")


def test_a_size_is_not_cut_from_what_belongs_to_it():
    for options in ((), ("--for", "public"), ("--language", "de")):
        _, text = output(tool("pdftotext"), "-raw", plates(*options), "-")
        equal([line for line in text.splitlines()
               if re.search(r"[±−·(] ?$|^(mm|± \d|slight$|moderate$|strong$|leicht$|mittel$|stark$)", line)], [], options)


def test_every_plate_has_a_bookmark():
    status, text = output(tool("qpdf"), "--json", "--json-key=outlines", plates())
    equal(status, 0, text)
    titles = [outline["title"] for outline in json.loads(text)["outlines"]]
    check(any("Front board" in title for title in titles), titles)
    told = platewright("plates", demo(), "-o", plates()).err
    equal(len(titles), int(re.search(r"(\d+) plates", told).group(1)), told)


def everything_in(path):
    """Text, metadata and all uncompressed objects of a PDF."""
    _, qdf = output(tool("qpdf"), "--qdf", "--object-streams=disable", path, "-")
    _, info = output(tool("pdfinfo"), "-meta", path)
    return words_of(path) + qdf + info


def test_no_position_or_serial_in_any_pdf():
    words = demo_truth()["never_in_documents"]
    check(len(words) >= 2, words)
    photo = open(os.path.join(demo(), "before", "LF24_0412.jpg"), "rb").read()
    check(all(word.encode() in photo for word in words) and b"Exif" in photo,
          "the search finds them in a photograph")
    for options in EVERY_KIND:
        everything = everything_in(plates(*options))
        for word in words:
            check(word not in everything, f"{options}: {word}")
        # pictures lie in the file as they are, so their EXIF, and a position in it, would too
        check(b"Exif" not in open(plates(*options), "rb").read(), options)


def test_the_public_sees_no_private_word():
    words = demo_truth()["never_in_public"]
    check(len(words) >= 3, words)
    studio, public = everything_in(plates()), everything_in(plates("--for", "public"))
    check(any(word in studio for word in words), "the search finds them in the studio's")
    for word in words:
        check(word not in public, word)


def covered_share(studio, public):
    """Of the pixels that differ much, how many are the one flat colour in the public's picture."""
    different = [i for i in range(0, len(studio) - 2, 3)
                 if abs(studio[i] - public[i]) + abs(studio[i + 1] - public[i + 1]) > 30]
    if not different:
        return 0, 0
    colours = {}
    for i in different:
        colour = (public[i] >> 2, public[i + 1] >> 2, public[i + 2] >> 2)
        colours[colour] = colours.get(colour, 0) + 1
    return len(different), max(colours.values()) / len(different)


def private_photographs():
    """The photographs with a private outline that the public may see, by the truth."""
    for photo in demo_truth()["photos"]:
        if photo["view"] == "opening" and any(mark["private"] for mark in photo["marks"]):
            yield photo["file"]


def test_the_public_sees_no_private_pixel():
    files = list(private_photographs())
    check(files, "the demo has a name on an opening")
    for file in files:
        pictures = []
        with Folder() as folder:
            for whom in ("studio", "public"):
                path = os.path.join(folder.path, whom + ".pdf")
                equal(platewright("plates", os.path.join(demo(), file), "--for", whom, "-o",
                                  path).status, 0)
                pictures.append(next(pictures_of(path)))
        studio, public = pictures
        equal(studio[:2], public[:2], "the two are drawn at one size")
        n, share = covered_share(studio[2], public[2])
        print(f"# {file}: {n} px are covered, {share:.1%} of them in one colour")
        check(n > 500 and share > 0.9, f"{file}: {n} px differ, {share:.1%} in one colour")


def test_the_public_sees_no_file_names_or_checksums():
    measured, _ = measure_json(demo())
    words, studio = words_of(plates("--for", "public")), words_of(plates())
    check(any(os.path.basename(photo["file"]) in studio for photo in measured["photos"]),
          "the search finds them in the studio's")
    for photo in measured["photos"]:
        name = os.path.basename(photo["file"])
        check(name not in words, name)
        sidecar = open(os.path.join(demo(), photo["file"] + ".yaml"), encoding="utf-8").read()
        sha256 = re.search(r"sha256: (\w+)", sidecar).group(1)
        check(sha256[:12] not in words, name)


def test_the_public_sees_no_names_of_cards():
    words, studio = words_of(plates("--for", "public")), words_of(plates())
    check("card bench (a6 a)" in studio, "the search finds it in the studio's")
    check("a printed reference card" in words and "card bench" not in words and "(a6" not in words, words)


def test_without_consent_nothing_is_made():
    with Folder() as folder:
        copy = os.path.join(folder.path, "volume")
        shutil.copytree(demo(), copy, ignore=shutil.ignore_patterns(".platewright"))
        path = os.path.join(copy, "volume.yaml")
        text = open(path, encoding="utf-8").read()
        with open(path, "w", encoding="utf-8") as file:
            file.write(text.replace("to: show publicly, is: limited", "to: show publicly, is: asked"))
        target = os.path.join(folder.path, "public.pdf")
        result = platewright("plates", copy, "--for", "public", "-o", target)
        equal(result.status, 1, result)
        check("consent" in result.err, result)
        check(not os.path.exists(target), "nothing was made")


def test_a_photograph_or_a_text_is_never_written_over():
    with Folder() as folder:
        copy = os.path.join(folder.path, "volume")
        shutil.copytree(demo(), copy, ignore=shutil.ignore_patterns(".platewright"))
        photo = os.path.join(copy, "before", sorted(os.listdir(os.path.join(copy, "before")))[0])
        os.link(photo, os.path.join(folder.path, "twin.pdf"))
        for target in (photo, os.path.join(copy, "volume.yaml"), photo + ".yaml",
                       os.path.join(folder.path, "twin.pdf")):
            before = open(target, "rb").read()
            result = platewright("plates", copy, "-o", target)
            equal(result.status, 2, f"{target}: {result}")
            equal(open(target, "rb").read(), before, target)


def test_a_broken_record_makes_no_plates():
    with Folder() as folder:
        folder.photograph("a.png")
        folder.write("a.png.yaml", "format: platewright-photo 1\nphoto: {size: 600 x 400}\n"
                     "marks:\n  - {id: 1, term: loss, outline: \"1,1 90,90 90,1 1,90\"}\n")
        target = os.path.join(folder.path, "plates.pdf")
        result = platewright("plates", folder.path, "-o", target)
        equal(result.status, 1, result)
        check(re.search(r"a\.png\.yaml:4:\d+: error: ", result.err), result)
        check(not os.path.exists(target), "nothing was made")


def test_on_a_read_only_mount_every_command_reads_and_changes_nothing():
    with Folder() as folder:
        source, mount = os.path.join(folder.path, "source"), os.path.join(folder.path, "mount")
        os.mkdir(mount)
        os.makedirs(source)
        folder.photograph("source/before/a.png")
        platewright("intake", source)
        shutil.rmtree(os.path.join(source, ".platewright"))
        inside = (f"mount --bind {source} {mount} && mount -o remount,ro,bind {mount} && "
                  f"cd {folder.path} && for command in intake check measure; do "
                  f"'{BUILD}/src/cli/platewright' $command {mount} >/dev/null 2>&1; "
                  f"s=$?; [ $s -le 1 ] || exit 9; done; "
                  f"'{BUILD}/src/cli/platewright' plates {mount} -o out.pdf")
        if output("unshare", "-m", "true")[0] != 0:
            raise Skip("no mount namespace of our own here")
        status, text = output("unshare", "-m", "sh", "-c", inside)
        equal(status, 0, text)
        check(os.path.exists(os.path.join(folder.path, "out.pdf")), "plates were made")
        check(not os.path.exists(os.path.join(source, ".platewright")), "nothing was written")


CONSENT = ("consents:\n  - {on: 2026-03-09, by: owner, to: show publicly, is: given}\n")


def public_words(folder, *photographs, volume="", status=0):
    """The words of the public's plates of a folder of plain photographs: (name, sidecar) each."""
    folder.write("volume.yaml", "format: platewright-volume 1\nvolume: {id: T-1}\n" + volume + CONSENT)
    for name, text in photographs:
        folder.photograph(name)
        folder.write(name + ".yaml", "format: platewright-photo 1\n" + text)
    path = os.path.join(folder.path, "out.pdf")
    result = platewright("plates", folder.path, "-o", path, "--for", "public")
    equal(result.status, status, result)
    return everything_in(path) if status == 0 else result.err


LOOKED = "privacy-checked: 2026-03-05\n"


def test_the_public_never_reads_a_file_name_as_a_title():
    with Folder() as folder:
        words = public_words(folder, ("Quillfeather.png", "photo: {source: studio}\nstage: before\n" + LOOKED))
        check("Quillfeather" not in words, words[:400])


def test_a_photograph_left_out_takes_its_words_along():
    with Folder() as folder:
        words = public_words(
            folder,
            ("a.png", "photo: {source: studio}\nstage: before\nview: opening\nplace: Quillfeather\n"
                      "caption: \"Thistledown\"\n"),
            ("b.png", "photo: {source: studio}\nstage: after\nview: spine\n" + LOOKED),
            volume="plates:\n  - {title: Wrenhollow, before: a.png, after: b.png}\n"
                   "  - {before: a.png, after: b.png}\n")
        check("Spine" in words, words[:400])
        for word in ("Quillfeather", "Thistledown", "Wrenhollow"):
            check(word not in words, word)


def test_the_public_reads_which_plate_is_a_detail():
    with Folder() as folder:
        words = public_words(
            folder,
            ("a.png", "photo: {source: studio}\nstage: before\nview: spine\n" + LOOKED + "marks:\n"
                      "  - {id: 1, term: loss, part: leaf, outline: \"100,100 200,100 200,200\"}\n"),
            volume="plates:\n  - {before: a.png}\n  - {detail: \"a.png#1\"}\n")
        check("Spine, detail" in words, words[:400])


def test_points_of_a_picture_of_another_size_make_no_plate():
    with Folder() as folder:
        said = public_words(
            folder,
            ("a.png", "photo: {size: 1200 x 800}\nstage: before\nview: spine\n" + LOOKED + "marks:\n"
                      "  - {id: 1, term: inscription, part: leaf, private: yes, "
                      "outline: \"700,300 900,300 900,450\"}\n"), status=1)
        check("1200 x 800" in said and "600 x 400" in said, said)


def test_another_file_under_the_old_name_makes_no_plate():
    with Folder() as folder:
        said = public_words(
            folder, ("a.png", f"photo: {{sha256: {'ab' * 32}}}\nstage: before\nview: spine\n" + LOOKED),
            status=1)
        check("taken in" in said, said)


def test_a_folder_is_no_name_for_a_file():
    with Folder() as folder:
        folder.photograph("a.png")
        folder.write("a.png.yaml", "format: platewright-photo 1\nphoto: {source: studio}\n"
                                   "stage: before\nview: spine\n")
        before = sorted(os.listdir(folder.path))
        for name in (folder.path + "/", folder.path + "/new/", ""):
            result = platewright("plates", folder.path, "-o", name)
            equal(result.status, 3, result)
            check("names no file" in result.err, result)
        equal([name for name in sorted(os.listdir(folder.path)) if name != ".platewright"], before)


def test_without_room_for_a_document_in_the_making_nothing_is_made():
    with Folder() as folder:
        folder.photograph("a.png")
        folder.write("a.png.yaml", "format: platewright-photo 1\nphoto: {source: studio}\n"
                                   "stage: before\nview: spine\n")
        out, none = os.path.join(folder.path, "out.pdf"), os.path.join(folder.path, "none")
        result = platewright("plates", folder.path, "-o", out, env={"TMPDIR": none})
        equal(result.status, 3, result)
        check(f"cannot write into {none}" in result.err, result)
        equal(os.path.exists(out), False)
        os.mkdir(none)
        equal(platewright("plates", folder.path, "-o", out, env={"TMPDIR": none}).status, 0)
        equal(os.listdir(none), [], "left behind")


def test_only_a_pdf_gives_way_to_a_pdf():
    with Folder() as folder:
        folder.photograph("a.png")
        folder.write("a.png.yaml", "format: platewright-photo 1\nphoto: {source: studio}\n"
                                   "stage: before\nview: spine\n")
        folder.write("a.raw", "a negative")
        path = os.path.join(folder.path, "a.raw")
        equal(platewright("plates", folder.path, "-o", path).status, 2)
        equal(folder.read("a.raw"), "a negative")
        path = os.path.join(folder.path, "out.pdf")
        equal(platewright("plates", folder.path, "-o", path).status, 0)
        equal(platewright("plates", folder.path, "-o", path).status, 0)


def test_errors_beyond_those_that_are_kept_still_count():
    with Folder() as folder:
        many = "".join(f"  - {{id: {i}, term: tear, part: leaf, line: \"1,1 9,9\", count: 2}}\n"
                       for i in range(2000))
        folder.photograph("a.png")
        folder.write("a.png.yaml", "format: platewright-photo 1\nphoto: {source: studio}\n"
                                   "stage: before\nview: spine\nmarks:\n" + many +
                                   "  - {id: 1, term: tear, part: leaf, line: \"1,1 9,9\"}\n")
        equal(platewright("measure", folder.path).status, 1)


def test_a_plate_within_a_document_leaves_the_volume_s_number_to_its_foot():
    with Folder() as folder:
        VOLUMES["marks"](folder.path)
        alone, within = os.path.join(folder.path, "plates.pdf"), os.path.join(folder.path, "report.pdf")
        equal(platewright("plates", folder.path, "--language", "en", "-o", alone).status, 0)
        equal(platewright("report", folder.path, "--kind", "condition", "--language", "en", "-o", within).status, 0)
        plate = [page for page in pages_of(within) if any(word.text == "Pixels:" for word in page.words)][0]
        words = " ".join(word.text for word in plate.words)
        check("S-60 Sixty Marks" in words_of(alone), "alone it is told")
        check("S-60 Sixty Marks" not in words and "Sixty Marks" in words and "S-60 · Condition" in words, words)


def test_two_marks_of_a_page_are_no_row():
    with Folder() as folder:
        VOLUMES["marks"](folder.path)
        [name] = [name for name in os.listdir(os.path.join(folder.path, "before")) if name.endswith(".yaml")]
        path = os.path.join(folder.path, "before", name)
        with open(path, encoding="utf-8") as file:
            head = file.read().split("marks:\n")[0]
        long = " ".join(["worn"] * 150)
        folder.write(f"before/{name}", head + "marks:\n" + "".join(
            f"  - {{id: {id}, term: tear, part: leaf, point: \"{id}00,{id}00\", count: 1, note: \"{long}\"}}\n"
            for id in (1, 2, 3, 4)))
        made = os.path.join(folder.path, "out.pdf")
        equal(platewright("plates", folder.path, "--language", "en", "-o", made).status, 0)
        words = words_of(made)
    check("page 1 of 2: marks 1 and 2" in words, re.findall(r"page .{30}", words))


def test_a_plate_s_own_words_are_in_order():
    with Folder() as folder:
        VOLUMES["long"](folder.path)
        path = os.path.join(folder.path, "out.pdf")
        equal(platewright("plates", folder.path, "--for", "owner", "--language", "en", "-o", path).status, 0)
        pages = [[line.strip() for line in page.lines()] for page in pages_of(path)]
    lines = [line for page in pages for line in page]
    check(any(re.search(r"page \d+ of \d+: mark", line) for line in lines), lines)
    equal([line for line in lines if re.search(r"marks (\d+) to \1$", line)], [], "one mark is no row of marks")
    equal([line for line in lines if line.startswith("·") or line.endswith("·")], [], "a dot is between")
    moved = [page for page in pages if any("made good" in line or "closed" in line or "(\u2212" in line for line in page)]
    keyed = [page for page in pages if any("where it was before" in line for line in page)]
    check(keyed and len(keyed) < len(pages), "the key says what is on its page")
    equal(keyed, moved, "and on each")


run(globals())
