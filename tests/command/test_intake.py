"""intake: what it writes, and above all what it does not."""
import fcntl
import hashlib
import os
import re
import shutil
import time

from bench import Folder, check, demo, demo_truth, equal, platewright, run


def states(folder):
    """Mode, times and bytes of everything but the cache."""
    found = {}
    for root, folders, names in os.walk(folder):
        folders[:] = [name for name in folders if name != ".platewright"]
        for name in names:
            path = os.path.join(root, name)
            status = os.stat(path)
            with open(path, "rb") as file:
                digest = hashlib.sha256(file.read()).hexdigest()
            found[os.path.relpath(path, folder)] = (status.st_mode, status.st_mtime_ns,
                                                    status.st_ino, digest)
    return found


def test_a_new_folder_gets_a_volume_and_sidecars():
    with Folder() as folder:
        photo = folder.photograph("before/one.png")
        folder.photograph("after/two.png")
        result = platewright("intake", folder.path)
        equal(result.status, 0, result)
        equal(result.out.count("2 new"), 1, result)
        sidecar = folder.read("before/one.png.yaml")
        check("format: platewright-photo 1" in sidecar, sidecar)
        check("stage: before" in sidecar, sidecar)
        check("size: 600 x 400" in sidecar, sidecar)
        digest = hashlib.sha256(open(photo, "rb").read()).hexdigest()
        check(digest in sidecar, sidecar)
        check("stage: after" in folder.read("after/two.png.yaml"), "stage from the folder")
        check("format: platewright-volume 1" in folder.read("volume.yaml"), "volume.yaml")


def test_a_second_intake_changes_nothing():
    with Folder() as folder:
        folder.photograph("before/one.png")
        platewright("intake", folder.path)
        before = states(folder.path)
        result = platewright("intake", folder.path)
        equal(result.status, 0, result)
        check("0 new, 1 as they were" in result.out, result)
        equal(states(folder.path), before)


def test_a_folder_that_another_program_keeps_locked_is_not_waited_for_long():
    with Folder() as folder:
        names = [f"{i:02}.png" for i in range(12)]
        for name in names:
            folder.photograph(f"before/{name}")
        held = os.open(os.path.join(folder.path, "before"), os.O_RDONLY)
        fcntl.flock(held, fcntl.LOCK_SH)
        began = time.monotonic()
        result = platewright("intake", folder.path)
        equal(result.status, 3, result)
        check(time.monotonic() - began < 30, "one of them was waited for, three seconds, not each")
        check("locked" in result.err and "before/" in result.err, result)
        equal(sorted(os.listdir(os.path.join(folder.path, "before"))), names)
        os.close(held)
        equal(platewright("intake", folder.path).status, 0)


def test_the_stage_comes_from_the_days_of_treatment():
    with Folder() as folder:
        folder.write("volume.yaml", "format: platewright-volume 1\nvolume: {id: X-1}\n"
                     "treated: {from: 2026-03-10, to: 2026-05-15}\n")
        folder.photograph("one.png")
        platewright("intake", folder.path)
        check("\nstage:" not in folder.read("one.png.yaml"), "a photograph without a time has none")


def test_day_zone_and_clock_offset_of_the_demo_photographs():
    volume = ("format: platewright-volume 1\nvolume: {id: X-1}\n"
              "treated: {from: 2026-03-10, to: 2026-05-15}\n"
              "cameras: {\"Larkfield LF-12\": {clock-offset: \"+01:00\"}}\n")
    photos = {"before/LF24_0412.jpg": "before", "before/LF12_0031.jpg": "before",
              "during/LF12_0051.jpg": "during", "after/LF24_0502.jpg": "after"}
    with Folder() as folder:
        folder.write("volume.yaml", volume)
        for photo in photos:
            shutil.copy(os.path.join(demo(), photo), folder.path)
        equal(platewright("intake", folder.path).status, 0)
        for photo, stage in photos.items():
            sidecar = folder.read(os.path.basename(photo) + ".yaml")
            check(f"\nstage: {stage}\n" in sidecar, f"{photo}: {sidecar}")
            with open(os.path.join(demo(), photo + ".yaml"), encoding="utf-8") as file:
                known = file.read()
            for key in ("taken", "sha256", "size"):
                line = re.search(rf"^  {key}: .*$", known, re.M).group(0)
                check(line in sidecar, f"{photo}: {line} is not in {sidecar}")


