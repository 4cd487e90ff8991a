"""Making the PDF of a large walk."""

import io
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from pypdf import PdfReader

from inspect_app.output.fonts import isolated_fontconfig
from inspect_app.output.render import RenderJob, render_report
from tests.bench.measure import Line, duration, seconds
from tests.output.walk_data_sample import sealed, walk_data

ONE_PAGE = "from weasyprint import HTML; HTML(string='<p>One page.</p>').write_pdf()"


def report_against_one_page(folder: Path) -> Line:
    data, photos = walk_data(sets=40, lines=6, findings=27, photos=60)
    job = RenderJob(sealed(data), photos, "A4", "2026-03-04T20:15:00+00:00")
    conf = isolated_fontconfig(Path(tempfile.mkdtemp(dir=folder)))
    made: list[bytes] = []

    def one_page() -> None:
        env = os.environ | {"FONTCONFIG_FILE": str(conf)}
        subprocess.run([sys.executable, "-c", ONE_PAGE], check=True, env=env)

    one_page()
    alone = min(seconds(one_page) for _ in range(3))
    ours = seconds(lambda: made.append(render_report(job, lambda _: None, time_limit_s=600)))
    pages = len(PdfReader(io.BytesIO(made[0])).pages)
    return Line(
        "report: the whole PDF",
        f"a walk of 40 sets of 6 lines, {len(data['parts'])} parts, 27 findings and 60 photos made into {pages} pages, "
        f"{len(made[0]) / 1e6:.1f} MB, photos fitted, data attached, in a process of its own",
        "WeasyPrint writing one page with one line of text, in a process of its own",
        f"the whole file, {duration(ours / pages)} for each page; the yardstick is mostly the start of the process",
        ours,
        alone,
    )
