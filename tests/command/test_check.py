"""check: each kind of finding, caused once and named."""
import hashlib
import json
import os
import subprocess

from bench import Folder, check, equal, platewright, run, tool

VOLUME = """format: platewright-volume 1
volume: {id: TST-1, title: "A register", size: 300 x 200 x 40}
received: 2026-03-02
views: [front board]
treated: {from: 2026-03-10, to: 2026-05-15}
"""


def findings(folder, *options):
    result = platewright("check", folder, "--json", *options)
    parsed = json.loads(result.out)
    equal(parsed["format"], "platewright-check 1")
    return parsed["findings"], result


def kinds(folder, *options):
    return {finding["kind"] for finding in findings(folder, *options)[0]}


def taken_in(folder, volume=VOLUME, view="front board"):
    folder.write("volume.yaml", volume)
    folder.photograph("before/one.png")
    platewright("intake", folder.path)
    text = folder.read("before/one.png.yaml")
    text += f"view: {view}\nprivacy-checked: 2026-03-05\n"
    folder.write("before/one.png.yaml", text)
    return text


def test_a_record_in_order_has_no_findings_and_exits_0():
    with Folder() as folder:
        taken_in(folder)
        found, result = findings(folder.path)
        equal(found, [])
        equal(result.status, 0)


def test_a_volume_yaml_that_cannot_be_read_is_not_said_to_be_missing():
    with Folder() as folder:
        taken_in(folder)
        folder.write("volume.yaml", VOLUME + "pieces: [\n")
        folder.write("before/one.png.yaml", folder.read("before/one.png.yaml") + "scale: {tags: bench}\n")
        found, result = findings(folder.path)
        equal([(one["file"], one["kind"]) for one in found if one["severity"] == "error"],
              [("volume.yaml", "syntax")])
        equal(result.status, 1)
        # what follows from it, or is beside it, comes after
        folder.write("before/one.png.yaml", folder.read("before/one.png.yaml").replace("privacy-checked", "# "))
        found, result = findings(folder.path)
        equal([one["kind"] for one in found][0], "syntax")
        check("not looked through" in [one["kind"] for one in found][1:], found)
        check(platewright("check", folder.path).out.startswith("volume.yaml:"), "as text too")


def test_a_view_that_is_owed():
    with Folder() as folder:
        taken_in(folder, VOLUME.replace("[front board]", "[front board, spine]"))
        check("view missing" in kinds(folder.path), "the spine")


def test_a_sidecar_without_photograph_and_the_reverse():
    with Folder() as folder:
        taken_in(folder)
        os.rename(f"{folder.path}/before/one.png", f"{folder.path}/before/two.png")
        check({"no photograph", "no sidecar"} <= kinds(folder.path), "both")


def test_a_photograph_that_changed():
    with Folder() as folder:
        taken_in(folder)
        folder.photograph("before/one.png", shade=151)
        check("changed" in kinds(folder.path), "by size and times")


def test_a_change_that_kept_size_and_time_of_writing_is_found():
    with Folder() as folder:
        taken_in(folder)
        path = f"{folder.path}/before/one.png"
        platewright("check", folder.path)
        status = os.stat(path)
        with open(path, "r+b") as file:
            file.seek(-10, os.SEEK_END)
            byte = file.read(1)
            file.seek(-10, os.SEEK_END)
            file.write(bytes([byte[0] ^ 1]))
        os.utime(path, ns=(status.st_atime_ns, status.st_mtime_ns))
        check({"changed", "unreadable"} & kinds(folder.path), "by the time of its last change")
        check({"changed", "unreadable"} & kinds(folder.path, "--full"), "by its hash")


def test_stage_missing_and_stage_against_date():
    with Folder() as folder:
        text = taken_in(folder)
        folder.write("before/one.png.yaml", text.replace("stage: before\n", ""))
        check("no stage" in kinds(folder.path), "none")
        folder.write("before/one.png.yaml",
                     text.replace("photo:\n", "photo:\n  taken: 2026-06-01T10:00:00\n"))
        check("stage against date" in kinds(folder.path), "too late for before")


MARKS = """marks:
  - {id: 1, term: loss, part: board, outline: "10,10 200,10 200,200 10,200"}
  - {id: 2, term: undecided, part: board, point: "50,50"}
  - {id: 3, term: losss, part: board, point: "60,50"}
"""


def test_marks_without_size_undecided_and_unknown_terms():
    with Folder() as folder:
        folder.write("before/one.png.yaml", taken_in(folder) + MARKS)
        found, result = findings(folder.path)
        equal({finding["kind"] for finding in found}, {"no size", "undecided", "unknown term"})
        unknown = [finding for finding in found if finding["kind"] == "unknown term"][0]
        check("did you mean loss" in unknown["says"], unknown)
        check(unknown["line"] > 1 and unknown["file"] == "before/one.png.yaml", unknown)
        equal(result.status, 1)


