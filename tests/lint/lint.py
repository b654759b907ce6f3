#!/usr/bin/env python3
"""Reads the tree as text: the arrows between modules, function length, what must not stand there.

The table of levels is that of DEVELOPERS.md; a module may include the public headers of lower levels,
its own private headers, and nothing else of ours.
"""
import os
import re
import sys

LEVELS = {
    "base": set(),
    "geometry": {"base"},
    "yaml": {"base"},
    "pdf": {"base"},
    "bag": {"base"},
    "photo": {"base", "geometry", "yaml", "pdf"},
    "record": {"base", "geometry", "yaml", "pdf"},
    "card": {"base", "geometry", "yaml", "pdf"},
    "measure": {"base", "geometry", "yaml", "pdf"},
    "align": {"base", "geometry", "yaml", "pdf"},
    "trace": {"base", "geometry", "yaml", "pdf"},
    "style": {"base", "geometry", "yaml", "pdf"},
    "model": {"base", "geometry", "yaml", "pdf", "photo", "record", "card", "measure", "align",
              "trace", "style"},
    "plate": {"base", "geometry", "pdf", "photo", "style", "model"},
    "report": {"base", "geometry", "yaml", "pdf", "bag", "photo", "record", "card", "measure",
               "align", "trace", "style", "model", "plate"},
    "desk": None,  # any public header
    "cli": None,
}
# A module's further public headers.
ALSO_OF = {"export": "report", "labels": "report", "pair": "model"}
# A third-party library stays in the module it stands beside.
LIBRARIES = {
    r"nettle/": {"base"},
    r"yaml\.h": {"yaml"},
    r"geos_c\.h": {"geometry"},
    r"vips/": {"photo"},
    r"libexif/": {"photo"},
    r"tiff(io)?\.h": {"photo"},
    r"jpeglib\.h": {"photo"},
    r"qpdf/": {"pdf"},
    r"lcms2\.h": {"pdf"},
    r"apriltag/": {"card"},
    r"cairo": {"pdf", "card", "plate", "report"},
    r"pango/": {"pdf", "plate", "report"},
    r"fontconfig/": {"pdf"},
    r"microhttpd\.h": {"desk"},
    r"json-glib/": {"desk"},
    r"qrencode\.h": {"base"},
}
SCRIPTS = {"setup", "run", "run-all", "fetch", "show-demo", "tap"}  # no ending tells what they are
LONGEST_FUNCTION = 70
LONGEST_LINE = 100  # characters, as in .clang-format
# Spelled in pieces, so that this file does not hold them.
FORBIDDEN = [r"\bTO" + r"DO\b", r"\bFIX" + r"ME\b", r"\bX" + r"XX\b", r"^#if " + r"0\b",
             "/wo" + "rk/", "tran" + "script", "se" + "ed document"]


def sources(top):
    for root, folders, names in os.walk(top):
        folders[:] = sorted(f for f in folders if not f.startswith((".git", "build")))
        for name in sorted(names):
            if re.search(r"\.(c|h|py|sh|md|yaml|build|txt|1|m?js|css|html|json)$", name) or name in SCRIPTS:
                yield os.path.relpath(os.path.join(root, name), top)


def module_of(path):
    match = re.match(r"(?:src|include/platewright)/(\w+)", path)
    return ALSO_OF.get(match.group(1), match.group(1)) if match else None


def wrong_includes(top, path, text):
    module = module_of(path)
    if module not in LEVELS:
        return
    for number, line in enumerate(text.split("\n"), 1):
        ours = re.match(r'#include [<"]platewright/(\w+)\.h[>"]', line)
        other = ours and ALSO_OF.get(ours.group(1), ours.group(1))
        if ours and LEVELS[module] is not None and other not in LEVELS[module] | {module}:
            yield f"{path}:{number}: {module} includes {other}, which stands beside or above it"
        private = re.match(r'#include "([^"]+)"', line)
        if private and not os.path.exists(os.path.join(top, os.path.dirname(path), private.group(1))):
            yield f"{path}:{number}: a private header of another folder"
        for pattern, homes in LIBRARIES.items():
            if re.match(r"#include <" + pattern, line) and module not in homes:
                yield f"{path}:{number}: {pattern} belongs to {', '.join(sorted(homes))}"


def long_functions(path, text):
    start = None
    for number, line in enumerate(text.split("\n"), 1):
        if line.startswith("{"):
            start = number
        elif line.startswith("}") and start:
            if number - start > LONGEST_FUNCTION:
                yield f"{path}:{start}: a function of {number - start} lines"
            start = None


def long_lines(path, text):
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE:
            yield f"{path}:{number}: a line of {len(line)} characters"


def forbidden_words(path, text):
    for number, line in enumerate(text.split("\n"), 1):
        for pattern in FORBIDDEN:
            if re.search(pattern, line, re.IGNORECASE):
                yield f"{path}:{number}: {line.strip()[:80]}"


def main(top):
    findings = {"modules include only what stands below them": [],
                "functions fit on a screen": [],
                "lines of C fit in a hundred columns": [],
                "nothing stands there that must not": [],
                "the umbrella header holds every public header": []}
    n_read = 0
    for path in sources(top):
        text = open(os.path.join(top, path), encoding="utf-8").read()
        n_read += 1
        findings["modules include only what stands below them"] += wrong_includes(top, path, text)
        if path.endswith(".c"):
            findings["functions fit on a screen"] += long_functions(path, text)
        if path.endswith((".c", ".h")):
            findings["lines of C fit in a hundred columns"] += long_lines(path, text)
        findings["nothing stands there that must not"] += forbidden_words(path, text)
    headers = os.path.join(top, "include", "platewright")
    umbrella = open(os.path.join(headers, "platewright.h"), encoding="utf-8").read()
    for name in sorted(os.listdir(headers)):
        if name != "platewright.h" and f"<platewright/{name}>" not in umbrella:
            findings["the umbrella header holds every public header"].append(name)
    print(f"# {n_read} files read")
    for number, (name, wrong) in enumerate(findings.items(), 1):
        for line in wrong:
            print(f"# {line}")
        print(f"{'not ok' if wrong or n_read < 20 else 'ok'} {number} {name}")
    print(f"1..{len(findings)}")
    return 1 if any(findings.values()) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
