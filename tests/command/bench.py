"""What the command tests share: checks as TAP lines, the command run as its users run it, small
photographs made on the spot, and the demo volume of the build.

A test file is a list of functions; `run(globals())` calls every function named test_..., and prints
a line for each. A check that fails ends its function.
"""
import fcntl
import json
import os
import shutil
import struct
import subprocess
import sys
import tempfile
import traceback
import zlib

SOURCE = os.environ["PW_SOURCE"]
BUILD = os.environ["PW_BUILD"]
COMMAND = os.path.join(BUILD, "src", "cli", "platewright")
SHARED = os.environ.get("PW_SHARED", "")
DEMO = os.path.join(BUILD, "demo")
LIBRARY = os.path.join(BUILD, "src", "libplatewright.so")
DEMO_TRUTH = os.path.join(BUILD, "demo-truth.json")


class Skip(Exception):
    """A test that cannot be run here, and why."""


class Result:
    def __init__(self, done):
        self.status = done.returncode
        self.out = done.stdout.decode("utf-8", "replace")
        self.err = done.stderr.decode("utf-8", "replace")

    def __repr__(self):
        return f"status {self.status}\n--- out\n{self.out}\n--- err\n{self.err}"


def platewright(*arguments, cwd=None, env=None, timeout=600):
    done = subprocess.run([COMMAND, *map(str, arguments)], cwd=cwd, capture_output=True,
                          stdin=subprocess.DEVNULL, timeout=timeout,
                          env={**os.environ, **(env or {})}, check=False)
    return Result(done)


def check(truth, what):
    if not truth:
        raise AssertionError(what)


def equal(got, wanted, what=""):
    if got != wanted:
        raise AssertionError(f"{what}: got {got!r}, wanted {wanted!r}")


def tool(name):
    """The path of a program that a test looks at results with; skips where it is not installed."""
    path = shutil.which(name)
    if path is None:
        raise Skip(f"{name} is not installed here")
    return path


def demo():
    """The demo volume, painted by the build's own generator unless it has been already. Tests run side
    by side: one paints, the others wait. What an older build found in its photographs is forgotten, or
    a finder broken since would go unseen."""
    generator = os.path.join(BUILD, "fixtures", "make-demo")
    with open(os.path.join(BUILD, "demo.lock"), "w", encoding="utf-8") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        text = os.path.join(DEMO, "volume.yaml")
        if not os.path.exists(text) or os.path.getmtime(text) < os.path.getmtime(generator):
            shutil.rmtree(DEMO, ignore_errors=True)
            subprocess.run([generator, DEMO], check=True, capture_output=True, timeout=600)
        cache = os.path.join(DEMO, ".platewright")
        if os.path.exists(cache) and os.path.getmtime(cache) < os.path.getmtime(LIBRARY):
            shutil.rmtree(cache)
    return DEMO


def demo_truth():
    """What the demo was painted from."""
    demo()
    with open(DEMO_TRUTH, encoding="utf-8") as file:
        return json.load(file)


class Folder:
    """A volume folder for one test, gone afterwards."""

    def __enter__(self):
        self.path = tempfile.mkdtemp(prefix="platewright-test-")
        return self

    def __exit__(self, *_):
        for root, _, _ in os.walk(self.path):
            os.chmod(root, 0o755)
        shutil.rmtree(self.path)

    def write(self, name, text):
        path = os.path.join(self.path, name)
        os.makedirs(os.path.dirname(path), exist_ok=True)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
        return path

    def read(self, name):
        with open(os.path.join(self.path, name), encoding="utf-8") as file:
            return file.read()

    def photograph(self, name, width=600, height=400, shade=150):
        """A grey PNG, written without any image library."""
        path = os.path.join(self.path, name)
        os.makedirs(os.path.dirname(path), exist_ok=True)
        row = b"\0" + bytes([shade, shade - 20, shade - 40]) * width
        with open(path, "wb") as file:
            file.write(png(width, height, row * height))
        return path


def png(width, height, rows):
    def chunk(kind, data):
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows, 1)) +
            chunk(b"IEND", b""))


def run(names):
    tests = [(name, value) for name, value in names.items() if name.startswith("test_")]
    failed = 0
    print(f"1..{len(tests)}")
    for number, (name, test) in enumerate(tests, 1):
        title = name[5:].replace("_", " ")
        try:
            test()
            print(f"ok {number} {title}", flush=True)
        except Skip as why:
            print(f"ok {number} {title} # SKIP {why}", flush=True)
        except Exception:  # every failure is a failed check, and the rest go on
            failed += 1
            for line in traceback.format_exc().splitlines():
                print(f"# {line}")
            print(f"not ok {number} {title}", flush=True)
    sys.exit(1 if failed else 0)


def measure_json(folder, *more):
    result = platewright("measure", folder, "--json", *more)
    return json.loads(result.out), result
