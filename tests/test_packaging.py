"""What is built holds what is in the tree: a builder drops ignored files without a word."""

import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).parent.parent
PACKAGES = ("app", "core", "resources", "sample_jobs")


def test_the_wheel_holds_every_file_of_the_packages(tmp_path):
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    (wheel,) = tmp_path.glob("*.whl")
    built = {n for n in zipfile.ZipFile(wheel).namelist() if n.split("/")[0] in PACKAGES}
    tree = {
        str(path.relative_to(ROOT).as_posix())
        for package in PACKAGES
        for path in (ROOT / package).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert built == tree


def test_the_qt_binding_keeps_its_references():
    """PySide6 6.12.0 on Python 3.11 drops references to None until the process aborts."""
    code = (
        "import os, sys\n"
        "os.environ['QT_QPA_PLATFORM'] = 'offscreen'\n"
        "from PySide6.QtGui import QGuiApplication, QImage, QPainter\n"
        "app = QGuiApplication([])\n"
        "image = QImage(8, 8, QImage.Format.Format_ARGB32)\n"
        "painter = QPainter(image)\n"
        "before = sys.getrefcount(None)\n"
        "for _ in range(1000): painter.drawLine(0, 0, 7, 7)\n"
        "after = sys.getrefcount(None)\n"
        "painter.end()\n"
        "print(after - before)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    # from Python 3.12 on None is immortal and the count stands still
    assert abs(int(done.stdout)) < 100
