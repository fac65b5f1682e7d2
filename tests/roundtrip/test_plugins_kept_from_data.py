"""A plug-in's process reads installed code only, whatever folder the server was started in.

``python -m`` puts the working folder first on the import path ("The initialization of the sys.path
module search path", Python documentation), so it reaches every child that gets this path.
"""

from __future__ import annotations

import ast
import json
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from adapters.contract import CONTRACT
from adapters.sandbox.confinement import landlock_version

ROOT = Path(__file__).resolve().parents[2]
#: Writes which of the files that its settings name it could read.
PLUGIN = f"""
from adapters.plugin_api import Written
import looking_words


class Looking:
    contract, name, title = {CONTRACT}, "looking", "looking"
    media_type, extension, resolution = "text/plain", "looking", 0.1
    supports, settings = frozenset(), ()

    def write(self, plan, settings):
        found = []
        for path in settings["tried"]:
            try:
                open(path, "rb").read(1)
                found.append(path)
            except OSError:
                pass
        losses = ("looking holds no stops and no arcs.",)
        return Written(repr((found, looking_words.WORD)).encode(), losses)


ADAPTER = Looking()
"""
#: What the plug-in says of itself; it is not asked, which saves a process.
DESCRIBED = json.dumps({
    "title": "", "media_type": "", "extension": "", "supports": [], "resolution": 0.1,
    "settings": [], "reads": False, "sized": False,
})  # fmt: skip
#: Started as the service is: by ``-m``, which puts the working folder first.
SCRIPT = """
import json, sys
from pathlib import Path
from adapters import plugins
from adapters.sample import sample_plan

if __name__ == "__main__":
    plugins.hide(Path(sys.argv[1]))
    plugin = plugins._plugin(plugins.found()["looking"][0], json.loads(sys.argv[2]))
    print(plugin.write(sample_plan(), {"tried": sys.argv[3:]}).data.decode())
"""

pytestmark = pytest.mark.skipif(
    not landlock_version(), reason="this kernel has no Landlock: plug-ins are NOT confined"
)


def install(site: Path) -> None:
    """Install the plug-in in a folder; it needs another module beside it."""
    site.mkdir(exist_ok=True, parents=True)
    (site / "looking_out.py").write_text(PLUGIN)
    (site / "looking_words.py").write_text('WORD = "loaded"')
    info = site / "looking_out-1.0.dist-info"
    info.mkdir(exist_ok=True)
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: looking-out\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text(
        "[quarterseam.adapters]\nlooking = looking_out:ADAPTER\n"
    )


def read_by_plugin(
    working_folder: Path, path: list[Path], data: Path, tried: list[Path], start: Path
) -> list[str]:
    """Return the files that the plug-in could read."""
    (start / "started.py").write_text(SCRIPT)
    done = subprocess.run(
        [sys.executable, "-m", "started", str(data), DESCRIBED, *map(str, tried)],
        cwd=working_folder, capture_output=True, text=True, timeout=600, check=False,
        env={
            **os.environ,
            "PYTHONPATH": os.pathsep.join(map(str, [*path, start, ROOT])),
        },
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    found, word = ast.literal_eval(done.stdout)
    assert word == "loaded"
    return list(found)


def data_in(folder: Path) -> Path:
    data = folder / "data"
    data.mkdir(parents=True)
    (data / "quarterseam.sqlite").write_text("rows")
    return data


@pytest.fixture
def site(tmp_path: Path) -> Path:
    install(tmp_path / "site-packages")
    return tmp_path / "site-packages"


@pytest.fixture
def start(tmp_path: Path) -> Path:
    (tmp_path / "start").mkdir()
    return tmp_path / "start"


def test_the_working_folder_is_not_read(tmp_path: Path, site: Path, start: Path) -> None:
    here = tmp_path / "here"
    data = data_in(here)
    (here / "prices.json").write_text("{}")
    (here / "secrets.py").write_text("KEY = 1")
    tried = [here / "prices.json", here / "secrets.py", data / "quarterseam.sqlite"]
    code = site / "looking_words.py"
    assert read_by_plugin(here, [site], data, [*tried, code], start) == [str(code)]


def test_the_root_of_the_file_system_is_not_read(tmp_path: Path, site: Path, start: Path) -> None:
    data = data_in(tmp_path / "here")
    tried = [Path("/etc/passwd"), Path("/proc/self/environ"), data / "quarterseam.sqlite"]
    assert read_by_plugin(Path("/"), [site], data, tried, start) == []


def test_a_checkout_on_the_path_gives_its_code_only(tmp_path: Path, start: Path) -> None:
    """An editable installation puts a checkout's root on the path, and may hold the data."""
    checkout = tmp_path / "checkout"
    install(checkout)
    data = data_in(checkout)
    (checkout / ".env").write_text("KEY=1")
    tried = [checkout / ".env", data / "quarterseam.sqlite"]
    assert read_by_plugin(tmp_path, [checkout], data, tried, start) == []


def test_a_plugin_in_the_working_folder_is_loaded(tmp_path: Path, site: Path, start: Path) -> None:
    """Its module is read; other modules there are not, for the server may have been put there."""
    here = tmp_path / "here"
    here.mkdir()
    shutil.move(site / "looking_out.py", here / "looking_out.py")
    data = data_in(here)
    tried = [data / "quarterseam.sqlite", here / "looking_out.py"]
    assert read_by_plugin(here, [site], data, tried, start) == [str(here / "looking_out.py")]


@pytest.mark.parametrize("inside", ["site-packages", "site-packages/looking_data", "checkout"])
def test_data_among_installed_code_is_not_read(
    tmp_path: Path, site: Path, start: Path, inside: str
) -> None:
    data = data_in(tmp_path / inside)
    (data / "__init__.py").write_text("")
    (site / "link").symlink_to(data)
    tried = [data / "quarterseam.sqlite", data / "__init__.py", site / "link" / "__init__.py"]
    path = [site, tmp_path / "checkout"]
    assert read_by_plugin(tmp_path, path, data, tried, start) == []


def test_an_archive_on_the_path_is_read(tmp_path: Path, site: Path, start: Path) -> None:
    """Modules may lie in an archive, or in a folder of one (PEP 273)."""
    with zipfile.ZipFile(tmp_path / "words.zip", "w") as archive:
        archive.write(site / "looking_words.py", "within/looking_words.py")
    (site / "looking_words.py").unlink()
    path = [site, tmp_path / "words.zip" / "within"]
    assert read_by_plugin(tmp_path, path, data_in(tmp_path), [], start) == []
