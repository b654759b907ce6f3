"""report: every kind of document for every reader in every language, what the public must not see in any
layer of it, and documents that are issued."""
import base64
import hashlib
import html
import os
import re
import subprocess

from bench import BUILD, SOURCE, Folder, Skip, check, demo, demo_truth, equal, platewright, run, tool

KINDS = ["receipt", "condition", "proposal", "treatment", "summary"]
READERS = ["studio", "owner", "public"]
LANGUAGES = ["en", "de"]
# What the record of the demo says and no public document may: volume.yaml's names, addresses, sums, where
# pieces are kept, how consent was given, what is private or about it, notes.
NEVER_PUBLIC = ["Merrowsund", "keeper of registers", ".example", "Harbour Office", "2,358.50", "2,853.79", "68.00",
                "2.358,50", "2.853,79", "68,00", "envelope", "tray 2", "e-mail", "pressed fern", "studio only",
                "inscription", "Inschrift"]
FOUND_IN_THE_STUDIOS = ["Orrowin", "Elsbet", "north mole", "Tarrowby", "Wrenfold", "LF24_", "LF12_", "Merrowsund",
                        "keeper of registers", ".example", "Harbour Office", "2,358.50", "2,853.79", "68.00",
                        "envelope", "tray 2", "e-mail", "pressed fern", "Inscription"]
made = {}


def report(kind, reader, language):
    """The demo's document, made once; the path of the PDF."""
    key = (kind, reader, language)
    if key not in made:
        path = os.path.join(BUILD, f"demo-report-{kind}-{reader}-{language}.pdf")
        result = platewright("report", demo(), "--kind", kind, "--for", reader, "--language", language, "-o", path,
                             timeout=600)
        equal(result.status, 0, result)
        check("no words for" not in result.err, result)
        made[key] = path
    return made[key]


def every():
    for kind in KINDS:
        for reader in READERS:
            for language in LANGUAGES:
                yield kind, reader, language


def output(*command):
    done = subprocess.run(command, capture_output=True, timeout=600, check=False)
    return done.returncode, (done.stdout + done.stderr).decode("utf-8", "replace")


def words_of(path):
    """All text, white space folded, so that a line break hides nothing."""
    status, text = output(tool("pdftotext"), "-raw", path, "-")
    equal(status, 0, text)
    return re.sub(r"\s+", " ", text)


def unescaped(objects):
    """Strings of a PDF in whichever way they are written: octal escapes, UTF-16 in hexadecimal."""
    plain = re.sub(r"\\([0-7]{3})", lambda m: chr(int(m.group(1), 8)), objects)
    hexes = []
    for digits in re.findall(r"<([0-9a-fA-F]{4,})>", objects):
        data = bytes.fromhex(digits + "0" * (len(digits) % 2))
        hexes.append(data.decode("utf-16-be" if data[:2] == b"\xfe\xff" else "latin-1", "replace"))
    return plain.replace("\0", "") + "\n" + "\n".join(hexes)


def undrawn(objects):
    """Without the coordinates of what is drawn, which are no sums of money; what stands in strings stays."""
    return re.sub(r"\((?:\\.|[^\\()])*\)|<[0-9a-fA-F\s]*>|-?\d*\.\d+",
                  lambda m: m[0] if m[0][0] in "(<" else "", objects)


def everything_in(path):
    """Text, metadata, all uncompressed objects: outlines, Alt and ActualText, names, Info, XMP."""
    _, qdf = output(tool("qpdf"), "--qdf", "--object-streams=disable", path, "-")
    qdf = undrawn(qdf)
    _, info = output(tool("pdfinfo"), "-meta", path)
    _, struct = output(tool("pdfinfo"), "-struct", path)  # its text is among the objects already
    return "\n".join([words_of(path), qdf, unescaped(qdf), info, struct])


def private_words():
    truth = demo_truth()
    return truth["never_in_public"] + truth["never_in_documents"] + NEVER_PUBLIC


# ---- PDF ------------------------------------------------------------------------------------------


def test_every_document_is_made_and_clean_to_qpdf():
    for key in every():
        status, text = output(tool("qpdf"), "--check", report(*key))
        equal(status, 0, f"{key}: {text}")


