#!/usr/bin/env python3
"""The marking page's server over HTTP, at 100 and 400 MP: first sight, tiles while others ask too, an outline over 4 MP,
an edit among 200 photographs, and the memory of it all. Clients are threads of one Python process that ask without a
pause. Prints rows of Markdown for docs/benchmark.md; never gates a test.
"""
import concurrent.futures
import datetime
import hashlib
import http.client
import json
import os
import random
import re
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.join(os.environ["PW_SOURCE"], "tests", "command"))
from bench import COMMAND, Folder  # noqa: E402

TILES_EACH = 400
SIDECAR = ("format: platewright-photo 1\nstage: before\nview: front board\nscale: {span: {from: \"10,10\", "
           "to: \"500,10\", length: 100}, plane-offset: 0}\nmarks:\n"
           "  - {id: 1, term: tear, part: leaf, line: \"10,10 50,50\"}\n")


class Desk:
    def __init__(self, folder):
        self.process = subprocess.Popen([COMMAND, "mark", folder], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        address = self.process.stdout.readline().decode().strip()
        self.port, token = re.search(r":(\d+)/\?token=(\w+)", address).groups()
        line = self.line()
        line.request("GET", f"/?token={token}")
        answer = line.getresponse()
        answer.read()
        self.headers = {"Cookie": answer.getheader("Set-Cookie").split(";")[0]}
        page = self.ask(line, "GET", "/")[1]
        self.headers.update({"Desk-Key": re.search(rb'desk-key" content="(\w+)', page)[1].decode(),
                             "Content-Type": "application/json"})

    def line(self):
        return http.client.HTTPConnection("127.0.0.1", int(self.port), timeout=300)

    def ask(self, line, method, path, body=None, **more):
        began = time.perf_counter()
        line.request(method, path, json.dumps(body) if body is not None else None, {**self.headers, **more})
        answer = line.getresponse()
        data = answer.read()
        if answer.status != 200:
            raise RuntimeError(f"{path}: {answer.status} {data[:200]}")
        return time.perf_counter() - began, data

    def memory_mb(self, what="VmRSS"):
        with open(f"/proc/{self.process.pid}/status", encoding="ascii") as file:
            return int(re.search(what + r":\s+(\d+)", file.read())[1]) / 1024

    def stop(self):
        self.process.send_signal(signal.SIGINT)
        self.process.wait()


def id_of(file):
    return hashlib.sha256(file.encode()).hexdigest()[:16]


def ms(seconds):
    return f"{1000 * seconds:.1f}"


def latencies(desk, photo, levels, clients):
    def one(seed):
        chance, line, times = random.Random(seed), desk.line(), []
        for _ in range(TILES_EACH // clients):
            level = chance.randrange(3)
            column, row = (chance.randrange((levels[level][side] + 511) // 512) for side in ("width", "height"))
            times.append(desk.ask(line, "GET", f"{photo}/tile/{level}/{column}/{row}")[0])
        return times
    with concurrent.futures.ThreadPoolExecutor(clients) as pool:
        times = sorted(t for many in pool.map(one, range(clients)) for t in many)
    return f"{ms(times[len(times) // 2])} / {ms(times[len(times) * 95 // 100])} ms"


def photograph(make_photograph, width, height):
    with tempfile.TemporaryDirectory() as top:
        path, photo = os.path.join(top, "front.jpg"), "/photo/" + id_of("front.jpg")
        subprocess.run([make_photograph, path, str(width), str(height), "0"], check=True)
        with open(path + ".yaml", "w", encoding="utf-8") as file:
            file.write(SIDECAR)
        desk = Desk(top)
        line = desk.line()
        sight = desk.ask(line, "GET", photo + "/sight?w=1600")[0]
        began, told = time.perf_counter(), {"ready": False}
        while not told["ready"]:
            told = json.loads(desk.ask(line, "GET", photo + "/tiles")[1])
            time.sleep(0.05)
        built = time.perf_counter() - began
        peak = desk.memory_mb("VmHWM")
        one, eight = (latencies(desk, photo, told["levels"], n) for n in (1, 8))
        print(f"| {datetime.date.today()} | {round(width * height / 1e6)} MP | {ms(sight)} ms | {built:.1f} s | {one} "
              f"| {eight} | {peak:.0f} MB | {desk.memory_mb():.0f} MB |", flush=True)
        desk.stop()


def edits():
    """One photograph's edit, answered with its sizes, where the folder holds many."""
    with Folder() as folder:
        first = folder.photograph("p000.png", 1200, 800)
        folder.write("p000.png.yaml", SIDECAR)
        for i in range(1, 200):
            shutil.copy(first, os.path.join(folder.path, f"p{i:03}.png"))
            folder.write(f"p{i:03}.png.yaml", SIDECAR)
        desk = Desk(folder.path)
        line, photo, times = desk.line(), "/photo/" + id_of("p000.png"), []
        for i in range(20):
            tag = json.loads(desk.ask(line, "GET", photo)[1])["tag"]
            body = {"edits": [{"mark": "1", "key": "note", "value": f"note {i}"}]}
            times.append(desk.ask(line, "POST", photo + "/edit", body, **{"If-Match": f'"{tag}"'})[0])
        pulse = statistics.median(desk.ask(line, "GET", "/pulse")[0] for _ in range(20))
        print(f"- {datetime.date.today()}: an edit among 200 photographs is answered in {ms(statistics.median(times))} ms "
              f"(worst of 20: {ms(max(times))} ms), a pulse in {ms(pulse)} ms.", flush=True)
        desk.stop()


if __name__ == "__main__":
    for size in ((12240, 8160), (24480, 16320)):
        photograph(sys.argv[1], *size)
    edits()
