"""The run sheet's page passes axe-core's rules in a browser that can reach nothing.

axe-core 4.10.3 (tests/fixtures/axe): rules of WCAG 2.2, levels A and AA, and best practices.
"""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from service.tools.built_in import BUILT_IN
from tests import requested

AXE = Path(__file__).resolve().parents[1] / "fixtures" / "axe" / "axe.min.js"
_RUN: dict[str, Any] = {
    "cut": "patch", "cutter": "indexed-blade-hoop", "effort": "quick", "layers": 2,
    "material": {"name": "blue cotton", "kind": "stiffened_fabric"},
}  # fmt: skip
KIT: dict[str, Any] = {
    "title": "Slipway sampler",
    "units": "in",
    "copies": 2,
    "documents": ["run_sheet"],
    "pieces": [
        {"id": "A", "shape": {"kind": "hexagon", "side": "1"}, "quantity": 12, "grain": "fixed",
         "seam_allowance": "1/4"},
    ],
    # Ten loads and more: with a table of contents.
    "runs": [_RUN | {"material": _RUN["material"] | {"name": f"cloth {n}"}} for n in range(5)],
}  # fmt: skip
_SCRIPT = """<script>{axe}</script><script>
axe.run(document).then(function (found) {{
  var out = document.createElement("pre");
  out.id = "found";
  out.textContent = JSON.stringify({{passes: found.passes.length,
    violations: found.violations.map(function (each) {{
      return {{id: each.id, where: each.nodes.map(function (node) {{ return node.html; }})}};
    }})}});
  document.body.appendChild(out);
}});
</script></body>"""


@pytest.mark.chromium
def test_the_page_of_the_sheet_passes_axe(tmp_path: Path) -> None:
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser is None:
        pytest.skip("chromium is not installed")
    page = requested.kit(KIT, BUILT_IN.get, read_back=False).files["run-sheet.html"].decode()
    script = _SCRIPT.format(axe=AXE.read_text(encoding="utf-8"))
    path = tmp_path / "sheet.html"
    path.write_text(page.replace("</body>", script), encoding="utf-8")
    ran = subprocess.run(
        [
            browser, "--headless", "--no-sandbox", "--disable-gpu",
            f"--user-data-dir={tmp_path / 'profile'}", "--host-resolver-rules=MAP * ~NOTFOUND",
            "--virtual-time-budget=60000", "--dump-dom", path.as_uri(),
        ],
        capture_output=True, text=True, check=False, timeout=600,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr[-2000:]
    output = re.search(r'<pre id="found">(.*?)</pre>', ran.stdout, re.DOTALL)
    assert output is not None, ran.stdout[-2000:]
    found = json.loads(html.unescape(output[1]))
    assert found["violations"] == []
    assert found["passes"] > 10
