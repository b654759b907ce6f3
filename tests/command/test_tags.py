"""Cards in the picture: from intake to sizes, in photographs whose cards and camera are known
(tests/tools/make-scene.c)."""
import glob
import hashlib
import json
import os
import re
import shutil
import subprocess

from bench import BUILD, Folder, check, equal, measure_json, platewright, run, tool

MAKE_SCENE = os.path.join(BUILD, "tests", "command", "make-scene")
WIDTH, HEIGHT = 1200, 800


def scene(folder, name, *cards, seed=1):
    """A photograph with those cards; the homography of each, from mm on it to px."""
    path = os.path.join(folder.path, name)
    os.makedirs(os.path.dirname(path), exist_ok=True)
    done = subprocess.run([MAKE_SCENE, path, str(WIDTH), str(HEIGHT), str(seed), *cards],
                          capture_output=True, text=True, check=True)
    return [[float(number) for number in line.split()] for line in done.stdout.splitlines()]


def to_px(h, x, y):
    w = h[6] * x + h[7] * y + 1
    return (h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w


def on_card(h, *mm):
    """Points in mm on a card as the text of an outline in px."""
    return " ".join("%.2f,%.2f" % to_px(h, x, y) for x, y in mm)


def square(h, x, y, edge):
    return on_card(h, (x, y), (x + edge, y), (x + edge, y + edge), (x, y + edge))


def mark(number, outline, more=""):
    return f'  - {{id: {number}, term: loss, part: board, outline: "{outline}"{more}}}\n'


VOLUME = """format: platewright-volume 1
volume: {id: TST-1}
plane-offset: 0
cards:
  bench: {design: id1 a, check-along: 100, check-across: 100, tolerance: 0.1}
  second: {design: a6 b, check-along: 100, check-across: 100, tolerance: 0.1}
"""


def test_a_card_beside_the_mark_gives_its_true_size():
    with Folder() as folder:
        h, = scene(folder, "before/one.jpg", "id1 a,0.3,500,400,20,40,15")
        folder.write("volume.yaml", VOLUME)
        equal(platewright("intake", folder.path).status, 0)
        text = folder.read("before/one.jpg.yaml")
        check("\nscale:\n  tags: bench\n" in text, text)
        folder.write("before/one.jpg.yaml", text + "marks:\n" + mark(1, square(h, 20, -40, 30)))
        measured, result = measure_json(folder.path)
        equal(result.status, 0, result)
        photo = measured["photos"][0]
        equal((photo["scale"]["method"], photo["scale"]["card"]), ("tags", "bench"))
        check("cards" not in photo and "card" not in photo["marks"][0], "one card needs no list")
        area = photo["marks"][0]["area_mm2"]
        check(abs(area["value"] - 900) < area["U"], area)
        check(abs(area["value"] / 900 - 1) < 0.01, area)
        check(abs(photo["scale"]["tilt_deg"] - 20) < 1, photo["scale"])


# ---- Intake -----------------------------------------------------------------------------

OLD_VOLUME = """format: platewright-volume 1
volume:
  id: TST-1   # the shelf mark
  # title: "..."
# whose it is
owner: {name: "A. Person"}   # never printed
"""


def test_cards_are_entered_in_a_volume_yaml_that_is_there_and_its_comments_stay():
    with Folder() as folder:
        scene(folder, "one.jpg", "id1 a,0.3,300,400,0,0,0", "a6 b,0.4,850,400,0,0,0")
        scene(folder, "two.jpg", "a6 b,0.4,600,400,10,0,0", seed=2)
        folder.write("volume.yaml", OLD_VOLUME)
        result = platewright("intake", folder.path)
        equal(result.status, 0, result)
        equal(folder.read("volume.yaml"), OLD_VOLUME +
              'cards:\n  bench: {design: "id1 a"}\n  second: {design: "a6 b"}\n')
        check("\n  tags: [bench, second]\n" in folder.read("one.jpg.yaml"), folder.read("one.jpg.yaml"))
        check("\n  tags: second\n" in folder.read("two.jpg.yaml"), folder.read("two.jpg.yaml"))
        for word in ("id1 a", "bench", "check lines", "0.5 %", "plane-offset: 0"):
            check(word in result.err, f"{word}: {result}")
        check("a card was found in each of them" in result.out, result)


def test_a_card_that_volume_yaml_knows_keeps_its_name():
    volume = OLD_VOLUME + "plane-offset: 0\ncards: {the blue one: {design: a6}}\n"
    with Folder() as folder:
        scene(folder, "one.jpg", "a6 b,0.4,600,400,0,0,0")
        folder.write("volume.yaml", volume)
        result = platewright("intake", folder.path)
        equal(folder.read("volume.yaml"), volume)
        check('\n  tags: the blue one\n' in folder.read("one.jpg.yaml"), folder.read("one.jpg.yaml"))
        check("note" not in result.err, result)
        scene(folder, "two.jpg", "a6 a,0.3,300,400,0,0,0", "a6 b,0.3,850,400,0,0,0", seed=2)
        platewright("intake", folder.path)
        check('bench: {design: "a6 b"}' in folder.read("volume.yaml"), folder.read("volume.yaml"))
        measured, _ = measure_json(folder.path)
        found = {card["name"]: card["design"] for card in measured["photos"][1]["cards"]}
        equal(found, {"the blue one": "a6 a", "bench": "a6 b"})


def test_a_new_volume_yaml_has_the_card_and_no_title_slips_into_it():
    with Folder() as folder:
        scene(folder, "one.jpg", "strip c,0.6,600,400,0,0,0")
        equal(platewright("intake", folder.path).status, 0)
        text = folder.read("volume.yaml")
        check('\ncards:\n  bench: {design: "strip c"}\n' in text, text)
        folder.write("volume.yaml", text.replace("  # title:", "  title:")
                     .replace("# plane-offset: 0", "plane-offset: 0"))
        measured, result = measure_json(folder.path)
        equal(result.status, 0, result)
        check(measured["photos"][0]["scale"], measured)


def test_photographs_without_a_card_are_named():
    with Folder() as folder:
        scene(folder, "one.jpg")
        scene(folder, "two.jpg", "id1 a,0.3,500,400,0,0,0", seed=2)
        folder.photograph("three.png")
        folder.photograph("tiny.png", 3, 2)
        result = platewright("intake", folder.path)
        equal(result.status, 0, result)
        check("found in 1 of them, and none in one.jpg, three.png, tiny.png" in result.out, result)
        check("tiny.png" not in result.err, "too small for a card is no fault")
        check("\nscale:" not in folder.read("one.jpg.yaml"), "no scale is made up")
        check("\n# scale:" in folder.read("one.jpg.yaml"), "how to give one is told")


def test_the_sheet_for_a_lens_is_no_scale():
    with Folder() as folder:
        scene(folder, "one.jpg", "sheet a,0.45,600,400,0,0,0")
        result = platewright("intake", folder.path)
        check("no card was found" in result.out, result)
        check("\nscale:" not in folder.read("one.jpg.yaml"), "no scale")
        check("\ncards:" not in folder.read("volume.yaml"), "no card")


def test_mirrored_tags_are_told_and_are_no_scale():
    with Folder() as folder:
        scene(folder, "one.jpg", "id1 a,0.3,500,400,10,0,0,mirrored")
        result = platewright("intake", folder.path)
        check("one.jpg: warning: card id1 a: 4 of its tags are mirrored" in result.err, result)
        check("\nscale:" not in folder.read("one.jpg.yaml"), "no scale")


def test_a_photograph_whose_card_cannot_be_entered_waits():
    with Folder() as folder:
        scene(folder, "one.jpg", "id1 a,0.3,500,400,10,0,0")
        folder.photograph("two.png")
        folder.write("volume.yaml", "format: platewright-volume 1\nvolume: {id: [}\n")
        result = platewright("intake", folder.path)
        equal(result.status, 1, result)
        check("one.jpg: error" in result.err, result)
        check(not os.path.exists(f"{folder.path}/one.jpg.yaml"), "it waits")
        check(os.path.exists(f"{folder.path}/two.png.yaml"), "the others do not")
        folder.write("volume.yaml", OLD_VOLUME)
        equal(platewright("intake", folder.path).status, 0)
        check("tags: bench" in folder.read("one.jpg.yaml"), "now it has its card")


# ---- What is trusted --------------------------------------------------------------------

def taken_in(folder, *cards, volume=VOLUME, more=""):
    """One photograph, taken in; the homographies of its cards."""
    found = scene(folder, "before/one.jpg", *cards)
    folder.write("volume.yaml", volume)
    platewright("intake", folder.path)
    folder.write("before/one.jpg.yaml", folder.read("before/one.jpg.yaml") + more)
    return found


def test_another_picture_under_the_name_gives_no_size():
    with Folder() as folder:
        taken_in(folder, "id1 a,0.3,500,400,10,0,0")
        scene(folder, "before/one.jpg", "id1 a,0.4,500,400,10,0,0")
        measured, _ = measure_json(folder.path)
        equal(measured["photos"][0]["scale"], None)
        check("not the file that was taken in" in measured["photos"][0]["why"], measured)


def entry_digest(path, data):
    kind, name = path.split("/")[-2:]
    return hashlib.sha256(f"{kind} {name} {hashlib.sha256(data).hexdigest()}".encode()).hexdigest()


def test_an_entry_of_the_cache_under_another_name_is_passed_over():
    with Folder() as folder:
        h, = taken_in(folder, "id1 a,0.3,500,400,10,0,0")
        scene(folder, "before/two.jpg", "id1 a,0.2,700,450,0,0,0", seed=2)
        equal(platewright("intake", folder.path).status, 0)
        first = platewright("measure", folder.path, "--json").out
        for kind in ("cards", "sha256"):
            one, two = sorted(glob.glob(f"{folder.path}/.platewright/{kind}/*"))
            a, b = open(one, "rb").read(), open(two, "rb").read()
            check(a != b, kind)
            for path, data in ((one, b), (two, a)):
                with open(path, "wb") as file:
                    file.write(data)
            equal(platewright("measure", folder.path, "--json").out, first, kind)


def test_nothing_is_written_through_a_link_inside_the_cache():
    with Folder() as folder, Folder() as elsewhere:
        taken_in(folder, "id1 a,0.3,500,400,10,0,0")
        first = platewright("measure", folder.path, "--json").out
        for kind in ("cards", "sha256"):
            shutil.rmtree(f"{folder.path}/.platewright/{kind}")
            os.symlink(elsewhere.path, f"{folder.path}/.platewright/{kind}")
        equal(platewright("measure", folder.path, "--json").out, first)
        equal(os.listdir(elsewhere.path), [])


def test_without_the_cache_and_with_a_wrong_one_the_bytes_are_the_same():
    with Folder() as folder:
        h, = taken_in(folder, "id1 a,0.3,500,400,10,0,0")
        folder.write("before/one.jpg.yaml", folder.read("before/one.jpg.yaml") + "marks:\n" +
                     mark(1, square(h, 20, -40, 30)))
        first = platewright("measure", folder.path, "--json").out
        check('"method": "tags"' in first, first)
        entry, = glob.glob(f"{folder.path}/.platewright/cards/*")
        good = open(entry, "rb").read()
        content = good[64:].decode()
        lines = content.splitlines()

        def other(text):
            data = text.encode()
            return entry_digest(entry, data).encode() + data

        shifted = lines[1].rsplit(" ", 1)[0] + " 90000"
        for what, bad in (("cut", good[:100]), ("garbage", b"x" * 900), ("empty", other("")),
                          ("one tag", other("\n".join(["corners 4"] + lines[1:5]))),
                          ("a corner short", other("\n".join(lines[:-1]) + "\n")),
                          ("outside", other("\n".join(lines[:1] + [shifted] + lines[2:]))),
                          ("a corner twice", other(content.replace("corners 16", "corners 17") +
                                                   lines[1] + "\n")),
                          ("no such tag", other(content.replace("\n4", "\n94", 1))),
                          ("no such corner", other(content.replace(" 0 ", " 7 ", 1)))):
            with open(entry, "wb") as file:
                file.write(bad)
            equal(platewright("measure", folder.path, "--json").out, first, what)
        shutil.rmtree(f"{folder.path}/.platewright")
        equal(platewright("measure", folder.path, "--json").out, first, "deleted")


def test_two_tags_of_which_corners_were_left_out_are_a_card():
    with Folder() as folder:
        taken_in(folder, "id1 a,0.3,500,400,10,0,0")
        platewright("measure", folder.path)
        entry, = glob.glob(f"{folder.path}/.platewright/cards/*")
        content = open(entry, "rb").read()[64:].decode().splitlines()
        for corners, tags in ((content[1:4] + content[5:8], "2 tags"),  # the finder leaves out a quarter
                              (content[1:5] + content[5:6], "2 tags"),
                              (content[1:4] + content[5:6], "4 tags"),  # no entry: sought again
                              (content[1:5], "4 tags")):
            data = "\n".join([f"corners {len(corners)}"] + corners + [""]).encode()
            with open(entry, "wb") as file:
                file.write(entry_digest(entry, data).encode() + data)
            result = platewright("measure", folder.path)
            check(f"(id1 a), {tags}" in result.out, result)


def test_only_pictures_that_hold_their_scale_are_looked_at():
    with Folder() as folder:
        scene(folder, "one.jpg", "id1 a,0.3,500,400,10,0,0")
        scene(folder, "two.jpg", "id1 a,0.3,500,400,10,0,0")
        folder.write("volume.yaml", VOLUME)
        folder.write("one.jpg.yaml", "format: platewright-photo 1\nscale:\n"
                     '  span: {from: "10,10", to: "300,10", length: 90}\n')
        folder.write("two.jpg.yaml", "format: platewright-photo 1\nshape: curved\n"
                     "scale: {tags: bench}\n")
        measured, _ = measure_json(folder.path)
        check(measured["photos"][0]["scale"], measured)
        check("curved" in measured["photos"][1]["why"], measured)
        check(not os.path.exists(f"{folder.path}/.platewright/cards"), "nothing was sought")


# ---- Names and designs ------------------------------------------------------------------

def scales(folder, text, volume=VOLUME):
    """Complaints and the photograph when its sidecar's scale is `text`."""
    folder.write("before/one.jpg.yaml", "format: platewright-photo 1\nstage: before\n" + text)
    folder.write("volume.yaml", volume)
    measured, result = measure_json(folder.path)
    return result.err, measured["photos"][0]


def test_names_that_mean_nothing_are_told():
    with Folder() as folder:
        scene(folder, "before/one.jpg", "id1 a,0.3,500,400,10,0,0")
        err, photo = scales(folder, "scale: {tags: benhc}\n")
        check('no card "benhc"; did you mean "bench"?' in err and "one.jpg.yaml:3" in err, err)
        check("no card benhc" in photo["why"], photo)
        err, photo = scales(folder, "scale: {tags: bench}\nmarks:\n" +
                            mark(1, "10,10 60,10 60,60", ", card: second"))
        check('"second" is not among the cards' in err, err)
        check("why" in photo["marks"][0] and "area_mm2" not in photo["marks"][0], photo)
        err, photo = scales(folder, "scale: {tags: bench}\n", VOLUME.replace("id1 a", "id2"))
        check("volume.yaml:5" in err and "id1, a6, strip, sheet" in err, err)
        equal(photo["scale"], None)
        err, photo = scales(folder, "scale: {tags: bench}\n", VOLUME.replace("design: id1 a, ", ""))
        check("does not say which design card bench is" in photo["why"], photo)


def test_a_card_that_is_not_in_the_picture_is_told_with_what_is():
    with Folder() as folder:
        scene(folder, "before/one.jpg", "id1 a,0.3,500,400,10,0,0")
        err, photo = scales(folder, "scale: {tags: second}\n")
        equal(photo["why"], "card second (a6 b) is not in the picture; id1 a is")
        check("warning: card second (a6 b) is not in the picture" in err, err)
        scene(folder, "before/one.jpg", "id1 a,0.3,500,400,10,0,0,mirrored")
        err, photo = scales(folder, "scale: {tags: bench}\n")
        check("card bench (id1 a) is not in the picture; card id1 a: 4 of its tags are mirrored" in
              photo["why"], photo)


def test_cards_that_cannot_be_told_apart_give_no_size():
    with Folder() as folder:
        scene(folder, "before/one.jpg", "a6 a,0.3,300,400,0,0,0", "a6 b,0.3,850,400,0,0,0")
        _, photo = scales(folder, "scale: {tags: second}\n", VOLUME.replace("a6 b", "a6"))
        check("2 cards of size a6 are in the picture" in photo["why"], photo)
        _, photo = scales(folder, "scale: {tags: [bench, second]}\n",
                          VOLUME.replace("a6 b", "a6").replace("id1 a", "a6"))
        check("cannot be told apart" in photo["why"], photo)
        _, photo = scales(folder, "scale: {tags: [bench, second]}\n",
                          VOLUME.replace("id1 a", "a6"))
        equal([card["design"] for card in photo["cards"]], ["a6 a", "a6 b"])


def test_a_card_that_is_named_twice_is_told_so():
    with Folder() as folder:
        scene(folder, "before/one.jpg", "id1 a,0.3,500,400,10,0,0")
        _, photo = scales(folder, "scale: {tags: [bench, bench]}\n")
        equal(photo["why"], "card bench is named twice; name it once under `tags`")


# ---- Several cards ----------------------------------------------------------------------

TWO = ("id1 a,0.25,250,400,0,0,0", "a6 b,0.3,900,400,0,0,0")


def two_cards(folder, marks="", volume=VOLUME):
    scene(folder, "before/one.jpg", *TWO)
    return scales(folder, "view: front board\nscale: {tags: [bench, second]}\n" + marks, volume)


def test_a_mark_is_measured_by_the_nearest_card_unless_told():
    edge = 30
    with Folder() as folder:
        near_one, near_two = scene(folder, "before/one.jpg", *TWO)
        outlines = square(near_one, 20, 60, edge), square(near_two, 20, 110, edge)
        marks = ("marks:\n" + mark(1, outlines[0]) + mark(2, outlines[1]) +
                 mark(3, outlines[0], ", card: second") +
                 mark(4, outlines[0], ", card: second, plane-offset: 5"))
        err, photo = two_cards(folder, marks)
        equal(err, "")
        one, two, told, level = photo["marks"]
        equal([m["card"] for m in photo["marks"]], ["bench", "second", "second", "second"])
        for m in (one, two):
            check(abs(m["area_mm2"]["value"] / edge ** 2 - 1) < 0.01, m)
        coarser = (near_one[0] / near_two[0]) ** 2
        check(abs(told["area_mm2"]["value"] / (edge ** 2 * coarser) - 1) < 0.01, told)
        check(level["area_mm2"]["value"] < told["area_mm2"]["value"] * 0.99, level)
        equal([card["name"] for card in photo["cards"]], ["bench", "second"])
        equal(photo["scale"], photo["cards"][0]["scale"])
        table = platewright("measure", folder.path).out
        check("scale from card bench (id1 a), 4 tags: " in table, table)
        check("by card second" in table, table)


def take_exif_out(path):
    """Cuts out the first Exif segment (APP1, its length after the marker) of a JPEG file."""
    with open(path, "rb") as file:
        data = file.read()
    at = data.index(b"\xff\xe1")
    length = int.from_bytes(data[at + 2:at + 4], "big")
    with open(path, "wb") as file:
        file.write(data[:at] + data[at + 2 + length:])


def test_two_cards_and_a_camera_that_tells_nothing_are_told_quietly():
    with Folder() as folder:
        two_cards(folder)
        take_exif_out(os.path.join(folder.path, "before/one.jpg"))
        result = platewright("measure", folder.path)
        equal((result.status, result.err), (0, ""))
        check("scale from card second" in result.out, result.out)
        check("the camera than" not in result.out, result.out)


def test_a_plane_offset_that_is_not_understood_gives_no_size_and_no_other_is_taken():
    for scale, more in (("plane-offset: 40 mm", ""), ("plane-offset: 0", ", plane-offset: 40 mm")):
        with Folder() as folder:
            (h,) = scene(folder, "before/one.jpg", *TWO[:1])
            err, photo = scales(folder, "scale: {tags: bench, %s}\nmarks:\n%s" %
                                (scale, mark(1, square(h, 20, 60, 30), more)))
            check('"40 mm" for "plane-offset" is no number' in err, err)
            check("area_mm2" not in photo["marks"][0], photo)


def test_names_that_are_swapped_swap_the_planes():
    with Folder() as folder:
        near_one, _ = scene(folder, "before/one.jpg", *TWO)
        marks = "marks:\n" + mark(1, square(near_one, 20, 60, 30))
        _, right = two_cards(folder, marks)
        swapped = VOLUME.replace("id1 a", "x").replace("a6 b", "id1 a").replace("x", "a6 b")
        _, photo = two_cards(folder, marks, swapped)
        equal(photo["marks"][0]["card"], "second")
        equal(photo["marks"][0]["area_mm2"]["value"], right["marks"][0]["area_mm2"]["value"])
        equal(photo["scale"]["card"], "bench")
        equal(photo["scale"]["mm_per_px"], right["cards"][1]["scale"]["mm_per_px"])


def test_marks_of_different_planes_are_not_united():
    with Folder() as folder:
        near_one, _ = scene(folder, "before/one.jpg", *TWO)
        outline = square(near_one, 20, 60, 30)
        volume = VOLUME.replace("tolerance: 0.1}\n  second", "tolerance: 0.1, plane-offset: 7}\n  second")
        for more, united in (("", True), (", card: second", False)):
            two_cards(folder, "marks:\n" + mark(1, outline) + mark(2, outline, more))
            measured, _ = measure_json(folder.path)
            sizes = [m["area_mm2"]["value"] for m in measured["photos"][0]["marks"]]
            total = measured["totals"][0]["area_mm2"]["value"]
            check(abs(total - (sizes[0] if united else sum(sizes))) < 1e-6 * total, (more, total, sizes))
        _, photo = two_cards(folder, "", volume.replace("plane-offset: 0\n", "plane-offset: 1\n"))
        equal([card["scale"]["plane_offset_mm"] for card in photo["cards"]], [7, 1])


def test_how_much_nearer_the_second_card_lies():
    with Folder() as folder:
        (a, *_), (b, *_) = scene(folder, "before/one.jpg", *TWO)
        _, photo = two_cards(folder)
        distance = photo["scale"]["camera_distance_mm"]
        nearer = photo["cards"][1]["nearer_mm"]
        true = distance * (1 - a / b)
        check(abs(nearer["value"] - true) < nearer["U"], (nearer, true))
        check(nearer["U"] < abs(true) * 0.15, nearer)
        _, photo = two_cards(folder, "", VOLUME + "uncertainty: {plane-offset: 30}\n")
        equal(photo["cards"][1]["nearer_mm"], nearer, "how high the surface lies is no part of it")
        table = platewright("measure", folder.path).out
        check("farther from the camera than bench" in table, table)
        scene(folder, "before/one.jpg", TWO[0], "a6 b,0.4323,800,400,0,0,0")
        table = platewright("measure", folder.path).out
        check("level with bench to " in table, table)


def test_the_other_card_serves_where_one_is_missing():
    with Folder() as folder:
        scene(folder, "before/one.jpg", TWO[1])
        err, photo = scales(folder, "scale: {tags: [bench, second]}\nmarks:\n" +
                            mark(1, "10,10 60,10 60,60"))
        check("card bench (id1 a) is not in the picture" in err, err)
        equal(photo["scale"]["card"], "second")
        equal(photo["marks"][0]["card"], "second")
        check("area_mm2" in photo["marks"][0], photo)
        check("no scale from card bench" in platewright("measure", folder.path).out, "in the table")


# ---- Disagreements ----------------------------------------------------------------------

def test_a_print_that_is_stretched_is_told_unless_its_lines_say_so():
    with Folder() as folder:
        scene(folder, "before/one.jpg", "id1 a,0.3,500,400,10,0,0")
        err, _ = scales(folder, "scale: {tags: bench}\n")
        check("warning" not in err, err)
        err, _ = scales(folder, "scale: {tags: bench}\n",
                        VOLUME.replace("check-along: 100", "check-along: 103", 1))
        check("one.jpg.yaml:3:15: warning: card bench is not seen as its camera would show it" in err,
              err)
        percent, U = re.search(r"than in another by ([0-9.]+) ± ([0-9.]+) %", err).groups()
        check(abs(float(percent) - 3) <= float(U) < 1, err)


def test_check_asks_for_the_lines_of_a_card_until_they_are_measured():
    with Folder() as folder:
        folder.photograph("one.png")
        for entry, asked in (("{design: a6}", "check-along and check-across"),
                             ("{design: a6, check-along: 99.8}", "say check-across"),
                             ("{design: a6, check-along: 99.8, check-across: 99.9}",
                              "add a tolerance"),
                             ("{design: a6, check-along: 99.8, check-across: 99.9, "
                              "tolerance: 0.2}", None)):
            folder.write("volume.yaml", OLD_VOLUME + f"cards:\n  bench: {entry}\n")
            findings = json.loads(platewright("check", folder.path, "--json").out)["findings"]
            said = [f["says"] for f in findings if f["kind"] == "card not measured"]
            check(asked in said[0] if asked else not said, (entry, said))


# ---- On paper ---------------------------------------------------------------------------

def test_a_plate_names_the_card_and_how_sure_it_is():
    with Folder() as folder:
        two_cards(folder, "marks:\n" + mark(1, "10,10 60,10 60,60"))
        result = platewright("plates", folder.path, "-o", f"{folder.path}/p.pdf")
        equal(result.status, 0, result)
        words = subprocess.run([tool("pdftotext"), "-layout", f"{folder.path}/p.pdf", "-"],
                               capture_output=True, text=True, check=True).stdout
        words = " ".join(words.split())
        check("scale from card bench (id1 a) in the picture, ± 0." in words, words)
        check("sizes near card second by that card" in words, words)


run(globals())
