"""Set up queueplanner in this folder, then start it. Needs nothing but Python 3.11 or newer.

    python3 start.py                plan the demo day: in a window, or in the terminal if there is no display
    python3 start.py test [...]     run the tests; further words go to pytest
    python3 start.py run [...]      further words go to the queueplanner command line
    python3 start.py setup          only set up

The set-up makes a virtual environment in .venv with the versions of requirements.lock. On Linux it also sees
to the system libraries that the window needs: through apt as root, else as private copies in .libs. A part is
noted as ready only once it is whole; a part without such a note (a set-up cut short) is made anew.
"""

import contextlib
import functools
import hashlib
import html
import importlib.util
import os
import platform
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

if sys.version_info < (3, 11):  # noqa: UP036 - an older Python reads this file too, and is told so here
    newer = [name for name in ("python3.14", "python3.13", "python3.12", "python3.11") if shutil.which(name)]
    todo = f"Type: {newer[0]} start.py" if newer else "Install one from python.org or your system's packages."
    sys.exit(f"queueplanner needs Python 3.11 or newer; this one is {platform.python_version()}.\n{todo}")

ROOT = Path(__file__).resolve().parent
VENV, LIBS, WORK = ROOT / ".venv", ROOT / ".libs", ROOT / ".setup"
LOCK = ROOT / "requirements.lock"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
IS_ROOT = hasattr(os, "geteuid") and os.geteuid() == 0
# What Qt's window and fonts need beyond a bare Debian (found with ldd on PySide6 6.11) ...
DEBIAN = ["libegl1", "libgl1", "libdbus-1-3", "libfontconfig1", "libglib2.0-0", "libxkbcommon-x11-0"]
DEBIAN += ["libxcb-cursor0", "libxcb-icccm4", "libxcb-keysyms1", "libxcb-shape0"]
# ... of which private copies leave out the drivers of graphics cards: a plain window draws without ...
DRIVERS = re.compile("mesa|llvm|libz3|libdrm|libicu|libsensors|libxml2|libgallium")
# ... and its names elsewhere (from memory, not run).
ELSEWHERE = {
    "dnf": "sudo dnf install libglvnd-glx libglvnd-egl dbus-libs fontconfig glib2 libxkbcommon-x11"
    " xcb-util-cursor xcb-util-wm xcb-util-keysyms dejavu-sans-fonts",
    "pacman": "sudo pacman -S --needed libglvnd dbus fontconfig glib2 libxkbcommon-x11 xcb-util-cursor"
    " xcb-util-wm xcb-util-keysyms ttf-dejavu",
    "zypper": "sudo zypper install libglvnd libdbus-1-3 fontconfig libglib-2_0-0 libxkbcommon-x11-0"
    " libxcb-cursor0 libxcb-icccm4 libxcb-keysyms1 libxcb-shape0 dejavu-fonts",
}
# Tries Qt for real. Exit 1: unusable. Exit 3: it draws (tests, terminal), but can open no window.
PROBE = """
import ctypes, pathlib, sys, PySide6
from PySide6 import QtGui, QtPrintSupport, QtSvg, QtWidgets
app = QtWidgets.QApplication([])
if not QtGui.QFontInfo(app.font()).family():
    sys.exit("no font is installed")
try:
    ctypes.CDLL(str(pathlib.Path(PySide6.__path__[0], "Qt/plugins/platforms/libqxcb.so")))
except OSError as trouble:
    print(trouble)
    sys.exit(3)
"""


class SetupError(Exception):
    """A step failed. Its arguments: what failed, what was said about it, what to do."""


def run(words: list[str], what: str, remedy: str, env: dict[str, str] | None = None, cwd: Path = ROOT) -> str:
    """Run a command to its end and return what it printed; on a terminal, show which package pip is at.

    The command inherits the set-up's lock, which thus holds even when this program is killed first. Raises
    SetupError(what, ..., remedy) if it fails.
    """
    start = functools.partial(subprocess.Popen, cwd=cwd, env=env, close_fds=False, errors="replace")
    printed = []
    with start(words, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT) as job:
        for line in job.stdout or ():
            printed.append(line)
            if line.startswith(("Collecting ", "Installing ")) and sys.stdout.isatty():
                print(f"      {line.strip():<64.64}", end="\r", flush=True)
    if sys.stdout.isatty():
        print(" " * 70, end="\r")
    if job.returncode != 0:
        raise SetupError(what, "".join(printed[-12:]).rstrip(), remedy)
    return "".join(printed)


# ---------------------------------------------------------------- what is ready