def test_documents_are_valid_pdf_a_1b():
    preflight = os.path.join(SOURCE, "tests", "tools", "preflight")
    tool("java")
    for key in every():
        status, text = output("sh", preflight, report(*key))
        if status == 77:
            raise Skip(text.strip())
        equal(status, 0, f"{key}: {text}")


def test_two_runs_give_the_same_bytes():
    with Folder() as folder:
        again = os.path.join(folder.path, "again.pdf")
        equal(platewright("report", demo(), "--kind", "proposal", "--for", "owner", "-o", again).status, 0)
        with open(again, "rb") as one, open(report("proposal", "owner", "en"), "rb") as other:
            check(one.read() == other.read(), "the bytes differ")


def test_a_summary_is_one_page():
    for reader in READERS:
        for language in LANGUAGES:
            _, info = output(tool("pdfinfo"), report("summary", reader, language))
            check(re.search(r"Pages:\s+1\n", info), f"{reader} {language}: {info}")


def test_each_kind_is_of_its_own_day():
    """By the demo's record, which goes on to 20 May 2026: received, the last test before the work, agreement
    asked for, returned."""
    days = {"receipt": "2 March", "condition": "6 March", "proposal": "8 March", "treatment": "20 May",
            "summary": "20 May"}
    for kind, day in days.items():
        words = words_of(report(kind, "owner", "en"))[:900]
        check(f"Wrenfold bench {day} 2026" in words, f"{kind}: {words}")
        equal("The record goes on to 20 May 2026;" in words, day != "20 May", kind)
        page = re.sub("<[^>]+>", "", html_of(kind, "owner", "en").split("<header>")[1].split("</header>")[0])
        check(page.endswith(f"Wrenfold bench \u00b7 {day} 2026"), page)


def test_a_condition_report_lists_no_later_photograph():
    for language, later in (("en", "18 May 2026"), ("de", "18. Mai 2026")):
        words = words_of(report("condition", "owner", language))
        check("before/LF24_0412.jpg" in words and "after/LF24_0502.jpg" not in words, words[-6000:])
        check(later not in words, words[-6000:])
        check("after/LF24_0502.jpg" in words_of(report("treatment", "owner", language)), "the treatment report does")


def test_the_public_is_asked_to_agree_to_nothing():
    for language, asked in (("en", "asked to agree to"), ("de", "um Zustimmung gebeten")):
        check(asked in words_of(report("proposal", "owner", language))[:900], language)
        check(asked not in words_of(report("proposal", "public", language)), language)


def test_plates_that_show_a_thing_stand_in_order():
    """The joint of the back board is photographed with the board, which is plate 5, before the spine, plate 3."""
    check("Plate 3, Plate 5" in words_of(report("treatment", "owner", "en")), "in order")
    check("Plate 5, Plate 3" not in words_of(report("treatment", "owner", "en")), "in the order of photographs")


def test_a_number_stays_with_the_word_that_it_ends():
    for language, word in (("en", "Plate"), ("de", "Tafel")):
        status, text = output(tool("pdftotext"), "-raw", report("treatment", "owner", language), "-")
        equal(status, 0, text)
        check(not re.search(rf"{word}\n\d", text), re.findall(rf".*{word}\n\d.*", text))


def test_a_measurement_has_the_decimals_of_its_tolerance():
    """62.0 in the record, which once read is 62."""
    check("62.0 \u00b1 0.5 mm" in words_of(report("treatment", "owner", "en")), "in English")
    check("62,0 \u00b1 0,5 mm" in words_of(report("treatment", "owner", "de")), "in German")
    check("95 \u00b1 5 degrees" in words_of(report("treatment", "owner", "en")), "a whole number stays whole")


def test_charts_and_the_map_tell_what_is_not_known():
    """219 ± 11, 1 of it unsized; of 30 places on openings 28 were not looked at again, so that 1 is gone."""
    words = words_of(report("treatment", "owner", "de"))
    check("219 \u00b1 11 \u00b7 1 ohne Gr\u00f6\u00dfe" in words, "what is said of a figure stands beside it")
    check("30 / 1 + 28 ?" in words, "the map")
    check("die Ansichten zusammen 71, am Band sind es 69" in words, "why it does not add up")


