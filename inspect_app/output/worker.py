"""The render process: reads one job from its input, lays it out with the isolated fonts, answers and ends.

Job: a line of JSON {"fontconfig", "kind", "paper", "made_at", "sealed", "photos": [[id, length], ...]}, then the bytes.
Answer: lines "say <text>", then "pdf <length>" and the bytes, or "error <text>".
"""

import contextlib
import json
import logging
import os
import sys
from collections.abc import Callable
from typing import BinaryIO

MEMORY_LIMIT = 3 * 1024**3
STEPS = {
    "Step 3": "Applying the styles",
    "Step 4": "Building the sections",
    "Step 6": "Writing the PDF",
    "Step 7": "Adding the attachments",
}


def main() -> None:
    """Serve one job on standard input and output."""
    answer = sys.stdout.buffer
    sys.stdout = sys.stderr  # a stray print must not break the answer
    _limit_memory()
    try:
        _serve(sys.stdin.buffer, answer)
    except MemoryError:
        _say(answer, "error the report needs more memory than the render process may use")
    except Exception as error:
        logging.getLogger(__name__).exception("render failed")
        _say(answer, f"error {' '.join(str(error).split())[:500] or type(error).__name__}")


def _serve(source: BinaryIO, answer: BinaryIO) -> None:
    job = json.loads(source.readline())
    sealed = source.read(job["sealed"])
    photos = {photo: source.read(length) for photo, length in job["photos"]}
    for name in ("FONTCONFIG_PATH", "FONTCONFIG_SYSROOT"):
        os.environ.pop(name, None)
    os.environ["FONTCONFIG_FILE"] = job["fontconfig"]  # before the first font is loaded, so only ours are known
    _say(answer, "say Loading the typesetter")
    from weasyprint.urls import FatalURLFetchingError

    papers = load_papers()
    _follow_progress(answer)

    def say(text: str) -> None:
        _say(answer, f"say {text}")

    try:
        pdf = papers[job["kind"]](sealed, photos, job["paper"], job["made_at"], say)
    except FatalURLFetchingError as error:  # not an Exception
        raise ValueError(f"a picture could not be had: {error}") from None
    _say(answer, f"pdf {len(pdf)}")
    answer.write(pdf)
    answer.flush()


def load_papers() -> dict[str, Callable[..., bytes]]:
    """Load the typesetter; answers kind of document -> render(sealed, photos, paper, made_at, say)."""
    from inspect_app.output.calculation_sheet import render_sheet
    from inspect_app.output.hand_over_pdf import render_hand_over
    from inspect_app.output.label_sheet import render_label_sheet
    from inspect_app.output.learning_paper import render_learning_paper
    from inspect_app.output.paper_form import render_paper_form
    from inspect_app.output.pdf import render_pdf
    from inspect_app.output.plan_paper import render_plan_paper
    from inspect_app.output.rail_paper import render_rail_paper
    from inspect_app.output.repair_paper import render_repair_paper

    def without_photos(render: Callable[..., bytes]) -> Callable[..., bytes]:
        return lambda sealed, photos, *more: render(sealed, *more)

    plain = {
        "calculation_sheet": render_sheet,
        "hand_over": render_hand_over,
        "label_sheet": render_label_sheet,
        "learning_paper": render_learning_paper,
        "paper_form": render_paper_form,
        "plan_paper": render_plan_paper,
        "rail_paper": render_rail_paper,
    }
    return {
        **{kind: without_photos(render) for kind, render in plain.items()},
        "repair_paper": render_repair_paper,
        "report": render_pdf,
    }


def _say(answer: BinaryIO, line: str) -> None:
    answer.write(line.encode() + b"\n")
    answer.flush()


class _Steps(logging.Handler):
    """Turns the typesetter's own progress messages into ours."""

    def __init__(self, answer: BinaryIO) -> None:
        super().__init__(logging.INFO)
        self._answer = answer

    def emit(self, record: logging.LogRecord) -> None:
        message = record.getMessage()
        page = message.rpartition("Page ")[2] if "Creating layout" in message else ""
        text = f"Laying out page {page}" if page.isdigit() else STEPS.get(message[:6], "")
        if text:
            _say(self._answer, f"say {text}")


def _follow_progress(answer: BinaryIO) -> None:
    progress = logging.getLogger("weasyprint.progress")
    progress.setLevel(logging.INFO)
    progress.addHandler(_Steps(answer))
    progress.propagate = False
    warnings = logging.getLogger("weasyprint")
    warnings.setLevel(logging.WARNING)
    warnings.addHandler(logging.StreamHandler(sys.stderr))


def _limit_memory() -> None:
    with contextlib.suppress(ImportError, ValueError, OSError):  # no such limits outside POSIX
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_LIMIT, MEMORY_LIMIT))


if __name__ == "__main__":
    main()