def facts() -> str:
    """What a set-up depends on; it is made anew when any of it changes."""
    release = {}
    with contextlib.suppress(OSError):  # only Linux says more of itself
        release = platform.freedesktop_os_release()
    system = f"{platform.system()} {release.get('ID')} {release.get('VERSION_ID')} {platform.machine()}"
    lock = hashlib.sha256(LOCK.read_bytes()).hexdigest()
    return f"Python {sys.version_info[:2]}\n{system}\nlock {lock}\nfolder {ROOT}\n"


def is_ready(part: str) -> bool:
    """Whether "packages" or "system" was finished under the present facts."""
    note = VENV / f"{part}.ready"
    return PYTHON.exists() and note.exists() and note.read_text(encoding="utf-8") == facts()


def note_ready(part: str) -> None:
    """Written aside and moved into place, so that the note is whole or not there."""
    aside = WORK / f"{part}.ready"
    aside.write_text(facts(), encoding="utf-8")
    aside.replace(VENV / aside.name)


# ---------------------------------------------------------------- Debian's packages


@functools.cache
def apt_options() -> tuple[str, ...]:
    """Bring apt's lists up to date and return its options; an ordinary user's lists lie in .setup."""
    settings = ["DPkg::Lock::Timeout=300"]
    if not IS_ROOT:
        (WORK / "apt/lists/partial").mkdir(parents=True, exist_ok=True)
        (WORK / "apt/archives/partial").mkdir(parents=True, exist_ok=True)
        settings += [f"Dir::State={WORK}/apt", "Dir::State::status=/var/lib/dpkg/status"]
        settings += [f"Dir::Cache={WORK}/apt", "Debug::NoLocking=1", "APT::Sandbox::User="]
    options = tuple(f"-o{setting}" for setting in settings)
    # A source out of reach, or a hook that wants root, does not matter if the packages are then found.
    done = subprocess.run(["apt-get", *options, "update"], capture_output=True, errors="replace", check=False)
    for complaint in re.findall("^(?:E:|W: Failed).*", done.stderr, re.MULTILINE)[:1]:
        print("      apt says:", complaint, flush=True)
    return options


def apt(*words: str, cwd: Path = ROOT) -> str:
    """Run apt-get with fresh lists and no questions; return what it printed."""
    env = {**os.environ, "DEBIAN_FRONTEND": "noninteractive", "LC_ALL": "C.UTF-8"}
    what = f"apt-get {words[0]} failed"
    remedy = "Look at the network connection and at the settings in /etc/apt."
    return run(["apt-get", *apt_options(), *words], what, remedy, env, cwd)


def unpack_debian(names: list[str], target: Path) -> None:
    """Fetch Debian packages and unpack their files under `target`; installs nothing, needs no rights."""
    debs = WORK / "debs"
    debs.mkdir(exist_ok=True)
    apt("download", *names, cwd=debs)
    for deb in debs.glob("*.deb"):
        words = ["dpkg-deb", "-x", str(deb), str(target)]
        run(words, f"{deb.name} could not be unpacked", "Look at the free disk space.")
        deb.unlink()


# ---------------------------------------------------------------- the virtual environment


def clean_environment() -> dict[str, str]:
    """This program's environment without other Pythons' packages."""
    return {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "PYTHONHOME")}


def pip_wheel() -> Path:
    """The pip of a Python that came without (Debian), fetched by apt if it is nowhere on the disk."""
    wheels = list(Path("/usr/share/python-wheels").glob("pip-*.whl"))
    if not wheels and shutil.which("apt-get"):
        unpack_debian(["python3-pip-whl"], WORK / "pip")
        wheels = list((WORK / "pip/usr/share/python-wheels").glob("pip-*.whl"))
    if not wheels:
        raise SetupError("this Python has no pip", "", "Install the packages python3-pip and python3-venv.")
    return wheels[0]


def make_venv() -> None:
    """Make .venv, with pip in it, in place of whatever is there."""
    if VENV.exists():
        print("      The .venv here is unfinished or out of date: making it anew.", flush=True)
        shutil.rmtree(VENV)
    python = getattr(sys, "_base_executable", "") or sys.executable  # not the one of .venv, just removed
    what, remedy = "no virtual environment could be made", "Look at the above and at the free disk space."
    if importlib.util.find_spec("ensurepip"):
        run([python, "-m", "venv", str(VENV)], what, remedy, clean_environment())
    else:
        wheel = str(pip_wheel())
        run([python, "-m", "venv", "--without-pip", str(VENV)], what, remedy, clean_environment())
        pip = [str(PYTHON), f"{wheel}/pip", "install", "--no-index", "--no-compile", wheel]
        run(pip, what, remedy, clean_environment())


