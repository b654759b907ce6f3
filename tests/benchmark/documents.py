#!/usr/bin/env python3
"""What a large volume's treatment report takes, in PDF and HTML at once, beside its plates alone: 200
photographs of 24 MP on 100 plates, 600 marks with sizes, and a record to match. Ratios are medians of pairs
run in turn, each from an empty cache. Prints lines of Markdown for docs/benchmark.md; never gates a test.
"""
import os
import shutil
import statistics
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.environ["PW_SOURCE"], "tests", "command"))
from bench import COMMAND, demo  # noqa: E402
from benchmark import forget, peak_mb, timed, volume  # noqa: E402

PAIRS = 3
PHOTOGRAPHS = 200
SCALE = 'scale: {rectangle: {corners: "500,500 1500,500 1500,1100 500,1100", width: 85.6, height: 53.98}, plane-offset: 0}\n'
PARTS = ["front board", "spine", "back board", "leaf", "sewing", "endband"]


def entries(name, n, text):
    return f"{name}:\n" + "".join(f"  - {text(i)}\n" for i in range(n))


def record():
    """What a large volume's record holds beside its marks."""
    return "".join((
        'format: platewright-volume 1\n',
        'volume: {id: BENCH-2, title: "A register of two hundred openings", size: 412 x 276 x 61, mass: 5.8}\n',
        'owner: {name: "An owner"}\nstudio: {name: "A studio", by: "A conservator"}\n',
        'received: 2026-03-02\nexamined: 2026-03-04\nreturned: 2026-05-20\n',
        entries("pieces", 40, lambda i: f'{{id: P{i + 1}, kind: part, what: "piece {i + 1}", found: detached, '
                                        f'kept: "tray {i}", outcome: reattached, on: 2026-05-02}}'),
        entries("decisions", 20, lambda i: f'{{on: 2026-03-05, about: [P{i + 1}], question: "Whether to keep it", '
                                           'options: ["keep it", "renew it"], chosen: "keep it", because: "it is sound"}'),
        entries("treatment", 30, lambda i: f'{{on: 2026-03-{i % 20 + 10}, part: {PARTS[i % 6]}, did: "Mended, place {i}", '
                                           f'materials: "paper and paste", hours: 1.5, photos: [p{i:03}.jpg]}}'),
        entries("proposal", 6, lambda i: f'{{part: {PARTS[i]}, do: "Mend it", risk: "It may not hold", alternative: "Leave it"}}'),
        'estimate: {currency: EUR, lines: [{what: "Mending", hours: 45, rate: 68.00}]}\n'))


def fill(folder, photograph):
    volume(folder, photograph, PHOTOGRAPHS)
    with open(os.path.join(folder, "volume.yaml"), "w", encoding="utf-8") as file:
        file.write(record())
    for i in range(PHOTOGRAPHS):
        path = os.path.join(folder, f"p{i:03}.jpg.yaml")
        with open(path, encoding="utf-8") as file:
            text = file.read()
        with open(path, "w", encoding="utf-8") as file:
            file.write(text.replace("marks:\n", SCALE + "marks:\n").replace("part: board", f"part: {PARTS[i // 2 % 6]}"))


def main():
    top = tempfile.mkdtemp(prefix="platewright-benchmark-")
    folder = os.path.join(top, "volume")
    fill(folder, os.path.join(demo(), "before", "LF24_0416.jpg"))
    plates = [COMMAND, "plates", "volume", "-o", "plates.pdf"]
    report = [COMMAND, "report", "volume", "--kind", "treatment", "-o", "report.pdf", "--html", "report.html"]
    walls, cpus = [], []
    for _ in range(PAIRS):
        taken = []
        for command in (plates, report):
            forget(folder)
            taken.append(timed(command, top))
        walls.append(taken[1][0] / taken[0][0])
        cpus.append(taken[1][1] / taken[0][1])
        print(f"pair {len(walls)}: wall {walls[-1]:.2f}, CPU {cpus[-1]:.2f}", file=sys.stderr, flush=True)
    print(f"- report in PDF and HTML against plates alone, {PHOTOGRAPHS} photographs of 24 MP and {3 * PHOTOGRAPHS} "
          f"marks: wall {statistics.median(walls):.2f}, CPU {statistics.median(cpus):.2f} (aim 1.5); the last took "
          f"{taken[1][0]:.1f} s")
    peaks = []
    for command in (plates, report):
        forget(folder)
        peaks.append(peak_mb(command, top))
    print(f"- peak memory: {peaks[1]} MB, of plates alone {peaks[0]} MB (aim 200)")
    sizes = {name: os.path.getsize(os.path.join(top, name)) for name in ("plates.pdf", "report.pdf", "report.html")}
    pages = subprocess.run(["pdfinfo", "report.pdf"], cwd=top, check=True, capture_output=True, text=True).stdout
    count = next(line.split()[1] for line in pages.splitlines() if line.startswith("Pages"))
    each = ", ".join(f"{name} {size / 1e6:.1f} MB ({size / 1000 / (PHOTOGRAPHS // 2):.0f} kB a plate)"
                     for name, size in sizes.items())
    print(f"- size: {each}; the report has {count} pages")
    shutil.rmtree(top)


if __name__ == "__main__":
    main()
