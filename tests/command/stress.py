"""Volumes that press on a layout, made of the demo's photographs: long names everywhere, one photograph of
sixty marks, a record as intake leaves it, a ledger of forty pieces. Everything in them is invented."""
import json
import os
import re
import shutil

from bench import demo, equal, platewright

WORD = "Donaudampfschifffahrtsgesellschaftsoberregistraturvorsteherei"  # has no place to break at
SENTENCES = ("Über den Bünden löst sich das Leder in groben Schuppen, fühlbar mürbe und schon früher geölt; the "
             "covering was pared too thin over the cords, and at the tail a strip of the first lining shows through. ")
NOTE = (SENTENCES * 4)[:520] + WORD + " und hält noch."
TITLE = ("Großes Übersichts- und Nachschlageverzeichnis der Lotsen über Tiefen, Untiefen, Bojen, Feuer und Zeichen der "
         "äußeren Reede, angelegt für die tägliche Übung der Wache und fortgeführt bis zur Übergabe")
NAME = "The Honourable Trustees of the Harbour, Lighthouse and Pilotage Office of Merrowsund-over-Strand and the Outer Isles"


def quoted(text):
    """A double-quoted scalar of YAML, which JSON's strings are."""
    return json.dumps(text, ensure_ascii=False)


def entry(**facts):
    """One entry of a list, on one line."""
    pairs = ", ".join(f"{key}: {value if isinstance(value, (int, float)) else quoted(value)}"
                      for key, value in ((key.rstrip("_"), value) for key, value in facts.items()))
    return f"  - {{{pairs}}}\n"


def listed(key, entries):
    return f"{key}:\n" + "".join(entries)


def write(folder, name, text):
    with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
        file.write(text)


def read(folder, name):
    with open(os.path.join(folder, name), encoding="utf-8") as file:
        return file.read()


def copy_of_demo(folder, *photographs, sidecars=True):
    """Its photographs by hard link (they are read only) with or without their sidecars, which then point at none
    that may be missing."""
    for stage in ("before", "during", "after"):
        for name in sorted(os.listdir(os.path.join(demo(), stage))):
            if name.startswith(photographs) and (sidecars or not name.endswith(".yaml")):
                os.makedirs(os.path.join(folder, stage), exist_ok=True)
                source, target = os.path.join(demo(), stage, name), os.path.join(folder, stage, name)
                if name.endswith(".yaml"):
                    text = read(demo(), os.path.join(stage, name))
                    write(folder, os.path.join(stage, name), re.sub(r"\n    same-as: .*", "", text))
                else:
                    link(source, target)


def link(source, target):
    try:
        os.link(source, target)
    except OSError:  # on another file system
        shutil.copy(source, target)


def sidecars(folder):
    return [os.path.join(stage, name) for stage in ("before", "during", "after")
            if os.path.isdir(os.path.join(folder, stage))
            for name in sorted(os.listdir(os.path.join(folder, stage))) if name.endswith(".yaml")]


# ---- Long names -----------------------------------------------------------------------------------


