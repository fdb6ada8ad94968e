"""Model fields of ours."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from shared.kit.zones import known_zones


def validate_time_zone(name: str) -> None:
    if name not in known_zones():
        raise ValidationError(f"“{name}” is not a time zone. Write one such as Europe/London.")


class TimeZoneField(models.CharField):  # type: ignore[type-arg]  # takes none as it runs
    """The IANA name of a time zone."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 64)
        kwargs.setdefault("default", "UTC")
        super().__init__(*args, **kwargs)
        self.validators = [*self.validators, validate_time_zone]
