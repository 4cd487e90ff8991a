"""For the hands: a voice note, a photo over the last one, a scanned label and the light, with Chromium's fake devices.

Camera and microphone are the browser's own fakes: a real stream, a real recorder, a real shutter. Debian's Chromium has
no BarcodeDetector and its fake camera no light: there a stand-in answers as the standard says. The text that the
stand-in for the detector gives was read by another decoder from the label as the office draws it.
"""

import array
import hashlib
import io
import re
import sqlite3
import uuid
import wave
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import zxingcpp
from axe_playwright_python.sync_playwright import Axe
from PIL import Image, ImageDraw
from playwright.sync_api import Browser, Page, Playwright, expect

from inspect_app.domain.recording import kind_of_sound
from tests.e2e.conftest import in_the_office

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-hands")]
LOFT = "button.stretch[data-stop=loft-and-line][data-state=static]"
QUARTERLY = "Quarterly grid and gallery walk"
PHONE = {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True}
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--use-fake-device-for-media-stream",
    "--use-fake-ui-for-media-stream",
]
PHOTOS = "import('/static/js/field/db.js').then((db) => db.all('photos'))"
# A detector that sees what the test puts before it, and a camera with a light whose state can be read.
STAND_INS = """
window.BarcodeDetector = class {
  static async getSupportedFormats() { return ['qr_code']; }
  async detect() { return window.seen ? [{ rawValue: window.seen }] : []; }
};
const can = MediaStreamTrack.prototype.getCapabilities;
MediaStreamTrack.prototype.getCapabilities = function () { return { ...can.call(this), torch: Boolean(window.lamp) }; };
const apply = MediaStreamTrack.prototype.applyConstraints;
MediaStreamTrack.prototype.applyConstraints = function (wanted) {
  const torch = wanted?.advanced?.[0]?.torch;
  if (torch === undefined) return apply.call(this, wanted);
  window.lamp.shines = torch;
  window.lamp.track = this;
  return Promise.resolve();
};
"""


@pytest.fixture(scope="module")
def eyes(driver: Playwright) -> Iterator[Browser]:
    browser = driver.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
    yield browser
    browser.close()


@pytest.fixture
def phone(eyes: Browser, world) -> Iterator[Page]:
    """A page with fake devices; it closes before the server of `world` stops, or a late request complains."""
    context = eyes.new_context(**PHONE)
    page = context.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(f"page error: {error}"))
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    yield page
    context.close()
    assert complaints == []


def office(world, statement: str) -> list[tuple]:
    with sqlite3.connect(f"file:{world.server.data / 'inspect.db'}?mode=ro", uri=True) as db:
        return db.execute(statement).fetchall()


def until(page: Page, expression: str, given: object = None) -> None:
    """Ask again and again; the page's policy forbids the browser's own way of waiting for an expression."""
    for _ in range(150):
        if page.evaluate(expression, given):
            return
        page.wait_for_timeout(100)
    pytest.fail(f"never true: {expression}")


def open_point(page: Page) -> None:
    page.get_by_role("button", name="Finding at 1", exact=True).tap()
    page.locator("button.point").first.tap()


def save_finding(page: Page) -> None:
    page.locator("[data-defect]").first.tap()
    page.locator("[data-wear='2']").tap()
    page.locator("[data-point-way=handled]").tap()
    page.get_by_role("button", name="Save the finding").tap()
    page.locator("#rows").wait_for()


def kept_bytes(page: Page) -> int:
    """How many bytes of voice notes lie in IndexedDB."""
    return page.evaluate(
        """async () => {
          const db = await import('/static/js/field/db.js');
          const spoken = (await db.all('photos')).filter((row) => row.kind === 'recording');
          const bytes = await Promise.all(spoken.map((row) => db.get('bytes', row.id)));
          return bytes.reduce((sum, one) => sum + (one ? one.buffer.byteLength : 0), 0);
        }"""
    )


def violations(page: Page) -> list[str]:
    options = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
    return [one["id"] for one in Axe().run(page, options=options).response["violations"]]


def speak(page: Page) -> None:
    target = page.get_by_role("button", name="Record a voice note")
    target.tap()
    expect(page.locator(".voice button")).to_contain_text(re.compile(r"Stop the voice note \(0:0[1-9] of 2:00\)"))


@pytest.fixture
def at_the_wells(phone: Page, sign_in_on: Callable[..., None], begin_walk: Callable[..., None]) -> Page:
    sign_in_on(phone)
    begin_walk(phone, QUARTERLY)
    phone.locator(LOFT).tap()
    return phone


