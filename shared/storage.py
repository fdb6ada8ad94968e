"""Where clips and pictures are kept: a folder, or any S3-compatible store."""

from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, unquote, urlsplit


def storage_at(url: str, folder: Path) -> dict[str, Any]:
    """The entry of STORAGES for an address; without one, the folder.

    `s3://KEY:SECRET@HOST/BUCKET`, with `?region=…` and, for a store without TLS, `&plain=1`.
    Raises ValueError for any other address.
    """
    if not url:
        options: dict[str, Any] = {"location": str(folder), "base_url": None}
        return {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": options | {"file_permissions_mode": 0o600},
        }
    found = urlsplit(url)
    bucket = found.path.strip("/")
    if found.scheme != "s3" or not (found.hostname and bucket and found.username):
        raise ValueError("CLIPS_URL is s3://KEY:SECRET@HOST/BUCKET, or empty for DATA_DIR/clips.")
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
