"""Languages: the volume's, the one asked for, one's own, what it lacks; and that what is printed in one is not
printed in the other."""
import html
import os
import re
import shutil
import subprocess

import stress
from bench import Folder, check, demo, equal, platewright, run

VOLUME = "format: platewright-volume 1\nvolume: {id: A-1, title: \"Ledger\"}\n"
SIDECAR = ("format: platewright-photo 1\nphoto: {source: studio}\nstage: before\nview: spine\n"
           "marks:\n  - {id: 1, term: tear, part: leaf, point: \"5,5\", count: 2}\n")
DUTCH = ("format: platewright-words 1\nlanguage: nl\npaper: A4\ndecimal: \",\"\ngroups: \".\"\n"
         "dates: {date: \"{day} {month} {year}\", moment: \"{day} {month}\", months: [jan, feb, mrt, apr, "
         "mei, jun, jul, aug, sep, okt, nov, dec]}\nwords: {stage-before: Voor}\n")


def text(folder, *options, volume=VOLUME):
    folder.photograph("a.png")
    folder.write("a.png.yaml", SIDECAR)
    folder.write("volume.yaml", volume)
    path = os.path.join(folder.path, "plates.pdf")
    done = platewright("plates", folder.path, "-o", path, *options)
    equal(done.status, 0)
    words = subprocess.run(["pdftotext", path, "-"], check=True, capture_output=True, text=True).stdout
    return " ".join(words.split()), done


def test_without_a_word_it_is_english():
    with Folder() as folder:
        words, _ = text(folder)
        check("tear, leaf" in words and "2 places" in words and "Spine" in words, words)


def test_the_volume_says_its_language_and_the_option_wins():
    with Folder() as folder:
        words, done = text(folder, volume=VOLUME + "language: de\n")
        check("Riss, Blatt" in words and "2 Stellen" in words and "Rücken" in words, words)
        check("Vor der Behandlung" in words and "no words" not in done.err, done.err)
    with Folder() as folder:
        words, _ = text(folder, "--language", "en", volume=VOLUME + "language: de\n")
        check("tear, leaf" in words, words)


def test_what_a_language_lacks_is_english_and_said_once():
    with Folder() as folder:
        folder.write("nl.yaml", DUTCH)
        words, done = text(folder, "--language", os.path.join(folder.path, "nl.yaml"))
        check("Voor" in words and "2 places" in words, words)
        equal(done.err.count("has no words for these"), 1)
        check("places-many" in done.err and "stage-before" not in done.err, done.err)


def test_a_language_that_is_not_there_is_wrong_use():
    with Folder() as folder:
        folder.write("volume.yaml", VOLUME)
        folder.photograph("a.png")
        done = platewright("plates", folder.path, "--language", "xx")
        equal(done.status, 2)
        check('there is no language "xx"; there is de, en' in done.err, done.err)



# ---- No prose in the wrong language ---------------------------------------------------------------

# What the studio's and the public's documents of a treated volume leave unsaid, and what went wrong with it.
TROUBLED = """format: platewright-volume 1
volume: {id: §1, title: "§2", date: "1850"}
studio: {name: "§3"}
received: 2026-03-02
treated: {from: 2026-03-10}
returned: 2026-05-20
observations:
  - {part: leaf, says: "§4", basis: inferred}
  - {part: leaf, says: "§5", basis: reported}
measurements: [{what: "§6", value: 61, unit: mm}]
tests: [{place: "§7", method: "§8", result: "§9", consumed: yes}]
pieces:
  - {id: P1, kind: part, what: "§10"}
  - {id: P2, kind: removed, what: "§11", outcome: discarded}
  - {id: P3, kind: found inside, what: "§12", outcome: housed}
  - {id: P4, kind: found inside, what: "film, §13", outcome: returned to owner}
decisions: [{question: "§14", options: ["§15"], chosen: "§15", because: "§16", basis: inferred}]
proposal: [{part: spine, do: "§17"}]
treatment: [{did: "§18"}, {on: 2026-03-11, part: spine, did: "§19", differs: "§20", hours: 2}]
estimate: {currency: EUR, lines: [{what: "§21", hours: 1, rate: 60}]}
consents:
  - {on: 2026-03-01, by: owner, to: treatment, is: given, until: 2026-03-05, except: [leaf], scope: "§22"}
  - {on: 2026-03-12, by: owner, to: treatment, is: withdrawn}
  - {on: 2026-03-01, by: owner, to: show publicly, is: limited, except: [head]}
issued:
  - {document: proposal, version: 1, on: 2026-03-13, to: owner, sha256: "%s"}
""" % ("ab" * 32)
MARKED = """marks:
  - {id: 1, term: loss, part: leaf, severity: 3, outline: "10,10 90,10 90,90", basis: inferred, note: "§23"}
  - {id: 2, term: undecided, part: leaf, line: "10,100 90,120", basis: reported}
  - {id: 3, term: red rot, part: spine leather, point: "200,200", count: 3, basis: tested, note: "§24"}
"""
RECTANGLE = "rectangle: {corners: \"0,0 500,0 500,300 0,300\", width: 100, height: 60}"
TROUBLES = {  # name: the sidecar but for its marks
    "a.png": "stage: before\nview: front board\nshape: curved\n",
    "b.png": "stage: before\nview: opening\nscale: {" + RECTANGLE + "}\n",
    "c.png": "stage: after\nview: spine\nlight: raking from left\nscale: {" + RECTANGLE + ", plane-offset: 9}\n",
    "d.png": "stage: during\nview: tail\nstep: \"§25\"\n",
    "e.png": "stage: before\nview: head\nscale: {" + RECTANGLE + ", plane-offset: 0, camera-distance: 800}\n",
}