def test_a_renamed_photograph_is_told_and_relinked():
    with Folder() as folder:
        folder.photograph("one.png")
        platewright("intake", folder.path)
        text = folder.read("one.png.yaml") + "caption: \"kept\"\n"
        folder.write("one.png.yaml", text)
        os.rename(os.path.join(folder.path, "one.png"), os.path.join(folder.path, "new name.png"))
        told = platewright("intake", folder.path)
        equal(told.status, 1, told)
        check("--relink" in told.err, told)
        check(not os.path.exists(os.path.join(folder.path, "new name.png.yaml")), "nothing moved")
        done = platewright("intake", folder.path, "--relink")
        equal(done.status, 0, done)
        equal(folder.read("new name.png.yaml"), text)
        check(not os.path.exists(os.path.join(folder.path, "one.png.yaml")), "the old name is gone")


def test_a_broken_photograph_is_named_and_the_rest_go_on():
    with Folder() as folder:
        folder.write("bad.jpg", "this is no picture")
        folder.photograph("good.png")
        result = platewright("intake", folder.path)
        equal(result.status, 3, result)
        check("bad.jpg" in result.err, result)
        check(not os.path.exists(os.path.join(folder.path, "bad.jpg.yaml")), "no sidecar for it")
        check(os.path.exists(os.path.join(folder.path, "good.png.yaml")), "the good one is in")


def test_a_link_is_not_followed():
    with Folder() as folder:
        folder.photograph("one.png")
        os.symlink("/etc/hostname", os.path.join(folder.path, "two.png"))
        platewright("intake", folder.path)
        check(not os.path.exists(os.path.join(folder.path, "two.png.yaml")), "no sidecar")
        check("link" in platewright("check", folder.path).out, "check names it")


def test_a_cache_that_is_a_link_is_left_alone():
    with Folder() as folder:
        folder.photograph("volume/one.png")
        os.mkdir(os.path.join(folder.path, "elsewhere"))
        os.symlink("../elsewhere", os.path.join(folder.path, "volume", ".platewright"))
        equal(platewright("intake", os.path.join(folder.path, "volume")).status, 0)
        equal(os.listdir(os.path.join(folder.path, "elsewhere")), [])


def test_photographs_keep_mode_times_and_bytes():
    with Folder() as folder:
        path = folder.photograph("before/one.png")
        os.chmod(path, 0o444)
        os.utime(path, ns=(1_600_000_000_000_000_000, 1_600_000_000_000_000_000))
        before = states(folder.path)["before/one.png"]
        access = os.stat(path).st_atime_ns
        for command in ("intake", "check", "measure", "plates"):
            platewright(command, folder.path, cwd=folder.path)
        equal(states(folder.path)["before/one.png"], before)
        equal(os.stat(path).st_atime_ns, access, "time of the last access")


def test_intake_finds_every_card_of_the_demo():
    photos = demo_truth()["photos"]
    with Folder() as folder:
        copy = os.path.join(folder.path, "volume")
        shutil.copytree(demo(), copy, ignore=shutil.ignore_patterns("*.yaml", ".platewright"))
        result = platewright("intake", copy)
        equal(result.status, 0, result)
        n = 0
        for photo in photos:
            cards = [laid["what"] for laid in photo["laid"] if laid["what"] not in ("plain", "rule")]
            sidecar = folder.read(os.path.join("volume", photo["file"] + ".yaml"))
            told = re.search(r"^  tags: *(\S.*)$", sidecar, re.M)
            found = [] if told is None else told.group(1).split("#")[0].strip("[] ").split(",")
            equal(len(found), len(cards), f"{photo['file']}: {found} of {cards}")
            n += len(cards)
        check(n >= 15, n)


run(globals())
