"""Where clips and pictures are kept: a folder, or any S3-compatible store."""

from importlib.util import find_spec
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, unquote, urlsplit

from shared.site.environment import BadSetting, bad, text


def storage_at(name: str, folder: Path) -> dict[str, Any]:
    """The entry of STORAGES for the address in a setting: a folder, a store, or `folder`.

    `s3://KEY:SECRET@HOST/BUCKET`, with `?region=…` and, for a store without TLS, `&plain=1`.
    Raises BadSetting for any other address, and without the packages that an S3 store needs.
    """
    url = text(name)
    if not url or url.startswith("/"):
        options: dict[str, Any] = {"location": url or str(folder), "base_url": None}
        return {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": options | {"file_permissions_mode": 0o600},
        }
    found = urlsplit(url)
    bucket = found.path.strip("/")
    if found.scheme != "s3" or not (found.hostname and bucket and found.username):
        example = f"a folder or a store, as in {name}=s3://KEY:SECRET@HOST/BUCKET"
        raise bad(name, example, secret=True)
    if find_spec("boto3") is None:
        raise BadSetting(
            f"{name} names an S3 store, and its packages are missing:"
            " make install LOCK=requirements-s3.lock"
        )
    asked = parse_qs(found.query)
    port = f":{found.port}" if found.port else ""
    scheme = "http" if asked.get("plain") == ["1"] else "https"
    return {
        "BACKEND": "storages.backends.s3.S3Storage",
        "OPTIONS": {
            "access_key": unquote(found.username),
            "secret_key": unquote(found.password or ""),
            "bucket_name": bucket,
            "endpoint_url": f"{scheme}://{found.hostname}{port}",
            "region_name": asked.get("region", ["auto"])[0],
            "addressing_style": "path",
            "file_overwrite": False,
            "default_acl": None,
        },
    }
