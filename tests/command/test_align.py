"""platewright align: the photograph after laid over the one before. The truth is the demo's: where its
generator put the faces (px of a lens without distortion, so that a pixel or two stay)."""
import contextlib
import functools
import json
import math
import os
import re
import shutil
import time

from bench import Folder, Skip, check, demo, demo_truth, equal, platewright, run

FACES = {"before/LF24_0412.jpg": "after/LF24_0502.jpg", "before/LF24_0413.jpg": "after/LF24_0503.jpg"}
BEFORE, AFTER = next(iter(FACES.items()))
RESIDUAL_MM = 0.05  # half a pixel, by grain and treatment; of a copy eight times smaller three times that is told
TRUTH_MM = 0.5  # of a face of 400 mm, which the lens bends by 2 % at its corners


def aligned(folder, *options, status=1):
    result = platewright("align", folder, "--json", *options, timeout=600)
    equal(result.status, status, result)
    got = json.loads(result.out)
    equal(got["format"], "platewright-align 1")
    return {pair["before"]: pair for pair in got["pairs"]}


@functools.cache
def demo_pairs():
    return aligned(demo())


def apply(h, x, y):
    w = h[6] * x + h[7] * y + h[8]
    return (h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w


def marked(before):
    """The box round the marks of a photograph: left, top, right, bottom, upright px."""
    with open(os.path.join(demo(), before + ".yaml"), encoding="utf-8") as file:
        marks = file.read().split("\nmarks:")[1]
    points = [tuple(map(float, point.split(",")))
              for path in re.findall(r'(?:outline|line|point): "([^"]*)"', marks) for point in path.split()]
    xs, ys = zip(*points)
    return min(xs), min(ys), max(xs), max(ys)


def worst_marked_mm(pair):
    """The same where the marks of before lie."""
    truth = {photo["file"]: photo["surface_mm_to_px"] for photo in demo_truth()["photos"]}
    before, after = truth[pair["before"]], truth[pair["after"]]
    left, top, right, bottom = marked(pair["before"])
    scale, worst, n = math.hypot(before[0], before[3]), 0, 0
    for x in range(0, 400, 5):
        for y in range(0, 420, 5):
            wanted = apply(before, x, y)
            if left <= wanted[0] <= right and top <= wanted[1] <= bottom:
                worst = max(worst, math.dist(apply(pair["homography"], *apply(after, x, y)), wanted) / scale)
                n += 1
    check(n > 20, (pair["before"], n))
    return worst


def worst_mm(pair):
    """By how many mm the homography misses what the generator knows, over the face."""
    truth = {photo["file"]: photo["surface_mm_to_px"] for photo in demo_truth()["photos"]}
    before, after = truth[pair["before"]], truth[pair["after"]]
    scale = math.hypot(before[0], before[3])
    worst = 0
    for x in range(20, 260, 40):
        for y in range(20, 400, 40):
            wanted = apply(before, x, y)
            got = apply(pair["homography"], *apply(after, x, y))
            worst = max(worst, math.dist(got, wanted) / scale)
    return worst


def test_faces_are_laid_over_each_other_where_the_generator_put_them():
    pairs = demo_pairs()
    for before, after in FACES.items():
        pair = pairs[before]
        equal(pair["after"], after)
        equal(pair["start"], "surfaces", before)
        check(pair["agreement"] > 0.9 and pair["overlap"] > 0.9, pair)
        print(f"# {before}: {worst_mm(pair):.2f} mm at worst, {pair['residual_mm']:.2f} mm told")
        check(worst_mm(pair) < TRUTH_MM, worst_mm(pair))
        check(pair["residual_mm"] < RESIDUAL_MM, pair["residual_mm"])


def test_edges_are_laid_where_their_marks_lie_whatever_lies_round_them():
    for before in ("before/LF12_0032.jpg", "before/LF12_0033.jpg", "before/LF12_0034.jpg", "before/LF24_0416.jpg"):
        pair = demo_pairs()[before]
        equal((pair["start"], pair["homography"] is None), ("scales", False), pair.get("why"))
        print(f"# {before}: {worst_marked_mm(pair):.2f} mm at worst, {pair['residual_mm']:.2f} mm told")
        check(worst_marked_mm(pair) < TRUTH_MM, worst_marked_mm(pair))


def test_the_map_tells_square_by_square_where_the_pair_agrees():
    pair = demo_pairs()["before/LF24_0412.jpg"]
    told = [cell for cell in pair["cells"] if cell["agrees"] is not None]
    agreeing = [cell["correlation"] for cell in told if cell["agrees"]]
    check(abs(len(agreeing) / len(told) - pair["agreement"]) < 1e-9, (len(agreeing), len(told), pair["agreement"]))
    check(abs(sum(agreeing) / len(agreeing) - pair["correlation"]) < 1e-9, pair["correlation"])
    for cell in pair["cells"]:
        left, top, right, bottom = cell["where"]
        check(0 <= left < right and 0 <= top < bottom, cell)
        equal(cell["agrees"] is None, cell["correlation"] is None, cell)


def test_what_cannot_be_laid_says_why():
    pairs = demo_pairs()
    check(any(pair["homography"] is None for pair in pairs.values()), pairs)
    for pair in pairs.values():
        equal("why" in pair, pair["homography"] is None, pair)


def two_of_a_view(folder):
    folder.write("volume.yaml", "format: platewright-volume 1\nvolume: {id: T-1}\n")
    for name in ("before/one.png", "after/two.png"):
        folder.photograph(name)
    platewright("intake", folder.path)
    for name in ("before/one.png", "after/two.png"):
        folder.write(f"{name}.yaml", folder.read(f"{name}.yaml") + "view: spine\n")


def test_a_photograph_that_is_not_the_one_taken_in_is_named_once():
    with Folder() as folder:
        two_of_a_view(folder)
        equal(platewright("align", folder.path).out.splitlines()[0], "after/two.png over before/one.png")
        folder.photograph("after/two.png", shade=90)
        result = platewright("align", folder.path)
        equal(result.status, 1, result)
        equal(result.err.count("after/two.png is not the file that was taken in"), 1, result)
        equal(result.out, "", "that the view was not photographed is not so")


def test_ties_are_written_where_none_are_and_are_a_start():
    with Folder() as folder:
        volume = os.path.join(folder.path, "volume")
        shutil.copytree(demo(), volume, ignore=shutil.ignore_patterns(".platewright"))
        text = os.path.join(volume, "after", "LF24_0502.jpg.yaml")
        with open(text, encoding="utf-8") as file:
            before = file.read()
        first = aligned(volume, "--ties")["before/LF24_0412.jpg"]
        with open(text, encoding="utf-8") as file:
            after = file.read()
        ties = re.findall(r'\{here: "([\d.,]+)", there: "([\d.,]+)"\}', after)
        check(4 <= len(ties) <= 9, after)
        equal([line for line in before.splitlines() if line not in after.splitlines()], [], "lines that went")
        again = aligned(volume, "--ties")["before/LF24_0412.jpg"]
        equal(again["start"], "ties")
        with open(text, encoding="utf-8") as file:
            equal(file.read(), after, "ties that stand there stay")
        for x, y in ((500, 500), (3500, 5500)):
            there = apply(first["homography"], x, y), apply(again["homography"], x, y)
            check(math.dist(*there) < 1, there)


@contextlib.contextmanager
def front_board():
    """The demo's front board alone, before and after."""
    with Folder() as folder:
        for name in ("volume.yaml", *(photo + end for photo in next(iter(FACES.items())) for end in ("", ".yaml"))):
            os.makedirs(os.path.dirname(os.path.join(folder.path, name)), exist_ok=True)
            shutil.copy(os.path.join(demo(), name), os.path.join(folder.path, name))
        yield folder


def test_where_nothing_tells_where_to_start_features_do():
    if os.environ["PW_FEATURES"] != "yes":
        raise Skip("built without the Meson option `features`")
    with front_board() as folder:
        for name in (BEFORE, AFTER):
            text = re.sub(r'\nsurface: "[^"]*"', "", folder.read(name + ".yaml"), count=1)
            folder.write(name + ".yaml", re.sub(r"\nscale:\n(  .*\n)+", "\n", text, count=1))
        pair = aligned(folder.path)[BEFORE]  # of a volume that lacks the rest of its photographs
        equal((pair["start"], pair.get("residual_mm", 0)), ("features", None), pair)
        print(f"# {worst_marked_mm(pair):.2f} mm at worst")
        check(worst_marked_mm(pair) < TRUTH_MM, worst_marked_mm(pair))


def kept(folder):
    """What is kept of pairs: the files, and how they stand."""
    cache = os.path.join(folder.path, ".platewright", "pairs")
    return {entry.path: (entry.inode(), entry.stat().st_mtime_ns) for entry in os.scandir(cache)}


def told(folder):
    result = platewright("align", folder.path, "--json", timeout=600)
    check('"homography": [' in result.out or '"homography":[' in result.out, result)
    return result.out


def test_what_was_laid_once_is_kept_and_told_alike():
    with front_board() as folder:
        began = time.monotonic()
        first = told(folder)
        anew = time.monotonic() - began
        files = kept(folder)
        equal(len(files), 1, files)
        began = time.monotonic()
        equal(told(folder), first)
        print(f"# {anew:.2f} s anew, {time.monotonic() - began:.2f} s kept")
        equal(kept(folder), files, "made anew")


def test_another_tie_or_another_outline_makes_it_anew():
    with front_board() as folder:
        told(folder)
        text = os.path.join("after", "LF24_0502.jpg.yaml")
        platewright("align", folder.path, "--ties", timeout=600)
        told(folder)
        equal(len(kept(folder)), 2, "by ties")
        tied = folder.read(text)
        folder.write(text, re.sub(r'(ties:.*?here: "\d+)', r"\g<1>1", tied, count=1, flags=re.DOTALL))
        check(folder.read(text) != tied, tied)
        platewright("align", folder.path, timeout=600)
        equal(len(kept(folder)), 3, "by another tie")
        before = os.path.join("before", "LF24_0412.jpg.yaml")
        folder.write(before, re.sub(r'(surface: "\d+)', r"\g<1>.5", folder.read(before), count=1))
        platewright("align", folder.path, timeout=600)
        equal(len(kept(folder)), 4, "by another outline")


def test_what_is_kept_and_damaged_or_cannot_be_kept_does_no_harm():
    with front_board() as folder:
        first = told(folder)
        (path, stands), = kept(folder).items()
        with open(path, "rb") as file:
            whole = file.read()
        for damage in (whole[:-9], whole[:200] + bytes([whole[200] ^ 1]) + whole[201:], b"", b"\xff" * 500):
            with open(path, "wb") as file:
                file.write(damage)
            equal(told(folder), first)
            with open(path, "rb") as file:
                equal(file.read(), whole, "put right")
        check(kept(folder)[path] != stands, "made anew")
        cache = os.path.join(folder.path, ".platewright")
        shutil.rmtree(cache)
        folder.write(".platewright", "no folder")
        equal(told(folder), first)
        equal(folder.read(".platewright"), "no folder")


def notes(folder, *options):
    """{(file, kind): ids of the marks}; nothing else that check finds."""
    result = platewright("check", folder.path, "--json", *options, timeout=600)
    found = {}
    for finding in json.loads(result.out)["findings"]:
        if finding["kind"] in ("probably earlier", "not followed"):
            equal(finding["severity"], "note")
            found.setdefault((finding["file"].removesuffix(".yaml"), finding["kind"]), []).append(
                (re.findall(r"mark (\d+)", finding["says"]), finding["says"]))
    return found


def test_check_tells_which_mark_it_probably_is_and_which_nothing_follows():
    with front_board() as folder:
        text = folder.read(AFTER + ".yaml")
        for number in (3, 5, 7, 8, 9):  # a smaller area, one with a hole, a line, an area, a point
            text, n = re.subn(rf'    earlier: "{BEFORE}#{number}"\n', "", text)
            equal(n, 1, number)
        text, n = re.subn(r"  - id: 6\n(    .*\n)+", "", text)
        equal(n, 1)
        folder.write(AFTER + ".yaml", text)
        equal(notes(folder), {}, "nothing is laid yet, and nobody asked for it")
        equal(folder.read(AFTER + ".yaml"), text)
        platewright("align", folder.path, timeout=600)
        found = notes(folder)
        equal([ids for ids, _ in found[AFTER, "probably earlier"]], [[n, n] for n in "35789"], found)
        check(f'earlier: "{BEFORE}#7"' in found[AFTER, "probably earlier"][2][1], found)
        equal([ids for ids, _ in found[BEFORE, "not followed"]], [["6"]], found)
        equal(len(found), 2, found)
        shutil.rmtree(os.path.join(folder.path, ".platewright"))
        equal(notes(folder, "--full"), found, "laid by --full")
        moved = re.sub(r'(point: )"[^"]*"', r'\1"2000,3000"', text).replace("term: red rot", "term: stain")
        folder.write(AFTER + ".yaml", moved)
        found = notes(folder)
        equal([ids for ids, _ in found[AFTER, "probably earlier"]], [[n, n] for n in "357"], found)
        equal([ids for ids, _ in found[BEFORE, "not followed"]], [["6"], ["8"], ["9"]], found)


def test_check_notes_nothing_where_links_stand():
    with front_board() as folder:
        platewright("align", folder.path, timeout=600)
        equal(notes(folder, "--full"), {})


run(globals())
