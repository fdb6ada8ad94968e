"""Clips from a phone: kept without signal, played with seeking, and cut off on the way."""

import os
import socket
from contextlib import suppress
from pathlib import Path
from uuid import UUID

import pytest

from tests.browser.house import PATIENCE, Phone, new_context, sign_in, until
from tests.clips.makers import movie

pytestmark = pytest.mark.browser


@pytest.fixture
def clip(tmp_path):
    path = tmp_path / "swing.webm"
    path.write_bytes(movie("webm", 3))
    return path


def test_a_film_plays_after_its_place_was_blanked(page, server, seed, tmp_path):
    film = tmp_path / "swing.webm"
    film.write_bytes(movie("webm", place=True))
    page.goto(f"{server.url}/students/{seed['students']['Sam Sample']}/clips/")
    page.get_by_label("A clip or a picture").set_input_files(str(film))
    page.get_by_role("button", name="Send it").click()
    page.get_by_role("listitem").get_by_role("link").click()
    seconds = page.locator("video").evaluate(
        "(v) => new Promise((yes) => { v.onended = () => yes(v.currentTime); v.play(); })"
    )
    assert seconds == pytest.approx(1, abs=0.3)


@pytest.fixture
def page(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["sam"])
    yield context.new_page()
    context.close()


def clips_of(server):
    return [row[0] for row in server.sql("SELECT id FROM clips_clip")]


def files(server):
    folder = server.folder / "clips"
    return [path for path in folder.rglob("*") if path.is_file()] if folder.exists() else []


def spooled(server):
    """The files without a name that its processes hold open: what is still coming in."""
    held = set()
    for process in Path("/proc").glob("[0-9]*"):
        with suppress(OSError):  # It ends while we look.
            if os.getpgid(int(process.name)) == server.process.pid:
                held |= {
                    str(fd) for fd in process.glob("fd/*") if "(deleted)" in str(fd.readlink())
                }
    return held


def test_a_clip_taken_without_signal_waits_on_the_phone_and_is_sent_once(page, server, seed, clip):
    address = f"{server.url}/students/{seed['students']['Sam Sample']}/clips/"
    page.goto(address)
    page.context.set_offline(True)
    page.get_by_label("A clip or a picture").set_input_files(str(clip))
    page.get_by_role("button", name="Send it").click()
    page.get_by_text("1 kept on this phone").wait_for()
    page.close()
    assert clips_of(server) == []
    page.context.set_offline(False)
    again = page.context.new_page()
    again.goto(address)
    again.get_by_role("listitem").get_by_role("link").wait_for()
    assert len(clips_of(server)) == 1
    # The film, without its place, and the still that the page drew of it.
    assert len(files(server)) == 2
    assert server.sql("SELECT still FROM clips_clip")[0][0].endswith(".still.jpg")
    again.reload()
    again.get_by_role("listitem").get_by_role("link").click()
    seconds = again.locator("video").evaluate(
        "(v) => new Promise((yes) => { v.onseeked = () => yes(v.currentTime); v.currentTime = 2; })"
    )
    assert seconds == pytest.approx(2, abs=0.3)
    assert len(clips_of(server)) == 1


def test_what_is_refused_is_said_and_does_not_wait_for_ever(page, server, seed, tmp_path):
    bad = tmp_path / "swing.mp4"
    bad.write_bytes(b"<html>")
    page.goto(f"{server.url}/students/{seed['students']['Sam Sample']}/clips/")
    page.get_by_label("A clip or a picture").set_input_files(str(bad))
    page.get_by_role("button", name="Send it").click()
    page.get_by_text("swing.mp4: This is no picture").wait_for()
    assert clips_of(server) == files(server) == []


def test_an_upload_that_breaks_off_leaves_nothing_behind(page, server, seed):
    """Half of a large body, then the line is dead."""
    address = f"/students/{seed['students']['Sam Sample']}/clips/"
    page.goto(server.url + address)
    token = page.locator("#send-clip [name=csrfmiddlewaretoken]").input_value()
    cookies = "; ".join(f"{c['name']}={c['value']}" for c in page.context.cookies())
    before = spooled(server)
    head = (
        '--x\r\nContent-Disposition: form-data; name="csrfmiddlewaretoken"\r\n\r\n'
        f'{token}\r\n--x\r\nContent-Disposition: form-data; name="file"; filename="a.mp4"\r\n'
        "Content-Type: video/mp4\r\n\r\n"
    ).encode()
    with socket.create_connection(("127.0.0.1", server.port), timeout=PATIENCE) as line:
        line.sendall(
            f"POST {address} HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\n"
            f"Cookie: {cookies}\r\nContent-Type: multipart/form-data; boundary=x\r\n"
            f"Content-Length: {20 * 1024 * 1024}\r\n\r\n".encode()
            + head
            + movie() * 4000
        )
        until(lambda: spooled(server) != before, "the upload to be on disk")
    until(lambda: spooled(server) == before, "the half upload to be gone")
    assert clips_of(server) == files(server) == []


def test_signed_out_meanwhile_it_says_so_and_is_sent_after_the_sign_in(page, server, seed, clip):
    address = f"{server.url}/students/{seed['students']['Sam Sample']}/clips/"
    page.goto(address)
    page.context.clear_cookies(name="sessionid")
    page.get_by_label("A clip or a picture").set_input_files(str(clip))
    page.get_by_role("button", name="Send it").click()
    page.get_by_text("1 kept on this phone. You are signed out").wait_for()
    assert clips_of(server) == []
    sign_in(page.context, server, seed["cookies"]["sam"])
    page.goto(address)
    page.get_by_role("listitem").get_by_role("link").wait_for()
    assert len(clips_of(server)) == 1


def choose(server, part, clip_id):
    """Tie a clip to the drill of a part, and mark it as the one to copy."""
    ((drill,),) = server.sql("SELECT drill_id FROM weeks_part WHERE id = ?", part)
    server.sql("UPDATE clips_clip SET drill_id = ?, is_model = 1 WHERE id = ?", drill, clip_id)


def test_the_one_to_copy_plays_beside_its_drill_on_the_phone(page, server, seed, clip):
    page.goto(f"{server.url}/students/{seed['students']['Sam Sample']}/clips/")
    page.get_by_label("A clip or a picture").set_input_files(str(clip))
    page.get_by_role("button", name="Send it").click()
    page.get_by_role("listitem").get_by_role("link").wait_for()
    (clip_id,) = clips_of(server)
    choose(server, seed["parts"][0].replace("-", ""), clip_id)
    phone = Phone(page, server).open()
    shown = page.get_by_label("The one to copy")
    assert page.locator("article", has=shown).locator("h2").inner_text() == "Wall-back turns"
    assert page.locator("figcaption").inner_text() == "The one to copy, 3 s"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.context.set_offline(True)
    shown.evaluate("(v) => v.play().catch(() => {})")
    page.get_by_text("It needs signal, and you signed in.").wait_for()
    assert page.get_by_role("button", name="Done as asked").is_visible()
    page.context.set_offline(False)
    phone.open()
    with page.expect_request("**/api/read") as told:
        assert shown.evaluate(PLAYED) > 0
    assert told.value.post_data_json == {"lines": [], "clips": [str(UUID(clip_id))]}


PLAYED = """async (video) => {
  video.muted = true;
  await video.play();
  await new Promise((yes) => { video.ontimeupdate = () => video.currentTime > 0 && yes(); });
  return video.currentTime;
}"""