def test_sizes_by_a_rule_name_no_card():
    """The corner before treatment has a rule beside it, no card: plate 10 of the treatment report."""
    for language, same, card in (("en", "in the same plane", "the plane of the card"),
                                 ("de", "in derselben Ebene", "der Ebene der Karte")):
        page = words_of(report("condition", "owner", language)).split("LF12_0038.jpg")[-1]
        check(same in page and card not in page, page)


def test_a_record_without_a_day_prints_none():
    with Folder() as folder:
        folder.write("volume.yaml", "format: platewright-volume 1\nvolume: {id: T-1}\n")
        path = os.path.join(folder.path, "out.pdf")
        for kind in KINDS:
            equal(platewright("report", folder.path, "--kind", kind, "-o", path).status, 0)
            check("1970" not in words_of(path), kind)


def test_the_volumes_language_is_printed_where_none_is_asked_for():
    with Folder() as folder:
        folder.write("volume.yaml", "format: platewright-volume 1\nlanguage: de\nvolume: {id: T-1}\n")
        path = os.path.join(folder.path, "out.pdf")
        equal(platewright("report", folder.path, "--kind", "receipt", "-o", path).status, 0)
        check("Empfangsbestätigung" in words_of(path), words_of(path))


# ---- Who sees what --------------------------------------------------------------------------------


def test_the_public_sees_no_private_word_in_any_layer():
    for kind in KINDS:
        for language in LANGUAGES:
            public = everything_in(report(kind, "public", language))
            for word in private_words():
                check(word not in public, f"{kind} {language}: {word}")


def test_the_same_search_finds_them_in_the_studios():
    studio = "\n".join(everything_in(report(kind, "studio", "en")) for kind in ("proposal", "treatment"))
    for word in FOUND_IN_THE_STUDIOS:
        check(word in studio, word)


def test_no_document_holds_a_position_or_a_serial_number():
    for kind in KINDS:
        for reader in READERS:
            everything = everything_in(report(kind, reader, "en"))
            for word in demo_truth()["never_in_documents"]:
                check(word not in everything, f"{kind} {reader}: {word}")
            with open(report(kind, reader, "en"), "rb") as file:
                check(b"Exif" not in file.read(), f"{kind} {reader}")


def test_notes_are_never_the_owners():
    for kind in KINDS:
        check("studio only" not in everything_in(report(kind, "owner", "en")), kind)
    check("studio only" in everything_in(report("treatment", "studio", "en")), "the search finds them in the studio's")


def html_of(kind, reader, language):
    path = os.path.join(BUILD, f"demo-report-{kind}-{reader}-{language}.html")
    result = platewright("report", demo(), "--kind", kind, "--for", reader, "--language", language, "--html", path,
                         timeout=600)
    equal(result.status, 0, result)
    with open(path, encoding="utf-8") as file:
        return file.read().replace("\u00a0", " ")  # which holds a line together


def everything_in_html(page):
    """Text, attributes and the pictures as they are decoded; how many pictures there are."""
    pictures = re.findall(r"base64,([A-Za-z0-9+/=]+)", page)
    decoded = "".join(base64.b64decode(picture).decode("latin-1") for picture in pictures)
    return html.unescape(re.sub(r"base64,[A-Za-z0-9+/=]+", "", page)) + decoded, len(pictures)


def test_the_public_html_holds_no_private_word():
    for kind in KINDS:
        for language in LANGUAGES:
            everything, n = everything_in_html(html_of(kind, "public", language))
            check(n > 5 or kind in ("receipt", "summary"), f"{kind}: {n} pictures")
            for word in private_words() + ["Exif"]:
                check(word not in everything, f"{kind} {language}: {word}")


def test_html_lists_its_parts_where_there_are_several():
    for kind, lists in (("treatment", True), ("summary", False)):
        equal("<nav" in html_of(kind, "owner", "en"), lists, kind)


def test_the_same_search_finds_them_in_the_studios_html():
    everything = "".join(everything_in_html(html_of(kind, "studio", "en"))[0] for kind in ("proposal", "treatment"))
    for word in FOUND_IN_THE_STUDIOS:
        check(word in everything, word)


