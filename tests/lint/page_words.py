#!/usr/bin/env python3
"""Reads the marking page as text: it says nothing of its own, and has every word that it asks for.

A string in a module is prose, which belongs into styles/words, where it holds two words side by side, begins
like a sentence, or stands where the page shows it: under a label, as the child of an element. Selectors, classes
and the record's own words are none. Of index.html, what stands between its tags and in what is read aloud.
"""
import os
import re
import sys

# What keys, tags and headers are called.
NAMES = {"Alt", "ArrowDown", "ArrowLeft", "ArrowRight", "ArrowUp", "Backspace", "Content-Type", "Control", "Ctrl",
         "Delete", "Del", "Desk-Key", "Enter", "Esc", "Escape", "If-Match", "Pages", "PageDown", "PageUp", "Says", "Shift",
         "Shift+F6", "Shift+n", "Shift+k", "Space", "Tab", "Ctrl+Shift+z", "Ctrl+Z", "Ctrl+y", "Ctrl+z", "Ctrl+", "Shift+", "svg", "text", "other", "mm", "kg"}
# Words of the record and of the library, by which the page asks and answers.
RECORD = {"a hole lies outside the outline", "a hole lies outside its area", "another window holds an older table", "back board", "bottom left", "bottom right", "dangling link",
          "estimate/lines", "fore edge", "found inside", "front board",
          "no photograph", "no scale", "no sidecar", "no size", "no stage", "no view", "not complete", "not looked through", "not taken in", "piece open",
          "raking from ", "reflected ultraviolet", "replaced in position", "returned to owner", "show publicly",
          "title page", "top left", "top right", "ultraviolet fluorescence", "view missing", "wrong link"}
SHOWN = r"(?:\b(?:label|says|title|help|unit|does|one|alt|placeholder|textContent)\s*[:=]|'aria-label':|'aria-label',)\s*$"
CHILD = r"\},\s*$"  # make('p', {...}, 'here
CLASS = r"(?:class(?:Name)?\s*[:=]\s*|classList\.\w+\()$"

STRING = re.compile(r"'((?:[^'\\\n]|\\.)*)'|\"((?:[^\"\\\n]|\\.)*)\"|`((?:[^`\\]|\\.)*)`|(//[^\n]*|/\*.*?\*/)"
                    r"|((?<=[(,=:!&|?{};])\s*/(?:[^/\\\n\[]|\\.|\[(?:[^\]\\\n]|\\.)*\])+/[a-z]*)", re.S)


def strings_of(text):
    """(where, what stands before, the words, TRUE in a template) of every string."""
    for match in STRING.finditer(text):
        words = next((part for part in match.groups()[:3] if part is not None), None)
        if words is not None:
            yield match.start(), text[max(0, match.start() - 60):match.start()], words, match.group(3) is not None


def is_prose(before, words, is_template):
    if is_template:
        while "${" in words and re.search(r"\$\{[^{}]*\}", words):
            words = re.sub(r"\$\{[^{}]*\}", "0", words)
        words = words.split("${")[0]
    if re.search(r"\b(?:phrase|import|from)\b[ (]*$", before) or re.search(CLASS, before) or words in NAMES | RECORD:
        return False
    if re.search(r"[#\[\]<>={}]|(?:^|\s)[.:][a-z]|^[a-z-]+\.|\bM\d|px|^\([a-z-]+: |^(?:[a-z]+, )*input\b", words):
        return False  # a selector, a drawing, a question to the system
    if re.search(r"[A-Za-z]{2,}[.,;:]? [A-Za-z]{2,}", words) or re.match(r"[A-Z][a-z]+(?![A-Za-z]*-)", words):
        return True
    return bool(re.search(r"[A-Za-z]{2,}", words) and (re.search(SHOWN, before) or re.search(CHILD, before)))


def prose_of_html(text):
    text = re.sub(r"<(script|style|svg)\b.*?</\1>|<!.*?>", " ", text, flags=re.S)
    shown = re.findall(r">([^<]+)<", text) + re.findall(r'(?:aria-label|title|alt|placeholder)="([^"]*)"', text)
    return [words.strip() for words in shown if re.search(r"[A-Za-z]", re.sub(r"\{[a-z-]+\}", "", words))]


