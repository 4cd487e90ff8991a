"""Sample walk data, and each sample rendered once per session.

sample      the module walk_data_sample
rendered    rendered(name, paper="A4") -> Path of the PDF of sample.<name>(); `draft` is the big one unsigned
"""

import importlib.util
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

from inspect_app.output.render import RenderJob, render_report

MADE_AT = "2026-03-05T15:10:00+00:00"


@pytest.fixture(scope="session")
def sample() -> ModuleType:
    spec = importlib.util.spec_from_file_location("walk_data_sample", Path(__file__).with_name("walk_data_sample.py"))
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def rendered(sample: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    folder, made = tmp_path_factory.mktemp("reports"), dict[tuple[str, str], Path]()

    def render(name: str, paper: str = "A4") -> Path:
        if (name, paper) not in made:
            data, photos = sample.walk_data(kind="draft") if name == "draft" else getattr(sample, name)()
            path = folder / f"{name}-{paper}.pdf"
            path.write_bytes(render_report(RenderJob(sample.sealed(data), photos, paper, MADE_AT), lambda text: None))
            made[name, paper] = path
        return made[name, paper]

    return render
