"""The installed wheel holds what the service needs beside code: figures, programme, flows, languages, scripts."""

import subprocess
import sys
import venv
from pathlib import Path

import pytest

HOME = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """A bare environment with the wheel in it and this environment's packages behind it."""
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(HOME)]
    subprocess.run(build, check=True, capture_output=True)
    (wheel,) = folder.glob("*.whl")
    venv.create(folder / "env", with_pip=False)
    site = next((folder / "env" / "lib").glob("python3*")) / "site-packages"
    install = [
        sys.executable,
        "-m",
        "pip",
        "install",
        "--no-deps",
        "--no-index",
        "--quiet",
        "--target",
        str(site),
        str(wheel),
    ]
    subprocess.run(install, check=True, capture_output=True)
    packages = next(path for path in sys.path if path.endswith("site-packages"))
    (site / "behind.pth").write_text(f"import sys; sys.path.append({packages!r})\n")
    return folder / "env" / "bin" / "python", site


def _run(installed, code):
    python, site = installed
    script = f"import advisor; assert advisor.__file__.startswith({str(site)!r}), advisor.__file__\n{code}"
    return subprocess.run([python, "-I", "-c", script], capture_output=True, text=True, cwd=site.parent)


def test_it_loads_the_book(installed):
    done = _run(installed, "from advisor.loading import load_book; print(*sorted(load_book().flows))")

    shipped = sorted(file.stem for file in (HOME / "flows").glob("*.yaml"))
    assert (done.stderr, done.stdout.split()) == ("", shipped)


def test_it_opens_the_embedded_store_with_its_scripts(installed):
    done = _run(
        installed,
        "from advisor.store.opening import open_store; s = open_store('embedded:'); s.open(); print(s.ready()[0])",
    )

    assert (done.stderr, done.stdout.strip()) == ("", "True")