def test_a_voice_note_is_on_the_phone_while_it_is_spoken_and_is_heard_in_the_office(at_the_wells: Page, world) -> None:
    page = at_the_wells
    open_point(page)
    page.get_by_role("button", name="Record a voice note").scroll_into_view_if_needed()
    box = page.get_by_role("button", name="Save the finding").bounding_box()
    speak(page)
    assert page.get_by_role("button", name="Save the finding").bounding_box() == box  # nothing moves meanwhile
    until(page, f"{PHOTOS}.then((rows) => rows.some((row) => row.state === 'recording' && row.size > 0))")
    assert kept_bytes(page) > 1000
    save_finding(page)  # saving ends what is still being spoken and takes it along
    in_the_office(page)
    ((key, sha256, mime, size),) = office(
        world, "SELECT lower(hex(id)), lower(hex(sha256)), mime, bytes FROM recording"
    )
    content = (world.server.data / "photos" / sha256[:2] / sha256).read_bytes()
    assert hashlib.sha256(content).hexdigest() == sha256
    assert (kind_of_sound(content), len(content)) == (mime, size)
    assert office(world, "SELECT lower(hex(recording)) FROM recording_use") == [(key,)]
    assert kept_bytes(page) == 0  # the office has it

    walk = re.search(r"walk=([0-9a-f-]{36})", page.url)[1]
    page.goto(world.url(f"/houses/{{house}}/walks/{walk}/review"))
    heard = page.locator("#voice + ul audio").evaluate(
        """(audio) => new Promise((resolve) => {
          audio.muted = true;
          audio.addEventListener('timeupdate', () => audio.currentTime > 0.3 && resolve(audio.currentTime));
          audio.addEventListener('error', () => resolve(String(audio.error.message)));
          audio.play();
        })"""
    )
    assert heard > 0.3


def test_what_a_crash_left_of_a_voice_note_is_found_again_and_can_be_used(at_the_wells: Page, world) -> None:
    page = at_the_wells
    open_point(page)
    speak(page)
    until(page, f"{PHOTOS}.then((rows) => rows.some((row) => row.size > 0))")
    address, context = page.url, page.context
    page.close()  # as a crash does: no event reaches the page
    page = context.new_page()
    page.goto(address)
    page.get_by_role("button", name="Whole walk").tap()
    page.get_by_role("button", name="What is on this phone").tap()
    expect(page.locator("#field")).to_contain_text("Spoken at LB 1-1")
    page.get_by_role("button", name="Go to LB 1-1 with it").tap()
    expect(page.locator(".voice li")).to_contain_text("spoken before: on this phone")
    page.locator("[data-defect]").first.tap()
    page.locator("[data-wear='2']").tap()
    page.locator("[data-point-way=handled]").tap()
    page.get_by_role("button", name="Save the finding").tap()
    in_the_office(page)
    assert office(world, "SELECT count(*) FROM recording r JOIN recording_use u ON u.recording = r.id") == [(1,)]


def test_without_a_microphone_or_camera_the_page_says_how_to_go_on(at_the_wells: Page) -> None:
    page = at_the_wells
    page.evaluate(
        "() => { navigator.mediaDevices.getUserMedia = async () => { throw new DOMException('', 'NotFoundError'); } }"
    )
    open_point(page)
    page.get_by_role("button", name="Record a voice note").tap()
    expect(page.locator(".voice li")).to_contain_text("no microphone. Type the note.")
    page.evaluate("() => { delete window.MediaRecorder; }")
    page.get_by_role("button", name="Back without saving").tap()
    page.locator("button.point").first.tap()
    expect(page.locator(".voice")).to_contain_text("This browser cannot record a voice note here. Type the note")
    page.get_by_role("button", name="Back without saving").tap()
    page.get_by_role("button", name="Back without saving").tap()
    page.get_by_role("button", name="Whole walk").tap()
    page.get_by_role("button", name="Scan its label").tap()
    expect(page.locator("form").filter(has_text="Find a part")).to_contain_text(
        "This browser cannot scan labels: type the number"
    )


def a_photo(folder: Path) -> Path:
    picture = Image.new("RGB", (900, 1200), (120, 130, 140))
    ImageDraw.Draw(picture).ellipse((150, 300, 750, 900), outline=(20, 20, 20), width=50)
    path = folder / "block.jpg"
    picture.save(path, "JPEG", quality=85)
    return path


