"""The calendar day of an instant on each row's own clock, reckoned by the database."""

from datetime import datetime
from typing import Any

from django.db.models import DateField, DateTimeField, Func, Value


class LocalDay(Func):
    """`LocalDay(now, "time_zone")`: a date, by the time zone that the column names."""

    function = "django_datetime_cast_date"  # Django's own, which it gives to SQLite.
    output_field = DateField()

    def __init__(self, at: datetime, zone: str) -> None:
        super().__init__(Value(at, DateTimeField()), zone, output_field=DateField())

    def as_sqlite(self, compiler: Any, connection: Any, **more: Any) -> Any:
        template = "%(function)s(%(expressions)s, 'UTC')"
        return self.as_sql(compiler, connection, template=template, **more)

    def as_postgresql(self, compiler: Any, connection: Any, **more: Any) -> Any:
        template, joiner = "((%(expressions)s)::date)", "::timestamptz AT TIME ZONE "
        return self.as_sql(compiler, connection, template=template, arg_joiner=joiner, **more)
