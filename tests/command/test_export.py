"""export: tables that read back as measure tells them, and bags that others than we verify."""
import csv
import decimal
import hashlib
import json
import os
import re
import shutil
import signal
import subprocess
import time

from bench import COMMAND, Folder, check, demo, demo_truth, equal, measure_json, platewright, run, tool

TABLES = ["hours.csv", "marks.csv", "photographs.csv", "pieces.csv"]
BAG_TEXTS = ["READ ME FIRST.txt", "bag-info.txt", "bagit.txt", "manifest-sha256.txt",
             "tagmanifest-sha256.txt"]


def copy_of_demo(folder):
    copy = os.path.join(folder.path, "volume")
    shutil.copytree(demo(), copy, ignore=shutil.ignore_patterns(".platewright"))
    return copy


def edit(path, *changes):
    with open(path, encoding="utf-8") as file:
        text = file.read()
    for old, new in changes:
        check(old in text, old)
        text = text.replace(old, new)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)


def read_bytes(*path):
    with open(os.path.join(*path), "rb") as file:
        return file.read()


def files_of(folder):
    """Every file, relative, sorted."""
    return sorted(os.path.relpath(os.path.join(root, name), folder)
                  for root, _, names in os.walk(folder) for name in names)


def table(folder, name):
    with open(os.path.join(folder, name), encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def exported(folder, form, *options, status=0, volume=None):
    out = os.path.join(folder.path, "out-" + form + "".join(options).replace("/", "-"))
    result = platewright("export", volume or demo(), "--to", form, "-o", out, *options)
    equal(result.status, status, result)
    return out, result


# ---- Tables ------------------------------------------------------------------------------

SIZES = {"area": ("area_mm2", "area_U_mm2"), "perimeter": ("perimeter_mm", "perimeter_U_mm"),
         "longest": ("longest_mm", "longest_U_mm"), "length": ("length_mm", "length_U_mm"),
         "share": ("share_percent", "share_U_percent")}
IN_JSON = {"area": "area_mm2", "perimeter": "perimeter_mm", "longest": "longest_mm",
           "length": "length_mm", "share": "share_percent"}


def compare_rounded(value, expanded, told):
    """Four figures of U and the value to the same digit: two more than JCGM 100:2008, 7.2.6 has for quoting."""
    if told["U"] == 0:
        equal([float(value), float(expanded)], [told["value"], 0])
        return
    figures = decimal.Decimal(expanded).as_tuple()
    equal(decimal.Decimal(value).as_tuple().exponent, figures.exponent, "the same digit")
    check(len(figures.digits) in (4, 5) if figures.exponent < 0 else len(figures.digits) >= 4, expanded)
    half = 0.5 * 10.0 ** figures.exponent * (1 + 1e-9)
    check(abs(float(value) - told["value"]) <= half and abs(float(expanded) - told["U"]) <= half, (value, expanded, told))


def test_the_sizes_of_the_tables_are_those_of_measure():
    measured, _ = measure_json(demo())
    with Folder() as folder:
        out, _ = exported(folder, "csv")
        equal(files_of(out), TABLES)
        rows = {(row["file"], row["id"]): row for row in table(out, "marks.csv")}
        n = 0
        for photo in measured["photos"]:
            for mark in photo["marks"]:
                row = rows.pop((photo["file"], mark["id"]))
                equal([row[key] for key in ("stage", "view", "term", "kind", "basis")],
                      [photo["stage"], photo["view"], mark["term"], mark["kind"], mark["basis"]])
                for size, (value, expanded) in SIZES.items():
                    told = mark.get(IN_JSON[size])
                    equal(row[value], "" if told is None else row[value])
                    if told is not None:
                        compare_rounded(row[value], row[expanded], told)
                        n += 1
        equal(rows, {}, "no row too many")
        check(n > 50, n)
        print(f"# {n} sizes compared")
        per_px = [row["mm_per_px"] for row in table(out, "photographs.csv") if row["mm_per_px"]]
        check(per_px and all(len(decimal.Decimal(text).as_tuple().digits) == 6 for text in per_px), per_px)
        numbers = {row["file"]: row["photograph"] for row in table(out, "photographs.csv")}
        equal(list(numbers.values()), [str(i + 1) for i in range(len(numbers))])
        check(all(numbers[row["file"]] == row["photograph"] for row in table(out, "marks.csv")), "numbers")


def test_pieces_and_hours_are_those_of_the_record():
    with Folder() as folder:
        out, _ = exported(folder, "csv")
        pieces = {row["id"]: row for row in table(out, "pieces.csv")}
        equal(sorted(pieces), ["P1", "P2", "P3", "P4", "P5", "P6"])
        equal([pieces["P3"][key] for key in ("kind", "what", "at", "kept", "outcome", "on", "file")],
              ["found inside", "pressed fern", "pp. 44-45", "envelope 1", "replaced in position",
               "2026-05-19", "during/LF12_0044.jpg"])
        hours = table(out, "hours.csv")
        # added up by hand from the demo's volume.yaml
        for row, total in (("estimated", 32.0), ("actual", 33.5)):
            equal(sum(float(line["hours"] or 0) for line in hours if line["row"] == row), total, row)
        equal([line["rate"] for line in hours if line["rate"]], ["68.00"] * 3)


SMALL = """format: platewright-volume 1
volume: {id: T-1}
studio: {name: Quillfeather}
pieces:
  - {id: P1, kind: part, what: flap, count: 3, found: "under the board", at: "f. 2", kept: tray 1}
  - {id: P2, kind: removed, what: tape, kept: none, outcome: discarded, because: "it pulled", agreed: 2026-03-09, on: 2026-03-11}
  - {id: P3, kind: found inside, what: slip, photo: b.png, outcome: housed, kept: box, on: 2026-03-10}
estimate: {currency: EUR, lines: [{what: mending, hours: 1.5, rate: 60}, {what: paper, cost: 12.40}]}
treatment: [{on: 2026-03-10, by: M. T., part: leaf, did: mended, hours: 2}]
consents:
  - {on: 2026-03-09, by: owner, to: show publicly, is: given}
  - {on: 2026-03-09, by: owner, to: treatment, is: given}
"""
SMALL_PHOTOS = {
    "a.png": "photo: {source: A. Reader}\nstage: before\nview: opening\nplace: f. 2\nlight: raking from left\n"
             "caption: As it came\nprivacy-checked: 2026-03-05\n"
             "scale:\n  span: {from: \"0,0\", to: \"400,0\", length: 100}\n  plane-offset: 0\n  camera-distance: 800\n"
             "marks:\n  - {id: 1, term: loss, part: leaf, outline: \"10,10 90,10 90,90\", severity: 2, basis: inferred, "
             "note: torn out}\n"
             "  - {id: 2, term: inscription, part: leaf, outline: \"200,200 300,200 300,300\", private: yes}\n"
             "  - {id: 3, term: foxing, part: leaf, point: \"50,300\", count: 7, "
             "note: seen by Quillfeather}\n",
    "b.png": "photo: {source: studio}\nstage: after\nstep: dry\nview: opening\nplace: f. 2\nshape: curved\n"
             "marks:\n  - {id: 1, term: loss, part: leaf, earlier: \"a.png#1\", gone: yes}\n"
             "  - {id: 2, term: inscription, part: leaf, outline: \"200,200 300,200 300,300\", "
             "earlier: \"a.png#2\"}\n",
}


def small(folder):
    volume = os.path.join(folder.path, "v")
    folder.write("v/volume.yaml", SMALL)
    for name, text in SMALL_PHOTOS.items():
        folder.photograph("v/" + name)
        folder.write(f"v/{name}.yaml", "format: platewright-photo 1\n" + text)
    return volume


def cells(rows, *columns):
    return [[row[column] for column in columns] for row in rows]


def test_every_cell_says_what_the_record_says():
    with Folder() as folder:
        out, _ = exported(folder, "csv", volume=small(folder))
        equal(cells(table(out, "marks.csv"), "photograph", "file", "stage", "view", "place", "id", "term", "part", "kind",
                    "basis", "severity", "count", "no_size_because", "same_as", "earlier", "gone", "private", "note"),
              [["1", "a.png", "before", "opening", "f. 2", "1", "loss", "leaf", "area", "inferred", "2", "", "", "", "",
                "no", "no", "torn out"],
               ["1", "a.png", "before", "opening", "f. 2", "2", "inscription", "leaf", "area", "observed", "", "", "", "",
                "", "no", "yes", ""],
               ["1", "a.png", "before", "opening", "f. 2", "3", "foxing", "leaf", "point", "observed", "", "7", "", "", "",
                "no", "no", "seen by Quillfeather"],
               ["2", "b.png", "after", "opening", "f. 2", "1", "loss", "leaf", "area", "observed", "", "", "", "",
                "a.png#1", "yes", "no", ""],
               ["2", "b.png", "after", "opening", "f. 2", "2", "inscription", "leaf", "area", "observed", "", "",
                "a curved surface: no sizes, only counts", "", "a.png#2", "no", "no", ""]])
        equal(cells(table(out, "pieces.csv"), "id", "kind", "what", "count", "found", "at", "kept", "outcome", "on", "open",
                    "because", "agreed", "photograph", "file"),
              [["P1", "part", "flap", "3", "under the board", "f. 2", "tray 1", "", "", "yes", "", "", "", ""],
               ["P3", "found inside", "slip", "1", "", "", "box", "housed", "2026-03-10", "no", "", "", "2", "b.png"],
               ["P2", "removed", "tape", "1", "", "", "none", "discarded", "2026-03-11", "no", "it pulled", "2026-03-09", "", ""]])
        equal(cells(table(out, "hours.csv"), "row", "on", "by", "part", "what", "hours", "rate", "cost", "currency"),
              [["estimated", "", "", "", "mending", "1.5", "60", "", "EUR"],
               ["estimated", "", "", "", "paper", "", "", "12.40", "EUR"],
               ["actual", "2026-03-10", "M. T.", "leaf", "mended", "2", "", "", ""]])
        equal(cells(table(out, "photographs.csv"), "photograph", "file", "stage", "step", "view", "place", "light", "caption",
                    "width_px", "height_px", "scale", "mm_per_px", "no_scale_because", "source", "privacy_checked"),
              [["1", "a.png", "before", "", "opening", "f. 2", "raking from left", "As it came", "600", "400", "span",
                "0.250000", "", "A. Reader", "2026-03-05"],
               ["2", "b.png", "after", "dry", "opening", "f. 2", "", "", "600", "400", "", "",
                "a curved surface: no sizes, only counts", "studio", ""]])


def test_and_of_these_the_public_only_those_that_it_may_know():
    with Folder() as folder:
        out, _ = exported(folder, "csv", "--for", "public", volume=small(folder))
        equal(cells(table(out, "marks.csv"), "photograph", "file", "id", "earlier", "private", "note"),
              [["1", "", "1", "", "", "torn out"], ["1", "", "2", "", "", ""]], "marks numbered afresh")
        equal(cells(table(out, "pieces.csv"), "id", "kept", "agreed", "photograph", "file"),
              [["P1", "", "", "", ""], ["P2", "", "", "", ""]])
        equal(cells(table(out, "photographs.csv"), "photograph", "file", "caption", "source", "privacy_checked", "sha256"),
              [["1", "", "As it came", "", "", ""]])


def test_what_the_camera_says_is_as_exiftool_reads_it():
    with Folder() as folder:
        out, _ = exported(folder, "csv")
        for row in table(out, "photographs.csv"):
            told = json.loads(subprocess.run(
                [tool("exiftool"), "-n", "-json", "-Make", "-Model", "-LensModel", "-FocalLength", "-FNumber",
                 "-ExposureTime", "-ISO", "-ImageWidth", "-ImageHeight", "-Orientation",
                 os.path.join(demo(), row["file"])], capture_output=True, check=True).stdout)[0]
            size = [told["ImageWidth"], told["ImageHeight"]]
            if told.get("Orientation", 1) > 4:  # a quarter turn
                size.reverse()
            equal([row["make"], row["model"], row["lens"]], [told["Make"], told["Model"], told.get("LensModel", "")],
                  row["file"])
            equal([int(row["width_px"]), int(row["height_px"])], size, row["file"])
            for column, key in (("focal_mm", "FocalLength"), ("f_number", "FNumber"), ("exposure_s", "ExposureTime"),
                                ("iso", "ISO")):
                check(abs(float(row[column]) - told[key]) < 1e-6 * told[key], f"{row['file']}: {column}")


def test_lines_end_as_the_rfc_has_it_and_formulas_do_not_run():
    with Folder() as folder:
        folder.write("v/volume.yaml", "format: platewright-volume 1\nvolume: {id: T-1}\npieces:\n"
                     '  - {id: P1, kind: part, what: "=1+1", found: "two, \\"three\\""}\n'
                     '  - {id: P2, kind: part, what: "-", found: "one\\ntwo"}\n')
        folder.photograph("v/a.png")
        folder.write("v/a.png.yaml", "format: platewright-photo 1\nphoto: {source: studio}\nstage: before\n")
        out, _ = exported(folder, "csv", volume=os.path.join(folder.path, "v"))
        text = read_bytes(out, "pieces.csv")
        check(text.endswith(b"\r\n") and text.count(b"\r\n") == 3, text)
        rows = table(out, "pieces.csv")
        equal([(row["what"], row["found"]) for row in rows],
              [("'=1+1", 'two, "three"'), ("'-", "one\ntwo")])


def everything(folder):
    return "".join(f"{name}\n" + read_bytes(folder, name).decode("utf-8", "replace")
                   for name in files_of(folder))


def test_the_public_s_tables_hold_nothing_private():
    truth = demo_truth()
    with Folder() as folder:
        studio, _ = exported(folder, "csv")
        public, _ = exported(folder, "csv", "--for", "public")
        equal(files_of(public), [name for name in TABLES if name != "hours.csv"])
        all_of_it, shown = everything(studio), everything(public)
        private = truth["never_in_public"]
        check(any(word in all_of_it for word in private), "the search finds them in the studio's")
        for word in private + truth["never_in_documents"]:
            check(word not in shown, word)
        for row in table(studio, "photographs.csv"):
            check(os.path.basename(row["file"]) not in shown and row["sha256"][:12] not in shown, row)
        rows = table(public, "marks.csv")
        check(rows and not any(row["private"] or row["file"] or row["earlier"] for row in rows), "cells")
        check(len(rows) < len(table(studio, "marks.csv")), "marks are kept back")
        equal([row["id"] for row in table(public, "pieces.csv") if row["id"] in ("P3", "P4")], [],
              "what lies on a photograph that is excepted")


def test_without_consent_there_are_no_tables_for_the_public():
    with Folder() as folder:
        copy = copy_of_demo(folder)
        edit(os.path.join(copy, "volume.yaml"),
             ("to: show publicly, is: limited", "to: show publicly, is: asked"))
        out, result = exported(folder, "csv", "--for", "public", status=1, volume=copy)
        check("consent" in result.err and not os.path.exists(out), result)


def test_nothing_that_is_there_is_replaced():
    with Folder() as folder:
        for form in ("csv", "bag"):
            out = os.path.join(folder.path, "there-" + form)
            os.mkdir(out)
            folder.write(f"there-{form}/mine.txt", "mine")
            result = platewright("export", demo(), "--to", form, "-o", out)
            equal(result.status, 2, result)
            check("is there already" in result.err, result)
            equal(files_of(out), ["mine.txt"])
        equal(sorted(os.listdir(folder.path)), ["there-bag", "there-csv"], "nothing is left beside")


# ---- The studio's bag --------------------------------------------------------------------

def test_the_studio_s_bag_is_the_folder_and_others_verify_it():
    sha256sum = tool("sha256sum")
    with Folder() as folder:
        bag, result = exported(folder, "bag")
        check("not for handing out" in result.err, result)
        packed = [name for name in files_of(demo()) if not name.startswith(".")]
        equal(files_of(os.path.join(bag, "data")), packed)
        for name in packed:
            check(read_bytes(demo(), name) == read_bytes(bag, "data", name), name)
        equal(sorted(name for name in os.listdir(bag) if name != "data"), sorted(BAG_TEXTS))
        for manifest in ("manifest-sha256.txt", "tagmanifest-sha256.txt"):
            done = subprocess.run([sha256sum, "-c", "--strict", manifest], cwd=bag, check=False,
                                  capture_output=True)
            equal(done.returncode, 0, done)
        lines = read_bytes(bag, "manifest-sha256.txt").decode().splitlines()
        paths = [line.split("  ", 1)[1] for line in lines]
        equal(paths, sorted(paths, key=str.encode))
        total = sum(os.path.getsize(os.path.join(demo(), name)) for name in packed)
        check(f"Payload-Oxum: {total}.{len(packed)}\n" in read_bytes(bag, "bag-info.txt").decode(), total)
        result = platewright("check", bag)
        equal(result.status, 0, result)
        check(".platewright" not in os.listdir(os.path.join(bag, "data")), "check writes nothing")


def test_the_same_record_is_the_same_bag():
    with Folder() as folder:
        one, _ = exported(folder, "bag")
        other = os.path.join(folder.path, "other")
        equal(platewright("export", demo(), "--to", "bag", "-o", other).status, 0)
        for name in BAG_TEXTS:
            equal(read_bytes(one, name), read_bytes(other, name), name)


def test_what_to_read_first_names_what_is_there():
    with Folder() as folder:
        for language, words in (("en", "NOT FOR HANDING OUT"), ("de", "NICHT ZUR WEITERGABE")):
            bag, _ = exported(folder, "bag", "--language", language)
            text = read_bytes(bag, "READ ME FIRST.txt").decode()
            for word in (words, "sha256sum -c manifest-sha256.txt", "data/volume.yaml", "PSR-1887-03",
                         "plane-offset"):
                check(word in text, f"{language}: {word}")
            check(max(map(len, text.splitlines())) <= 78, "lines are short")
            check("bag-" not in re.sub(r"bag-info.txt|--to bag", "", text), "every key has its words")


def test_odd_names_are_packed_and_verified():
    with Folder() as folder:
        volume = os.path.join(folder.path, "v")
        folder.write("v/volume.yaml", "format: platewright-volume 1\nvolume: {id: T-1}\n")
        names = ["100 % wool.txt", "two\nlines.txt", "caf\u00e9 " + "x" * 200, "d\u00e9p\u00f4t/~tilde",
                 " blank ", "issued/report.pdf"]
        for name in names:
            folder.write(os.path.join("v", name), name)
        folder.write("v/.hidden", "not packed")
        bag, result = exported(folder, "bag", volume=volume)
        check("1 file or folder was not packed" in result.err, result)
        equal(files_of(os.path.join(bag, "data")), sorted(names + ["volume.yaml"]))
        manifest = read_bytes(bag, "manifest-sha256.txt").decode()
        check("data/100 %25 wool.txt\n" in manifest and "data/two%0Alines.txt\n" in manifest, manifest)
        result = platewright("check", bag, "--json")
        equal((result.status, json.loads(result.out)["findings"]), (0, []))


def test_links_and_names_that_others_cannot_read_stand_in_the_way():
    with Folder() as folder:
        volume = os.path.join(folder.path, "v")
        folder.write("v/volume.yaml", "format: platewright-volume 1\nvolume: {id: T-1}\n")
        folder.write("v/back\\slash", "")
        os.symlink("/etc/passwd", os.path.join(volume, "notes.txt"))
        os.mkfifo(os.path.join(volume, "pipe"))
        bag, result = exported(folder, "bag", volume=volume, status=1)
        for word in ("back\\slash", "notes.txt", "pipe", "no bag was made"):
            check(word in result.err, f"{word}: {result}")
        equal(os.listdir(folder.path), ["v"], "nothing is left beside")


def test_a_broken_record_is_packed_and_told():
    with Folder() as folder:
        copy = copy_of_demo(folder)
        edit(os.path.join(copy, "volume.yaml"), ("received: 2026-03-02", "received: yesterday"))
        photo = os.path.join(copy, "before", "LF24_0412.jpg")
        with open(photo, "ab") as file:
            file.write(b"\0")
        bag, result = exported(folder, "bag", volume=copy, status=1)
        check("yesterday" in result.err and "LF24_0412.jpg: warning" in result.err, result)
        equal(platewright("check", bag).status, 0, "the bag itself is sound")


def test_a_bag_never_lies_in_the_volume():
    with Folder() as folder:
        copy = copy_of_demo(folder)
        os.symlink(copy, os.path.join(folder.path, "way-round"))
        for out in (os.path.join(copy, "bag"), os.path.join(folder.path, "way-round", "before", "bag")):
            result = platewright("export", copy, "--to", "bag", "-o", out)
            equal(result.status, 2, result)
            check("outside" in result.err and not os.path.exists(out), result)
        result = platewright("export", ".", "--to", "bag", cwd=copy)
        equal(result.status, 2, result)


def test_a_bag_that_is_broken_off_leaves_nothing():
    with Folder() as folder:
        folder.write("v/volume.yaml", "format: platewright-volume 1\nvolume: {id: T-1}\n")
        with open(os.path.join(folder.path, "v", "film.bin"), "wb") as file:
            file.truncate(3 << 30)  # sparse: it takes a while to read and little room
        out = os.path.join(folder.path, "out")
        process = subprocess.Popen([COMMAND, "export", os.path.join(folder.path, "v"), "--to", "bag", "-o", out],
                                   stderr=subprocess.PIPE, stdin=subprocess.DEVNULL)
        until = time.time() + 60
        while not any(name.startswith(".platewright-tmp-") for name in os.listdir(folder.path)):
            check(process.poll() is None and time.time() < until, "it has begun")
            time.sleep(0.01)
        process.send_signal(signal.SIGINT)
        said = process.communicate(timeout=120)[1].decode()
        check(process.returncode != 0 and "nothing was made" in said, said)
        equal(os.listdir(folder.path), ["v"])


def test_a_disk_without_room_is_told_beforehand():
    with Folder() as folder:
        folder.write("v/volume.yaml", "format: platewright-volume 1\nvolume: {id: T-1}\n")
        with open(os.path.join(folder.path, "v", "film.bin"), "wb") as file:
            file.truncate(1 << 43)  # 8 TiB, sparse
        _, result = exported(folder, "bag", volume=os.path.join(folder.path, "v"), status=3)
        check("are free on that disk" in result.err, result)
        equal(os.listdir(folder.path), ["v"])


# ---- The owner's bag ---------------------------------------------------------------------

def test_the_owner_s_bag_holds_no_position_serial_or_note():
    truth = demo_truth()
    with Folder() as folder:
        copy = copy_of_demo(folder)
        document, other = b"%PDF-the owner's", b"%PDF-the studio's"
        os.mkdir(os.path.join(copy, "issued"))
        for name, data in (("proposal-1.pdf", document), ("inner-1.pdf", other)):
            with open(os.path.join(copy, "issued", name), "wb") as file:
                file.write(data)
        entries = [("proposal", "owner", hashlib.sha256(document).hexdigest()),
                   ("condition", "studio", hashlib.sha256(other).hexdigest()),
                   ("treatment", "owner", "ab" * 32)]
        with open(os.path.join(copy, "volume.yaml"), "a", encoding="utf-8") as file:
            file.write("issued:\n" + "".join(
                f"  - {{document: {kind}, version: 1, on: 2026-03-08, to: {whom}, sha256: \"{sha256}\"}}\n"
                for kind, whom, sha256 in entries))
        bag, result = exported(folder, "bag", "--for", "owner", volume=copy, status=1)
        check(result.err.count("was not packed") == 1, result)
        packed = files_of(os.path.join(bag, "data"))
        equal([name for name in packed if not name.startswith("photographs/")],
              ["issued/proposal-1.pdf"] + ["tables/" + name for name in TABLES])
        equal([name[len("photographs/"):] for name in packed if name.startswith("photographs/")],
              [name for name in files_of(demo()) if name.endswith(".jpg") and not name.startswith(".")])
        whole = b"".join(read_bytes(bag, name) for name in files_of(bag))
        originals = b"".join(read_bytes(demo(), name) for name in files_of(demo()))
        for word in truth["never_in_documents"] + ["studio only", "Exif"]:
            check(word.encode() in originals, f"the search finds {word} in the record")
            check(word.encode() not in whole, word)
        equal(platewright("check", bag).status, 0)
        sizes = {photo["file"]: photo["size"] for photo in measure_json(copy)[0]["photos"]}
        for name, size in sizes.items():
            told = subprocess.run([tool("exiftool"), "-s3", "-ImageWidth", "-ImageHeight", "-ColorComponents",
                                   os.path.join(bag, "data", "photographs", name)], check=True,
                                  capture_output=True).stdout.split()
            equal([int(word) for word in told], [*size, 3], name)


def test_documents_behind_a_link_are_not_packed():
    with Folder() as folder:
        volume = small(folder)
        folder.write("elsewhere/proposal-1.pdf", "%PDF-")
        os.symlink("../elsewhere", os.path.join(volume, "issued"))
        with open(os.path.join(volume, "volume.yaml"), "a", encoding="utf-8") as file:
            file.write("issued:\n  - {document: proposal, version: 1, on: 2026-03-08, to: owner, "
                       f"sha256: \"{hashlib.sha256(b'%PDF-').hexdigest()}\"}}\n")
        bag, result = exported(folder, "bag", "--for", "owner", volume=volume, status=1)
        check("was not packed" in result.err, result)
        check(not any(name.startswith("data/issued/") for name in files_of(bag)), files_of(bag))


def tags_of(bag):
    lines = read_bytes(bag, "bag-info.txt").decode().replace("\n ", " ").splitlines()
    return dict(line.split(": ", 1) for line in lines)


def test_a_bag_says_whose_it_is_and_what_for():
    with Folder() as folder:
        volume = small(folder)
        edit(os.path.join(volume, "volume.yaml"), ("studio: {name: Quillfeather}", "studio: {name: Quillfeather, by: M. T.}"),
             ("volume: {id: T-1}", "volume: {id: T-1, title: Tides}"))
        folder.photograph("v/not-taken-in.png")
        said = {}
        os.mkdir(volume + "-bags")
        for whom in ("studio", "owner"):
            bag = os.path.join(volume + "-bags", whom)  # beside the volume, though the path begins as its does
            equal(platewright("export", volume, "--to", "bag", "--for", whom, "-o", bag).status, 0)
            tags = tags_of(bag)
            equal([tags[key] for key in ("Source-Organization", "Contact-Name", "External-Description",
                                         "External-Identifier")], ["Quillfeather", "M. T.", "Tides", "T-1"], whom)
            said[whom] = tags["Internal-Sender-Description"]
            text = read_bytes(bag, "READ ME FIRST.txt").decode()
            equal(["NOT FOR HANDING OUT" in text, "data/volume.yaml" in text, "tables/" in text],
                  [True, True, False] if whom == "studio" else [False, False, True], f"{whom}: {text}")
        check("not for handing out" in said["studio"].lower() and "not for" not in said["owner"].lower(), said)
        photographs = [name for name in files_of(os.path.join(volume + "-bags", "owner", "data")) if "photographs/" in name]
        equal(photographs, ["photographs/a.png.jpg", "photographs/b.png.jpg"], "JPEG, of what was taken in")


def test_there_is_no_bag_for_the_public():
    with Folder() as folder:
        out, result = exported(folder, "bag", "--for", "public", status=2)
        check("for the public there are" in result.err and not os.path.exists(out), result)


# ---- Verified ----------------------------------------------------------------------------

def test_findings_of_a_bag_are_those_of_check():
    with Folder() as folder:
        volume = os.path.join(folder.path, "v")
        folder.write("v/volume.yaml", "format: platewright-volume 1\nvolume: {id: T-1}\n")
        folder.write("v/a.txt", "a")
        bag, _ = exported(folder, "bag", volume=volume)
        with open(os.path.join(bag, "data", "a.txt"), "w", encoding="utf-8") as file:
            file.write("b")
        with open(os.path.join(bag, "manifest-sha256.txt"), "a", encoding="utf-8") as file:
            file.write("0" * 64 + "  data/../../v/a.txt\n")
        result = platewright("check", bag, "--json")
        equal(result.status, 1, result)
        found = [(f["file"], f["line"], f["kind"], f["severity"]) for f in json.loads(result.out)["findings"]]
        equal(found, [("data/a.txt", 0, "checksum", "error"),
                      ("manifest-sha256.txt", 0, "checksum", "error"),
                      ("manifest-sha256.txt", 3, "unsafe path", "error")])
        text = platewright("check", bag).out
        check(re.search(r"^manifest-sha256\.txt:3:67: error: .*\n  0+  data/\.\./\.\./v/a\.txt\n {68}\^$", text,
                        re.M), text)


def test_reading_a_record_in_a_bag_leaves_it_sound():
    with Folder() as folder:
        bag, _ = exported(folder, "bag")
        equal(platewright("measure", os.path.join(bag, "data"), timeout=300).status, 0)
        equal(platewright("check", bag).status, 0)


def test_wrong_use():
    for options in ((), ("--to",), ("--to", "zip"), ("--to", "csv", "--for", "press")):
        result = platewright("export", demo(), *options)
        equal(result.status, 2, result)
    result = platewright("export", os.path.join(demo(), "before", "LF24_0412.jpg"), "--to", "csv")
    equal(result.status, 2, result)


run(globals())
