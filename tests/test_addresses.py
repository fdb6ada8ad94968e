"""An address worded once is the one that Django words at every call."""

from uuid import uuid4

import pytest
from django.template import Context, Template
from django.urls import NoReverseMatch, get_script_prefix, reverse, set_script_prefix

from shared.site.addresses import address_of
from tests.test_routes import ALL


def test_it_is_what_django_says_of_every_route():
    found = 0
    for name, route in ALL.items():
        ids = [uuid4() for _ in route.arguments]
        try:
            expected = reverse(name, args=ids)
        except NoReverseMatch:  # What stands there is no id.
            continue
        assert address_of(name, ids) == address_of(name, [str(each) for each in ids]) == expected
        found += bool(ids)
    assert found > 100


def test_what_is_no_id_is_asked_of_django():
    with pytest.raises(NoReverseMatch):
        address_of("lessons:door", ["somebody"])
    with pytest.raises(NoReverseMatch):
        address_of("lessons:door", [str(uuid4()).upper()])
    with pytest.raises(NoReverseMatch):
        address_of("lessons:door")


def test_it_is_under_the_prefix_of_now():
    one, before = uuid4(), get_script_prefix()
    try:
        set_script_prefix("/below/")
        assert address_of("lessons:door", [one]) == reverse("lessons:door", args=[one])
    finally:
        set_script_prefix(before)
    assert address_of("lessons:door", [one]) == reverse("lessons:door", args=[one])


def test_a_template_says_it_so():
    one = uuid4()
    said = Template("{% url 'lessons:door' one %} {% url 'lessons:door' student_id=one %}")
    address = reverse("lessons:door", args=[one])
    assert said.render(Context({"one": one})) == f"{address} {address}"