def install_packages() -> None:
    """Install the locked versions; pip finds its index in pip.conf and PIP_* as always."""
    room = WORK / "tmp"  # the system's may be too small
    room.mkdir(exist_ok=True)
    env = {**clean_environment(), **dict.fromkeys(("TMPDIR", "TEMP", "TMP"), str(room)), "PIP_USER": "0"}
    remedy = "Look at the network (pip.conf and PIP_* are heeded); if hashes differ, restore requirements.lock."
    if sys.version_info >= (3, 15) or sys.maxsize < 2**32:
        remedy = "Use a 64-bit Python 3.11 to 3.14: some packages have nothing for this one."
    options = ["--no-input", "--no-compile", "--disable-pip-version-check", "--progress-bar=off"]
    options += ["--only-binary=:all:", "--require-hashes", "--requirement", str(LOCK)]
    run([str(PYTHON), "-m", "pip", "install", *options], "the packages could not be installed", remedy, env)


def link_project() -> None:
    """Make `import queueplanner` and the command `queueplanner` work in .venv, straight from src/."""
    site = next(VENV.glob("[Ll]ib/**/site-packages"))
    path = os.path.relpath(ROOT / "src", site)  # relative: such files are not read as UTF-8 everywhere
    (site / "queueplanner.pth").write_text(path + "\n", encoding="ascii")
    command = PYTHON.with_name("queueplanner.cmd" if os.name == "nt" else "queueplanner")
    python, start = (str(path).replace("'", "'\\''") for path in (PYTHON, ROOT / "start.py"))
    text = f"#!/bin/sh\nexec '{python}' '{start}' run \"$@\"\n"
    if os.name == "nt":
        text = '@"%~dp0python.exe" "%~dp0..\\..\\start.py" run %*\n'
    command.write_text(text, encoding="utf-8")
    command.chmod(0o755)


# ---------------------------------------------------------------- system libraries (Linux)


def library_folders() -> list[Path]:
    """The folders of .libs with private copies of system libraries; none if there are none."""
    return [folder for top in ("lib", "usr/lib") for folder in LIBS.glob(f"{top}/*-linux-gnu*")]


def library_settings() -> dict[str, str]:
    """Environment variables by which the fonts and keyboard tables in .libs are found."""
    fonts, keys = LIBS / "fonts.conf", LIBS / "usr/share/X11/xkb"
    wanted = {"FONTCONFIG_FILE": fonts, "QT_XKB_CONFIG_ROOT": keys, "XKB_CONFIG_ROOT": keys}
    return {name: str(path) for name, path in wanted.items() if path.exists()}


def program_environment() -> dict[str, str]:
    """The environment in which Qt finds the private copies, if there are any."""
    env = {**clean_environment(), **library_settings()}
    folders = [str(folder) for folder in library_folders()]
    if folders:
        env["LD_LIBRARY_PATH"] = ":".join([*folders, *filter(None, [env.get("LD_LIBRARY_PATH")])])
    return env