def first_argument(text, at):
    """What stands from `at` to the comma or bracket that ends it."""
    depth, quote, end = 0, None, at
    while end < len(text):
        sign = text[end]
        if quote:
            quote = None if sign == quote else quote
        elif sign in "'`":
            quote = sign
        elif sign in "([{":
            depth += 1
        elif depth == 0 and sign in ",)":
            break
        elif sign in ")]}":
            depth -= 1
        end += 1
    return text[at:end]


def uses_of(text):
    """Keys that a module asks for, as patterns: what a template fills in may be anything, but begins no key."""
    for call in re.finditer(r"\bphrase\(", text):
        argument = first_argument(text, call.end())
        for _, before, key, is_template in strings_of(argument):
            if not re.search(r"[!=]== $", before):
                yield re.sub(r"\\\$\\\{.*?\\\}", "([a-z0-9-]+)", re.escape(key)) if is_template else re.escape(key)


def keys_of(top, language):
    text = open(os.path.join(top, "styles", "words", language + ".yaml"), encoding="utf-8").read()
    return set(re.findall(r"^  desk-([a-z0-9-]+):", text, re.M))


def words_said(top, modules):
    """Every word that the page or the library has in quotes: what may stand in a key's blank."""
    texts = list(modules.values())
    for module in ("model", "record", "desk"):
        folder = os.path.join(top, "src", module)
        texts += [open(os.path.join(folder, name), encoding="utf-8").read() for name in os.listdir(folder) if name.endswith(".c")]
    quoted = {words for text in texts for words in re.findall(r"""['"]([A-Za-z0-9][A-Za-z0-9 /-]*)['"]|\b([a-z]+):""", text) for words in words}
    return {re.sub(r"[ /]", "-", words.lower()) for words in quoted} | set("0123")


def is_used(key, patterns, said):
    matches = (pattern.fullmatch(one) for pattern in patterns for one in (key, re.sub(r"-(one|many)$", "", key)))
    return any(match and all(blank in said for blank in match.groups()) for match in matches)


def main(top):
    folder = os.path.join(top, "src", "desk", "page")
    names = sorted(os.path.relpath(os.path.join(root, name), folder) for root, _, files in os.walk(folder) for name in files)
    modules = {name: open(os.path.join(folder, name), encoding="utf-8").read() for name in names if name.endswith(".js")}
    html = open(os.path.join(folder, "index.html"), encoding="utf-8").read()
    prose, used = [f"index.html: {words}" for words in prose_of_html(html)], set()
    for name, text in modules.items():
        for at, before, words, is_template in strings_of(text):
            if is_prose(before, words, is_template):
                prose.append(f"{name}:{text.count(chr(10), 0, at) + 1}: {words[:70]}")
        used |= {(name, key) for key in uses_of(text)}
    used |= {("index.html", key) for key in re.findall(r"\{([a-z-]+)\}", html) if key not in ("words", "language", "key-of-page")}
    for name in sorted(os.listdir(os.path.dirname(folder))):
        if name.endswith(".c"):
            text = open(os.path.join(os.path.dirname(folder), name), encoding="utf-8").read()
            used |= {(name, key) for key in re.findall(r'words, "desk-([a-z-]+)"', text)}
    languages = {language: keys_of(top, language) for language in ("en", "de")}
    known = languages["en"]
    bare = {re.sub(r"-(one|many)$", "", key) for key in known} | known
    lacking = [f"{name}: {key}" for name, key in sorted(used) if key.startswith("(") or not any(re.fullmatch(key, one) for one in bare)]
    lacking += [f"{language}.yaml lacks desk-{key}" for language, keys in languages.items() for key in sorted(known - keys)]
    patterns = [re.compile(key) for _, key in used]
    said = words_said(top, modules)
    unused = [f"desk-{key}" for key in sorted(known) if not is_used(key, patterns, said)]
    findings = {"the page says nothing that is not among its words": prose,
                "every word that the page asks for is there in both languages": lacking,
                "no word of the page is there for nothing": unused}
    print(f"# {len(modules)} modules, {len(known)} words, {len(used)} uses")
    for number, (what, wrong) in enumerate(findings.items(), 1):
        for line in wrong:
            print(f"# {line}")
        print(f"{'not ok' if wrong or len(modules) < 40 else 'ok'} {number} {what}")
    print(f"1..{len(findings)}")
    return 1 if any(findings.values()) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