def test_a_photo_is_taken_again_over_the_last_one_with_its_time(at_the_wells: Page, world, tmp_path: Path) -> None:
    page = at_the_wells
    open_point(page)
    page.set_input_files("input[type=file]", str(a_photo(tmp_path)))
    expect(page.locator(".photos li")).to_contain_text("on this phone")
    expect(page.locator(".retake")).to_be_hidden()  # nothing yet that it could be laid over
    save_finding(page)
    in_the_office(page)
    page.goto(world.url("/walk?house={house}"))
    until(page, "import('/static/js/field/db.js').then((db) => db.all('thumbs')).then((all) => all.length === 1)")
    page.get_by_role("button", name="Go on with").tap()
    page.locator("#rows").wait_for()
    open_point(page)
    page.get_by_role("button", name="Take it again over the last photo").tap()
    shutter = page.get_by_role("button", name="Take the photo")
    expect(shutter).to_be_enabled()
    expect(shutter).to_be_focused()
    ghost = page.locator(".ghost")
    assert ghost.evaluate("(image) => getComputedStyle(image).opacity") == "0.5"
    strength = page.get_by_label("How strongly the last photo shows")
    strength.focus()
    page.keyboard.press("ArrowRight")
    assert ghost.evaluate("(image) => getComputedStyle(image).opacity") == "0.6"
    assert ghost.bounding_box() == page.locator(".pane video").bounding_box()
    for target in ("Close", "Take the photo"):
        box = page.get_by_role("button", name=target, exact=True).bounding_box()
        assert box["height"] >= 56
        assert box["width"] >= 56
    found = []
    for theme in ("light", "dark", "red"):
        page.evaluate("(theme) => { document.documentElement.dataset.theme = theme }", theme)
        found.append(violations(page))
    assert found == [[], [], []]
    full = page.locator(".pane video").evaluate("(video) => [video.videoWidth, video.videoHeight]")
    shutter.focus()
    page.keyboard.press("Enter")
    expect(page.locator(".pane")).to_have_count(0)
    expect(page.get_by_role("button", name="Take it again over the last photo")).to_be_focused()
    expect(page.locator(".photos li")).to_contain_text("on this phone")
    save_finding(page)
    in_the_office(page)
    (sha256, width, height, taken), *others = office(
        world, "SELECT lower(hex(sha256)), width, height, taken_at FROM photo ORDER BY received_at DESC"
    )
    assert len(others) == 1
    assert [width, height] == full
    content = (world.server.data / "photos" / sha256[:2] / sha256).read_bytes()
    assert (
        Image.open(io.BytesIO(content)).getexif().get_ifd(0x8769)[0x9003].replace(":", "-", 2).replace(" ", "T")
        in taken
    )
    assert office(world, "SELECT count(*) FROM photo_use") == [(2,)]