def test_without_a_consent_nothing_is_made_for_the_public():
    with Folder() as folder:
        folder.write("volume.yaml", "format: platewright-volume 1\nvolume: {id: T-1}\n")
        path = os.path.join(folder.path, "out.pdf")
        result = platewright("report", folder.path, "--kind", "summary", "--for", "public", "-o", path)
        equal(result.status, 1, result)
        check("no consent" in result.err, result)
        check(not os.path.exists(path), "a file was made")


# ---- Issuing --------------------------------------------------------------------------------------

RECORD = """format: platewright-volume 1
# a comment that stays
volume: {id: T-9, title: "Tables of Tides"}
proposal:
  - {part: spine, do: "Resew two gatherings.", risk: "Old leather may break."}
"""


def issue(folder, *options):
    return platewright("report", folder.path, "--kind", "proposal", "--for", "owner", "--issue", *options)


def test_an_issued_document_is_kept_with_its_checksum():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        result = issue(folder, "--on", "2026-03-08")
        equal(result.status, 0, result)
        path = os.path.join(folder.path, "issued", "T-9-proposal-v1-owner.pdf")
        with open(path, "rb") as file:
            digest = hashlib.sha256(file.read()).hexdigest()
        text = folder.read("volume.yaml")
        check("# a comment that stays" in text, text)
        for word in ("proposal", "version: 1", "2026-03-08", "owner", digest):
            check(word in text.split("issued:")[1], f"{word}: {text}")
        check("Version 1, issued on 8 March 2026 for the owner." in words_of(path), words_of(path))
        found = platewright("check", folder.path)
        check("issued" not in found.out + found.err, found)


def test_a_later_one_is_an_amendment_that_says_what_changed():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        equal(issue(folder, "--on", "2026-03-08").status, 0)
        first = open(os.path.join(folder.path, "issued", "T-9-proposal-v1-owner.pdf"), "rb").read()
        folder.write("volume.yaml", folder.read("volume.yaml").replace("Resew two", "Resew three"))
        result = issue(folder, "--on", "2026-03-10")
        equal(result.status, 0, result)
        second = os.path.join(folder.path, "issued", "T-9-proposal-v2-owner.pdf")
        words = words_of(second)
        check("Amendment" in words, words)
        check("takes the place of version 1 of 8 March 2026" in words, words)
        check("What is proposed: changed" in words, words)
        check("The volume: changed" not in words, words)
        check(first == open(os.path.join(folder.path, "issued", "T-9-proposal-v1-owner.pdf"), "rb").read(),
              "the first was touched")
        os.remove(os.path.join(folder.path, "issued", "T-9-proposal-v2-owner.txt"))
        equal(issue(folder, "--on", "2026-03-11").status, 0)
        words = words_of(os.path.join(folder.path, "issued", "T-9-proposal-v3-owner.pdf"))
        check("cannot be told" in words, words)


def test_nothing_is_issued_through_a_link():
    with Folder() as folder, Folder() as elsewhere:
        folder.write("volume.yaml", RECORD)
        os.symlink(elsewhere.path, os.path.join(folder.path, "issued"))
        result = issue(folder, "--on", "2026-03-08")
        equal(result.status, 3, result)
        check("issued is a link" in result.err, result)
        equal(os.listdir(elsewhere.path), [])
        equal(folder.read("volume.yaml"), RECORD)


ESTIMATE = """estimate: {currency: EUR, lines: [{what: "sewing", hours: 3.5, rate: 68.00}, {what: "thread", cost: 24.50}]}
"""


def of_version(folder, version, kind="proposal", reader="owner"):
    return words_of(os.path.join(folder.path, "issued", f"T-9-{kind}-v{version}-{reader}.pdf"))


def test_what_changed_names_short_values():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD + ESTIMATE)
        equal(issue(folder, "--on", "2026-03-08").status, 0)
        folder.write("volume.yaml", folder.read("volume.yaml").replace("cost: 24.50", "cost: 30.50"))
        equal(issue(folder, "--on", "2026-03-10").status, 0)
        words = of_version(folder, 2)
        check("Estimate: changed; thread: 30.50, before 24.50; In all: 268.50 EUR, before 262.50 EUR" in words, words)
        check("What it is estimated to cost: 268.50 EUR, before 262.50 EUR" in words, words)
        check("268.50 EUR, before 262.50 EUR" in words, words)
        equal(issue(folder, "--on", "2026-03-10", "--language", "de").status, 0)
        words = of_version(folder, 3)
        check("Fassung 2 vom 10. März 2026, die auf Englisch verfasst ist" in words, words)
        check(": neu" not in words and ": entfallen" not in words, words)