def probe_qt() -> tuple[int, str]:
    """Exit code and last line of PROBE, after telling Qt in which folder the private fonts now lie."""
    fonts = LIBS / "usr/share/fonts"
    if fonts.exists():
        places = f"<dir>/usr/share/fonts</dir><dir>{html.escape(str(fonts))}</dir>"
        text = f'<fontconfig>{places}<cachedir prefix="xdg">fontconfig</cachedir></fontconfig>\n'
        (LIBS / "fonts.conf").write_text(text, encoding="utf-8")
    env = {**program_environment(), "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run([PYTHON, "-c", PROBE], env=env, capture_output=True, errors="replace", check=False)
    return done.returncode, (done.stdout + done.stderr).strip().rpartition("\n")[2]


def fetch_private_libraries() -> None:
    """Unpack what is missing into .libs, which appears only once it is whole."""
    plan = apt("install", "--simulate", "--no-install-recommends", *DEBIAN)
    # Lines with [an old version] are upgrades: a second C library beside the system's would crash.
    names = [name for name in re.findall(r"^Inst (\S+) \(", plan, re.MULTILINE) if not DRIVERS.search(name)]
    half = WORK / "libs"
    if names:
        unpack_debian(names, half)
    shutil.rmtree(LIBS, ignore_errors=True)
    if half.exists():
        half.replace(LIBS)


def provide_libraries() -> None:
    """See that Qt can draw; else bring what it lacks, or say the one line that does."""
    code, trouble = probe_qt()
    if code and shutil.which("apt-get"):
        if IS_ROOT:
            print("      Some are missing: installing them with apt (60 MB, half a minute).", flush=True)
            mend = ["dpkg", "--configure", "-a"]  # after an apt that was cut short
            run(mend, "an installation cut short could not be mended", "Type: dpkg --configure -a")
            apt("install", "--yes", "--no-install-recommends", *DEBIAN)
        else:
            print("      Some are missing: fetching private copies into .libs (25 MB, 10 s).", flush=True)
            fetch_private_libraries()
        code, trouble = probe_qt()
    lines = [line for tool, line in ELSEWHERE.items() if shutil.which(tool)]
    remedy = f"Type: {lines[0]}" if lines else f"Install what Debian calls: {' '.join(DEBIAN)}"
    if code == 3:
        print(f"      No window can be opened yet ({trouble}). {remedy}", flush=True)
    elif code:
        raise SetupError("a system library that Qt draws with is missing", trouble, remedy)


# ---------------------------------------------------------------- the whole


def lock_setup() -> int:
    """Wait until no other set-up works in this folder; return the lock's file descriptor."""
    WORK.mkdir(exist_ok=True)
    lock = os.open(WORK / "lock", os.O_RDWR | os.O_CREAT, 0o666)
    os.set_inheritable(lock, True)
    for attempt in range(10**9):
        try:
            if sys.platform == "win32":
                import msvcrt

                msvcrt.locking(lock, msvcrt.LK_NBLCK, 1)
            else:
                import fcntl

                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            break
        except (BlockingIOError, PermissionError):
            if attempt == 0:
                print("Another set-up works in this folder: waiting for its end.", flush=True)
            time.sleep(0.5)
    return lock


def clear_work() -> None:
    """Remove half-made things; the lock stays."""
    for name in ("apt", "debs", "libs", "pip", "tmp"):
        shutil.rmtree(WORK / name, ignore_errors=True)


def set_up() -> None:
    """Bring every part that is not ready."""
    began = time.monotonic()
    lock = lock_setup()
    try:
        clear_work()
        if not is_ready("packages"):
            if shutil.disk_usage(ROOT).free < 1.5e9:
                raise SetupError("the disk is too full", "", "Free 1.5 GB.")
            print("Setting up queueplanner in this folder: once, 2 to 4 minutes, about 1 GB of disk.")
            print("[1/4] Making a virtual environment in .venv (10 s).", flush=True)
            make_venv()
            print("[2/4] Fetching the locked packages (250 MB; half a minute to some minutes).", flush=True)
            install_packages()
            print("[3/4] Linking the program into .venv (a moment).", flush=True)
            link_project()
            note_ready("packages")
        if sys.platform == "linux" and not is_ready("system"):
            print("[4/4] Trying the system libraries that the window needs (a few seconds).", flush=True)
            provide_libraries()
        note_ready("system")
        print(f"Set up in {time.monotonic() - began:.0f} s.", flush=True)
    finally:
        clear_work()
        os.close(lock)


def become(words: list[str], folder: Path, **settings: str) -> int:
    """Turn into the program (on Windows: run it) and return its exit code."""
    os.chdir(folder)
    words, env = [str(PYTHON), *words], {**program_environment(), **settings}
    if os.name == "posix":
        os.execve(PYTHON, words, env)
    return subprocess.call(words, env=env)


def main(word: str = "demo", *more: str) -> int:
    """Set up if need be, then do what the word says; returns the exit code."""
    if word not in ("demo", "test", "run", "setup"):
        print(__doc__)
        return 0 if word in ("-h", "--help", "help") else 2
    if not (is_ready("packages") and is_ready("system")):
        try:
            set_up()
        except (SetupError, OSError) as error:
            unexpected = str(error), "", "Look at your rights to this folder and at the free disk space."
            what, said, remedy = error.args if isinstance(error, SetupError) else unexpected
            print(f"\nThe set-up stopped: {what}.\n{said}\n{remedy}", file=sys.stderr)
            print("Then type again:", "python3 start.py", word, *more, file=sys.stderr)
            return 1
        print("Compiling the planning engine: once, about a minute.", flush=True)
        subprocess.call([str(PYTHON), "-m", "queueplanner", "warm"], cwd=ROOT, env=program_environment())
    if word == "test":
        return become(["-m", "pytest", "-n", "auto", *more], ROOT, QT_QPA_PLATFORM="offscreen")
    if word == "run":
        return become(["-m", "queueplanner", *more], Path.cwd())
    return 0 if word == "setup" else become(["-m", "queueplanner", "demo", *more], ROOT)


if __name__ == "__main__":
    try:
        sys.exit(main(*sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit("\nStopped. The same command takes it up again.")
