"""lens: photographs of the printed sheet, rendered by a camera that we know (make_sheets.c), give that
camera's lens, volume.yaml gets it, and measure uses it."""
import atexit
import os
import re
import shutil
import subprocess
import tempfile

from bench import BUILD, Folder, check, equal, measure_json, platewright, run

WIDTH, HEIGHT, F, CX, CY, K1, K2 = 1500, 1000, 1650, 757.5, 493.25, -0.09, 0.05
HALF_DIAGONAL = (WIDTH ** 2 + HEIGHT ** 2) ** .5 / 2
VOLUME = """format: platewright-volume 1
volume: {id: LENS-1, size: 300 x 200 x 40}   # kept
plane-offset: 0

# what stands below is kept, too
notes: ["a note"]
"""
OTHER = '{make: "Other", model: "Other 1", size: 3000 x 2000, f-px: 4000, cx: 1500, cy: 1000}'
RENDERED = {}


def sheets(count=9, model="Model 7"):
    """A folder of rendered photographs, made once."""
    if (count, model) not in RENDERED:
        folder = tempfile.mkdtemp(prefix="platewright-sheets-")
        atexit.register(shutil.rmtree, folder)
        subprocess.run([os.path.join(BUILD, "tests", "command", "make-sheets"), folder,
                        *map(str, (count, WIDTH, HEIGHT, F, CX, CY, K1, K2, model, 40))], check=True)
        RENDERED[count, model] = folder
    return RENDERED[count, model]


def entry_of(text):
    """The keys of the last entry under `lenses:`, as text."""
    line = re.findall(r"^ *- (\{.*f-px.*\})$", text, re.M)[-1]
    return dict(re.findall(r'([a-z0-9-]+): ("[^"]*"|[^,}]*)', line))


def distorted(x, y):
    r2 = ((x - CX) ** 2 + (y - CY) ** 2) / F ** 2
    bend = 1 + r2 * (K1 + r2 * K2)
    return CX + (x - CX) * bend, CY + (y - CY) * bend


def points(*pairs):
    return " ".join("%.2f,%.2f" % distorted(*pair) for pair in pairs)


def check_entry(entry):
    residual = float(entry["residual-px"])
    check(0 < residual < 1.5, entry)
    worst = 0
    # what counts is where the lens puts points, not its figures one by one
    for x, y in ((0, 0), (WIDTH, 0), (0, HEIGHT), (WIDTH, HEIGHT), (WIDTH / 2, 0)):
        f, cx, cy, k1, k2 = (float(entry[key]) for key in ("f-px", "cx", "cy", "k1", "k2"))
        r2 = ((x - cx) ** 2 + (y - cy) ** 2) / f ** 2
        bend = 1 + r2 * (k1 + r2 * k2)
        wanted = distorted(x, y)
        worst = max(worst, abs(cx + (x - cx) * bend - wanted[0]),
                    abs(cy + (y - cy) * bend - wanted[1]))
    print(f"# {entry}; a place in the frame is off by at most {worst:.3f} px")
    check(worst < residual, f"{worst} px")
    check(abs(float(entry["f-px"]) / F - 1) < .002, entry)
    check(abs(float(entry["cx"]) - CX) < 2 and abs(float(entry["cy"]) - CY) < 2, entry)


def test_the_lens_is_found_and_written():
    with Folder() as folder:
        folder.write("volume.yaml", VOLUME)
        result = platewright("lens", sheets(), "--to", folder.path)
        equal(result.status, 0, result)
        check("9 photographs read, the sheet found in 9" in result.err, result)
        check(result.out.startswith("lenses:\n  - {make: \"Example\""), result)
        text = folder.read("volume.yaml")
        equal(entry_of(text), entry_of(result.out))
        entry = entry_of(text)
        check_entry(entry)
        equal(entry["make"], '"Example"')
        equal(entry["model"], '"Model 7"')
        equal(entry["focal"], "40")
        equal(entry["size"], "1500 x 1000")
        equal(entry["from"], '"9 photographs of the sheet, 2026-03-01"')
        check("lens" not in entry, entry)
        for line in VOLUME.splitlines():
            check(line in text.splitlines(), f"{line!r} is gone from {text}")
        equal(platewright("check", folder.path).err.count("error:"), 0)


def test_an_entry_of_the_same_lens_is_replaced():
    with Folder() as folder:
        folder.write("volume.yaml", VOLUME + f"lenses:\n  - {OTHER} # another\n  - {{make: "
                     '"Example", model: "Model 7", focal: 40, size: 1500 x 1000, f-px: 1, cx: 2, '
                     "cy: 3}\n")
        for _ in range(2):
            result = platewright("lens", sheets(), "--to", folder.path)
            equal(result.status, 0, result)
        text = folder.read("volume.yaml")
        equal(text.count("f-px"), 2, text)
        check(f"  - {OTHER} # another\n" in text, text)
        check_entry(entry_of(text))


def test_an_entry_that_would_be_used_instead_is_told():
    with Folder() as folder:
        folder.write("volume.yaml", VOLUME +
                     "lenses:\n  - {size: 1500 x 1000, f-px: 1, cx: 2, cy: 3}\n")
        result = platewright("lens", sheets(), "--to", folder.path)
        equal(result.status, 0, result)
        check(re.search(r"volume.yaml:8:\d+: warning: this entry fits the same", result.err), result)