def long_volume():
    """volume.yaml with every text as long as somebody may come to write it."""
    return (f"format: platewright-volume 1\nvolume:\n  id: {WORD.upper()[:40]}-1887-03\n  title: {quoted(TITLE)}\n"
            f"  maker: {quoted(NAME)}\n  date: {quoted('begun in 1887, fortgeführt bis etwa 1899')}\n"
            f"  binding: {quoted(SENTENCES)}\n  size: 412 x 276 x 61\n  mass: 4.9\n  collation: {quoted(SENTENCES)}\n"
            f"  numbering: {quoted(SENTENCES)}\n  description: {quoted(NOTE)}\n"
            f"owner: {{name: {quoted(NAME)}, contact: {quoted(WORD.lower() + '@merrowsund.example')}}}\n"
            f"studio: {{name: {quoted(NAME)}, by: {quoted(NAME)}, contact: {quoted(SENTENCES)}}}\n"
            f"received: 2026-03-02\nexamined: 2026-03-04\nreturned: 2026-05-20\npurpose: {quoted(NOTE)}\n"
            f"lamps: {quoted(NOTE)}\ncards:\n  bench: {{design: a6}}\n  small: {{design: id1}}\n"
            f"  strip: {{design: strip}}\n"
            "plates:\n" + entry(title=TITLE, before="before/LF24_0412.jpg", after="after/LF24_0502.jpg") +
            entry(title=WORD + " " + TITLE, detail="before/LF24_0412.jpg#1") +
            listed("observations", [entry(part=WORD, place=SENTENCES, says=NOTE, basis="inferred", on="2026-03-04"),
                                    entry(part="sewing", place=WORD, says=WORD, basis="tested")]) +
            listed("measurements", [entry(what=SENTENCES, value=63.5, unit="mm", with_=SENTENCES, tolerance=0.5,
                                          stage="before"),
                                    entry(what=WORD, value=61, unit="mm", with_=WORD, stage="after")]) +
            listed("tests", [entry(on="2026-03-05", place=SENTENCES, method=NOTE, result=NOTE, consumed="yes",
                                   kept=SENTENCES, agreed="2026-03-09"),
                             entry(on="2026-03-06", place=WORD, method=WORD, result=WORD, consumed="no")]) +
            listed("pieces", [entry(id="P1", kind="part", what=NOTE, found=NOTE, kept=SENTENCES),
                              entry(id=WORD, kind="found inside", what=WORD, at=WORD, kept=WORD, count=12345,
                                    outcome="returned to owner", on="2026-05-20"),
                              entry(id="P3", kind="removed", what=SENTENCES, kept=NOTE, outcome="discarded",
                                    because=NOTE, agreed="2026-03-09")]) +
            listed("decisions", [f"  - {{on: 2026-03-06, about: [P3, {quoted('before/LF24_0412.jpg#3')}], "
                                 f"question: {quoted(NOTE)}, options: [{quoted(SENTENCES)}, {quoted(WORD)}], "
                                 f"chosen: {quoted(SENTENCES)}, because: {quoted(NOTE)}, risk: {quoted(NOTE)}}}\n"]) +
            listed("proposal", [entry(part=WORD, do=NOTE, risk=NOTE, alternative=NOTE),
                                entry(part="spine", do=WORD, risk=WORD, alternative=WORD)]) +
            listed("treatment", [entry(on="2026-03-11", by=NAME, part=WORD, did=NOTE, materials=NOTE, hours=12.25,
                                       differs=NOTE),
                                 entry(on="2026-03-12", by=WORD, part="spine", did=WORD, materials=WORD, hours=1)]) +
            "estimate:\n  currency: EUR\n  tax: 21\n" +
            "  lines:\n  " + entry(what=NOTE, hours=1234.25, rate=68.5) + "  " + entry(what=WORD, cost=1234567.89) +
            listed("consents", [entry(on="2026-03-09", by=NAME, to="treatment", is_="given", scope=NOTE, how=SENTENCES),
                                entry(on="2026-03-09", by="owner", to="show publicly", is_="given", how=WORD)]) +
            listed("care", [f"  - {quoted(NOTE)}\n", f"  - {quoted(WORD)}\n"]) +
            listed("notes", [f"  - {quoted(NOTE)}\n"]))


def long_sidecar(text):
    text = re.sub(r'note: ".*"', lambda _: f"note: {quoted(NOTE)}", text)
    text = re.sub(r'caption: ".*"', lambda _: f"caption: {quoted(TITLE)}", text)
    text = re.sub(r'step: ".*"', lambda _: f"step: {quoted(SENTENCES)}", text)
    text = re.sub(r'place: ".*"', lambda _: f"place: {quoted(WORD)}", text)
    text = text.replace("part: cloth side", f"part: {WORD}")
    return text.replace("part: spine leather", "part: the leather over the spine between the third and the fourth band")


def long_names(folder):
    copy_of_demo(folder, "LF24_0412", "LF24_0502", "LF12_0031", "LF12_0033")
    for name in sidecars(folder):
        write(folder, name, long_sidecar(read(folder, name)))
    write(folder, "volume.yaml", long_volume())


# ---- Sixty marks ----------------------------------------------------------------------------------