def agree(folder, *words):
    """Puts words on treatment on record: (day, is, and whatever else)."""
    lines = "".join(f"  - {{on: {day}, by: owner, to: treatment, is: {answer}}}\n" for day, answer in words)
    text = re.sub(r"consents:\n(  - .*\n)*", "", folder.read("volume.yaml"))
    folder.write("volume.yaml", text + "consents:\n" + lines)


def replace(folder, old, new):
    text = folder.read("volume.yaml")
    check(old in text, text)
    folder.write("volume.yaml", text.replace(old, new))


STEPS = RECORD + """  - {part: sewing, do: "Sew it.", risk: "None known."}
  - {part: spine, do: "Line it.", risk: "Paste is wet."}
"""


def test_what_was_agreed_is_not_asked_again():
    with Folder() as folder:
        folder.write("volume.yaml", STEPS + ESTIMATE)
        equal(issue(folder, "--on", "2026-03-08").status, 0)
        check("you agreed" not in of_version(folder, 1), of_version(folder, 1))
        agree(folder, ("2026-03-08", "asked"), ("2026-03-09", 'given, scope: "all but the label"'),
              ("2026-03-20", "asked"))
        replace(folder, "Line it.", "Line it twice.")
        replace(folder, "cost: 24.50", "cost: 30.50")
        equal(issue(folder, "--on", "2026-03-20").status, 0)
        words = of_version(folder, 2)
        asked = words.split("you agreed to the treatment")[1].split("Place and date")[0]
        check("On 9 March 2026 you agreed to version 1. You are asked only for what stands there." in words, words)
        check("On 9 March 2026 you agreed to the treatment as version 1 of 8 March 2026 proposes it." in words, words)
        check("For: all but the label" in asked, asked)
        check("1 Spine: changed; Proposed: Line it twice, before Line it " in asked, asked)
        check("2 Estimate: changed; thread: 30.50, before 24.50; In all: 268.50 EUR, before 262.50 EUR" in asked, asked)
        check("What you are asked to agree to: changed In short" in words, words)
        check("Sewing" not in asked and "carried out as it is proposed" not in asked and " 3 " not in asked, asked)

        # a later answer is to the version that it follows; what changed since is held against that one
        agree(folder, ("2026-03-08", "asked"), ("2026-03-09", "given"), ("2026-03-22", "given"))
        replace(folder, "Sew it.", "Sew it on tapes.")
        equal(issue(folder, "--on", "2026-03-23").status, 0)
        asked = of_version(folder, 3).split("you agreed to the treatment")[1].split("Place and date")[0]
        check("as version 2 of 20 March 2026 proposes it" in asked, asked)
        check("1 Sewing: changed; Proposed: Sew it on tapes, before Sew it " in asked and "Estimate" not in asked, asked)


def test_what_no_longer_holds_is_asked_again():
    for words, again in (((("2026-03-09", "given"), ("2026-03-10", "withdrawn")), True),
                         ((("2026-03-09", "given, until: 2026-03-15"),), True),
                         ((("2026-03-07", "given"),), True),  # of no version
                         ((("2026-03-21", "given"),), True),  # later than the document
                         ((("2026-03-09", "limited, except: [sewing]"),), False)):
        with Folder() as folder:
            folder.write("volume.yaml", RECORD)
            equal(issue(folder, "--on", "2026-03-08").status, 0)
            agree(folder, *words)
            replace(folder, "Resew two", "Resew three")
            equal(issue(folder, "--on", "2026-03-20").status, 0)
            told = of_version(folder, 2)
            equal("carried out as it is proposed here" in told, again, f"{words}: {told}")
            equal("you agreed to the treatment" in told, not again, f"{words}: {told}")