def test_no_photograph_is_passed_over_in_silence():
    with Folder() as folder:
        for number in range(10001):
            open(os.path.join(folder.path, f"{number}.jpg"), "wb").close()
        result = platewright("lens", folder.path)
        check(result.status != 0 and "more than 10000 photographs" in result.err, result)


def test_a_folder_that_is_a_volume_gets_its_own():
    with Folder() as folder:
        for name in os.listdir(sheets()):
            shutil.copy(os.path.join(sheets(), name), folder.path)
        folder.write("volume.yaml", VOLUME)
        equal(platewright("lens", folder.path).status, 0)
        check_entry(entry_of(folder.read("volume.yaml")))


def test_without_a_volume_it_is_only_printed():
    before = sorted(os.listdir(sheets()))
    result = platewright("lens", sheets())
    equal(result.status, 0, result)
    check("--to VOLUME" in result.err, result)
    check_entry(entry_of(result.out))
    equal(sorted(os.listdir(sheets())), before)
    equal(platewright("lens", sheets(), "--to", sheets()).status, 2)


def test_a_volume_with_errors_is_left_as_it_is():
    with Folder() as folder:
        text = VOLUME + "colour: red\n"
        folder.write("volume.yaml", text)
        result = platewright("lens", sheets(), "--to", folder.path)
        equal(result.status, 1, result)
        check("mend it first" in result.err, result)
        equal(folder.read("volume.yaml"), text)


def test_five_photographs_are_too_few():
    with Folder() as folder:
        for name in sorted(os.listdir(sheets()))[:5]:
            shutil.copy(os.path.join(sheets(), name), folder.path)
        folder.write("volume.yaml", VOLUME)
        result = platewright("lens", folder.path)
        equal((result.status, result.out), (1, ""), result)
        check("5 photographs only, 6 are needed" in result.err, result)
        equal(folder.read("volume.yaml"), VOLUME)


def test_a_camera_without_a_name_is_warned_of():
    result = platewright("lens", sheets(6, ""))
    equal(result.status, 0, result)
    check("warning: the photographs do not name their camera" in result.err, result)
    entry = entry_of(result.out)
    check("model" not in entry and "focal" not in entry, entry)
    equal(entry["from"], '"6 photographs of the sheet"')


def test_photographs_without_the_sheet_say_what_to_do():
    with Folder() as folder:
        folder.photograph("a.png")
        result = platewright("lens", folder.path)
        equal((result.status, result.out), (1, ""), result)
        check("the sheet found in 0" in result.err and "card --size sheet" in result.err, result)


def measured(folder, name):
    found, result = measure_json(folder.path)
    check(found["photos"][0]["scale"], result)
    photo = found["photos"][0]
    mark = photo["marks"][0]
    lens = next(row["length_mm"] for row in mark["budget"] if row["source"] == "lens")
    return photo["scale"], mark["length_mm"]["value"], lens


def test_measure_uses_it_and_says_so():
    """A card in one corner at 5 px/mm and a line of 220 mm to the other, as this lens shows them; in
    a picture that was turned, since coefficients are of the stored frame."""
    turned = "sheet-03.jpg"  # orientation 8: upright (x, y) is stored (WIDTH - y, x)

    def upright(text):
        pairs = [pair.split(",") for pair in text.split()]
        return " ".join(f"{float(y):.2f},{WIDTH - float(x):.2f}" for x, y in pairs)
    card = upright(points((400, 60), (400, 260), (100, 260), (100, 60)))
    line = upright(points((100, 60), (1200, 60)))
    with Folder() as folder:
        folder.write("volume.yaml", VOLUME)
        shutil.copy(os.path.join(sheets(), turned), folder.path)
        folder.write(turned + ".yaml", "format: platewright-photo 1\n"
                     f"photo: {{size: {HEIGHT} x {WIDTH}}}\nstage: before\nview: front board\n"
                     "scale:\n"
                     f'  rectangle: {{corners: "{card}", width: 40, height: 60}}\n'
                     "  camera-distance: 500\n"
                     f'marks:\n  - {{id: 1, term: tear, part: leaf, line: "{line}"}}\n')
        scale, bare, bare_u = measured(folder, turned)
        equal(scale["lens"]["from"], "none")
        equal(platewright("lens", sheets(), "--to", folder.path).status, 0)
        scale, known, known_u = measured(folder, turned)
        entry = entry_of(folder.read("volume.yaml"))
        equal(scale["lens"]["from"], "volume.yaml")
        equal(scale["lens"]["k1"], float(entry["k1"]))
        print(f"# 220 mm: {bare:.3f} mm (u of the lens {bare_u:.3f}) without, "
              f"{known:.3f} mm ({known_u:.3f}) with the lens")
        check(abs(bare - 220) > 1, bare)
        check(abs(known - 220) < .05, known)
        check(known_u < bare_u / 10, (bare_u, known_u))
        table = platewright("measure", folder.path)
        check("lens corrected" in table.out, table)


run(globals())
