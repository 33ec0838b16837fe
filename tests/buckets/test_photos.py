"""Photos with a report: real images only, upright, without place; hostile files refused, nothing on disk."""

import hashlib
import io
from pathlib import Path
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.db import transaction
from PIL import Image, ImageFile

from buckets.models import Photo, Report
from buckets.operations.reports import report
from buckets.pictures import MOST_PHOTOS, NoPicture, path_of, picture
from studio import triggers
from studio.front import backups
from tests.buckets import photos
from tests.buckets.rows import in_use

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "attachments"
    return Path(settings.MEDIA_ROOT)


@pytest.fixture
def committed(django_capture_on_commit_callbacks):
    return lambda: django_capture_on_commit_callbacks(execute=True)


def files(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


def send(client, fill, *sent, field: str = "chosen", **more):
    attached = [SimpleUploadedFile(name, content) for content, name in sent]
    return client.post("/shelf/B02/report/", {"fill": fill.pk, "key": uuid4(), **more, field: attached})


# --- what is kept


def test_a_photo_is_kept_upright_and_without_its_place(client, member, folder, committed):
    fill = in_use()
    client.force_login(member)
    with committed():
        assert send(client, fill, (photos.of_a_phone(), "IMG_1.jpg"), kind="specks").status_code == 303
    row = Photo.objects.get()
    kept = path_of(row.digest).read_bytes()
    assert hashlib.sha256(kept).hexdigest() == row.digest
    with Image.open(io.BytesIO(kept)) as opened:
        assert (opened.format, opened.size) == ("JPEG", (40, 80))
        assert not opened.getexif()
        assert "comment" not in opened.info
        red, _, _ = opened.getpixel((20, 10))
        assert red < 80  # the dark half, left in the file, is on top now
    assert b"Secret Maker" not in kept
    assert b"garden" not in kept
    assert {path.name for path in files(folder)} == {f"{row.digest}.jpg", f"{row.small_digest}.jpg"}


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_each_kind_of_photo_is_made_anew_as_a_jpeg_with_a_small_copy(kind):
    made = picture(photos.image(kind, (3000, 1500)))
    with Image.open(io.BytesIO(made.content)) as large, Image.open(io.BytesIO(made.small)) as small:
        assert (large.format, large.size, small.size) == ("JPEG", (2048, 1024), (400, 200))
    assert (made.width, made.height) == (2048, 1024)


def test_what_lets_light_through_stands_on_white():
    out = io.BytesIO()
    Image.new("RGBA", (10, 10), (255, 0, 0, 0)).save(out, "PNG")
    with Image.open(io.BytesIO(picture(out.getvalue()).content)) as opened:
        assert min(opened.getpixel((5, 5))) > 250


def test_of_a_file_that_is_two_things_only_the_picture_is_left(client, member, folder, committed):
    both = photos.image() + photos.zipped() + b"<script>alert(1)</script>"
    client.force_login(member)
    with committed():
        assert send(client, in_use(), (both, "photo.jpg"), kind="specks").status_code == 303
    kept = b"".join(path.read_bytes() for path in files(folder))
    assert b"script" not in kept
    assert b"PK\x03\x04" not in kept


def test_the_name_of_a_file_is_never_looked_at(client, member, folder, committed):
    client.force_login(member)
    with committed():
        answer = send(client, in_use(), (photos.image("PNG"), "../../../etc/passwd.svg"), kind="smell")
    assert answer.status_code == 303
    assert all(path.parent == folder / "photos" for path in files(folder))
    assert not any("passwd" in str(path) for path in folder.parent.rglob("*"))


def test_a_photo_from_the_camera_and_one_chosen_go_together(client, member, committed):
    client.force_login(member)
    taken = SimpleUploadedFile("now.jpg", photos.image(colour="red"))
    with committed():
        send(client, in_use(), (photos.image(), "then.jpg"), kind="specks", taken=taken)
    assert Report.objects.get().photos.count() == 2


# --- what is refused


@pytest.mark.parametrize("name", photos.HOSTILE)
def test_a_hostile_file_is_refused_beside_its_field_and_nothing_is_left(
    client, member, folder, committed, name
):
    content, file_name, sentence = photos.HOSTILE[name]
    fill = in_use()
    client.force_login(member)
    with committed():
        answer = send(client, fill, (content, file_name), words="blue specks near the rim")
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors["chosen"])
    assert "blue specks near the rim" in answer.content.decode()
    assert not Report.objects.exists()
    fill.refresh_from_db()
    assert not fill.held
    assert files(folder) == []