def mark(number):
    """One of sixty, in a grid of six by ten over the board, its kinds and terms by turns."""
    x, y = 700 + number % 6 * 440, 1520 + number // 6 * 400
    term, part, geometry = (
        ("stain", "cloth side", f'outline: "{x},{y} {x + 200},{y + 30} {x + 170},{y + 190} {x + 20},{y + 150}"'),
        ("tear", "cloth side", f'line: "{x},{y} {x + 120},{y + 40} {x + 230},{y + 10}"'),
        ("bore hole", "spine leather", f'point: "{x + 50},{y + 50}"\n    count: 3'),
        ("abrasion", "cloth side", f'outline: "{x},{y} {x + 240},{y} {x + 240},{y + 60} {x},{y + 90}"'))[number % 4]
    note = SENTENCES if number % 10 == 0 else f"place {number + 1} of sixty, as the candle fell"
    return f"  - id: {number + 1}\n    term: {term}\n    part: {part}\n    {geometry}\n    note: {quoted(note)}\n"


def many_marks(folder):
    copy_of_demo(folder, "LF24_0412")
    sidecar = os.path.join("before", "LF24_0412.jpg.yaml")
    head = read(folder, sidecar).split("marks:\n")[0]
    write(folder, sidecar, head + "marks:\n" + "".join(mark(number) for number in range(60)))
    write(folder, "volume.yaml", "format: platewright-volume 1\nvolume: {id: S-60, title: \"Sixty Marks\", "
          "size: 412 x 276 x 61}\ncards:\n  bench: {design: a6}\n" +
          listed("consents", [entry(on="2026-03-09", by="owner", to="show publicly", is_="given")]))


# ---- Nothing, and much ----------------------------------------------------------------------------


def as_taken_in(folder):
    copy_of_demo(folder, "LF24_0412", "LF12_0031", sidecars=False)
    equal(platewright("intake", folder).status, 0)


PIECES = ["flake of leather", "pressed fern", "slip of blotting paper with figures in pencil", "brown lining", "thread"]
OUTCOMES = [{"outcome": "reattached", "on": "2026-05-06"}, {"outcome": "housed", "on": "2026-05-19"}, {},
            {"outcome": "discarded", "because": "acidic and in the way", "agreed": "2026-03-09"}, {}]


def long_ledger(folder):
    copy_of_demo(folder, "LF12_0031", "LF12_0071")
    days = [f"2026-{3 + n // 28:02d}-{1 + n % 28:02d}" for n in range(30)]
    kinds = ["part", "found inside", "found inside", "removed", "part"]
    write(folder, "volume.yaml", "format: platewright-volume 1\nvolume: {id: S-40, title: \"A Ledger of Pieces\"}\n"
          "owner: {name: \"A. Merrow\", contact: \"a@merrow.example\"}\nreceived: 2026-03-01\n" +
          listed("pieces", [entry(id=f"P{n + 1}", kind=kinds[n % 5], what=f"{PIECES[n % 5]}, {n + 1}", count=1 + n % 3,
                                  at=f"pp. {2 * n}-{2 * n + 1}", kept=f"envelope {n + 1}", **OUTCOMES[n % 5])
                            for n in range(40)]) +
          listed("decisions", [f"  - {{on: {day}, about: [P{n + 1}], question: \"What becomes of piece {n + 1}?\", options: "
                               "[\"keep it\", \"leave it\", \"lay it back\"], chosen: \"lay it back\", because: "
                               "\"it belongs there\", risk: \"it may shift\"}\n" for n, day in enumerate(days)]) +
          listed("treatment", [entry(on=day, by="M. Tarrowby", part="leaves", did=f"Gathering {n + 1} cleaned dry and mended.",
                                     materials="smoke sponge, thin tissue, wheat starch paste", hours=1.5)
                               for n, day in enumerate(days[:25])]) +
          listed("proposal", [entry(part=part, do="Clean dry; mend what is torn; lay loose pieces back.",
                                    risk="A loose piece may shift.", alternative="Leave it.")
                              for part in ("spine", "boards", "leaves")]) +
          "estimate:\n  currency: EUR\n  tax: 21\n  lines:\n" +
          "".join("  " + entry(what=f"gathering {n + 1}", hours=1.5, rate=68) for n in range(20)) +
          listed("consents", [entry(on="2026-03-09", by="owner", to="treatment", is_="given"),
                              entry(on="2026-03-09", by="owner", to="show publicly", is_="given")]))


VOLUMES = {"long": long_names, "marks": many_marks, "bare": as_taken_in, "ledger": long_ledger}