def test_an_agreement_to_what_cannot_be_compared_is_told_and_all_is_asked():
    for spoil in ("text", "language"):
        with Folder() as folder:
            folder.write("volume.yaml", RECORD)
            equal(issue(folder, "--on", "2026-03-08").status, 0)
            agree(folder, ("2026-03-09", "given"))
            replace(folder, "Resew two", "Resew three")
            if spoil == "text":
                os.remove(os.path.join(folder.path, "issued", "T-9-proposal-v1-owner.txt"))
            equal(issue(folder, "--on", "2026-03-20", *(["--language", "de"] if spoil == "language" else [])).status, 0)
            told = of_version(folder, 2)
            if spoil == "text":
                check("On 9 March 2026 you agreed to the treatment" in told, told)
                check("its text is missing, or in another language. So all of it is asked again." in told, told)
                check("carried out as it is proposed here" in told, told)
            else:
                check("Am 9. März 2026 haben Sie der Behandlung zugestimmt" in told, told)
                check("so ausgeführt, wie sie hier vorgeschlagen ist" in told, told)


def test_where_nothing_of_it_changed_nothing_is_to_be_signed():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        equal(issue(folder, "--on", "2026-03-08").status, 0)
        agree(folder, ("2026-03-09", "given"))
        replace(folder, "Tables of Tides", "Tables of the Tides")
        equal(issue(folder, "--on", "2026-03-20").status, 0)
        told = of_version(folder, 2)
        check("You are not asked to agree to it again." in told, told)
        check("Place and date" not in told and "Strike out" not in told, told)
        replace(folder, "proposal:", 'pieces:\n  - {id: P3, kind: removed, what: lining, kept: none, '
                "outcome: discarded, because: acid, on: 2026-03-19}\nproposal:")
        equal(issue(folder, "--on", "2026-03-21").status, 0)
        told = of_version(folder, 3)
        check("you agree to what is still open: 1 P3, lining, is discarded." in told, told)
        check("Place and date" in told, told)


def test_nothing_new_is_not_issued_again():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        equal(issue(folder, "--on", "2026-03-08").status, 0)
        before = folder.read("volume.yaml")
        result = issue(folder, "--on", "2026-03-09")
        equal(result.status, 1, result)
        check("nothing has changed since version 1 of 2026-03-08; that file stands" in result.err, result)
        equal(folder.read("volume.yaml"), before)
        equal(len(os.listdir(os.path.join(folder.path, "issued"))), 2)
        equal(issue(folder, "--on", "2026-03-09", "--language", "de").status, 0)
        equal(platewright("report", folder.path, "--kind", "proposal", "--issue", "--on", "2026-03-09").status, 0)


def test_that_a_document_was_issued_is_no_news_to_its_next_version():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        equal(issue(folder, "--on", "2026-03-08").status, 0)
        treatment = ("report", folder.path, "--kind", "treatment", "--for", "owner", "--issue", "--on", "2026-03-09")
        equal(platewright(*treatment).status, 0)
        words = of_version(folder, 1, "treatment")
        check("What left the studio before" in words and "8 March 2026" in words, words)
        result = platewright(*treatment)
        equal(result.status, 1, result)
        check("nothing has changed since version 1 of 2026-03-09" in result.err, result)


def test_a_version_that_was_replaced_is_not_said_to_stand():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        equal(issue(folder, "--on", "2026-03-08").status, 0)
        folder.write("volume.yaml", folder.read("volume.yaml").replace("Resew two", "Resew three"))
        equal(issue(folder, "--on", "2026-03-10").status, 0)
        path = os.path.join(folder.path, "t.pdf")
        equal(platewright("report", folder.path, "--kind", "treatment", "-o", path).status, 0)
        told = words_of(path).split("What left the studio before")[-1]
        equal([told.count(words) for words in ("replaced by a later version", " stands ")], [1, 1], told)
        check("without consent" not in platewright("check", folder.path).out, "check")


def test_another_picture_under_the_same_words_is_news():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        folder.photograph("before/one.png")
        platewright("intake", folder.path)
        text = folder.read("before/one.png.yaml") + "view: spine\nprivacy-checked: 2026-03-05\n"
        mark = 'marks:\n  - {id: 1, term: tear, part: spine, line: "10,10 90,%d"}\n'
        folder.write("before/one.png.yaml", text + mark % 90)
        equal(issue(folder, "--on", "2026-03-08").status, 0)
        equal(issue(folder, "--on", "2026-03-08").status, 1)
        folder.write("before/one.png.yaml", text + mark % 200)
        result = issue(folder, "--on", "2026-03-08")
        equal(result.status, 0, result)
        check("Nothing of what it says has changed." in of_version(folder, 2), of_version(folder, 2))