def test_too_many_photos_are_refused(client, member, folder):
    client.force_login(member)
    many = [(photos.image(colour=f"#{n}{n}0000"), f"{n}.jpg") for n in range(MOST_PHOTOS + 1)]
    answer = send(client, in_use(), *many, kind="specks")
    assert answer.status_code == 422
    assert "At most 4 photos" in answer.content.decode()
    assert files(folder) == []


def test_a_good_photo_beside_a_mistake_is_asked_for_again(client, member, folder):
    client.force_login(member)
    answer = send(client, in_use(), (photos.image(), "good.jpg"), words="w" * 401)
    assert answer.status_code == 422
    assert "Choose the photo once more" in answer.content.decode()
    assert files(folder) == []


def test_an_act_that_is_taken_back_leaves_no_file(member, folder, committed):
    fill, made = in_use(), picture(photos.image())
    said = {"photos": [made.digest], "pictures": {made.digest: made}}
    with committed(), transaction.atomic():
        report(fill=fill, kind="specks", by=member, **said)
        assert Photo.objects.exists()
        transaction.set_rollback(True)
    assert not Photo.objects.exists()
    assert files(folder) == []


def test_sent_twice_it_is_one_report_and_one_photo(client, member, committed):
    fill, key = in_use(), uuid4()
    client.force_login(member)
    with committed():
        for _ in range(2):
            sent = SimpleUploadedFile("a.jpg", photos.image())
            said = {"fill": fill.pk, "key": key, "kind": "specks", "chosen": sent}
            assert client.post("/shelf/B02/report/", said).status_code == 303
    assert (Report.objects.count(), Photo.objects.count()) == (1, 1)


# --- how it is shown


def kept_photo(client, fill, committed) -> Photo:
    with committed():
        send(client, fill, (photos.image(), "a.jpg"), kind="specks")
    return Photo.objects.get()


@pytest.mark.parametrize("size", ["large", "small"])
def test_a_photo_is_served_as_an_image_and_nothing_else(client, member, committed, size):
    client.force_login(member)
    row = kept_photo(client, in_use(), committed)
    answer = client.get(f"/shelf/photos/{row.pk}/{size}/")
    assert answer.status_code == 200
    assert b"".join(answer.streaming_content)[:3] == b"\xff\xd8\xff"
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Disposition"] == f'inline; filename="photo-{row.pk}.jpg"'
    assert "private" in answer.headers["Cache-Control"]
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]


def test_a_stranger_gets_no_photo_not_even_their_own(client, committed):
    row = kept_photo(client, in_use(), committed)
    answer = client.get(f"/shelf/photos/{row.pk}/large/")
    assert answer.status_code == 302
    assert answer.url.startswith("/people/login/")


def test_a_photo_that_is_gone_is_not_found(client, member, committed):
    client.force_login(member)
    row = kept_photo(client, in_use(), committed)
    path_of(row.digest).unlink()
    assert client.get(f"/shelf/photos/{row.pk}/large/").status_code == 404
    path_of(row.digest).write_bytes(picture(photos.image()).content)


@pytest.mark.django_db(transaction=True)
def test_a_backup_carries_the_photos_and_a_restore_proves_them(settings, tmp_path, client, member):
    settings.STUDIO_IS_DEMO = False
    client.force_login(member)
    send(client, in_use(), (photos.of_a_phone(), "a.jpg"), kind="specks")
    row = Photo.objects.get()
    kept = path_of(row.digest).read_bytes()
    file = tmp_path / "studio.zip"
    manifest = backups.back_up(file)
    assert manifest["files"][f"photos/{row.digest}.jpg"] == row.digest
    with triggers.lifted():
        call_command("flush", interactive=False, verbosity=0)
    for path in files(Path(settings.MEDIA_ROOT)):
        path.unlink()
    call_command("restore", str(file), verbosity=0)
    assert path_of(Photo.objects.get().digest).read_bytes() == kept


def test_a_file_cut_off_is_refused_after_a_label_was_printed_too():
    ImageFile.LOAD_TRUNCATED_IMAGES = True  # as the library that makes PDFs leaves it
    whole = photos.image(size=(640, 480))
    with pytest.raises(NoPicture):
        picture(whole[: len(whole) // 2])
