"""Where pages of text end, in every kind of document, for every reader, in both languages, of the demo and of volumes
that press on a layout. They are set without their plates, which stand on pages of their own and take long."""
import os
import shutil
import subprocess

from bench import BUILD, Folder, demo, equal, run
from pages import complaints
from stress import VOLUMES, link

SET_TEXT = os.path.join(BUILD, "tests", "command", "set-text")
EVERY = 30  # kinds, readers and languages
KNOWN = 20  # without the public


def copy_demo(path):
    shutil.copytree(demo(), path, copy_function=link, dirs_exist_ok=True)


def look_at_text(volume, fill, n):
    """Every page of text of every kind of document, for every reader, in both languages; n documents."""
    with Folder() as folder, Folder() as target:
        fill(folder.path)
        done = subprocess.run([SET_TEXT, folder.path, target.path], capture_output=True, timeout=600, check=False)
        equal((done.returncode, done.stderr), (0, b""), volume)
        names = sorted(os.listdir(target.path))
        equal(len(names), n, names)
        equal([f"{name}: {complaint}" for name in names
               for complaint in complaints(os.path.join(target.path, name))], [], volume)


def test_every_document_of_the_demo_breaks_well():
    look_at_text("demo", copy_demo, EVERY)


def test_every_document_of_long_names_breaks_well():
    look_at_text("long", VOLUMES["long"], EVERY)


def test_every_document_of_sixty_marks_breaks_well():
    look_at_text("marks", VOLUMES["marks"], EVERY)


def test_every_document_of_an_empty_record_breaks_well():
    look_at_text("bare", VOLUMES["bare"], KNOWN)


def test_every_document_of_a_long_ledger_breaks_well():
    look_at_text("ledger", VOLUMES["ledger"], EVERY)


run(globals())
