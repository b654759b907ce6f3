#!/usr/bin/env python3
"""Finding a card beside decoding the same file to grey, at 24 and 100 MP, with a card and without. Each picture
in a process of its own, for the memory; the median of seven runs in turn. Prints Markdown for docs/benchmark.md."""
import os
import subprocess
import sys
import tempfile


def main(find_card, make_photograph):
    with tempfile.TemporaryDirectory() as top:
        path = os.path.join(top, "scene.jpg")
        for width, height in ((6000, 4000), (12240, 8160)):
            for card in "10":
                subprocess.run([make_photograph, path, str(width), str(height), card], check=True)
                subprocess.run([find_card, path], check=True)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
