"""What opens without a network is small, whole, and allowed by a strict policy."""

import gzip
import posixpath
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.core.files.base import ContentFile
from django.test import Client

from inspections.field.tablet.shell import build, files
from inspections.project.static_storage import TabletStorage, without_remarks

pytestmark = pytest.mark.django_db
LARGEST_BYTES = 50_000
"""1 s at 400 kbit/s, as a site in production sends them."""
LONGEST_LINES = 150
OURS = [name for name in files() if name.startswith("field/") and name.endswith(".js")]
WORKER = "field/worker.js"
OWN = [*(name for name in OURS if "vendor" not in name), WORKER]


def text_of(name: str) -> str:
    """Return a static file."""
    return Path(finders.find(name)).read_text(encoding="utf-8")


def test_our_own_script_stays_small_for_a_slow_network():
    # The worker is no static file, and goes as it is.
    sent = (
        without_remarks(text_of(name)) if name != WORKER else text_of(name)
        for name in OWN
    )  # fmt: skip
    assert sum(len(gzip.compress(each.encode())) for each in sent) < LARGEST_BYTES


@pytest.mark.parametrize("name", OWN)
def test_a_module_is_short_and_all_that_it_imports_is_kept_with_it(name):
    text = text_of(name)
    assert text.count("\n") < LONGEST_LINES
    for path in re.findall(r'from "(\.[^"]+)"', text):
        assert posixpath.normpath(posixpath.join(posixpath.dirname(name), path)) in OURS


def test_the_worker_names_its_build_and_every_file_of_the_page():
    script = Client().get("/worker.js").content.decode()

    assert f'const BUILD = "{build()}";' in script
    for name in files():
        assert f'"/static/{name}"' in script


def test_the_page_has_no_script_or_style_of_its_own():
    response = Client().get("/field/")
    page = response.content.decode()

    assert "unsafe" not in response["Content-Security-Policy"]
    assert "style=" not in page
    assert re.findall(r"<script[^>]*>([^<]*)</script>", page) == [""]


def test_the_app_can_be_installed():
    manifest = Client().get("/manifest.webmanifest").json()

    assert manifest["start_url"] == manifest["scope"] == "/field/"
    assert manifest["display"] == "standalone"
    assert manifest["icons"]


def test_in_production_comments_stay_behind_and_code_does_not(tmp_path):
    storage = TabletStorage(location=tmp_path)
    script = ContentFile(
        b"// Why.\nlet a = 1; // kept\n/** What. */ let b;\n/**\n * More.\n */\nf();\n"
    )
    script.read()  # as by the step that names files by their content
    storage.save("field/a.js", script)
    kept = (tmp_path / "field/a.js").read_text()
    assert kept == "let a = 1; // kept\n/** What. */ let b;\nf();\n"
    storage.save("field/vendor/b.js", ContentFile(b"// A licence.\n"))
    assert (tmp_path / "field/vendor/b.js").read_text() == "// A licence.\n"