def label_text(page: Page, world, part: str) -> str:
    """What another decoder reads in the label as the part's page draws it."""
    answer = page.request.get(world.url(f"/houses/{{house}}/parts/{part}/"))
    size, path = re.search(r'class="qr" viewBox="0 0 (\d+) \d+".*?<path d="([^"]+)"', answer.text(), re.S).groups()
    scale = 6
    picture = Image.new("L", (int(size) * scale, int(size) * scale), 255)
    pen = ImageDraw.Draw(picture)
    for x, y, width in (map(int, run) for run in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", path)):
        pen.rectangle((x * scale, y * scale, (x + width) * scale - 1, (y + 1) * scale - 1), fill=0)
    return zxingcpp.read_barcodes(picture)[0].text


def test_a_scanned_label_leads_to_its_row_and_nothing_else_is_followed(
    phone: Page, world, sign_in_on: Callable[..., None], begin_walk: Callable[..., None]
) -> None:
    page = phone
    page.add_init_script(STAND_INS)
    sign_in_on(page)
    begin_walk(page, QUARTERLY)
    dashed = str(uuid.UUID(office(world, "SELECT lower(hex(id)) FROM part WHERE tag = 'LB 7-3'")[0][0]))
    text = label_text(page, world, dashed)
    assert text == world.url(f"/houses/{{house}}/parts/{dashed}/")

    page.get_by_role("button", name="Scan its label").tap()
    told = page.locator(".pane-told")
    expect(told).to_have_text("Hold the label in the picture.")
    assert violations(page) == []
    here = page.url
    unknown = text.replace(dashed, world.house)
    for seen, words in (
        (
            "https://elsewhere.example/<b>x</b>",
            "This is no label of a part. It says: https://elsewhere.example/<b>x</b>",
        ),
        (text.replace(world.house, dashed), "This label belongs to another house."),
        (unknown, "This part is not known here."),
    ):
        page.evaluate("(text) => { window.seen = text }", seen)
        expect(told).to_contain_text(words)
        assert page.url == here
    page.evaluate("(text) => { window.seen = text }", text.replace("http://127.0.0.1", "https://moved.example"))
    expect(page.locator(".pane")).to_have_count(0)
    page.locator("#rows").wait_for()
    assert page.evaluate(
        "document.activeElement.dataset.row || document.activeElement.closest('[data-row]')?.dataset.row"
    )
    expect(page.locator("[data-row]:focus .row-number, [data-row]:focus-within .row-number")).to_have_text("7")
    expect(page.locator("h1")).to_contain_text("W 3")


def test_escape_closes_the_scanner_and_the_camera_goes_out(
    phone: Page, world, sign_in_on: Callable[..., None], begin_walk: Callable[..., None]
) -> None:
    page = phone
    page.add_init_script(STAND_INS)
    sign_in_on(page)
    begin_walk(page, QUARTERLY)
    scan = page.get_by_role("button", name="Scan its label")
    scan.focus()
    page.keyboard.press("Enter")
    until(page, "document.querySelector('.pane video')?.srcObject?.active")
    stream = page.evaluate_handle("document.querySelector('.pane video').srcObject")
    page.keyboard.press("Escape")
    expect(page.locator(".pane")).to_have_count(0)
    until(page, "(stream) => !stream.active", stream)
    expect(scan).to_be_focused()


def test_the_light_goes_on_off_and_out_with_the_page(
    phone: Page, world, sign_in_on: Callable[..., None], begin_walk: Callable[..., None]
) -> None:
    page = phone
    page.add_init_script(STAND_INS + "window.lamp = { shines: false, track: null };")
    sign_in_on(page)
    begin_walk(page, QUARTERLY)
    light = page.locator("#torch")
    box = light.bounding_box()
    assert box["height"] >= 56
    light.tap()
    expect(light).to_have_text("Light: on")
    assert page.evaluate("[window.lamp.shines, window.lamp.track.readyState]") == [True, "live"]
    assert light.bounding_box() == box
    light.tap()
    expect(light).to_have_text("Light: off")
    until(page, "!window.lamp.shines && window.lamp.track.readyState === 'ended'")
    light.tap()
    expect(light).to_have_text("Light: on")
    page.evaluate(
        """() => {
          Object.defineProperty(document, 'hidden', { value: true, configurable: true });
          document.dispatchEvent(new Event('visibilitychange'));
        }"""
    )
    expect(light).to_have_text("Light: off")
    assert page.evaluate("window.lamp.track.readyState") == "ended"


def test_a_camera_without_a_light_says_so_once(at_the_wells: Page) -> None:
    page = at_the_wells
    row = page.locator("[data-row]").first.bounding_box()
    light = page.locator("#torch")
    light.tap()
    expect(light).to_have_text("No light")
    expect(light).to_be_disabled()
    assert page.locator("[data-row]").first.bounding_box() == row
    page.reload()
    page.locator("#rows").wait_for()
    expect(light).to_be_hidden()
    in_the_office(page)


def test_a_set_is_recorded_by_ear_on_its_page_as_sound_that_can_be_drawn(
    phone: Page, sign_in_on: Callable[..., None], world
) -> None:
    sign_in_on(phone)
    phone.goto(world.url("/houses/{house}/by-ear"))
    phone.get_by_role("link", name=re.compile("^Set 3")).click()
    begin = phone.get_by_role("button", name="Record 10 seconds now")
    expect(begin).to_be_visible()
    phone.evaluate("document.querySelector('form[data-seconds]').dataset.seconds = 1")
    begin.tap()
    expect(phone.get_by_role("status").filter(has_text="Recorded.")).to_be_visible(timeout=20_000)
    phone.get_by_role("button", name="Keep the recording").tap()
    expect(phone.locator("svg.levels")).to_be_visible()
    address = phone.locator("audio").get_attribute("src")
    with wave.open(io.BytesIO(phone.request.get(world.url(address)).body())) as sound:
        assert (sound.getnchannels(), sound.getsampwidth()) == (1, 2)
        assert 0.5 < sound.getnframes() / sound.getframerate() < 3
        samples = array.array("h", sound.readframes(sound.getnframes()))
    assert max(samples) > 1000  # the stand-in for a microphone beeps
    assert min(samples) < -1000
