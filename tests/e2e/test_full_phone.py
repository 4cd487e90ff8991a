"""A phone whose storage is really full: entries go in longest, and nothing is shown as kept that is not."""

import json
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Playwright, expect

from tests.e2e.conftest import (
    CHROMIUM,
    FLAGS,
    LOFT,
    PHONE,
    World,
    as_taken,
    expect_all_there_once,
    in_the_office,
    local_rows,
    noisy_picture,
    start_walk,
    tap,
)

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-faults")]
SMALL_MB = 120


class SmallPhone:
    """A browser whose profile lies on a disk of its own, of a size that real writes fill."""

    def __init__(self, playwright: Playwright, profile: Path) -> None:
        self.playwright, self.profile = playwright, profile
        profile.mkdir()

    def start(self) -> BrowserContext:
        """Mount the small disk and start on it; where mounting is not allowed, in a name space of the browser's own."""
        mount = ["mount", "-t", "tmpfs", "-o", f"size={SMALL_MB}m", "none", str(self.profile)]
        mounted = subprocess.run(mount, capture_output=True, check=False).returncode == 0
        chromium = Path(CHROMIUM)
        if not mounted:
            chromium = self.profile.parent / "chromium"
            chromium.write_text(
                "#!/bin/sh\nexec unshare --user --map-root-user --mount sh -c "
                f"""'{" ".join(mount)} && exec {CHROMIUM} "$@"' chromium "$@"\n"""
            )
            chromium.chmod(0o755)
        return self.playwright.chromium.launch_persistent_context(
            str(self.profile), executable_path=str(chromium), args=FLAGS, service_workers="block", **PHONE
        )

    def away(self) -> None:
        """Take the disk away again, if it was mounted here."""
        subprocess.run(["umount", "-l", str(self.profile)], capture_output=True, check=False)


@pytest.fixture
def small_phone(driver: Playwright, tmp_path: Path) -> Iterator[BrowserContext]:
    phone = SmallPhone(driver, tmp_path / "small")
    context = phone.start()
    yield context
    context.close()
    phone.away()


FILL = """async () => {
  const db = await import('/static/js/field/db.js');
  const piece = (size) => crypto.getRandomValues(new Uint8Array(size));
  const put = (bytes, n) => db.put('thumbs', { id: `fill-${n}`, bytes });
  let n = 0;
  for (const size of [1 << 20, 1 << 16, 1 << 11]) {
    try {
      for (;; n += 1) {
        const bytes = new Uint8Array(size);
        for (let at = 0; at < size; at += 65536) bytes.set(piece(Math.min(65536, size - at)), at);
        await put(bytes, n);
      }
    } catch (error) {
      if (error.name !== 'QuotaExceededError') throw error;
    }
  }
  return n;
}"""
EMPTY = """async () => {
  const db = await import('/static/js/field/db.js');
  for (const { id } of await db.all('thumbs')) if (id.startsWith('fill-')) await db.drop('thumbs', id);
}"""


def test_on_a_phone_that_is_really_full_the_entry_is_kept_when_only_the_photo_does_not_fit(
    small_phone: BrowserContext, world: World, tmp_path: Path
) -> None:
    page = small_phone.new_page()
    start_walk(page, world)
    page.locator(LOFT).tap()
    page.route("**/api/v1/**", lambda route: route.abort())  # and no office to send to
    tap(page)
    filled = page.evaluate(FILL)
    assert 10 < filled < SMALL_MB, "the disk was not what filled up"
    before = {row["id"]: row["text"] for row in local_rows(page)}

    path = tmp_path / "photo.jpg"
    path.write_bytes(as_taken(noisy_picture(1), "2026:03:04 19:22:00"))
    page.locator("[data-row]").nth(3).get_by_role("button", name="Finding at").tap()
    page.locator("button.point[data-point=loft-block-groove]").first.tap()
    page.set_input_files("input[type=file]", str(path))
    full = "NOT kept, the phone's storage is full. The entry can be saved without it."
    expect(page.locator(".photos li")).to_contain_text(full, timeout=15_000)
    page.locator("textarea[name=note]").fill("a groove, and no room for its picture")
    page.get_by_role("button", name="Save the finding").tap()
    page.locator("#rows").wait_for()
    expect(page.locator("#not-saved")).to_be_hidden()
    expect(page.locator("[data-row]").nth(3).locator(".tap")).to_have_text("No finding in the rest")
    after = {row["id"]: row["text"] for row in local_rows(page)}
    (new,) = (json.loads(text) for key, text in after.items() if key not in before)
    assert (new["note"], new["photos"]) == ("a groove, and no room for its picture", [])
    assert {key: text for key, text in after.items() if key in before} == before

    # Until not even an entry fits: then it says so, and shows nothing as kept.
    free = page.locator("#rows .tap:not([disabled]):not(.recorded)")
    for _ in range(40):
        page.evaluate(FILL)
        if not free.count():
            page.get_by_role("button", name="Next", exact=True).tap()
        kept = len(local_rows(page))
        recorded = page.locator("#rows .tap.recorded").count()
        free.first.tap()
        page.wait_for_timeout(720)
        if page.locator("#not-saved").is_visible():
            break
        assert len(local_rows(page)) == kept + 2
    expect(page.locator("#not-saved")).to_contain_text("NOT saved: this phone's storage is full.")
    assert len(local_rows(page)) == kept
    assert page.locator("#rows .tap.recorded").count() == recorded
    page.evaluate(EMPTY)
    page.locator("#not-saved").tap()
    page.locator("#rows .tap:not([disabled]):not(.recorded)").first.tap()
    expect(page.locator("#rows .tap.recorded")).to_have_count(recorded + 1)
    page.unroute("**/api/v1/**")
    page.locator("#send").tap()
    in_the_office(page)
    expect_all_there_once(page, world)
