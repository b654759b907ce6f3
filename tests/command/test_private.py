"""A private name written into any text of volume.yaml reaches no reader of a public output, in whichever layer of
the file; the same search finds it in the studio's, in every layer there is. `test_report.py` searches the demo
as it stands, `test_masks.py` the pixels."""
import html
import json
import os
import re
import shutil
import subprocess

from bench import Folder, check, demo, equal, platewright, run, tool

KINDS = ["receipt", "condition", "proposal", "treatment", "summary"]
NAME = "Wrenfold"  # of the demo's studio; a number behind it tells where it was written
ROUNDS = 3  # each writes it into every third text, for a text that is left out may take others with it
SHOWN = "before/LF24_0416.jpg"  # the one photograph of all but the plates, for speed


def texts_with_the_name(text, first):
    """volume.yaml with the name in every third of its quoted texts, paths and settings aside, and how many
    texts there are."""
    text = re.sub(r"part: ([a-z][a-z ]*)([,}])", r'part: "\1"\2', text)
    count = 0

    def write(found):
        nonlocal count
        if ".jpg" in found[0] or found[0].endswith(":") or found[1].startswith("+"):
            return found[0]
        count += 1
        return found[0] if count % ROUNDS != first else f'"{found[1]} {NAME}{count}"'

    return re.sub(r'"([^"]+)":?', write, text), count


def volume(first, folder):
    path = os.path.join(folder.path, f"v{first}")
    shutil.copytree(demo(), path)
    with open(os.path.join(path, "volume.yaml"), encoding="utf-8") as file:
        text, count = texts_with_the_name(file.read(), first)
    with open(os.path.join(path, "volume.yaml"), "w", encoding="utf-8") as file:
        file.write(text)
    return path, count


def output(*command):
    return subprocess.run(command, capture_output=True, timeout=300, check=True).stdout.decode("utf-8", "replace")


def strings(value, key="", found=None):
    """Every string of a PDF's objects by the key it stands under, as qpdf decodes it."""
    found = {} if found is None else found
    if isinstance(value, dict):
        for name, inner in value.items():
            strings(inner, name if name.startswith("/") else key, found)
    elif isinstance(value, list):
        for inner in value:
            strings(inner, key, found)
    elif isinstance(value, str):
        found.setdefault(key, []).append(value)
    return found


def layers(pdf):
    """What a PDF says, by where it says it. A hyphen at a line's end parts no word."""
    objects = json.loads(output(tool("qpdf"), "--json", "--json-stream-data=none", pdf))["qpdf"][1]
    outlines = json.loads(output(tool("qpdf"), "--json", "--json-key=outlines", pdf))
    by_key = {key: "\n".join(values) for key, values in strings(objects).items()}
    streams = subprocess.run([tool("qpdf"), "--qdf", "--object-streams=disable", pdf, "-"], capture_output=True,
                             timeout=300, check=True).stdout.decode("latin-1")
    return {"text": re.sub(r"-\n|\u00ad", "", output(tool("pdftotext"), "-raw", pdf, "-")),
            "outlines": json.dumps(outlines["outlines"], ensure_ascii=False),
            "XMP": output(tool("pdfinfo"), "-meta", pdf), "Info": output(tool("pdfinfo"), pdf),
            "alternatives": by_key.get("/Alt", "") + by_key.get("/ActualText", ""),
            "strings": "\n".join(by_key.values()), "streams": streams}


def layers_of_html(path):
    """Words apart from attributes, spaces that hold a line together as others; pictures are searched as they are
    decoded elsewhere."""
    with open(path, encoding="utf-8") as file:
        page = re.sub(r"base64,[A-Za-z0-9+/=]+", "", file.read())
    return {"HTML": html.unescape(re.sub(r"<[^>]*>", "", page)).replace("\u00ad", "").replace("\u00a0", " "),
            "attributes": html.unescape(" ".join(re.findall(r"<[^>]*>", page)))}


def documents(path, reader, kinds, *options):
    """(what it is, its layers) of every document, as PDF and as HTML."""
    for kind in kinds:
        pdf, page = (os.path.join(path, f"{kind}-{reader}.{form}") for form in ("pdf", "html"))
        result = platewright("report", path, "--kind", kind, "--for", reader, "-o", pdf, "--html", page, *options,
                             timeout=300)
        equal(result.status, 0, result)
        yield kind, {**layers(pdf), **layers_of_html(page)}


def numbers(text, count):
    return {int(number) for number in re.findall(NAME + r"(\d+)", text)} & set(range(1, count + 1))


def test_a_name_in_any_text_of_the_record_stays_from_the_public():
    with Folder() as folder:
        for first in range(ROUNDS):
            path, _ = volume(first, folder)
            for kind, told in documents(path, "public", KINDS, "--only", SHOWN):
                for layer, text in told.items():
                    at = text.find(NAME)
                    check(at < 0, f"round {first}, {kind}, {layer}: {text[max(0, at - 60):at + 20]}")


def test_nor_do_plates_or_tables_tell_it():
    with Folder() as folder:
        for first in range(ROUNDS):
            path, _ = volume(first, folder)
            pdf, tables = os.path.join(folder.path, f"{first}.pdf"), os.path.join(folder.path, f"csv{first}")
            for options in ([], ["--contact"]):
                equal(platewright("plates", path, "--for", "public", "-o", pdf, *options, timeout=300).status, 0)
                for layer, text in layers(pdf).items():
                    check(NAME not in text, f"round {first}, plates {options}, {layer}")
            equal(platewright("export", path, "--to", "csv", "--for", "public", "-o", tables).status, 0)
            for name in os.listdir(tables):
                with open(os.path.join(tables, name), encoding="utf-8") as file:
                    check(NAME not in file.read(), f"round {first}, {name}")


def test_nor_does_an_id_of_a_piece_or_a_unit():
    record = ("format: platewright-volume 1\nvolume: {id: T-1}\nstudio: {name: %s}\n"
              "consents: [{on: 2026-03-09, by: owner, to: show publicly, is: given}]\n"
              "pieces: [{id: P-%s, kind: part, what: a flap, found: loose}, {id: P2, kind: part, what: a leaf, found: loose}]\n"
              "measurements: [{what: height, value: 3, unit: %s}, {what: width, value: 4, unit: cm}]\n"
              "decisions: [{on: 2026-03-05, about: [P-%s], question: Mend it?, chosen: no, because: it is loose}]\n")
    with Folder() as folder:
        folder.write("volume.yaml", record % (NAME, NAME, NAME, NAME))
        for kind, told in documents(folder.path, "public", ["receipt", "treatment"]):
            check("P2" in told["text"], told["text"])
            for layer, text in told.items():
                check(NAME not in text, f"{kind}, {layer}")


def test_the_same_search_finds_it_in_every_layer_of_the_studio_s():
    found, where = set(), {}
    with Folder() as folder:
        for first in range(ROUNDS):
            path, count = volume(first, folder)
            for _, told in documents(path, "studio", ["proposal", "treatment"]):
                for layer, text in told.items():
                    where[layer] = where.get(layer, set()) | numbers(text, count)
                    found |= numbers(text, count)
    print(f"# {len(found)} of {count} texts; " + ", ".join(f"{len(n)} in {layer}" for layer, n in where.items()))
    check(len(found) > 0.95 * count, sorted(set(range(1, count + 1)) - found))
    equal([layer for layer, n in where.items() if not n], [], "layers in which nothing was found")


run(globals())
