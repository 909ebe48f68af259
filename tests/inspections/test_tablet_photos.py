"""Photos are kept once, whole or not at all, encoded anew and shown to those who may see them."""

import hashlib
import io
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from inspections.models import Photo, TabletRecord
from inspections.services.photos import LONGEST_SIDE_PX, THUMBNAIL_PX
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user
from tests.tablet import Tablet

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _files_in_a_folder_of_their_own(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def inspection():
    """An open inspection of today on a bridge with one bearing."""
    unit = make_unit(make_bridge())
    make_element(unit, "pot")
    return make_inspection(unit.bridge, timezone.now().date())


@pytest.fixture
def tablet() -> Tablet:
    """An inspector's tablet."""
    return Tablet(make_user("inspector"))


def picture(width: int = 3000, height: int = 2000, kind: str = "JPEG", **more) -> bytes:
    """Return an encoded picture."""
    out = io.BytesIO()
    Image.effect_noise((width // 10, height // 10), 60).resize((width, height)).convert("RGB").save(
        out, kind, **more
    )
    return out.getvalue()


def post(tablet, inspection, content: bytes, uid=None, **more):
    """Send a photo."""
    now = tablet.now.isoformat()
    fields = {
        "image": SimpleUploadedFile("p.jpg", content, "image/jpeg"),
        "inspection": inspection.pk,
        "element": inspection.bridge.elements.get().pk,
        "caption": "Left face",
        "taken_at": now,
        "made_at": now,
        "clock_now": now,
        "tablet": tablet.name,
        "sha256": hashlib.sha256(content).hexdigest(),
    } | more
    return tablet.client.post(f"/field/photos/{uid or uuid.uuid4()}", fields)


def receipt(response) -> dict:
    """Return the one receipt of a response."""
    assert response.status_code == 200, response.content
    return response.json()["receipts"][0]


def test_a_photo_is_encoded_anew_smaller_and_without_what_the_camera_adds(tablet, inspection):
    place = Image.Exif()
    place[0x010E] = "secret place"
    content = picture(exif=place)
    assert b"secret place" in content

    assert receipt(post(tablet, inspection, content))["outcome"] == "taken"

    photo = Photo.objects.get()
    kept = photo.image.read()
    assert b"secret place" not in kept
    with Image.open(io.BytesIO(kept)) as image:
        assert image.format == "JPEG"
        assert max(image.size) == LONGEST_SIDE_PX
    with Image.open(photo.thumbnail) as image:
        assert max(image.size) == THUMBNAIL_PX
    assert TabletRecord.objects.get().kind == "photo"


def test_a_photo_taken_sideways_stands_upright(tablet, inspection):
    turned = Image.Exif()
    turned[0x0112] = 6
    post(tablet, inspection, picture(600, 400, exif=turned))

    photo = Photo.objects.get()
    assert (photo.width_px, photo.height_px) == (400, 600)


def test_the_same_photo_twice_is_one_and_its_id_has_no_other(tablet, inspection):
    content, uid = picture(), uuid.uuid4()

    assert receipt(post(tablet, inspection, content, uid))["outcome"] == "taken"
    assert receipt(post(tablet, inspection, content, uid))["outcome"] == "already"
    assert receipt(post(tablet, inspection, picture(), uid))["outcome"] == "refused"
    assert Photo.objects.count() == 1


@pytest.mark.parametrize(
    ("content", "field"),
    [
        (b"", "image"),
        (b"<html><script>", "image"),
        (b"GIF89a" + b"0" * 100, "image"),
        (picture()[:5000], "image"),
        (b"0" * (4 * 1024 * 1024 + 1), "image"),
        (b"\0".join([(whole := picture(60, 40, "PNG"))[:-60], whole[-60:]]), "image"),
    ],
    ids=[
        "empty", "a page", "another format", "half of one", "too large", "a byte too many",
    ],
)  # fmt: skip
def test_what_is_no_photo_is_refused_and_leaves_nothing(content, field, tablet, inspection):
    response = post(tablet, inspection, content)

    if response.status_code == 200:
        found = receipt(response)
        assert (found["outcome"], found["field"]) == ("refused", field)
    else:
        assert response.status_code == 400
    assert not Photo.objects.exists()
    assert not TabletRecord.objects.exists()


def test_a_photo_that_would_fill_the_memory_is_refused_with_its_reason(tablet, inspection):
    packed = io.BytesIO()
    Image.new("1", (8000, 5100)).save(packed, "PNG")
    assert len(packed.getvalue()) < 10_000

    found = receipt(post(tablet, inspection, packed.getvalue()))

    assert (found["outcome"], found["field"]) == ("refused", "image")
    assert "40 million pixels" in found["message"]


def test_a_photo_that_came_damaged_is_asked_for_again(tablet, inspection):
    found = receipt(post(tablet, inspection, picture(), sha256="0" * 64))

    assert (found["outcome"], found["field"]) == ("refused", "sha256")
    assert "Send it again" in found["message"]


@pytest.mark.parametrize("missing", ["image", "inspection", "taken_at", "clock_now", "tablet"])
def test_a_missing_part_is_named(missing, tablet, inspection):
    now = tablet.now.isoformat()
    fields = {
        "image": SimpleUploadedFile("p.jpg", picture(60, 40)),
        "inspection": inspection.pk,
        "taken_at": now,
        "made_at": now,
        "clock_now": now,
        "tablet": "t",
    }
    del fields[missing]

    response = tablet.client.post(f"/field/photos/{uuid.uuid4()}", fields)

    assert response.status_code == 400
    assert missing in response.json()["detail"]


@pytest.mark.parametrize(("role", "status"), [("manager", 200), (None, 403)])
def test_a_photo_is_shown_to_those_who_may_see_the_inspection(
    role, status, tablet, inspection, client
):
    post(tablet, inspection, picture(60, 40))
    client.force_login(make_user(role))

    for name in ("image", "thumbnail"):
        response = client.get(f"/field/photos/{Photo.objects.get().pk}/{name}")
        assert response.status_code == status


def test_a_photo_is_sent_as_a_picture_and_as_nothing_else(tablet, inspection):
    post(tablet, inspection, picture(60, 40))

    response = tablet.client.get(f"/field/photos/{Photo.objects.get().pk}/image")

    assert response["Content-Type"] == "image/jpeg"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert b"".join(response.streaming_content)[:3] == b"\xff\xd8\xff"
