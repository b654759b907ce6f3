"""plates --language: the volume's language, the one asked for, one's own, and what it lacks."""
import os
import subprocess

from bench import Folder, check, equal, platewright, run

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


run(globals())
