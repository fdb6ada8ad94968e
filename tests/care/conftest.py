from tests.log.conftest import part, phone, wednesday_noon  # noqa: F401 (the same week)
