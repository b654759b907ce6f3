"""How documents are laid out under load: volumes with long names, many marks, nothing and much, each page of what the
commands make of them looked at with `pages`."""
import os
import shutil

from bench import Folder, check, demo, equal, platewright, run
from pages import LABEL_MARGIN, MARGIN, complaints, pages_of
from stress import VOLUMES, link


def make(folder, document, path):
    result = platewright(document[0], folder.path, *document[1:], "-o", path)
    check(os.path.exists(path), result)


def report(kind, reader, language):
    return ("report", "--kind", kind, "--for", reader, "--language", language)


def looked_at(folder, documents):
    found = []
    for document in documents:
        path = os.path.join(folder.path, "out.pdf")
        make(folder, document, path)
        found += [f"{' '.join(document)}: {complaint}"
                  for complaint in complaints(path, LABEL_MARGIN if document[0] == "labels" else MARGIN)]
        os.remove(path)
    return found


def lay_out(volume, documents):
    """Makes documents of a stress volume, each a command's arguments, and looks at every page."""
    with Folder() as folder:
        VOLUMES[volume](folder.path)
        equal(looked_at(folder, documents), [], volume)


def in_both_languages(*kinds):
    return [report(kind, "owner", language) for kind in kinds for language in ("en", "de")]


def test_the_demo_is_laid_out_well_in_both_languages():
    with Folder() as folder:
        shutil.copytree(demo(), folder.path, copy_function=link, dirs_exist_ok=True)
        equal(looked_at(folder, in_both_languages("receipt", "condition", "proposal", "treatment") + [("plates",)]), [], "demo")


def test_a_proposal_in_short_is_one_page_in_both_languages():
    with Folder() as folder:
        shutil.copytree(demo(), folder.path, copy_function=link, dirs_exist_ok=True)
        for language, last in (("en", "See: What you are asked to agree to"), ("de", "Siehe: Wozu Ihre Zustimmung erbeten wird")):
            path = os.path.join(folder.path, "out.pdf")
            make(folder, report("proposal", "owner", language), path)
            check(last in pages_of(path)[0].lines(), pages_of(path)[0].lines())


def test_long_names_and_notes_stay_in_their_places():
    lay_out("long", in_both_languages("condition", "proposal", "treatment", "receipt") + [("labels",)])


def test_a_summary_is_one_page_whatever_the_names():
    readers = (("studio", "de"), ("owner", "de"), ("public", "de"), ("public", "en"))
    for volume in ("demo", "long"):
        with Folder() as folder:
            if volume == "demo":
                shutil.copytree(demo(), folder.path, copy_function=link, dirs_exist_ok=True)
            else:
                VOLUMES[volume](folder.path)
            path = os.path.join(folder.path, "out.pdf")
            for reader in readers:
                make(folder, report("summary", *reader), path)
                equal(len(pages_of(path)), 1, f"{volume}: {reader}")
                os.remove(path)


def test_sixty_marks_on_a_photograph_stand_beside_it():
    lay_out("marks", in_both_languages("proposal", "treatment", "summary") +
            [report("condition", "public", "en"), ("plates", "--language", "de")])


def test_an_empty_record_makes_whole_pages():
    lay_out("bare", in_both_languages("receipt", "condition", "proposal", "treatment", "summary"))


def test_forty_pieces_and_thirty_decisions_go_on_from_page_to_page():
    lay_out("ledger", in_both_languages("receipt", "condition", "proposal", "treatment", "summary") + [("labels",)])


run(globals())