def test_an_earlier_day_takes_no_later_version_s_place():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        equal(issue(folder, "--on", "2026-03-08").status, 0)
        folder.write("volume.yaml", folder.read("volume.yaml").replace("Resew two", "Resew three"))
        result = issue(folder, "--on", "2026-03-07")
        equal(result.status, 2, result)
        check("cannot take the place of version 1 of 2026-03-08" in result.err, result)
        result = issue(folder, "--on", "2999-01-01")
        equal(result.status, 2, result)
        check("still to come" in result.err, result)
        equal(len(os.listdir(os.path.join(folder.path, "issued"))), 2)


def test_what_stands_against_issuing_is_told():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD + "returned: 2026-05-20\npieces:\n  - {id: P1, kind: part, what: board}\n")
        result = issue(folder, "--on", "2026-06-01")
        equal(result.status, 0, result)
        check("warning: the volume has gone back already" in result.err, result)
        result = platewright("report", folder.path, "--kind", "treatment", "--for", "owner", "--issue",
                             "--on", "2026-06-01")
        equal(result.status, 0, result)
        check("warning: 1 piece is not accounted for" in result.err, result)


def test_errors_of_the_record_are_told_with_a_document():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        result = platewright("report", folder.path, "--kind", "proposal", cwd=folder.path)
        check("check" not in result.err, result)
        folder.write("volume.yaml", RECORD + "returned: 2026-05-20\npieces:\n  - {id: P1, kind: part, what: board}\n")
        result = platewright("report", folder.path, "--kind", "proposal", cwd=folder.path)
        equal(result.status, 0, result)
        check("the record has 2 errors that `platewright check` names" in result.err, result)


def test_nothing_issued_is_overwritten():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        kept = folder.write("issued/T-9-proposal-v1-owner.pdf", "%PDF-not ours")
        result = issue(folder, "--on", "2026-03-08")
        equal(result.status, 3, result)
        equal(folder.read("issued/T-9-proposal-v1-owner.pdf"), "%PDF-not ours")
        equal(folder.read("volume.yaml"), RECORD)
        check(os.path.exists(kept) and len(os.listdir(os.path.dirname(kept))) == 1, os.listdir(os.path.dirname(kept)))


def test_where_the_record_does_not_take_it_nothing_is_left():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        os.mkdir(os.path.join(folder.path, "issued"))
        os.chmod(os.path.join(folder.path, "volume.yaml"), 0o444)
        os.chmod(folder.path, 0o555)
        if os.access(folder.path, os.W_OK):
            raise Skip("run by root, whom no folder refuses")
        equal(issue(folder, "--on", "2026-03-08").status, 3)
        equal(os.listdir(os.path.join(folder.path, "issued")), [])


def test_a_record_with_errors_is_not_issued():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD + "recieved: 2026-03-02\n")
        result = issue(folder)
        equal(result.status, 1, result)
        check(not os.path.exists(os.path.join(folder.path, "issued")), "something was kept")


def test_a_folder_without_volume_yaml_is_not_issued():
    with Folder() as folder:
        folder.photograph("a.png")
        result = issue(folder)
        equal(result.status, 1, result)
        check("volume.yaml" in result.err, result)


# ---- Use ------------------------------------------------------------------------------------------


def test_wrong_use_is_told():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        for options, said in ((["--kind", "invoice"], "--kind takes"), ([], "--kind takes"),
                              (["--kind", "receipt", "--for", "press"], "--for takes"),
                              (["--kind", "receipt", "--on", "2026-03-02"], "goes with --issue"),
                              (["--kind", "receipt", "--issue", "-o", "x.pdf"], "leave -o out"),
                              (["--kind", "receipt", "--issue", "--on", "March"], "--on takes a day"),
                              (["--kind", "condition", "--only", "nowhere.jpg"], "no photograph nowhere.jpg")):
            result = platewright("report", folder.path, *options, cwd=folder.path)
            equal(result.status, 2, result)
            check(said in result.err, result)
        equal(sorted(os.listdir(folder.path)), ["volume.yaml"])


