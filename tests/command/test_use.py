"""Wrong use, help, exit codes: what the command promises whoever calls it."""
import os
import re
import subprocess

from bench import COMMAND, SOURCE, Folder, check, equal, platewright, run

COMMANDS = ["intake", "mark", "check", "measure", "plates", "report", "labels", "export", "card", "lens"]


def test_without_a_command_it_says_so_and_exits_2():
    result = platewright()
    equal(result.status, 2)
    equal(result.out, "")
    check("help" in result.err, result)


def test_help_lists_every_command_and_exits_0():
    result = platewright("help")
    equal(result.status, 0)
    for command in COMMANDS:
        check(f"platewright {command}" in result.out, command)


def test_help_on_a_command_that_is_none_exits_2():
    result = platewright("help", "mesure")
    equal(result.status, 2)
    check("did you mean measure" in result.err, result)


def test_an_error_counts_among_more_complaints_than_are_kept():
    with Folder() as folder:
        folder.photograph("a.png")
        folder.photograph("b.png")
        unknown = "".join(f"x{i}: 1\n" for i in range(1001))
        folder.write("a.png.yaml", "format: platewright-photo 1.1\nstage: before\n" + unknown)
        folder.write("b.png.yaml", "format: platewright-photo 1\nstage: befor\n")
        result = platewright("measure", folder.path)
        check("more" in result.err.splitlines()[-1], result.err[-200:])
        equal(result.status, 1)


def test_folders_too_deep_are_refused_not_passed_over():
    with Folder() as folder:
        folder.photograph("/".join("abcdefgh") + "/front.png")
        equal(platewright("intake", folder.path).status, 0)
        folder.photograph("/".join("abcdefghi") + "/front.png")
        result = platewright("intake", folder.path)
        equal(result.status, 3)
        check("a/b/c/d/e/f/g/h/i lies more than 8 folders deep" in result.err, result)


def test_each_command_tells_its_options():
    for command in COMMANDS:
        result = platewright(command, "--help")
        equal(result.status, 0, command)
        usage = f"platewright {command}" + ("" if command == "card" else " FOLDER")
        check(result.out.startswith(usage + " ["), result)


def test_a_misspelt_command_gets_the_nearest():
    result = platewright("mesure", ".")
    equal(result.status, 2)
    check("did you mean measure" in result.err, result)


def test_a_misspelt_option_gets_the_nearest():
    result = platewright("check", ".", "--ful")
    equal(result.status, 2)
    check("did you mean --full" in result.err, result)


def test_an_option_without_its_argument():
    result = platewright("plates", ".", "--for")
    equal(result.status, 2)
    check("--for wants a WHOM" in result.err, result)


def test_an_unknown_audience():
    equal(platewright("plates", ".", "--for", "press").status, 2)


def test_no_such_folder_exits_3():
    result = platewright("measure", "/no/such/folder")
    equal(result.status, 3)
    check("/no/such/folder" in result.err, result)


def test_an_empty_folder_is_wrong_use():
    with Folder() as folder:
        equal(platewright("measure", folder.path).status, 2)


def test_control_characters_of_a_name_do_not_reach_the_terminal():
    result = platewright("measure", "/no/such/\x1b[31mfolder")
    equal(result.status, 3)
    check("\x1b" not in result.err, result)


def test_a_full_disk_behind_standard_output_is_an_error():
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run([COMMAND, "help"], stdout=full, stderr=subprocess.PIPE, check=False)
    equal(done.returncode, 3)
    check(b"standard output" in done.stderr, done.stderr)


def test_the_manual_and_the_completion_know_every_command_and_option():
    manual = open(os.path.join(SOURCE, "docs", "platewright.1"), encoding="utf-8").read()
    manual = manual.replace("\\-", "-")
    completion = open(os.path.join(SOURCE, "src", "cli", "platewright.bash"),
                      encoding="utf-8").read()
    for command in COMMANDS:
        options = re.findall(r"^  (-{1,2}[a-z]+)", platewright(command, "--help").out, re.M)
        check(options, command)
        for word in [command, *options]:
            check(word in manual, f"{word} is not in the manual")
            check(word in completion, f"{word} is not in the completion")


run(globals())
