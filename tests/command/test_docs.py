"""README and the guides as tests: what they show is run, and what they name is there."""
import os
import re
import shlex
import subprocess

from bench import BUILD, SOURCE, Folder, check, equal, platewright, run

MAKE_SCENE = os.path.join(BUILD, "tests", "command", "make-scene")
PAGES = ["README.md", "DEVELOPERS.md", "docs/formats.md", "docs/measuring.md", "docs/styles.md",
         "docs/card.md", "docs/marking.md", "docs/exports.md", "docs/documents.md",
         "docs/aligning.md", "docs/fuzzing.md", "docs/benchmark.md"]


def page(name):
    with open(os.path.join(SOURCE, name), encoding="utf-8") as file:
        return file.read()


def console_blocks(text):
    """(command line, lines that must follow in this order; "..." stands for any) of every session."""
    for block in re.findall(r"```console\n(.*?)```", text, re.S):
        command, wanted = None, []
        for line in map(str.strip, block.splitlines()):
            if line.startswith("$ "):
                if command:
                    yield command, wanted
                command, wanted = line[2:], []
            elif line and line != "...":
                wanted.append(line)
        if command:
            yield command, wanted


def test_every_link_leads_somewhere():
    for name in PAGES:
        for target in re.findall(r"\]\(([^)#]+)[^)]*\)", page(name)):
            path = os.path.join(SOURCE, os.path.dirname(name), target)
            check(os.path.exists(path), f"{name}: {target}")


def texts_of_the_readme(text):
    """The yaml blocks without the indentation of the list that they stand in."""
    for block in re.findall(r"```yaml\n(.*?)```", text, re.S):
        yield "".join(line[3:] + "\n" for line in block.splitlines())


def test_the_first_volume_of_the_readme_works_as_shown():
    text = page("README.md")
    cards, sidecar = texts_of_the_readme(text)
    with Folder() as folder:
        before = os.path.join(folder.path, "my-volume", "before")
        os.makedirs(before)
        subprocess.run([MAKE_SCENE, os.path.join(before, "front.jpg"), "3000", "3200", "7",
                        "a6 a,0.3,1500,2600,8,40,3"], check=True, capture_output=True)
        n = 0
        for command, wanted in console_blocks(text):
            words = shlex.split(command)
            equal(words[0], "platewright")
            result = platewright(*words[1:], cwd=folder.path)
            check(result.status in (0, 1), f"{command}: {result}")
            said = result.out + result.err
            for line in wanted:
                check(line in said, f"{command}: \"{line}\" is not in {said}")
            if words[1] == "intake":
                volume, entered = "my-volume/volume.yaml", 'cards:\n  bench: {design: "a6 a"}\n'
                check(entered in folder.read(volume), folder.read(volume))
                folder.write(volume, folder.read(volume).replace(entered, cards))
                written = "my-volume/before/front.jpg.yaml"
                folder.write(written, folder.read(written) + sidecar)
            if words[1] == "measure":
                check(" ± " in said and "mm²" in said, said)
            n += 1
        check(n >= 5, f"{n} commands were shown")
        made = sorted(name for name in os.listdir(folder.path) if name.endswith(".pdf"))
        equal(made, ["card-a6.pdf", "my-volume-plates.pdf", "my-volume-report-condition.pdf"])


def test_the_cards_of_the_guide_are_read():
    blocks = re.findall(r"```yaml\n(cards:.*?)```", page("docs/card.md"), re.S)
    check(len(blocks) >= 2, blocks)
    for block in blocks:
        with Folder() as folder:
            folder.write("volume.yaml", "format: platewright-volume 1\nvolume: {id: T}\n" + block)
            result = platewright("check", folder.path)
            equal(result.status, 0, result)


def test_what_a_raised_surface_does_is_as_its_formula_says():
    # h / (D - h), which ../shared/facts/worked-examples.csv has as REL3
    text, n = page("docs/card.md"), 0
    distances = [float(d) * 1000 for d in re.findall(r"at ([\d.]+) m\b", re.search(
        r"^\| surface nearer by.*", text, re.M).group(0))]
    for row in re.findall(r"^\| \d+ mm \|.*", text, re.M):
        h = float(row.split()[1])
        for distance, cell in zip(distances, row.split("|")[2:-1]):
            shown = [float(number) for number in re.findall(r"([\d.]+) %", cell)]
            length = distance / (distance - h)
            wanted = [100 * (length - 1), 100 * (length ** 2 - 1)]
            for got, right in zip(shown, wanted, strict=True):
                check(abs(got - right) <= 0.0501, f"{h} mm at {distance} mm: {got}, not {right:.2f}")
                n += 1
    equal(n, 18)


def test_every_module_and_option_of_the_guides_exists():
    text = page("DEVELOPERS.md")
    for module in re.findall(r"^src/(\w+)/", text, re.M):
        check(os.path.isdir(os.path.join(SOURCE, "src", module)), module)
    modules = [name for name in os.listdir(os.path.join(SOURCE, "src"))
               if os.path.isdir(os.path.join(SOURCE, "src", name))]
    for module in modules:
        check(f"src/{module}/" in text, f"DEVELOPERS.md does not name src/{module}")
    for option in set(re.findall(r"`(?:\w+ )?(--[a-z]+)", page("README.md"))):
        known = any(option in platewright(command, "--help").out
                    for command in ("intake", "check", "measure", "plates", "card", "lens", "mark"))
        check(known, option)


run(globals())
