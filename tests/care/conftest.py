from tests.log.conftest import always_wednesday, part, phone  # noqa: F401 (the same week)
