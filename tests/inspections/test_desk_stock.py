"""The pages of the desk cost as many queries on 200 elements as on 20, and never above 30."""

import datetime as dt

import pytest

from tests.benchmarks.desk import TARGET_QUERIES, addresses, queries_of
from tests.benchmarks.desk_stock import ELEMENTS, copy_bridge, make_stock, spread

pytestmark = pytest.mark.django_db

TODAY = dt.date(2026, 11, 25)


def test_queries_of_every_page_of_the_desk_stay_as_they_are_in_a_larger_stock(client):
    stock = make_stock(ELEMENTS, TODAY)
    client.force_login(stock.engineer)
    pages = addresses(stock)
    few = {name: queries_of(client, address) for name, address in pages.items()}
    copy_bridge(stock.bridge, 9)
    spread()
    many = {name: queries_of(client, address) for name, address in pages.items()}
    assert {name: count for name, count in few.items() if count > TARGET_QUERIES} == {}
    more = {name: (few[name], many[name]) for name in few if many[name] > few[name]}
    assert more == {}
