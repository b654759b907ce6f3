"""`meson install`: what it puts where, and that the installed command and library work from there."""
import os
import shutil
import subprocess

from bench import BUILD, Folder, Skip, check, equal, run

PROGRAM = r"""
#include <platewright/platewright.h>
#include <string.h>
int
main(void)
{
  g_autofree char *text = pw_format_quantity(412.34, 14.2);
  return strcmp(text, "412 \302\261 14") == 0 ? 0 : 1;
}
"""


def test_install_puts_everything_in_place_and_it_runs():
    with Folder() as folder:
        if shutil.which("meson") is None:
            raise Skip("meson is not here")
        done = subprocess.run(["meson", "install", "-C", BUILD, "--no-rebuild", "--destdir",
                               folder.path], capture_output=True, check=False)
        equal(done.returncode, 0, done.stderr)
        root = os.path.join(folder.path, "usr", "local")
        found = {os.path.relpath(os.path.join(at, name), root)
                 for at, _, names in os.walk(root) for name in names}
        for wanted in ("bin/platewright", "share/man/man1/platewright.1",
                       "share/bash-completion/completions/platewright",
                       "share/platewright/styles/plate.yaml",
                       "share/platewright/styles/plate-grey.yaml",
                       "share/platewright/styles/terms.yaml",
                       "share/doc/platewright/README.md", "share/doc/platewright/docs/formats.md",
                       "share/doc/platewright/docs/measuring.md",
                       "share/doc/platewright/docs/card.md",
                       "share/doc/platewright/docs/styles.md",
                       "include/platewright/platewright.h", "include/platewright/model.h"):
            check(wanted in found, f"{wanted} is not among {sorted(found)}")
        check(any(name.endswith("pkgconfig/platewright.pc") for name in found), "pkg-config")
        check(any(name.endswith("libplatewright.so") for name in found), "the library")
        library = os.path.dirname(next(os.path.join(root, name) for name in found
                                       if name.endswith("libplatewright.so")))
        environment = {**os.environ, "LD_LIBRARY_PATH": library,
                       "PLATEWRIGHT_STYLES": os.path.join(root, "share/platewright/styles")}
        version = subprocess.run([os.path.join(root, "bin", "platewright"), "--version"],
                                 capture_output=True, env=environment, check=False)
        check(version.stdout.startswith(b"platewright "), version)
        source = folder.write("program.c", PROGRAM)
        flags = subprocess.run(["pkg-config", "--cflags", "--libs", "platewright"], text=True,
                               env={**os.environ,
                                    "PKG_CONFIG_PATH": os.path.join(library, "pkgconfig")},
                               capture_output=True, check=True).stdout.split()
        program = os.path.join(folder.path, "program")
        built = subprocess.run(["cc", source, "-o", program, "-I", os.path.join(root, "include"),
                                "-L", library, *flags], capture_output=True, check=False)
        equal(built.returncode, 0, built.stderr)
        equal(subprocess.run([program], env=environment, check=False).returncode, 0)


run(globals())