def test_a_rectangle_begun_at_the_wrong_corner():
    card = "scale:\n  rectangle: {{corners: \"{}\", width: 85.60, height: 53.98}}\n  plane-offset: 0\n"
    with Folder() as folder:
        text = taken_in(folder)
        folder.write("before/one.png.yaml", text + card.format("10,10 500,10 500,319 10,319"))
        equal(kinds(folder.path), set())
        folder.write("before/one.png.yaml", text + card.format("500,10 500,319 10,319 10,10"))
        found, _ = findings(folder.path)
        equal([(finding["kind"], finding["severity"]) for finding in found],
              [("corner order", "error")])
        folder.write("before/one.png.yaml", text + card.format("10,10 500,10 500,350 10,350")
                     .replace("85.60", "8.56"))
        found, _ = findings(folder.path)
        equal([(finding["kind"], finding["severity"]) for finding in found],
              [("corner order", "warning")])


def test_a_size_that_is_hardly_known():
    with Folder() as folder:
        text = taken_in(folder) + ("scale:\n  rectangle: {corners: \"10,10 30,10 30,22 10,22\", "
                                   "width: 100, height: 60}\n  plane-offset: 0\nmarks:\n"
                                   "  - {id: 1, term: loss, part: board, "
                                   "outline: \"60,30 70,30 70,40 60,40\"}\n")
        folder.write("before/one.png.yaml", text)
        check("weak size" in kinds(folder.path), "told")


def test_not_looked_through():
    with Folder() as folder:
        text = taken_in(folder)
        folder.write("before/one.png.yaml", text.replace("privacy-checked: 2026-03-05\n", ""))
        check("not looked through" in kinds(folder.path), "privacy")


def test_a_name_that_the_public_would_read_beside_a_photograph():
    with Folder() as folder:
        named = VOLUME + 'owner: {name: "Odile Quarrington"}\nconsents: [{on: 2026-03-09, by: owner, to: show publicly, is: given}]\n'
        text = taken_in(folder, named)
        marks = ('marks:\n  - {id: 1, term: loss, part: "bookplate of Quarrington", point: "5,5"}\n'
                 '  - {id: 2, term: loss, part: board, note: "Odile says so", outline: "1,1 9,1 9,9", private: yes}\n')
        folder.write("before/one.png.yaml", text + 'caption: "As it came from O. QUARRINGTON"\n' + marks)
        told = [(one["line"], one["severity"], one["says"]) for one in findings(folder.path)[0]
                if one["kind"] == "name before the public"]
        lines = folder.read("before/one.png.yaml").splitlines()
        equal([(lines[line - 1].split(":")[0].strip(), severity) for line, severity, _ in told],
              [("caption", "warning"), ("- {id", "warning")])
        check(told[1][2].startswith('the part, "bookplate of Quarrington", holds a name'), told)
        # of one that the public does not see nothing is asked
        folder.write("before/one.png.yaml", folder.read("before/one.png.yaml").replace("privacy-checked", "# "))
        check("name before the public" not in kinds(folder.path), "not shown")


PIECES = """returned: 2026-05-20
pieces:
  - {id: P1, kind: part, what: front board, found: detached, kept: tray 2}
  - {id: P2, kind: removed, what: spine lining, kept: none, outcome: discarded, because: "acidic"}
treatment:
  - {on: 2026-03-12, by: "A. Binder", part: spine, did: "lifted the lining"}
"""


def test_pieces_and_treatment_want_outcome_and_consent():
    with Folder() as folder:
        taken_in(folder, VOLUME + PIECES)
        found, _ = findings(folder.path)
        equal(sorted(finding["kind"] for finding in found if finding["severity"] == "error"),
              ["no consent", "no consent", "not complete", "piece open", "piece open"])


LEDGER = VOLUME.replace("views: [front board]\n", "") + """returned: 2026-05-20
pieces:
  - {id: P1, kind: part, what: front board, outcome: reattached, on: 2026-05-02}
  - {id: P2, kind: removed, what: spine lining, outcome: discarded, because: "acidic", agreed: 2026-03-09}
consents:
  - {on: 2026-03-09, by: owner, to: treatment, is: given, except: [endleaf]}
treatment:
  - {on: 2026-03-12, by: "A. Binder", part: spine, did: "lifted the lining"}
"""


def test_pieces_that_are_accounted_for_leave_nothing_to_find():
    with Folder() as folder:
        taken_in(folder, LEDGER)
        equal(findings(folder.path)[0], [])