def troubled(folder):
    folder.write("volume.yaml", TROUBLED)
    for name, sidecar in TROUBLES.items():
        folder.photograph(name)
        folder.write(name + ".yaml", "format: platewright-photo 1\nphoto: {source: studio}\n"
                     "privacy-checked: 2026-03-05\n" + sidecar + MARKED)


def wordless(folder):
    """The demo without a word of its own: each text of it is a sign and a number."""
    shutil.copytree(demo(), folder.path, dirs_exist_ok=True)
    for name in ["volume.yaml"] + stress.sidecars(folder.path):
        count = 0

        def unsay(found):
            nonlocal count
            if re.search(r'\.jpg|^"[-+\d,. :]*"|":$', found[0]):
                return found[0]
            count += 1
            return f'"\u00a7{count}"'

        folder.write(name, re.sub(r'"[^"]+":?', unsay, folder.read(name)))


def as_taken_in(folder):
    stress.as_taken_in(folder.path)


def cited():
    """Works that rules and terms go by are called what they are called; what names no work is prose."""
    text = "".join(stress.read(os.environ["PLATEWRIGHT_STYLES"], name) for name in ("care.yaml", "terms.yaml"))
    sources = "; ".join(re.findall(r'source: "([^"]+)"', text)).split("; ")
    return "; ".join(source for source in sources if source not in ("a precaution", "trade use", "from memory"))


def prose(text):
    """Every two words that follow one another, nothing but white space between; units, currencies, numbers of
    volumes, checksums and names of files are none."""
    plain = re.sub(r"\b[0-9a-f]{6,}\b|\S+\.(jpg|png)|mm\u00b2|\bmm\b|\b(EUR|PSR)\b", "\u00a7", text)
    runs = re.split(r"[^\w\s'\u2019]|[\d_]", plain)
    return {tuple(run[i:i + 2]) for run in (part.split() for part in runs) for i in range(len(run) - 1)}


def said_in_pdf(path):
    text = subprocess.run(["pdftotext", "-raw", path, "-"], check=True, capture_output=True, text=True).stdout
    alternatives = subprocess.run(["qpdf", "--json", "--json-stream-data=none", path], check=True, capture_output=True,
                                  text=True).stdout
    return text + "\n".join(re.findall(r'"/(?:Alt|Title)": "u:([^"]+)"', alternatives))


def said_in_html(path):
    with open(path, encoding="utf-8") as file:
        page = re.sub(r"<(style|script).*?</\1>|base64,[A-Za-z0-9+/=]+", "", file.read(), flags=re.S)
    attributes = re.findall(r' (?:alt|aria-label|title)="([^"]*)"', page)
    return html.unescape(re.sub(r"<[^>]+>", " \u00a7 ", page) + " \u00a7 ".join(attributes))


def documents(folder, reader, language):
    """(what, everything that it says) of every document of a volume."""
    path = os.path.join(folder, "out")
    for kind in ("receipt", "condition", "proposal", "treatment", "summary"):
        done = platewright("report", folder, "--kind", kind, "--for", reader, "--language", language, "-o", path + ".pdf",
                           "--html", path + ".html", timeout=300)
        equal(done.status, 0, done)
        yield kind, said_in_pdf(path + ".pdf")
        yield kind + ", HTML", said_in_html(path + ".html")
    for command, options in (("plates", []), ("plates", ["--contact"]), ("labels", [])):
        if command == "labels" and reader != "studio":
            continue
        done = platewright(command, folder, "--language", language, "-o", path + ".pdf", *options,
                           *(["--for", reader] if command == "plates" else []), timeout=300)
        if done.status == 0:
            yield " ".join([command, *options]), said_in_pdf(path + ".pdf")


# Names: of a camera, a card, a colour space, a command
NAMES = {("platewright", "align"), ("Larkfield", "LF"), ("strip", "a"), ("Compatible", "with"), ("with", "Adobe"), ("Adobe", "RGB")}


def test_no_prose_but_the_record_s_is_the_same_in_both_languages():
    same, n = {}, 0
    for make in (wordless, troubled, as_taken_in):
        with Folder() as folder:
            make(folder)
            for reader in ("studio", "public"):
                if make is as_taken_in and reader == "public":
                    continue  # nobody has agreed to that
                english, german = (dict(documents(folder.path, reader, language)) for language in ("en", "de"))
                equal(list(english), list(german))
                for what, text in english.items():
                    words = prose(text)
                    n += len(words)
                    for pair in words & prose(german[what]) - prose(cited()) - NAMES:
                        same.setdefault(" ".join(pair), f"{make.__name__}, {reader}, {what}")
    print(f"# {n} pairs of words compared")
    check(n > 5000, n)
    check(not same, same)


run(globals())
