"""Cards in the picture: from intake to sizes, in photographs whose cards and camera are known
(tests/tools/make-scene.c)."""
import os
import subprocess

from bench import BUILD, Folder, check, equal, measure_json, platewright, run

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


run(globals())
