"""Photos of a complaint: what is taken, what is kept of it, and who sees it."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from jobs.models import Complaint, Photo, PhotoContents
from jobs.services import photos
from jobs.services.photo_bytes import LONG_SIDE, SMALL_SIDE, picture_of
from jobs.stages import Move
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash, Refusal
from shop.models import LogEntry
from tests.asserts import counted, refused, text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import go
from tests.jobs.pictures import a_photo, a_picture

ORIENTATION, MAKE, GPS = 0x0112, 0x010F, 0x8825  # Exif 2.3, tables 4, 8 and 15; from memory


@pytest.fixture
def complaint(bela: Actor, ines: Actor) -> Complaint:
    return a_repair_order(bela, technician=ines).complaints.get()


def _address(name: str, complaint: Complaint, last: int) -> str:
    order = complaint.order
    return reverse(name, args=[order.workshop.slug, order.number, last])


def _with_exif(orientation: int = 6) -> bytes:
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKE] = orientation, "Some Camera"
    exif.get_ifd(GPS)[1] = "N"
    exif.get_ifd(GPS)[2] = (52.0, 30.0, 0.0)
    return a_picture(60, 40, exif=exif, comment=b"of the driver")


def test_it_is_turned_upright_and_keeps_neither_place_nor_device() -> None:
    raw = _with_exif()
    assert b"Some Camera" in raw
    kept = picture_of(raw)
    assert (kept.width, kept.height) == (40, 60)
    for content in (kept.jpeg, kept.small):
        with Image.open(BytesIO(content)) as shown:
            assert shown.format == "JPEG"
            assert not shown.getexif()
            assert not {"exif", "comment", "icc_profile", "xmp"} & set(shown.info)
        assert b"Some Camera" not in content
        assert b"of the driver" not in content


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_large_one_becomes_small_enough_in_any_of_the_three_kinds(kind: str) -> None:
    kept = picture_of(a_picture(3000, 1500, kind))
    assert (kept.width, kept.height) == (LONG_SIDE, LONG_SIDE // 2)
    with Image.open(BytesIO(kept.small)) as small:
        assert max(small.size) == SMALL_SIDE


def test_what_can_be_seen_through_is_laid_on_white() -> None:
    kept = picture_of(a_picture(10, 10, "PNG", (0, 0, 0, 0)))
    with Image.open(BytesIO(kept.jpeg)) as shown:
        colour = shown.getpixel((5, 5))
    assert isinstance(colour, tuple)
    assert min(colour) > 250


def _bomb(width: int, height: int) -> bytes:
    """A PNG that says it is huge, in a hundred bytes. PNG specification, 11.2.2."""

    def chunk(name: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(name + data))
        return struct.pack(">I", len(data)) + name + data + check

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def _webp_bomb() -> bytes:
    """RFC 9649, 2.7: a canvas of 16384 by 16384, and nothing on it."""
    side = (16383).to_bytes(3, "little")
    body = b"WEBPVP8X" + (10).to_bytes(4, "little") + b"\0\0\0\0" + side + side
    return b"RIFF" + len(body).to_bytes(4, "little") + body


@pytest.mark.parametrize("raw", [_bomb(60000, 60000), _bomb(9000, 9000), _webp_bomb()])
def test_a_picture_that_unpacks_to_too_much_is_refused_by_its_header(raw: bytes) -> None:
    with refused(field="photo", says="million points"):
        picture_of(raw)


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"GIF89a",
        a_picture(kind="GIF"),
        a_picture(kind="BMP"),
        a_picture(kind="TIFF"),
        b"%PDF-1.7",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        a_picture(kind="PNG")[:40],
        a_picture()[:200],
        b"RIFF\0\0\0\0WEBP" + b"\0" * 30,
    ],
)
def test_what_is_no_photo_is_refused_whatever_it_is_called(raw: bytes) -> None:
    with refused(field="photo"):
        picture_of(raw)


GOOD = {kind: a_picture(kind=kind) for kind in ("JPEG", "PNG", "WEBP")}


@given(
    st.sampled_from(sorted(GOOD)),
    st.lists(st.tuples(st.integers(0, 2000), st.integers(0, 255)), max_size=8),
    st.integers(0, 2000),
)
def test_broken_bytes_are_refused_or_make_a_picture_and_nothing_else(
    kind: str, changes: list[tuple[int, int]], cut: int
) -> None:
    raw = bytearray(GOOD[kind])
    for place, value in changes:
        raw[place % len(raw)] = value
    try:
        kept = picture_of(bytes(raw[: len(raw) - cut % len(raw)] if cut % 2 else raw))
    except Refusal as refusal:
        assert refusal.field == "photo"
    else:
        assert max(kept.width, kept.height) <= LONG_SIDE


@given(st.binary(max_size=200))
def test_any_bytes_are_refused(raw: bytes) -> None:
    with pytest.raises(Refusal):
        picture_of(raw)


def test_one_sending_is_one_photo_and_the_same_picture_stands_once(
    ines: Actor, complaint: Complaint
) -> None:
    act, raw = uuid4(), a_picture()
    photos.add(ines, act=act, complaint=complaint, raw=raw, shows="fault")
    with pytest.raises(AlreadyDone):
        photos.add(ines, act=act, complaint=complaint, raw=raw, shows="fault")
    with refused(field="photo", says="already"):
        photos.add(ines, act=uuid4(), complaint=complaint, raw=raw, shows="plate")
    a_photo(ines, complaint, colour=(1, 2, 3))
    assert Photo.objects.count() == 2
    assert LogEntry.objects.filter(kind="photo").count() == 2


def test_it_refuses_the_counter_a_void_job_and_a_kind_nobody_knows(
    ines: Actor, nuri: Actor, bela: Actor, complaint: Complaint
) -> None:
    with refused():
        a_photo(nuri, complaint)
    with refused(field="shows"):
        a_photo(ines, complaint, shows="a bird")
    a_photo(ines, complaint)
    go(bela, complaint.order, Move.VOID, "Opened by mistake")
    complaint.order.refresh_from_db()
    with refused(says="void"):
        a_photo(ines, complaint, colour=(9, 9, 9))


def test_a_complaint_takes_so_many_and_one_more_when_one_is_removed(
    ines: Actor, complaint: Complaint, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photos, "MOST", 2)
    first = a_photo(ines, complaint, colour=(1, 1, 1))
    a_photo(ines, complaint, colour=(90, 90, 90))
    with refused(field="photo", says="as many as"):
        a_photo(ines, complaint, colour=(200, 200, 200))
    photos.remove(ines, act=uuid4(), photo=first, because="Out of focus")
    a_photo(ines, complaint, colour=(200, 200, 200))


def test_removing_takes_the_picture_and_leaves_the_line(ines: Actor, complaint: Complaint) -> None:
    photo, act = a_photo(ines, complaint), uuid4()
    with refused(field="because"):
        photos.remove(ines, act=act, photo=photo, because=" ")
    photos.remove(ines, act=act, photo=photo, because="A face is on it")
    with pytest.raises(AlreadyDone):
        photos.remove(ines, act=act, photo=photo, because="A face is on it")
    with pytest.raises(Clash):
        photos.remove(ines, act=uuid4(), photo=photo, because="Again")
    photo.refresh_from_db()
    assert photo.removed_because == "A face is on it"
    assert not PhotoContents.objects.exists()
    browser = client_of(ines)
    for name in ("photo-picture", "photo-small"):
        assert browser.get(_address(name, complaint, photo.pk)).status_code == 404
    assert "A face is on it" in text_of(browser.get(_address("photo", complaint, photo.pk)))
    assert "A face is on it" in text_of(browser.get(_address("photos", complaint, 1)))


def test_pictures_are_served_to_the_workshop_alone_and_kept_by_no_proxy(
    ines: Actor, pim: Actor, complaint: Complaint
) -> None:
    photo = a_photo(ines, complaint)
    for name in ("photo-picture", "photo-small"):
        url = _address(name, complaint, photo.pk)
        answer = client_of(ines).get(url)
        assert answer.status_code == 200
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["Cache-Control"].startswith("private")
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert client_of(pim).get(url).status_code == 404
        own = url.replace(ines.workshop.slug, pim.workshop.slug)
        assert client_of(pim).get(own).status_code == 404


def test_from_the_tablet_without_a_script(ines: Actor, complaint: Complaint) -> None:
    browser = client_of(ines)
    add, act = _address("photo-add", complaint, 1), str(uuid4())

    def send(content: bytes, **more: str) -> str:
        file = SimpleUploadedFile("IMG_0001.HEIC", content, "image/heic")
        sent = {"act": act, "photo": file, "shows": "fault", "words": "Chafed harness", **more}
        return text_of(browser.post(add, sent, follow=True))

    assert "no photo that can be read" in send(b"something else")
    assert "Choose what the photo shows" in send(a_picture(), shows="")
    said = send(a_picture())
    assert "The photo is kept" in said
    send(a_picture())
    photo = Photo.objects.get()
    remove = _address("photo-remove", complaint, photo.pk)
    answer = browser.post(remove, {"act": str(uuid4()), "because": ""})
    assert "Say why it goes" in text_of(answer)
    browser.post(remove, {"act": str(uuid4()), "because": "Out of focus"})
    photo.refresh_from_db()
    assert photo.removed_at


def test_the_page_costs_the_same_for_two_photos_as_for_ten(
    ines: Actor, complaint: Complaint
) -> None:
    browser, url = client_of(ines), _address("photos", complaint, 1)

    def cost() -> int:
        browser.get(url)
        with counted() as queries:
            browser.get(url)
        return len(queries)

    for shade in range(2):
        a_photo(ines, complaint, colour=(shade * 20, 0, 0))
    few = cost()
    for shade in range(2, 10):
        a_photo(ines, complaint, colour=(shade * 20, 0, 0))
    assert cost() == few