def test_an_ending_of_another_format_is_refused():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        for options in (["-o", "x.docx"], ["-o", "x.html"], ["--html", "x.pdf"]):
            result = platewright("report", folder.path, "--kind", "receipt", *options, cwd=folder.path)
            equal(result.status, 2, result)
        equal(sorted(os.listdir(folder.path)), ["volume.yaml"])
        for options in (["-o", "x.PDF"], ["-o", "x"], ["--html", "x.htm"]):
            result = platewright("report", folder.path, "--kind", "receipt", *options, cwd=folder.path)
            equal(result.status, 0, result)


def test_a_page_of_html_gives_way_to_html_alone():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        path = folder.write("notes.txt", "do not lose this")
        result = platewright("report", folder.path, "--kind", "receipt", "--html", path)
        equal(result.status, 2, result)
        equal(folder.read("notes.txt"), "do not lose this")
        page = os.path.join(folder.path, "page.html")
        for _ in range(2):
            equal(platewright("report", folder.path, "--kind", "receipt", "--html", page).status, 0)


def test_both_forms_at_once():
    with Folder() as folder:
        folder.write("volume.yaml", RECORD)
        pdf, page = os.path.join(folder.path, "a.pdf"), os.path.join(folder.path, "a.html")
        equal(platewright("report", folder.path, "--kind", "receipt", "-o", pdf, "--html", page).status, 0)
        check(os.path.getsize(pdf) > 1000 and os.path.getsize(page) > 1000, "one is missing")
        result = platewright("report", folder.path, "--kind", "receipt", cwd=folder.path)
        equal(result.status, 0, result)
        check(os.path.exists(os.path.join(folder.path, "T-9-report-receipt.pdf")), os.listdir(folder.path))


def test_only_the_photographs_asked_for_are_shown():
    path = os.path.join(BUILD, "demo-report-only.pdf")
    result = platewright("report", demo(), "--kind", "condition", "--only",
                         "before/LF24_0413.jpg,before/LF12_0033.jpg", "-o", path)
    equal(result.status, 0, result)
    check("2 plates" in result.err, result)
    words = words_of(path)
    check("LF24_0413.jpg" in words and "LF24_0412.jpg" not in words, words[-2000:])
    check("6 photographs that were not asked for" in words, words[-2000:])


def test_a_plate_has_its_title_where_all_its_photographs_stand():
    corner = ["before/LF12_0038.jpg", "during/LF12_0063.jpg", "after/LF12_0078.jpg"]
    path = os.path.join(BUILD, "demo-report-corner.pdf")
    for kind, only, says in (("condition", corner, "Detail, front board, tail corner"),
                             ("treatment", corner[:1], "Detail, front board, tail corner"),
                             ("treatment", corner, "A corner in three stages")):
        for reader in ("studio", "owner"):
            result = platewright("report", demo(), "--kind", kind, "--for", reader, "--only", ",".join(only), "-o", path)
            equal(result.status, 0, result)
            words = words_of(path)
            check(says in words, f"{kind} {only} {reader}: {says}")
            equal("three stages" in words, says.endswith("three stages"), f"{kind} {only} {reader}")


def test_cautions_speak_to_who_reads_them():
    for reader, language, says, never in (
            ("studio", "en", "extraction at the surface", "put nothing on it"),
            ("owner", "en", "Put nothing on it: water darkens it for good", "extraction"),
            ("owner", "de", "Nichts auftragen: Wasser verdunkelt das Leder dauerhaft", "Absaugung")):
        path = os.path.join(BUILD, f"demo-cautions-{reader}-{language}.pdf")
        result = platewright("report", demo(), "--kind", "condition", "--for", reader, "--language", language,
                             "--only", "before/LF24_0412.jpg", "-o", path)
        equal(result.status, 0, result)
        words = words_of(path)
        # in the part of its own, and under the plate
        equal(words.count(says), 2, f"{reader} {language}")
        check(never.lower() not in words.lower(), f"{reader} {language}: {never}")


run(globals())