def test_a_part_that_the_consent_excepts_was_treated():
    with Folder() as folder:
        taken_in(folder, LEDGER.replace("part: spine", "part: Endleaf"))
        equal(kinds(folder.path), {"excepted part", "part nearly known"})  # by its capital


ISSUED = VOLUME + """consents:
  - {on: 2026-03-09, by: owner, to: show publicly, is: given}
  - {on: 2026-06-01, by: owner, to: show publicly, is: withdrawn}
issued:
  - {document: summary, version: 2, on: 2026-04-01, to: "public", sha256: "%s"}
  - {document: proposal, version: 1, on: 2026-04-01, to: owner, sha256: "%s"}
""" % (hashlib.sha256(b"a").hexdigest(), hashlib.sha256(b"b").hexdigest())
KEPT = ("issued/TST-1-summary-v2-public.pdf", "issued/TST-1-proposal-v1-owner.pdf")


def with_issued(folder):
    taken_in(folder, ISSUED.replace("withdrawn", "given"))
    for name, text in zip(KEPT, "ab"):
        folder.write(name, text)
        folder.write(name.replace(".pdf", ".txt"), "its words")


def test_files_that_were_issued_are_looked_at():
    with Folder() as folder:
        with_issued(folder)
        equal(findings(folder.path)[0], [])
        folder.write(KEPT[0], "c")
        os.rename(f"{folder.path}/{KEPT[1]}", f"{folder.path}/issued/as the owner has it.pdf")
        found, result = findings(folder.path)
        equal([(one["file"], one["kind"], one["severity"]) for one in found],
              [(KEPT[0], "changed", "error")])
        equal(result.status, 1)


def test_a_file_that_was_issued_and_is_gone():
    with Folder() as folder:
        with_issued(folder)
        os.remove(f"{folder.path}/{KEPT[1]}")
        found, _ = findings(folder.path)
        equal([(one["file"], one["kind"], one["severity"]) for one in found],
              [("volume.yaml", "not kept", "error")])
        check(KEPT[1] in found[0]["says"], found)
        os.symlink("/dev/null", f"{folder.path}/{KEPT[1]}")
        found, _ = findings(folder.path)
        equal([(one["file"], one["kind"]) for one in found], [(KEPT[1], "unreadable")])
        check("it is a link" in found[0]["says"], found)


def test_a_file_that_no_entry_names():
    with Folder() as folder:
        with_issued(folder)
        folder.write("issued/TST-1-receipt-v1-owner.pdf", "d")
        found, _ = findings(folder.path)
        equal([(one["file"], one["kind"], one["severity"]) for one in found],
              [("issued/TST-1-receipt-v1-owner.pdf", "not on record", "warning")])


def test_what_left_under_a_consent_that_was_withdrawn_since():
    with Folder() as folder:
        taken_in(folder, ISSUED)
        for name, text in zip(KEPT, "ab"):
            folder.write(name, text)
        found, _ = findings(folder.path)
        equal([finding["kind"] for finding in found], ["issued without consent"])
        check("summary, version 2, went to public" in found[0]["says"], found[0])


UNANSWERED = """returned: 2026-05-20
consents: [{on: 2026-03-04, by: owner, to: treatment, is: given}]
decisions: [{on: 2026-03-05, about: [P55], question: "wash it?", because: "it is dirty"}]
treatment: [{on: 2026-05-21, part: spine, did: "pasted"}]
tests:
  - {on: 2026-03-06, place: "spine", method: "drop", result: "none", consumed: yes}
  - {on: 2026-03-06, place: "head", method: "drop", result: "none", consumed: yes, agreed: 2026-03-07}
  - {on: 2026-03-06, place: "tail", method: "drop", result: "none", consumed: yes, agreed: 2026-03-06}
"""


def test_what_a_later_reader_would_ask_after():
    with Folder() as folder:
        taken_in(folder, VOLUME.replace("views: [front board]\n", "") + UNANSWERED)
        found, _ = findings(folder.path)
        equal(sorted((one["kind"], one["severity"]) for one in found),
              [("after return", "warning"), ("dangling link", "error"), ("no consent", "warning"),
               ("no consent", "warning"), ("nothing chosen", "warning")])
        check(any("no piece, photograph or mark is called P55" in one["says"] for one in found), found)


SLIPS = """language: fr
observations:
  - {part: spine lether, term: loose sowing, says: "slack", on: 2026-03-03}
  - {part: spine leather, term: red rot, says: "powders", on: 2026-03-03}
  - {part: spine leather, term: undecided, says: "white bloom", on: 2026-03-03}
  - {part: upper cover, term: stain, says: "dark", on: 2026-03-03}
  - {part: lower cover, term: stain, says: "dark", on: 2026-03-03}
  - {part: spine leathers, term: stain, says: "dark", on: 2026-03-03}
  - {part: plate 1, term: stain, says: "dark", on: 2026-03-03}
  - {part: plate 2, term: stain, says: "dark", on: 2026-03-03}
proposal: [{part: Upper Cover, do: "clean it", risk: "none known"}]
"""


