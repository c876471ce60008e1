"""Bad days, made by the operating system: a full disk and a pressed Ctrl-C.

- A full disk: the system's own limit on the size of files (RLIMIT_FSIZE), at several sizes, for
  `press` and for `new`.
- Ctrl-C: SIGINT at several moments of `press`, `demo` and `art`.

Each time: exit code 2, one plain error, the book, the art and the former press files byte for byte
as they were, and nothing half-written left behind. Digests by Python's hashlib.

Needs FOREDGE (the binary) and DEMO (a finished demo book folder).
"""

import hashlib
import os
import pathlib
import resource
import shutil
import signal
import subprocess
import tempfile
import time

from kit.said import end, say

foredge = os.path.abspath(os.environ["FOREDGE"])
demo = pathlib.Path(os.environ["DEMO"]).resolve()


def digests(folder):
    """Every file but the record's own."""
    found = {}
    for path in sorted(pathlib.Path(folder).rglob("*")):
        name = path.relative_to(folder)
        if path.is_file() and name.parts[0] != ".foredge":
            found[str(name)] = hashlib.sha256(path.read_bytes()).hexdigest()
    return found


def limited(most):
    def limit():
        # A file that grows too large is then an error of writing, as on a full disk.
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

    return limit


with tempfile.TemporaryDirectory(dir=demo.parent) as room:
    room = pathlib.Path(room)
    book = room / "book"
    # Hard links of the art save room and time; the book is its own.
    shutil.copytree(demo, book, ignore=shutil.ignore_patterns("art", "cache"))
    shutil.copytree(demo / "art", book / "art", copy_function=os.link)
    text = (book / "book.toml").read_text()
    # Everything has to be made anew.
    (book / "book.toml").write_text(
        text.replace('resolution = "300ppi"', 'resolution = "200ppi"')
        if 'resolution = "300ppi"' in text
        else text.replace("[press]", '[press]\nresolution = "200ppi"')
    )
    before = digests(book)
    subprocess.run([foredge, "--book", book, "status"], check=True, capture_output=True)

    for most in (200_000, 3_000_000, 20_000_000):
        done = subprocess.run(
            [foredge, "--book", book, "press"],
            capture_output=True,
            text=True,
            preexec_fn=limited(most),
        )
        say(
            done.returncode == 2
            and "could not write" in done.stderr
            and "untouched" in done.stderr
            and "panicked" not in done.stderr
            and digests(book) == before,
            f"press on a disk that is full at {most} bytes: {done.stderr.splitlines()[0]}",
        )

    target = room / "new"
    done = subprocess.run(
        [foredge, "new", target, "--art", demo / "art", "--title", "Full", "--trim", "A4"],
        capture_output=True,
        text=True,
        preexec_fn=limited(1_000_000),
    )
    left = sorted(path.name for path in room.iterdir())
    say(
        done.returncode == 2 and not target.exists() and left == ["book"],
        f"new on a full disk leaves nothing: {done.stderr.splitlines()[0]}",
    )

    def interrupted(arguments, after):
        process = subprocess.Popen(
            [foredge, *arguments],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
        time.sleep(after)
        process.send_signal(signal.SIGINT)
        began = time.monotonic()
        _, errors = process.communicate(timeout=60)
        return process.returncode, errors, time.monotonic() - began

    stopped = 0
    for after in (0.1, 0.4, 1.0):
        code, errors, waited = interrupted(["--book", book, "press"], after)
        if code == 0:
            print(f"      press was done within {after} s")
            break
        stopped += 1
        say(
            code == 2 and "stopped as you asked" in errors and digests(book) == before,
            f"press stopped after {after} s ends within {waited:.1f} s",
        )
    say(stopped > 0, f"press was stopped {stopped} times")

    target = room / "demo"
    code, errors, waited = interrupted(["demo", target], 1.0)
    left = sorted(path.name for path in room.iterdir())
    say(
        code == 2 and left == ["book"],
        f"demo stopped after 1 s leaves nothing, within {waited:.1f} s",
    )

    done = subprocess.run([foredge, "--book", book, "press"], capture_output=True, text=True)
    say(done.returncode in (0, 1), "the same book is pressed on a good day")
end()
