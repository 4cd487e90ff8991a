"""Sample walk data, and each sample rendered once per session.

sample      the module walk_data_sample
data_of     data_of(name) -> walk data and photos of a sample, made once; copy the data before changing them
rendered    rendered(name, paper="A4") -> Path of the PDF of a sample
render_again  render_again(name, paper="A4") -> bytes of the PDF, made anew by a process of its own
"""

import importlib.util
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from threading import Lock
from types import ModuleType
from typing import Any

import pytest

from inspect_app.output.render import RenderJob, render_report

Sample = tuple[dict[str, Any], dict[str, bytes]]
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
def data_of(sample: ModuleType) -> Callable[[str], Sample]:
    made: dict[str, Sample] = {}
    one_at_a_time = Lock()

    def make(name: str) -> Sample:
        with one_at_a_time:
            if name not in made:
                made[name] = getattr(sample, name)()
            return made[name]

    return make


@pytest.fixture(scope="session")
def render_again(sample: ModuleType, data_of: Callable[[str], Sample]) -> Callable[..., bytes]:
    def render(name: str, paper: str = "A4") -> bytes:
        data, photos = data_of(name)
        return render_report(RenderJob(sample.sealed(data), photos, paper, MADE_AT), lambda text: None)

    return render


@pytest.fixture(scope="session")
def rendered(
    request: pytest.FixtureRequest,
    render_again: Callable[..., bytes],
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Callable[..., Path]]:
    """Each sample that the chosen tests name is rendered once, two at a time, ahead of the test that asks for it."""
    folder, made = tmp_path_factory.mktemp("reports"), dict[tuple[str, str], Future[Path]]()

    def render(name: str, paper: str) -> Path:
        path = folder / f"{name}-{paper}.pdf"
        path.write_bytes(render_again(name, paper))
        return path

    with ThreadPoolExecutor(2) as pool:

        def ordered(name: str, paper: str = "A4") -> Future[Path]:
            if (name, paper) not in made:
                made[name, paper] = pool.submit(render, name, paper)
            return made[name, paper]

        for name, paper in _asked_for(request.session.items):
            ordered(name, paper)
        yield lambda name, paper="A4": ordered(name, paper).result()
        pool.shutdown(cancel_futures=True)


def _asked_for(items: Iterable[pytest.Item]) -> Iterator[tuple[str, str]]:
    """Names and papers that the parameters of the chosen tests name."""
    for item in items:
        params = item.callspec.params if isinstance(item, pytest.Function) and hasattr(item, "callspec") else {}
        if "name" in params and "rendered" in getattr(item, "fixturenames", ()):
            yield params["name"], params.get("paper", "A4")