def test_words_that_are_nearly_known():
    with Folder() as folder:
        taken_in(folder, VOLUME + SLIPS)
        found, result = findings(folder.path)
        told = {one["kind"]: one for one in found}
        equal(sorted((one["kind"], one["severity"]) for one in found),
              [("part nearly known", "note"), ("part nearly known", "note"), ("unknown language", "warning"),
               ("unknown term", "warning")])
        check('the term "loose sowing" is not known; did you mean loose sewing' in told["unknown term"]["says"], found)
        check('in the language "fr"' in told["unknown language"]["says"] and "de, en" in told["unknown language"]["says"],
              found)
        parts = [one["says"] for one in found if one["kind"] == "part nearly known"]
        check(any('"spine lether" is nearly "spine leather"' in one for one in parts), parts)
        check(any('"Upper Cover" is nearly "upper cover"' in one for one in parts), parts)
        # hints alone are no finding
        folder.write("volume.yaml", VOLUME + SLIPS.replace("language: fr\n", "").replace("sowing", "sewing"))
        equal(platewright("check", folder.path).status, 0)


def test_a_day_that_is_not_told_is_said_to_be_missing():
    with Folder() as folder:
        taken_in(folder, VOLUME + "treatment: [{part: spine, did: pasted}]\npieces:\n"
                 "  - {id: P1, kind: removed, what: lining, kept: none, outcome: discarded, because: acid}\n")
        says = [one["says"] for one in findings(folder.path)[0] if one["kind"] == "no consent"]
        check(any("treated on a day that is not told (say `on:`)" in one for one in says), says)
        check(any("P1 (lining) was discarded on a day that is not told (say `on:`)" in one for one in says), says)
        check(not any("held" in one for one in says), says)
        result = platewright("report", folder.path, "--kind", "treatment", "-o", os.path.join(folder.path, "t.pdf"))
        words = subprocess.run([tool("pdftotext"), os.path.join(folder.path, "t.pdf"), "-"], check=True,
                               capture_output=True, text=True).stdout
        check("The day of this step is not recorded, and no agreement to treatment holds." in " ".join(words.split()),
              f"{result}{words}")


def test_what_is_excepted_and_not_there_is_told_with_where_it_was_looked_for():
    show = 'consents: [{on: 2026-03-09, by: owner, to: show publicly, is: limited, except: ["%s"]}]\n'
    with Folder() as folder:
        text = taken_in(folder)
        folder.write("before/one.png.yaml", text + 'marks: [{id: 1, term: tear, part: leaf, line: "1,1 9,9"}]\n')
        for word, says in (
                ("one.png", "no photograph one.png was found among the 1 of the volume folder"),
                ("one.png", "did you mean before/one.png"),
                ("before/on.png#1", "no photograph before/on.png was found"),
                ("before/one.png#2", "before/one.png is there, but no mark 2 in before/one.png.yaml")):
            folder.write("volume.yaml", VOLUME + show % word)
            told = [one["says"] for one in findings(folder.path)[0] if one["kind"] == "dangling link"]
            check(len(told) == 1 and says in told[0], f"{word}: {told}")


def test_links_that_lead_nowhere_and_to_the_wrong_stage():
    with Folder() as folder:
        text = taken_in(folder)
        marks = MARKS.split("\n  - {id: 2")[0].replace("}", ', same-as: "no.png#1"}') + "\n"
        folder.write("before/one.png.yaml", text + marks)
        check("dangling link" in kinds(folder.path), "nowhere")
        marks = marks.replace('same-as: "no.png#1"', 'earlier: "before/one.png#2"')
        marks += '  - {id: 2, term: loss, part: board, outline: "300,10 400,10 400,90"}\n'
        folder.write("before/one.png.yaml", text + marks)
        check("wrong link" in kinds(folder.path), "a before mark has no earlier")


def test_a_circle_of_same_as():
    with Folder() as folder:
        text = taken_in(folder)
        folder.write("before/one.png.yaml", text + "marks:\n" + "".join(
            f'  - {{id: {i}, term: loss, part: board, outline: "{i}0,10 {i}9,10 {i}9,90", '
            f'same-as: "before/one.png#{i % 3 + 1}"}}\n' for i in (1, 2, 3)))
        check("wrong link" in kinds(folder.path), "a circle")


def test_what_a_broken_write_left_behind():
    with Folder() as folder:
        taken_in(folder)
        folder.write("before/.platewright-tmp-abc123", "half")
        check("leftover" in kinds(folder.path), "named")


run(globals())
